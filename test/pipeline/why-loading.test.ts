/**
 * Why a station fills wagons more slowly than its belts could bring: what waits outside, and changes that give what is said.
 */
import { describe, expect, it } from 'vitest';
import { sameTile } from '../../src/base/geometry.js';
import { compare, isLess, ONE, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import { entriesOf, type Layout } from '../../src/layout/layout.js';
import { singleChanges } from '../../src/layout/single-change.js';
import { plainInks } from '../../src/report/ink.js';
import { runTrial } from '../../src/simulation/trial.js';
import { whyLoading, whyLoadingDocument, whyLoadingReport } from '../../src/tasks/why-loading.js';
import { planOf } from '../documents.js';

const STYLE = { ink: plainInks, ascii: true };
const REQUEST = { starts: 2, seed: 1, tickLimit: 100_000, changes: true };

const sample = (): Layout => planOf('models/plans/grain-loading.json');

/** With the lanes of arms and chests at these columns alone. */
const lanesAt = (layout: Layout, columns: readonly number[]): Layout => ({
  ...layout,
  parts: layout.parts.filter((part) => part.kind === 'belt' || ('at' in part && columns.includes(part.at.x))),
});

const intoWagons = (layout: Layout): Rational =>
  sumRational((runTrial(layout, { starts: 2, seed: 1, tickLimit: 100_000, presence: ONE }).wagons ?? []).map(({ inflow }) => inflow));

describe('a station that fills wagons', () => {
  it('lacks nothing where all that belts bring is picked up', () => {
    const why = whyLoading(sample(), { ...REQUEST, changes: false });
    expect(why.entries.map(({ missing, offered }) => [missing.toFraction(), offered.toFraction()])).toEqual([['0', '2/5']]);
    expect(whyLoadingReport(why, STYLE).join('\n')).toContain('Entry 1, over the west edge of [0, 3], lets in 20.00/s of 20.00/s: nothing is missing.');
  });

  it('names what waits outside, and the arms that would have to take it', () => {
    const why = whyLoading(lanesAt(sample(), [1]), { ...REQUEST, changes: false });
    const [entry] = why.entries;
    expect([entry.flow.toFraction(), entry.missing.toFraction()]).toEqual(['4/19', '18/95']);
    expect(entry.arms.map(({ at, flow, share }) => [at, flow.toFraction(), share.moving.toFraction()])).toEqual([[{ x: 1, y: 2 }, '4/19', '1']]);
    expect(whyLoadingDocument(why)).toMatchObject({ together: { flow: '4/19' }, entries: [{ missing: '18/95', arms: [{ at: [1, 2] }] }], drying: [], filling: [] });
  });

  it('what a metered entry holds back is not missing; that it may give more is a change', () => {
    const plan = lanesAt(sample(), [1]);
    const metered: Layout = { ...plan, entries: entriesOf(plan).map((entry) => ({ ...entry, give: ratio(1, 8) })) };
    const why = whyLoading(metered, REQUEST);
    expect(why.entries[0].missing.equals(0)).toBe(true);
    expect(why.changes[0].change.kind).toBe('admit');
    expect(why.changes[0].gain.equals(ratio(4, 19).sub(ratio(1, 8)))).toBe(true);
  });

  it('each change gives exactly what is said, lasts, and none that lasts gives more', () => {
    const layout = lanesAt(sample(), [1]);
    const before = intoWagons(layout);
    const { changes, untried } = whyLoading(layout, REQUEST);
    expect(untried).toBe(0);
    expect(changes.length).toBeGreaterThan(0);
    for (const { layout: changed, gain, chestsKeepUp } of changes) {
      expect(compare(intoWagons(changed).sub(before), gain)).toBe(0);
      expect(chestsKeepUp).toBe(true);
    }
    const best = changes[0].gain;
    for (const { change, layout: changed } of singleChanges(layout)) {
      const trial = runTrial(changed, { starts: 2, seed: 1, tickLimit: 100_000, presence: ONE });
      if (!trial.chests.every(({ keepsUp }) => keepsUp) || change.kind === 'remove') continue;
      const isTakenOut = change.kind === 'add' && change.part.kind === 'arm' && change.part.heading === 'S';
      if (!isTakenOut) expect(isLess(best, intoWagons(changed).sub(before)), JSON.stringify(change)).toBe(false);
    }
  });

  it('a change that fills wagons from stock, or with what it takes out of them, is none', () => {
    const { changes } = whyLoading(sample(), REQUEST);
    for (const { layout } of changes) expect(runTrial(layout, { starts: 0, seed: 1, tickLimit: 100_000, presence: ONE }).chests.every(({ keepsUp }) => keepsUp)).toBe(true);
    expect(changes.map(({ gain }) => gain).every((gain) => isLess(ZERO, gain))).toBe(true);
  });

  it('a chest into which more comes than can be carried off is told', () => {
    const plan = lanesAt(sample(), [1]);
    const why = whyLoading(plan, { ...REQUEST, changes: false, presence: ratio(1, 2) });
    expect(why.filling.map(({ at }) => sameTile(at, { x: 1, y: 1 }))).toEqual([true]);
    expect(whyLoadingReport(why, STYLE).join('\n')).toContain('The grain bin at [1, 1] fills up: 10.53/s come in, 8.00/s can be carried off');
  });
});
