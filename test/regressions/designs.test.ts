/**
 * One brief for each defect that was found in the design loop, with what it did wrong, held against brute force where it is small.
 * Defects of the simulator are in `simulator.test.ts`.
 */
import { describe, expect, it } from 'vitest';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { readJson } from '../documents.js';
import { compareDesign, designFor } from '../oracles/compare-designs.js';
import { readBrief } from '../oracles/random-briefs.js';

const DEFECTS = [
  {
    name: 'stub-before-a-belt',
    status: 'infeasible',
    mostSteps: 10_000,
    defect: 'a stub that stood for a last stretch faced a belt of the other exit, which took it for a feeder and was no turn any more',
  },
  {
    name: 'two-stretches-one-exit',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'last stretches that came together were still taken for ways to two exits, so that one exit was left out',
  },
  {
    name: 'slow-belt-under-an-arm',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'ways were cut off as too dear before it counted that a slower belt does under an arm',
  },
  {
    name: 'slow-belt-where-stretches-meet',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'stretches together were said to cost no less than each alone, though a slower belt does where they meet',
  },
  {
    name: 'past-a-tee-in-one-move',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'a slow belt was said to pass on no more than its speed, though items may come onto it from a tee merge in one move',
  },
  {
    name: 'arm-beside-a-gap',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'arms straight from wagons were left out that reach one only where it stops short or far',
  },
  {
    name: 'chest-filled-at-some-places',
    status: 'optimal',
    mostSteps: 400_000,
    defect: 'a chest that is not filled wherever wagons stop was left out, though arms straight from wagons may leave it no room where it is not',
  },
] as const;

describe('design', () => {
  it.each(DEFECTS)('$name: $defect', async ({ name, status, mostSteps }) => {
    const brief = readBrief(readJson(`test/regressions/${name}.json`) as { readonly catalog: unknown });
    if (brief === undefined) throw new Error(name);
    const { outcome, compared, difference } = await compareDesign(brief, await loadGlpkSolver(), { mostSteps });
    expect([outcome.status, compared, difference]).toEqual([status, true, undefined]);
    if (outcome.status === 'optimal') expect(outcome.layout.exits).toHaveLength(brief.exits.length);
  });

  it('costs in the thousands: the next price to try rose by a few, whatever parts cost, so that none was ever reached', async () => {
    const dear = (models: object): object =>
      Object.fromEntries(Object.entries(models as Record<string, { readonly cost: number }>).map(([name, model]) => [name, { ...model, cost: model.cost * 99_991 }]));
    const { belts, splitters, underpasses, arms, chests, ...rest } = readJson('test/cases/headline-catalog.json') as Record<string, object>;
    const priced = { belts: dear(belts), splitters: dear(splitters), underpasses: dear(underpasses), arms: dear(arms), chests: dear(chests) };
    const brief = readBrief({ ...(readJson('test/cases/headline-085.json') as object), catalog: { ...rest, ...priced } });
    if (brief === undefined) throw new Error('no brief');
    const { status, proof } = await designFor(brief, await loadGlpkSolver(), 40);
    expect([status, proof.cost]).toEqual(['optimal', 61 * 99_991]);
  });
});
