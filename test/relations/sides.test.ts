/**
 * What a plan does on the other side of the track. Turned by half a circle it does the same, as far as the order of (y, x)
 * has no part in it: left stays left, and toggles start left. In a mirror, left and right change places, so nothing may
 * be there that tells them apart by itself: no splitter, and no arm along a belt, which places at its right hand. And what
 * stands on one side alone does not change what the other side does.
 */
import { describe, expect, it } from 'vitest';
import { backOf, rightHalfOf, type Heading, type Tile } from '../../src/base/geometry.js';
import { referenceRun } from '../../src/audit/reference-simulator.js';
import type { Layout, Part, PlacedExit } from '../../src/layout/layout.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { deriveNetwork, type Network } from '../../src/layout/network.js';
import { countItems } from '../../src/simulation/counts.js';
import type { Counts } from '../../src/simulation/trial-result.js';
import { seededPlan } from '../oracles/random-plans.js';

interface Turn {
  readonly tile: (tile: Tile) => Tile;
  readonly heading: (heading: Heading) => Heading;
  readonly swapsSides: boolean;
}

const isAlongY = (heading: Heading): boolean => heading === 'N' || heading === 'S';

/** About the middle of the site and of the track. */
const halfCircle = ({ site }: Layout): Turn => ({ tile: ({ x, y }) => ({ x: site.width - 1 - x, y: -3 - y }), heading: backOf, swapsSides: false });
const MIRROR: Turn = { tile: ({ x, y }) => ({ x, y: -3 - y }), heading: (heading) => (isAlongY(heading) ? backOf(heading) : heading), swapsSides: true };

function partTurned(part: Part, { tile, heading, swapsSides }: Turn): Part {
  switch (part.kind) {
    case 'belt':
    case 'arm':
      return { ...part, at: tile(part.at), heading: heading(part.heading) };
    case 'chest':
      return { ...part, at: tile(part.at) };
    case 'underpass':
      return { ...part, from: tile(part.from), to: tile(part.to) };
    case 'splitter':
      return { ...part, at: tile(swapsSides ? rightHalfOf(part.at, part.heading) : part.at), heading: heading(part.heading) };
  }
}

const exitTurned = (exit: PlacedExit, { tile, heading }: Turn): PlacedExit => ({ ...exit, at: tile(exit.at), heading: heading(exit.heading) });

/** A plan with one side, put on the north side of a site with two; its own parts stay in the south if asked. */
function acrossTrack(layout: Layout, turn: Turn, staysToo: boolean): Layout {
  const { site, wagons, parts, exits } = layout;
  return {
    ...layout,
    site: { width: site.width, depth: site.depth, north: site.depth, keepOut: [] },
    wagons: staysToo ? wagons : wagons.map((wagon) => ({ ...wagon, at: Math.min(turn.tile({ x: wagon.at, y: 0 }).x, turn.tile({ x: wagon.at + wagon.model.length - 1, y: 0 }).x) })),
    parts: [...parts.map((part) => partTurned(part, turn)), ...(staysToo ? parts : [])],
    exits: [...exits.map((exit) => exitTurned(exit, turn)), ...(staysToo ? exits : [])],
  };
}

/** Exits over the edge at the wagons would lead onto the track. */
const withoutNorth = (layout: Layout): Layout => ({ ...layout, exits: layout.exits.filter(({ heading }) => heading !== 'N') });

/** Items that left, exit by exit, in the layout's order. */
const leavings = (layout: Layout, { exits }: Counts): readonly string[] =>
  layout.exits.map((exit) => {
    const found = exits.find(({ at, heading }) => at.x === exit.at.x && at.y === exit.at.y && heading === exit.heading);
    return `${found?.left}, ${found?.right}`;
  });

/** Arms that put on carriers from containers: no more than one on what is joined by items that pass, and none picks up. */
function isPlain({ carriers, arms }: Network): boolean {
  const group = carriers.map((_, index) => index);
  const find = (index: number): number => (group[index] === index ? index : find(group[index]));
  for (const { index, part, next } of carriers) {
    if (next.kind === 'carrier') group[find(index)] = find(next.carrier);
    for (const other of carriers) if (other.part === part) group[find(other.index)] = find(index);
  }
  const placing = arms.flatMap(({ place }) => (place.kind === 'carrier' ? [find(place.carrier)] : []));
  return new Set(placing).size === placing.length && arms.every(({ pick }) => pick.kind !== 'carrier');
}

/** Whether the order of (y, x) decides between parts that wait for each other. */
function isOrdered(layout: Layout): boolean {
  const run = referenceRun(layout);
  for (let tick = 0; tick < 5; tick += 1) run.step();
  return [...run.events.keys()].some((event) => event.startsWith('order:'));
}

/** One arm on each network: arms that are too many are taken away. */
function thinned(layout: Layout): Layout {
  let plan = layout;
  for (const arm of layout.parts) {
    if (isPlain(deriveNetwork(plan))) break;
    if (arm.kind === 'arm') plan = { ...plan, parts: plan.parts.filter((part) => part !== arm) };
  }
  return plan;
}

const seeds = Array.from({ length: 1500 }, (_, index) => index + 1);
const TICKS = 150;
const plans = seeds.map((seed) => ({ ...withoutNorth(seededPlan(seed)), name: String(seed) })).map((layout) => ({ ...layout, site: { ...layout.site, keepOut: [] } }));

const leaves = (layout: Layout, counts: Counts): boolean => leavings(layout, counts).some((line) => /[1-9]/.test(line));

const isAcross = (layout: Layout): boolean => {
  const { carriers, arms } = deriveNetwork(layout);
  return arms.every(({ part, place }) => {
    const arm = layout.parts[part];
    return place.kind !== 'carrier' || (arm.kind === 'arm' && isAlongY(arm.heading) !== isAlongY(carriers[place.carrier].heading));
  });
};

describe('a plan with one side, on the other', () => {
  it('turned by half a circle, lets the same items leave', () => {
    let compared = 0;
    for (const plan of plans.map(thinned)) {
      const turned = acrossTrack(plan, halfCircle(plan), false);
      if (!isPlain(deriveNetwork(plan)) || isOrdered(plan) || isOrdered(turned)) continue;
      expect(checkLegality(turned), plan.name).toEqual([]);
      const before = countItems(plan, TICKS);
      expect(leavings(turned, countItems(turned, TICKS)), plan.name).toEqual(leavings(plan, before));
      if (leaves(plan, before)) compared += 1;
    }
    expect(compared).toBeGreaterThan(80);
  });

  it('mirrored, lets the same items leave by the other lane, where nothing tells left from right', () => {
    let compared = 0;
    for (const plan of plans.map(thinned)) {
      const isPlainMirror = plan.parts.every(({ kind }) => kind !== 'splitter') && plan.exits.every(({ take }) => take === undefined) && isAcross(plan);
      const mirrored = acrossTrack(plan, MIRROR, false);
      if (!isPlainMirror || !isPlain(deriveNetwork(plan)) || isOrdered(plan) || isOrdered(mirrored)) continue;
      const before = countItems(plan, TICKS);
      const swapped = leavings(plan, before).map((line) => line.split(', ').toReversed().join(', '));
      expect(leavings(mirrored, countItems(mirrored, TICKS)), plan.name).toEqual(swapped);
      if (leaves(plan, before)) compared += 1;
    }
    expect(compared).toBeGreaterThan(30);
  });

  it('leaves the first side as it was, where no arm and no underpass passes the track', () => {
    let compared = 0;
    for (const plan of plans.filter((_, index) => index % 4 === 0)) {
      const reaches = plan.parts.some((part) => part.kind === 'arm' && part.model.reach > 2);
      if (reaches) continue;
      const both = acrossTrack(plan, MIRROR, true);
      const before = countItems(plan, TICKS);
      const south = both.exits.slice(plan.exits.length);
      expect(leavings({ ...both, exits: south }, countItems(both, TICKS)), plan.name).toEqual(leavings(plan, before));
      if (leaves(plan, before)) compared += 1;
    }
    expect(compared).toBeGreaterThan(40);
  });
});
