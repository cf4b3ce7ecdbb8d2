/**
 * Whole networks of carriers on small sites, drawn from all that the search finds where nothing is asked for: no bound
 * on flow then rules any of them out. Sites of at most 6 x 6 tiles, one to three exits, random crews. What the networks
 * give from each start is asked of the simulator; briefs that ask for just that are made here too.
 */
import type { seededRandom } from '../../src/base/random.js';
import { ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import type { BeltModel } from '../../src/catalog/catalog.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { Starts } from '../../src/simulation/starts.js';
import type { Settled } from '../../src/simulation/steady-state.js';
import { candidates, type Candidates } from '../../src/synthesis/site/candidates.js';
import { BELT, OPEN, SPLITTER_LEFT, UNDERPASS, type CarrierNetwork, type CarrierView } from '../../src/synthesis/carriers/carrier-network.js';
import { CarrierSearch, SearchStopped } from '../../src/synthesis/carriers/carrier-search.js';
import type { Crew } from '../../src/synthesis/site/crew.js';
import { drawCrew } from '../../src/synthesis/crews/crew-search.js';
import { siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { readBrief } from './random-briefs.js';

export type Draw = ReturnType<typeof seededRandom>;

export const pick = <T>(draw: Draw, list: readonly T[]): T => list[draw(list.length)];
export const chance = (draw: Draw, percent: number): boolean => draw(100) < percent;
const between = (draw: Draw, low: number, high: number): number => low + draw(high - low + 1);

export interface NetworkKind {
  /** Catalogs in which splitters share evenly: see `even-split.ts`. */
  readonly evenSplit: boolean;
  readonly exits: readonly number[];
  readonly mostSplitters: number;
  /** Where arms draw from chests alone: from how many at most. */
  readonly mostChests?: number;
  /** Two belts of which one is much faster, in many catalogs with items nearly a tile apart. */
  readonly slowAndFast?: boolean;
}

function catalogDocument(draw: Draw, even: boolean) {
  const [units, pitch, slow, ...turns] = pick(draw, [
    [16, 4, 1, 4, 16, 20],
    [16, 4, 2, 8, 16, 24],
    [16, 4, 4, 16],
    [16, 2, 2, 8, 16],
    [64, 16, 4, 32, 64, 96],
    [64, 16, 8, 64],
    [64, 12, 4, 16, 64],
    [48, 12, 6, 48, 72],
    [48, 8, 4, 48],
    [24, 6, 3, 12, 24],
    [240, 60, 15, 240],
  ] as const);
  const speed = even ? slow : Math.min(pitch, slow + draw(2));
  const tiers = !even && chance(draw, 50);
  const fast = Math.min(pitch, speed + between(draw, 1, speed));
  const arm = (reach: number): object => ({
    reach,
    payload: pick(draw, [1, 1, 2, 3, 5, 12]),
    swing: pick(draw, [1, 1, 2, 3, 5, 13]),
    grab: pick(draw, [1, 1, 2]),
    release: pick(draw, [1, 1, 1, 3, 6]),
    slack: even ? 0 : pick(draw, [0, 0, pitch]),
    cost: 3,
  });
  return {
    format: 'transloom-catalog/1',
    name: 'small',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    turn: { inner: pick(draw, turns), outer: pick(draw, turns) },
    belts: { slow: { speed, cost: between(draw, 1, 3) }, ...(tiers ? { fast: { speed: fast, cost: between(draw, 2, 4) } } : {}) },
    splitters: { splitter: { speed: tiers ? pick(draw, [speed, fast]) : speed, cost: 2 } },
    underpasses: chance(draw, 50)
      ? { underpass: { speed: tiers ? pick(draw, [speed, fast]) : speed, span: between(draw, 1, 4), cost: between(draw, 1, 4) } }
      : {},
    arms: { arm: arm(1), ...(chance(draw, 60) ? { other: arm(pick(draw, [1, 1, 2])) } : {}) },
    chests: { chest: { capacity: 400, cost: 1 } },
    wagons: { wagon: { length: 6, capacity: 900 } },
  };
}

function slowAndFastDocument(draw: Draw) {
  const [units, pitch] = pick(draw, [[16, 12], [16, 16], [12, 10], [24, 20], [16, 4], [16, 8], [8, 8], [20, 9]] as const);
  const slow = between(draw, 1, Math.max(1, Math.floor(pitch / 3)));
  const fast = between(draw, slow + 1, pitch);
  const speed = (): number => pick(draw, [slow, fast]);
  const arm = (): object => ({
    reach: 1,
    payload: pick(draw, [1, 1, 2, 3]),
    swing: pick(draw, [1, 1, 2, 3, 5]),
    release: pick(draw, [1, 1, 2, 4]),
    slack: pick(draw, [0, 0, 0, pitch]),
    cost: 3,
  });
  return {
    format: 'transloom-catalog/1',
    name: 'slow and fast',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    turn: { inner: pick(draw, [units, units, Math.ceil(units / 2)]), outer: pick(draw, [units, units, units + 4]) },
    belts: { slow: { speed: slow, cost: 1 }, fast: { speed: fast, cost: 2 } },
    splitters: { splitter: { speed: speed(), cost: 2 } },
    underpasses: chance(draw, 30) ? { underpass: { speed: speed(), span: between(draw, 1, 3), cost: between(draw, 2, 4) } } : {},
    arms: { arm: arm(), ...(chance(draw, 60) ? { other: arm() } : {}) },
    chests: { chest: { capacity: 400, cost: 1 } },
  };
}

/** The brief with fast belts at this cost: networks are drawn where they are cheap, for else hardly any has one. */
export function withFastBeltsAt(cost: number, brief: Brief): Brief {
  const priced = (belt: BeltModel): BeltModel => (belt.name === 'fast' ? { ...belt, cost } : belt);
  return {
    ...brief,
    catalog: { ...brief.catalog, belts: brief.catalog.belts.map(priced) },
    exits: brief.exits.map((exit) => ({ ...exit, belt: priced(exit.belt) })),
  };
}

/** A brief that asks for nothing, of exits that items must leave by all the same. */
export function idleBrief(draw: Draw, { evenSplit, exits, mostChests, slowAndFast }: NetworkKind): Brief | undefined {
  const catalog = slowAndFast === true ? slowAndFastDocument(draw) : catalogDocument(draw, evenSplit);
  const [width, depth] = [between(draw, 3, 6), between(draw, 3, 6)];
  const exit = (): object => {
    const edge = pick(draw, ['S', 'S', 'E', 'W']);
    const last = edge === 'S' ? width - 1 : depth - 1;
    const from = chance(draw, 60) ? 0 : draw(last + 1);
    const to = chance(draw, 60) ? last : between(draw, from, last);
    return { edge, from, to, belt: pick(draw, Object.keys(catalog.belts)), target: { rate: '1/1000' } };
  };
  const brief = readBrief({
    format: 'transloom-brief/1',
    name: 'small',
    catalog: { ...catalog, wagons: { wagon: { length: width, capacity: 900 } } },
    site: { width, depth, ...(chance(draw, 20) ? { keepOut: [[draw(width), draw(depth), 1, 1]] } : {}) },
    wagons: [{ model: 'wagon', at: 0 }],
    exits: Array.from({ length: pick(draw, exits) }, exit),
    feed: mostChests !== undefined ? 'chests' : chance(draw, 75) ? 'direct' : 'either',
    starts: 0,
    minimise: ['cost'],
  } as { readonly catalog: unknown });
  const nothing = { left: ZERO, right: ZERO, total: ZERO };
  return brief && { ...brief, presence: ratio(1000), exits: brief.exits.map((demand) => ({ ...demand, target: nothing })) };
}

/** A whole network as the search found it. Its idle belts are the last carriers of the view. */
export interface FoundNetwork {
  readonly view: CarrierView;
  readonly crew: Crew;
  readonly splitters: readonly number[];
  readonly idle: number;
}

const copyOf = ({ count, kind, heading, model, tail, head, mate, next, speed }: CarrierView): CarrierView => ({
  count,
  kind: kind.slice(0, count),
  heading: heading.slice(0, count),
  model: model.slice(0, count),
  tail: tail.slice(0, count),
  head: head.slice(0, count),
  mate: mate.slice(0, count),
  next: next.slice(0, count),
  speed: speed.slice(0, count),
});

/** How many belts come by no item of any arm. */
function idleBelts({ count, next, mate, tail, head }: CarrierView, crew: Crew): number {
  const drops = new Set(crew.arms.map(({ target }) => target));
  const loaded = new Set(Array.from({ length: count }, (_, c) => c).filter((c) => drops.has(tail[c]) || drops.has(head[c])));
  for (const c of loaded) {
    if (next[c] >= 0) loaded.add(next[c]);
    if (mate[c] >= 0) loaded.add(mate[c]);
  }
  return count - loaded.size;
}

/** Price of a carrier, splitters apart. */
export function costOfCarrier(map: SiteMap, { kind, model }: CarrierView, c: number): number {
  if (kind[c] === BELT) return map.belts[model[c]].cost;
  return kind[c] === UNDERPASS ? 2 * map.underpasses[model[c]].cost : 0;
}

export const costOfCarriers = (map: SiteMap, view: CarrierView): number =>
  Array.from({ length: view.count }, (_, c) => costOfCarrier(map, view, c)).reduce((sum, cost) => sum + cost, 0);

/** How many splitters of each model are among the carriers. */
export const splittersOf = (map: SiteMap, { count, kind, model }: CarrierView): readonly number[] =>
  map.splitters.map((_, m) => Array.from({ length: count }, (_each, c) => c).filter((c) => kind[c] === SPLITTER_LEFT && model[c] === m).length);

/** What an object that draws networks of one brief keeps between draws. */
export interface Drawing {
  readonly map: SiteMap;
  readonly spots: Candidates;
  /** Networks of a random crew, no more than `most`, drawn from the first that so many steps come by. */
  readonly networks: (draw: Draw, kind: NetworkKind, most: number, steps: number) => readonly FoundNetwork[];
}

export function drawing(brief: Brief): Drawing {
  const map = siteMap(brief);
  const spots = candidates(map);
  let accept: (view: CarrierView, crew: Crew) => void = () => undefined;
  let shouldStop = (): boolean => false;
  const search = new CarrierSearch(map, {
    judge: () => 'passes',
    accept: (view, crew) => {
      accept(view, crew);
    },
    admits: () => true,
    reachMatters: () => false,
    dearerTailsCount: false,
    shouldStop: () => shouldStop(),
  });
  const networks = (draw: Draw, kind: NetworkKind, most: number, steps: number): readonly FoundNetwork[] => {
    const chests = kind.mostChests !== undefined ? between(draw, 1, kind.mostChests) : brief.feed === 'direct' ? 0 : draw(2);
    const counts = (n: number): readonly number[] => {
      const models = Array.from({ length: n }, () => draw(map.arms.length));
      return map.arms.map((_, m) => models.filter((model) => model === m).length);
    };
    const crew = drawCrew(spots, { chests, fills: counts(chests), loads: counts(between(draw, Math.max(1, chests), 5)), splitters: [] }, draw);
    if (crew === undefined) return [];
    const splitters = [draw(kind.mostSplitters + 1)];
    const least = search.leastCost(crew, splitters, true);
    if (least === Infinity) return [];
    const withIdle = chance(draw, 25);
    const found: FoundNetwork[] = [];
    let seen = 0;
    accept = (view) => {
      if (withIdle && idleBelts(view, crew) === 0) return;
      const at = seen++ < most ? found.length : draw(seen);
      if (at < most) found[at] = { view: copyOf(view), crew, splitters, idle: idleBelts(view, crew) };
    };
    const until = search.steps + steps;
    shouldStop = () => search.steps > until;
    const idleCost = Math.min(...map.belts.map(({ cost }) => cost));
    try {
      search.run(crew, splitters, least + Math.min(draw(7), draw(7)) + (withIdle ? idleCost : 0));
    } catch (thrown) {
      if (!(thrown instanceof SearchStopped)) throw thrown;
    }
    return found;
  };
  return { map, spots, networks };
}

export interface LaneFlows {
  readonly left: Rational;
  readonly right: Rational;
}

/** What leaves by each exit from each start, the standard one first; undefined where some start does not repeat in time. */
export function flowsByStart(layout: Layout, starts: number, seed: number): readonly (readonly LaneFlows[])[] | undefined {
  const program = compileLayout(layout);
  const runs = new Starts(program, { starts, seed, tickLimit: 60_000 });
  const all: (readonly LaneFlows[])[] = [];
  for (let start = 0; start <= starts; start++) {
    const settled: readonly Settled[] = runs.settle(start);
    if (settled.some(({ orbit }) => !orbit.exact)) return undefined;
    const flows = layout.exits.map((): LaneFlows => ({ left: ZERO, right: ZERO }));
    program.pieces.forEach((piece, index) => {
      const { exitCount, periodTicks } = settled[index].orbit;
      piece.exits.forEach((exit, local) => {
        flows[exit] = { left: ratio(exitCount[local * 2], periodTicks), right: ratio(exitCount[local * 2 + 1], periodTicks) };
      });
    });
    all.push(flows);
  }
  return all;
}

/** The brief with targets that all these starts meet, none of them by more than it must. */
export function askingFor(brief: Brief, flows: readonly (readonly LaneFlows[])[]): Brief {
  const least = (rates: readonly Rational[]): Rational => rates.reduce((a, b) => (b.compare(a) < 0 ? b : a));
  const exits = brief.exits.map((demand, e) => {
    const left = least(flows.map((each) => each[e].left));
    const right = least(flows.map((each) => each[e].right));
    return { ...demand, target: { left, right, total: least(flows.map((each) => each[e].left.add(each[e].right))) } };
  });
  return { ...brief, exits };
}

/** A part of a network: a carrier, or both halves of a splitter, the left one first. */
export type PartOfView = readonly number[];

export const partsOfView = ({ count, mate }: CarrierView, most = count): readonly PartOfView[] =>
  Array.from({ length: most }, (_, c) => c).flatMap((c) => (mate[c] < 0 ? [[c]] : mate[c] > c ? [[c, mate[c]]] : []));

/** Lays carriers of a view in the order of `parts`, as a search would; each part with what it faces at that time. */
export function lay(net: CarrierNetwork, view: CarrierView, crew: Crew, parts: readonly PartOfView[]): void {
  net.enter(crew);
  const idOf = new Map<number, number>();
  for (const part of parts) {
    const first = net.count;
    part.forEach((c, half) => {
      const mate = part.length === 2 ? first + 1 - half : -1;
      idOf.set(c, net.add(view.kind[c], view.heading[c], view.model[c], view.tail[c], view.head[c], mate, view.speed[c]));
    });
    for (const c of part) {
      const code = view.next[c];
      const ringless = net.settle(idOf.get(c) ?? -1, code < 0 ? code : (idOf.get(code) ?? OPEN));
      if (!ringless) throw new Error('a ring');
    }
  }
}
