/**
 * The arms that may stand on the ground of a loading brief, from carriers into chests and wagons and from chests into wagons,
 * and what they carry. Flows are whole numbers of a unit of the brief's own, bounds rounded up, targets down; most units hold
 * them all exactly.
 */
import { HEADINGS, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { maxRational, minRational, ratio, ZERO, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import type { ArmModel } from '../../catalog/catalog.js';
import { wagonAt, type Part } from '../../layout/layout.js';
import { spottingOffsets } from '../../layout/spotting.js';
import { fillRate } from '../rates/rate-model.js';
import { commonFactor } from '../rates/rate-scale.js';
import type { LoadingGround } from './loading-ground.js';
import { leastAlone } from './lone-arm.js';

/** An arm from a chest into a wagon. */
export interface Delivery {
  readonly model: ArmModel;
  readonly heading: Heading;
  readonly at: number;
  /** By place where the wagons may stop (in the order of `spottingOffsets`): the one that it reaches. */
  readonly wagons: readonly number[];
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
  /** By place where the wagons may stop (in the order of `spottingOffsets`): the one that it reaches; -1: none, so that it takes nothing there. None of a chest. */
  readonly wagons: readonly number[];
  readonly price: number;
  /** What it takes at most, and what of that gets into a wagon if nothing holds it up, where it reaches one. */
  readonly flow: number;
  readonly through: number;
  /** What it takes at least where nothing else picks from what comes in over the same entry, and that is joined with none. */
  readonly alone: number;
}

export interface LoadingArms {
  /** By tile from which they pick. */
  readonly picks: readonly (readonly Pick[])[];
  /** By chest's tile. */
  readonly deliveries: readonly (readonly Delivery[])[];
}

/** Sums of flows stay whole numbers as long as an item per tick is no more of them than that. */
const MOST_UNITS = 1_000_000_000_000n;
const USUAL_UNITS = 1_000_000_000n;

export interface FlowUnits {
  readonly up: (flow: Rational) => number;
  readonly down: (flow: Rational) => number;
}

/**
 * Most items per tick that an arm takes from a carrier into a container, whatever comes along: n items take at least
 * n - 1 times `grab` ticks (world rules, section 7), the tick after that, both swings and the tick of placing them. So n
 * of them come in n grab + (2 swing + 2 - grab) ticks: the more the better, or the fewer, as what stands in brackets is above 0 or below.
 */
export function pickRateBound({ payload, grabTicks, swingTicks }: ArmModel): Rational {
  const inHandsOf = (items: number): Rational => ratio(items, (items - 1) * grabTicks + 2 * swingTicks + 2);
  return maxRational(inHandsOf(1), inHandsOf(payload));
}

/** In which what is wanted and what arms carry are whole, if that needs no more than `MOST_UNITS`. */
export function flowUnits({ catalog, presence }: Brief, wanted: Rational): FlowUnits {
  const rates = catalog.arms.flatMap((arm) => [pickRateBound(arm), pickRateBound(arm).mul(presence), fillRate(arm).mul(presence)]);
  const units = commonFactor([wanted, ...rates], MOST_UNITS) ?? USUAL_UNITS;
  return {
    up: ({ n, d }) => Number((n * units + d - 1n) / d),
    down: ({ n, d }) => Number((n * units) / d),
  };
}

/** By place where the wagons may stop: that which covers a tile; -1: none. */
const wagonsOver = ({ wagons, spotting }: Brief, { x, y }: Tile): readonly number[] => spottingOffsets(spotting).map((offset) => wagonAt(wagons, { x: x - offset, y }) ?? -1);

/** Whether an arm has something to place into where wagons stop at that place. */
export const worksAt = ({ into, wagons }: Pick, place: number): boolean => into >= 0 || wagons[place] >= 0;

/** Those that empty the chest on a tile, wherever wagons stop; none that others better. */
function deliveriesFrom(tile: number, ground: LoadingGround, units: FlowUnits): readonly Delivery[] {
  const { brief, tileAt, indexOf, isOpen, priceOf } = ground;
  const found = brief.catalog.arms.flatMap((model) =>
    HEADINGS.flatMap((heading): readonly Delivery[] => {
      const at = indexOf(stepFrom(tileAt(tile), heading, model.reach));
      const wagons = wagonsOver(brief, stepFrom(tileAt(tile), heading, 2 * model.reach));
      if (at < 0 || !isOpen(at) || wagons.includes(-1)) return [];
      return [{ model, heading, at, wagons, price: priceOf(model), flow: units.up(fillRate(model).mul(brief.presence)) }];
    }),
  );
  // By what each costs, also where parts are counted: costs may be limited, or decide among equals.
  const betters = (one: Delivery, other: Delivery): boolean => {
    const [dearer, faster] = [one.model.cost - other.model.cost, other.flow - one.flow];
    return dearer >= 0 && faster >= 0 && (dearer > 0 || faster > 0 || other.model.name < one.model.name);
  };
  return found.filter((one) => !found.some((other) => other !== one && other.at === one.at && betters(one, other)));
}

function picksFrom(from: number, deliveries: LoadingArms['deliveries'], ground: LoadingGround, units: FlowUnits): readonly Pick[] {
  const { brief, job, tileAt, indexOf, isOpen, priceOf } = ground;
  const { catalog, presence, feed } = brief;
  return catalog.arms.flatMap((model) => {
    // What comes in over one entry lets no arm alone at it be slower; belts of other models may.
    const alone = units.down(job.entries.map(({ belt }) => leastAlone(model, belt, catalog)).reduce(minRational));
    const rate = pickRateBound(model);
    return HEADINGS.flatMap((heading): readonly Pick[] => {
      const at = indexOf(stepFrom(tileAt(from), heading, model.reach));
      if (at < 0 || !isOpen(at)) return [];
      const place = stepFrom(tileAt(from), heading, 2 * model.reach);
      const pick = { model, heading, at, from, wagons: [], price: priceOf(model), flow: units.up(rate), alone };
      const wagons = wagonsOver(brief, place);
      if (feed !== 'chests' && wagons.some((wagon) => wagon >= 0)) return [{ ...pick, into: -1, wagons, through: units.up(rate.mul(presence)) }];
      const into = indexOf(place);
      if (into < 0 || !isOpen(into) || into === from || deliveries[into].length === 0) return [];
      return [{ ...pick, into, through: pick.flow }];
    });
  });
}

export function loadingArms(ground: LoadingGround, units: FlowUnits): LoadingArms {
  const { brief, chest, isOpen } = ground;
  const tiles = Array.from({ length: ground.tiles }, (_, tile) => tile);
  const deliveries = tiles.map((tile) => (isOpen(tile) && chest !== undefined && brief.feed !== 'direct' ? deliveriesFrom(tile, ground, units) : []));
  return { deliveries, picks: tiles.map((tile) => (isOpen(tile) ? picksFrom(tile, deliveries, ground, units) : [])) };
}

/** The parts of a crew: arms that pick, and by tile of each chest what empties it. */
export const crewParts = (picks: readonly Pick[], deliveries: Iterable<readonly [number, Delivery]>, { tileAt, chest }: LoadingGround): readonly Part[] => [
  ...picks.map(({ model, heading, at }): Part => ({ kind: 'arm', at: tileAt(at), heading, model })),
  ...[...deliveries].flatMap(([tile, { model, heading, at }]): readonly Part[] =>
    chest === undefined
      ? []
      : [
          { kind: 'chest', at: tileAt(tile), model: chest },
          { kind: 'arm', at: tileAt(at), heading, model },
        ],
  ),
];

/** By tile: what the best arm there carries from a chest or belt into wagons that stand at a place. */
export function bestBeside(place: number, { picks, deliveries }: LoadingArms, { brief, tiles }: LoadingGround): readonly Rational[] {
  const best = Array.from({ length: tiles }, () => ZERO);
  const put = (at: number, rate: Rational): void => {
    best[at] = maxRational(best[at], rate.mul(brief.presence));
  };
  // Of a chest that no arm may fill, nothing is carried.
  const mayFill = new Set(picks.flatMap((list) => list.map(({ into }) => into)));
  deliveries.forEach((list, tile) => {
    if (mayFill.has(tile)) for (const { model, at } of list) put(at, fillRate(model));
  });
  for (const pick of picks.flat()) if (pick.into < 0 && worksAt(pick, place)) put(pick.at, pickRateBound(pick.model));
  return best;
}
