/**
 * Pictures as SVG: lanes that meet at the borders of tiles, markup that stays whole whatever a name holds, and
 * looks that say what flows. What whole pictures look like is stored in test/golden/svg/.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ONE, ratio } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { centreOf, HALF, handAt, pointOn, TILE } from '../../src/report/svg/lane-geometry.js';
import { frameOf } from '../../src/report/svg/ground-svg.js';
import { drawPicture, layoutSvg, pictureLabel } from '../../src/report/svg/layout-svg.js';
import { element, escaped } from '../../src/report/svg/markup.js';
import { PICTURE_STYLE } from '../../src/report/svg/picture-style.js';
import { planSvg } from '../../src/report/svg/plan-svg.js';
import { laneFlows } from '../../src/simulation/lane-flows.js';
import { runTrial } from '../../src/simulation/trial.js';
import { planIn, planOf, SEED } from '../documents.js';
import { planDocument, seededPlan } from '../oracles/random-plans.js';

const OPTIONS = { starts: 0, seed: 1, tickLimit: 20_000 };

const random = (seed: number): Layout => planIn(planDocument(seededPlan(seed)));

const RANDOM = Array.from({ length: 40 }, (_, index) => random(SEED + index));
const TEE = planOf('models/plans/grain-direct-tee.json');

describe('geometry', () => {
  it('joins each lane to the next one where they meet', () => {
    let joints = 0;
    for (const layout of RANDOM) {
      const { carriers } = deriveNetwork(layout);
      for (const carrier of carriers) {
        const { next } = carrier;
        if (next.kind !== 'carrier' || (next.entry !== 'behind' && next.entry !== 'turn')) continue;
        for (const side of ['left', 'right'] as const) {
          const end = pointOn(carrier, side, 1);
          const start = pointOn(carriers[next.carrier], side, 0);
          expect(end.x).toBeCloseTo(start.x, 6);
          expect(end.y).toBeCloseTo(start.y, 6);
          joints += 1;
        }
      }
    }
    expect(joints).toBeGreaterThan(0);
  });

  it('keeps every lane on its own tiles', () => {
    let turns = 0;
    for (const layout of RANDOM) {
      for (const carrier of deriveNetwork(layout).carriers) {
        if (carrier.kind !== 'belt') continue;
        if (carrier.shape !== 'straight') turns += 1;
        const centre = centreOf(carrier.tail);
        for (const side of ['left', 'right'] as const) {
          for (const share of [0, 0.3, 0.7, 1]) {
            const point = pointOn(carrier, side, share);
            expect(Math.abs(point.x - centre.x)).toBeLessThanOrEqual(HALF + 1e-9);
            expect(Math.abs(point.y - centre.y)).toBeLessThanOrEqual(HALF + 1e-9);
          }
        }
      }
    }
    expect(turns).toBeGreaterThan(0);
  });

  it('swings a hand from its pick side to its place side', () => {
    const hand = (share: number) => handAt({ x: 2, y: 3 }, 'S', { pick: TILE, place: TILE }, share);
    expect(hand(0).y).toBeCloseTo(3 * TILE + HALF - TILE, 6);
    expect(hand(1).y).toBeCloseTo(3 * TILE + HALF + TILE, 6);
    expect(hand(0.5).x).toBeGreaterThan(hand(0).x);
  });
});

describe('markup', () => {
  it('keeps what is inside it whole', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const made = element('text', { title: text }, escaped(text));
        expect(made.match(/[<>]/g)).toEqual(['<', '>', '<', '>']);
        expect(made.match(/"/g)).toHaveLength(2);
      }),
      { seed: SEED },
    );
  });

  it('survives a name that looks like markup', () => {
    const layout = { ...TEE, name: '</svg><script>"&' };
    const trial = runTrial(layout, { ...OPTIONS, presence: ONE });
    const svg = planSvg({ layout, trial, flows: undefined });
    expect(svg).not.toContain('<script');
    expect(svg.match(/<\/svg>/g)).toHaveLength(1);
  });
});

describe('a picture', () => {
  const flows = laneFlows(TEE, 0, OPTIONS);

  it('says in the titles of its parts what flows there', () => {
    const drawn = drawPicture(TEE, { flows, details: true });
    expect(drawn).toContain('right lane (south): 6.67/s, 66.7 % full, with gaps');
    expect(drawn).toContain('left lane (north): empty');
    expect(drawn).toContain('right lane (south): 10.00/s, 100.0 % full, saturated');
  });

  it('breaks the line of a lane with gaps, and of no other', () => {
    const lines = [...drawPicture(TEE, { flows }).matchAll(/<path class="st-flow[^>]*>/g)].map(([line]) => line);
    const [broken, whole] = [lines.filter((line) => line.includes('dasharray')), lines.filter((line) => !line.includes('dasharray'))];
    expect(broken).toHaveLength(2);
    expect(broken.every((line) => line.includes('stroke-width="5.17"'))).toBe(true);
    expect(whole.every((line) => line.includes('stroke-width="7"'))).toBe(true);
  });

  it('uses only classes that have a look', () => {
    const classes = new Set(
      [...RANDOM, TEE].flatMap((layout) =>
        [...layoutSvg(layout, { flows: laneFlows(layout, 0, OPTIONS), details: true }).matchAll(/class="([^"]*)"/g)].flatMap(([, names]) => names.split(' ')),
      ),
    );
    expect(classes.size).toBeGreaterThan(10);
    expect([...classes].filter((name) => !PICTURE_STYLE.includes(`.${name}`))).toEqual([]);
  });

  it('has room for all of a site and for exits at every edge', () => {
    const exits = (['N', 'E', 'S', 'W'] as const).map((heading) => ({ at: { x: 0, y: 0 }, heading, take: ratio(1, 4) }));
    const frame = frameOf({ ...TEE, exits }, true);
    expect(frame.x).toBeLessThan(-60);
    expect(frame.x + frame.width).toBeGreaterThan(6 * TILE + 50);
    expect(frame.y + frame.height).toBeGreaterThan(8 * TILE + 40);
    expect(pictureLabel(TEE)).toBe('four arms straight from the wagon, two branches that meet at a tee: 4 arms, 11 belts on 6 by 8 tiles');
  });
});
