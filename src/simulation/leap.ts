/**
 * Leaps over stretches of a visit run that are known to repeat, with the same counts as tick by tick. Why that is
 * exact stands in `rationale.md`, "Leaps". Trains come and go in `visit-run.ts`, which says how far a leap may go.
 */
import { WATCH_NONE } from './machine.js';
import { mostStateNumbers, writeState } from './steady-state.js';
import { clearNotes, ticksPassed, type Stock } from './stock.js';

/** Everything that a run counts, in one list; what leaps add to the machine's own counters is kept here. */
export class Tally {
  private readonly leapt: Float64Array;

  constructor(private readonly stock: Stock) {
    const { machine, exits } = stock;
    this.leapt = new Float64Array(machine.exitCount.length + machine.armDue.length * 5 + exits.length + machine.entryCount.length);
  }

  read(): Float64Array {
    const { machine: m, exitStarved } = this.stock;
    const now = this.leapt.slice();
    let at = 0;
    for (const counter of [m.exitCount, m.armTaken, m.armPlaced, m.armCycles, m.armStarved, m.armBlocked, exitStarved, m.entryCount]) {
      for (let i = 0; i < counter.length; i++) now[at++] += counter[i];
    }
    return now;
  }

  /** Counts what was counted since `before` so many times over. */
  repeat(before: Float64Array, times: number): void {
    const now = this.read();
    for (let i = 0; i < now.length; i++) this.leapt[i] += times * (now[i] - before[i]);
  }
}

/** Places of the counters in a tally. */
export interface TallyPlaces {
  readonly exitCount: number;
  readonly armTaken: number;
  readonly armPlaced: number;
  readonly armStarved: number;
  readonly armBlocked: number;
  readonly exitStarved: number;
  readonly entryCount: number;
}

export function tallyPlaces({ machine, exits }: Stock): TallyPlaces {
  const arms = machine.armDue.length;
  const first = exits.length * 2;
  return {
    exitCount: 0,
    armTaken: first,
    armPlaced: first + arms,
    armStarved: first + 3 * arms,
    armBlocked: first + 4 * arms,
    exitStarved: first + 5 * arms,
    entryCount: first + 5 * arms + exits.length,
  };
}

/** Ticks without a visit of the watched arm after which another one is looked for. */
const QUIET_TICKS = 512;
/** Where no arm begins anything, states are looked at so many ticks apart. */
const CLOCK_TICKS = 64;

/** What a leap found. `still`: no container changes any more, however long one waits. */
interface Leap {
  readonly ticks: number;
  readonly still: boolean;
}

/** Finds the period by one kept state (R. P. Brent, BIT 20, 1980), as `landmark.ts` does, but with what has to be so for a leap. */
export class Leaper {
  private state: Int32Array;
  private length = -1;
  private next: Int32Array;
  private seen = 0;
  private span = 1;
  private lastLook: number;

  private markTick = 0;
  private readonly markHeld: Float64Array;
  private markTally: Float64Array;
  private readonly markExitSeen: Float64Array;
  private readonly markExitSince: Float64Array;

  constructor(
    private readonly stock: Stock,
    private readonly tally: Tally,
  ) {
    const { machine, held, exits } = stock;
    const room = mostStateNumbers(machine);
    this.state = new Int32Array(room);
    this.next = new Int32Array(room);
    this.markHeld = new Float64Array(held.length);
    this.markTally = tally.read();
    this.markExitSeen = new Float64Array(exits.length);
    this.markExitSince = new Float64Array(exits.length);
    this.lastLook = machine.now;
  }

  /** To be called when something happens that is not of the machine's own making, such as a train that comes. */
  forget(): void {
    this.length = -1;
    this.seen = 0;
    this.span = 1;
    this.stock.machine.watch = WATCH_NONE;
    this.lastLook = this.stock.machine.now;
  }

  /** After a tick in which the arm `began` began a visit (-1: none): leaps as far as is sure, by `mostTicks` at most. */
  look(began: number, mostTicks: number): Leap | undefined {
    const { machine } = this.stock;
    if (machine.watch === WATCH_NONE) {
      if (began >= 0) {
        this.forget();
        machine.watch = began;
      } else if (machine.now - this.lastLook < CLOCK_TICKS) return undefined;
    } else if (began !== machine.watch) {
      if (machine.now - this.lastLook < QUIET_TICKS) return undefined;
      this.forget();
      return undefined;
    }
    this.lastLook = machine.now;
    const end = writeState(machine, this.next, 0);
    if (this.equalsKept(end)) {
      const leap = this.leap(mostTicks);
      if (leap !== undefined) return leap;
    }
    this.seen++;
    if (this.seen >= this.span) {
      this.span *= 2;
      [this.state, this.next] = [this.next, this.state];
      this.length = end;
      this.mark();
    }
    return undefined;
  }

  private equalsKept(length: number): boolean {
    if (this.length !== length) return false;
    for (let i = 0; i < length; i++) if (this.state[i] !== this.next[i]) return false;
    return true;
  }

  private sinceLastItem(exit: number): number {
    return ticksPassed(this.stock) - this.stock.exitLastTick[exit];
  }

  private mark(): void {
    const { stock } = this;
    this.markTick = ticksPassed(stock);
    this.markHeld.set(stock.held);
    this.markTally = this.tally.read();
    this.markExitSeen.set(stock.exitSeen);
    for (let exit = 0; exit < stock.exits.length; exit++) this.markExitSince[exit] = this.sinceLastItem(exit);
    clearNotes(stock);
  }

  /** Whether pauses at the exits, too, go on as they did since the mark. */
  private pausesRepeat(): boolean {
    const { stock } = this;
    return stock.exits.every((_, exit) => {
      const [before, now] = [this.markExitSince[exit], this.sinceLastItem(exit)];
      if (stock.exitSeen[exit] !== this.markExitSeen[exit]) return before === now;
      return before > stock.starvedAfterTicks;
    });
  }

  /** How often more, at most, the ticks since the mark can come over again without any arm noticing that containers differ. */
  private mostRepeats(): number {
    const { stock } = this;
    let most = Infinity;
    for (let container = 0; container < stock.held.length; container++) {
      const change = stock.held[container] - this.markHeld[container];
      if (change === 0) continue;
      // The item that empties or fills a wagon makes the train leave, so it is not leapt over.
      const kept = container < stock.wagons ? 1 : 0;
      const pickSpare = stock.pickSpare[container] - kept;
      const placeSpare = stock.placeSpare[container] - kept;
      if (pickSpare < 0 || placeSpare < 0) return 0;
      const spare = change < 0 ? pickSpare : placeSpare;
      most = Math.min(most, Math.floor(spare / Math.abs(change)));
    }
    return most;
  }

  private leap(mostTicks: number): Leap | undefined {
    const { stock } = this;
    const period = ticksPassed(stock) - this.markTick;
    if (!this.pausesRepeat()) return undefined;
    const repeats = this.mostRepeats();
    const times = Math.min(repeats, Math.floor(mostTicks / period));
    if (times === Infinity) return { ticks: 0, still: true };
    if (times === 0) return undefined;
    for (let container = 0; container < stock.held.length; container++) {
      const change = times * (stock.held[container] - this.markHeld[container]);
      stock.held[container] += change;
      if (change < 0) stock.lowest[container] += change;
      else stock.highest[container] += change;
    }
    for (let exit = 0; exit < stock.exits.length; exit++) {
      if (stock.exitSeen[exit] !== this.markExitSeen[exit]) stock.exitLastTick[exit] += times * period;
    }
    this.tally.repeat(this.markTally, times);
    stock.skippedTicks += times * period;
    // What comes next is another regime: it is looked for anew from here.
    this.seen = 0;
    this.span = 1;
    this.mark();
    return { ticks: times * period, still: repeats === Infinity };
  }
}
