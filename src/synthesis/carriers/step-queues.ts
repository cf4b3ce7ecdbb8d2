/**
 * The least key first, for shortest ways whose steps each add one of a few costs: a queue for each of those. Keys that
 * are taken never fall, so those that follow in one queue don't either, and nothing need be sorted, whatever parts cost.
 */
class Queue {
  keys = new Float64Array(64);
  values = new Int32Array(64);
  first = 0;
  end = 0;

  push(key: number, value: number): void {
    if (this.end === this.keys.length) this.grow();
    this.keys[this.end] = key;
    this.values[this.end++] = value;
  }

  private grow(): void {
    const { keys, values } = this;
    this.keys = new Float64Array(keys.length * 2);
    this.values = new Int32Array(values.length * 2);
    this.keys.set(keys);
    this.values.set(values);
  }
}

/** The steps of stretches: where one begins, a belt, and from this one on an underpass of each model. */
export const FIRST_STEP = 0;
export const BELT_STEP = 1;
export const UNDERPASS_STEP = 2;

export class StepQueues {
  /** Key of what was taken last. */
  poppedKey = 0;
  private readonly queues: readonly Queue[];

  constructor(underpassModels: number) {
    this.queues = Array.from({ length: UNDERPASS_STEP + underpassModels }, () => new Queue());
  }

  clear(): void {
    for (const queue of this.queues) {
      queue.first = 0;
      queue.end = 0;
    }
  }

  /** Makes all values that were ever pushed since `clear` unreached again: quicker than doing so with all there are. */
  unreach(costs: Float64Array): void {
    for (const { values, end } of this.queues) for (let at = 0; at < end; at++) costs[values[at]] = Infinity;
  }

  /** `step` says which cost was added last; no key before it in the same queue may be greater. */
  push(step: number, key: number, value: number): void {
    this.queues[step].push(key, value);
  }

  /** The value with the least key, of equals that of the first step; -1 if none is left. */
  pop(): number {
    let least: Queue | undefined;
    let key = Infinity;
    for (const queue of this.queues) {
      if (queue.first === queue.end || queue.keys[queue.first] >= key) continue;
      least = queue;
      key = queue.keys[queue.first];
    }
    if (least === undefined) return -1;
    this.poppedKey = key;
    return least.values[least.first++];
  }
}
