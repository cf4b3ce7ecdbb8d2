/**
 * What stretches must carry, where carriers come at several speeds: against every way of dealing arms out to lanes, and
 * against costs counted by hand. That no network is cut off by it is tried in undone-networks.test.ts and found-again.test.ts.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BELT, CarrierNetwork, DEAD, FREE, OPEN, SPLITTER_LEFT, SPLITTER_RIGHT, exitCode } from '../../src/synthesis/carriers/carrier-network.js';
import { JoinsToCome } from '../../src/synthesis/carriers/joins-to-come.js';
import { LaneFlow } from '../../src/synthesis/carriers/lane-flow.js';
import { StretchLoads, UNBEARABLE } from '../../src/synthesis/carriers/stretch-loads.js';
import { Stretches } from '../../src/synthesis/carriers/stretches.js';
import type { CrewArm } from '../../src/synthesis/site/crew.js';
import { siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { SEED } from '../documents.js';
import { tinyBrief } from './tiny-briefs.js';

const WIDTH = 5;
const DEPTH = 5;
/** Of lanes of 64 units at a pitch of 16. */
const SPEEDS = { slow: 1, brisk: 2, swift: 4 };
const COSTS = { slow: 1, brisk: 3, swift: 4 };

function mapOf(rate: string): SiteMap {
  const belts = Object.fromEntries(Object.entries(SPEEDS).map(([name, speed]) => [name, { speed, cost: COSTS[name as keyof typeof COSTS] }]));
  const arms = { arm: { reach: 1, payload: 3, swing: 3, cost: 2 }, slowArm: { reach: 1, payload: 1, swing: 6, cost: 1 } };
  return siteMap(
    tinyBrief(
      { site: { width: WIDTH, depth: DEPTH }, wagons: [{ model: 'wagon', at: 0 }], exits: [{ edge: 'S', from: 1, to: 1, belt: 'swift', target: { rate } }] },
      { belts, arms, splitters: { splitter: { speed: 4, cost: 2 } } },
    ),
  );
}

/** Of a belt, by its place among the speeds; there is none beyond the last. */
const costOf = (grade: number): number => [...Object.values(COSTS), UNBEARABLE][grade];

/** Arms of these models in some columns of the first row, each placing southward. */
const armsAt = (map: SiteMap, columns: readonly (readonly [number, string])[]): readonly CrewArm[] =>
  columns.map(([x, name]) => ({ tile: x, heading: 2, model: map.arms.findIndex((arm) => arm.name === name), role: 'load', chest: -1, target: WIDTH + x }));

function begin(map: SiteMap, arms: readonly CrewArm[]) {
  const net = new CarrierNetwork(map);
  const flow = new LaneFlow(map, net);
  net.enter({ chests: [], arms });
  flow.enter({ chests: [], arms });
  return { net, flow, stretches: new Stretches(map, net, flow) };
}

/** Index of the slowest speed of which both lanes bear what is left to a set by all others, in some way of dealing its arms out. */
function slowestThatBears(speeds: readonly number[], bears: (speed: number) => number, ofSet: readonly number[], least: number): number {
  const deals = (lanes: readonly [number, number], from: number): readonly (readonly [number, number])[] =>
    from === ofSet.length ? [lanes] : [...deals([lanes[0] + ofSet[from], lanes[1]], from + 1), ...deals([lanes[0], lanes[1] + ofSet[from]], from + 1)];
  const most = (speed: number): number => Math.max(...deals([0, 0], 0).map((lanes) => Math.min(lanes[0], bears(speed)) + Math.min(lanes[1], bears(speed))));
  const found = speeds.findIndex((speed) => most(speed) >= least);
  return found < 0 ? speeds.length : found;
}

describe('what stretches must carry', () => {
  it('asks for carriers that bear what all other arms cannot give, in the best way of dealing arms out to lanes', () => {
    const seen = new Set<number>();
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 40 }), fc.array(fc.constantFrom('arm', 'slowArm'), { minLength: 2, maxLength: 4 }), (eightieths, models) => {
        const map = mapOf(`${eightieths}/80`);
        const arms = armsAt(map, models.map((name, x) => [x, name] as const));
        const { net, flow } = begin(map, arms);
        const rates = arms.map((arm) => flow.arms.rateOf(arm));
        fc.pre(rates.reduce((a, b) => a + b, 0) >= map.wanted);
        const loads = new StretchLoads(map, net, flow, 8);
        const speeds = Object.values(SPEEDS);
        const ends = arms.map(({ target }) => -1 - target);
        // Beside an idle belt a slower one may be enough; all are counted with theirs, and those that are paid for taken off again.
        const withIdle = new StretchLoads(map, net, flow, 8);
        expect(loads.begin(ends, 0)).toBe(0);
        expect(withIdle.begin(ends, 2)).toBe(2 * COSTS.slow);
        for (let set = 1; set < 1 << arms.length; set++) {
          const [own, others] = [true, false].map((inSet) => rates.filter((_, a) => ((set & (1 << a)) !== 0) === inSet));
          const least = map.wanted - others.reduce((a, b) => a + b, 0);
          const grade = slowestThatBears(speeds, (speed) => map.plainCapacities[speed], own, least);
          const atMeeting = slowestThatBears(speeds, (speed) => map.endCapacities[speed], own, least);
          seen.add(grade);
          expect(loads.kinds[loads.kindOf(set)].tileCost).toBe(costOf(grade));
          expect(withIdle.kinds[withIdle.kindOf(set)].tileCost).toBe(Math.min(costOf(grade), costOf(atMeeting) + (grade === atMeeting ? 0 : COSTS.slow)));
          expect(loads.meetingCost(set)).toBe(costOf(atMeeting));
        }
      }),
      { seed: SEED, numRuns: 300 },
    );
    expect([...seen].sort()).toEqual([0, 1, 2, 3]);
  });

  it.each([
    // Each arm gives 3/16 and must give all of it, alone and together more than brisk belts bear: [1, 1], [1, 2], [1, 3].
    ['3/8', 3 * COSTS.swift],
    // Together they ask for brisk belts. Alone slow ones do: three from each arm on, until they meet on the exit's own.
    ['1/4', 6 * COSTS.slow],
    ['1/20', 3 * COSTS.slow],
  ])('counts %s on the way from two arms to an exit: belts for %d', (rate, expected) => {
    const map = mapOf(rate);
    const { net, flow, stretches } = begin(map, armsAt(map, [[0, 'arm'], [2, 'arm']]));
    const toCome = new JoinsToCome(map, net, flow, stretches);
    expect(stretches.joinsLeft(new Uint8Array(1))).toBe(1);
    // What stands under arms counts as the cheapest belt.
    expect(toCome.leastCost(100, 0, 1, new Map())).toBe(2 * COSTS.slow + expected + COSTS.swift);
  });

  it('knows nothing of what a splitter parts', () => {
    const map = mapOf('3/16');
    const arms = armsAt(map, [[1, 'arm']]);
    const { net, flow } = begin(map, arms);
    const loads = new StretchLoads(map, net, flow, 8);
    const half = net.add(SPLITTER_LEFT, 2, 0, WIDTH + 1, WIDTH + 1, 1, 4);
    const mate = net.add(SPLITTER_RIGHT, 2, 0, WIDTH, WIDTH, 0, 4);
    net.settle(half, OPEN);
    net.settle(mate, OPEN);
    loads.begin([half, mate], 0);
    expect(loads.kinds[loads.kindOf(1)].tileCost).toBe(1);
    net.undo(0);
    net.settle(net.add(BELT, 2, 2, WIDTH + 1, WIDTH + 1, -1, 4), OPEN);
    expect(net.next[0]).not.toBe(DEAD);
    loads.begin([0], 0);
    expect(loads.kinds[loads.kindOf(1)].tileCost).toBe(4);
  });
});

describe('stretches that come together where slow belts do', () => {
  const [N, E, S, W] = [0, 1, 2, 3];
  const WIDE = 10;
  const FAR = WIDE - 1;
  const at = (x: number, y: number): number => y * WIDE + x;

  /**
   * Three arms that must give all, two of which meet before column 1 in row 1 and the third in row 2, and a fourth in the last
   * column. Belts of these tiles lead out; those of the first three arms stand only if they are `laid`.
   */
  function begun(out: readonly (readonly [number, number])[], laid: boolean) {
    const exits = [1, FAR].map((x) => ({ edge: 'S', from: x, to: x, belt: 'fast', target: { rate: x === 1 ? '1/2' : '1/20' } }));
    const arms = { arm: { reach: 1, payload: 1, swing: 2, cost: 3 }, slowArm: { reach: 1, payload: 1, swing: 9, cost: 2 } };
    // Far apart as items are, an arm and a tee merge bring more onto a slow belt before a fast one than passes along slow ones.
    const belts = { slow: { speed: 1, cost: 1 }, fast: { speed: 8, cost: 5 } };
    const parts = { unitsPerTile: 16, pitch: 12, belts, arms, splitters: {} };
    const map = siteMap(tinyBrief({ site: { width: WIDE, depth: 5 }, wagons: [{ model: 'wagon', at: 0 }], exits }, parts));
    const arm = (tile: number, heading: number, target: number, name: string): CrewArm => ({
      ...{ tile, heading, target, role: 'load', chest: -1 },
      model: map.arms.findIndex((each) => each.name === name),
    });
    const { net, stretches, flow } = begin(map, [
      arm(at(0, 0), S, at(0, 1), 'arm'),
      arm(at(2, 0), S, at(2, 1), 'arm'),
      arm(at(2, 3), N, at(2, 2), 'arm'),
      arm(at(FAR, 0), S, at(FAR, 1), 'slowArm'),
    ]);
    const fast = map.belts.findIndex(({ name }) => name === 'fast');
    const lay = (x: number, y: number, heading: number, next: number): void => {
      net.settle(net.add(BELT, heading, fast, at(x, y), at(x, y), -1, belts.fast.speed), next);
    };
    const taken = new Uint8Array(2);
    for (const [x, y] of out) {
      const exit = x === FAR ? 1 : 0;
      lay(x, y, S, y === 4 ? exitCode(exit) : net.count - 1);
      taken[exit] = 1;
    }
    if (laid) {
      lay(0, 1, E, OPEN);
      lay(2, 1, W, OPEN);
      lay(2, 2, W, OPEN);
    }
    const front = net.occupant[at(FAR, 2)];
    lay(FAR, 1, S, front === FREE ? OPEN : front - 1);
    return { stretches, toCome: new JoinsToCome(map, net, flow, stretches), taken };
  }

  it.each([
    // Slow ones on both tiles where they meet, fast ones on the two to the exit; and a slow one for the fourth arm.
    ['go out', [[FAR, 4], [FAR, 3]], true, 3, 1 + 1 + 5 + 5 + 1],
    ['join what leads out', [[FAR, 4], [FAR, 3], [1, 4], [1, 3]], true, 4, 1 + 1 + 1],
    // Under each arm too.
    ['go out from under arms', [[FAR, 4], [FAR, 3], [FAR, 2]], false, 2, 3 + 1 + 1 + 5 + 5],
  ] as const)('%s', (_, out, laid, joins, least) => {
    const { stretches, toCome, taken } = begun(out, laid);
    expect(stretches.joinsLeft(taken)).toBe(joins);
    expect(toCome.leastCost(least - 1, 0, 2, new Map())).toBe(least);
    expect(toCome.leastCost(least, 0, 2, new Map())).toBeLessThanOrEqual(least);
  });
});
