/**
 * Joins what a verification counts with the formula for trains: what a layout that passes is limited and compared by.
 */
import { maxRational, minRational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import { tilesOf, type Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { TrainTimes } from '../layout/measure.js';
import { trainFormula } from '../ranking/train-formula.js';
import type { Verification } from '../simulation/verify.js';

const placeOf = ({ parts }: Layout, part: number): Tile => tilesOf(parts[part])[0];

/** Of the start that a verification shows; undefined where a wagon is never emptied or a chest does not keep up. */
export function trainTimes(layout: Layout, { arms, chests }: Pick<Verification, 'arms' | 'chests'>): TrainTimes | undefined {
  const formula = trainFormula(layout, {
    arms: deriveNetwork(layout).arms.map(({ part }, arm) => ({ at: placeOf(layout, part), flow: arms[arm] })),
    chests: chests.map((chest) => ({ ...chest, at: placeOf(layout, chest.part) })),
  });
  return formula && { dwell: formula.dwellTicks, trainsPerHour: formula.trainsPerHour };
}

/** The longest dwell and the fewest trains of several places where wagons may stop; undefined where there is none, or one of these has none. */
export function worstTimes(all: readonly (TrainTimes | undefined)[]): TrainTimes | undefined {
  if (all.length === 0) return undefined;
  return all.reduce((worst, other) => worst && other && { dwell: maxRational(worst.dwell, other.dwell), trainsPerHour: minRational(worst.trainsPerHour, other.trainsPerHour) });
}
