/**
 * What splitters to come can add to arms, from outside: networks that the search finds where nothing is asked for are taken
 * back part by part; whatever the splitters that were taken back gave the arms on their tiles is no more than what was said
 * of so many splitters before they stood there. By hand, where it is plain what none can add.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of networks.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { CarrierNetwork, DEAD, FREE } from '../../src/synthesis/carriers/carrier-network.js';
import { LineCover } from '../../src/synthesis/carriers/line-cover.js';
import type { Crew, CrewArm } from '../../src/synthesis/site/crew.js';
import { lineRate, siteMap } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { drawing, idleBrief, lay, partsOfView } from '../oracles/random-networks.js';
import { tinyBrief } from './tiny-briefs.js';

const NETWORKS = Number(process.env['TRANSLOOM_NETWORKS'] ?? '100');
const KIND = { evenSplit: false, exits: [1, 2, 3], mostSplitters: 3 };

describe('what dividing lines to come add to arms', () => {
  it(`is never less than what they come to add (${NETWORKS} networks, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { networks: 0, gains: 0, tight: 0, ahead: 0 };
    for (let seed = SEED; counted.networks < NETWORKS; seed++) {
      const draw = seededRandom(seed);
      const brief = idleBrief(draw, KIND);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      if (map.lineGain.every((gain) => gain === 0)) continue;
      const net = new CarrierNetwork(map);
      const cover = new LineCover(map, net);
      for (let crews = 0; crews < 6; crews++) {
        for (const { view, crew, idle } of networks(draw, KIND, 3, 1500)) {
          const halves = (most: number): readonly number[] => Array.from({ length: most }, (_, c) => c).filter((c) => view.mate[c] >= 0);
          if (halves(view.count).length === 0) continue;
          const onLine = (c: number): boolean => crew.arms.some(({ role, target, heading }) => role === 'load' && target === view.tail[c] && heading !== view.heading[c]);
          if (!halves(view.count).some(onLine)) continue;
          counted.networks++;
          const parts = partsOfView(view, view.count - idle);
          lay(net, view, crew, parts);
          for (let kept = parts.length; kept >= 0; kept--) {
            if (kept < parts.length) net.undo(net.count - parts[kept].length);
            const toCome = halves(view.count).filter((c) => !parts.slice(0, kept).some((part) => part.includes(c)));
            const said = cover.most(crew, toCome.length / 2);
            let added = 0;
            crew.arms.forEach((arm, a) => {
              const half = toCome.find((c) => view.tail[c] === arm.target);
              if (arm.role !== 'load' || half === undefined || arm.heading === view.heading[half]) return;
              const outputs = view.next[half] === DEAD || view.next[view.mate[half]] === DEAD ? 1 : 2;
              const gain = Math.max(0, lineRate(map, view.speed[half], arm.model, outputs) - map.bestLane[arm.model]);
              if (gain > cover.ofArm[a]) expect.fail(`seed ${seed}: an arm gains ${gain}, ${cover.ofArm[a]} were said`);
              added += gain;
            });
            if (added > said) expect.fail(`seed ${seed}: ${toCome.length / 2} splitters add ${added}, ${said} were said`);
            if (added === 0) continue;
            counted.gains++;
            if (added === said) counted.tight++;
            const onTiles = toCome.filter(onLine);
            const fronts = onTiles.map((c) => map.neighbour[view.tail[c] * 4 + view.heading[c]]);
            if (fronts.some((front) => front >= 0 && net.occupant[front] !== FREE)) counted.ahead++;
          }
        }
      }
    }
    console.log(`lines to come: ${JSON.stringify(counted)}`);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(NETWORKS / 100);
  });

  describe('by hand, on eight columns of five rows', () => {
    const exits = [{ edge: 'S', from: 0, to: 7, belt: 'belt', target: { fill: '0.1' } }];
    const map = siteMap(tinyBrief({ site: { width: 8, depth: 5 }, wagons: [{ model: 'wagon', at: 0 }], exits }));
    const net = new CarrierNetwork(map);
    const cover = new LineCover(map, net);
    const tile = (x: number, y: number): number => y * 8 + x;
    const [east, south, west] = [1, 2, 3];
    const loading = (heading: number, x: number, y: number): CrewArm => {
      const [dx, dy] = [[0, -1], [1, 0], [0, 1], [-1, 0]][heading];
      return { tile: tile(x - dx, y - dy), heading, model: 0, role: 'load', chest: -1, target: tile(x, y) };
    };
    const gain = map.lineGain[0];
    const gains = (splitters: number, ...arms: readonly CrewArm[]): number => {
      const crew: Crew = { chests: [], arms };
      net.enter(crew);
      return cover.most(crew, splitters) / gain;
    };

    it('an arm gains by a splitter, and none without one', () => {
      expect(gain).toBeGreaterThan(0);
      expect(gains(0, loading(east, 3, 1))).toBe(0);
      expect(gains(1, loading(east, 3, 1))).toBe(1);
    });

    it('one splitter serves two arms on tiles side by side, if both halves may lead on', () => {
      expect(gains(1, loading(east, 3, 1), loading(west, 4, 1))).toBe(2);
      expect(gains(1, loading(east, 3, 1), loading(west, 6, 1))).toBe(1);
      expect(gains(2, loading(east, 2, 1), loading(west, 6, 1))).toBe(2);
    });

    it('of arms side by side that set down ahead of them a splitter serves one', () => {
      // It would have to head against them, into the arms themselves, or along, where nothing is gained.
      expect(gains(1, loading(south, 3, 2), loading(south, 4, 2))).toBe(1);
      expect(gains(2, loading(south, 3, 2), loading(south, 4, 2))).toBe(2);
    });
  });
});
