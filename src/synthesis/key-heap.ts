/**
 * A binary heap of whole-numbered keys with whole-numbered values, least key first; equal keys come out
 * least value first, so that nothing depends on the order of insertion.
 */

export class KeyHeap {
  /** Key of the value last popped. */
  poppedKey = 0;
  size = 0;
  private keys = new Float64Array(256);
  private values = new Int32Array(256);

  clear(): void {
    this.size = 0;
  }

  push(key: number, value: number): void {
    if (this.size === this.keys.length) this.grow();
    let at = this.size++;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (!this.before(key, value, parent)) break;
      this.keys[at] = this.keys[parent];
      this.values[at] = this.values[parent];
      at = parent;
    }
    this.keys[at] = key;
    this.values[at] = value;
  }

  pop(): number {
    const least = this.values[0];
    this.poppedKey = this.keys[0];
    const last = --this.size;
    const key = this.keys[last];
    const value = this.values[last];
    let at = 0;
    for (let child = 1; child < last; child = 2 * at + 1) {
      if (child + 1 < last && !this.before(this.keys[child], this.values[child], child + 1)) child++;
      if (this.before(key, value, child)) break;
      this.keys[at] = this.keys[child];
      this.values[at] = this.values[child];
      at = child;
    }
    this.keys[at] = key;
    this.values[at] = value;
    return least;
  }

  private before(key: number, value: number, at: number): boolean {
    return key < this.keys[at] || (key === this.keys[at] && value <= this.values[at]);
  }

  private grow(): void {
    const keys = new Float64Array(this.keys.length * 2);
    const values = new Int32Array(this.values.length * 2);
    keys.set(this.keys);
    values.set(this.values);
    this.keys = keys;
    this.values = values;
  }
}
