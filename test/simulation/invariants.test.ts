/**
 * What must hold at every tick of any run: no item appears or vanishes, items keep their pitch, and
 * merging tiles into longer lanes changes nothing.
 */
import { describe, expect, it } from 'vitest';
import type { Layout } from '../../src/layout/layout.js';
import { orderCarriers } from '../../src/simulation/carrier-order.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { createRun, type ItemPlace, type Run } from '../../src/simulation/run.js';
import { ANYWHERE, randomLayout, TOWARD_CORNER, type RandomOptions } from './random-layouts.js';

const WORLDS: readonly (readonly [string, RandomOptions])[] = [
  ['one speed, no rings', { speeds: [15], slacks: [0], headings: TOWARD_CORNER }],
  ['two speeds, slack', { speeds: [15, 15, 15, 23], slacks: [0, 18, 60, 100], headings: TOWARD_CORNER }],
  ['anywhere', { speeds: [15], slacks: [0, 18], headings: ANYWHERE }],
  ['anywhere, three speeds', { speeds: [7, 13, 60], slacks: [0, 40], headings: ANYWHERE }],
  [
    'long pitch, fast belts, tight turns',
    {
      speeds: [100, 150, 200],
      slacks: [0, 100],
      headings: ANYWHERE,
      catalog: { pitch: 200, turn: { inner: 70, outer: 260 } },
    },
  ],
  ['loops', { speeds: [15, 23], slacks: [0, 18], headings: ANYWHERE, loop: true }],
  [
    'tiles of one pitch',
    { speeds: [60, 49, 12], slacks: [0, 1, 60], headings: ANYWHERE, catalog: { unitsPerTile: 60, turn: { inner: 60, outer: 60 } } },
  ],
  ['pitch of a tile', { speeds: [120, 240], slacks: [0], headings: TOWARD_CORNER, catalog: { pitch: 240 } }],
  [
    'turns of their own lengths',
    { speeds: [15], slacks: [0], headings: ANYWHERE, catalog: { turn: { inner: 90, outer: 310 } } },
  ],
];
const SEEDS = 40;
const TICKS = 260;

const describeItem = ({ carrier, lane, position }: ItemPlace): string => `${carrier} ${lane} ${position}`;
const snapshot = (run: Run): string =>
  [
    ...run.items().map(describeItem).sort(),
    ...run.arms().map((arm) => `${arm.phase} ${arm.held} ${arm.ticksToGo} ${arm.taken} ${arm.placed}`),
    ...run.counts().exits.map((exit) => `${exit.left} ${exit.right}`),
  ].join('\n');

/** Items taken from outside the carriers less those put outside, in hands and on exits included. */
function imbalanceOf(run: Run): number {
  let balance = 0;
  run.arms().forEach((arm, index) => {
    const { pick, place } = run.network.arms[index];
    if (pick.kind !== 'carrier') balance += arm.taken;
    balance -= arm.held;
    if (place.kind !== 'carrier') balance -= arm.placed;
  });
  for (const { left, right } of run.counts().exits) balance -= left + right;
  return balance - run.items().length;
}

/** Neighbours on one lane that stand closer than the pitch, across tile borders too. */
function crowded(run: Run): readonly string[] {
  const { pitch, unitsPerTile } = run.layout.catalog;
  const found: string[] = [];
  const items = run.items();
  for (const lane of ['left', 'right'] as const) {
    const ofCarrier = run.network.carriers.map((_, carrier) =>
      items
        .filter((item) => item.carrier === carrier && item.lane === lane)
        .map(({ position }) => position)
        .sort((a, b) => b - a),
    );
    run.network.carriers.forEach((carrier, index) => {
      const positions = ofCarrier[index];
      const length = lane === 'left' ? carrier.leftLength : carrier.rightLength;
      for (let i = 0; i < positions.length; i++) {
        if (positions[i] < 0 || positions[i] > length) found.push(`${index} ${lane}: ${positions[i]} of ${length}`);
        if (i === 0) continue;
        const overLine =
          carrier.kind === 'splitter-half' && positions[i] <= unitsPerTile / 2 && positions[i - 1] >= unitsPerTile / 2;
        if (!overLine && positions[i - 1] - positions[i] < pitch) found.push(`${index} ${lane}: ${positions.join(' ')}`);
      }
      const { next } = carrier;
      if (next.kind !== 'carrier' || (next.entry !== 'behind' && next.entry !== 'turn') || positions.length === 0) return;
      const ahead = ofCarrier[next.carrier];
      const last = ahead[ahead.length - 1];
      const beyondLine =
        run.network.carriers[next.carrier].kind === 'splitter-half' && last !== undefined && last >= unitsPerTile / 2;
      if (last === undefined || beyondLine || (carrier.kind === 'splitter-half' && positions[0] <= unitsPerTile / 2)) return;
      if (last + length - positions[0] < pitch) found.push(`${index} to ${next.carrier} ${lane}: ${positions[0]}, ${last}`);
    });
  }
  return found;
}

const flows = (layout: Layout): boolean => layout.parts.some((part) => part.kind === 'arm');

describe.each(WORLDS)('random layouts, %s', (_, options) => {
  it('neither lose nor make items, and keep the pitch', () => {
    let moved = 0;
    for (let seed = 1; seed <= SEEDS; seed++) {
      const run = createRun(randomLayout(seed, options));
      for (let tick = 0; tick < TICKS; tick++) {
        run.step();
        if (tick % 7 !== 0 && tick > 60) continue;
        expect(imbalanceOf(run), `seed ${seed} tick ${tick}`).toBe(0);
        expect(crowded(run), `seed ${seed} tick ${tick}`).toEqual([]);
      }
      if (run.items().length > 0) moved++;
    }
    expect(moved).toBeGreaterThan(SEEDS / 3);
  });

  it('go the same way, tile by tile or merged', () => {
    let merged = 0;
    for (let seed = 1; seed <= SEEDS; seed++) {
      const layout = randomLayout(seed, options);
      if (!flows(layout)) continue;
      const lanesOf = (mergeTiles: boolean): number =>
        compileLayout(layout, { mergeTiles }).pieces.reduce((sum, { machine }) => sum + machine.laneCount.length, 0);
      if (lanesOf(true) < lanesOf(false)) merged++;
      else continue;
      const [whole, tiles] = [createRun(layout), createRun(layout, { mergeTiles: false })];
      for (let tick = 0; tick < TICKS; tick++) {
        whole.step();
        tiles.step();
        if (tick % 5 !== 0 && tick > 40) continue;
        expect(snapshot(whole), `seed ${seed} tick ${tick}`).toBe(snapshot(tiles));
      }
    }
    // Long moves and a long pitch leave nothing to merge.
    const { pitch = 60, unitsPerTile = 240 } = options.catalog ?? {};
    const compact = pitch + Math.max(...options.speeds) <= unitsPerTile / 2;
    expect(merged > 0).toBe(compact);
  });
});

describe('rings', () => {
  it('occur among the random layouts', () => {
    const rings = Array.from({ length: SEEDS }, (_, seed) => {
      const layout = randomLayout(seed + 1, { speeds: [15], slacks: [0], headings: ANYWHERE, loop: true });
      const { network } = compileLayout(layout);
      return orderCarriers(layout, network, network.carriers.map((_carrier, index) => index)).opensRing;
    });
    expect(rings.filter((ring) => ring).length).toBeGreaterThan(SEEDS / 3);
  });
});
