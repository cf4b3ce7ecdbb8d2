/**
 * How long trains that come empty have to stand where chests have filled before, by formula; stations that empty trains
 * are in `sizing.ts`. Below the most that a layout can load, its belts bring more than trains take, so chests stand full
 * when a train comes. Until it runs dry, a chest then carries at the rate s of its arms; after that, what comes into it, f.
 */
import { isLess, maxRational, minRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import type { ChestNeed, Drain } from './train-formula.js';

interface Filling {
  readonly dwellTicks: Rational;
  /** What each chest gives of its stock to a train, if it holds enough for that. */
  readonly chests: readonly ChestNeed[];
  /** Whether every chest holds enough, and all goes by chests, so that no arm waits for items while a train stands there. */
  readonly isBridged: boolean;
}

/** A chest that serves several wagons has for each of them a part of its stock, by the rates of its arms. */
const stockOf = (drain: Drain, fills: readonly Drain[]): Rational | undefined => {
  if (drain.capacity === undefined) return undefined;
  const all = sumRational(fills.filter(({ kind, at }) => kind === 'chest' && at.x === drain.at.x && at.y === drain.at.y).map(({ supply }) => supply));
  return ratio(drain.capacity).mul(drain.supply).div(all);
};

/** Ticks after which a chest with that stock runs dry; undefined: never. */
function driesAfter({ supply, flow }: Drain, stock: Rational | undefined): Rational | undefined {
  return stock === undefined || !isLess(flow, supply) ? undefined : stock.div(supply.sub(flow));
}

/** Least ticks after which the wagon holds `load`: what it has got grows along a line from each tick at which a chest runs dry to the next. */
function fullAfter(load: Rational, fills: readonly Drain[], all: readonly Drain[], isEndless: boolean): Rational {
  const given = fills.map((fill) => ({ ...fill, dry: isEndless ? undefined : driesAfter(fill, stockOf(fill, all)) }));
  const got = (ticks: Rational): Rational =>
    sumRational(given.map(({ supply, flow, dry }) => (dry === undefined || isLess(ticks, dry) ? supply.mul(ticks) : supply.mul(dry).add(flow.mul(ticks.sub(dry))))));
  const turns = given.flatMap(({ dry }) => (dry === undefined ? [] : [dry])).sort((a, b) => a.compare(b));
  // After the last turn at which the wagon is not full yet, its rate stays what it is there.
  const from = turns.filter((turn) => isLess(got(turn), load)).reduce(maxRational, ZERO);
  const rate = sumRational(given.map(({ supply, flow, dry }) => (dry === undefined || isLess(from, dry) ? supply : flow)));
  return from.add(load.sub(got(from)).div(rate));
}

/** Of trains of the plan's wagons, each to be filled; every wagon has some flow. */
export function fillTrains({ wagons }: Layout, fills: readonly Drain[]): Filling {
  const times = (isEndless: boolean): readonly Rational[] =>
    wagons.map(({ model }, wagon) => fullAfter(ratio(model.capacity), fills.filter((fill) => fill.wagon === wagon), fills, isEndless));
  const dwellTicks = times(false).reduce(maxRational, ZERO);
  const untilFull = times(true);
  const chests = new Map<string, ChestNeed>();
  for (const drain of fills) {
    if (drain.capacity === undefined) continue;
    const key = `${drain.at.x} ${drain.at.y}`;
    const items = drain.supply.sub(minRational(drain.flow, drain.supply)).mul(untilFull[drain.wagon]);
    chests.set(key, { drain, flow: drain.flow, items: (chests.get(key)?.items ?? ZERO).add(items), capacity: drain.capacity });
  }
  const needs = [...chests.values()];
  return { dwellTicks, chests: needs, isBridged: needs.every(({ items, capacity }) => !isLess(ratio(capacity), items)) && fills.every(({ kind }) => kind === 'chest') };
}
