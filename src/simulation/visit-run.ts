/**
 * Trains that come, are emptied and leave, with real counts (world rules, sections 6 and 11). One tick is in
 * `stocked-tick.ts`, leaps over what repeats in `leap.ts`; why a train stood so long in `waited-for.ts`, whole runs and their
 * cycles in `run-visits.ts`.
 */
import { invariant } from '../base/invariant.js';
import type { Layout } from '../layout/layout.js';
import type { CompileOptions } from './compile.js';
import { itemsOnLanes } from './lanes.js';
import { Leaper, Tally, tallyPlaces, type TallyPlaces } from './leap.js';
import { mostStateNumbers, writeState } from './steady-state.js';
import { armTile, clearNotes, createStock, foldExtremes, ticksPassed, type Stock } from './stock.js';
import { stepStock } from './stocked-tick.js';
import type { ArmFinding, ChestVisit, ExitFinding, TrainVisit, VisitSample, VisitTerms, WaitedFor } from './visit-result.js';
import { waitedFor } from './waited-for.js';

/** What is known of a visit before the next one begins. */
interface OpenVisit {
  readonly number: number;
  readonly arrivedTick: number;
  readonly lateTicks: number;
  readonly heldAtArrival: Float64Array;
  readonly tallyAtArrival: Float64Array;
  leftTick: number | undefined;
  leftWith: number;
  heldAtDeparture: Float64Array | undefined;
  waitedFor: WaitedFor | undefined;
}

/** The state of a station at an arrival, with what was counted until then. */
export interface Arrival {
  readonly visit: number;
  readonly tick: number;
  readonly tally: Float64Array;
  readonly departures: number;
  readonly brought: number;
  readonly takenAway: number;
  /** By exit of the machine: ticks since the last item left. */
  readonly pauses: readonly number[];
}

/** One train after the other, tick by tick. */
export class VisitRun {
  readonly stock: Stock;
  readonly tally: Tally;
  private readonly places: TallyPlaces;
  private readonly leaper: Leaper;
  private current: OpenVisit | undefined;
  private trainStands = false;
  private dueTick = 0;
  private readonly fills: boolean;
  /** By wagon: the tick in which it was emptied (or filled) last, and what it held a tick ago. */
  private readonly doneTick: Float64Array;
  private readonly heldBefore: Float64Array;
  /** Whether it is known that the train which stands there never leaves. */
  isStuck = false;
  readonly visits: TrainVisit[] = [];
  departures = 0;
  /** Items that trains have brought and taken away again. */
  brought = 0;
  takenAway = 0;

  constructor(
    private readonly layout: Layout,
    private readonly terms: VisitTerms,
    options: Partial<CompileOptions> = {},
  ) {
    invariant(layout.wagons.length > 0, 'a visit run has a train', {});
    this.fills = terms.leaves === 'full';
    this.stock = createStock(layout, terms, { mergeTiles: options.mergeTiles ?? true });
    this.tally = new Tally(this.stock);
    this.places = tallyPlaces(this.stock);
    this.leaper = new Leaper(this.stock, this.tally);
    this.doneTick = new Float64Array(layout.wagons.length);
    this.heldBefore = new Float64Array(layout.wagons.length);
  }

  get tick(): number {
    return ticksPassed(this.stock);
  }

  get isTrainThere(): boolean {
    return this.trainStands;
  }

  /** Whether a train would come now. */
  get isTrainDue(): boolean {
    return !this.trainStands && this.tick >= this.dueTick;
  }

  /** The train that is due comes, before the next tick. */
  arrive(): void {
    const { stock, terms } = this;
    this.closeVisit();
    this.layout.wagons.forEach(({ model }, wagon) => {
      stock.held[wagon] = terms.loads[wagon];
      stock.capacity[wagon] = model.capacity;
      this.brought += terms.loads[wagon];
      this.doneTick[wagon] = this.tick;
      this.heldBefore[wagon] = terms.loads[wagon];
    });
    clearNotes(stock);
    stock.visitLowest.set(stock.held);
    stock.visitHighest.set(stock.held);
    this.current = {
      number: (this.current?.number ?? 0) + 1,
      arrivedTick: this.tick,
      lateTicks: terms.headwayTicks === undefined ? 0 : this.tick - this.dueTick,
      heldAtArrival: stock.held.slice(),
      tallyAtArrival: this.tally.read(),
      leftTick: undefined,
      leftWith: 0,
      heldAtDeparture: undefined,
      waitedFor: undefined,
    };
    this.trainStands = true;
    this.leaper.forget();
  }

  /** One tick, with a leap after it that ends at `stopTick` at the latest; whether nothing can change any more before a train comes or leaves. */
  step(stopTick: number): boolean {
    const { stock } = this;
    const arrivedTick = this.current?.arrivedTick ?? 0;
    const began = stepStock(stock);
    if (this.trainStands) {
      let isDone = true;
      for (let wagon = 0; wagon < stock.wagons; wagon++) {
        const held = stock.held[wagon];
        const aim = this.fills ? stock.capacity[wagon] : 0;
        if (held !== aim) isDone = false;
        else if (this.heldBefore[wagon] !== aim) this.doneTick[wagon] = this.tick;
        this.heldBefore[wagon] = held;
      }
      if (isDone || this.tick - arrivedTick >= (this.terms.stayTicks ?? Infinity)) {
        this.depart();
        return false;
      }
    }
    if (stopTick <= this.tick) return false;
    // The tick in which a train leaves, or after which one comes, is never leapt over.
    const eventTick = this.trainStands ? arrivedTick + (this.terms.stayTicks ?? Infinity) - 1 : this.dueTick;
    const leap = this.leaper.look(began, Math.min(stopTick, eventTick) - this.tick);
    return leap?.still === true && this.trainStands && this.terms.stayTicks === undefined;
  }

  private depart(): void {
    const { stock, current } = this;
    invariant(current !== undefined, 'a train that leaves has come', {});
    const leftWith = stock.held.subarray(0, stock.wagons).reduce((sum, held) => sum + held, 0);
    current.waitedFor = this.waitedFor(current);
    current.leftTick = this.tick;
    current.leftWith = leftWith;
    current.heldAtDeparture = stock.held.slice();
    this.takenAway += leftWith;
    this.departures++;
    stock.held.fill(0, 0, stock.wagons);
    stock.capacity.fill(0, 0, stock.wagons);
    this.trainStands = false;
    this.dueTick = Math.max(current.arrivedTick + (this.terms.headwayTicks ?? 0), 0);
    clearNotes(stock);
    this.leaper.forget();
  }

  private waitedFor({ arrivedTick, tallyAtArrival }: OpenVisit): WaitedFor | undefined {
    const { stock, places, fills, terms, doneTick, isStuck } = this;
    const now = this.tally.read();
    const waits = fills ? places.armStarved : places.armBlocked;
    return waitedFor(stock, {
      fills,
      loads: terms.loads,
      doneTick,
      stoodTicks: this.tick - arrivedTick,
      isStuck,
      waitedTicks: (arm) => now[waits + arm] - tallyAtArrival[waits + arm],
    });
  }

  /** Ends the record of the visit that came last; one whose train is still there stands as it is. */
  closeVisit(): void {
    const { current, stock } = this;
    if (current === undefined) return;
    foldExtremes(stock);
    const inWagons = (held: Float64Array): number => held.subarray(0, stock.wagons).reduce((sum, each) => sum + each, 0);
    const leftWith = current.leftTick === undefined ? inWagons(stock.held) : current.leftWith;
    const exits = this.exitFindings(current.tallyAtArrival, current.arrivedTick).map(({ left, right }) => left + right);
    const chests = stock.chestParts.map((_, chest): ChestVisit => {
      const container = stock.wagons + chest;
      return {
        atArrival: current.heldAtArrival[container],
        atDeparture: current.heldAtDeparture?.[container],
        lowest: stock.visitLowest[container],
        highest: stock.visitHighest[container],
      };
    });
    const { number, arrivedTick, lateTicks, leftTick } = current;
    this.visits.push({
      number,
      arrivedTick,
      lateTicks,
      dwellTicks: leftTick === undefined ? undefined : leftTick - arrivedTick,
      unloaded: inWagons(current.heldAtArrival) - leftWith,
      leftWith,
      chests,
      exits,
      waitedFor: current.waitedFor ?? this.waitedFor(current),
    });
  }

  /** Of every exit of the layout, since a tally that was taken at a tick. */
  exitFindings(since: Float64Array, sinceTick: number): readonly ExitFinding[] {
    const { stock, places } = this;
    // Where no carrier leads, nothing has left since the run began.
    const unledTicks = Math.max(0, this.tick - Math.max(sinceTick, stock.starvedAfterTicks));
    const now = this.tally.read();
    const counted = (at: number): number => now[at] - since[at];
    return this.layout.exits.map(({ at, heading }, exit) => {
      const local = stock.exits.indexOf(exit);
      if (local < 0) return { at, heading, left: 0, right: 0, starvedTicks: unledTicks };
      const left = counted(places.exitCount + local * 2);
      const right = counted(places.exitCount + local * 2 + 1);
      return { at, heading, left, right, starvedTicks: counted(places.exitStarved + local) };
    });
  }

  /** Items that came in over all entries since a tally. */
  cameIn(since: Float64Array): number {
    const now = this.tally.read();
    let sum = 0;
    for (let at = this.places.entryCount; at < now.length; at++) sum += now[at] - since[at];
    return sum;
  }

  armFindings(since: Float64Array): readonly ArmFinding[] {
    const now = this.tally.read();
    return this.stock.arms.map((_, arm) => {
      const counted = (first: number): number => now[first + arm] - since[first + arm];
      const { armTaken, armBlocked, armStarved } = this.places;
      return { at: armTile(this.stock, arm), taken: counted(armTaken), blockedTicks: counted(armBlocked), starvedTicks: counted(armStarved) };
    });
  }

  /** All that decides the future of a station at which a train has just arrived. */
  arrivalKey(): string {
    const { stock } = this;
    const numbers = new Int32Array(mostStateNumbers(stock.machine));
    const end = writeState(stock.machine, numbers, 0);
    const pauses = this.pauses().map((pause) => Math.min(pause, stock.starvedAfterTicks + 1));
    return [numbers.subarray(0, end).join(), stock.held.join(), pauses.join()].join(';');
  }

  /**
   * Passes over whole cycles of visits, from an arrival in the state of an earlier one; whether it did: the pause into a
   * cycle that was run has to be that into every other one, which may not be so of the first.
   */
  skip(times: number, from: Arrival): boolean {
    const { stock, current, places } = this;
    if (times <= 0 || current === undefined) return false;
    const ticks = times * (this.tick - from.tick);
    const now = this.tally.read();
    const leaves = (exit: number): boolean => {
      const at = places.exitCount + exit * 2;
      return now[at] + now[at + 1] > from.tally[at] + from.tally[at + 1];
    };
    const pauses = this.pauses();
    if (!stock.exits.every((_, exit) => !leaves(exit) || pauses[exit] === from.pauses[exit])) return false;
    stock.exits.forEach((_, exit) => {
      if (leaves(exit)) stock.exitLastTick[exit] += ticks;
    });
    this.tally.repeat(from.tally, times);
    this.departures += times * (this.departures - from.departures);
    this.brought += times * (this.brought - from.brought);
    this.takenAway += times * (this.takenAway - from.takenAway);
    stock.skippedTicks += ticks;
    const number = current.number + times * (current.number - from.visit);
    this.current = { ...current, number, arrivedTick: this.tick, tallyAtArrival: this.tally.read() };
    this.doneTick.fill(this.tick);
    this.leaper.forget();
    return true;
  }

  private pauses(): readonly number[] {
    return this.stock.exits.map((_, exit) => this.tick - this.stock.exitLastTick[exit]);
  }

  /** Of the train that has just come. */
  arrival(): Arrival {
    const { tick, tally, departures, brought, takenAway } = this;
    return { visit: this.current?.number ?? 0, tick, tally: tally.read(), departures, brought, takenAway, pauses: this.pauses() };
  }

  sample(): VisitSample {
    const { stock } = this;
    const now = this.tally.read();
    return {
      tick: this.tick,
      trainStands: this.trainStands,
      wagons: [...stock.held.subarray(0, stock.wagons)],
      chests: [...stock.held.subarray(stock.wagons)],
      exits: this.exitFindings(new Float64Array(now.length), 0).map(({ left, right }) => left + right),
    };
  }

  /** Items on belts and in hands. */
  itemsUnderWay(): number {
    const { machine } = this.stock;
    return itemsOnLanes(machine) + machine.armHand.reduce((sum, held) => sum + held, 0);
  }
}
