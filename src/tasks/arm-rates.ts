/**
 * What each arm of a catalog can deliver onto each target, by bound and in simulation.
 */
import { ONE, sumRational } from '../base/rational.js';
import type { Catalog } from '../catalog/catalog.js';
import type { RateFinding } from '../report/rates.js';
import { TICK_LIMIT, USUAL_SEED } from '../simulation/starts.js';
import { runTrial } from '../simulation/trial.js';
import { rateBenches } from '../synthesis/rates/rate-benches.js';

/** Simulates every bench of `rate-benches.ts` from the standard start. */
export function armRates(catalog: Catalog): readonly RateFinding[] {
  return rateBenches(catalog).map(({ arm, target, bound, layout }) => {
    const trial = runTrial(layout, { starts: 0, seed: USUAL_SEED, tickLimit: TICK_LIMIT, presence: ONE });
    const delivered = target.kind === 'chest' ? trial.arms.map((each) => each.flow) : trial.exits.map((exit) => exit.flow);
    return { arm: arm.name, target, bound, simulated: sumRational(delivered), exact: trial.exact };
  });
}
