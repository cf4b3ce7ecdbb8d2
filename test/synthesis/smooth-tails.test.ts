/**
 * Last stretches of several speeds against the simulator: behind a head that looks not beyond itself, lanes give the same
 * flows whatever carriers, no slower than the head, such a stretch is made of, and however it lies.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of heads.
 */
import { describe, expect, it } from 'vitest';
import { formatRational } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { BELT, CarrierNetwork, FREE, OPEN, UNDERPASS, exitCode } from '../../src/synthesis/carriers/carrier-network.js';
import type { Crew, CrewArm } from '../../src/synthesis/site/crew.js';
import { back, siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { looksNotBeyond, smoothTails } from '../../src/synthesis/carriers/smooth-tails.js';
import { SEED } from '../documents.js';
import { readBrief } from '../oracles/random-briefs.js';
import { flowsByStart, pick, type Draw } from '../oracles/random-networks.js';

const HEADS = Number(process.env['TRANSLOOM_NETWORKS'] ?? '60');
const TAILS = 4;
const [WIDTH, DEPTH] = [5, 7];
const [EAST, SOUTH, WEST] = [1, 2, 3];

/** Lengths are multiples of all speeds, unless one `odd` speed is among them. */
function mapOf(draw: Draw, odd: boolean): SiteMap {
  const [units, pitch, speeds, turns] = pick(draw, [
    [240, 60, [8, 15, 24], [240, 120, 360]],
    [240, 60, [10, 20], [240, 80, 260]],
    [48, 8, [2, 4, 8], [48, 24, 64]],
    [24, 6, [2, 4, 6], [24, 36]],
  ] as const);
  const [slow, ...faster] = odd ? [3, 7] : speeds;
  const belts = Object.fromEntries([slow, ...faster].map((speed, m) => [`b${speed}`, { speed, cost: m + 1 }]));
  const arm = (): object => ({
    reach: 1,
    payload: pick(draw, [1, 2, 5, 12]),
    swing: pick(draw, [1, 2, 5, 13]),
    grab: 1,
    release: pick(draw, [1, 1, 3]),
    slack: pick(draw, [0, 0, 2]),
    cost: 1,
  });
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'heads',
    catalog: {
      ...{ format: 'transloom-catalog/1', name: 'heads', ticksPerSecond: 50, unitsPerTile: units, pitch, splitters: {}, chests: {} },
      ...{ turn: { inner: pick(draw, turns), outer: pick(draw, turns) }, belts, arms: { one: arm(), other: arm() } },
      underpasses: { under: { speed: pick(draw, faster), span: 2, cost: 1 } },
      wagons: { wagon: { length: WIDTH, capacity: 900 } },
    },
    site: { width: WIDTH, depth: DEPTH },
    wagons: [{ model: 'wagon', at: 0 }],
    exits: [{ edge: 'S', from: 0, to: WIDTH - 1, belt: pick(draw, Object.keys(belts)), target: { rate: '1/1000' } }],
    feed: 'direct',
  } as { readonly catalog: unknown });
  if (brief === undefined) throw new Error('no brief');
  return siteMap(brief);
}

/** One to three arms onto a column and side feeders of it, all of the slowest belt; its last belt is on (2, 2). */
function head(map: SiteMap, net: CarrierNetwork, draw: Draw): Crew {
  const columns = pick(draw, [[2], [1, 2], [2, 3], [1, 3], [1, 2, 3], [1, 2, 3]]);
  const arms = columns.map((x): CrewArm => ({ tile: x, heading: SOUTH, model: draw(map.arms.length), role: 'load', chest: -1, target: WIDTH + x }));
  const crew = { chests: [], arms };
  const slowest = map.belts.reduce((best, { speed }, m) => (speed < map.belts[best].speed ? m : best), 0);
  net.enter(crew);
  const put = (x: number, y: number, heading: number): void => {
    const tile = y * WIDTH + x;
    const id = net.add(BELT, heading, slowest, tile, tile, -1, map.belts[slowest].speed);
    net.settle(id, net.nextOf(map.neighbour[tile * 4 + heading], heading) ?? OPEN);
  };
  // Downstream first, so that each finds what it faces.
  put(2, 2, SOUTH);
  // Where the last belt is joined from a side it looks beyond.
  if (draw(6) === 0) put(1, 2, EAST);
  put(2, 1, SOUTH);
  if (columns.includes(1)) put(1, 1, EAST);
  if (columns.includes(3)) put(3, 1, WEST);
  return crew;
}

/** A stretch of carriers drawn at random from the head's front to the south edge; undefined where it runs into itself. */
function layTail(map: SiteMap, net: CarrierNetwork, draw: Draw, straight: boolean): boolean {
  const exitBelt = map.exitBelt[0];
  let tile = 3 * WIDTH + 2;
  let entered = SOUTH;
  for (;;) {
    if (net.occupant[tile] !== FREE) return false;
    const heading = straight ? SOUTH : pick(draw, [SOUTH, SOUTH, EAST, WEST].filter((way) => way !== back(entered)));
    const front = map.neighbour[tile * 4 + heading];
    if (front < 0) {
      if (heading !== SOUTH) return false;
      net.settle(net.add(BELT, heading, exitBelt, tile, tile, -1, map.belts[exitBelt].speed), exitCode(0));
      return true;
    }
    const beyond = map.neighbour[front * 4 + heading];
    if (!straight && heading === entered && beyond >= 0 && draw(4) === 0 && net.occupant[front] === FREE) {
      net.settle(net.add(UNDERPASS, heading, 0, tile, front, -1, map.underpasses[0].speed), OPEN);
      tile = beyond;
    } else {
      const belt = straight ? exitBelt : draw(map.belts.length);
      net.settle(net.add(BELT, heading, belt, tile, tile, -1, map.belts[belt].speed), OPEN);
      tile = front;
    }
    entered = heading;
  }
}

const textOf = (flows: ReturnType<typeof flowsByStart>): string | undefined =>
  flows?.map((each) => each.map(({ left, right }) => `${formatRational(left)} ${formatRational(right)}`).join()).join(';');

describe('last stretches of several speeds', () => {
  it(`change no flow (${HEADS} heads, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { heads: 0, looksBeyond: 0, tails: 0 };
    for (let seed = SEED; counted.heads < HEADS; seed++) {
      const draw = seededRandom(seed);
      const map = mapOf(draw, false);
      const net = new CarrierNetwork(map);
      const smooth = smoothTails(map, 0);
      expect(smooth.mixed).toBe(true);
      expect(smooth.mostSpeedBefore).toBe(Math.min(...map.belts.map(({ speed }) => speed)));
      const crew = head(map, net, draw);
      if (!looksNotBeyond(map, net, 0)) {
        counted.looksBeyond++;
        continue;
      }
      counted.heads++;
      const mark = net.count;
      layTail(map, net, draw, true);
      const wanted = textOf(flowsByStart(buildLayout(map, net, crew), 2, seed));
      net.undo(mark);
      if (wanted === undefined) continue;
      for (let n = 0; n < TAILS; n++) {
        if (layTail(map, net, draw, false)) {
          counted.tails++;
          expect(textOf(flowsByStart(buildLayout(map, net, crew), 2, seed)), `seed ${seed}, tail ${n}`).toBe(wanted);
        }
        net.undo(mark);
      }
    }
    console.log(`last stretches laid: ${JSON.stringify(counted)}`);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(10);
  });

  it('are smooth behind no carrier where a lane is no multiple of a speed', () => {
    expect(smoothTails(mapOf(seededRandom(1), true), 0).mostSpeedBefore).toBe(-1);
  });
});
