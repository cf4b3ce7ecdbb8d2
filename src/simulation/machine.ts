/**
 * The simulator's memory: one connected piece of a layout as flat arrays of whole numbers, written by
 * `compile.ts`, advanced by `tick.ts`. A machine belongs to one run at a time; `resetMachine` starts anew.
 *
 * Lanes hold their items foremost first, at positions measured from the lane's tail (`lanes.ts`). A lane may
 * span several tiles. A splitter half has, on each side, an input and an output lane, which meet at
 * the dividing line (the output lane's position 0).
 */

/** What takes the items at a lane's end. */
export const Link = {
  /** Nothing: items stop at the end. */
  nothing: 0,
  /** The lane `laneTo`, at its tail. */
  onward: 1,
  /** A tee merge into the lane `laneTo`, at `laneJoin`. */
  tee: 2,
  /** The exit lane `laneTo` (exit x 2 + side). */
  exit: 3,
  /** A splitter's dividing line; the splitter moves such lanes itself. */
  line: 4,
} as const;

export const Op = {
  /** Move lane `opFirst`. */
  move: 0,
  /** Move lanes `opFirst` (the left one) and `opSecond`, in the order that the metered exit's turn decides. */
  meter: 1,
  /** At `opFirst` (splitter x 2 + side) items go over the line, then the two input lanes of that side move. */
  cross: 2,
  /** Entry `opFirst` lets items in over its edge, onto the lanes that its two lanes link to. */
  enter: 3,
  /** In parts of a strand only (`decouple.ts`): move lane `opFirst`, which nothing takes items from at its end. */
  stop: 4,
  /** Move lane `opFirst`, whose items have a free way and are gone beyond its end. */
  drain: 5,
  /** Note in `opened` if the tee merge at the end of lane `opFirst` would take an item, should one wait there. */
  guard: 6,
} as const;

export const ArmEndKind = { container: 0, lane: 1, line: 2 } as const;

/** `release`: at the place side, with items already put down in this visit. */
export const Phase = { pick: 0, place: 1, release: 2 } as const;

/** Stretches of lanes that an arm looks at when it picks from a carrier: at most two lanes of two segments. */
export const PICK_STRETCHES = 4;

/**
 * What of a machine may be advanced by itself: lanes that influence each other, with all that acts on them, as indices
 * (`strands.ts`). Its steps are in the order of moves.
 */
export interface Strand {
  readonly opKind: Int32Array;
  readonly opFirst: Int32Array;
  readonly opSecond: Int32Array;
  readonly lanes: Int32Array;
  /** Splitter x 2 + side. */
  readonly turns: Int32Array;
  /** Exit x 2 + side. */
  readonly exitLanes: Int32Array;
  /** Exits with a limit. */
  readonly meters: Int32Array;
  readonly entries: Int32Array;
  readonly arms: Int32Array;
}

export interface Machine {
  readonly pitch: number;
  /** Whether items may enter a lane that has not moved yet in this tick. */
  readonly opensRing: boolean;

  readonly laneLength: Int32Array;
  readonly laneSpeed: Int32Array;
  /** Where the lane's room in `position` begins; one entry more than lanes. The rest of items is in `lanes.ts`. */
  readonly laneBase: Int32Array;
  readonly laneHead: Int32Array;
  readonly laneCount: Int32Array;
  readonly laneShift: Int32Array;
  readonly lanePacked: Int32Array;
  readonly laneLink: Int32Array;
  readonly laneTo: Int32Array;
  readonly laneJoin: Int32Array;
  /** The lane that flows onward into this one, or -1. */
  readonly laneUp: Int32Array;
  /** Since somebody set it: no item further upstream than this has been kept from a whole move (FAR: none at all). */
  readonly laneHeld: Int32Array;
  /** Since somebody set it: items that left the lane by a tee merge. */
  readonly laneTeed: Int32Array;
  readonly position: Int32Array;

  readonly whole: Strand;

  /** [splitter x 4 + half x 2 + side]: lanes. */
  readonly splitterIn: Int32Array;
  readonly splitterOut: Int32Array;
  /** Half that is always tried first, or -1. */
  readonly splitterFavourIn: Int32Array;
  readonly splitterFavourOut: Int32Array;
  /** [splitter x 2 + side]: half that goes first next time. */
  readonly toggleIn: Int32Array;
  readonly toggleOut: Int32Array;

  /** What one item costs in the exit's own unit of credit, gained per tick in `exitGain`; 0 for an open exit. */
  readonly exitPrice: Float64Array;
  readonly exitGain: Float64Array;
  readonly exitCredit: Float64Array;
  /** Side of the last item that left: 0 left, 1 right. */
  readonly exitLast: Int32Array;
  /** Speed of the exit's tile. */
  readonly exitSpeed: Int32Array;
  /** [exit x 2 + side]: items that left since the reset. */
  readonly exitCount: Int32Array;
  /** [exit x 2 + side]: first and last item since the gaps were cleared (tick -1: none), and the greatest gap. */
  readonly gapFirstTick: Int32Array;
  readonly gapFirstRest: Int32Array;
  readonly gapLastTick: Int32Array;
  readonly gapLastRest: Int32Array;
  readonly gapGreatest: Float64Array;

  /**
   * Entries. Each has two lanes of its own, `entryLane` and the one after it, one pitch long, on which only the foremost
   * item of an endless packed queue is kept: the next one stands a pitch behind it. Prices and gains as of exits.
   */
  readonly entryLane: Int32Array;
  readonly entryPrice: Float64Array;
  readonly entryGain: Float64Array;
  readonly entryCredit: Float64Array;
  /** Side of the last item that came in: 0 left, 1 right. */
  readonly entryLast: Int32Array;
  /** [entry x 2 + side]: items that came in since the reset. */
  readonly entryCount: Int32Array;

  readonly armPickKind: Int32Array;
  /** [arm x PICK_STRETCHES + k]: lane (or -1), and the stretch from (exclusive) to (inclusive). */
  readonly armPickLane: Int32Array;
  readonly armPickFrom: Int32Array;
  readonly armPickTo: Int32Array;
  readonly armPlaceKind: Int32Array;
  /** Lane, or splitter x 2 + side for a dividing line. */
  readonly armPlaceLane: Int32Array;
  /** Positions on the lane, or furthest beyond the line (`armPlaceTo`), that an item may get. */
  readonly armPlaceFrom: Int32Array;
  readonly armPlaceTo: Int32Array;
  readonly armPayload: Int32Array;
  readonly armSwing: Int32Array;
  readonly armGrab: Int32Array;
  readonly armRelease: Int32Array;
  /** -1: none. */
  readonly armPatience: Int32Array;

  readonly armPhase: Int32Array;
  readonly armHand: Int32Array;
  /** First tick in which the arm may do something. */
  readonly armDue: Int32Array;
  /** At a belt with a part-full hand: first tick in which it may take again, and tick of the last take. */
  readonly armGrabDue: Int32Array;
  readonly armLastTake: Int32Array;
  /** Since the reset: items taken, items placed, hands emptied, ticks waited to pick, ticks waited to place. */
  readonly armTaken: Int32Array;
  readonly armPlaced: Int32Array;
  readonly armCycles: Int32Array;
  readonly armStarved: Int32Array;
  readonly armBlocked: Int32Array;

  /** Rings only: lanes that have moved in this tick, and items that entered lanes that had not. */
  readonly laneMoved: Uint8Array;
  readonly earlyLane: Int32Array;
  readonly earlyPosition: Int32Array;
  earlyCount: number;

  /** Set where a tee merge that is watched would have taken an item. */
  opened: boolean;
  /** The tick that comes next. */
  now: number;
  /** An arm whose visits `tick.ts` reports, WATCH_ALL or WATCH_NONE. */
  watch: number;
}

/** Beyond every position; small enough to add lane lengths to. */
export const FAR = 0x3fff_ffff;

/** All that a run changes, but for the clock and for what is only watched. */
export const changing = (m: Machine): readonly (Int32Array | Float64Array)[] => [
  m.position, m.laneHead, m.laneCount, m.laneShift, m.lanePacked,
  m.toggleIn, m.toggleOut,
  m.exitCredit, m.exitLast, m.exitCount,
  m.entryCredit, m.entryLast, m.entryCount,
  m.armPhase, m.armHand, m.armDue, m.armGrabDue, m.armLastTake,
  m.armTaken, m.armPlaced, m.armCycles, m.armStarved, m.armBlocked,
];

/** Ticks that fit into 32 bits. */
const LONGEST_CLOCK = 2 ** 31 - 1;

export const WATCH_ALL = -1;
export const WATCH_NONE = -2;

/** Back to empty belts, toggles left, and arms empty at their pick sides, each held back by its delay in ticks. */
export function resetMachine(machine: Machine, delays?: ArrayLike<number>): void {
  machine.now = 0;
  machine.earlyCount = 0;
  machine.laneCount.fill(0);
  machine.laneShift.fill(0);
  machine.lanePacked.fill(0);
  for (let lane = 0; lane < machine.laneHead.length; lane++) machine.laneHead[lane] = machine.laneBase[lane];
  machine.toggleIn.fill(0);
  machine.toggleOut.fill(0);
  machine.exitCredit.fill(0);
  // The left lane goes first at the start, as if the last item had come from the right one.
  machine.exitLast.fill(1);
  machine.exitCount.fill(0);
  resetEntries(machine);
  clearGaps(machine);
  machine.armPhase.fill(0);
  machine.armHand.fill(0);
  machine.armGrabDue.fill(0);
  machine.armLastTake.fill(0);
  machine.armTaken.fill(0);
  machine.armPlaced.fill(0);
  machine.armCycles.fill(0);
  machine.armStarved.fill(0);
  machine.armBlocked.fill(0);
  // No run is as long as the longest clock: an arm that is held back for longer stands idle throughout all the same.
  for (let arm = 0; arm < machine.armDue.length; arm++) machine.armDue[arm] = delays === undefined ? 0 : Math.min(delays[arm], LONGEST_CLOCK);
}

/** At each entry's edge stands the first item of either lane. */
function resetEntries(machine: Machine): void {
  machine.entryCredit.fill(0);
  machine.entryLast.fill(1);
  machine.entryCount.fill(0);
  for (const left of machine.entryLane) {
    for (let lane = left; lane < left + 2; lane++) {
      machine.laneCount[lane] = 1;
      machine.position[machine.laneBase[lane]] = machine.pitch;
    }
  }
}

export function clearGaps(machine: Machine): void {
  machine.gapFirstTick.fill(-1);
  machine.gapLastTick.fill(-1);
  machine.gapGreatest.fill(-1);
}
