/**
 * A queue of whole numbers by small whole costs, least cost first, for shortest ways: a list for each cost, as
 * in R. B. Dial's algorithm (Algorithm 360, Communications of the ACM 12, 1969). Of equal costs the last one
 * pushed comes first, so only what does not depend on that may be read off.
 */
export class CostBuckets {
  private heads = new Int32Array(64).fill(-1);
  private values = new Int32Array(256);
  private next = new Int32Array(256);
  private entries = 0;
  private most = -1;
  /** Cost of the value last popped. */
  cost = 0;

  clear(): void {
    this.heads.fill(-1, 0, this.most + 1);
    this.entries = 0;
    this.most = -1;
    this.cost = 0;
  }

  /** `cost`: no less than that of the value last popped. */
  push(cost: number, value: number): void {
    while (cost >= this.heads.length) this.growHeads();
    if (this.entries === this.values.length) this.growEntries();
    if (cost > this.most) this.most = cost;
    const entry = this.entries++;
    this.values[entry] = value;
    this.next[entry] = this.heads[cost];
    this.heads[cost] = entry;
  }

  /** -1 where nothing is left. */
  pop(): number {
    while (this.cost <= this.most) {
      const entry = this.heads[this.cost];
      if (entry >= 0) {
        this.heads[this.cost] = this.next[entry];
        return this.values[entry];
      }
      this.cost++;
    }
    return -1;
  }

  private growHeads(): void {
    const heads = new Int32Array(this.heads.length * 2).fill(-1);
    heads.set(this.heads);
    this.heads = heads;
  }

  private growEntries(): void {
    const values = new Int32Array(this.values.length * 2);
    const next = new Int32Array(this.next.length * 2);
    values.set(this.values);
    next.set(this.next);
    this.values = values;
    this.next = next;
  }
}
