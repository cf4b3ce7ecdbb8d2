/**
 * What a search for loading stations knows of its brief: its ground (`loading-ground.ts`), the arms that may stand there
 * (`loading-arms.ts`), what is wanted of them (`loading-demand.ts`), and bounds on what they carry.
 */
import { isLess, maxRational, minRational, ratio, sumRational, ZERO, type Rational } from '../../base/rational.js';
import { flowForTrains } from '../../brief/asked-trains.js';
import type { Brief } from '../../brief/brief.js';
import type { LoadJob } from '../../brief/load-job.js';
import { spottingOffsets } from '../../layout/spotting.js';
import { endRateBound, passRateBound } from '../rates/rate-model.js';
import { bestBeside, flowUnits, loadingArms, type LoadingArms } from './loading-arms.js';
import { loadingDemand, trainFlows, wantedInAll, type LoadingDemand } from './loading-demand.js';
import { loadingGround, onwardPrices, waysLeft, type LoadingGround } from './loading-ground.js';
import { leastOfTwo } from './two-arms.js';

/** What all arms that fit, or all belts, bring too little for. */
type TooSlowFor = 'target' | 'trainsPerHour' | 'dwell' | undefined;

export interface LoadingSite extends LoadingGround, LoadingArms, LoadingDemand {
  /** Places where the wagons may stop (in the order of `spottingOffsets`), as planned first: of those at which every arm reaches the same wagon, one. */
  readonly places: readonly number[];
  /** What two arms or more take at least that fill chests from one entry, or from two which are joined (`two-arms.ts`); 0 where nothing is known. */
  readonly takenByTwo: number;
  /** What all arms straight into wagons take at most: no more than comes in while these stand there. */
  readonly brought: number;
  /** What does. */
  readonly broughtFlow: Rational;
  /** What is wanted in items per tick, and what gets into the wagons at most: by arms that fit beside them wherever they stop, straight from belts also by what comes in. */
  readonly wantedFlow: Rational;
  readonly most: Rational;
  readonly tooSlowFor: TooSlowFor;
  /** So many arms it takes at least to carry what is wanted; Infinity where no number does. */
  readonly leastArms: number;
  /** Least price of carriers that a belt's end on a tile still needs to come to a tile from which an arm may pick. */
  readonly wayLeft: readonly number[];
  /** By number of tiles: least price of carriers one end of which is so far on. */
  readonly onward: readonly number[];
  /** What a lane of a belt passes on at most; and one onto which items come near its end, where that is not looked past. */
  readonly laneRate: (speed: number) => number;
  readonly endRate: (speed: number) => number;
}

export function loadingSite(brief: Brief, job: LoadJob): LoadingSite {
  const ground = loadingGround(brief, job);
  const wantedFlow = wantedInAll(job, brief);
  const units = flowUnits(brief, wantedFlow);
  const arms = loadingArms(ground, units);
  const besides = spottingOffsets(brief.spotting).map((_, place) => bestBeside(place, arms, ground));
  const beside = besides.map(sumRational).reduce(minRational);
  // Chests may have filled before; straight from belts comes what comes in.
  const broughtFlow = broughtBy(job, brief).mul(brief.presence);
  const most = brief.feed === 'direct' ? minRational(beside, broughtFlow) : beside;
  const tooSlowFor = tooSlow(brief, job, beside, most);
  return {
    ...ground,
    ...arms,
    ...loadingDemand(brief, job, units),
    places: placesThatDiffer(arms, spottingOffsets(brief.spotting).length),
    takenByTwo: units.down(takenByTwo(brief, job)),
    brought: brief.feed === 'chests' ? 0 : units.up(broughtFlow),
    broughtFlow,
    wantedFlow,
    most,
    tooSlowFor,
    leastArms: tooSlowFor === undefined ? Math.max(...besides.map((best) => leastArms(brief, wantedFlow, best))) : Infinity,
    wayLeft: waysLeft(ground, arms.picks.map((list) => list.length > 0)),
    onward: onwardPrices(ground),
    laneRate: ofBelts(brief, (speed) => units.up(passRateBound(brief.catalog, speed))),
    endRate: ofBelts(brief, (speed) => units.up(endRateBound(brief.catalog, speed))),
  };
}

function placesThatDiffer({ picks, deliveries }: LoadingArms, places: number): readonly number[] {
  const reached = [...picks.flat().filter(({ into }) => into < 0), ...deliveries.flat()].map(({ wagons }) => wagons);
  const texts = Array.from({ length: places }, (_, place) => reached.map((wagons) => wagons[place]).join());
  return texts.flatMap((text, place) => (texts.indexOf(text) === place ? [place] : []));
}

/** Worked out once for each belt's speed. */
function ofBelts({ catalog: { belts } }: Brief, rate: (speed: number) => number): (speed: number) => number {
  const rates = new Map(belts.map(({ speed }) => [speed, rate(speed)]));
  return (speed) => rates.get(speed) ?? rate(speed);
}

/** What comes in over all entries at most. */
const broughtBy = ({ entries }: LoadJob, { catalog }: Brief): Rational => sumRational(entries.map(({ belt }) => ratio(2 * belt.speed, catalog.pitch)));

function takenByTwo({ catalog, feed }: Brief, { entries }: LoadJob): Rational {
  const [{ belt }] = entries;
  return feed === 'chests' && entries.every((entry) => entry.belt === belt) ? leastOfTwo(catalog.arms, belt, catalog) : ZERO;
}

/** `beside`: what all arms carry for which there is room beside the wagons; `most`: what of that gets into them. */
function tooSlow(brief: Brief, job: LoadJob, beside: Rational, most: Rational): TooSlowFor {
  const wanted = wantedInAll(job, brief);
  const { through, led } = trainFlows(brief);
  if (isLess(most, wanted) || (brief.exceed === true && most.equals(wanted))) return 'target';
  if (isLess(beside, through) || isLess(broughtBy(job, brief), flowForTrains(brief))) return 'trainsPerHour';
  return isLess(most, led) ? 'dwell' : undefined;
}

/** By targets, and by limits on trains. */
function leastArms(brief: Brief, wanted: Rational, beside: readonly Rational[]): number {
  const { through, led } = trainFlows(brief);
  return Math.max(armsFor(wanted, beside, brief), armsFor(maxRational(through, led), beside, { ...brief, exceed: false }));
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
