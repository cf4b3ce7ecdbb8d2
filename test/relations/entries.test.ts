/**
 * A station that fills wagons costs the same in whatever order its brief names the belts that come in, though a search lays
 * what they have in common with the first of them.
 */
import { expect, it } from 'vitest';
import { readBrief } from '../../bench/cases.js';
import { designStation } from '../../src/index.js';
import { loadJobOf } from '../documents.js';

it.each([
  'loading-12-two-belts-030-4x5',
  'loading-15-two-belts-030-apart-6x5',
  'loading-17-two-belts-060-direct-10x8',
  'loading-18-two-belts-030-side-emptied-6x6',
  'loading-19-two-belts-onto-a-belt-3x4',
])('%s costs the same with its belts in the other order', async (name) => {
  const brief = readBrief(`test/cases/${name}.json`);
  const load = loadJobOf(brief);
  const costOf = async (entries: typeof load.entries): Promise<readonly unknown[]> => {
    const { outcome: { status, proof } } = await designStation({ ...brief, load: { ...load, entries }, starts: 2, minimise: ['cost'] }, { now: () => performance.now() });
    return [status, proof.cost];
  };
  expect(await costOf(load.entries.toReversed())).toEqual(await costOf(load.entries));
});
