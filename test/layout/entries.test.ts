/**
 * Entries of a layout: what plans say of them, what they make of their tiles, and what is surely not meant.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import { checkWhole } from './check-whole.js';
import type { Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { writePlan } from '../../src/layout/write-plan.js';
import { gist, readCatalog, sound } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');

type Json = Readonly<Record<string, unknown>>;

const part = (kind: string, x: number, y: number, heading?: string, model = 'field belt'): Json => ({ kind, at: [x, y], model, ...(heading === undefined ? {} : { heading }) });
const belt = (x: number, y: number, heading: string): Json => part('belt', x, y, heading);
const arm = (x: number, y: number, heading: string): Json => part('arm', x, y, heading, 'bay arm');

function layoutOf(parts: readonly Json[], entries: readonly Json[], exits: readonly Json[] = []): Layout {
  const site = { width: 6, depth: 5 };
  const wagons = [{ model: 'long grain wagon', at: 0 }];
  return sound(parsePlan({ format: 'transloom-plan/1', name: 'test', catalog: 'x', site, wagons, parts, exits, entries }, catalog));
}

describe('an entry', () => {
  it('is read with its rate, written in the order of tiles, and read again', () => {
    const layout = layoutOf([belt(2, 4, 'N'), belt(0, 3, 'E'), belt(1, 3, 'E')], [{ at: [2, 4], heading: 'N', give: '12.5/s' }, { at: [0, 3], heading: 'E' }]);
    expect(layout.entries).toEqual([
      { at: { x: 2, y: 4 }, heading: 'N', give: ratio(1, 4) },
      { at: { x: 0, y: 3 }, heading: 'E', give: undefined },
    ]);
    const written = writePlan(layout);
    expect(written['entries']).toEqual([{ at: [0, 3], heading: 'E' }, { at: [2, 4], heading: 'N', give: '1/4' }]);
    const again = parsePlan(written, catalog);
    expect(again.ok && writePlan(again.value)).toEqual(written);
  });

  it('counts as a feeder from behind: a belt at its side tees in, and would turn without it', () => {
    const parts = [belt(2, 4, 'N'), belt(1, 4, 'E')];
    const [plain] = deriveNetwork(layoutOf(parts, [])).carriers;
    expect([plain.shape, plain.entry]).toEqual(['turn-left', undefined]);
    const { carriers } = deriveNetwork(layoutOf(parts, [{ at: [2, 4], heading: 'N' }]));
    expect([carriers[0].shape, carriers[0].entry]).toEqual(['straight', 0]);
    expect(carriers[1].next).toEqual({ kind: 'carrier', carrier: 0, entry: 'tee-left' });
  });

  it('is nothing to a carrier of another heading', () => {
    expect(deriveNetwork(layoutOf([belt(2, 4, 'E')], [{ at: [2, 4], heading: 'N' }])).carriers[0].entry).toBeUndefined();
  });

  it.each([
    ['onto an empty tile', [], [{ at: [2, 4], heading: 'N' }], ['entry-unmet /entries/0']],
    ['onto a belt that heads elsewhere', [belt(2, 4, 'E'), arm(2, 3, 'N')], [{ at: [2, 4], heading: 'N' }], ['arm-places-nothing /parts/1', 'belt-dead-end /parts/0', 'belt-unfed /parts/0', 'entry-unmet /entries/0']],
    ['that gives nothing', [belt(2, 1, 'N'), belt(2, 2, 'N'), belt(2, 3, 'N'), belt(2, 4, 'N'), arm(2, 0, 'N')], [{ at: [2, 4], heading: 'N', give: '0' }], ['entry-gives-nothing /entries/0']],
    ['onto a belt that an arm empties into the wagon', [belt(2, 1, 'N'), belt(2, 2, 'N'), belt(2, 3, 'N'), belt(2, 4, 'N'), arm(2, 0, 'N')], [{ at: [2, 4], heading: 'N' }], []],
  ])('%s', (_, parts, entries, expected) => {
    expect(gist(checkWhole(layoutOf(parts, entries)))).toEqual(expected);
  });

  it('feeds an exit that no arm loads', () => {
    const parts = [0, 1, 2, 3, 4, 5].map((x) => belt(x, 2, 'E'));
    expect(gist(checkWhole(layoutOf(parts, [{ at: [0, 2], heading: 'E' }], [{ at: [5, 2], heading: 'E' }])))).toEqual([]);
  });
});
