/**
 * One plan for each defect that was found in the simulator, with what it did wrong. Each is checked against a value
 * worked out by hand from the world rules, and then place by place against the reference simulator.
 */
import { describe, expect, it } from 'vitest';
import type { Layout } from '../../src/layout/layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { countDifference } from '../oracles/compare-counts.js';
import { placeDifference } from '../oracles/compare-places.js';
import { planOf } from '../documents.js';
import { withinTime } from '../within-time.js';

const readPlan = (name: string): Layout => planOf(`test/regressions/${name}.json`);

/** "x,y lane @units" of every item on a carrier after so many ticks. */
function placesAfter(layout: Layout, ticks: number): readonly string[] {
  const run = createRun(layout);
  for (let tick = 0; tick < ticks; tick += 1) run.step();
  return run.items().map(({ tile, lane, position }) => `${tile.x},${tile.y} ${lane} @${position}`);
}

interface PlaceCase {
  readonly name: string;
  readonly ticks: number;
  readonly place: string;
  readonly defect: string;
}

const PLACES: readonly PlaceCase[] = [
  {
    name: 'ring-sees-past-empty-tile',
    ticks: 43,
    // From the end of (2,4), past the empty (2,3), to the item that still stands on (3,3) @6: 64 + 6 - P = 6.
    place: '2,3 right @6',
    defect: 'a look ahead on a ring ended at the empty tile that had opened it',
  },
  {
    name: 'ring-keeps-pitch-across-splitter',
    ticks: 56,
    // The item ahead is on the splitter half (2,3) @1, one tile further.
    place: '3,3 right @1',
    defect: 'two items came closer than the pitch on a ring, across the border into a splitter',
  },
  {
    name: 'tee-entry-stops-at-line',
    ticks: 4,
    place: '4,5 right @10',
    defect: 'an item that entered over a tee merge and reached a dividing line in one move was lost for a tick',
  },
  {
    name: 'lone-item-on-short-ring',
    ticks: 4,
    // From (1,5) @9 a move of 47: 9 to the end, 18 and 18 over two inner turns, 2 on the last one.
    place: '1,6 left @2',
    defect: 'a lone item on a way round shorter than a move and a pitch kept its distance from itself',
  },
  {
    name: 'over-four-tees-in-one-move',
    ticks: 11,
    // From (1,4) @11 a move of 12: 1 to the end, 3 past each of three tee merges, 2 on (1,4) again.
    place: '1,4 right @2',
    defect: 'an item that came back to its own lane in one move was moved twice in a tick',
  },
  {
    name: 'same-tee-twice-in-one-move',
    ticks: 15,
    // From (4,2) @1 a move of 24: 3 to the end, 6 past the tee merge, 12 over three inner turns of 4. The tee merge refuses
    // it now, for 3 past its join is only 12 ahead of the item on (3,2) @9: it stops at the end.
    place: '4,2 right @4',
    defect: 'a tick never ended where a way round over a tee merge is shorter than a move',
  },
  {
    name: 'many-rounds-in-one-move',
    ticks: 8,
    // Put down at the start of (0,1) in tick 7; a move of 16000 round four tiles of 1 each ends at the last of them.
    place: '0,2 right @1',
    defect: 'the reference simulator ended in a fault where an item goes very often round in one move',
  },
];

/** Milliseconds: some of these plans kept the simulator busy for ever. */
const LIMIT = 10_000;

interface ExitCase {
  readonly name: string;
  readonly ticks: number;
  readonly exit: { readonly left: number; readonly right: number };
  readonly defect: string;
}

const EXITS: readonly ExitCase[] = [
  {
    name: 'side-feeder-before-splitter',
    ticks: 12,
    exit: { left: 0, right: 1 },
    defect: 'an item crossed a dividing line in the tick in which a tee merge had brought it there',
  },
  {
    name: 'splitter-beside-ring',
    ticks: 8,
    exit: { left: 0, right: 1 },
    defect: 'the second item went to the half that the first had used',
  },
];

describe('defects of the simulator, mended', () => {
  it.each(PLACES)('$name: $defect', ({ name, ticks, place }) => {
    expect(withinTime(LIMIT, () => placesAfter(readPlan(name), ticks))).toContain(place);
  });

  it.each(EXITS)('$name: $defect', ({ name, ticks, exit }) => {
    const [{ left, right }] = countItems(readPlan(name), ticks).exits;
    expect({ left, right }).toEqual(exit);
  });

  it.each([...PLACES, ...EXITS])('$name agrees with the reference from the start', ({ name, ticks }) => {
    const layout = readPlan(name);
    const places = (): string | undefined =>
      placeDifference(layout, ticks + 60, (plan, delays) => createRun(plan, { delays }));
    expect(withinTime(LIMIT, places)).toBeUndefined();
    expect(withinTime(LIMIT, () => countDifference(layout, [ticks, ticks + 60], countItems))).toBeUndefined();
  });
});
