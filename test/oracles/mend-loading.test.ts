/**
 * Repairs of stations that fill wagons against brute force: on tiny sites every layout that is cheaper to come by than the
 * repair found, whatever stands in it, is simulated, and none passes. TRANSLOOM_MENDS sets how many plans (21),
 * TRANSLOOM_SEED the first seed.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part, type PlacedEntry } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { verifyLoading } from '../../src/simulation/verify-loading.js';
import { mendStation } from '../../src/tasks/mend-station.js';
import { termsByTarget, type MendTerms } from '../../src/tasks/mend-terms.js';
import { catalogOf, damaged, layoutsBelow, tinyLayout } from './tiny-repairs.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 21);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 200_000 };
/** Of dearer repairs there are too many. */
const MOST = 5;

const west = (y: number): PlacedEntry => ({ at: { x: 0, y }, heading: 'E', give: undefined });
const south = (x: number, y: number): PlacedEntry => ({ at: { x, y }, heading: 'N', give: undefined });

/** A belt beneath one or two arms; by chests; two entries apart, and joined by a tee merge; one that comes from below; an arm from belt to belt. */
const WHOLE: readonly (readonly [rows: readonly string[], entries: readonly PlacedEntry[]])[] = [
  [['.N.', '>>.'], [west(1)]],
  [['.NN', '>>>'], [west(1)]],
  [['N..', 'o..', 'N..', '>..'], [west(3)]],
  [['N.N', '^.^'], [south(0, 1), south(2, 1)]],
  [['..N', '>>>', '.^.'], [west(1), south(1, 2)]],
  [['N..', '^..', '^..'], [south(0, 2)]],
  [['..N', '>E>'], [west(1)]],
];

const mayDraw = ({ parts, wagons }: Layout, feed: MendTerms['brief']['feed']): boolean => {
  const isOnBelt = (tile: { readonly x: number; readonly y: number }, kind: Part['kind']): boolean => parts.some((part) => part.kind === kind && tilesOf(part).some(({ x, y }) => x === tile.x && y === tile.y));
  return parts.every((part) => {
    if (part.kind !== 'arm') return true;
    const [from, onto] = [pickTile(part), placeTile(part)];
    if (wagonAt(wagons, from) !== undefined) return !isOnBelt(onto, 'chest') && !isOnBelt(onto, 'belt') && wagonAt(wagons, onto) === undefined;
    return feed !== 'chests' || wagonAt(wagons, onto) === undefined || !isOnBelt(from, 'belt');
  });
};

const passes = (layout: Layout, asked: readonly Rational[], { brief }: MendTerms): boolean =>
  mayDraw(layout, brief.feed) &&
  verifyLoading(layout, { entries: asked, wagons: layout.wagons.map(() => ZERO), together: ZERO }, { ...STARTS, presence: brief.presence, exceed: false }).failure === undefined;

describe('of all layouts of a tiny site', () => {
  it.each([
    [undefined, ONE],
    [{ remove: 2, turn: 2 }, ONE],
    [{ remove: 1, turn: 3 }, ratio(9, 10)],
    [{ remove: 0, turn: 1 }, ONE],
  ] as const)('none that fills wagons is cheaper to come by than the repair: work %j', { timeout: 600_000 }, async (work: Catalog['work'], presence: Rational) => {
    let [looked, cheaper, joined, byChests] = [0, 0, 0, 0];
    for (const [index, seed] of seeds.entries()) {
      const draw = seededRandom(seed * 7_919 + 5);
      const [rows, entries] = WHOLE[index % WHOLE.length];
      const whole: Layout = { ...tinyLayout(rows, catalogOf(work)), entries };
      const given = leastLoaded(whole, STARTS, presence);
      if (given === undefined) throw new Error(`seed ${seed} repeats`);
      const share = ratio(1 + draw(3), 3);
      const asked = given.entries.map((flow) => flow.mul(share));
      const { layout, damage } = damaged(whole, draw);
      const byTarget = termsByTarget(layout, (entry) => asked[entry]);
      // By chests alone is also asked for where damage has left no arm that draws from one.
      const feed = index % 2 === 0 && rows.join('').includes('o') ? 'chests' : byTarget.brief.feed;
      const terms: MendTerms = { ...byTarget, brief: { ...byTarget.brief, presence, feed } };
      // A chest may be given more than its arm carries off.
      if (!passes(whole, asked, terms)) continue;
      const { outcome } = await mendStation(layout, { terms, starts: STARTS.starts, seed: STARTS.seed, timeLimitSeconds: 60, now: () => performance.now() });
      expect({ seed, status: outcome.status }).toEqual({ seed, status: 'optimal' });
      if (outcome.status !== 'optimal') continue;
      const { price, layout: mended } = outcome.mend;
      expect({ seed, price, within: price <= damage }).toMatchObject({ within: true });
      cheaper += price < damage ? 1 : 0;
      joined += deriveNetwork(whole).carriers.some(({ entry, fromRight }) => entry === undefined && fromRight !== undefined) ? 1 : 0;
      byChests += terms.brief.feed === 'chests' ? 1 : 0;
      expect(passes(mended, asked, terms)).toBe(true);
      for (const other of layoutsBelow(layout, Math.min(price, work?.remove === 0 ? 3 : MOST))) {
        looked += 1;
        if (passes(other, asked, terms)) expect({ seed, price, parts: other.parts }).toBe('nothing cheaper');
      }
    }
    expect(looked).toBeGreaterThan(plans * 10);
    expect(Math.min(cheaper, joined, byChests)).toBeGreaterThan(0);
  });
});
