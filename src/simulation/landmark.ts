/**
 * Finding a cycle with one kept state, however long it is. What is kept beside the state (clocks, counts)
 * is the caller's. Source: R. P. Brent, "An improved Monte Carlo factorization algorithm", BIT 20, 1980.
 */
export class Landmark {
  private kept = new Int32Array(64);
  private length = -1;
  private seen = 0;
  private span = 1;

  /** Forgets the kept state. */
  clear(): void {
    this.length = -1;
    this.seen = 0;
    this.span = 1;
  }

  /**
   * Shows the next state, `numbers` from `start` to before `end`. 'met': it is the kept one, so the states since
   * then are one period. 'kept': it is the new kept one, as the 1st, 2nd, 4th, 8th, ... is.
   */
  show(numbers: Int32Array, start: number, end: number): 'met' | 'kept' | 'passed' {
    if (this.equals(numbers, start, end)) return 'met';
    this.seen++;
    if (this.seen < this.span) return 'passed';
    this.span *= 2;
    if (this.kept.length < end - start) this.kept = new Int32Array((end - start) * 2);
    this.kept.set(numbers.subarray(start, end));
    this.length = end - start;
    return 'kept';
  }

  private equals(numbers: Int32Array, start: number, end: number): boolean {
    if (this.length !== end - start) return false;
    for (let i = 0, j = start; j < end; i++, j++) if (this.kept[i] !== numbers[j]) return false;
    return true;
  }
}
