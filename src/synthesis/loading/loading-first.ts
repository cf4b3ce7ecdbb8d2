/**
 * Some loading station for a search that may be stopped before its end: ways drawn at random from the entries, with as many
 * arms beside them as there is room for; from one that passes, arms are taken away again as long as it does, and with
 * them the ends of ways that no arm is left to pick from. Takes no part in any proof. The draws are the same in every run.
 */
import { leftOf, rightOf, stepFrom, type Heading, type Tile } from '../../base/geometry.js';
import { seededRandom } from '../../base/random.js';
import type { Part, PlacedEntry } from '../../layout/layout.js';
import type { Delivery, LoadingSite, Pick as PickingArm } from './loading-site.js';
import { endNowhere, placesOf, type Forest, type Leaf } from './loading-trees.js';

const MOST_DRAWS = 20_000;
const TURN_SHARE = 4;

interface Way {
  readonly entry: PlacedEntry;
  readonly parts: readonly Part[];
  readonly tiles: readonly number[];
  readonly headings: readonly Heading[];
}

type Draw = (below: number) => number;

function drawWay(site: LoadingSite, index: number, taken: ReadonlySet<number>, draw: Draw): Way | undefined {
  const demand = site.job.entries[index];
  const places = placesOf(site, demand).filter(({ at }) => !taken.has(site.indexOf(at)));
  if (places.length === 0) return undefined;
  const entry = places[draw(places.length)];
  const steps: { readonly at: Tile; readonly heading: PlacedEntry['heading'] }[] = [{ at: entry.at, heading: entry.heading }];
  const own = new Set([site.indexOf(entry.at)]);
  const length = 1 + draw(site.width + site.depth);
  while (steps.length < length) {
    const last = steps[steps.length - 1];
    const at = stepFrom(last.at, last.heading);
    const tile = site.indexOf(at);
    if (tile < 0 || !site.isOpen(tile) || taken.has(tile) || own.has(tile)) break;
    const turns = draw(TURN_SHARE) === 0;
    steps.push({ at, heading: turns ? [leftOf, rightOf][draw(2)](last.heading) : last.heading });
    own.add(tile);
  }
  while (steps.length > 0 && site.picks[site.indexOf(steps[steps.length - 1].at)].length === 0) steps.pop();
  if (steps.length === 0) return undefined;
  const parts = steps.map(({ at, heading }): Part => ({ kind: 'belt', at, heading, model: demand.belt }));
  return { entry, parts, tiles: steps.map((step) => site.indexOf(step.at)), headings: steps.map(({ heading }) => heading) };
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

/** Without its end, as far as nothing is picked from there. */
function shortened({ entry, parts, tiles, headings }: Way, picks: readonly PickingArm[]): Way {
  const length = tiles.findLastIndex((tile) => picks.some(({ from }) => from === tile)) + 1;
  return { entry, parts: parts.slice(0, length), tiles: tiles.slice(0, length), headings: headings.slice(0, length) };
}

const leafOf = ({ tiles, headings }: Way): Omit<Leaf, 'entry'> => ({ tiles: tiles.slice(-1), heading: headings[headings.length - 1] });

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
  const draw = seededRandom(1);
  for (let n = 0; n < MOST_DRAWS; n++) {
    const taken = new Set<number>();
    const ways: Way[] = [];
    for (let entry = 0; entry < site.job.entries.length; entry++) {
      const way = drawWay(site, entry, taken, draw);
      if (way === undefined) break;
      ways.push(way);
      for (const tile of way.tiles) taken.add(tile);
    }
    if (ways.length < site.job.entries.length) continue;
    const entries = ways.map(({ entry }) => entry);
    const { picks, chests } = fullCrew(site, ways.flatMap(({ tiles }) => tiles));
    // A belt from which nothing is picked, or that runs into another, is none of a station of the space, and a proof would not meet it.
    const tries = (some: readonly PickingArm[]): boolean => {
      const along = ways.map((way) => shortened(way, some));
      const parts = along.flatMap((way) => way.parts);
      if (along.some(({ tiles }) => tiles.length === 0) || !endNowhere(site, along.map(leafOf), parts)) return false;
      return passes([...parts, ...crewParts(site, some, chests)], { entries });
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

