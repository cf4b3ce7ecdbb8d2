/**
 * The bill of parts of a loading station as an integer program: how many arms of each model and role, chests and
 * carriers, at least price. It is a relaxation: the parts of every station of the space are a solution, so none costs
 * less than its optimum. The search takes bounds of its own (`loading-prices.ts`); this is for other solvers, and for
 * who rechecks these bounds.
 */
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../program/program.js';
import { fillRate } from '../rates/rate-model.js';
import { rateScale } from '../rates/rate-scale.js';
import { pickRateBound } from './loading-arms.js';
import type { LoadingSite } from './loading-site.js';
import { placesOf } from './carrier-ends.js';

/** Keeps coefficients small: a solver's tolerances are relative to them. */
const MOST_FACTOR = 20_000;

const one = (variable: VariableId): Term => [1, variable];
const minus = (variable: VariableId): Term => [-1, variable];

const distinct = (all: readonly number[]): number => new Set(all).size;

/** Most of `all` that agree in `key` and stand on different tiles. */
function mostTogether<T extends { readonly at: number }>(all: readonly T[], key: (each: T) => number): number {
  return Math.max(0, ...all.map((each) => distinct(all.filter((other) => key(other) === key(each)).map(({ at }) => at))));
}

export function loadingBill(site: LoadingSite): Program {
  const { brief, job, picks, deliveries, priceOf, chest, splitters, underpasses, wantedFlow, broughtFlow, trainFlows, leastArms } = site;
  const { catalog, presence, limits } = brief;
  const build = new ProgramBuilder('bill of parts of a loading station', 'minimise');
  const allPicks = picks.flat();
  const allDeliveries = deliveries.flat();
  const rates = catalog.arms.map((arm) => ({ taken: pickRateBound(arm), straight: pickRateBound(arm).mul(presence), delivered: fillRate(arm).mul(presence) }));
  const scale = rateScale([wantedFlow, ...rates.flatMap(({ taken, straight, delivered }) => [taken, straight, delivered])], MOST_FACTOR);

  const chests = build.integer('chests', 0, deliveries.filter((list) => list.length > 0).length);
  const arms = catalog.arms.map((model, m) => {
    const own = allPicks.filter((pick) => pick.model === model);
    const into = build.integer(`into_chests_${m}`, 0, distinct(own.filter((pick) => pick.into >= 0).map(({ at }) => at)));
    const straight = build.integer(`into_wagons_${m}`, 0, distinct(own.filter((pick) => pick.into < 0).map(({ at }) => at)));
    const emptying = build.integer(`out_of_chests_${m}`, 0, distinct(allDeliveries.filter((delivery) => delivery.model === model).map(({ at }) => at)));
    return { model, into, straight, emptying, rates: rates[m] };
  });
  const belts = [...new Set(job.entries.map(({ belt }) => belt))].map((model, m) => ({
    model,
    count: build.integer(`belts_${m}`, job.entries.filter(({ belt }) => belt === model).length, Math.max(site.tiles, job.entries.length)),
  }));
  const halves = Math.floor(site.tiles / 2);
  const dividing = splitters.map((model, m) => ({ model, count: build.integer(`splitters_${m}`, 0, halves) }));
  const under = underpasses.map((model, m) => ({ model, count: build.integer(`underpasses_${m}`, 0, halves) }));

  // One arm empties each chest, some fill it: as many as can stand around it.
  build.row([...arms.map(({ emptying }) => one(emptying)), minus(chests)], '=', 0);
  build.row([...arms.map(({ into }) => one(into)), minus(chests)], '>=', 0);
  build.row([...arms.map(({ into }) => one(into)), [-mostTogether(allPicks.filter(({ into }) => into >= 0), ({ into }) => into), chests]], '<=', 0);

  // All that is wanted is taken from carriers, and gets into wagons. Flows are whole numbers of the scale, rounded up.
  const wanted = Math.max(scale.demand(wantedFlow) + (brief.exceed === true ? 1 : 0), scale.demand(trainFlows.through));
  const led = Math.max(wanted, scale.demand(trainFlows.led));
  const straight: readonly Term[] = arms.map((arm): Term => [scale.supply(arm.rates.straight), arm.straight]);
  build.row([...arms.map((arm): Term => [scale.supply(arm.rates.taken), arm.into]), ...straight], '>=', wanted);
  const delivered = arms.map((arm): Term => [scale.supply(arm.rates.delivered), arm.emptying]);
  build.row([...delivered, ...straight], '>=', led);
  build.row(delivered, '>=', Math.max(0, led - scale.supply(broughtFlow)));
  const all = arms.flatMap((arm) => [one(arm.into), one(arm.straight), one(arm.emptying)]);
  const mostArms = arms.reduce((sum, arm) => sum + [arm.into, arm.straight, arm.emptying].reduce((most, id) => most + build.upperOf(id), 0), 0);
  build.row(all, '>=', Math.min(leastArms, mostArms + 1));

  // Each carrier that leads nowhere is picked from: one, if all entries are joined, and one more for each splitter.
  build.row([...arms.flatMap(({ into, straight: direct }) => [one(into), one(direct)]), ...dividing.map(({ count }) => minus(count))], '>=', 1);
  const carriers: readonly Term[] = [
    ...belts.map(({ model, count }): Term => [priceOf(model), count]),
    ...dividing.map(({ model, count }): Term => [priceOf(model), count]),
    ...under.map(({ model, count }): Term => [2 * priceOf(model), count]),
  ];
  const ways = job.entries.map((entry) => priceOf(entry.belt) + Math.min(...placesOf(site, entry).map(({ at }) => site.wayLeft[site.indexOf(at)]), Infinity));
  const mostCarriers = carriers.reduce((sum, [price, count]) => sum + price * build.upperOf(count), 0);
  // Entries have belts of their own, but what is beyond these may serve several.
  const firsts = job.entries.reduce((sum, { belt }) => sum + priceOf(belt), 0);
  build.row(carriers, '>=', Math.min(Math.max(firsts, ...ways), mostCarriers + 1));

  // All parts stand on different tiles.
  const open = Array.from({ length: site.tiles }, (_, tile) => tile).filter(site.isOpen).length;
  const onTwo = [...dividing, ...under].map(({ count }): Term => [2, count]);
  build.row([...all, one(chests), ...belts.map(({ count }) => one(count)), ...onTwo], '<=', open);
  if (limits.arms !== undefined) build.row(all, '<=', limits.arms);
  const parts: readonly Term[] = [...all, one(chests), ...belts.map(({ count }) => one(count)), ...dividing.map(({ count }) => one(count)), ...under.map(({ count }): Term => [2, count])];
  if (limits.parts !== undefined) build.row(parts, '<=', limits.parts);
  const chestModels = chest === undefined ? [] : [chest];
  const priced = (price: (model: { readonly cost: number }) => number): readonly Term[] => [
    ...chestModels.map((model): Term => [price(model), chests]),
    ...arms.flatMap(({ model, into, straight: direct, emptying }) => [into, direct, emptying].map((id): Term => [price(model), id])),
    ...[...belts, ...dividing].map(({ model, count }): Term => [price(model), count]),
    ...under.map(({ model, count }): Term => [2 * price(model), count]),
  ];
  if (limits.cost !== undefined) build.row(priced(({ cost }) => cost), '<=', limits.cost);
  build.objective(priced(priceOf));
  return build.build();
}
