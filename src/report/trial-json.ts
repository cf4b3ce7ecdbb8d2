/**
 * The JSON that `trial --json` prints and `design --json` carries. Fields named in models/files-and-commands.md keep
 * their names and meanings. Rates are texts in items per tick; each has a `perSecond` number beside it.
 */
import { formatRational, minRational, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import type { Counts, LaneTrial, TrialResult } from '../simulation/trial-result.js';
import { perSecondNumber } from './numbers.js';

export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };
export type JsonObject = { readonly [key: string]: Json };

export const position = ({ x, y }: Tile): Json => [x, y];

/** An object without the fields that are undefined. */
export const present = (fields: Readonly<Record<string, Json | undefined>>): JsonObject =>
  Object.fromEntries(Object.entries(fields).filter((entry): entry is [string, Json] => entry[1] !== undefined));

/** The least of all exits; of a layout without any, of all entries the least share that comes in of what they offer; else 0. */
export function worstFill({ exits, entries = [] }: TrialResult): Rational {
  const fills = exits.length > 0 ? exits.map(({ fill }) => fill) : entries.map(({ share }) => share);
  return fills.length === 0 ? ZERO : fills.reduce(minRational);
}

export function trialJson(trial: TrialResult, ticksPerSecond: number, counts?: Counts): JsonObject {
  const flow = (name: string, itemsPerTick: Rational): JsonObject => ({
    [name]: formatRational(itemsPerTick),
    perSecond: perSecondNumber(itemsPerTick, ticksPerSecond),
  });
  const lane = (each: LaneTrial): JsonObject =>
    present({ ...flow('flow', each.flow), fill: formatRational(each.fill), largestGap: each.largestGap });
  const countsOf = (at: Tile, heading: string): Json | undefined => {
    const count = counts?.exits.find((each) => each.heading === heading && each.at.x === at.x && each.at.y === at.y);
    return count && { left: count.left, right: count.right };
  };
  const countsIn = (at: Tile, heading: string): Json | undefined => {
    const count = counts?.entries?.find((each) => each.heading === heading && each.at.x === at.x && each.at.y === at.y);
    return count && { left: count.left, right: count.right };
  };
  const takenFrom = (at: Tile): number | undefined =>
    counts?.chests.find((each) => each.at.x === at.x && each.at.y === at.y)?.taken;

  return present({
    exact: trial.exact,
    transientTicks: trial.transientTicks,
    periodTicks: trial.periodTicks,
    starts: trial.starts,
    worstStart: trial.worstStart,
    exits: trial.exits.map((exit) =>
      present({
        at: position(exit.at),
        heading: exit.heading,
        ...flow('flow', exit.flow),
        fill: formatRational(exit.fill),
        left: lane(exit.left),
        right: lane(exit.right),
        counts: countsOf(exit.at, exit.heading),
      }),
    ),
    together: trial.exits.length > 1 ? flow('flow', sumRational(trial.exits.map((exit) => exit.flow))) : undefined,
    arms: trial.arms.map((arm) =>
      present({
        at: position(arm.at),
        ...flow('flow', arm.flow),
        cycleTicks: arm.cycleTicks && formatRational(arm.cycleTicks),
        share: {
          moving: formatRational(arm.share.moving),
          blocked: formatRational(arm.share.blocked),
          starved: formatRational(arm.share.starved),
        },
      }),
    ),
    entries: trial.entries?.map((entry) =>
      present({
        at: position(entry.at),
        heading: entry.heading,
        ...flow('flow', entry.flow),
        left: formatRational(entry.left),
        right: formatRational(entry.right),
        share: formatRational(entry.share),
        counts: countsIn(entry.at, entry.heading),
      }),
    ),
    chests: trial.chests.map((chest) =>
      present({
        at: position(chest.at),
        ...flow('outflow', chest.outflow),
        supply: formatRational(chest.supply),
        inflow: chest.loads && formatRational(chest.loads.inflow),
        carryOff: chest.loads && formatRational(chest.loads.carryOff),
        keepsUp: chest.keepsUp,
        runsDryFrom: chest.runsDryFrom,
        fillsUpFrom: chest.fillsUpFrom,
        taken: takenFrom(chest.at),
      }),
    ),
    wagons:
      trial.wagons?.map(({ at, inflow }) => present({ at, ...flow('inflow', inflow), taken: counts?.wagons.find((wagon) => wagon.at === at)?.taken })) ??
      counts?.wagons.map(({ at, taken }) => ({ at, taken })),
    cost: trial.cost,
    parts: trial.parts,
    footprint: trial.footprint,
    splitters: trial.splitters,
    depth: trial.depth,
    width: trial.width,
    fill: formatRational(worstFill(trial)),
    imbalance: formatRational(trial.imbalance),
  });
}
