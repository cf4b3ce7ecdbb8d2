/**
 * What the search may never do: cut off a network on its way to a layout that meets its demand. Random
 * layouts are simulated; their flows are then asked for, and their carriers are laid one by one in random
 * order, as a search would come by. At every step the bound on what is still to pay must be no more than what
 * is then still paid, and the flow test must hold. TRANSLOOM_SEED shifts the seeds.
 */
import { describe, expect, it } from 'vitest';
import { sameTile, type Tile } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { ratio } from '../../src/base/rational.js';
import type { ArmModel, ModelName } from '../../src/catalog/catalog.js';
import type { Brief, ExitDemand } from '../../src/brief/brief.js';
import { costOf, placeTile, tilesOf, type Layout, type PlacedBelt, type PlacedExit } from '../../src/layout/layout.js';
import { deriveNetwork, type Carrier, type Network } from '../../src/layout/network.js';
import { runTrial } from '../../src/simulation/trial.js';
import { CarrierBound } from '../../src/synthesis/carriers/carrier-bound.js';
import { BELT, CarrierNetwork, DEAD, FREE, OPEN, SPLITTER_LEFT, SPLITTER_RIGHT, UNDERPASS, exitCode, exitOf } from '../../src/synthesis/carriers/carrier-network.js';
import type { Crew, CrewArm } from '../../src/synthesis/site/crew.js';
import { EvenSplit } from '../../src/synthesis/carriers/even-split.js';
import { LaneFlow } from '../../src/synthesis/carriers/lane-flow.js';
import { JoinsToCome } from '../../src/synthesis/carriers/joins-to-come.js';
import { LastJoin } from '../../src/synthesis/carriers/last-join.js';
import { indexOfHeading, siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { Stretches } from '../../src/synthesis/carriers/stretches.js';
import { SEED } from '../documents.js';
import { isInStatedSpace } from '../oracles/compare-designs.js';
import { planDocument, seededPlan, type Draw } from '../oracles/random-plans.js';
import { arm, armModel, belt, beltModel, belts, chest, exit, layoutOf, splitter, underpass, underpassModel, wagonModel } from '../simulation/sketch.js';

/** So much that every chest that is filled at all keeps up. */
const PRESENCE = ratio(1000);
/** More than any way across a site costs. */
const ENOUGH = 1_000;
const LAYOUTS = 150;
const ORDERS = 4;

const beltAt = (layout: Layout, { at, heading }: PlacedExit): PlacedBelt | undefined =>
  layout.parts.find((part): part is PlacedBelt => part.kind === 'belt' && part.heading === heading && sameTile(part.at, at));

/** Without arms and carriers that lie outside the search's space, until nothing changes. */
function pruned(layout: Layout): Layout {
  const network = deriveNetwork(layout);
  const { carriers, arms } = network;
  const ofPart = (part: number): readonly Carrier[] => carriers.filter((carrier) => carrier.part === part);
  const after = (carrier: Carrier): readonly Carrier[] =>
    ofPart(carrier.part).flatMap(({ next }) => (next.kind === 'carrier' ? [carriers[next.carrier]] : []));
  const reach = (from: readonly Carrier[]): ReadonlySet<Carrier> => {
    const seen = new Set(from);
    for (const carrier of seen) for (const next of after(carrier)) seen.add(next);
    return seen;
  };
  const filled = new Set(arms.flatMap(({ pick, place }) => (pick.kind === 'wagon' && place.kind === 'chest' ? [place.part] : [])));
  const isUseful = ({ pick, place }: Network['arms'][number]): boolean =>
    (pick.kind === 'wagon' && place.kind !== 'nothing') || (pick.kind === 'chest' && place.kind === 'carrier' && filled.has(pick.part));
  const loaded = reach(arms.flatMap((link) => (isUseful(link) && link.place.kind === 'carrier' ? ofPart(carriers[link.place.carrier].part) : [])));
  const openExit = (carrier: Carrier): boolean => {
    if (carrier.next.kind !== 'exit') return false;
    const { take } = layout.exits[carrier.next.exit];
    return take === undefined && beltAt(layout, layout.exits[carrier.next.exit]) !== undefined;
  };
  const useful = new Set([
    ...arms.flatMap((link) => (isUseful(link) ? [link.part] : [])),
    ...carriers.flatMap((carrier) => {
      const leads = [...reach(ofPart(carrier.part))].some(openExit);
      return leads && ofPart(carrier.part).some((half) => loaded.has(half)) ? [carrier.part] : [];
    }),
    ...filled,
  ]);
  const parts = layout.parts.filter((_, part) => useful.has(part));
  const reached = new Set(carriers.flatMap(({ next, part }) => (next.kind === 'exit' && useful.has(part) ? [next.exit] : [])));
  const exits = layout.exits.filter((_, index) => reached.has(index));
  const next = { ...layout, parts, exits };
  return parts.length === layout.parts.length && exits.length === layout.exits.length ? next : pruned(next);
}

/** A brief that asks for what the layout gives; undefined where there is nothing to ask for. */
function briefFor(layout: Layout, draw: Draw): Brief | undefined {
  const { catalog, site, wagons, name } = layout;
  if (layout.exits.length === 0 || layout.exits.length > 3 || !isInStatedSpace(layout)) return undefined;
  const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 60_000, presence: PRESENCE });
  if (!trial.exact || trial.chests.some(({ keepsUp }) => !keepsUp) || trial.exits.some(({ flow }) => flow.equals(0))) return undefined;
  const exits = layout.exits.flatMap((placed, index): ExitDemand[] => {
    const { heading, at } = placed;
    const model = beltAt(layout, placed)?.model;
    const [along, size] = heading === 'N' || heading === 'S' ? [at.x, site.width] : [at.y, site.depth];
    const { left, right, flow } = trial.exits[index];
    const [from, to] = [Math.max(0, along - draw(3)), Math.min(size - 1, along + draw(3))];
    return model === undefined ? [] : [{ edge: heading, from, to, belt: model, target: { left: left.flow, right: right.flow, total: flow } }];
  });
  if (exits.length < layout.exits.length) return undefined;
  const limits = { arms: undefined, parts: undefined, cost: undefined, imbalance: undefined };
  return { name, catalog, site, wagons, exits, together: undefined, feed: 'either', spotting: 0, presence: PRESENCE, starts: 0, limits, minimise: ['cost'] };
}

function crewOf(layout: Layout, map: SiteMap): Crew {
  const { arms } = deriveNetwork(layout);
  const tileOf = ({ x, y }: Tile): number => y * map.width + x;
  const chestParts = layout.parts.flatMap((part, index) => (part.kind === 'chest' ? [index] : []));
  const crewArms = arms.flatMap(({ part, pick, place }): CrewArm[] => {
    const placed = layout.parts[part];
    if (placed.kind !== 'arm') return [];
    const role = place.kind === 'chest' ? 'fill' : 'load';
    const chestPart = place.kind === 'chest' ? place.part : pick.kind === 'chest' ? pick.part : -1;
    return [{
      tile: tileOf(placed.at),
      heading: indexOfHeading(placed.heading),
      model: map.arms.findIndex(({ name }) => name === placed.model.name),
      role,
      chest: chestParts.indexOf(chestPart),
      target: tileOf(placeTile(placed)),
    }];
  });
  return {
    chests: layout.parts.flatMap((part) => (part.kind === 'chest' ? [{ tile: tileOf(part.at), model: 0 }] : [])),
    arms: crewArms.sort((a, b) => a.tile - b.tile),
  };
}

/** Lays the layout's carriers in random order; what is cut off at which step, or undefined. */
function cutOff(layout: Layout, brief: Brief, draw: Draw): string | undefined {
  const map = siteMap(brief);
  const net = new CarrierNetwork(map);
  const bound = new CarrierBound(map, net);
  const flow = new LaneFlow(map, net);
  const split = new EvenSplit(map, net);
  const stretches = new Stretches(map, net, flow);
  const joinsToCome = new JoinsToCome(map, net, flow, stretches);
  const lastJoin = new LastJoin(map, net, flow, split, stretches);
  const { carriers } = deriveNetwork(layout);
  const crew = crewOf(layout, map);
  const tileOf = ({ x, y }: Tile): number => y * map.width + x;
  const exitTaken = new Uint8Array(brief.exits.length);
  const left = new Set(carriers.map(({ part }) => part));
  const splittersLeft = (): number => [...left].filter((part) => layout.parts[part].kind === 'splitter').length;
  const costLeft = (): number =>
    [...left].reduce((sum, part) => sum + (layout.parts[part].kind === 'splitter' ? 0 : costOf(layout.parts[part])), 0);

  // With some of the arms still to come, too, no more may be asked for than the whole network costs.
  const some = crew.arms.filter(({ role }) => role === 'fill' || draw(2) === 0);
  net.enter({ ...crew, arms: some });
  bound.enter(false);
  const early = bound.stillToPay(exitTaken, splittersLeft());
  if (some.some(({ role }) => role === 'load') && early > costLeft()) return `for a part of the crew: ${early} above ${costLeft()}`;

  net.enter(crew);
  bound.enter(true);
  flow.enter(crew);
  const idOf = new Map<number, number>();
  /** Of the whole layout, where splitters share evenly. */
  const sharesSuffice = (): boolean => {
    if (!split.applies) return true;
    split.enter(crew);
    return Array.from({ length: net.count }, (_, c) => c).every((c) => {
      if (net.next[c] >= DEAD) return true;
      const demand = map.demands[exitOf(net.next[c])];
      const [most, mostRight] = [split.mostOf(c, 0), split.mostOf(c, 1)];
      return most >= demand.left && mostRight >= demand.right && most + mostRight >= demand.total;
    });
  };
  const check = (): string | undefined => {
    const bounded = bound.stillToPay(exitTaken, splittersLeft());
    const laid = `${idOf.size} of ${carriers.length} carriers laid`;
    if (bounded > costLeft()) return `${laid}: ${bounded} above ${costLeft()}`;
    const joins = splittersLeft() === 0 ? (stretches.joinsLeft(exitTaken) ?? 0) : 0;
    const mosts = joins > 0 ? [costLeft() - 1, ENOUGH] : [];
    const joined = Math.max(
      0,
      ...mosts.map((most) => joinsToCome.leastCost(most, 0, map.demands.length, new Map())),
      ...mosts.map((most) => (joins === 1 && stretches.areLaid ? lastJoin.leastCost(crew, most, 0, false, new Map()) : 0)),
    );
    if (joined > costLeft()) return `${laid}, ${joins} to be joined: ${joined} above ${costLeft()}`;
    if (!flow.suffices(splittersLeft())) return `${laid}: too little flow`;
    if (left.size > 0) return undefined;
    if (!sharesSuffice()) return `${laid}: too little is shared`;
    return flow.wholeSuffices() ? undefined : `${laid}: too little flow at the end`;
  };
  for (;;) {
    const cut = check();
    if (cut !== undefined || left.size === 0) return cut;
    const open = new Set(net.dropTiles.filter((tile) => net.occupant[tile] === FREE));
    for (let c = 0; c < net.count; c++) if (net.next[c] === OPEN) open.add(net.frontOf(c));
    const covers = (part: number): boolean => tilesOf(layout.parts[part]).some((tile) => open.has(tileOf(tile)));
    const ready = [...left].filter(covers);
    if (ready.length === 0) return 'no open place leads on';
    const part = ready[draw(ready.length)];
    left.delete(part);
    const halves = carriers.filter((carrier) => carrier.part === part).sort((a, b) => (a.side === 'left' ? -1 : b.side === 'left' ? 1 : 0));
    const first = net.count;
    halves.forEach((carrier, half) => {
      const kind = carrier.kind === 'underpass' ? UNDERPASS : carrier.kind === 'belt' ? BELT : half === 0 ? SPLITTER_LEFT : SPLITTER_RIGHT;
      const mate = carrier.kind === 'splitter-half' ? first + 1 - half : -1;
      const id = net.add(kind, indexOfHeading(carrier.heading), 0, tileOf(carrier.tail), tileOf(carrier.head), mate, carrier.speed);
      idOf.set(carrier.index, id);
    });
    for (const carrier of halves) {
      const { next, index } = carrier;
      const id = idOf.get(index) ?? -1;
      if (next.kind === 'exit') exitTaken[next.exit] = 1;
      const code = next.kind === 'exit' ? exitCode(next.exit) : next.kind === 'carrier' ? (idOf.get(next.carrier) ?? OPEN) : DEAD;
      if (!net.settle(id, code)) return 'a ring';
    }
  }
}

const fed = (x: number, y: number): ReturnType<typeof belt>[] => [arm(x, y, 'S'), chest(x, y + 1), arm(x, y + 2, 'S')];
const CHEAP = { ...underpassModel(), cost: 1 };
const WAGONS = [{ model: wagonModel, at: 0 }];
/** Fills a lane; and half a lane, from further off. */
const HASTY: Partial<ArmModel> = { payload: 2, swingTicks: 1, releaseTicks: 3 };
const FAR: Partial<ArmModel> = { name: 'far' as ModelName, reach: 2, payload: 1, swingTicks: 3 };
const EARLY = { swingTicks: 2, grabTicks: 7, slack: 16, patienceTicks: 0 };
const OFTEN: Partial<ArmModel> = { swingTicks: 8, grabTicks: 3 };
const SELDOM: Partial<ArmModel> = { name: 'seldom' as ModelName, payload: 1, swingTicks: 5 };
const sized = (layout: Layout, width: number, depth: number): Layout => ({ ...layout, site: { width, depth, keepOut: [] } });

/** Layouts in which a bound has no room to spare: every part makes the move that the bound counts. */
const BARE: Readonly<Record<string, Layout>> = {
  'a straight line': sized(layoutOf([...fed(1, 0), ...belts(1, 3, 'S', 3)], [exit(1, 5, 'S')], { wagons: WAGONS }), 3, 6),
  'a splitter before two exits': sized(
    layoutOf([arm(0, 0, 'S'), belt(0, 1, 'S'), splitter(1, 2, 'S'), belt(0, 3, 'S'), belt(1, 3, 'S')], [exit(0, 3, 'S'), exit(1, 3, 'S')], { wagons: WAGONS }), 2, 4,
  ),
  'two arms onto one splitter': sized(
    layoutOf([arm(0, 0, 'S'), arm(1, 0, 'S'), splitter(1, 1, 'S'), belt(0, 2, 'S'), belt(1, 2, 'S')], [exit(0, 2, 'S'), exit(1, 2, 'S')], { wagons: WAGONS }), 2, 3,
  ),
  'a splitter that shifts to the next column': sized(
    layoutOf([arm(0, 0, 'S'), belt(0, 1, 'S'), splitter(1, 2, 'S'), belt(1, 3, 'S')], [exit(1, 3, 'S')], { wagons: WAGONS }), 2, 4,
  ),
  'a long underpass': sized(
    layoutOf([arm(0, 0, 'S'), underpass(0, 1, 0, 6), belt(0, 7, 'S')], [exit(0, 7, 'S')], { wagons: WAGONS }), 1, 8,
  ),
  'a long underpass for less than the belts': sized(
    layoutOf([arm(0, 0, 'S'), { kind: 'underpass', from: { x: 0, y: 1 }, to: { x: 0, y: 6 }, model: CHEAP }, belt(0, 7, 'S')], [exit(0, 7, 'S')], {
      wagons: WAGONS,
      catalog: { underpasses: [CHEAP] },
    }), 1, 8,
  ),
  'an arm at a dividing line': sized(
    layoutOf(
      [arm(0, 0, 'S'), chest(0, 1), arm(1, 1, 'E'), splitter(3, 1, 'S'), belt(2, 2, 'S'), belt(3, 2, 'S')],
      [exit(2, 2, 'S'), exit(3, 2, 'S')],
      { wagons: WAGONS },
    ), 4, 3,
  ),
  'two arms at the dividing line of one splitter': sized(
    layoutOf(
      [
        ...[arm(0, 0, 'S'), chest(0, 1), arm(1, 1, 'E')],
        ...[arm(5, 0, 'S'), chest(5, 1), arm(4, 1, 'W')],
        ...[splitter(3, 1, 'S'), belt(2, 2, 'S'), belt(3, 2, 'S')],
      ],
      [exit(2, 2, 'S'), exit(3, 2, 'S')],
      { wagons: WAGONS },
    ), 6, 3,
  ),
  'a splitter whose one half makes a tee merge of a turn': sized(
    layoutOf(
      [
        ...[arm(2, 0, 'S', HASTY), arm(3, 0, 'S', FAR), arm(4, 0, 'S', HASTY)],
        ...[splitter(2, 1, 'S'), splitter(3, 1, 'E'), belt(4, 1, 'E'), belt(1, 2, 'E'), belt(2, 2, 'E'), belt(4, 2, 'N')],
      ],
      [exit(4, 1, 'E')],
      { wagons: WAGONS, catalog: { arms: [armModel(HASTY), armModel(FAR)] } },
    ), 5, 3,
  ),
  'a splitter whose one half waits at a full lane': sized(
    layoutOf(
      [
        ...[arm(1, 0, 'S', HASTY), belt(1, 1, 'S'), splitter(2, 2, 'S'), belt(1, 3, 'S'), belt(2, 3, 'E')],
        ...[arm(3, 0, 'S', HASTY), ...belts(3, 1, 'S', 3)],
      ],
      [exit(1, 3, 'S'), exit(3, 3, 'S')],
      { wagons: WAGONS, catalog: { arms: [armModel(HASTY)] } },
    ), 4, 4,
  ),
  'splitters shared with others, one behind the other': {
    ...sized(
      layoutOf(
        [
          ...[arm(0, 0, 'S', HASTY), belt(0, 1, 'S'), splitter(1, 2, 'S'), ...belts(0, 3, 'S', 4)],
          ...[arm(2, 0, 'S', HASTY), ...belts(2, 1, 'S', 2), splitter(2, 3, 'S')],
          ...[arm(3, 0, 'S', HASTY), ...belts(3, 1, 'S', 3), splitter(3, 4, 'S'), ...belts(3, 5, 'S', 2)],
        ],
        [exit(0, 6, 'S'), exit(3, 6, 'S')],
        { wagons: WAGONS, catalog: { arms: [armModel(HASTY)] } },
      ), 4, 7,
    ),
    site: { width: 4, depth: 7, keepOut: [{ x: 1, y: 4, width: 1, height: 1 }, { x: 2, y: 5, width: 1, height: 1 }] },
  },
  'a splitter that more than one belt crosses': sized(
    layoutOf(
      [
        ...[arm(0, 0, 'S', HASTY), chest(0, 1), arm(1, 1, 'E', HASTY), arm(2, 0, 'S', HASTY), belt(2, 1, 'S')],
        ...[arm(3, 0, 'S', HASTY), belt(3, 1, 'S'), splitter(3, 2, 'S'), belt(2, 3, 'S'), belt(3, 3, 'S')],
      ],
      [exit(2, 3, 'S'), exit(3, 3, 'S')],
      { wagons: WAGONS, catalog: { arms: [armModel(HASTY)] } },
    ), 4, 4,
  ),
  'an underpass of its whole span to a placed belt': sized(
    layoutOf(
      [arm(0, 0, 'S'), belt(0, 1, 'E'), { kind: 'underpass', from: { x: 1, y: 1 }, to: { x: 6, y: 1 }, model: CHEAP }, arm(7, 0, 'S'), belt(7, 1, 'S')],
      [exit(7, 1, 'S')],
      { wagons: [{ model: { ...wagonModel, length: 8 }, at: 0 }], catalog: { underpasses: [CHEAP] } },
    ), 8, 2,
  ),
  // With slack an arm's first items land at the head, from where they leave over a turn of 7 sooner than a pitch of 16 takes.
  'an arm before a turn shorter than the pitch': sized(
    layoutOf([arm(0, 0, 'S', EARLY), belt(0, 1, 'S', 2), belt(0, 2, 'W', 2)], [exit(0, 2, 'W')], {
      wagons: WAGONS,
      catalog: { unitsPerTile: 16, pitch: 16, turn: { inner: 7, outer: 23 }, belts: [beltModel(2)], splitters: [], underpasses: [], arms: [armModel(EARLY)] },
    }), 3, 3,
  ),
  // The second arm's way makes a tee merge of the turn at [1, 3], before which tests then end, as they do at the exit: more than v / P leaves.
  'a turn that the last join makes a tee merge': sized(
    layoutOf(
      [
        ...[arm(2, 0, 'S', OFTEN), belt(2, 1, 'S', 11), belt(2, 2, 'S', 11), belt(2, 3, 'W', 4), belt(1, 3, 'S', 4), underpass(1, 4, 1, 5, 17), belt(1, 6, 'S', 4)],
        ...[arm(1, 0, 'S', SELDOM), belt(1, 1, 'S', 4), belt(1, 2, 'S', 4)],
      ],
      [exit(1, 6, 'S')],
      {
        wagons: WAGONS,
        catalog: { unitsPerTile: 24, pitch: 24, turn: { inner: 24, outer: 24 }, belts: [beltModel(4), beltModel(11)], splitters: [], underpasses: [underpassModel(17)], arms: [armModel(OFTEN), armModel(SELDOM)] },
      },
    ), 3, 7,
  ),
  'two exits, an arm each': sized(
    layoutOf([arm(0, 0, 'S'), belt(0, 1, 'S'), arm(4, 0, 'S'), belt(4, 1, 'S')], [exit(0, 1, 'S'), exit(4, 1, 'S')], { wagons: WAGONS }), 5, 2,
  ),
  'two exits at one side, the arms one below the other': sized(
    layoutOf(
      [arm(0, 0, 'S'), belt(0, 1, 'E'), belt(1, 1, 'E'), arm(1, 0, 'S', { reach: 2 }), chest(1, 2), arm(1, 3, 'S'), belt(1, 4, 'E')],
      [exit(1, 1, 'E'), exit(1, 4, 'E')],
      { wagons: WAGONS },
    ), 2, 5,
  ),
};

describe('a network on its way to a layout that meets its demand', () => {
  it.each(Object.entries(BARE))('is not cut off: %s', (_, layout) => {
    const draw = seededRandom(SEED);
    for (let order = 0; order < 4 * ORDERS; order++) {
      const brief = briefFor(layout, order === 0 ? () => 0 : draw);
      expect(brief, 'in the space, and flowing').toBeDefined();
      if (brief !== undefined) expect(cutOff(layout, brief, draw)).toBeUndefined();
    }
  });

  it('is not cut off: random layouts', () => {
    const counted = { layouts: 0, splitters: 0, underpasses: 0, exits: 0, chests: 0 };
    for (let seed = SEED; counted.layouts < LAYOUTS && seed < SEED + 60 * LAYOUTS; seed++) {
      const layout = pruned(seededPlan(seed));
      const draw = seededRandom(seed);
      const brief = briefFor(layout, draw);
      if (brief === undefined) continue;
      counted.layouts++;
      if (layout.parts.some(({ kind }) => kind === 'splitter')) counted.splitters++;
      if (layout.parts.some(({ kind }) => kind === 'underpass')) counted.underpasses++;
      if (layout.parts.some(({ kind }) => kind === 'chest')) counted.chests++;
      if (layout.exits.length > 1) counted.exits++;
      for (let order = 0; order < ORDERS; order++) {
        const cut = cutOff(layout, brief, draw);
        if (cut !== undefined) expect.fail(`seed ${seed}: ${cut}\n${JSON.stringify(planDocument(layout))}`);
      }
    }
    expect(counted.layouts).toBe(LAYOUTS);
    expect(Math.min(counted.splitters, counted.underpasses, counted.exits, counted.chests), JSON.stringify(counted)).toBeGreaterThan(4);
  });
});
