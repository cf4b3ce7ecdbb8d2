/**
 * Some loading station for a search that may be stopped before its end: ways drawn at random from the entries, with as many
 * arms beside them as there is room for; from one that passes, arms are taken away again as long as it does, and with
 * them the ends of ways that no arm is left to pick from. Takes no part in any proof. The draws are the same in every run.
 */
import { leftOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { seededRandom } from '../../base/random.js';
import type { Part, PlacedEntry } from '../../layout/layout.js';
import type { Delivery, LoadingSite, Pick as PickingArm } from './loading-site.js';
import { endNowhere, placesOf, takesFrom, type Forest } from './loading-trees.js';

const MOST_DRAWS = 20_000;
const TURN_SHARE = 4;

interface Way {
  readonly entry: PlacedEntry;
  /** The tile of an earlier way at which it joins that; undefined where it leads nowhere. */
  readonly into: number | undefined;
  readonly parts: readonly Part[];
  readonly tiles: readonly number[];
  readonly headings: readonly Heading[];
}

type Draw = (below: number) => number;

/** `mayJoin`: whether it may run into an earlier one. */
function drawWay(site: LoadingSite, index: number, earlier: readonly Way[], mayJoin: boolean, draw: Draw): Way | undefined {
  const taken = new Map(earlier.flatMap(({ parts, tiles }) => tiles.map((tile, at) => [tile, parts[at]] as const)));
  const demand = site.job.entries[index];
  const places = placesOf(site, demand).filter(({ at }) => !taken.has(site.indexOf(at)));
  if (places.length === 0) return undefined;
  const entry = places[draw(places.length)];
  const steps: { readonly at: Tile; readonly heading: PlacedEntry['heading'] }[] = [{ at: entry.at, heading: entry.heading }];
  const own = new Set([site.indexOf(entry.at)]);
  const length = 1 + draw(site.width + site.depth);
  let into: number | undefined;
  while (steps.length < length) {
    const last = steps[steps.length - 1];
    const at = stepFrom(last.at, last.heading);
    const tile = site.indexOf(at);
    const there = taken.get(tile);
    if (mayJoin && there !== undefined && takesFrom(there, at, last.heading) && draw(2) === 0) into = tile;
    if (tile < 0 || !site.isOpen(tile) || there !== undefined || own.has(tile)) break;
    const turns = draw(TURN_SHARE) === 0;
    steps.push({ at, heading: turns ? [leftOf, rightOf][draw(2)](last.heading) : last.heading });
    own.add(tile);
  }
  while (into === undefined && steps.length > 0 && site.picks[site.indexOf(steps[steps.length - 1].at)].length === 0) steps.pop();
  if (steps.length === 0) return undefined;
  const parts = steps.map(({ at, heading }): Part => ({ kind: 'belt', at, heading, model: demand.belt }));
  return { entry, into, parts, tiles: steps.map((step) => site.indexOf(step.at)), headings: steps.map(({ heading }) => heading) };
}

/** Arms wherever there is room, from the last tiles on. */
function fullCrew(site: LoadingSite, tiles: readonly number[]): { readonly picks: PickingArm[]; readonly chests: Map<number, Delivery> } {
  const taken = new Set(tiles);
  const picks: PickingArm[] = [];
  const chests = new Map<number, Delivery>();
  for (const tile of tiles.toReversed()) {
    for (const pick of [...site.picks[tile]].sort((a, b) => b.through - a.through)) {
      if (taken.has(pick.at)) continue;
      if (pick.into < 0 || chests.has(pick.into)) {
        picks.push(pick);
        taken.add(pick.at);
        continue;
      }
      const delivery = [...site.deliveries[pick.into]].sort((a, b) => b.flow - a.flow).find(({ at }) => !taken.has(at) && at !== pick.at && at !== pick.into);
      if (taken.has(pick.into) || delivery === undefined) continue;
      picks.push(pick);
      chests.set(pick.into, delivery);
      for (const each of [pick.at, pick.into, delivery.at]) taken.add(each);
    }
  }
  return { picks, chests };
}

/** Without its end, as far as nothing is picked from there; whole if it joins another one. */
function shortened(way: Way, picks: readonly PickingArm[]): Way {
  const { entry, into, parts, tiles, headings } = way;
  if (into !== undefined) return way;
  const length = tiles.findLastIndex((tile) => picks.some(({ from }) => from === tile)) + 1;
  return { entry, into, parts: parts.slice(0, length), tiles: tiles.slice(0, length), headings: headings.slice(0, length) };
}

/** Whether ways that lead nowhere end at a tile from which an arm picks, and the others lead to one of them. */
function areWhole(site: LoadingSite, ways: readonly Way[]): boolean {
  const tiles = ways.flatMap((way) => way.tiles);
  const ends = ways.filter(({ into }) => into === undefined).map((way) => ({ at: site.tileAt(way.tiles[way.tiles.length - 1]), heading: way.headings[way.headings.length - 1] }));
  return ways.every(({ into }) => into === undefined || tiles.includes(into)) && endNowhere(ends, ways.flatMap(({ parts }) => parts));
}

const crewParts = (site: LoadingSite, picks: readonly PickingArm[], chests: ReadonlyMap<number, Delivery>): readonly Part[] => [
  ...picks.map(({ model, heading, at }): Part => ({ kind: 'arm', at: site.tileAt(at), heading, model })),
  ...[...chests].flatMap(([tile, { model, at }]): readonly Part[] =>
    site.chest === undefined || !picks.some(({ into }) => into === tile)
      ? []
      : [
          { kind: 'chest', at: site.tileAt(tile), model: site.chest },
          { kind: 'arm', at: site.tileAt(at), heading: 'N', model },
        ],
  ),
];

/** Yields after each try; `passes` keeps what it likes. */
export function* firstLoadings(site: LoadingSite, passes: (parts: readonly Part[], forest: Pick<Forest, 'entries'>) => boolean): Generator<undefined, void> {
  // Ways that stay apart and ways that may join take turns, each by draws of its own: where belts are full, few of these pass.
  const kinds = [{ mayJoin: false, draw: seededRandom(1) }, ...(site.job.entries.length > 1 ? [{ mayJoin: true, draw: seededRandom(2) }] : [])];
  for (let n = 0; n < MOST_DRAWS * kinds.length; n++) {
    const { mayJoin, draw } = kinds[n % kinds.length];
    const ways: Way[] = [];
    for (let entry = 0; entry < site.job.entries.length; entry++) {
      const way = drawWay(site, entry, ways, mayJoin, draw);
      if (way === undefined) break;
      ways.push(way);
    }
    if (ways.length < site.job.entries.length) continue;
    const entries = ways.map(({ entry }) => entry);
    const { picks, chests } = fullCrew(site, ways.flatMap(({ tiles }) => tiles));
    // A belt that leads nowhere, and from which nothing is picked, is none of a station of the space, and a proof would not meet it.
    const tries = (some: readonly PickingArm[]): boolean => {
      const along = ways.map((way) => shortened(way, some));
      if (along.some(({ tiles }) => tiles.length === 0) || !areWhole(site, along)) return false;
      return passes([...along.flatMap(({ parts }) => parts), ...crewParts(site, some, chests)], { entries });
    };
    yield;
    if (picks.reduce((sum, { flow }) => sum + flow, 0) < site.wanted || !tries(picks)) continue;
    for (let index = picks.length - 1; index >= 0; index--) {
      const fewer = picks.filter((_, other) => other !== index);
      yield;
      if (tries(fewer)) picks.splice(index, 1);
    }
    return;
  }
}

