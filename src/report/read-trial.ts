/**
 * Reads back what `trial-json.ts` has written, for pages that are made of stored results. It trusts this program's
 * own output: a document of another shape is a fault, not a finding.
 */
import { HEADINGS, type Heading, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { JsonNode } from '../base/json-node.js';
import { parseRational, type Rational } from '../base/rational.js';
import type { LaneTrial, TrialResult } from '../simulation/trial-result.js';

function known<T>(node: JsonNode, value: T | undefined): T {
  invariant(value !== undefined, 'a result is as this program writes it', { at: node.pointer });
  return value;
}

const whole = (node: JsonNode): number => known(node, node.whole());
const rational = (node: JsonNode): Rational => known(node, parseRational(node.text() ?? ''));
const heading = (node: JsonNode): Heading => known(node, node.oneOf(HEADINGS));

function tile(node: JsonNode): Tile {
  const [x, y] = known(node, node.wholes(2));
  return { x, y };
}

const lane = (node: JsonNode): LaneTrial => ({
  flow: rational(node.at('flow')),
  fill: rational(node.at('fill')),
  largestGap: node.at('largestGap').whole(),
});

export function readTrial(json: unknown): TrialResult {
  const root = new JsonNode(json, new Set());
  return {
    exact: known(root.at('exact'), root.at('exact').truth()),
    transientTicks: whole(root.at('transientTicks')),
    periodTicks: whole(root.at('periodTicks')),
    starts: root.at('starts').whole() ?? 1,
    worstStart: root.at('worstStart').whole() ?? 0,
    exits: root.at('exits').items().map((exit) => ({
      at: tile(exit.at('at')),
      heading: heading(exit.at('heading')),
      flow: rational(exit.at('flow')),
      fill: rational(exit.at('fill')),
      left: lane(exit.at('left')),
      right: lane(exit.at('right')),
    })),
    arms: root.at('arms').items().map((arm) => ({
      at: tile(arm.at('at')),
      flow: rational(arm.at('flow')),
      cycleTicks: arm.at('cycleTicks').isPresent ? rational(arm.at('cycleTicks')) : undefined,
      share: {
        moving: rational(arm.at('share').at('moving')),
        blocked: rational(arm.at('share').at('blocked')),
        starved: rational(arm.at('share').at('starved')),
      },
    })),
    ...(root.at('entries').isPresent
      ? {
          entries: root.at('entries').items().map((entry) => ({
            at: tile(entry.at('at')),
            heading: heading(entry.at('heading')),
            flow: rational(entry.at('flow')),
            left: rational(entry.at('left')),
            right: rational(entry.at('right')),
            share: rational(entry.at('share')),
          })),
          wagons: root.at('wagons').items().map((wagon) => ({ at: whole(wagon.at('at')), inflow: rational(wagon.at('inflow')) })),
        }
      : {}),
    chests: root.at('chests').items().map((chest) => ({
      at: tile(chest.at('at')),
      outflow: rational(chest.at('outflow')),
      supply: rational(chest.at('supply')),
      ...(chest.at('inflow').isPresent
        ? { loads: { inflow: rational(chest.at('inflow')), carryOff: rational(chest.at('carryOff')) } }
        : {}),
      keepsUp: known(chest.at('keepsUp'), chest.at('keepsUp').truth()),
      ...(chest.at('runsDryFrom').isPresent ? { runsDryFrom: whole(chest.at('runsDryFrom')) } : {}),
      ...(chest.at('fillsUpFrom').isPresent ? { fillsUpFrom: whole(chest.at('fillsUpFrom')) } : {}),
    })),
    cost: whole(root.at('cost')),
    parts: whole(root.at('parts')),
    footprint: whole(root.at('footprint')),
    splitters: whole(root.at('splitters')),
    depth: whole(root.at('depth')),
    width: whole(root.at('width')),
    imbalance: rational(root.at('imbalance')),
  };
}
