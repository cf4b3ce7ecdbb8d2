/**
 * One plan for each defect that was found in the simulator, with what it did wrong. Each is checked against a value
 * worked out by hand from the world rules, and then place by place against the reference simulator.
 */
import { describe, expect, it } from 'vitest';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import type { Layout } from '../../src/layout/layout.js';
import { countItems } from '../../src/simulation/counts.js';
import { createRun } from '../../src/simulation/run.js';
import { countDifference } from '../oracles/compare-counts.js';
import { placeDifference } from '../oracles/compare-places.js';
import { readJson } from '../documents.js';

function readPlan(name: string): Layout {
  const json = readJson(`test/regressions/${name}.json`);
  const catalog = parseCatalog((json as { readonly catalog: unknown }).catalog);
  if (!catalog.ok) throw new Error(JSON.stringify(catalog.findings));
  const plan = parsePlan(json, catalog.value);
  if (!plan.ok) throw new Error(JSON.stringify(plan.findings));
  return plan.value;
}

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
];

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
    expect(placesAfter(readPlan(name), ticks)).toContain(place);
  });

  it.each(EXITS)('$name: $defect', ({ name, ticks, exit }) => {
    const [{ left, right }] = countItems(readPlan(name), ticks).exits;
    expect({ left, right }).toEqual(exit);
  });

  it.each([...PLACES, ...EXITS])('$name agrees with the reference from the start', ({ name, ticks }) => {
    const layout = readPlan(name);
    expect(placeDifference(layout, ticks + 60, (plan, delays) => createRun(plan, { delays }))).toBeUndefined();
    expect(countDifference(layout, [ticks, ticks + 60], countItems)).toBeUndefined();
  });
});
