/**
 * A brief as flat arrays for the search: tiles, neighbours, exits, models by cost, rates as whole
 * numbers. Built once a brief; the search itself allocates nothing of this.
 */
import { flowForTrains } from '../../brief/asked-trains.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import { HEADINGS, boxHolds, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { isOnTrack, isWithin, rowsOf, tilesWithin, topOf } from '../../base/ground.js';
import { maxRational, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { wagonAt } from '../../layout/layout.js';
import type { ArmModel, BeltModel, ChestModel, SplitterModel, UnderpassModel } from '../../catalog/catalog.js';
import { armRateBound, bestLaneRate, bestLineRate, endRateBound, fillRate, outputTicks, passRateBound, plainEndRateBound, type OutputTicks } from '../rates/rate-model.js';
import { rateScale, ROOM_ABOVE, type RateScale } from '../rates/rate-scale.js';

/** Index of a heading: quarter turns clockwise from N. */
type HeadingIndex = number;
export const back = (heading: HeadingIndex): HeadingIndex => (heading + 2) & 3;
export const right = (heading: HeadingIndex): HeadingIndex => (heading + 1) & 3;
export const left = (heading: HeadingIndex): HeadingIndex => (heading + 3) & 3;
export const headingOf = (index: HeadingIndex): Heading => HEADINGS[index];
export const indexOfHeading = (heading: Heading): HeadingIndex => HEADINGS.indexOf(heading);

/** What an exit asks for, in scaled units per tick. */
interface ScaledDemand {
  readonly left: number;
  readonly right: number;
  readonly total: number;
}

export interface SiteMap {
  readonly brief: Brief;
  readonly width: number;
  /** Rows of tiles, of both sides and of the track between them. */
  readonly depth: number;
  /** The y of the first row. */
  readonly top: number;
  readonly tiles: number;
  /** [tile * 4 + heading]: the next tile that way, or -1 outside. */
  readonly neighbour: Int32Array;
  /** 1 where nothing may stand: kept out, or track. */
  readonly keepOut: Uint8Array;
  /** [tile * 4 + heading]: bit e set where exit demand e may leave over that edge; the schema allows 32 exits. */
  readonly exitsAt: Int32Array;
  /** Cheapest first; equal costs by name. */
  readonly belts: readonly BeltModel[];
  /** Indices of the belts worth using anywhere: of equal speeds only the cheapest. */
  readonly bodyBelts: readonly number[];
  /** Without those that another one of equal speed undercuts; so too the underpasses, of no greater span. */
  readonly splitters: readonly SplitterModel[];
  readonly underpasses: readonly UnderpassModel[];
  /** Greatest span of any underpass; 0 without one. */
  readonly longestSpan: number;
  readonly arms: readonly ArmModel[];
  /** Only the cheapest: in a steady run no chest differs from another but in price. */
  readonly chests: readonly ChestModel[];
  /** Index into belts of each exit demand's model. */
  readonly exitBelt: readonly number[];
  readonly demands: readonly ScaledDemand[];
  /** Scaled: all demands together, and what a common target or trains ask for beyond them, from whichever exits. */
  readonly wanted: number;
  readonly scale: RateScale;
  /** [speed]: the most that passes along a lane, v / P unless turns are short, scaled; see `passRateBound`. */
  readonly capacities: Float64Array;
  /** [speed]: the most that leaves a lane on which items are set down near its end; see `endRateBound`. */
  readonly endCapacities: Float64Array;
  /** [speed]: the same where nothing is set down and one carrier feeds it; see `plainEndRateBound`. */
  readonly plainCapacities: Float64Array;
  readonly mostLaneCapacity: number;
  /** Scaled bound of arm model m at quarter q of a lane of that speed: [m * 3 + q - 1]. */
  readonly laneRates: ReadonlyMap<number, Float64Array>;
  /** Scaled bound of arm model m at a dividing line of that speed: [m * 2 + outputs - 1]. */
  readonly lineRates: ReadonlyMap<number, Float64Array>;
  /** [speed][arm model]: what bounds its items that go to one output of such a line. */
  readonly outputTicks: ReadonlyMap<number, readonly (OutputTicks | undefined)[]>;
  /** Scaled best bound of each arm model over all lanes, and what a dividing line can add to it. */
  readonly bestLane: readonly number[];
  readonly lineGain: readonly number[];
  /** Scaled supply of each arm model that fills a chest, times presence. */
  readonly fillRates: readonly number[];
}

const byCost = <T extends { readonly cost: number; readonly name: string }>(models: readonly T[], price: Price): readonly T[] =>
  [...models]
    .sort((a, b) => a.cost - b.cost || (a.name < b.name ? -1 : 1))
    .map((model) => (price === 'cost' ? model : { ...model, cost: 1 }));

/** Flow networks add some tens of these; 2^53 leaves ample room. */
const MOST_FACTOR = 1_000_000_000;

export const demandOf = (demand: ExitDemand): Rational => {
  const lanes = demand.target.left.add(demand.target.right);
  return lanes.compare(demand.target.total) > 0 ? lanes : demand.target.total;
};

/** Whether either may be called the other. */
export const areAlike = (a: ExitDemand, b: ExitDemand): boolean =>
  a.edge === b.edge && a.from === b.from && a.to === b.to && a.belt === b.belt &&
  a.target.total.equals(b.target.total) && a.target.left.equals(b.target.left) && a.target.right.equals(b.target.right);

/** Of all exits together, common target, trains and all. */
export const totalDemand = (brief: Brief): Rational =>
  [brief.together ?? ZERO, sumRational(brief.exits.map(demandOf)), flowForTrains(brief)].reduce(maxRational);

/** The same, scaled: no more than what each exit asks for, rounded down, where they ask for all of it; one more where that is to be exceeded. */
export const scaledTotal = (brief: Brief, scale: RateScale): number => {
  const targets = Math.max(
    brief.exits.reduce((sum, exit) => sum + scale.demand(demandOf(exit)), 0),
    scale.demand(brief.together ?? ZERO),
  );
  return Math.max(targets + (brief.exceed === true ? 1 : 0), scale.demand(flowForTrains(brief)));
};

/** Every rate that a brief asks for. */
export const targetRates = ({ exits, together }: Brief): readonly Rational[] => [
  ...exits.flatMap(({ target }) => [target.left, target.right, target.total]),
  ...(together === undefined ? [] : [together]),
];

const bySpeed = (entries: readonly (readonly [number, number])[]): Float64Array => {
  const values = new Float64Array(Math.max(...entries.map(([speed]) => speed)) + 1);
  for (const [speed, value] of entries) values[speed] = value;
  return values;
};

/** Scaled bound of an arm at a quarter of a lane, and at a dividing line with so many outputs. */
export const laneRate = (map: SiteMap, speed: number, arm: number, quarter: number): number =>
  map.laneRates.get(speed)?.[arm * 3 + quarter - 1] ?? 0;
export const lineRate = (map: SiteMap, speed: number, arm: number, outputs: 1 | 2): number =>
  map.lineRates.get(speed)?.[arm * 2 + outputs - 1] ?? 0;

/**
 * Scaled bound of what an arm that gives `least` at least sets down for one of two outputs of a dividing line. Its hands, of
 * `payload` items at most, each take `between` ticks, and each item for that output `apart` more; so of T ticks no more are left
 * for these than hands with `least` of T items leave, nor than hands of nothing else.
 */
export function outputRate({ outputTicks, arms, scale }: SiteMap, speed: number, arm: number, least: number): number {
  const ticks = outputTicks.get(speed)?.[arm];
  if (ticks === undefined) return Infinity;
  const { apart, between } = ticks;
  const { payload } = arms[arm];
  const beside = (scale.factor * payload - Math.max(0, least) * between) / (payload * apart);
  const alone = (scale.factor * payload) / (payload * apart + between);
  return scale.unit * Math.ceil(Math.min(beside, alone) / scale.unit);
}

/** From the number of a tile to where it lies, and back. */
export const placeOf = ({ width, top }: SiteMap, tile: number): Tile => ({ x: tile % width, y: top + Math.floor(tile / width) });
export const numberOf = ({ width, top }: SiteMap, { x, y }: Tile): number => (y - top) * width + x;

/** The catalog's model of that name: a map's may have another price. */
export const inCatalog = <T extends { readonly name: string }>(models: readonly T[], model: T): T => models.find(({ name }) => name === model.name) ?? model;

/** What the search adds up: the catalog's costs, or parts counted one by one. */
export type Price = 'cost' | 'parts';
export const priceOf = ({ minimise }: Brief): Price => (minimise[0] === 'parts' ? 'parts' : 'cost');

export function siteMap(brief: Brief, price: Price = 'cost'): SiteMap {
  const ground = groundOf(brief);
  const models = modelsOf(brief, price);
  const speeds = [...new Set([...models.belts, ...models.splitters, ...models.underpasses].map((model) => model.speed))];
  const exact = exactRates(brief, models, speeds);
  const scale = rateScale(
    [...exact.lanes.flat(2), ...exact.lines.flat(2), ...exact.fills, ...exact.capacities, ...exact.endCapacities, ...exact.plainCapacities, ...targetRates(brief)],
    MOST_FACTOR,
    brief.exceed === true ? ROOM_ABOVE : 1,
  );
  const { width, depth, top, tiles, neighbour, keepOut, exitsAt } = ground;
  const { belts, bodyBelts, splitters, underpasses, longestSpan, arms, chests, exitBelt } = models;
  const { demands, wanted } = scaledDemands(brief, scale);
  const rates = scaledRates(brief, models, speeds, exact, scale);
  const { capacities, endCapacities, plainCapacities, mostLaneCapacity, laneRates, lineRates, outputTicks: ticks, bestLane, lineGain, fillRates } = rates;
  // The search reads this all the time: one literal, whose fields are found quickest.
  return {
    brief, width, depth, top, tiles, neighbour, keepOut, exitsAt,
    belts, bodyBelts, splitters, underpasses, longestSpan, arms, chests, exitBelt,
    demands, wanted, scale,
    capacities, endCapacities, plainCapacities, mostLaneCapacity, laneRates, lineRates, outputTicks: ticks, bestLane, lineGain, fillRates,
  };
}

/** Tiles with their neighbours and exits. */
function groundOf(brief: Brief): Pick<SiteMap, 'width' | 'depth' | 'top' | 'tiles' | 'neighbour' | 'keepOut' | 'exitsAt'> {
  const { site } = brief;
  const { width } = site;
  const depth = rowsOf(site);
  const top = topOf(site);
  const tiles = width * depth;
  const neighbour = new Int32Array(tiles * 4).fill(-1);
  const keepOut = new Uint8Array(tiles);
  const exitsAt = new Int32Array(tiles * 4);
  tilesWithin(site).forEach((at, tile) => {
    const { x, y } = at;
    if (isOnTrack(site, at) || site.keepOut.some((box) => boxHolds(box, at))) keepOut[tile] = 1;
    HEADINGS.forEach((heading, index) => {
      const next = stepFrom(at, heading);
      if (isWithin(site, next)) neighbour[tile * 4 + index] = (next.y - top) * width + next.x;
      else if (!isOnTrack(site, at) && wagonAt(brief.wagons, next) === undefined) {
        brief.exits.forEach((demand, exit) => {
          const along = heading === 'N' || heading === 'S' ? x : y;
          if (demand.edge === heading && along >= demand.from && along <= demand.to) {
            exitsAt[tile * 4 + index] |= 1 << exit;
          }
        });
      }
    });
  });
  return { width, depth, top, tiles, neighbour, keepOut, exitsAt };
}

type Models = Pick<SiteMap, 'belts' | 'bodyBelts' | 'splitters' | 'underpasses' | 'longestSpan' | 'arms' | 'chests' | 'exitBelt'>;

/** Those worth using, the cheapest first. */
function modelsOf({ catalog, exits }: Brief, price: Price): Models {
  const belts = byCost(catalog.belts, price);
  // Parts of equal speed act alike, so the dearer of two is never needed.
  const bodyBelts = belts.map((_, m) => m).filter((m) => belts.findIndex((other) => other.speed === belts[m].speed) === m);
  const splitters = byCost(catalog.splitters, price).filter(
    (model, m, all) => all.findIndex((other) => other.speed === model.speed) === m,
  );
  const underpasses = byCost(catalog.underpasses, price).filter(
    (model, m, all) => all.findIndex((other) => other.speed === model.speed && other.span >= model.span) === m,
  );
  return {
    belts,
    bodyBelts,
    splitters,
    underpasses,
    longestSpan: underpasses.reduce((most, model) => Math.max(most, model.span), 0),
    arms: byCost(catalog.arms, price),
    chests: byCost(catalog.chests, price).slice(0, 1),
    exitBelt: exits.map((demand) => belts.findIndex((model) => model.name === demand.belt.name)),
  };
}

/** What the rate model says, by speed as far as that matters. */
interface ExactRates {
  /** [speed][arm model][quarter - 1] */
  readonly lanes: readonly (readonly (readonly Rational[])[])[];
  /** [speed][arm model][outputs - 1] */
  readonly lines: readonly (readonly (readonly Rational[])[])[];
  /** [arm model] */
  readonly fills: readonly Rational[];
  readonly capacities: readonly Rational[];
  readonly endCapacities: readonly Rational[];
  readonly plainCapacities: readonly Rational[];
}

function exactRates({ catalog, presence }: Brief, { arms }: Models, speeds: readonly number[]): ExactRates {
  const line = (arm: ArmModel, speed: number, outputs: 1 | 2): Rational =>
    armRateBound(catalog, arm, { kind: 'line', speed, outputs, testsEndAfter: 0 });
  return {
    lanes: speeds.map((speed) => arms.map((arm) => ([1, 2, 3] as const).map((quarter) => bestLaneRate(catalog, arm, speed, [quarter])))),
    lines: speeds.map((speed) => arms.map((arm) => [line(arm, speed, 1), line(arm, speed, 2)])),
    fills: arms.map((arm) => fillRate(arm).mul(presence)),
    capacities: speeds.map((speed) => passRateBound(catalog, speed)),
    endCapacities: speeds.map((speed) => endRateBound(catalog, speed)),
    plainCapacities: speeds.map((speed) => plainEndRateBound(catalog, speed)),
  };
}

function scaledDemands(brief: Brief, scale: RateScale): Pick<SiteMap, 'demands' | 'wanted'> {
  const asked = (rate: Rational): number => (brief.exceed === true ? scale.demandAbove(rate) : scale.demand(rate));
  const demands = brief.exits.map((demand): ScaledDemand => {
    const [onLeft, onRight] = [asked(demand.target.left), asked(demand.target.right)];
    return { left: onLeft, right: onRight, total: Math.max(asked(demandOf(demand)), onLeft + onRight) };
  });
  const wanted = Math.max(demands.reduce((sum, { total }) => sum + total, 0), asked(brief.together ?? ZERO), scale.demand(flowForTrains(brief)));
  return { demands, wanted };
}

type Rates = Pick<
  SiteMap,
  'capacities' | 'endCapacities' | 'plainCapacities' | 'mostLaneCapacity' | 'laneRates' | 'lineRates' | 'outputTicks' | 'bestLane' | 'lineGain' | 'fillRates'
>;

function scaledRates({ catalog }: Brief, { arms, splitters }: Models, speeds: readonly number[], exact: ExactRates, scale: RateScale): Rates {
  const ofSpeeds = (rates: readonly Rational[]): Float64Array => bySpeed(speeds.map((speed, s) => [speed, scale.supply(rates[s])]));
  const ofArms = (rates: ExactRates['lanes']): ReadonlyMap<number, Float64Array> =>
    new Map(speeds.map((speed, s) => [speed, Float64Array.from(rates[s].flatMap((row) => row.map((rate) => scale.supply(rate))))]));
  const bestLane = arms.map((_, m) => Math.max(...exact.lanes.flatMap((row) => row[m].map((rate) => scale.supply(rate)))));
  return {
    capacities: ofSpeeds(exact.capacities),
    endCapacities: ofSpeeds(exact.endCapacities),
    plainCapacities: ofSpeeds(exact.plainCapacities),
    mostLaneCapacity: Math.max(...exact.endCapacities.map((capacity) => scale.supply(capacity))),
    laneRates: ofArms(exact.lanes),
    lineRates: ofArms(exact.lines),
    outputTicks: new Map(speeds.map((speed) => [speed, arms.map((arm) => outputTicks(catalog, arm, speed))])),
    bestLane,
    lineGain: arms.map((arm, m) =>
      Math.max(0, ...splitters.map(({ speed }) => scale.supply(bestLineRate(catalog, arm, speed)) - bestLane[m])),
    ),
    fillRates: exact.fills.map((rate) => scale.supply(rate)),
  };
}
