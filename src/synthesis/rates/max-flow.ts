/**
 * Greatest flow through a small network with whole capacities, in arrays that are reused from call to
 * call: the search asks thousands of times a second.
 * Source: Dinic's algorithm (E. A. Dinic 1970), as in Cormen et al., Introduction to Algorithms.
 */

const GROWTH = 2;

export class MaxFlow {
  private nodes = 0;
  private edges = 0;
  private first = new Int32Array(64);
  private level = new Int32Array(64);
  private cursor = new Int32Array(64);
  private queue = new Int32Array(64);
  private next = new Int32Array(256);
  private to = new Int32Array(256);
  /** Float64 holds whole numbers up to 2^53 exactly. Edge e and its reverse e ^ 1 stand side by side. */
  private room = new Float64Array(256);

  /** Forgets all nodes and edges. */
  reset(): void {
    this.nodes = 0;
    this.edges = 0;
  }

  addNode(): number {
    if (this.nodes === this.first.length) this.growNodes();
    this.first[this.nodes] = -1;
    return this.nodes++;
  }

  addEdge(from: number, to: number, capacity: number): void {
    if (capacity <= 0) return;
    if (this.edges + 2 > this.to.length) this.growEdges();
    this.link(from, to, capacity);
    this.link(to, from, 0);
  }

  /**
   * Greatest flow from `source` to `sink`; uses the capacities up. No more than `enough` is sent: a flow of that much is found
   * sooner than it is known to be the greatest.
   */
  solve(source: number, sink: number, enough = Infinity): number {
    let total = 0;
    while (total < enough && this.layer(source, sink)) {
      for (let node = 0; node < this.nodes; node++) this.cursor[node] = this.first[node];
      total += this.push(source, sink, enough - total);
    }
    return total;
  }

  private link(from: number, to: number, capacity: number): void {
    const edge = this.edges++;
    this.to[edge] = to;
    this.room[edge] = capacity;
    this.next[edge] = this.first[from];
    this.first[from] = edge;
  }

  /** Numbers nodes by how far they are from the source, as far as the sink. */
  private layer(source: number, sink: number): boolean {
    const { level, queue, first, next, to, room } = this;
    level.fill(-1, 0, this.nodes);
    level[source] = 0;
    queue[0] = source;
    let tail = 1;
    for (let head = 0; head < tail; head++) {
      const node = queue[head];
      for (let edge = first[node]; edge >= 0; edge = next[edge]) {
        const target = to[edge];
        if (room[edge] <= 0 || level[target] >= 0) continue;
        level[target] = level[node] + 1;
        if (target === sink) return true;
        queue[tail++] = target;
      }
    }
    return false;
  }

  /** Sends up to `limit` from a node, by edges that lead a layer further; what is sent. */
  private push(node: number, sink: number, limit: number): number {
    if (node === sink) return limit;
    const { level, cursor, next, to, room } = this;
    const beyond = level[node] + 1;
    let sent = 0;
    for (let edge = cursor[node]; edge >= 0; edge = next[edge]) {
      cursor[node] = edge;
      const target = to[edge];
      if (room[edge] <= 0 || level[target] !== beyond) continue;
      const pushed = this.push(target, sink, Math.min(limit - sent, room[edge]));
      room[edge] -= pushed;
      room[edge ^ 1] += pushed;
      sent += pushed;
      // The edge may have room left, so it stays the one to begin with.
      if (sent === limit) return sent;
    }
    cursor[node] = -1;
    return sent;
  }

  private growNodes(): void {
    const grow = (old: Int32Array<ArrayBuffer>): Int32Array<ArrayBuffer> => {
      const bigger = new Int32Array(old.length * GROWTH);
      bigger.set(old);
      return bigger;
    };
    this.first = grow(this.first);
    this.level = grow(this.level);
    this.cursor = grow(this.cursor);
    this.queue = grow(this.queue);
  }

  private growEdges(): void {
    const size = this.to.length * GROWTH;
    const next = new Int32Array(size);
    const to = new Int32Array(size);
    const room = new Float64Array(size);
    next.set(this.next);
    to.set(this.to);
    room.set(this.room);
    this.next = next;
    this.to = to;
    this.room = room;
  }
}
