/**
 * What a drawn station is asked for: just what it gives, lane by lane or in all, and limits, presence and objectives that it
 * keeps to, mostly just so. Whatever a search says of such a brief, this station has to bear it out.
 */
import { jainImbalance } from '../../src/base/jain.js';
import { isLess, minRational, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import { NO_LIMITS, type Brief, type Objective, type Target } from '../../src/brief/brief.js';
import { layoutCost, partCount, type Layout } from '../../src/layout/layout.js';
import { countedMeasures } from '../../src/layout/measure.js';
import { spotted } from '../../src/layout/spotting.js';
import type { Passing, Verify } from '../../src/synthesis/verifier.js';
import { askingFor, chance, flowsByStart, pick, type Draw, type LaneFlows } from './random-networks.js';

export const NOTHING: Target = { left: ZERO, right: ZERO, total: ZERO };

/** `all`: both lanes and the sum of each exit; `both`: one sum of all exits, beside the sums of some. */
const WAYS_OF_ASKING = ['all', 'all', 'lanes', 'total', 'left', 'right', 'together', 'both'] as const;

/** Of one exit, whose lanes and sum give that at least. */
function targetOf(draw: Draw, way: (typeof WAYS_OF_ASKING)[number], { left, right, total }: Target): Target {
  switch (way) {
    case 'all':
      return { left, right, total };
    case 'left':
    case 'right': {
      const lane = way === 'left' ? left : right;
      return isLess(ZERO, lane) ? { ...NOTHING, [way]: lane, total: lane } : { ...NOTHING, total };
    }
    case 'lanes':
      return { left, right, total: left.add(right) };
    case 'total':
      return { ...NOTHING, total };
    case 'together':
      return NOTHING;
    case 'both':
      return chance(draw, 50) ? { ...NOTHING, total } : NOTHING;
  }
}

/** What a station gives from each start, wherever its wagons stop; undefined where some start does not repeat in time. */
function flowsEverywhere(layout: Layout, spotting: number, starts: number): readonly (readonly LaneFlows[])[] | undefined {
  const flows = spotted(layout, spotting).map((each) => flowsByStart(each, starts, 1));
  return flows.some((each) => each === undefined) ? undefined : flows.flatMap((each) => each ?? []);
}

/** A little less of everything, to be exceeded. */
function exceeding(brief: Brief): Brief {
  const less = (rate: Rational): Rational => rate.mul(ratio(999, 1000));
  const exits = brief.exits.map(({ target: { left, right, total }, ...exit }) => ({ ...exit, target: { left: less(left), right: less(right), total: less(total) } }));
  return { ...brief, exits, together: brief.together && less(brief.together), exceed: true };
}

/** The brief with targets that the layout just meets, told in one of many ways; undefined where it is not known what it gives, or an exit gives nothing. */
export function askingForFlows(draw: Draw, layout: Layout, brief: Brief): Brief | undefined {
  const flows = flowsEverywhere(layout, brief.spotting, brief.starts);
  if (flows?.every((ofExits) => ofExits.every(({ left, right }) => isLess(ZERO, left.add(right)))) !== true) return undefined;
  const way = pick(draw, WAYS_OF_ASKING);
  const exits = askingFor(brief, flows).exits.map((exit) => ({ ...exit, target: targetOf(draw, way, exit.target) }));
  const sums = flows.map((ofExits) => sumRational(ofExits.flatMap(({ left, right }) => [left, right])));
  const asked = { ...brief, exits, together: way === 'together' || way === 'both' ? sums.reduce(minRational) : undefined, exceed: false };
  return chance(draw, 10) ? exceeding(asked) : asked;
}

const SHARES = [ratio(1, 8), ratio(1, 4), ratio(1, 3), ratio(1, 2), ratio(2, 3), ratio(5, 6)];
const OTHER_OBJECTIVES: readonly Objective[] = ['footprint', 'parts', 'cost', 'imbalance', 'arms', 'splitters', 'depth', 'width', 'fill', 'dwell', 'trainsPerHour'];

export interface Kept {
  readonly brief: Brief;
  /** The simulator's word on the layout. */
  readonly passing: Passing;
}

/** The brief with a presence, limits and objectives; undefined where the layout does not pass. */
export function keptBrief(draw: Draw, layout: Layout, brief: Brief, verify: Verify): Kept | undefined {
  const rarely = chance(draw, 50) ? SHARES.find((presence) => verify(layout, { ...brief, presence }).verdict === 'passes') : undefined;
  const present = { ...brief, presence: rarely ?? brief.presence };
  const passing = verify(layout, present);
  if (passing.verdict !== 'passes') return undefined;
  const { trains, chestOutflows } = passing;
  const some = <T>(value: T): T | undefined => (chance(draw, 15) ? value : undefined);
  const limits = {
    ...NO_LIMITS,
    arms: some(countedMeasures(layout).arms),
    parts: some(partCount(layout)),
    cost: some(layoutCost(layout)),
    imbalance: some(jainImbalance(chestOutflows)),
    dwell: some(trains?.dwell),
    trainsPerHour: some(trains?.trainsPerHour),
  };
  const first: Objective = chance(draw, 70) ? 'cost' : 'parts';
  const others = OTHER_OBJECTIVES.filter((other) => other !== first && (trains !== undefined || (other !== 'dwell' && other !== 'trainsPerHour')));
  return { brief: { ...present, limits, minimise: [first, ...(chance(draw, 60) ? [pick(draw, others)] : [])] }, passing };
}
