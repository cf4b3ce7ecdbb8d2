/**
 * Shapes, feeders and arm ends as derived from neighbours (world rules, section 2).
 */
import { describe, expect, it } from 'vitest';
import type { Heading } from '../../src/base/geometry.js';
import type { ArmModel, BeltModel, Catalog, ChestModel, ModelName, SplitterModel, UnderpassModel, WagonModel } from '../../src/catalog/catalog.js';
import type { Layout, Part, PlacedExit } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';

const name = (text: string): ModelName => text as ModelName;
const belt: BeltModel = { name: name('plain'), speed: 15, cost: 1 };
const splitter: SplitterModel = { name: name('plain'), speed: 12, cost: 8, favour: false };
const underpass: UnderpassModel = { name: name('plain'), speed: 10, span: 4, cost: 3 };
const chest: ChestModel = { name: name('crate'), capacity: 100, cost: 4 };
const wagon: WagonModel = { name: name('hopper'), length: 3, coupling: 0, capacity: 100 };
const armOf = (reach: number): ArmModel => ({
  name: name('arm'), reach, payload: 12, swingTicks: 13, grabTicks: 1, releaseTicks: 1, slack: 0, patienceTicks: undefined, cost: 10,
});
const catalog: Catalog = {
  name: 'test', ticksPerSecond: 50, unitsPerTile: 240, pitch: 60, turn: { inner: 100, outer: 300 },
  belts: [belt], splitters: [splitter], underpasses: [underpass], arms: [armOf(1)], chests: [chest], wagons: [wagon],
};
const b = (x: number, y: number, heading: Heading): Part => ({ kind: 'belt', at: { x, y }, heading, model: belt });
const s = (x: number, y: number, heading: Heading): Part => ({ kind: 'splitter', at: { x, y }, heading, model: splitter });
const a = (x: number, y: number, heading: Heading, reach = 1): Part => ({ kind: 'arm', at: { x, y }, heading, model: armOf(reach) });
const c = (x: number, y: number): Part => ({ kind: 'chest', at: { x, y }, model: chest });
const u = (x: number, y: number, tx: number, ty: number): Part => ({
  kind: 'underpass', from: { x, y }, to: { x: tx, y: ty }, model: underpass,
});
const layoutOf = (parts: readonly Part[], exits: readonly PlacedExit[] = []): Layout => ({
  name: 'case', catalog, site: { width: 9, depth: 9, keepOut: [] }, wagons: [{ model: wagon, at: 1 }], parts, exits,
});
const carriersOf = (parts: readonly Part[], exits: readonly PlacedExit[] = []) => deriveNetwork(layoutOf(parts, exits)).carriers;

describe('belt shapes', () => {
  it('is straight without feeders and with one behind, whatever comes from the sides', () => {
    const [alone] = carriersOf([b(3, 3, 'S')]);
    expect(alone).toMatchObject({ shape: 'straight', leftLength: 240, rightLength: 240, next: { kind: 'nothing' } });
    const fed = carriersOf([b(3, 3, 'S'), b(3, 2, 'S'), b(2, 3, 'E')]);
    expect(fed[0]).toMatchObject({ shape: 'straight', behind: 1, fromRight: 2, fromLeft: undefined });
    expect(fed[1].next).toEqual({ kind: 'carrier', carrier: 0, entry: 'behind' });
    expect(fed[2].next).toEqual({ kind: 'carrier', carrier: 0, entry: 'tee-right' });
  });

  it.each([
    ['N', 'E', 'turn-left'],
    ['N', 'W', 'turn-right'],
    ['S', 'W', 'turn-left'],
    ['S', 'E', 'turn-right'],
    ['E', 'S', 'turn-left'],
    ['W', 'S', 'turn-right'],
  ] as const)('heading %s fed by one belt heading %s: %s', (heading, from, shape) => {
    const at = { N: [3, 4], E: [2, 3], S: [3, 2], W: [4, 3] }[from];
    const [turn, feeder] = carriersOf([b(3, 3, heading), b(at[0], at[1], from)]);
    expect(turn.shape).toBe(shape);
    expect([turn.leftLength, turn.rightLength]).toEqual(shape === 'turn-left' ? [100, 300] : [300, 100]);
    expect(feeder.next).toEqual({ kind: 'carrier', carrier: 0, entry: 'turn' });
  });

  it('takes two opposed sides as tee merges', () => {
    const [target, west, east] = carriersOf([b(3, 3, 'S'), b(2, 3, 'E'), b(4, 3, 'W')]);
    expect(target).toMatchObject({ shape: 'straight', behind: undefined, fromRight: 1, fromLeft: 2 });
    expect(west.next).toMatchObject({ entry: 'tee-right' });
    expect(east.next).toMatchObject({ entry: 'tee-left' });
  });

  it('passes nothing head on', () => {
    const [one, other] = carriersOf([b(3, 3, 'E'), b(4, 3, 'W')]);
    expect([one.next.kind, other.next.kind]).toEqual(['nothing', 'nothing']);
  });
});

describe('splitters and underpasses', () => {
  it('lays the right half at the right hand and feeds halves from behind only', () => {
    const [left, right, behind, side] = carriersOf([s(3, 3, 'N'), b(4, 4, 'N'), b(2, 3, 'E')]);
    expect([left.head, right.head]).toEqual([{ x: 3, y: 3 }, { x: 4, y: 3 }]);
    expect([left.side, right.side, left.speed]).toEqual(['left', 'right', 12]);
    expect(behind.next).toEqual({ kind: 'carrier', carrier: 1, entry: 'behind' });
    expect(side.next).toEqual({ kind: 'nothing' });
    expect(left.fromLeft).toBeUndefined();
  });

  it('may straddle a belt: one half feeds from behind, and both side by side stay apart', () => {
    const [left, right, next] = carriersOf([s(3, 3, 'N'), b(4, 2, 'N')]);
    expect(left.next.kind).toBe('nothing');
    expect(right.next).toEqual({ kind: 'carrier', carrier: 2, entry: 'behind' });
    expect(next.behind).toBe(1);
  });

  it('spans an underpass from tail to head, fed at the entry, feeding from the exit end', () => {
    const [under, before, after, atExit, below] = carriersOf([
      u(2, 3, 5, 3), b(1, 3, 'E'), b(6, 3, 'E'), b(5, 2, 'S'), b(2, 4, 'E'),
    ]);
    expect(under).toMatchObject({ heading: 'E', leftLength: 960, rightLength: 960, behind: 1 });
    expect(under.tail).toEqual({ x: 2, y: 3 });
    expect(under.next).toEqual({ kind: 'carrier', carrier: 2, entry: 'behind' });
    expect(before.next.kind).toBe('carrier');
    expect(after.behind).toBe(0);
    expect(atExit.next.kind).toBe('nothing');
    expect(below.behind).toBeUndefined();
  });

  it('is no feeder at its entry tile', () => {
    const [, belowEntry] = carriersOf([u(2, 3, 5, 3), b(3, 3, 'E')]);
    expect(belowEntry.behind).toBeUndefined();
  });
});

describe('exits and arms', () => {
  it('needs tile and heading', () => {
    const exits: PlacedExit[] = [{ at: { x: 3, y: 8 }, heading: 'S', take: undefined }];
    expect(carriersOf([b(3, 8, 'S')], exits)[0].next).toEqual({ kind: 'exit', exit: 0 });
    expect(carriersOf([b(3, 8, 'E')], exits)[0].next).toEqual({ kind: 'nothing' });
  });

  it('lists arms by (y, x) with what they reach', () => {
    const { arms } = deriveNetwork(layoutOf([a(5, 4, 'S'), a(2, 0, 'S'), a(3, 1, 'N', 2), c(2, 1), u(3, 3, 5, 3), a(1, 0, 'N')]));
    expect(arms.map((arm) => arm.part)).toEqual([5, 1, 2, 0]);
    expect(arms[0]).toMatchObject({ pick: { kind: 'nothing' }, place: { kind: 'wagon', wagon: 0 } });
    expect(arms[1]).toMatchObject({ pick: { kind: 'wagon', wagon: 0 }, place: { kind: 'chest', part: 3 } });
    expect(arms[2]).toMatchObject({ pick: { kind: 'carrier', carrier: 0, tile: { x: 3, y: 3 } }, place: { kind: 'wagon' } });
    expect(arms[3]).toMatchObject({ pick: { kind: 'carrier', carrier: 0, tile: { x: 5, y: 3 } }, place: { kind: 'nothing' } });
  });
});
