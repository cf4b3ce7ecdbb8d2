/**
 * Which chest is given more than its arms carry into wagons, and which arms these are (world rules, section 11, *Loading*): why a
 * layout whose flows would do does not pass.
 */
import { isLess, type Rational } from '../base/rational.js';
import type { Tile } from '../base/geometry.js';
import { tilesOf, type Layout } from '../layout/layout.js';
import { compileLayout } from './compile.js';
import { Starts, type StartOptions } from './starts.js';
import { chestFlows } from './supply.js';
import type { Overfull } from './trial-result.js';

/** Of the first start from which there is one: the chest with most too much. Of starts that do not repeat nothing is told. */
export function overfullChest(layout: Layout, options: StartOptions, presence: Rational): Overfull | undefined {
  const program = compileLayout(layout);
  const starts = new Starts(program, options);
  const tileOf = (part: number): Tile => tilesOf(layout.parts[part])[0];
  for (let start = 0; start <= options.starts; start++) {
    const settled = starts.settle(start);
    if (settled.some(({ orbit }) => !orbit.exact)) continue;
    let worst: Overfull | undefined;
    for (const { part, loads } of chestFlows(program, settled, presence)) {
      if (loads === undefined) continue;
      const { inflow } = loads;
      const carryOff = loads.carryOff.mul(presence);
      if (!isLess(carryOff, inflow)) continue;
      if (worst !== undefined && !isLess(worst.inflow.sub(worst.carryOff), inflow.sub(carryOff))) continue;
      const arms = program.network.arms.filter(({ pick, place }) => pick.kind === 'chest' && pick.part === part && place.kind === 'wagon').map((arm) => tileOf(arm.part));
      worst = { chest: tileOf(part), arms, inflow, carryOff };
    }
    if (worst !== undefined) return worst;
  }
  return undefined;
}
