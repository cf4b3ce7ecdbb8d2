/**
 * Joins trials of one plan with its wagons wherever they may stop: `transloom trial --spotting`. Kept beside
 * `try-plan.ts`, which runs a single trial.
 */
import type { Checked } from '../base/finding.js';
import { compare, isLess, minRational, ONE, ratio, sumRational, type Rational } from '../base/rational.js';
import { checkGround } from '../catalog/read-site.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork, type Network } from '../layout/network.js';
import { withWagonsMoved } from '../layout/spotting.js';
import { leastAt } from './least-flows.js';
import type { TrialAnswer } from './try-plan.js';
import { breachesOf, type PlanPromise } from '../ranking/promise.js';
import type { Style } from '../report/canvas.js';
import { spottingJson, spottingText, type SpottingFinding, type SpottingPlace } from '../report/spotting-text.js';
import type { Json } from '../report/trial-json.js';
import { runTrial } from '../simulation/trial.js';
import type { TrialResult } from '../simulation/trial-result.js';

/** Whether the wagons still stand on the track wherever they may stop; a track that ends on the site gives them only so much room. */
export function checkSpotting({ site, wagons }: Layout, tiles: number): Checked<undefined> {
  const findings = checkGround(site, wagons, undefined, tiles).filter(({ severity }) => severity === 'error');
  return findings.length === 0 ? { ok: true, value: undefined, warnings: [] } : { ok: false, findings };
}

/** Tiles of arms that have nothing to pick from, or to place into, at one of the places where wagons stop, but a wagon at another. */
function missingArms({ parts }: Layout, place: number, armsAt: readonly Network['arms'][]): SpottingPlace['missing'] {
  return armsAt[place].flatMap((now, arm) => {
    const placed = parts[now.part];
    const misses = (['pick', 'place'] as const).some((end) => now[end].kind === 'nothing' && armsAt.some((arms) => arms[arm][end].kind === 'wagon'));
    return placed.kind === 'arm' && misses ? [placed.at] : [];
  });
}

const leastFill = (trial: TrialResult): Rational => trial.exits.reduce((least, { fill }) => minRational(least, fill), ratio(1_000_000));

const intoWagons = (trial: TrialResult): Rational => sumRational((trial.wagons ?? []).map(({ inflow }) => inflow));

/** More chests that do not keep up are worse; then a less filled exit; then less that gets into wagons; of equals the earlier place. */
function isWorse(a: SpottingPlace, b: SpottingPlace): boolean {
  const failing = ({ trial }: SpottingPlace): number => trial.chests.filter((chest) => !chest.keepsUp).length;
  if (failing(a) !== failing(b)) return failing(a) > failing(b);
  const order = compare(leastFill(a.trial), leastFill(b.trial));
  return order === 0 ? isLess(intoWagons(a.trial), intoWagons(b.trial)) : order < 0;
}

/** From `tiles` short to `tiles` far, with the starts of the answer's own trial. */
export function trySpotting({ layout, ran }: TrialAnswer, promise: PlanPromise | undefined, tiles: number): SpottingFinding {
  const all = Array.from({ length: 2 * tiles + 1 }, (_, index) => withWagonsMoved(layout, index - tiles));
  const armsAt = all.map((stands) => deriveNetwork(stands).arms);
  const places = all.map((stands, index): SpottingPlace => {
    const offset = index - tiles;
    const trial = runTrial(stands, { ...ran, presence: promise?.presence ?? ONE });
    return { offset, trial, missing: missingArms(layout, index, armsAt), breaches: promise && breachesOf(promise, leastAt(stands, layout, ran, promise.presence), trial) };
  });
  const worst = places.reduce((found, place, index) => (isWorse(place, places[found]) ? index : found), tiles);
  return { layout, places, worst };
}

export const spottingReport = (finding: SpottingFinding, style: Style): readonly string[] => spottingText(finding, style);

export const spottingDocument = (finding: SpottingFinding): Json => spottingJson(finding);
