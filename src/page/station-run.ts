/**
 * A run of the simulator for somebody who watches: the run itself, and for every exit lane the items that have left
 * last, to the unit. What is drawn of it is in `live-layer.ts` and `tape-svg.ts`.
 */
import type { Layout } from '../layout/layout.js';
import { createRun, type Run } from '../simulation/run.js';

/** Items kept of each exit lane: more than a tape shows. */
const KEPT = 48;

export interface Tape {
  /** Units that each item has gone beyond the exit, the last one first, if it went on at the belt's speed. */
  readonly beyond: readonly number[];
  /** Units per tick. */
  readonly speed: number;
}

export class StationRun {
  #run: Run;
  /** [exit x 2 + side]: v x tick - u of the items that left in `tick` with u units of their move unspent. */
  #marks: number[][];
  #speeds: number[];

  constructor(
    readonly layout: Layout,
    private readonly delays: readonly number[] | undefined,
  ) {
    [this.#run, this.#marks, this.#speeds] = this.#fresh();
  }

  #fresh(): [Run, number[][], number[]] {
    const run = createRun(this.layout, this.delays === undefined ? {} : { delays: this.delays });
    const speeds = this.layout.exits.map(() => 0);
    for (const { exits, machine } of run.program.pieces) exits.forEach((exit, local) => (speeds[exit] = machine.exitSpeed[local]));
    return [run, this.layout.exits.flatMap(() => [[], []]), speeds];
  }

  get tick(): number {
    return this.#run.tick;
  }

  get run(): Run {
    return this.#run;
  }

  reset(): void {
    [this.#run, this.#marks, this.#speeds] = this.#fresh();
  }

  step(): void {
    this.#run.step();
    for (const { exits, machine } of this.#run.program.pieces) {
      for (let lane = 0; lane < exits.length * 2; lane++) {
        const left = machine.gapLastTick[lane];
        if (left !== machine.now - 1) continue;
        const marks = this.#marks[exits[lane >> 1] * 2 + (lane & 1)];
        marks.unshift(machine.exitSpeed[lane >> 1] * left - machine.gapLastRest[lane]);
        if (marks.length > KEPT) marks.pop();
      }
    }
  }

  tape(exit: number, side: 0 | 1): Tape {
    const speed = this.#speeds[exit];
    const now = speed * (this.#run.tick - 1);
    return { speed, beyond: this.#marks[exit * 2 + side].map((mark) => now - mark) };
  }
}
