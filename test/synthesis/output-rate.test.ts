/** What an arm at a dividing line can bring to one of two outputs: see `outputRate`. */
import { describe, expect, it } from 'vitest';
import { ratio, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { CarrierNetwork, SPLITTER_LEFT, SPLITTER_RIGHT, exitCode } from '../../src/synthesis/carriers/carrier-network.js';
import type { Crew } from '../../src/synthesis/site/crew.js';
import { LaneFlow } from '../../src/synthesis/carriers/lane-flow.js';
import { outputRate, siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { armModel, beltModel, chestModel, plainCatalog, splitterModel } from '../simulation/sketch.js';

// P / v is 4 ticks. A hand of 12 takes 28 ticks and 44 on one lane; at a line, where each half gets six, 21.
const CATALOG = {
  ...plainCatalog,
  unitsPerTile: 240,
  pitch: 60,
  turn: { inner: 240, outer: 240 },
  belts: [beltModel(15)],
  splitters: [splitterModel(15)],
  underpasses: [],
  chests: [chestModel],
  arms: [armModel({ payload: 12, swingTicks: 13 })],
};
const EAST = 1;
const SOUTH = 2;
const WIDTH = 5;

/** Two exits, over the south edge of the two tiles next to the east edge. */
const briefFor = (first: Rational, second: Rational): Brief => ({
  name: 'two outputs',
  catalog: CATALOG,
  site: { width: WIDTH, depth: 3, keepOut: [] },
  wagons: [],
  exits: [first, second].map((total, e) => ({ edge: 'S', from: 3 + e, to: 3 + e, belt: CATALOG.belts[0], target: { left: ratio(0), right: ratio(0), total } })),
  together: undefined,
  feed: 'chests',
  spotting: 0,
  presence: ratio(1),
  starts: 0,
  limits: { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined },
  minimise: ['cost'],
});

/** An arm that sets down on the left half's dividing line from the west, both halves of which lead to an exit of their own. */
function laid(map: SiteMap): { readonly net: CarrierNetwork; readonly crew: Crew } {
  const row = 2 * WIDTH;
  const crew: Crew = {
    chests: [{ tile: row, model: 0 }],
    arms: [
      { tile: 0, heading: SOUTH, model: 0, role: 'fill', chest: 0, target: row },
      { tile: 2, heading: SOUTH, model: 0, role: 'fill', chest: 0, target: row },
      { tile: row + 2, heading: EAST, model: 0, role: 'load', chest: 0, target: row + 3 },
    ],
  };
  const net = new CarrierNetwork(map);
  net.enter(crew);
  const right = net.add(SPLITTER_RIGHT, SOUTH, 0, row + 3, row + 3, 1, 15);
  const left = net.add(SPLITTER_LEFT, SOUTH, 0, row + 4, row + 4, right, 15);
  net.settle(right, exitCode(0));
  net.settle(left, exitCode(1));
  return { net, crew };
}

function suffices(first: Rational, second: Rational): boolean {
  const map = siteMap(briefFor(first, second));
  const { net, crew } = laid(map);
  const flow = new LaneFlow(map, net);
  flow.enter(crew);
  return flow.suffices(0) && flow.wholeSuffices();
}

describe('an arm at a dividing line', () => {
  it('brings no more to one output than its hands leave ticks for', () => {
    const map = siteMap(briefFor(ratio(6, 49), ratio(1, 196)));
    const asRate = (least: number): string => ratio(outputRate(map, 15, 0, least), map.scale.factor).toFraction();
    // All twelve on one lane, in 28 + 11 x 4 ticks.
    expect(asRate(0)).toBe('1/6');
    // In 49 ticks of which 24 go by between hands, 6 1/4 of them at most: on an average, for hands may differ.
    expect(asRate((map.scale.factor * 12) / 49)).toBe('25/196');
  });

  it('cannot give two thirds of its most to one of two exits', () => {
    expect(suffices(ratio(6, 49), ratio(6, 49))).toBe(true);
    expect(suffices(ratio(25, 196), ratio(23, 196))).toBe(true);
    expect(suffices(ratio(8, 49), ratio(4, 49))).toBe(false);
    expect(suffices(ratio(4, 49), ratio(8, 49))).toBe(false);
    expect(suffices(ratio(1, 6), ratio(0))).toBe(true);
  });
});
