/**
 * Starts of a layout, and how each ends: the standard one (number 0) and the staggered ones.
 * Joins what the pieces of a layout do; flows as rationals are made in `trial.ts` and `verify.ts`.
 */
import { invariant } from '../base/invariant.js';
import { seededRandom } from '../base/random.js';
import type { Piece, Program } from './compile.js';
import { SteadyStates, type Orbit, type Settled } from './steady-state.js';

/** What every search for steady states is told. */
export interface StartOptions {
  /** Staggered starts besides the standard one. */
  readonly starts: number;
  readonly seed: number;
  /** Ticks after which a start that has not repeated counts as unproven. */
  readonly tickLimit: number;
}

/** Where neither a plan nor the user names one. */
export const USUAL_SEED = 1;

/** The usual limit of ticks. */
export const TICK_LIMIT = 2_000_000;

/** Ticks of one whole cycle of an arm onto a free lane of its piece's slowest carrier; a stagger is less than this. */
function longCycle({ layout, network }: Program, piece: Piece, arm: number): number {
  const { part } = network.arms[arm];
  const placed = layout.parts[part];
  invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
  const slowest = piece.stretches.reduce((least, { carrier }) => Math.min(least, network.carriers[carrier].speed), layout.catalog.pitch);
  const { grabTicks, swingTicks, payload, releaseTicks } = placed.model;
  return grabTicks + 2 * swingTicks + 1 + payload * Math.max(releaseTicks, Math.ceil(layout.catalog.pitch / slowest));
}

/**
 * Ticks by which each of the network's arms is held back in a start: none in the standard start, 0. Each
 * piece draws for itself, so that a piece behaves alike in whatever layout it stands; an arm of no piece
 * (from container to container) holds nobody up and is not held back.
 */
export function startDelays(program: Program, seed: number, start: number): readonly number[] {
  const delays = program.network.arms.map(() => 0);
  if (start === 0) return delays;
  for (const piece of program.pieces) {
    const draw = seededRandom((seed ^ Math.imul(start, 0x9e3779b1)) >>> 0);
    for (const arm of piece.arms) delays[arm] = draw(longCycle(program, piece, arm));
  }
  return delays;
}

/** Without arms and entries nothing ever moves. */
export const isAtRest = ({ arms, entries }: Piece): boolean => arms.length === 0 && entries.length === 0;

/** Of a piece that is at rest. */
function restingOrbit(piece: Piece): Orbit {
  const none = new Int32Array(0);
  const exitCount = new Int32Array(piece.exits.length * 2);
  const arms = { armTaken: none, armPlaced: none, armCycles: none, armStarved: none, armBlocked: none };
  return { exact: true, periodTicks: 1, exitCount, entryCount: none, ...arms };
}

/** The ends of a layout's starts, one after the other; start 0 first. */
export class Starts {
  private readonly searches: readonly (SteadyStates | Settled)[];

  constructor(
    readonly program: Program,
    private readonly options: StartOptions,
  ) {
    this.searches = program.pieces.map((piece) =>
      isAtRest(piece)
        ? { orbit: restingOrbit(piece), transientTicks: 0 }
        : new SteadyStates(piece.machine, options.tickLimit),
    );
  }

  /** How each piece ends from a start. */
  settle(start: number): readonly Settled[] {
    const { pieces } = this.program;
    const delays = startDelays(this.program, this.options.seed, start);
    return this.searches.map((search, piece) =>
      search instanceof SteadyStates ? search.settle(pieces[piece].arms.map((arm) => delays[arm])) : search,
    );
  }
}
