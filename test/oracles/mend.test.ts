/**
 * Repairs against brute force: on tiny sites every layout that is cheaper to come by than the repair found, whatever
 * stands in it, is simulated, and none passes. TRANSLOOM_MENDS sets how many plans (20), TRANSLOOM_SEED the first seed.
 */
import { describe, expect, it } from 'vitest';
import { sameTile, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ONE, ratio, type Rational } from '../../src/base/rational.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { pickTile, placeTile, wagonAt, type Layout } from '../../src/layout/layout.js';
import { mendStation } from '../../src/tasks/mend-station.js';
import { termsByTarget, type MendTerms } from '../../src/tasks/mend-terms.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { catalogOf, damaged, layoutsBelow, tinyLayout } from './tiny-repairs.js';

const plans = Number(process.env['TRANSLOOM_MENDS'] ?? 20);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const seeds = Array.from({ length: plans }, (_, index) => firstSeed + index);
const STARTS = { starts: 2, seed: 1, tickLimit: 200_000 };

const layoutOf = (rows: readonly string[], exit: Tile, catalog: Catalog): Layout => ({ ...tinyLayout(rows, catalog), exits: [{ at: exit, heading: 'S', take: undefined }] });

const WHOLE: readonly (readonly [rows: readonly string[], exit: Tile])[] = [
  [['S..', 'v..', 'v..'], { x: 0, y: 2 }],
  [['S.S', '>v<', '.v.'], { x: 1, y: 2 }],
  [['SS.', 'oo.', 'Ev.', '.v.'], { x: 1, y: 3 }],
  [['S..', 'oEv', '..v'], { x: 2, y: 2 }],
  [['S.S', 'o.o', 'S.S', '>v<'], { x: 1, y: 3 }],
];

const isFedByChests = ({ parts, wagons }: Layout): boolean =>
  parts.every((part) => part.kind !== 'arm' || wagonAt(wagons, pickTile(part)) === undefined || !parts.some((other) => other.kind === 'belt' && sameTile(other.at, placeTile(part))));

const passes = (layout: Layout, asked: Rational, { brief }: MendTerms): boolean =>
  verifyTargets(layout, [{ exit: 0, total: asked, left: ratio(0), right: ratio(0) }], { ...STARTS, presence: ONE }).passes && (brief.feed !== 'chests' || isFedByChests(layout));

describe('of all layouts of a tiny site', () => {
  it.each([undefined, { remove: 2, turn: 2 }, { remove: 1, turn: 3 }, { remove: 0, turn: 1 }])('none is cheaper to come by than the repair: work %j', { timeout: 600_000 }, async (work) => {
    let looked = 0;
    let cheaper = 0;
    for (const seed of seeds) {
      const draw = seededRandom(seed);
      const whole = layoutOf(...WHOLE[draw(WHOLE.length)], catalogOf(work));
      const { exits } = leastFlows(whole, STARTS);
      const asked = exits[0].flow;
      const { layout, damage } = damaged(whole, draw);
      const terms = termsByTarget(layout, () => asked);
      const { outcome } = await mendStation(layout, { terms, starts: STARTS.starts, seed: STARTS.seed, timeLimitSeconds: 60, now: () => performance.now() });
      if (terms.brief.feed === 'either' || isFedByChests(whole)) expect({ seed, status: outcome.status }).toEqual({ seed, status: 'optimal' });
      if (outcome.status !== 'optimal') continue;
      const { price, layout: mended } = outcome.mend;
      if (terms.brief.feed === 'either' || isFedByChests(whole)) expect(price).toBeLessThanOrEqual(damage);
      cheaper += price < damage ? 1 : 0;
      expect(passes(mended, asked, terms)).toBe(true);
      // Of dearer repairs there are too many.
      for (const other of layoutsBelow(layout, Math.min(price, work?.remove === 0 ? 2 : 4))) {
        looked += 1;
        if (passes(other, asked, terms)) expect({ seed, price, parts: other.parts }).toBe('nothing cheaper');
      }
    }
    expect(looked).toBeGreaterThan(plans * 10);
    expect(cheaper).toBeGreaterThan(0);
  });
});
