/**
 * What a plan that is mended is held against: a target, what it promises, or a brief. A plan in which belts come in and none
 * leaves fills wagons; its brief is then one of the job "load".
 */
import { backOf, type Heading, type Tile } from '../base/geometry.js';
import { invariant } from '../base/invariant.js';
import { minRational, ONE, ZERO, type Rational } from '../base/rational.js';
import { NO_LIMITS, USUAL_STARTS, type Brief, type ExitDemand } from '../brief/brief.js';
import type { Edge, EntryDemand } from '../brief/load-job.js';
import type { BeltModel } from '../catalog/catalog.js';
import { beltCapacity, entriesOf, type Layout, type PlacedEntry, type PlacedExit } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { PlanPromise } from '../ranking/promise.js';

/**
 * What each exit is to give, in items per tick, where its belt could carry `most`; undefined: nothing is asked of it. Where
 * wagons are filled, what of each entry is to get into them, of which `most` could come in.
 */
export type MendTarget = (end: number, most: Rational) => Rational | undefined;

/** What a plan is held against: its exits or entries in the order of the plan's, each at its own place. */
export interface MendTerms {
  readonly brief: Brief;
  /** Whether the belts that leave, or come in, must be of the models that the brief names. */
  readonly beltsCount: boolean;
}

const alongEdge = ({ at, heading }: { readonly at: Tile; readonly heading: Heading }): number => (heading === 'N' || heading === 'S' ? at.x : at.y);

/** The belt by whose speed a fill is told: that at the exit or entry, else the fastest that stands, else the fastest there is. */
function beltAt(layout: Layout, at: Tile): BeltModel {
  const standing = layout.parts.flatMap((part) => (part.kind === 'belt' ? [part] : []));
  const there = standing.find((part) => part.at.x === at.x && part.at.y === at.y);
  if (there !== undefined) return there.model;
  const models = standing.length === 0 ? layout.catalog.belts : standing.map(({ model }) => model);
  return models.reduce((fastest, model) => (model.speed > fastest.speed ? model : fastest));
}

const nothingAsked = { total: ZERO, left: ZERO, right: ZERO };

const demandAt = (layout: Layout, exit: PlacedExit): ExitDemand => {
  const along = alongEdge(exit);
  return { edge: exit.heading, from: along, to: along, belt: beltAt(layout, exit.at), target: nothingAsked };
};

const entryAt = (layout: Layout, { at, heading }: PlacedEntry): EntryDemand => {
  const along = alongEdge({ at, heading });
  return { edge: backOf(heading), from: along, to: along, belt: beltAt(layout, at), target: ZERO };
};

/** Whether belts come in and none leaves, so that wagons are filled. */
export const fillsWagons = (layout: Layout): boolean => layout.exits.length === 0 && entriesOf(layout).length > 0;

/** As the plan does it: by chests, if no arm carries straight between wagon and carrier and some arm does so by a chest. */
function feedOf(layout: Layout): Brief['feed'] {
  if (fillsWagons(layout)) {
    const into = deriveNetwork(layout).arms.filter(({ place }) => place.kind === 'wagon');
    return into.some(({ pick }) => pick.kind === 'carrier') || !into.some(({ pick }) => pick.kind === 'chest') ? 'either' : 'chests';
  }
  const onto = deriveNetwork(layout).arms.filter(({ place }) => place.kind === 'carrier');
  return onto.some(({ pick }) => pick.kind === 'wagon') || !onto.some(({ pick }) => pick.kind === 'chest') ? 'either' : 'chests';
}

const plainBrief = (layout: Layout, asked: Pick<Brief, 'exits' | 'load'>): Brief => ({
  name: layout.name,
  catalog: layout.catalog,
  site: layout.site,
  wagons: layout.wagons,
  ...asked,
  together: undefined,
  feed: feedOf(layout),
  spotting: 0,
  presence: ONE,
  starts: USUAL_STARTS,
  limits: NO_LIMITS,
  minimise: ['cost'],
});

/** What could come in over an entry: what it gives, at most what its belt carries. */
const offerOf = (layout: Layout, { at, give }: PlacedEntry): Rational => {
  const most = beltCapacity(layout.catalog, beltAt(layout, at));
  return give === undefined ? most : minRational(give, most);
};

/** By a target of its exits, or entries; never more than the belt there carries. */
export function termsByTarget(layout: Layout, target: MendTarget): MendTerms {
  if (fillsWagons(layout)) {
    const entries = entriesOf(layout).map((entry, index) => ({ ...entryAt(layout, entry), target: target(index, offerOf(layout, entry)) ?? ZERO }));
    return { brief: plainBrief(layout, { exits: [], load: { entries, together: undefined, fullTicks: undefined } }), beltsCount: false };
  }
  const exits = layout.exits.map((exit, index) => {
    const demand = demandAt(layout, exit);
    const asked = target(index, beltCapacity(layout.catalog, demand.belt));
    return asked === undefined ? demand : { ...demand, target: { ...nothingAsked, total: asked } };
  });
  return { brief: plainBrief(layout, { exits }), beltsCount: false };
}

/** By what the plan's `result` promises; of an exit or a wagon that it does not name nothing is asked. */
export function termsByPromise(layout: Layout, { exits: promised, wagons, together, starts, presence, spotting }: PlanPromise): MendTerms {
  if (fillsWagons(layout)) {
    const entries = entriesOf(layout).map((entry) => entryAt(layout, entry));
    const flows = layout.wagons.map(({ at }) => wagons?.find((wagon) => wagon.at === at)?.inflow ?? ZERO);
    const load = { entries, together: undefined, fullTicks: undefined, promised: flows };
    return { brief: { ...plainBrief(layout, { exits: [], load }), starts, presence, spotting }, beltsCount: false };
  }
  const exits = layout.exits.map((exit) => {
    const found = promised.find(({ at, heading }) => heading === exit.heading && at.x === exit.at.x && at.y === exit.at.y);
    const demand = demandAt(layout, exit);
    return found === undefined ? demand : { ...demand, target: { total: found.flow, left: found.left, right: found.right } };
  });
  return { brief: { ...plainBrief(layout, { exits }), together, starts, presence, spotting }, beltsCount: false };
}

export type TermsFlaw = 'job' | 'site' | 'wagons' | 'catalog' | { readonly exit: number } | { readonly entry: number };

/** A stretch of an edge, over which a belt of the brief may leave or come in. */
interface Range {
  readonly edge: Edge;
  readonly from: number;
  readonly to: number;
}

/** The first of these for which no place of its own is left; undefined where each has one. By augmenting paths (Kuhn 1955). */
function firstWithout(choices: readonly (readonly number[])[]): number | undefined {
  const holders = new Map<number, number>();
  const give = (one: number, tried: Set<number>): boolean => {
    for (const place of choices[one]) {
      if (tried.has(place)) continue;
      tried.add(place);
      const holder = holders.get(place);
      if (holder !== undefined && !give(holder, tried)) continue;
      holders.set(place, one);
      return true;
    }
    return false;
  };
  const found = choices.findIndex((_, one) => !give(one, new Set()));
  return found < 0 ? undefined : found;
}

/** The first way of giving each of the brief's ranges one of the plan's places, in the order of these: [range]; or the range for which none is left. */
export function placesFor(ranges: readonly Range[], places: readonly { readonly edge: Edge; readonly along: number }[]): readonly number[] | { readonly none: number } {
  let choices: readonly (readonly number[])[] = ranges.map(({ edge, from, to }) =>
    places.flatMap((place, index) => (place.edge === edge && place.along >= from && place.along <= to ? [index] : [])),
  );
  const none = firstWithout(choices);
  if (none !== undefined) return { none };
  for (const range of ranges.keys()) {
    const taking = (place: number) => choices.map((own, other) => (other === range ? [place] : own.filter((each) => each !== place)));
    const first = choices[range].find((place) => firstWithout(taking(place)) === undefined);
    invariant(first !== undefined, 'what all can be given one by one each is given', { range });
    choices = taking(first);
  }
  return choices.map(([place]) => place);
}

const sameJson = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** By a brief of the same site, wagons and catalog. */
export function termsByBrief(layout: Layout, brief: Brief): MendTerms | { readonly flaw: TermsFlaw } {
  const { load } = brief;
  if (fillsWagons(layout) !== (load !== undefined)) return { flaw: 'job' };
  const boxes = ({ keepOut }: Brief['site']): readonly string[] => keepOut.map((box) => JSON.stringify(box)).sort();
  const outline = ({ width, depth, ...site }: Brief['site']): unknown => [width, depth, site.north ?? 0, site.track?.from ?? 'open', site.track?.to ?? 'open'];
  if (!sameJson(outline(brief.site), outline(layout.site)) || !sameJson(boxes(brief.site), boxes(layout.site))) return { flaw: 'site' };
  if (!sameJson(brief.wagons.map(({ model, at }) => [model, at]), layout.wagons.map(({ model, at }) => [model, at]))) return { flaw: 'wagons' };
  if (!sameJson({ ...brief.catalog, name: '' }, { ...layout.catalog, name: '' })) return { flaw: 'catalog' };
  const own = (belt: BeltModel): BeltModel | undefined => layout.catalog.belts.find(({ name }) => name === belt.name);
  if (load !== undefined) {
    const given = placesFor(load.entries, entriesOf(layout).map((entry) => ({ edge: backOf(entry.heading), along: alongEdge(entry) })));
    if ('none' in given) return { flaw: { entry: given.none } };
    const entries = entriesOf(layout).map((entry, index): EntryDemand => {
      const demand = entryAt(layout, entry);
      const asked = given.indexOf(index);
      return asked < 0 ? demand : { ...demand, belt: own(load.entries[asked].belt) ?? demand.belt, target: load.entries[asked].target };
    });
    return { brief: { ...brief, catalog: layout.catalog, load: { ...load, entries } }, beltsCount: true };
  }
  const given = placesFor(brief.exits, layout.exits.map((exit) => ({ edge: exit.heading, along: alongEdge(exit) })));
  if ('none' in given) return { flaw: { exit: given.none } };
  const exits = layout.exits.map((exit, index): ExitDemand => {
    const asked = given.indexOf(index);
    const demand = demandAt(layout, exit);
    if (asked < 0) return demand;
    const { belt, target } = brief.exits[asked];
    return { ...demand, belt: own(belt) ?? demand.belt, target };
  });
  return { brief: { ...brief, catalog: layout.catalog, exits }, beltsCount: true };
}
