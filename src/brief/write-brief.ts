/**
 * Writes a brief as JSON with its catalog inside, so that a document can carry what was asked. The inverse of
 * `parse-brief.ts`: what is read back is the same brief, to the last digit.
 */
import { northOf } from '../base/ground.js';
import { invariant } from '../base/invariant.js';
import { compare, formatRational, ratio, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Catalog } from '../catalog/catalog.js';
import { writeCatalog } from '../catalog/write-catalog.js';
import type { Brief, ExitDemand, Target } from './brief.js';
import type { Demand } from './demand.js';
import type { EntryDemand, LoadJob } from './load-job.js';

type BriefJson = Readonly<Record<string, unknown>>;

/** Longest text that the schema takes for a rate or a share. */
const LONGEST = 60;

/** "0.375"; undefined where the decimals never end, or are too many. */
function decimalText(value: Rational): string | undefined {
  for (let digits = 0; digits < LONGEST; digits++) {
    const tens = 10n ** BigInt(digits);
    if (tens % value.d !== 0n) continue;
    const text = String(value.n * (tens / value.d)).padStart(digits + 1, '0');
    return digits === 0 ? text : `${text.slice(0, -digits)}.${text.slice(-digits)}`;
  }
  return undefined;
}

const textsOf = (value: Rational): readonly string[] => {
  const decimal = decimalText(value);
  return [formatRational(value), ...(decimal === undefined ? [] : [decimal])];
};

const firstThatFits = <T extends { readonly text: string }>(all: readonly T[]): T => {
  const found = all.find(({ text }) => text.length <= LONGEST);
  invariant(found !== undefined, 'what was read can be written again', { texts: all.map(({ text }) => text) });
  return found;
};

const shareText = (share: Rational): string => firstThatFits(textsOf(share).map((text) => ({ text }))).text;

/** As a rate if that is short enough, else as what it may have been read from. `capacity` in items per tick. */
function writeFlow(itemsPerTick: Rational, capacity: Rational, { ticksPerSecond }: Catalog): BriefJson {
  const perSecond = itemsPerTick.mul(ratio(ticksPerSecond));
  const { field, text } = firstThatFits([
    ...textsOf(itemsPerTick).map((each) => ({ field: 'rate', text: each })),
    ...textsOf(itemsPerTick.div(capacity)).map((each) => ({ field: 'fill', text: each })),
    ...textsOf(perSecond).map((each) => ({ field: 'rate', text: `${each}/s` })),
  ]);
  return { [field]: text };
}

const isNothing = ({ total, left, right }: Target): boolean => [total, left, right].every((flow) => compare(flow, ZERO) === 0);

function writeExit({ edge, from, to, belt, target }: ExitDemand, catalog: Catalog): BriefJson {
  const lane = ratio(belt.speed, catalog.pitch);
  const sides = (['left', 'right'] as const).filter((side) => compare(target[side], ZERO) > 0);
  // A sum of the lanes is not asked for by itself, and may be no text that a brief can hold.
  const isSum = sides.length > 0 && target.total.equals(target.left.add(target.right));
  const flows = {
    ...(isSum ? {} : writeFlow(target.total, lane.mul(2), catalog)),
    ...Object.fromEntries(sides.map((side) => [side, writeFlow(target[side], lane, catalog)])),
  };
  return { edge, from, to, belt: belt.name, ...(isNothing(target) ? {} : { target: flows }) };
}

function commonTarget({ catalog, exits, together }: Brief): BriefJson {
  if (together === undefined) return {};
  const capacity = sumRational(exits.map(({ belt }) => ratio(2 * belt.speed, catalog.pitch)));
  return { target: writeFlow(together, capacity, catalog) };
}

const timeText = (ticks: Rational, ticksPerSecond: number): string =>
  firstThatFits(textsOf(ticks.div(ratio(ticksPerSecond))).map((each) => ({ text: `${each}s` }))).text;

function writeDemand({ itemsPerTick, roundTripTicks, layover }: Demand, { ticksPerSecond }: Catalog): BriefJson {
  const rate =
    itemsPerTick &&
    firstThatFits([
      ...textsOf(itemsPerTick).map((text) => ({ text })),
      ...textsOf(itemsPerTick.mul(ratio(ticksPerSecond))).map((each) => ({ text: `${each}/s` })),
      ...textsOf(itemsPerTick.mul(ratio(3600 * ticksPerSecond))).map((each) => ({ text: `${each}/h` })),
    ]).text;
  const roundTrip = roundTripTicks && timeText(roundTripTicks, ticksPerSecond);
  return { ...(rate === undefined ? {} : { rate }), ...(roundTrip === undefined ? {} : { roundTrip }), layover: shareText(layover) };
}

/** What a brief of the job "load" has instead of exits. */
function writeLoadJob({ entries, together, fullTicks }: LoadJob, catalog: Catalog): BriefJson {
  const capacityOf = ({ belt }: EntryDemand): Rational => ratio(2 * belt.speed, catalog.pitch);
  const common = {
    ...(together === undefined ? {} : writeFlow(together, sumRational(entries.map(capacityOf)), catalog)),
    ...(fullTicks === undefined ? {} : { full: timeText(fullTicks, catalog.ticksPerSecond) }),
  };
  return {
    job: 'load',
    entries: entries.map((entry) => {
      const { edge, from, to, belt, target } = entry;
      return { edge, from, to, belt: belt.name, ...(compare(target, ZERO) === 0 ? {} : { target: writeFlow(target, capacityOf(entry), catalog) }) };
    }),
    ...(Object.keys(common).length === 0 ? {} : { target: common }),
  };
}

/** What was left out is written out, so that a reader needs no defaults. */
export function writeBrief(brief: Brief): BriefJson {
  const { name, catalog, site, wagons, exits, feed, spotting, presence, starts, limits, minimise, demand, exceed, load, keep } = brief;
  const { imbalance, dwell, trainsPerHour, ...counts } = limits;
  const keepOut = site.keepOut.map(({ x, y, width, height }) => [x, y, width, height]);
  const numbers = Object.entries(counts).filter(([, limit]) => limit !== undefined);
  return {
    format: 'transloom-brief/1',
    name,
    catalog: writeCatalog(catalog),
    site: { width: site.width, depth: site.depth, ...northOf(site), ...(keepOut.length === 0 ? {} : { keepOut }) },
    wagons: wagons.map(({ model, at }) => ({ model: model.name, at })),
    ...(load === undefined ? { exits: exits.map((exit) => writeExit(exit, catalog)), ...commonTarget(brief) } : writeLoadJob(load, catalog)),
    ...(exceed === true ? { exceed } : {}),
    feed,
    spotting,
    presence: shareText(presence),
    starts,
    limits: {
      ...Object.fromEntries(numbers),
      ...(imbalance === undefined ? {} : { imbalance: shareText(imbalance) }),
      ...(dwell === undefined ? {} : { dwell: timeText(dwell, catalog.ticksPerSecond) }),
      ...(trainsPerHour === undefined ? {} : { trainsPerHour: shareText(trainsPerHour) }),
    },
    minimise,
    ...(demand === undefined ? {} : { demand: writeDemand(demand, catalog) }),
    ...(keep === undefined ? {} : { keep: [...keep.boxes.map(({ x, y, width, height }) => [x, y, width, height]), ...keep.tiles.map(({ x, y }) => [x, y])] }),
  };
}
