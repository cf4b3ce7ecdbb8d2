/**
 * What a search for loading stations knows of its brief: tiles, prices, the arms that may pick from each tile and where
 * they bring it, and bounds on what they carry. Flows are whole numbers of a unit of the site's own, bounds rounded up,
 * targets down; most units hold them all exactly.
 */
import { boxHolds, HEADINGS, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { isLess, maxRational, minRational, ratio, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { flowForTrains, fullLoad } from '../../brief/asked-trains.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import type { ArmModel, ChestModel, SplitterModel, UnderpassModel } from '../../catalog/catalog.js';
import { wagonAt } from '../../layout/layout.js';
import { fillRate } from '../rates/rate-model.js';
import { leastAlone } from './lone-arm.js';
import { commonFactor } from '../rates/rate-scale.js';
import { offsetsOf } from '../site/candidates.js';
import { leastOfTwo } from './two-arms.js';

/** Sums of flows stay whole numbers as long as an item per tick is no more of them than that. */
const MOST_UNITS = 1_000_000_000_000n;
const USUAL_UNITS = 1_000_000_000n;

/**
 * Most items per tick that an arm takes from a carrier into a container, whatever comes along: n items take at least
 * n - 1 times `grab` ticks (world rules, section 7), the tick after that, both swings and the tick of placing them.
 */
export function pickRateBound(arm: ArmModel): Rational {
  const inHands = Array.from({ length: arm.payload }, (_, index) => {
    const items = index + 1;
    return ratio(items, (items - 1) * arm.grabTicks + 2 * arm.swingTicks + 2);
  });
  return inHands.reduce(maxRational, ZERO);
}

/** An arm from a chest into a wagon. */
export interface Delivery {
  readonly model: ArmModel;
  readonly at: number;
  /** As planned. */
  readonly wagon: number;
  readonly price: number;
  readonly flow: number;
}

/** An arm from a carrier into a wagon, or into the chest on a tile. */
export interface Pick {
  readonly model: ArmModel;
  readonly heading: Heading;
  readonly at: number;
  readonly from: number;
  /** The chest's tile; -1: a wagon. */
  readonly into: number;
  /** As planned; -1: a chest. */
  readonly wagon: number;
  readonly price: number;
  /** What it takes at most, and what of that gets into a wagon if nothing holds it up. */
  readonly flow: number;
  readonly through: number;
  /** What it takes at least where nothing else picks from what comes in over the same entry, and that is joined with none. */
  readonly alone: number;
}

export interface LoadingSite {
  readonly brief: Brief;
  readonly job: LoadJob;
  readonly width: number;
  readonly depth: number;
  readonly tiles: number;
  readonly tileAt: (tile: number) => Tile;
  /** -1 outside. */
  readonly indexOf: (tile: Tile) => number;
  readonly isOpen: (tile: number) => boolean;
  readonly priceOf: (model: { readonly cost: number }) => number;
  readonly chest: ChestModel | undefined;
  /** Of equal use the cheapest; of equal prices by name. */
  readonly splitters: readonly SplitterModel[];
  readonly underpasses: readonly UnderpassModel[];
  /** By tile from which they pick. */
  readonly picks: readonly (readonly Pick[])[];
  /** By chest's tile. */
  readonly deliveries: readonly (readonly Delivery[])[];
  /** What wagons are to get in all; if that is to be exceeded, the next whole number. */
  readonly wanted: number;
  /** What arms into wagons are to be able to carry in all, so that no train stands too long; no less than `wanted`. */
  readonly led: number;
  /** What of each entry is to get into wagons, what each wagon is to get, and what arms into it are to be able to carry. */
  readonly entryWanted: readonly number[];
  readonly wagonWanted: readonly number[];
  readonly wagonLed: readonly number[];
  /** What two arms or more take at least that fill chests from one entry, or from two which are joined (`two-arms.ts`); 0 where nothing is known. */
  readonly takenByTwo: number;
  /** Most that comes in while wagons stand there: all arms straight into these take no more. */
  readonly brought: number;
  readonly broughtFlow: Rational;
  /** What is wanted in items per tick, and what gets into the wagons at most: by arms that fit beside them wherever they stop, straight from belts also by what comes in. */
  readonly wantedFlow: Rational;
  readonly most: Rational;
  /** What limits on trains ask of these flows, in items per tick; 0 where there are none. */
  readonly trainFlows: TrainFlows;
  /** What all arms that fit, or all belts, bring too little for. */
  readonly tooSlowFor: 'target' | 'trainsPerHour' | 'dwell' | undefined;
  /** So many arms it takes at least to carry what is wanted; Infinity where no number does. */
  readonly leastArms: number;
  /** Least price of carriers that a belt's end on a tile still needs to come to a tile from which an arm may pick. */
  readonly wayLeft: readonly number[];
  /** By number of tiles: least price of carriers one end of which is so far on. */
  readonly onward: readonly number[];
}

/**
 * By formula, trains come as fast as flows let them where one follows the other at once, and stand as long as all arms at
 * their rates need (world rules, section 11). Presence lowers what is counted of arms, so of what is asked too.
 */
interface TrainFlows {
  /** Into all wagons. */
  readonly through: Rational;
  /** Of all arms into wagons, if none ever waits. */
  readonly led: Rational;
}

export const trainFlows = (brief: Brief): TrainFlows => ({
  through: flowForTrains(brief).mul(brief.presence),
  led: brief.limits.dwell === undefined ? ZERO : fullLoad(brief).div(brief.limits.dwell).mul(brief.presence),
});

/** Of models with equal use only the cheapest. */
function thinned<T extends { readonly name: string; readonly cost: number }>(models: readonly T[], isAsGood: (a: T, b: T) => boolean): readonly T[] {
  const inOrder = [...models].sort((a, b) => a.cost - b.cost || (a.name < b.name ? -1 : 1));
  return inOrder.filter((model, index) => !inOrder.some((other, before) => before < index && isAsGood(other, model)));
}

export function wantedFlows(job: LoadJob, brief: Brief): { readonly entries: readonly Rational[]; readonly wagons: readonly Rational[]; readonly together: Rational } {
  const { fullTicks, promised } = job;
  return {
    entries: job.entries.map(({ target }) => target),
    wagons: brief.wagons.map(({ model }, wagon) => promised?.[wagon] ?? (fullTicks === undefined ? ZERO : ratio(model.capacity).div(fullTicks))),
    together: job.together ?? ZERO,
  };
}

export function loadingSite(brief: Brief, job: LoadJob): LoadingSite {
  const { catalog, presence, feed } = brief;
  const { width, depth, keepOut } = brief.site;
  const tiles = width * depth;
  const tileAt = (tile: number): Tile => ({ x: tile % width, y: Math.floor(tile / width) });
  const indexOf = ({ x, y }: Tile): number => (x < 0 || y < 0 || x >= width || y >= depth ? -1 : y * width + x);
  const open = Array.from({ length: tiles }, (_, tile) => !keepOut.some((box) => boxHolds(box, tileAt(tile))));
  const byParts = brief.minimise[0] === 'parts';
  const priceOf = ({ cost }: { readonly cost: number }): number => (byParts ? 1 : cost);
  const priced = <T extends { readonly cost: number }>(model: T): number => priceOf(model);
  const wagonsAt = (offset: number): Brief['wagons'] => brief.wagons.map((wagon) => ({ ...wagon, at: wagon.at + offset }));
  const stands = (tile: Tile, offset: number): boolean => wagonAt(wagonsAt(offset), tile) !== undefined;
  const offsets = offsetsOf(brief);

  const targets = wantedFlows(job, brief);
  const wantedFlow = [targets.together, sumRational(targets.entries), sumRational(targets.wagons)].reduce(maxRational, ZERO);
  const rates = catalog.arms.flatMap((arm) => [pickRateBound(arm), pickRateBound(arm).mul(presence), fillRate(arm).mul(presence)]);
  const units = commonFactor([wantedFlow, ...rates], MOST_UNITS) ?? USUAL_UNITS;
  const flowUp = ({ n, d }: Rational): number => Number((n * units + d - 1n) / d);
  const flowDown = ({ n, d }: Rational): number => Number((n * units) / d);
  const forTrains = trainFlows(brief);
  /** If it is to be exceeded, the next whole number. */
  const wantedOf = (flow: Rational): number => flowDown(flow) + (brief.exceed === true && isLess(ZERO, flow) ? 1 : 0);
  const wanted = Math.max(wantedOf(wantedFlow), flowDown(forTrains.through));
  // A train has gone through when its last wagon is full.
  const shares = brief.wagons.map(({ model }) => ratio(model.capacity).div(fullLoad(brief)));
  const wagonWanted = shares.map((share, wagon) => Math.max(wantedOf(targets.wagons[wagon]), flowDown(forTrains.through.mul(share))));
  const wagonLed = shares.map((share, wagon) => Math.max(wagonWanted[wagon], flowDown(forTrains.led.mul(share))));
  // What comes in over one entry lets no arm alone at it be slower; belts of other models may.
  const leastOf = (model: ArmModel): number => flowDown(job.entries.map(({ belt }) => leastAlone(model, belt, catalog)).reduce(minRational));

  const [{ belt: firstBelt }] = job.entries;
  const leastOfSeveral = job.entries.every(({ belt }) => belt === firstBelt) && feed === 'chests' ? flowDown(leastOfTwo(catalog.arms, firstBelt, catalog)) : 0;

  const deliveriesTo = (tile: number): readonly Delivery[] => {
    const chest = tileAt(tile);
    const found = catalog.arms.flatMap((model): readonly Delivery[] => {
      const at = indexOf(stepFrom(chest, 'N', model.reach));
      const place = stepFrom(chest, 'N', 2 * model.reach);
      if (at < 0 || !open[at] || !offsets.every((offset) => stands(place, offset))) return [];
      return [{ model, at, wagon: wagonAt(brief.wagons, place) ?? -1, price: priced(model), flow: flowUp(fillRate(model).mul(presence)) }];
    });
    return found.filter((one) => !found.some((other) => other !== one && other.price <= one.price && other.flow >= one.flow && (other.price < one.price || other.flow > one.flow || other.model.name < one.model.name)));
  };
  const [chest] = [...catalog.chests].sort((a, b) => a.cost - b.cost || (a.name < b.name ? -1 : 1));
  const deliveries = open.map((isOpen, tile) => (isOpen && chest !== undefined && feed !== 'direct' ? deliveriesTo(tile) : []));

  const picks = open.map((isOpen, from): readonly Pick[] => {
    if (!isOpen) return [];
    return catalog.arms.flatMap((model) =>
      HEADINGS.flatMap((heading): readonly Pick[] => {
        const at = indexOf(stepFrom(tileAt(from), heading, model.reach));
        if (at < 0 || !open[at]) return [];
        const place = stepFrom(tileAt(from), heading, 2 * model.reach);
        const rate = pickRateBound(model);
        const pick = { model, heading, at, from, wagon: -1, price: priced(model), flow: flowUp(rate), alone: leastOf(model) };
        const wagon = wagonAt(brief.wagons, place);
        if (feed !== 'chests' && wagon !== undefined) return [{ ...pick, into: -1, wagon, through: flowUp(rate.mul(presence)) }];
        const into = indexOf(place);
        if (into < 0 || !open[into] || into === from || deliveries[into].length === 0) return [];
        return [{ ...pick, into, through: pick.flow }];
      }),
    );
  });

  // Of a chest that no arm may fill, nothing is carried.
  const mayFill = new Set(picks.flatMap((list) => list.map(({ into }) => into)));
  /** By tile: what the best arm there carries from a chest or belt into wagons that all stand `offset` tiles further. */
  const besideAt = (offset: number): readonly Rational[] => {
    const best = open.map(() => ZERO);
    const put = (at: number, rate: Rational): void => {
      best[at] = maxRational(best[at], rate.mul(presence));
    };
    deliveries.forEach((list, tile) => {
      if (mayFill.has(tile)) for (const { model, at } of list) put(at, fillRate(model));
    });
    for (const { model, at, heading, into } of picks.flat()) {
      if (into < 0 && stands(stepFrom(tileAt(at), heading, model.reach), offset)) put(at, pickRateBound(model));
    }
    return best;
  };
  const besides = offsets.map(besideAt);

  const splitters = thinned(catalog.splitters, (a, b) => a.speed === b.speed);
  const underpasses = thinned(catalog.underpasses, (a, b) => a.speed === b.speed && a.span >= b.span);
  const site = { brief, job, width, depth, tiles, tileAt, indexOf, isOpen: (tile: number) => open[tile], priceOf, chest, splitters, underpasses };
  const most = besides.map(sumRational).reduce(minRational);
  const brought = sumRational(job.entries.map(({ belt }) => ratio(2 * belt.speed, catalog.pitch)));
  // Chests may have filled before; straight from belts comes what comes in.
  const broughtFlow = brought.mul(presence);
  const mostLed = feed === 'direct' ? minRational(most, broughtFlow) : most;
  const tooSlowFor: LoadingSite['tooSlowFor'] =
    isLess(mostLed, wantedFlow) || (brief.exceed === true && mostLed.equals(wantedFlow)) ? 'target'
    : isLess(most, forTrains.through) || isLess(brought, flowForTrains(brief)) ? 'trainsPerHour'
    : isLess(mostLed, forTrains.led) ? 'dwell'
    : undefined;
  return {
    ...site,
    picks,
    deliveries,
    wanted,
    led: Math.max(wanted, flowDown(forTrains.led)),
    entryWanted: targets.entries.map(wantedOf),
    wagonWanted,
    wagonLed,
    takenByTwo: leastOfSeveral,
    brought: flowUp(broughtFlow),
    broughtFlow,
    wantedFlow,
    trainFlows: forTrains,
    most: mostLed,
    tooSlowFor,
    leastArms: tooSlowFor === undefined ? Math.max(...besides.flatMap((beside) => [armsFor(wantedFlow, beside, brief), armsFor(maxRational(forTrains.through, forTrains.led), beside, { ...brief, exceed: false })])) : Infinity,
    wayLeft: waysLeft(site, picks.map((list) => list.length > 0)),
    onward: onwardPrices(site),
  };
}

/** Fed by chests, each arm into a wagon needs another one that fills its chest. */
function armsFor(wanted: Rational, beside: readonly Rational[], { exceed, feed }: Brief): number {
  const best = [...beside].sort((a, b) => b.compare(a));
  let carried = ZERO;
  if (wanted.equals(ZERO)) return 0;
  for (let arms = 1; arms <= best.length; arms++) {
    carried = carried.add(best[arms - 1]);
    if (exceed === true ? isLess(wanted, carried) : !isLess(carried, wanted)) return feed === 'chests' ? 2 * arms : arms;
  }
  return Infinity;
}

interface Move {
  readonly tiles: number;
  readonly price: number;
}

function movesOf({ job, priceOf, splitters, underpasses }: Ground): readonly Move[] {
  const step = Math.min(...[...job.entries.map(({ belt }) => belt), ...splitters].map(priceOf));
  const hops = underpasses.flatMap((model) => Array.from({ length: model.span }, (_, index) => ({ tiles: index + 2, price: 2 * priceOf(model) })));
  // An underpass takes a belt's end at least one tile, and at most span + 1 tiles, further.
  return [{ tiles: 1, price: step }, ...hops, ...(hops.length > 0 ? [{ tiles: 1, price: Math.min(...hops.map(({ price }) => price)) }] : [])];
}

function onwardPrices(ground: Ground): readonly number[] {
  // One half of a splitter is a tile aside of the other.
  const moves = [...movesOf(ground), ...ground.splitters.map((model) => ({ tiles: 2, price: ground.priceOf(model) }))];
  const prices = [0];
  for (let tiles = 1; tiles <= 1 + ground.width + ground.depth; tiles++) prices.push(Math.min(...moves.map((move) => move.price + prices[Math.max(0, tiles - move.tiles)])));
  return prices;
}

/** Shortest ways over open ground, by belts and by underpasses, to any tile that is `useful`; whatever else stands there. */
function waysLeft(ground: Ground, useful: readonly boolean[]): readonly number[] {
  const { tiles, tileAt, indexOf, isOpen } = ground;
  const moves = movesOf(ground);
  const left = Array.from({ length: tiles }, (_, tile) => (useful[tile] ? 0 : Infinity));
  for (let changed = true; changed; ) {
    changed = false;
    for (let tile = 0; tile < tiles; tile++) {
      if (!isOpen(tile)) continue;
      for (const heading of HEADINGS) {
        for (const move of moves) {
          const to = indexOf(stepFrom(tileAt(tile), heading, move.tiles));
          if (to < 0 || left[to] + move.price >= left[tile]) continue;
          left[tile] = left[to] + move.price;
          changed = true;
        }
      }
    }
  }
  return left;
}

type Ground = Omit<LoadingSite, 'picks' | 'deliveries' | 'wanted' | 'led' | 'entryWanted' | 'wagonWanted' | 'wagonLed' | 'takenByTwo' | 'brought' | 'broughtFlow' | 'wantedFlow' | 'trainFlows' | 'leastArms' | 'most' | 'tooSlowFor' | 'wayLeft' | 'onward'>;
