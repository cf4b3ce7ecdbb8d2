/**
 * Exact steady states: runs a strand of a machine until its whole state repeats. States are compared in full; a
 * hash only finds the candidates. All starts of one strand share a table, so that a start which runs into
 * states that an earlier start has passed through is finished there. Strands are joined in `starts.ts`.
 */
import { HASH_OF_NONE, hashedWith } from '../base/hash.js';
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import { commonDivisor } from '../base/whole.js';
import { Landmark } from './landmark.js';
import { mayDecouple, partsOf, type StrandPart } from './decouple.js';
import { ArmEndKind, changing, FAR, Phase, resetMachine, WATCH_ALL, type Machine, type Strand } from './machine.js';
import { stepMachine } from './tick.js';

/** Whole numbers; those of a strand alone fit into 32 bits. */
type Counts = Int32Array | Float64Array;

/** What a machine counts of each arm. */
const ARM_COUNTERS = ['armTaken', 'armPlaced', 'armCycles', 'armStarved', 'armBlocked'] as const;
type ArmCounter = (typeof ARM_COUNTERS)[number];

const ofArms = (counts: (counter: ArmCounter) => Counts): Readonly<Record<ArmCounter, Counts>> => ({
  armTaken: counts('armTaken'),
  armPlaced: counts('armPlaced'),
  armCycles: counts('armCycles'),
  armStarved: counts('armStarved'),
  armBlocked: counts('armBlocked'),
});

/** What is done over and over. Counts are per period; for an unproven one, over the ticks measured; of a strand, 0 for what is of others. */
export interface Orbit extends Readonly<Record<ArmCounter, Counts>> {
  readonly exact: boolean;
  readonly periodTicks: number;
  /** [exit x 2 + side]. */
  readonly exitCount: Counts;
  /** [entry x 2 + side]. */
  readonly entryCount: Counts;
}

/** How one start ends. */
export interface Settled {
  readonly orbit: Orbit;
  /** Ticks before the first tested state that repeats; of an unproven start, before the measured ticks. */
  readonly transientTicks: number;
  /** Where it was found part by part: after how many ticks each exit lane (exit x 2 + side) does again what it did. */
  readonly exitPeriods?: ReadonlyMap<number, number>;
}

/** Ticks without a visit of the watched arm after which the search watches more closely. */
const QUIET_TICKS = 512;
/** Whole numbers that the table may hold; when it is full, new states are compared with it and with a landmark. */
const MOST_NUMBERS = 1 << 23;

/** Answers of a look-up: a record from 0 on, or one of these. */
const NEW_STATE = -1;
const LANDMARK = -2;

/** Few, for states of a million items take their time; many enough not to be felt. */
const STOP_EVERY_TICKS = 64;

/** How closely a run is watched: at each visit of one arm (0), of any (1), or so. */
const WATCH_EVERY_TICK = 2;

/** The search's memory: every tested state of every start, and the counters at that moment. */
export class StateTable {
  private numbers = new Int32Array(4096);
  private used = 0;
  /** Open addressing: record + 1, or 0. */
  private slots = new Int32Array(256);
  private readonly hashes: number[] = [];
  private readonly offsets: number[] = [];
  private readonly lengths: number[] = [];
  private readonly ticks: number[] = [];
  /** Start to which each record belongs. */
  readonly owners: number[] = [];
  private readonly landmark = new Landmark();
  private landmarkTick = 0;
  private readonly landmarkCounters: Int32Array;
  private readonly stateRoom: number;

  constructor(
    private readonly machine: Machine,
    private readonly mostNumbers: number,
    private readonly strand: Strand = machine.whole,
  ) {
    const counterCount = counterCountOf(strand);
    this.landmarkCounters = new Int32Array(counterCount);
    this.stateRoom = mostStateNumbers(machine) + counterCount;
  }

  private get isFull(): boolean {
    return this.used >= this.mostNumbers;
  }

  /** To be called before a start: landmarks belong to one, and a full table would be of little use to the next. */
  beginStart(): void {
    this.landmark.clear();
    if (!this.isFull) return;
    this.used = 0;
    this.slots.fill(0);
    for (const list of [this.hashes, this.offsets, this.lengths, this.ticks, this.owners]) list.length = 0;
  }

  /** Looks the machine's state up: the record that equals it, LANDMARK, or NEW_STATE, which is then remembered for `owner`. */
  findOrAdd(owner: number): number {
    if (this.used + this.stateRoom > this.numbers.length) {
      const larger = new Int32Array(this.numbers.length * 2 + this.stateRoom);
      larger.set(this.numbers);
      this.numbers = larger;
    }
    const start = this.used;
    const end = writeState(this.machine, this.numbers, start, this.strand);
    const { numbers } = this;
    let hash = HASH_OF_NONE;
    for (let i = start; i < end; i++) {
      hash = hashedWith(hash, numbers[i]);
      hash ^= hash >>> 15;
    }
    const mask = this.slots.length - 1;
    let slot = hash & mask;
    for (; this.slots[slot] !== 0; slot = (slot + 1) & mask) {
      const record = this.slots[slot] - 1;
      if (this.hashes[record] === hash && this.equals(record, start, end)) return record;
    }
    if (this.isFull) return this.passLandmark(start, end);
    this.slots[slot] = this.hashes.length + 1;
    this.hashes.push(hash);
    this.offsets.push(start);
    this.lengths.push(end - start);
    this.ticks.push(this.machine.now);
    this.owners.push(owner);
    this.used = writeCounters(this.machine, this.strand, numbers, end);
    if (this.hashes.length * 2 > this.slots.length) this.rehash();
    return NEW_STATE;
  }

  private passLandmark(start: number, end: number): number {
    const found = this.landmark.show(this.numbers, start, end);
    if (found === 'met') return LANDMARK;
    if (found === 'kept') {
      this.landmarkTick = this.machine.now;
      writeCounters(this.machine, this.strand, this.landmarkCounters, 0);
    }
    return NEW_STATE;
  }

  tickOf(record: number): number {
    return record === LANDMARK ? this.landmarkTick : this.ticks[record];
  }

  /** What the machine has counted since the moment of a record. */
  orbitSince(record: number): Orbit {
    const { machine, strand } = this;
    const ticks = machine.now - this.tickOf(record);
    if (record === LANDMARK) return orbitFrom(machine, strand, this.landmarkCounters, 0, ticks, true);
    const at = this.offsets[record] + this.lengths[record];
    return orbitFrom(machine, strand, this.numbers, at, ticks, true);
  }

  private equals(record: number, start: number, end: number): boolean {
    if (this.lengths[record] !== end - start) return false;
    const { numbers } = this;
    for (let i = this.offsets[record], j = start; j < end; i++, j++) if (numbers[i] !== numbers[j]) return false;
    return true;
  }

  private rehash(): void {
    this.slots = new Int32Array(this.slots.length * 4);
    const mask = this.slots.length - 1;
    this.hashes.forEach((hash, record) => {
      let slot = hash & mask;
      while (this.slots[slot] !== 0) slot = (slot + 1) & mask;
      this.slots[slot] = record + 1;
    });
  }
}

/** No state of a machine has more numbers. */
export const mostStateNumbers = (m: Machine): number =>
  m.laneCount.length + m.position.length + m.toggleIn.length + (m.exitCredit.length + m.entryCredit.length) * 3 + m.armDue.length * 4;

/**
 * Writes all that decides a strand's future, with clocks relative to the present; the place after it.
 * A clock that has run out counts as 0, for it makes no difference since when.
 */
export function writeState(m: Machine, into: Int32Array, start: number, strand: Strand = m.whole): number {
  let at = start;
  const { laneCount, laneHead, laneShift, position, now } = m;
  const { lanes, turns, meters, entries, arms } = strand;
  for (let k = 0; k < lanes.length; k++) {
    const lane = lanes[k];
    const count = laneCount[lane];
    into[at++] = count;
    const shift = laneShift[lane];
    const end = laneHead[lane] + count;
    for (let i = laneHead[lane]; i < end; i++) into[at++] = position[i] + shift;
  }
  for (let k = 0; k < turns.length; k++) into[at++] = m.toggleIn[turns[k]] + 2 * m.toggleOut[turns[k]];
  for (let k = 0; k < meters.length; k++) {
    const exit = meters[k];
    into[at++] = m.exitLast[exit];
    at = writeLong(m.exitCredit[exit], into, at);
  }
  for (let k = 0; k < entries.length; k++) {
    const entry = entries[k];
    if (m.entryPrice[entry] === 0) continue;
    into[at++] = m.entryLast[entry];
    at = writeLong(m.entryCredit[entry], into, at);
  }
  for (let k = 0; k < arms.length; k++) {
    const arm = arms[k];
    into[at++] = (m.armPhase[arm] === Phase.pick ? 0 : 1) + 2 * m.armHand[arm];
    into[at++] = m.armDue[arm] > now ? m.armDue[arm] - now : 0;
    if (m.armPickKind[arm] === ArmEndKind.container || m.armPhase[arm] !== Phase.pick || m.armHand[arm] === 0) continue;
    into[at++] = m.armGrabDue[arm] > now ? m.armGrabDue[arm] - now : 0;
    if (m.armPatience[arm] >= 0) into[at++] = now - m.armLastTake[arm];
  }
  return at;
}

/** A whole number that may be longer than 32 bits, in two that are not. */
function writeLong(value: number, into: Int32Array, at: number): number {
  into[at] = value % 0x4000_0000;
  into[at + 1] = Math.floor(value / 0x4000_0000);
  return at + 2;
}

const counterCountOf = ({ exitLanes, entries, arms }: Strand): number => exitLanes.length + entries.length * 2 + arms.length * ARM_COUNTERS.length;

function writeCounters(m: Machine, { exitLanes, entries, arms }: Strand, into: Int32Array, start: number): number {
  let at = start;
  for (let k = 0; k < exitLanes.length; k++) into[at++] = m.exitCount[exitLanes[k]];
  for (let k = 0; k < entries.length; k++) {
    into[at++] = m.entryCount[entries[k] * 2];
    into[at++] = m.entryCount[entries[k] * 2 + 1];
  }
  for (const counter of ARM_COUNTERS) {
    const counts = m[counter];
    for (let k = 0; k < arms.length; k++) into[at++] = counts[arms[k]];
  }
  return at;
}

/** What the strand has counted since its counters were written to `numbers` at `start`. */
function orbitFrom(m: Machine, { exitLanes, entries, arms }: Strand, numbers: Int32Array, start: number, periodTicks: number, exact: boolean): Orbit {
  const exitCount = new Int32Array(m.exitCount.length);
  const entryCount = new Int32Array(m.entryCount.length);
  let at = start;
  for (const lane of exitLanes) exitCount[lane] = m.exitCount[lane] - numbers[at++];
  for (const entry of entries) {
    for (let lane = entry * 2; lane < entry * 2 + 2; lane++) entryCount[lane] = m.entryCount[lane] - numbers[at++];
  }
  const perArm = ofArms((counter) => {
    const since = at + ARM_COUNTERS.indexOf(counter) * arms.length;
    const counts = new Int32Array(m.armDue.length);
    arms.forEach((arm, k) => {
      counts[arm] = m[counter][arm] - numbers[since + k];
    });
    return counts;
  });
  return { exact, periodTicks, exitCount, entryCount, ...perArm };
}

/** Longer periods of several together are not told; counts of any period told are exact. */
const LONGEST_PERIOD = 2 ** 40;

/** What several do together that have all repeated, each with counts of its own; undefined where that takes too long to be told. */
export function jointOrbit(orbits: readonly Orbit[]): Orbit | undefined {
  let period = 1;
  for (const { periodTicks } of orbits) {
    period = (period / commonDivisor(period, periodTicks)) * periodTicks;
    if (period > LONGEST_PERIOD) return undefined;
  }
  const joined = (of: (orbit: Orbit) => Counts): Counts => {
    const sums = new Float64Array(orbits.length === 0 ? 0 : of(orbits[0]).length);
    for (const orbit of orbits) {
      const times = period / orbit.periodTicks;
      of(orbit).forEach((count, i) => {
        sums[i] += count * times;
      });
    }
    return sums;
  };
  return {
    exact: true,
    periodTicks: period,
    exitCount: joined(({ exitCount }) => exitCount),
    entryCount: joined(({ entryCount }) => entryCount),
    ...ofArms((counter) => joined((orbit) => orbit[counter])),
  };
}

/** Ticks after which a strand that has not repeated is looked at for parts; each time four times as many. */
const FIRST_LOOK_TICKS = 512;
/** A part that does not repeat within so many times the ticks until then is no help. */
const PART_TICKS = 2;
/** As `QUIET_TICKS`, of a part, which may well stand still. */
const PART_QUIET_TICKS = 64;

/** The steady states of one strand, found start by start. */
export class SteadyStates {
  private readonly table: StateTable;
  private readonly settled: Settled[] = [];

  constructor(
    private readonly machine: Machine,
    private readonly tickLimit: number,
    mostNumbers = MOST_NUMBERS,
    readonly strand: Strand = machine.whole,
    private readonly quietTicks = QUIET_TICKS,
    private readonly shouldStop?: ShouldStop,
  ) {
    this.table = new StateTable(machine, mostNumbers, strand);
  }

  /** Runs a start, of which each arm is held back by `delays` ticks, until its state repeats or the limit ends it; looks for parts after `firstLook` ticks. */
  settle(delays?: ArrayLike<number>, firstLook = FIRST_LOOK_TICKS): Settled {
    resetMachine(this.machine, delays);
    const found = this.run(mayDecouple(this.machine, this.strand) ? firstLook : Infinity);
    this.settled.push(found);
    return found;
  }

  /** Goes on from how the machine stands, with the same limit of ticks. */
  goOn(): Settled {
    return this.run(Infinity);
  }

  /** `firstLook`: the tick after which it is first looked for parts. */
  private run(firstLook: number): Settled {
    const { machine: m, table, strand } = this;
    const owner = this.settled.length;
    const halfway = Math.floor(this.tickLimit / 2);
    let atHalfway: Int32Array | undefined;
    table.beginStart();
    m.watch = preferredArm(m, strand);
    let closeness = 0;
    let lastVisit = m.now;
    let look = firstLook;
    while (m.now < this.tickLimit) {
      if (m.now === halfway) {
        atHalfway = new Int32Array(counterCountOf(strand));
        writeCounters(m, strand, atHalfway, 0);
      }
      if (m.now * 2 === look) {
        m.laneHeld.fill(FAR);
        m.laneTeed.fill(0);
      }
      if (m.now === look) {
        look *= 4;
        const found = settleParts(m, strand, this.shouldStop);
        if (found !== undefined) return found;
      }
      if (m.now % STOP_EVERY_TICKS === 0) goOnUnless(this.shouldStop);
      const visited = stepMachine(m, strand);
      if (!visited && closeness < WATCH_EVERY_TICK) {
        if (m.now - lastVisit < this.quietTicks) continue;
        closeness++;
        m.watch = WATCH_ALL;
      }
      lastVisit = m.now;
      const record = table.findOrAdd(owner);
      if (record === NEW_STATE) continue;
      const earlier = record === LANDMARK ? owner : table.owners[record];
      if (earlier === owner) return { orbit: table.orbitSince(record), transientTicks: table.tickOf(record) };
      const known = this.settled[earlier];
      if (!known.orbit.exact) continue;
      const ticksToGo = Math.max(0, known.transientTicks - table.tickOf(record));
      return { orbit: known.orbit, transientTicks: m.now + ticksToGo };
    }
    const since = atHalfway ?? new Int32Array(counterCountOf(strand));
    const measured = this.tickLimit - (atHalfway === undefined ? 0 : halfway);
    return { orbit: orbitFrom(m, strand, since, 0, measured, false), transientTicks: this.tickLimit - measured };
  }
}

/**
 * How a strand goes on from where it stands, found by its parts, each run by itself; undefined, and the machine as it
 * was, where it has none, or one does not do by itself what it would do together with the others.
 */
function settleParts(m: Machine, strand: Strand, shouldStop: ShouldStop): Settled | undefined {
  const parts = partsOf(m, strand);
  if (parts === undefined) return undefined;
  const { now, watch } = m;
  const kept = changing(m).map((numbers) => numbers.slice());
  const putBack = (): void => {
    changing(m).forEach((numbers, index) => {
      numbers.set(kept[index]);
    });
    m.now = now;
    m.watch = watch;
  };
  const ends: Settled[] = [];
  for (const { strand: part, free } of parts) {
    m.laneHeld.fill(FAR);
    m.opened = false;
    const end = new SteadyStates(m, now * (1 + PART_TICKS), MOST_NUMBERS, part, PART_QUIET_TICKS, shouldStop).goOn();
    const holds = end.orbit.exact && !m.opened && free.every(({ lane, held }) => m.laneHeld[lane] >= held);
    putBack();
    if (!holds) return undefined;
    ends.push(end);
  }
  const orbit = jointOrbit(countedOnce(ends.map((end) => end.orbit), parts));
  if (orbit === undefined) return undefined;
  const exitPeriods = new Map(parts.flatMap((part, index) => [...part.strand.exitLanes].map((lane) => [lane, ends[index].orbit.periodTicks] as const)));
  return { orbit, transientTicks: Math.max(...ends.map(({ transientTicks }) => transientTicks)), exitPeriods };
}

/** Parts may share arms: these count in the first of them alone. */
function countedOnce(orbits: readonly Orbit[], parts: readonly StrandPart[]): readonly Orbit[] {
  const counted = new Set<number>();
  return orbits.map((orbit, index) => {
    const again = [...parts[index].strand.arms].filter((arm) => counted.has(arm));
    for (const arm of parts[index].strand.arms) counted.add(arm);
    const without = (counts: Counts): Counts => counts.map((count, arm) => (again.includes(arm) ? 0 : count));
    return { ...orbit, ...ofArms((counter) => without(orbit[counter])) };
  });
}

/** An arm that fills a lane from a container, if there is one: it goes on as long as anything flows. */
const preferredArm = (m: Machine, { arms }: Strand): number =>
  arms.find((arm) => m.armPickKind[arm] === ArmEndKind.container) ?? (arms.length > 0 ? arms[0] : WATCH_ALL);
