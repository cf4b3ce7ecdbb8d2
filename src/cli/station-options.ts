/**
 * The options of `station` as checked data; what they say outranks the `demand` of a brief. Times and rates need the
 * catalog's ticks, so they are read once it is there, in `sizingTerms`.
 */
import type { Argv } from 'yargs';
import { NO_RESERVE, parseDemandRate, parseRoundTrip, parseShare, type Catalog, type Demand, type Rational, type SizingTerms } from '../index.js';
import { usage } from './usage.js';

export interface StationChoice {
  readonly demand: string | undefined;
  readonly roundTrip: string | undefined;
  readonly layover: Rational | undefined;
}

export const stationOptions = <T>(argv: Argv<T>) =>
  argv
    .option('demand', { type: 'string', requiresArg: true, describe: 'Items that must leave (or, where trains are filled, get into them), such as 48000/h, 13/s or 3/8 a tick; left out: that of the brief, else all that the layout gives' })
    .option('round-trip', { type: 'string', requiresArg: true, describe: "A train's way there and back with loading, in ticks or such as 900s" })
    .option('layover', { type: 'string', requiresArg: true, describe: "Reserve on top of a train's cycle, as a share of it, such as 1/10 or 10%" });

/** The options as they were given: texts, which go from thread to thread. */
export interface GivenStation {
  readonly demand: string | undefined;
  readonly 'round-trip': string | undefined;
  readonly layover: string | undefined;
}

/** Of all that was given, what is this command's own. */
export const givenStation = ({ demand, 'round-trip': roundTrip, layover }: GivenStation): GivenStation => ({ demand, 'round-trip': roundTrip, layover });

export function readStationOptions(raw: GivenStation): StationChoice {
  const layover = raw.layover === undefined ? undefined : parseShare(raw.layover);
  if (raw.layover !== undefined && layover === undefined) throw usage(`--layover needs a share such as 1/10, 0.1 or 10%, not “${raw.layover}”.`);
  return { demand: raw.demand, roundTrip: raw['round-trip'], layover };
}

export function sizingTerms({ demand, roundTrip, layover }: StationChoice, asked: Demand | undefined, { ticksPerSecond }: Catalog): SizingTerms {
  const itemsPerTick = demand === undefined ? asked?.itemsPerTick : parseDemandRate(demand, ticksPerSecond);
  if (demand !== undefined && itemsPerTick === undefined) throw usage(`--demand needs items per hour such as 48000/h, per second such as 13/s, or per tick such as 3/8, above 0, not “${demand}”.`);
  const roundTripTicks = roundTrip === undefined ? asked?.roundTripTicks : parseRoundTrip(roundTrip, ticksPerSecond);
  if (roundTrip !== undefined && roundTripTicks === undefined) throw usage(`--round-trip needs seconds such as 900s or whole ticks such as 45000, not “${roundTrip}”.`);
  return { itemsPerTick, roundTripTicks, layover: layover ?? asked?.layover ?? NO_RESERVE };
}
