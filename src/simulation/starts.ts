/**
 * Starts of a layout, and how each ends: the standard one (number 0) and the staggered ones. Joins what the
 * strands of each piece do; flows as rationals are made in `trial.ts` and `verify.ts`.
 */
import { sameTile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { seededRandom } from '../base/random.js';
import type { ShouldStop } from '../base/run-stopped.js';
import { entriesOf, type Layout, type PlacedEntry, type PlacedExit } from '../layout/layout.js';
import { halvesOf } from '../layout/network.js';
import { writePlan } from '../layout/write-plan.js';
import { compileLayout, type Piece, type Program } from './compile.js';
import type { Machine, Strand } from './machine.js';
import { jointOrbit, SteadyStates, type Settled } from './steady-state.js';
import type { KnownStrands, StrandFlows, StrandMemory } from './strand-memory.js';
import { strandsOf } from './strands.js';

/** What every search for steady states is told. */
export interface StartOptions {
  /** Staggered starts besides the standard one. */
  readonly starts: number;
  readonly seed: number;
  /** Ticks after which a start that has not repeated counts as unproven. */
  readonly tickLimit: number;
  /** What strands are known to come to, and what is found; left out: nothing is remembered. */
  readonly memory?: StrandMemory | undefined;
  /** Layouts of one catalog, seed and limit of ticks that were simulated before, and what is; left out: none are kept. */
  readonly kept?: KeptStarts | undefined;
  /** Asked now and then; once true, what is run throws `RunStopped`. */
  readonly shouldStop?: ShouldStop;
}

/** Where neither a plan nor the user names one. */
export const USUAL_SEED = 1;

/** The usual limit of ticks. */
export const TICK_LIMIT = 2_000_000;

/**
 * The least speed of a piece's carriers on which items may come. What idle belts are made of then makes no difference to
 * anything, which is why searches try but one model of them.
 */
function slowestSpeed({ layout, network }: Program, { arms, entries }: Piece): number {
  const { carriers } = network;
  const used = new Set(carriers.flatMap(({ index, entry }) => (entry !== undefined && entries.includes(entry) ? [index] : [])));
  for (const arm of arms) {
    const { place } = network.arms[arm];
    if (place.kind === 'carrier') used.add(place.carrier);
  }
  for (const index of used) {
    const { next } = carriers[index];
    if (next.kind === 'carrier') used.add(next.carrier);
    for (const half of halvesOf(carriers[index])) used.add(half);
  }
  return [...used].reduce((least, index) => Math.min(least, carriers[index].speed), layout.catalog.pitch);
}

/** Ticks of one whole cycle of an arm onto a free lane of a carrier of that speed; a stagger is less than this. */
function longCycle({ layout, network }: Program, arm: number, slowest: number): number {
  const { part } = network.arms[arm];
  const placed = layout.parts[part];
  invariant(placed.kind === 'arm', 'an arm link names an arm', { part });
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
    const slowest = slowestSpeed(program, piece);
    for (const arm of piece.arms) delays[arm] = draw(longCycle(program, arm, slowest));
  }
  return delays;
}

/** Where no item ever comes onto any lane, and no arm waits for one. */
function atRest(m: Machine): Settled {
  const none = new Int32Array(m.armDue.length);
  const counts = { armTaken: none, armPlaced: none, armCycles: none, armStarved: none, armBlocked: none };
  const orbit = { exact: true, periodTicks: 1, exitCount: new Int32Array(m.exitCount.length), entryCount: new Int32Array(m.entryCount.length), ...counts };
  return { orbit, transientTicks: 0 };
}

/** How a strand ends. */
interface StrandEnd {
  readonly strand: Strand;
  readonly settled: Settled;
}

/** How a piece ends. */
export interface PieceEnd extends Settled {
  /** Strand by strand; where some strand has not repeated, or not all of them in a time that can be told, the whole as one. */
  readonly strands: readonly StrandEnd[];
}

/** The ends of one piece's starts. */
class PieceStarts {
  readonly strands: readonly Strand[];
  /** Of the strands that have been run: each takes room for its states. */
  private readonly searches: (SteadyStates | undefined)[] = [];
  private whole: SteadyStates | undefined;
  /** By start and strand. */
  private readonly ends: (Settled | undefined)[][] = [];
  private readonly joined: PieceEnd[] = [];
  /** By start, of those that could not be joined. */
  private readonly wholes: (Settled | undefined)[] = [];

  constructor(
    private readonly machine: Machine,
    private readonly tickLimit: number,
    private readonly delaysOf: (start: number) => readonly number[],
    private readonly shouldStop: ShouldStop,
  ) {
    this.strands = strandsOf(machine);
  }

  end(start: number, strand: number): Settled {
    const ends = (this.ends[start] ??= []);
    return (ends[strand] ??= this.searchOf(strand).settle(this.delaysOf(start)));
  }

  private searchOf(strand: number): SteadyStates {
    return (this.searches[strand] ??= new SteadyStates(this.machine, this.tickLimit, undefined, this.strands[strand], undefined, this.shouldStop));
  }

  /** Keeps the ends alone. */
  forgetStates(): void {
    this.searches.length = 0;
    this.whole = undefined;
  }

  settle(start: number): PieceEnd {
    const ends = this.strands.map((strand, index): StrandEnd => ({ strand, settled: this.end(start, index) }));
    if (ends.length === 0) return { ...atRest(this.machine), strands: ends };
    if (ends.length === 1) return { ...ends[0].settled, strands: ends };
    const transientTicks = Math.max(0, ...ends.map(({ settled }) => settled.transientTicks));
    const orbits = ends.map(({ settled }) => settled.orbit);
    // Who finds the same orbits again is to see it by the very same object.
    const known = this.joined.find(({ strands }) => strands.every(({ settled }, index) => settled.orbit === orbits[index]));
    if (known !== undefined) return { orbit: known.orbit, transientTicks, strands: ends };
    const orbit = orbits.every(({ exact }) => exact) ? jointOrbit(orbits) : undefined;
    if (orbit === undefined) return this.settleWhole(start);
    const end = { orbit, transientTicks, strands: ends };
    this.joined.push(end);
    return end;
  }

  private settleWhole(start: number): PieceEnd {
    const settleAnew = (): Settled => {
      this.whole ??= new SteadyStates(this.machine, this.tickLimit, undefined, undefined, undefined, this.shouldStop);
      return this.whole.settle(this.delaysOf(start));
    };
    const settled = (this.wholes[start] ??= settleAnew());
    return { ...settled, strands: [{ strand: this.machine.whole, settled }] };
  }
}

/** Where a strand is: index of its piece, and of the strand among those of the piece. */
export interface StrandPlace {
  readonly piece: number;
  readonly index: number;
  readonly strand: Strand;
  /** Of the layout's network. */
  readonly arms: readonly number[];
}

/** The ends of a layout's starts, asked for in any order. */
export class Starts {
  private readonly pieces: readonly PieceStarts[];
  /** Of all pieces, those of few arms first: they tend to repeat soon. */
  readonly strands: readonly StrandPlace[];

  private readonly delaysOf: (start: number) => readonly number[];
  private readonly settled = new Set<number>();

  constructor(
    readonly program: Program,
    options: StartOptions,
    private readonly known?: KnownStrands,
  ) {
    const delays: (readonly number[])[] = [];
    this.delaysOf = (start) => (delays[start] ??= startDelays(program, options.seed, start));
    this.pieces = program.pieces.map(({ machine, arms }) => new PieceStarts(machine, options.tickLimit, (start) => arms.map((arm) => this.delaysOf(start)[arm]), options.shouldStop));
    this.strands = this.pieces
      .flatMap(({ strands }, piece) =>
        strands.map((strand, index): StrandPlace => ({ piece, index, strand, arms: Array.from(strand.arms, (arm) => program.pieces[piece].arms[arm]) })),
      )
      .sort((a, b) => a.arms.length - b.arms.length);
  }

  /** What one strand comes to from a start, as far as that is known without running it. */
  knownFlows({ arms }: StrandPlace, start: number): StrandFlows | undefined {
    return this.known?.flows(arms, this.delaysOf(start));
  }

  /** The same, run if need be; undefined where it has not repeated. */
  strandFlows(place: StrandPlace, start: number): StrandFlows | undefined {
    const known = this.knownFlows(place, start);
    if (known !== undefined) return known;
    const { orbit } = this.pieces[place.piece].end(start, place.index);
    if (!orbit.exact) return undefined;
    const { exits } = this.program.pieces[place.piece];
    const flows: StrandFlows = {
      periodTicks: orbit.periodTicks,
      exitCount: new Map(Array.from(place.strand.exitLanes, (lane) => [exits[lane >> 1] * 2 + (lane & 1), orbit.exitCount[lane]])),
      armTaken: new Map(place.arms.map((arm, n) => [arm, orbit.armTaken[place.strand.arms[n]]])),
    };
    this.known?.note(flows, this.delaysOf(start));
    return flows;
  }

  /** How each piece ends from a start. */
  settle(start: number): readonly PieceEnd[] {
    const ends = this.pieces.map((piece) => piece.settle(start));
    this.settled.add(start);
    return ends;
  }

  /** Whether the standard start and so many staggered ones were run to their ends, so that to ask again costs nothing. */
  knows(starts: number): boolean {
    for (let start = 0; start <= starts; start++) if (!this.settled.has(start)) return false;
    return true;
  }

  forgetStates(): void {
    for (const piece of this.pieces) piece.forgetStates();
  }
}

const sameEdges = (a: readonly (PlacedExit | PlacedEntry)[], b: readonly (PlacedExit | PlacedEntry)[]): boolean =>
  a.every(({ at, heading }, index) => sameTile(at, b[index].at) && heading === b[index].heading);

/** The starts of the layouts that were kept last, so that what a search has simulated is not simulated again to be told. */
export class KeptStarts {
  private readonly kept = new Map<string, Starts>();

  constructor(private readonly most: number) {}

  keep(starts: Starts): void {
    starts.forgetStates();
    const name = nameOf(starts.program.layout);
    this.kept.delete(name);
    this.kept.set(name, starts);
    for (const [oldest] of this.kept) if (this.kept.size > this.most) this.kept.delete(oldest);
  }

  /** Of the same layout, but for the order of its parts, if so many staggered starts are known. */
  of(layout: Layout, starts: number): Starts | undefined {
    const found = this.kept.get(nameOf(layout));
    if (found?.knows(starts) !== true) return undefined;
    const known = found.program.layout;
    const isInOrder = sameEdges(layout.exits, known.exits) && sameEdges(entriesOf(layout), entriesOf(known)) && layout.wagons.every(({ at }, index) => at === known.wagons[index].at);
    return isInOrder ? found : undefined;
  }
}

const nameOf = (layout: Layout): string => JSON.stringify(writePlan(layout, undefined, ''));

/** Those that were kept, or new ones. */
export const startsOf = (layout: Layout, options: StartOptions): Starts => options.kept?.of(layout, options.starts) ?? new Starts(compileLayout(layout), options);
