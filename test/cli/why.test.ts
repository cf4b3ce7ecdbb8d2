/**
 * `why` as the built command. `npm test` builds first.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { transloom } from './built-command.js';

const folder = ownFolder();

const perSecond = (stdout: string): number => (JSON.parse(stdout) as { readonly together: { readonly perSecond: number } }).together.perSecond;

it('writes the plan with the best change, which gives as much more as it says', () => {
  const best = join(folder, 'best.plan.txt');
  const before = transloom(['why', 'models/plans/grain-two-bins.json', '--json', '--best', best]);
  const { changes } = JSON.parse(before.stdout) as { readonly changes: readonly { readonly perSecond: number }[] };
  const after = transloom(['why', best, '--json']);
  expect([before.status, after.status]).toEqual([0, 0]);
  expect(perSecond(after.stdout)).toBeCloseTo(perSecond(before.stdout) + changes[0].perSecond, 6);
});

it('ends with code 1 and writes nothing where no single change helps', () => {
  const best = join(folder, 'none.json');
  const { status, stderr } = transloom(['why', 'models/plans/grain-direct-tee.json', '--best', best, '--starts', '1']);
  expect([status, stderr]).toEqual([1, expect.stringContaining('No single change gives more')]);
  expect(existsSync(best)).toBe(false);
});

it.each([
  ['--target', '2', '--target needs a share'],
  ['--target', 'much', '--target needs a share'],
  ['--target', 'promise', 'The plan promises nothing'],
  ['--starts', '-1', '--starts'],
])('refuses %s %s', (option, value, sentence) => {
  const { status, stderr } = transloom(['why', 'models/plans/grain-two-bins.json', `${option}=${value}`]);
  expect([status, stderr]).toEqual([2, expect.stringContaining(sentence)]);
});

it('tells of a plan that fills wagons what waits outside, and writes the plan with the best change', () => {
  const best = join(folder, 'loading-best.json');
  const { status, stdout } = transloom(['why', 'models/plans/grain-loading.json', '--json', '--best', best]);
  expect(status).toBe(0);
  const { together, entries, changes } = JSON.parse(stdout) as { together: { perSecond: number }; entries: unknown[]; changes: { perSecond: number }[] };
  expect([together.perSecond, entries.length]).toEqual([20, 1]);
  const after = JSON.parse(transloom(['trial', best, '--json']).stdout) as { wagons: { perSecond: number }[] };
  expect(after.wagons[0].perSecond).toBeCloseTo(20 + changes[0].perSecond, 6);
  const refused = transloom(['why', 'models/plans/grain-loading.json', '--target', '0.5']);
  expect([refused.status, refused.stderr]).toEqual([2, expect.stringContaining('--target is for exits, and this plan, which fills trains, has none')]);
});
