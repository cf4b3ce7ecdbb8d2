/** What a loading brief wants of its entries and wagons: by its targets, and by its limits on trains. */
import { isLess, maxRational, ratio, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { flowForTrains, fullLoad } from '../../brief/asked-trains.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import type { FlowUnits } from './loading-arms.js';

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

export interface LoadingDemand {
  /** What wagons are to get in all; if that is to be exceeded, the next whole number. */
  readonly wanted: number;
  /** What arms into wagons are to be able to carry in all, so that no train stands too long; no less than `wanted`. */
  readonly led: number;
  /** What of each entry is to get into wagons, what each wagon is to get, and what arms into it are to be able to carry. */
  readonly entryWanted: readonly number[];
  readonly wagonWanted: readonly number[];
  readonly wagonLed: readonly number[];
  /** What limits on trains ask of these flows, in items per tick; 0 where there are none. */
  readonly trainFlows: TrainFlows;
}

export const trainFlows = (brief: Brief): TrainFlows => ({
  through: flowForTrains(brief).mul(brief.presence),
  led: brief.limits.dwell === undefined ? ZERO : fullLoad(brief).div(brief.limits.dwell).mul(brief.presence),
});

export function wantedFlows(job: LoadJob, brief: Brief): { readonly entries: readonly Rational[]; readonly wagons: readonly Rational[]; readonly together: Rational } {
  const { fullTicks, promised } = job;
  return {
    entries: job.entries.map(({ target }) => target),
    wagons: brief.wagons.map(({ model }, wagon) => promised?.[wagon] ?? (fullTicks === undefined ? ZERO : ratio(model.capacity).div(fullTicks))),
    together: job.together ?? ZERO,
  };
}

/** In all, by targets. */
export function wantedInAll(job: LoadJob, brief: Brief): Rational {
  const { together, entries, wagons } = wantedFlows(job, brief);
  return [together, sumRational(entries), sumRational(wagons)].reduce(maxRational, ZERO);
}

export function loadingDemand(brief: Brief, job: LoadJob, { down }: FlowUnits): LoadingDemand {
  const targets = wantedFlows(job, brief);
  const forTrains = trainFlows(brief);
  /** If it is to be exceeded, the next whole number. */
  const wantedOf = (flow: Rational): number => down(flow) + (brief.exceed === true && isLess(ZERO, flow) ? 1 : 0);
  const wanted = Math.max(wantedOf(wantedInAll(job, brief)), down(forTrains.through));
  // A train has gone through when its last wagon is full.
  const shares = brief.wagons.map(({ model }) => ratio(model.capacity).div(fullLoad(brief)));
  const wagonWanted = shares.map((share, wagon) => Math.max(wantedOf(targets.wagons[wagon]), down(forTrains.through.mul(share))));
  return {
    wanted,
    led: Math.max(wanted, down(forTrains.led)),
    entryWanted: targets.entries.map(wantedOf),
    wagonWanted,
    wagonLed: shares.map((share, wagon) => Math.max(wagonWanted[wagon], down(forTrains.led.mul(share)))),
    trainFlows: forTrains,
  };
}
