/**
 * What was found out, by name, as far as there is room. Of what fills up the room once more, only what was asked about since is
 * kept: two tables take turns, which costs next to nothing, where a strict order of use would have to be kept up at each look.
 */
export class Recent<V extends NonNullable<unknown>> {
  private young = new Map<string, V>();
  private old = new Map<string, V>();

  /** Up to twice as many as `most` are kept. */
  constructor(private readonly most: number) {}

  get(name: string): V | undefined {
    const found = this.young.get(name);
    if (found !== undefined) return found;
    const older = this.old.get(name);
    if (older !== undefined) this.set(name, older);
    return older;
  }

  /** All that is known, some of it twice. */
  *all(): Generator<readonly [string, V], void> {
    yield* this.old;
    yield* this.young;
  }

  set(name: string, value: V): void {
    if (this.young.size >= this.most && !this.young.has(name)) {
      this.old = this.young;
      this.young = new Map();
    }
    this.young.set(name, value);
  }
}
