/**
 * A layout as one machine with real counts in its wagons and chests (world rules, section 6, visit runs): what they
 * hold, and the little that is noted of every tick. One tick is in `stocked-tick.ts`; trains are in `visit-run.ts`.
 */
import type { Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import type { VisitTerms } from './visit-result.js';
import type { Layout } from '../layout/layout.js';
import type { ArmEnd, Network } from '../layout/network.js';
import { compileWhole, type CompileOptions, type Piece } from './compile.js';
import { resetMachine, WATCH_NONE, type Machine } from './machine.js';

export interface Stock {
  readonly layout: Layout;
  readonly network: Network;
  readonly piece: Piece;
  readonly machine: Machine;
  /** The network's arms and the layout's exits that the machine's ones stand for. */
  readonly arms: readonly number[];
  readonly exits: readonly number[];

  /** Containers: first the wagons, in the layout's order, then the chests, in that of its parts. */
  readonly wagons: number;
  readonly chestParts: readonly number[];
  readonly held: Float64Array;
  /** Most that each may hold; 0 where no wagon stands. */
  readonly capacity: Float64Array;
  /** By arm of the machine: the container that it picks from or places into, or -1. */
  readonly armFrom: Int32Array;
  readonly armInto: Int32Array;

  /**
   * Since they were last cleared: the least that was held beyond a full hand when an arm wanted to pick (below 0: it
   * got less), and the least room beyond a hand when one wanted to place; Infinity where none did.
   */
  readonly pickSpare: Float64Array;
  readonly placeSpare: Float64Array;
  readonly lowest: Float64Array;
  readonly highest: Float64Array;
  /** The extremes before those, since a visit began. */
  readonly visitLowest: Float64Array;
  readonly visitHighest: Float64Array;
  /** The arm that took last from each container, or -1. */
  readonly lastTaker: Int32Array;
  /** The arm that placed last into each container, or -1. */
  readonly lastPlacer: Int32Array;

  /** Ticks of the run that the machine was not taken through, one by one (`leap.ts`). */
  skippedTicks: number;
  /** By exit of the machine: items counted so far, the tick in which the last one left (-1: none), and ticks in which none had left for `STARVED_AFTER_SECONDS`. */
  readonly exitSeen: Float64Array;
  readonly exitLastTick: Float64Array;
  readonly exitLongestPause: Float64Array;
  readonly exitStarved: Float64Array;
  readonly starvedAfterTicks: number;
}

/** An exit counts as starved once nothing has left over it for so long. */
const STARVED_AFTER_SECONDS = 1;

/** Ticks of the run that have passed. */
export const ticksPassed = (stock: Stock): number => stock.machine.now + stock.skippedTicks;

/** Where an arm of the machine stands. */
export function armTile({ layout, network, arms }: Stock, arm: number): Tile {
  const part = layout.parts[network.arms[arms[arm]].part];
  invariant(part.kind === 'arm', 'an arm link names an arm', {});
  return part.at;
}

/** Adds the extremes since the last clearing to those of the visit. */
export function foldExtremes({ held, lowest, highest, visitLowest, visitHighest }: Stock): void {
  for (let container = 0; container < held.length; container++) {
    visitLowest[container] = Math.min(visitLowest[container], lowest[container]);
    visitHighest[container] = Math.max(visitHighest[container], highest[container]);
  }
}

/** Begins margins and extremes anew; the visit's own keep what was. */
export function clearNotes(stock: Stock): void {
  foldExtremes(stock);
  stock.pickSpare.fill(Infinity);
  stock.placeSpare.fill(Infinity);
  stock.lowest.set(stock.held);
  stock.highest.set(stock.held);
}

/** Belts empty, arms at their pick sides and perhaps held back, no train there, and `levels` in the chests. */
export function createStock(layout: Layout, { levels, delays }: Pick<VisitTerms, 'levels' | 'delays'>, options?: CompileOptions): Stock {
  const { network, piece } = compileWhole(layout, options);
  const { machine, arms, exits } = piece;
  const chestParts = layout.parts.flatMap((part, index) => (part.kind === 'chest' ? [index] : []));
  const wagons = layout.wagons.length;
  const containers = wagons + chestParts.length;
  const held = new Float64Array(containers);
  const capacity = new Float64Array(containers);
  chestParts.forEach((index, chest) => {
    const part = layout.parts[index];
    if (part.kind === 'chest') capacity[wagons + chest] = part.model.capacity;
    held[wagons + chest] = levels[chest];
  });
  const containerOf = (end: ArmEnd): number =>
    end.kind === 'wagon' ? end.wagon : end.kind === 'chest' ? wagons + chestParts.indexOf(end.part) : -1;
  const partsOfArms = layout.parts.flatMap((part, index) => (part.kind === 'arm' ? [index] : []));
  resetMachine(machine, delays && arms.map((arm) => delays[partsOfArms.indexOf(network.arms[arm].part)]));
  machine.watch = WATCH_NONE;
  const stock: Stock = {
    layout,
    network,
    piece,
    machine,
    arms,
    exits,
    wagons,
    chestParts,
    held,
    capacity,
    armFrom: Int32Array.from(arms, (arm) => containerOf(network.arms[arm].pick)),
    armInto: Int32Array.from(arms, (arm) => containerOf(network.arms[arm].place)),
    pickSpare: new Float64Array(containers),
    placeSpare: new Float64Array(containers),
    lowest: held.slice(),
    highest: held.slice(),
    visitLowest: held.slice(),
    visitHighest: held.slice(),
    lastTaker: new Int32Array(containers).fill(-1),
    lastPlacer: new Int32Array(containers).fill(-1),
    skippedTicks: 0,
    exitSeen: new Float64Array(exits.length),
    exitLastTick: new Float64Array(exits.length).fill(-1),
    exitLongestPause: new Float64Array(exits.length),
    exitStarved: new Float64Array(exits.length),
    starvedAfterTicks: layout.catalog.ticksPerSecond * STARVED_AFTER_SECONDS,
  };
  clearNotes(stock);
  return stock;
}
