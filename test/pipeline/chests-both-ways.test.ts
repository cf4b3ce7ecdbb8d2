/**
 * A chest that is filled from a belt to go into a wagon, and from which an arm also draws onto another belt: whether it runs
 * dry and whether it fills up are two questions, and each is answered beside its own figures.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import type { PlanPromise } from '../../src/ranking/promise.js';
import { plainInks } from '../../src/report/ink.js';
import { trialText } from '../../src/report/trial-text.js';
import { runTrial } from '../../src/simulation/trial.js';
import { planPage } from '../../src/tasks/draw-plan.js';
import { tryPlan } from '../../src/tasks/try-plan.js';
import { whyLoading, whyLoadingDocument } from '../../src/tasks/why-loading.js';
import { planOf } from '../documents.js';

const STYLE = { ink: plainInks, ascii: false };
const REQUEST = { starts: 2, seed: 1, tickLimit: 100_000, changes: false };

/** The lane of the chest at [1, 1] alone, and a way from that chest over the east edge. */
function drawnFrom(): Layout {
  const sample = planOf('models/plans/grain-loading.json');
  const parts = sample.parts.filter((part) => part.kind === 'belt' || ('at' in part && part.at.x === 1));
  const [arm] = parts.flatMap((part) => (part.kind === 'arm' ? [part] : []));
  const [belt] = parts.flatMap((part) => (part.kind === 'belt' ? [part] : []));
  const away = [3, 4, 5].map((x) => ({ ...belt, at: { x, y: 1 }, heading: 'E' as const }));
  return { ...sample, parts: [...parts, { ...arm, at: { x: 2, y: 1 }, heading: 'E' }, ...away], exits: [{ at: { x: 5, y: 1 }, heading: 'E', take: undefined }] };
}

const verdicts = (layout: Layout, presence: Rational): readonly string[] =>
  trialText({ layout, trial: runTrial(layout, { ...REQUEST, presence }), presence }, STYLE).flatMap((line) => /[✓✗] .*$/.exec(line) ?? []);

const breaches = (presence: Rational): readonly string[] => {
  const promise: PlanPromise = { exits: [], wagons: undefined, together: undefined, cost: 60, starts: 2, seed: 1, presence, spotting: 0 };
  return (tryPlan(drawnFrom(), promise).breaches ?? []).map(({ kind }) => kind);
};

describe('a chest that is drawn from as it loads', () => {
  // 4/19 come in, 8/25 can go into the wagon, 2/15 are drawn onto the belt, and no wagon fills it.
  it('runs dry, and does not fill up, as long as the wagon takes what belts bring', () => {
    expect(verdicts(drawnFrom(), ONE)).toEqual(['✗ runs dry']);
    expect(breaches(ONE)).toEqual(['chest-runs-dry']);
  });

  it('does both where the wagon stands there too short a time', () => {
    expect(verdicts(drawnFrom(), ratio(1, 2))).toEqual(['✗ fills up', '✗ runs dry']);
    expect(breaches(ratio(1, 2))).toEqual(['chest-fills-up', 'chest-runs-dry']);
  });

  it('a page says the same, and so does why', () => {
    const page = planPage(tryPlan(drawnFrom(), undefined, REQUEST), undefined);
    expect([page.includes('>runs dry<'), page.includes('>fills up<')]).toEqual([true, false]);
    expect(whyLoadingDocument(whyLoading(drawnFrom(), REQUEST))).toMatchObject({ drying: [{ at: [1, 1], outflow: '2/15', supply: '0' }], filling: [] });
  });
});

it('of a chest that only loads nothing is said of draining', () => {
  const sample = planOf('models/plans/grain-loading.json');
  expect(verdicts(sample, ONE)).toEqual(['✓ keeps up', '✓ keeps up', '✓ keeps up', '✓ keeps up']);
});
