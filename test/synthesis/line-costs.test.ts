/** What moves across grid lines cost, against every way to lay belts and underpasses across a few lines. TRANSLOOM_SEED shifts the draws. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { CarrierBound } from '../../src/synthesis/carriers/carrier-bound.js';
import { CarrierNetwork } from '../../src/synthesis/carriers/carrier-network.js';
import type { Crew } from '../../src/synthesis/site/crew.js';
import { LineCosts, coverCosts } from '../../src/synthesis/carriers/line-costs.js';
import { siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { tinyBrief } from './tiny-briefs.js';

const SEED = Number(process.env['TRANSLOOM_SEED'] ?? 1);
const DRAWS = 400;
const LINES = 4;

type Draw = (below: number) => number;

/** A site whose carriers have drawn speeds, spans and costs; a lane carries as much as its speed says. */
function drawnMap(draw: Draw): SiteMap {
  const map = siteMap(tinyBrief({ site: { width: 4, depth: 4 }, exits: [{ edge: 'S', from: 0, to: 3, belt: 'belt', target: { fill: '0.5' } }] }));
  const speeds = [1, 2, 3, 4];
  const belts = speeds.slice(0, 2 + draw(2)).map((speed) => ({ ...map.belts[0], speed, cost: 1 + draw(5) }));
  const underpasses = Array.from({ length: draw(3) }, () => ({ ...map.belts[0], speed: 1 + draw(4), span: 1 + draw(3), cost: 1 + draw(4) }));
  return { ...map, belts, underpasses, splitters: [], endCapacities: Float64Array.from([0, ...speeds]), mostLaneCapacity: 4, wanted: 12 };
}

/** Least cost of belts on each line and underpasses over several of them, so that each line gets what is asked for. */
function leastByEnumeration({ belts, underpasses }: SiteMap, asked: readonly number[]): number {
  const byBelts = (flow: number): number =>
    flow <= 0 ? 0 : Math.min(...belts.map(({ speed, cost }) => cost + byBelts(flow - 2 * speed)));
  // Underpasses from the first line on; what one line gets too much is lost.
  const from = (line: number, left: readonly number[], beneath: number): number => {
    if (line === left.length) return 0;
    let least = byBelts(left[line]) + from(line + 1, left, 0);
    if (beneath === 3) return least;
    for (const { span, speed, cost } of underpasses) {
      const rest = left.map((flow, l) => (l >= line && l <= line + span ? flow - 2 * speed : flow));
      least = Math.min(least, 2 * cost + from(line, rest, beneath + 1));
    }
    return least;
  };
  return from(0, asked, 0);
}

describe('moves across grid lines', () => {
  it(`cost no more than any way to make them (${DRAWS} catalogs, from seed ${SEED})`, () => {
    const draw = seededRandom(SEED);
    let dearer = 0;
    let exact = 0;
    for (let n = 0; n < DRAWS; n++) {
      const map = drawnMap(draw);
      const coverCost = coverCosts(map);
      const costs = new LineCosts(map, coverCost);
      // One move carries 8 at most; where more is asked for two are counted.
      const asked = Array.from({ length: LINES }, () => 1 + draw(map.wanted));
      const moves = asked.map((flow) => Math.ceil(flow / (2 * map.mostLaneCapacity)));
      const extras = asked.map((flow, line) => costs.extraOf(flow, moves[line])).filter((extra) => extra > 0).sort((a, b) => b - a);
      const all = moves.reduce((sum, of) => sum + of, 0);
      const bound = costs.ofMoves(all, extras, 0);
      const least = leastByEnumeration(map, asked);
      expect(bound, JSON.stringify({ n, asked })).toBeLessThanOrEqual(least);
      expect(bound).toBeGreaterThanOrEqual(coverCost[all]);
      if (bound > coverCost[all]) dearer++;
      if (bound === least) exact++;
    }
    expect(dearer).toBeGreaterThan(DRAWS / 4);
    expect(exact).toBeGreaterThan(DRAWS / 8);
  });
});

/** What still must be paid for an arm's items to leave over the south edge of a site of 4 rows, where only a fast belt carries them. */
function stillToPay(dropRow: number, splittersLeft: number): number {
  const brief = tinyBrief(
    { site: { width: 4, depth: 4 }, exits: [{ edge: 'S', from: 0, to: 3, belt: 'fast', target: { fill: '0.9' } }] },
    { belts: { belt: { speed: 4, cost: 2 }, fast: { speed: 8, cost: 3 } } },
  );
  const map = siteMap(brief);
  const net = new CarrierNetwork(map);
  const target = dropRow * map.width + 1;
  const crew: Crew = { chests: [], arms: [{ tile: target - 1, heading: 1, model: 0, role: 'load', chest: -1, target }] };
  const bound = new CarrierBound(map, net);
  net.enter(crew);
  bound.enter(true);
  return bound.stillToPay(new Uint8Array(1), splittersLeft);
}

describe('lines that the whole demand crosses', () => {
  it('take fast belts', () => {
    expect([3, 2, 1].map((row) => stillToPay(row, 0))).toEqual([3, 6, 9]);
  });

  it('are left to splitters that are still to come', () => {
    expect([3, 2, 1].map((row) => stillToPay(row, 1))).toEqual([3, 3, 6]);
    expect(stillToPay(1, 2)).toBe(3);
  });
});
