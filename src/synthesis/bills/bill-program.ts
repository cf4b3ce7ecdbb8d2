/**
 * The first integer program: how many chests, arms and splitters of each model, so that the rate model
 * allows the target, at least price. It is a relaxation: every layout of the space, its bill and the price
 * of its carriers are a solution, so no layout costs less than its optimum. Bills that were proposed
 * before are cut off; where the parts of a bill stand is for `stand-program.ts` and the search.
 */
import { ONE, ZERO, type Rational } from '../../base/rational.js';
import { flowForTrains, fullLoad } from '../../brief/asked-trains.js';
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../program/program.js';
import { countsOf, type Bill } from '../site/bill.js';
import { dropsOf, type Candidates, type LoadCandidate } from '../site/candidates.js';
import { leastCrossings } from '../carriers/grid-lines.js';
import { cheapestTile, coverCosts } from '../carriers/line-costs.js';
import { leastMoves } from '../site/least-moves.js';
import { bestLaneRate, bestLineRate, endRateBound, fillRate } from '../rates/rate-model.js';
import { rateScale, type RateScale } from '../rates/rate-scale.js';
import { demandOf, scaledTotal, targetRates, totalDemand, type SiteMap } from '../site/site-map.js';
import { mostTakenWherever } from './spotted-supply.js';

/** Keeps coefficients small: a solver's tolerances are relative to them. */
const MOST_FACTOR = 20_000;

interface BillProgram {
  readonly program: Program;
  readonly chests: VariableId;
  readonly fills: readonly VariableId[];
  readonly loads: readonly VariableId[];
  readonly splitters: readonly VariableId[];
  readonly carriers: VariableId;
}

export const one = (variable: VariableId): Term => [1, variable];

/** Rates of each arm model as whole numbers of one scale. */
export interface ScaledRates {
  readonly scale: RateScale;
  /** Onto the best lane. */
  readonly lane: readonly number[];
  /** What the best dividing line adds. */
  readonly gain: readonly number[];
  /** Into a chest, times presence. */
  readonly supply: readonly number[];
  /** Of a lane of each exit's belt. */
  readonly exitLane: readonly number[];
}

const greatest = (rates: readonly Rational[]): Rational => rates.reduce((best, rate) => (rate.compare(best) > 0 ? rate : best));

export function scaledRates(map: SiteMap): ScaledRates {
  const { brief } = map;
  const { catalog } = brief;
  const speeds = [...new Set([...catalog.belts, ...catalog.underpasses, ...map.splitters].map((model) => model.speed))];
  const lane = map.arms.map((arm) => greatest(speeds.map((speed) => bestLaneRate(catalog, arm, speed))));
  const line = map.arms.map((arm, m) => greatest([lane[m], ...map.splitters.map(({ speed }) => bestLineRate(catalog, arm, speed))]));
  const supply = map.arms.map((arm) => fillRate(arm).mul(brief.presence));
  const exitLane = brief.exits.map((exit) => endRateBound(catalog, exit.belt.speed));
  const scale = rateScale([...lane, ...line, ...supply, ...exitLane, ...targetRates(brief)], MOST_FACTOR);
  return {
    scale,
    lane: lane.map((rate) => scale.supply(rate)),
    gain: line.map((rate, m) => scale.supply(rate) - scale.supply(lane[m])),
    supply: supply.map((rate) => scale.supply(rate)),
    exitLane: exitLane.map((rate) => scale.supply(rate)),
  };
}

/** Most candidates that agree in `key` and stand on different tiles. */
function mostTogether<T extends { readonly tile: number }>(all: readonly T[], key: (candidate: T) => number): number {
  const tiles = new Map<number, Set<number>>();
  for (const candidate of all) {
    const at = key(candidate);
    tiles.set(at, (tiles.get(at) ?? new Set()).add(candidate.tile));
  }
  return Math.max(0, ...[...tiles.values()].map((set) => set.size));
}

/** What the program is made of while its rows are written. */
interface Draft extends Omit<BillProgram, 'program'> {
  readonly map: SiteMap;
  readonly spots: Candidates;
  readonly build: ProgramBuilder;
  readonly rates: ScaledRates;
  /** By arm model: of the loads those straight from a wagon, and those at a dividing line. */
  readonly directs: readonly VariableId[];
  readonly atLine: readonly VariableId[];
}

const isDirect = (load: LoadCandidate): boolean => load.chestTile < 0;
const minus = (ids: readonly VariableId[]): readonly Term[] => ids.map((id): Term => [-1, id]);

/**
 * `spare`: how many times the demand the arms must be able to deliver. At 1 the program is the relaxation
 * described above; more gives bills with something in hand, for a scout, and proves nothing.
 */
export function billProgram(
  map: SiteMap,
  spots: Candidates,
  proposed: readonly Bill[],
  mostPrice: number,
  spare: Rational = ONE,
): BillProgram {
  const draft = draftOf(map, spots, mostPrice);
  const { build, chests, fills, loads, splitters, carriers } = draft;
  serveChests(draft);
  const lanes = exitLanes(draft);
  deliver(draft, lanes, spare);
  const armsOnTile = Math.max(1, mostTogether(spots.loads, (load) => load.target));
  build.row([...draft.atLine.map(one), ...splitters.map((id): Term => [-2 * armsOnTile, id])], '<=', 0);
  partWithSplittersOnly(draft, lanes);
  boundCarriers(draft, armsOnTile);
  keepToLimits(draft);
  const price = priceTerms(draft);
  build.row(price, '<=', mostPrice);
  build.objective(price);
  cutOff(build, [chests, ...fills, ...loads, ...splitters], proposed);
  return { program: build.build(), chests, fills, loads, splitters, carriers };
}

function draftOf(map: SiteMap, spots: Candidates, mostPrice: number): Draft {
  const build = new ProgramBuilder('bill of parts', 'minimise');
  const ofModel = (all: readonly { readonly model: number; readonly tile: number }[], m: number): number =>
    new Set(all.filter((candidate) => candidate.model === m).map((candidate) => candidate.tile)).size;
  const direct = spots.loads.filter(isDirect);
  const chests = build.integer('chests', 0, spots.chestTiles.length);
  const fills = map.arms.map((_, m) => build.integer(`fills_${m}`, 0, ofModel(spots.fills, m)));
  const loads = map.arms.map((_, m) => build.integer(`loads_${m}`, 0, ofModel(spots.loads, m)));
  const directs = map.arms.map((_, m) => build.integer(`direct_${m}`, 0, ofModel(direct, m)));
  const splitters = map.splitters.map((_, m) => build.integer(`splitters_${m}`, 0, Math.floor(map.tiles / 2)));
  const atLine = map.arms.map((_, m) => build.integer(`at_line_${m}`, 0, build.upperOf(loads[m])));
  const carriers = build.integer('carriers', 0, mostPrice);
  return { map, spots, build, rates: scaledRates(map), chests, fills, loads, directs, atLine, splitters, carriers };
}

/** Each chest is filled and emptied, by as many arms as can stand around it. */
function serveChests({ map, spots, build, chests, fills, loads, directs, atLine }: Draft): void {
  const fromChests = spots.loads.filter((load) => !isDirect(load));
  build.row([...fills.map(one), [-1, chests]], '>=', 0);
  build.row([...fills.map(one), [-mostTogether(spots.fills, (fill) => fill.chestTile), chests]], '<=', 0);
  build.row([...loads.map(one), ...minus(directs), [-1, chests]], '>=', 0);
  build.row([...loads.map(one), ...minus(directs), [-mostTogether(fromChests, (load) => load.chestTile), chests]], '<=', 0);
  map.arms.forEach((_, m) => {
    build.row([one(directs[m]), [-1, loads[m]]], '<=', 0);
    build.row([one(atLine[m]), [-1, loads[m]]], '<=', 0);
  });
}

/** The flow over each lane of each exit: as much as the brief asks for. */
function exitLanes({ map, build, rates }: Draft): readonly VariableId[] {
  const { brief } = map;
  const lanes = brief.exits.flatMap((exit, e) => {
    const sides = ['left', 'right'] as const;
    const least = (side: 'left' | 'right'): number => Math.min(rates.exitLane[e], rates.scale.demand(exit.target[side]));
    const flows = sides.map((side) => build.continuous(`flow_${e}_${side}`, least(side), rates.exitLane[e]));
    build.row(flows.map(one), '>=', rates.scale.demand(demandOf(exit)));
    return flows;
  });
  if (brief.together !== undefined) build.row(lanes.map(one), '>=', rates.scale.demand(brief.together));
  if (brief.limits.trainsPerHour !== undefined) build.row(lanes.map(one), '>=', rates.scale.demand(flowForTrains(brief)));
  return lanes;
}

/** No more flows than arms deliver, and than chests are filled. */
function deliver({ map, spots, build, rates, fills, loads, directs, atLine }: Draft, lanes: readonly VariableId[], spare: Rational): void {
  const { brief } = map;
  const takes = map.arms.flatMap((_, m): Term[] => [[rates.supply[m], fills[m]], [rates.lane[m] + rates.gain[m], directs[m]]]);
  // No train stands for less than its load by all that arms can take out of it: see train-bounds.ts.
  if (brief.limits.dwell !== undefined) {
    const needed = rates.scale.demand(fullLoad(brief).div(brief.limits.dwell).mul(brief.presence));
    // A dwell of next to nothing needs more than the program can hold a number for: no arms come near that either.
    build.row(takes, '>=', Math.min(needed, Number.MAX_SAFE_INTEGER));
  }
  const delivered = map.arms.flatMap((_, m): Term[] => [[rates.lane[m], loads[m]], [rates.gain[m], atLine[m]]]);
  build.row([...delivered, ...minus(lanes)], '>=', 0);
  if (spare.compare(ONE) > 0) build.row(delivered, '>=', rates.scale.supply(totalDemand(brief).mul(spare)));
  build.row([...takes, ...minus(lanes)], '>=', 0);
  // Rounded up: as many arms of the best kind as the whole demand takes, and as many to fill.
  const demand = scaledTotal(brief, rates.scale);
  // All that lets flows through is whole, so flows that exceed what is asked leave room for one more of all of them.
  if (brief.exceed === true) build.row(lanes.map(one), '>=', demand);
  const bestRate = Math.max(1, ...rates.lane.map((rate, m) => rate + rates.gain[m]));
  build.row(loads.map(one), '>=', Math.ceil(demand / bestRate));
  if (!spots.loads.some(isDirect)) build.row(fills.map(one), '>=', Math.ceil(demand / Math.max(1, ...rates.supply)));
  if (brief.spotting > 0) {
    const most = mostTakenWherever(map, spots, rates);
    // A row that could not bind would only lead solvers to other answers of the same price.
    if (most < demand) build.row(lanes.map(one), '<=', most);
  }
}

/** Without a splitter no arm's items part: each arm feeds one lane of one exit. */
function partWithSplittersOnly({ map, build, rates, loads, splitters }: Draft, lanes: readonly VariableId[]): void {
  const any = splitters.length === 0 ? undefined : build.binary('any_splitter');
  if (any !== undefined) build.row([...splitters.map(one), [-1, any]], '>=', 0);
  const unless = (most: number): readonly Term[] => (any === undefined ? [] : [[most, any]]);
  const shares = lanes.map((flow, lane) => {
    const counts = map.arms.map((_, m) => build.integer(`share_${lane}_${m}`, 0, build.upperOf(loads[m])));
    build.row(
      [...counts.map((share, m): Term => [rates.lane[m], share]), ...unless(build.upperOf(flow)), [-1, flow]],
      '>=',
      0,
    );
    return counts;
  });
  // An exit that asks for nothing alone is still to be reached.
  map.brief.exits.forEach((exit, e) => {
    if (demandOf(exit).compare(ZERO) > 0) return;
    build.row([...shares.slice(2 * e, 2 * e + 2).flat().map(one), ...unless(1)], '>=', 1);
  });
  map.arms.forEach((_, m) => {
    const most = -build.upperOf(loads[m]) * lanes.length;
    build.row([...shares.map((counts) => one(counts[m])), [-1, loads[m]], ...unless(most)], '<=', 0);
  });
}

/** The moves from the nearest drop tile to an exit, and a carrier for each drop tile. */
function boundCarriers({ map, spots, build, loads, splitters, carriers }: Draft, armsOnTile: number): void {
  const cover = coverCosts(map);
  const tile = cheapestTile(map);
  // Each exit's belt is a tile of its own that makes the last move, at its own price.
  const exitPrice = map.exitBelt.reduce((sum, belt) => sum + map.belts[belt].cost, 0);
  const moves = spots.loads.reduce((least, load) => Math.min(least, leastMoves(map, load.target)), cover.length - 1);
  // What one splitter can spare at most: the steepest rise of the cover's price over that many moves.
  const perSplitter = map.demands.length > 1 ? 3 : 2;
  let spared = 0;
  for (let n = 1; n < cover.length; n++) spared = Math.max(spared, cover[n] - cover[Math.max(0, n - perSplitter)]);
  // Beyond all drop tiles, lines must be crossed as often as the demand takes belts.
  const crossings = leastCrossings(map, dropsOf(spots)) - map.demands.length;
  build.row([one(carriers), ...splitters.map((id): Term => [spared, id])], '>=', cover[Math.max(moves - 1, crossings)] + exitPrice);
  build.row([one(carriers)], '>=', exitPrice);
  build.row(
    [
      [armsOnTile, carriers],
      ...loads.map((id): Term => [-tile, id]),
      ...splitters.map((id): Term => [2 * armsOnTile * tile, id]),
    ],
    '>=',
    0,
  );
}

/** Those of the brief, and that all parts stand on different tiles. */
function keepToLimits({ map, build, chests, fills, loads, splitters, carriers }: Draft): void {
  const { limits, exits } = map.brief;
  const arms = [...fills, ...loads].map(one);
  if (limits.arms !== undefined) build.row(arms, '<=', limits.arms);
  // Each exit takes a belt at least.
  if (limits.parts !== undefined) build.row([one(chests), ...arms, ...splitters.map(one)], '<=', limits.parts - exits.length);
  // A tile of carriers costs at most so much.
  const dearest = Math.max(1, ...[...map.belts, ...map.underpasses].map((model) => model.cost));
  const freeTiles = map.keepOut.reduce((sum, kept) => sum + 1 - kept, 0);
  build.row(
    [
      [dearest, chests],
      ...arms.map(([, id]): Term => [dearest, id]),
      ...splitters.map((id): Term => [2 * dearest, id]),
      one(carriers),
    ],
    '<=',
    dearest * freeTiles,
  );
}

const priceTerms = ({ map, chests, fills, loads, splitters, carriers }: Draft): readonly Term[] => [
  ...map.chests.map((chest): Term => [chest.cost, chests]),
  ...map.arms.flatMap((arm, m): Term[] => [[arm.cost, fills[m]], [arm.cost, loads[m]]]),
  ...map.splitters.map((splitter, m): Term => [splitter.cost, splitters[m]]),
  one(carriers),
];

/** "Exactly these counts" is written by binaries [count >= k] for the k that the bills name. */
function cutOff(build: ProgramBuilder, counts: readonly VariableId[], bills: readonly Bill[]): void {
  if (bills.length === 0) return;
  const levels = counts.map((total, c) => {
    const upper = build.upperOf(total);
    const deepest = Math.min(upper, Math.max(...bills.map((bill) => countsOf(bill)[c] + 1)));
    const reached = Array.from({ length: deepest }, (_, k) => build.binary(`reaches_${c}_${k + 1}`));
    const rest = build.integer(`rest_${c}`, 0, upper - deepest);
    build.row([...reached.map(one), one(rest), [-1, total]], '=', 0);
    for (let k = 1; k < deepest; k++) build.row([one(reached[k]), [-1, reached[k - 1]]], '<=', 0);
    if (deepest > 0) build.row([one(rest), [-(upper - deepest), reached[deepest - 1]]], '<=', 0);
    return reached;
  });
  for (const bill of bills) {
    // Some count falls short of the bill's, or goes beyond it.
    const terms: Term[] = [];
    let least = 1;
    countsOf(bill).forEach((k, c) => {
      if (k > 0) {
        terms.push([-1, levels[c][k - 1]]);
        least--;
      }
      if (k < levels[c].length) terms.push(one(levels[c][k]));
    });
    build.row(terms, '>=', least);
  }
}

/** The counts of a bill, in the order of `countsOf`. */
export const countIds = ({ chests, fills, loads, splitters }: BillProgram): readonly VariableId[] => [chests, ...fills, ...loads, ...splitters];

/** The bill that a solution stands for, and the least price of its carriers. */
export function readBill(from: BillProgram, values: readonly number[]): { readonly bill: Bill; readonly carriers: number } {
  const read = (ids: readonly VariableId[]): readonly number[] => ids.map((id) => values[id]);
  return {
    bill: { chests: values[from.chests], fills: read(from.fills), loads: read(from.loads), splitters: read(from.splitters) },
    carriers: values[from.carriers],
  };
}
