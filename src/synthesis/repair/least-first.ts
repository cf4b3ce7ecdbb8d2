/**
 * A queue that gives the value with the least key first, of equal keys that with the least tie, then the one that was
 * put in first: a binary heap. `step-queues.ts` is quicker where keys come in a few rising rows.
 */
interface Entry<T> {
  readonly key: number;
  readonly tie: number;
  readonly order: number;
  readonly value: T;
}

const isBefore = <T>(a: Entry<T>, b: Entry<T>): boolean =>
  a.key < b.key || (a.key === b.key && (a.tie < b.tie || (a.tie === b.tie && a.order < b.order)));

export class LeastFirst<T> {
  private readonly heap: Entry<T>[] = [];
  private pushed = 0;

  push(key: number, tie: number, value: T): void {
    const { heap } = this;
    const entry = { key, tie, order: this.pushed++, value };
    let at = heap.length;
    heap.push(entry);
    while (at > 0) {
      const above = (at - 1) >> 1;
      if (!isBefore(entry, heap[above])) break;
      heap[at] = heap[above];
      at = above;
    }
    heap[at] = entry;
  }

  get first(): { readonly key: number; readonly value: T } | undefined {
    return this.heap.at(0);
  }

  pop(): T | undefined {
    const { heap } = this;
    const least = heap.at(0);
    const last = heap.pop();
    if (least === undefined || last === undefined || heap.length === 0) return least?.value;
    let at = 0;
    for (;;) {
      let below = 2 * at + 1;
      if (below >= heap.length) break;
      if (below + 1 < heap.length && isBefore(heap[below + 1], heap[below])) below += 1;
      if (!isBefore(heap[below], last)) break;
      heap[at] = heap[below];
      at = below;
    }
    heap[at] = last;
    return least.value;
  }
}
