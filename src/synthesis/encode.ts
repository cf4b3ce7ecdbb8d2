/**
 * The brief as an integer program: which chests, arms and splitters stand where, so that the rate model
 * allows the target, at least cost. Belts and underpasses enter only by a bound on their cost; the exact
 * search finds them. What the search proves of a bill comes back as a cut. `decode` reads the bill off.
 *
 * The program is a relaxation: every layout of the space is one of its solutions at no more than its
 * cost, so its optimum is a bound on the cost of every layout that no cut has ruled out.
 */
import { ratio } from '../base/rational.js';
import type { Program, Term, VariableId } from '../program/program.js';
import { ProgramBuilder } from '../program/program.js';
import { countsOf, type Bill } from './bill.js';
import type { Candidates } from './candidates.js';
import { coverCosts } from './carrier-search.js';
import { leastMoves } from './least-moves.js';
import { bestLaneRate, bestLineRate, fillRate } from './rate-model.js';
import { rateScale } from './rate-scale.js';
import { demandOf, type SiteMap } from './site-map.js';

/** Keeps coefficients small: a solver's tolerances are relative to them. */
const MOST_FACTOR = 20_000;
/** More splitters than this are a bill of their own only as far as the site has room for them. */
const UNARY_AT_LEAST = 3;

export interface EncodedProgram {
  readonly program: Program;
  readonly counts: { readonly chests: VariableId; readonly fills: readonly VariableId[]; readonly loads: readonly VariableId[]; readonly splitters: readonly VariableId[] };
  readonly carriers: VariableId;
}

const one = (variable: VariableId): Term => [1, variable];

export function encode(map: SiteMap, spots: Candidates, proposed: readonly Bill[], mostCost: number): EncodedProgram {
  const { brief } = map;
  const { catalog } = brief;
  const build = new ProgramBuilder('stations', 'minimise');
  const withSplitters = map.splitters.length > 0;

  // Placements.
  const chests = new Map(spots.chestTiles.map((tile) => [tile, build.binary(`chest_${tile}`)] as const));
  const fills = spots.fills.map((fill) => build.binary(`fill_${fill.tile}_${fill.model}_${fill.chestTile}`));
  const loads = spots.loads.map((load) => build.binary(`load_${load.tile}_${load.model}_${load.heading}_${load.chestTile}`));
  const targets = [...new Set(spots.loads.map((load) => load.target))].sort((a, b) => a - b);
  const carrierOn = new Map(targets.map((tile) => [tile, build.binary(`carrier_${tile}`)] as const));
  const splitterOn = withSplitters ? new Map(targets.map((tile) => [tile, build.binary(`splitter_${tile}`)] as const)) : undefined;
  const atLine = withSplitters ? spots.loads.map((load) => build.binary(`line_${load.tile}_${load.model}_${load.heading}_${load.chestTile}`)) : undefined;

  // Counts.
  const mostSplitters = Math.floor(map.tiles / 2);
  const count = (name: string, most: number): VariableId => build.integer(name, 0, most);
  const chestCount = count('chests', spots.chestTiles.length);
  const fillCounts = map.arms.map((_, m) => count(`fills_${m}`, spots.fills.filter((fill) => fill.model === m).length));
  const loadCounts = map.arms.map((_, m) => count(`loads_${m}`, spots.loads.filter((load) => load.model === m).length));
  const splitterCounts = map.splitters.map((_, m) => count(`splitters_${m}`, mostSplitters));
  const carriers = build.integer('carriers', 0, mostCost);
  const sumTo = (terms: readonly Term[], total: VariableId): void => {
    build.row([...terms, [-1, total]], '=', 0);
  };
  sumTo([...chests.values()].map(one), chestCount);
  map.arms.forEach((_, m) => {
    sumTo(spots.fills.flatMap((fill, i) => (fill.model === m ? [one(fills[i])] : [])), fillCounts[m]);
    sumTo(spots.loads.flatMap((load, i) => (load.model === m ? [one(loads[i])] : [])), loadCounts[m]);
  });

  // One thing on a tile; every arm between its two ends; every chest filled and emptied.
  const standing = new Map<number, Term[]>();
  const stand = (tile: number, variable: VariableId): void => {
    const list = standing.get(tile) ?? [];
    list.push(one(variable));
    standing.set(tile, list);
  };
  for (const [tile, chest] of chests) stand(tile, chest);
  spots.fills.forEach((fill, i) => stand(fill.tile, fills[i]));
  spots.loads.forEach((load, i) => stand(load.tile, loads[i]));
  for (const [tile, carrier] of carrierOn) stand(tile, carrier);
  for (const terms of standing.values()) if (terms.length > 1) build.row(terms, '<=', 1);
  for (const [tile, chest] of chests) {
    const filling = spots.fills.flatMap((fill, i) => (fill.chestTile === tile ? [fills[i]] : []));
    const emptying = spots.loads.flatMap((load, i) => (load.chestTile === tile ? [loads[i]] : []));
    build.row([...filling.map(one), [-1, chest]], '>=', 0);
    build.row([...emptying.map(one), [-1, chest]], '>=', 0);
    for (const arm of [...filling, ...emptying]) build.row([one(arm), [-1, chest]], '<=', 0);
  }
  spots.loads.forEach((load, i) => {
    const carrier = carrierOn.get(load.target);
    if (carrier !== undefined) build.row([one(loads[i]), [-1, carrier]], '<=', 0);
    const splitter = splitterOn?.get(load.target);
    if (atLine !== undefined && splitter !== undefined) {
      build.row([one(atLine[i]), [-1, loads[i]]], '<=', 0);
      build.row([one(atLine[i]), [-1, splitter]], '<=', 0);
    }
  });
  if (splitterOn !== undefined) {
    for (const [tile, splitter] of splitterOn) {
      const carrier = carrierOn.get(tile);
      if (carrier !== undefined) build.row([one(splitter), [-1, carrier]], '<=', 0);
    }
    build.row([...[...splitterOn.values()].map(one), ...splitterCounts.map((total): Term => [-2, total])], '<=', 0);
  }

  // Rates: lanes of exits, fed by arms, fed by chests.
  const speeds = [...new Set([...catalog.belts, ...catalog.underpasses, ...map.splitters].map((model) => model.speed))];
  const splitterSpeeds = [...new Set(map.splitters.map((model) => model.speed))];
  const best = <T>(values: readonly T[], compare: (a: T, b: T) => number): T => values.reduce((top, value) => (compare(value, top) > 0 ? value : top));
  const laneRates = map.arms.map((arm) => best(speeds.map((speed) => bestLaneRate(catalog, arm, speed)), (a, b) => a.compare(b)));
  const lineRates = map.arms.map((arm, m) =>
    best([laneRates[m], ...splitterSpeeds.map((speed) => bestLineRate(catalog, arm, speed))], (a, b) => a.compare(b)),
  );
  const supplies = map.arms.map((arm) => fillRate(arm).mul(brief.presence));
  const exitRates = brief.exits.map((exit) => ratio(exit.belt.speed, catalog.pitch));
  const scale = rateScale(
    [...laneRates, ...lineRates, ...supplies, ...exitRates, ...brief.exits.flatMap(({ target }) => [target.left, target.right, target.total])],
    MOST_FACTOR,
  );
  const laneRate = laneRates.map((rate) => scale.supply(rate));
  const lineGain = lineRates.map((rate, m) => scale.supply(rate) - laneRate[m]);
  const supply = supplies.map((rate) => scale.supply(rate));
  const mostFlow = exitRates.reduce((sum, rate) => sum + 2 * scale.supply(rate), 0);
  const lanes = brief.exits.flatMap((exit, e) => {
    const capacity = scale.supply(exitRates[e]);
    const sides = ['left', 'right'] as const;
    const flows = sides.map((side) => build.continuous(`flow_${e}_${side}`, Math.min(capacity, scale.demand(exit.target[side])), capacity));
    build.row(flows.map(one), '>=', scale.demand(demandOf(exit)));
    return flows;
  });
  const total = lanes.map(one);
  const drawn: Term[] = [];
  const given = (i: number): readonly Term[] => {
    const { model } = spots.loads[i];
    const terms: Term[] = [[laneRate[model], loads[i]]];
    if (atLine !== undefined) terms.push([lineGain[model], atLine[i]]);
    return terms;
  };
  for (const tile of spots.chestTiles) {
    const outflow = build.continuous(`outflow_${tile}`, 0, mostFlow);
    build.row([...spots.fills.flatMap((fill, i): Term[] => (fill.chestTile === tile ? [[supply[fill.model], fills[i]]] : [])), [-1, outflow]], '>=', 0);
    build.row([...spots.loads.flatMap((load, i) => (load.chestTile === tile ? given(i) : [])), [-1, outflow]], '>=', 0);
    drawn.push(one(outflow));
  }
  spots.loads.forEach((load, i) => {
    if (load.chestTile < 0) drawn.push(...given(i));
  });
  build.row([...drawn, ...total.map(([, flow]): Term => [-1, flow])], '>=', 0);
  // Rounded up: as many arms of the best kind as the whole demand takes, and as many to fill.
  const wholeDemand = brief.exits.reduce((sum, exit) => sum + scale.demand(demandOf(exit)), 0);
  const ceilDiv = (a: number, b: number): number => Math.ceil(a / Math.max(1, b));
  const bestRate = Math.max(1, ...laneRate.map((rate, m) => rate + lineGain[m]));
  build.row(loadCounts.map(one), '>=', ceilDiv(wholeDemand, bestRate));
  if (brief.feed === 'chests') build.row(fillCounts.map(one), '>=', ceilDiv(wholeDemand, Math.max(1, ...supply)));

  // Without a splitter no arm's items part: each arm feeds one lane of one exit.
  const anySplitter = withSplitters ? build.binary('any_splitter') : undefined;
  if (anySplitter !== undefined) {
    build.row([...splitterCounts.map(one), [-1, anySplitter]], '>=', 0);
  }
  const shares = lanes.map((flow, lane) => {
    const counts = map.arms.map((_, m) => build.integer(`share_${lane}_${m}`, 0, build.upperOf(loadCounts[m])));
    const capacity = build.upperOf(flow);
    build.row(
      [...counts.map((share, m): Term => [laneRate[m], share]), ...(anySplitter === undefined ? [] : [[capacity, anySplitter] as Term]), [-1, flow]],
      '>=',
      0,
    );
    return counts;
  });
  map.arms.forEach((_, m) => {
    const most = build.upperOf(loadCounts[m]) * lanes.length;
    build.row(
      [...shares.map((counts) => one(counts[m])), [-1, loadCounts[m]], ...(anySplitter === undefined ? [] : [[-most, anySplitter] as Term])],
      '<=',
      0,
    );
  });

  // Carriers: one on each tile on which an arm drops, and the moves from there to an exit.
  const cover = coverCosts(map);
  // Each exit's belt is a tile of its own that makes the last move, at its own price.
  const exitCost = map.exitBelt.reduce((sum, belt) => sum + map.belts[belt].cost, 0);
  const perSplitter = map.demands.length > 1 ? 3 : 2;
  // What one splitter can spare at most: the steepest rise of the cover's cost over that many moves.
  let spared = 0;
  for (let n = perSplitter; n < cover.length; n++) spared = Math.max(spared, cover[n] - cover[n - perSplitter]);
  const sparedTerms = splitterCounts.map((total): Term => [spared, total]);
  for (const tile of targets) {
    const moves = leastMoves(map, tile);
    const carrier = carrierOn.get(tile);
    const least = cover[Math.min(moves - 1, cover.length - 1)] + exitCost;
    if (carrier !== undefined) build.row([one(carriers), ...sparedTerms, [-least, carrier]], '>=', 0);
  }
  build.row(
    [one(carriers), ...[...carrierOn.values()].map((carrier): Term => [-cheapestTile(map), carrier]), ...splitterCounts.map((total): Term => [2 * cheapestTile(map), total])],
    '>=',
    0,
  );

  // Limits.
  const arms = [...fillCounts, ...loadCounts].map(one);
  if (brief.limits.arms !== undefined) build.row(arms, '<=', brief.limits.arms);
  if (brief.limits.parts !== undefined) {
    build.row([one(chestCount), ...arms, ...splitterCounts.map(one)], '<=', Math.max(0, brief.limits.parts - brief.exits.length));
  }
  const cost: Term[] = [
    [map.chests[0]?.cost ?? 0, chestCount],
    ...map.arms.flatMap((arm, m): Term[] => [[arm.cost, fillCounts[m]], [arm.cost, loadCounts[m]]]),
    ...map.splitters.map((splitter, m): Term => [splitter.cost, splitterCounts[m]]),
    one(carriers),
  ];
  build.row(cost, '<=', mostCost);
  build.objective(cost);

  addCuts(build, [chestCount, ...fillCounts, ...loadCounts, ...splitterCounts], proposed);
  return {
    program: build.build(),
    counts: { chests: chestCount, fills: fillCounts, loads: loadCounts, splitters: splitterCounts },
    carriers,
  };
}

const cheapestTile = (map: SiteMap): number =>
  Math.min(...map.belts.map((belt) => belt.cost), ...map.underpasses.map((underpass) => underpass.cost));

/**
 * A cut for each bill that was proposed before: not exactly these counts. "Exactly" is written by binaries
 * [count >= k] for the k that the bills name.
 */
function addCuts(build: ProgramBuilder, counts: readonly VariableId[], proposed: readonly Bill[]): void {
  if (proposed.length === 0) return;
  const levels = counts.map((total, c) => {
    const upper = build.upperOf(total);
    const deepest = Math.min(upper, Math.max(UNARY_AT_LEAST, ...proposed.map((bill) => countsOf(bill)[c] + 1)));
    const reached = Array.from({ length: deepest }, (_, k) => build.binary(`reaches_${c}_${k + 1}`));
    const rest = build.integer(`rest_${c}`, 0, upper - deepest);
    build.row([...reached.map(one), one(rest), [-1, total]], '=', 0);
    for (let k = 1; k < deepest; k++) build.row([one(reached[k]), [-1, reached[k - 1]]], '<=', 0);
    if (deepest > 0) build.row([one(rest), [-(upper - deepest), reached[deepest - 1]]], '<=', 0);
    return reached;
  });
  for (const bill of proposed) {
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

/** The bill that a solution of the encoded program stands for. */
export function decode(encoded: EncodedProgram, values: readonly number[]): { readonly bill: Bill; readonly carriers: number } {
  const read = (ids: readonly VariableId[]): readonly number[] => ids.map((id) => values[id]);
  const { counts } = encoded;
  return {
    bill: { chests: values[counts.chests], fills: read(counts.fills), loads: read(counts.loads), splitters: read(counts.splitters) },
    carriers: values[encoded.carriers],
  };
}
