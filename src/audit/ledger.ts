/**
 * The arithmetic of a run's bound: which bills were proposed, at what price each family stands, and what the claim at
 * the end may say of them. It takes each price on its word; whether the program's optimum is right is checked in
 * `programs.ts`, whether networks fail in `replay.ts`.
 *
 * At every moment each station that meets the brief costs at least min(least price of a family, least price of the
 * bills not proposed), but for those that were found. Where wagons are filled there are no bills: all stations are one
 * family, which stands at 0 as the run begins.
 */
import { tilesWithin } from '../base/ground.js';
import type { Brief } from '../brief/brief.js';
import type { Catalog } from '../catalog/catalog.js';
import { countsOf, type Bill } from '../synthesis/site/bill.js';
import { billProgram } from '../synthesis/bills/bill-program.js';
import { candidates, type Candidates } from '../synthesis/site/candidates.js';
import { siteMap, type Price, type SiteMap } from '../synthesis/site/site-map.js';
import type { FlawKind } from './audit-result.js';
import type { LineOf } from './proof-line.js';

const times = (counts: readonly number[], models: readonly { readonly cost: number }[]): number =>
  counts.reduce((sum, count, model) => sum + count * models[model].cost, 0);

/**
 * A price that no station which keeps to the brief's limits goes beyond, if it has nothing dearer than another model that
 * acts alike: each part stands on a tile of its own. `models`: those worth using.
 */
function dearestStation({ limits, site }: Brief, price: Price, models: Models): number {
  const limit = limits[price];
  if (limit !== undefined) return limit;
  const { belts, splitters, underpasses, arms, chests } = models;
  const costs = [...belts, ...splitters, ...underpasses, ...arms, ...chests].map((model) => (price === 'parts' ? 1 : model.cost));
  return tilesWithin(site).length * Math.max(...costs);
}

type Models = Pick<Catalog, 'belts' | 'splitters' | 'underpasses' | 'arms' | 'chests'>;

/** What the bills of a brief may be. */
export interface Bills {
  readonly map: SiteMap;
  readonly spots: Candidates;
  /** Most of each count of a bill that there is room for. */
  readonly room: readonly number[];
}

function billsOf(brief: Brief, price: Price): Bills {
  const map = siteMap(brief, price);
  const spots = candidates(map);
  const { program, chests, fills, loads, splitters } = billProgram(map, spots, [], 0);
  return { map, spots, room: [chests, ...fills, ...loads, ...splitters].map((id) => program.variables[id].upper) };
}

export class Ledger {
  /** Undefined where wagons are filled. */
  readonly of: Bills | undefined;
  /** Those proposed so far, without any that is no bill of this brief. */
  readonly bills: Bill[] = [];
  private readonly prices: number[] = [];
  /** What bills that were not proposed cost at least. */
  private rest = 0;
  private best: number | undefined;

  constructor(
    private readonly brief: Brief,
    readonly price: Price,
  ) {
    if (brief.load === undefined) this.of = billsOf(brief, price);
    else {
      this.prices.push(0);
      this.rest = Infinity;
    }
  }

  get families(): number {
    return this.prices.length;
  }

  get leastOfFamilies(): number {
    return Math.min(...this.prices);
  }

  get leastOfRest(): number {
    return this.rest;
  }

  get found(): number | undefined {
    return this.best;
  }

  propose({ mostPrice, answer }: LineOf<'proposed'>): readonly FlawKind[] {
    const flaws: FlawKind[] = [];
    if (this.of === undefined) return [{ kind: 'bill-unknown' }];
    // Nothing left up to a price says nothing of what is dearer.
    const rest = answer === undefined ? mostPrice + 1 : answer.objective;
    if (rest < this.rest) flaws.push({ kind: 'rest-falls', from: this.rest, to: rest });
    this.rest = rest;
    if (answer === undefined) return flaws;
    const { bill, fixed, objective } = answer;
    const { map, room } = this.of;
    this.prices.push(objective);
    const fits =
      bill.fills.length === map.arms.length &&
      bill.loads.length === map.arms.length &&
      bill.splitters.length === map.splitters.length &&
      countsOf(bill).every((count, index) => count <= room[index]);
    const isNew = !this.bills.some((other) => countsOf(other).join() === countsOf(bill).join());
    if (!fits || !isNew) return [...flaws, { kind: 'bill-unknown' }];
    this.bills.push(bill);
    const found =
      times(bill.chests === 0 ? [] : [bill.chests], map.chests) +
      times(bill.fills, map.arms) +
      times(bill.loads, map.arms) +
      times(bill.splitters, map.splitters);
    if (found !== fixed || fixed > objective) flaws.push({ kind: 'bill-price', stated: fixed, found });
    return flaws;
  }

  raise({ family, from, to = Infinity }: LineOf<'raised'>): readonly FlawKind[] {
    const known = this.prices.at(family);
    if (known === undefined) return [{ kind: 'family-unknown', family }];
    this.prices[family] = to;
    if (known !== from) return [{ kind: 'family-price', family, stated: from, found: known === Infinity ? undefined : known }];
    return to < from ? [{ kind: 'family-falls', family, from, to }] : [];
  }

  find(price: number): readonly FlawKind[] {
    const before = this.best;
    this.best = price;
    return before !== undefined && price > before ? [{ kind: 'found-dearer', price, before }] : [];
  }

  claim({ status, bound }: LineOf<'claimed'>): readonly FlawKind[] {
    const flaws: FlawKind[] = [];
    const least = Math.min(this.leastOfFamilies, this.rest);
    const { best } = this;
    const hasPlan = status === 'optimal' || status === 'feasible';
    if (hasPlan && best === undefined) flaws.push({ kind: 'claim-without-plan', status });
    if (!hasPlan && best !== undefined) flaws.push({ kind: 'claim-with-plan', status });
    if (bound !== undefined && bound > least) flaws.push({ kind: 'bound-too-high', bound, least });
    if (best !== undefined && (status === 'optimal' ? bound !== best : bound !== undefined && bound > best)) {
      flaws.push({ kind: 'bound-not-price', bound, price: best });
    }
    const most = dearestStation(this.brief, this.price, this.of?.map ?? this.brief.catalog);
    if (status === 'infeasible' && least <= most) flaws.push({ kind: 'not-exhausted', least, most });
    return flaws;
  }
}
