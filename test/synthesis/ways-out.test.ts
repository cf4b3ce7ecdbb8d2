/**
 * Ways out past what stands, against all moves that carriers make, gone through one by one: none is longer than it is, and
 * none that there is goes unseen. TRANSLOOM_SEED sets the first seed.
 */
import { expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { BLOCKED, CarrierNetwork, FREE } from '../../src/synthesis/carriers/carrier-network.js';
import { FAR, WaysOut } from '../../src/synthesis/carriers/ways-out.js';
import { siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { tinyBrief } from './tiny-briefs.js';

const SITES = 400;
const SIDE = 6;

/** [tile]: the least number of carriers from it to over an edge, this tile's own included, if all stand on tiles that are free; FAR where there is no way. */
function leastCarriers({ tiles, neighbour, exitsAt, underpasses, splitters }: SiteMap, isFree: (tile: number) => boolean): readonly number[] {
  const least = Array.from({ length: tiles }, () => FAR);
  const ahead = (tile: number, heading: number, moves: number): number => (tile < 0 || moves === 0 ? tile : ahead(neighbour[tile * 4 + heading], heading, moves - 1));
  const onto = (tile: number): readonly number[] =>
    [0, 1, 2, 3].flatMap((heading) => {
      const spans = underpasses.flatMap(({ span }) => Array.from({ length: span }, (_, before) => ahead(tile, heading, before + 1)));
      const other = [1, 3].map((turn) => ahead(tile, (heading + turn) % 4, 1));
      const shifted = splitters.length === 0 ? [] : other.filter((half) => half >= 0 && isFree(half)).map((half) => ahead(half, heading, 1));
      return [ahead(tile, heading, 1), ...spans, ...shifted];
    });
  for (let changed = true; changed; ) {
    changed = false;
    for (let tile = 0; tile < tiles; tile++) {
      if (!isFree(tile)) continue;
      const leaves = [0, 1, 2, 3].some((heading) => exitsAt[tile * 4 + heading] !== 0);
      const found = leaves ? 1 : Math.min(FAR, ...onto(tile).filter((to) => to >= 0 && isFree(to)).map((to) => least[to] + 1));
      if (found < least[tile]) {
        least[tile] = found;
        changed = true;
      }
    }
  }
  return least;
}

it(`lead from each tile from which there is one, and are no longer than it is (${SITES} sites from seed ${SEED} on)`, () => {
  const seen = { none: 0, long: 0, tight: 0, beneath: 0, shifted: 0 };
  for (let seed = SEED; seed < SEED + SITES; seed++) {
    const draw = seededRandom(seed);
    const plain = siteMap(tinyBrief({ site: { width: SIDE, depth: SIDE }, exits: [{ edge: 'SEW'[draw(3)], from: 1, to: 1 + draw(4), belt: 'belt', target: { fill: '0.5' } }] }));
    const longestSpan = draw(4);
    const underpasses = longestSpan === 0 ? [] : [{ ...plain.belts[0], span: longestSpan }];
    const map: SiteMap = { ...plain, underpasses, longestSpan, splitters: draw(2) === 0 ? [] : [{ ...plain.belts[0], favour: false }] };
    // Half of what bars the ways does so for the site as a whole, half for a crew.
    const barred = Array.from({ length: map.tiles }, () => draw(10) < 4);
    const net = new CarrierNetwork(map);
    barred.forEach((isBarred, tile) => {
      net.occupant[tile] = isBarred ? BLOCKED : FREE;
      if (isBarred && draw(2) === 0) map.keepOut[tile] = 1;
    });
    const least = leastCarriers(map, (tile) => !barred[tile]);
    const ways = new WaysOut(map, net);
    const tiles = barred.flatMap((isBarred, tile) => (isBarred ? [] : [tile]));
    const leads = tiles.map((tile) => {
      ways.enter();
      return ways.leadsFrom(tile);
    });
    ways.enter();
    ways.measure();
    const without = leastCarriers({ ...map, underpasses: [] }, (tile) => !barred[tile]);
    const unshifted = leastCarriers({ ...map, splitters: [] }, (tile) => !barred[tile]);
    tiles.forEach((tile, index) => {
      const what = `seed ${seed}, tile ${tile}`;
      expect(ways.distance[tile], what).toBeLessThanOrEqual(least[tile]);
      if (least[tile] < FAR) expect([leads[index], ways.leadsFrom(tile)], what).toEqual([true, true]);
      if (!leads[index]) seen.none++;
      if (least[tile] < FAR && least[tile] > SIDE) seen.long++;
      if (ways.distance[tile] === least[tile]) seen.tight++;
      if (least[tile] < without[tile]) seen.beneath++;
      if (least[tile] < unshifted[tile]) seen.shifted++;
    });
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(SITES / 20);
});
