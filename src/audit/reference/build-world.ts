/**
 * A layout as a world at the start: belts empty, toggles left, arms empty at their pick sides (world rules, section 9).
 */
import { compareTiles, sameTile } from '../../base/geometry.js';
import { ZERO } from '../../base/rational.js';
import { entriesOf, type Layout, type PlacedEntry } from '../../layout/layout.js';
import { sourceOf, targetOf } from './arm-ends.js';
import { carrierAt, carriersOf, makeLanes } from './carriers.js';
import { orderOfMovement } from './order-of-movement.js';
import { shapesOf } from './shapes.js';
import { linkWays } from './ways.js';
import { SIDES, both, show, type ArmState, type CarrierState, type Container, type EntryState, type Events, type ExitState, type Lanes, type World } from './world.js';

/** What wagons (in the layout's order) and chests (in that of its parts) hold at the start. */
export interface Levels {
  readonly wagons: readonly number[];
  readonly chests: readonly number[];
}

/** `holdBackTicks`: for each arm, in the order of the layout's parts. Without `levels`, containers never run dry and never fill. */
export function buildWorld(layout: Layout, holdBackTicks: readonly number[], levels: Levels | undefined): World {
  const { unitsPerTile, pitch } = layout.catalog;
  const events: Events = new Map();
  const shapes = shapesOf(layout);
  const carriers = carriersOf(layout, shapes, events);
  const exits = layout.exits.map((placed): ExitState => ({
    placed,
    speed: 0,
    credit: ZERO,
    last: undefined,
    counts: { left: 0, right: 0 },
    departures: { left: [], right: [] },
  }));
  const entries = entriesOf(layout).flatMap((placed) => entryState(carriers, placed, pitch));
  const order = orderOfMovement(carriers, linkWays(carriers, exits, shapes, unitsPerTile, events), events);
  const container = (capacity: number, held: number | undefined): Container => ({
    held: levels === undefined ? Infinity : (held ?? 0),
    room: levels === undefined ? Infinity : capacity - (held ?? 0),
    taken: 0,
    delivered: 0,
  });
  const wagons = layout.wagons.map((wagon, i) => container(wagon.model.capacity, levels?.wagons[i]));
  const chests = layout.parts
    .flatMap((part) => (part.kind === 'chest' ? [part] : []))
    .map((part, i) => ({ at: part.at, container: container(part.model.capacity, levels?.chests[i]) }));
  const ground = { layout, carriers, wagons, chests, unitsPerTile };
  const armsOfPlan = layout.parts
    .flatMap((part) => (part.kind === 'arm' ? [part] : []))
    .map((placed, index): ArmState => ({
      placed,
      source: sourceOf(ground, shapes, placed),
      target: targetOf(ground, shapes, placed),
      holdBackTicks: holdBackTicks[index] ?? 0,
      hand: [],
      taken: 0,
      phase: 'pick',
      arrives: 0,
      lastAct: undefined,
    }));
  const arms = [...armsOfPlan].sort((a, b) => compareTiles(a.placed.at, b.placed.at));
  return { ...ground, pitch, now: 0, lastId: 0, order, exits, entries, armsOfPlan, arms, events };
}

/** The queue behind an entry's edge, linked to the tail onto which its items come; none where there is no such tail. */
function entryState(carriers: readonly CarrierState[], placed: PlacedEntry, pitch: number): readonly EntryState[] {
  const tail = tailAt(carriers, placed);
  if (tail === undefined) return [];
  const length = 3 * pitch;
  const lanes = makeLanes(`entry ${show(placed.at)}`, both(length), tail.left.speed);
  for (const side of SIDES) {
    lanes[side].way = { kind: 'lane', lane: tail[side] };
    tail[side].before = lanes[side];
    lanes[side].items = [0, 1, 2].map((back) => ({ id: -1, at: length - back * pitch, movedIn: 0 }));
  }
  return [{ placed, lanes, credit: ZERO, last: undefined, counts: { left: 0, right: 0 } }];
}

/** The tail of the carrier onto which an entry's items come, if one with its heading is there. */
function tailAt(carriers: readonly CarrierState[], entry: PlacedEntry): Lanes | undefined {
  const carrier = carrierAt(carriers, entry.at);
  if (carrier?.heading !== entry.heading) return undefined;
  switch (carrier.kind) {
    case 'belt':
      return carrier.lanes;
    case 'underpass':
      return sameTile(carrier.from, entry.at) ? carrier.lanes : undefined;
    case 'splitter':
      return SIDES.map((side) => carrier.halves[side]).find((half) => sameTile(half.at, entry.at))?.input;
  }
}
