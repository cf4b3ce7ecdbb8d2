/**
 * Every single change of a layout that a person might try to get more out of it, as long as the result is legal: a part
 * less, turned, of another model, a part more, a splitter in the place of a belt or two, an exit that takes or an entry that
 * gives all. What a
 * change gives is for the simulator to say.
 */
import { backOf, boxHolds, HEADINGS, leftOf, rightHalfOf, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import { isOnTrack, tilesWithin } from '../base/ground.js';
import { checkLegality } from './check-layout.js';
import {
  entriesOf,
  pickTile,
  placeTile,
  tilesOf,
  underpassHeading,
  wagonAt,
  type Layout,
  type Part,
  type PlacedArm,
  type PlacedBelt,
  type PlacedChest,
  type PlacedSplitter,
  type PlacedUnderpass,
} from './layout.js';

export type Change =
  | { readonly kind: 'remove'; readonly part: Part }
  | { readonly kind: 'turn'; readonly part: Part; readonly heading: Heading }
  | { readonly kind: 'swap'; readonly part: Part; readonly model: string }
  | { readonly kind: 'add'; readonly part: Part }
  /** A splitter where belts of its heading stood, or one beside a free tile. */
  | { readonly kind: 'divide'; readonly part: PlacedSplitter; readonly instead: readonly PlacedBelt[] }
  /** The entry gives all that fits. */
  | { readonly kind: 'admit'; readonly at: Tile; readonly heading: Heading }
  /** The exit takes all that comes. */
  | { readonly kind: 'open'; readonly at: Tile; readonly heading: Heading };

interface ChangedLayout {
  readonly change: Change;
  readonly layout: Layout;
}

const keyOf = ({ x, y }: Tile): string => `${x},${y}`;

/** The same part of every other model of its kind. */
function swapped({ catalog }: Layout, part: Part): readonly Part[] {
  const others = <M extends { readonly name: string }>(models: readonly M[]): readonly M[] => models.filter(({ name }) => name !== part.model.name);
  switch (part.kind) {
    case 'belt':
      return others(catalog.belts).map((model) => ({ ...part, model }));
    case 'splitter':
      return others(catalog.splitters).map((model) => ({ ...part, model }));
    case 'underpass':
      return others(catalog.underpasses).map((model) => ({ ...part, model }));
    case 'arm':
      return others(catalog.arms).map((model) => ({ ...part, model }));
    case 'chest':
      return [];
  }
}

/** What stands where, and which free tiles anything acts on. */
interface Ground {
  readonly free: readonly Tile[];
  readonly standing: ReadonlyMap<string, Part>;
  /** Tiles that some belt, splitter or underpass passes to. */
  readonly faced: ReadonlySet<string>;
  /** Tiles on which arms place, and from which they pick. */
  readonly placedOn: ReadonlySet<string>;
  readonly pickedFrom: ReadonlySet<string>;
}

const isCarrier = (part: Part | undefined): boolean => part?.kind === 'belt' || part?.kind === 'splitter' || part?.kind === 'underpass';

/** The tiles that a part passes to. */
function fronts(part: Part): readonly Tile[] {
  switch (part.kind) {
    case 'belt':
    case 'splitter':
      return tilesOf(part).map((tile) => stepFrom(tile, part.heading));
    case 'underpass':
      return [stepFrom(part.to, underpassHeading(part))];
    default:
      return [];
  }
}

function groundOf({ site, parts }: Layout): Ground {
  const standing = new Map(parts.flatMap((part) => tilesOf(part).map((tile): readonly [string, Part] => [keyOf(tile), part])));
  const free = tilesWithin(site).filter(
    (tile) => !isOnTrack(site, tile) && !standing.has(keyOf(tile)) && !site.keepOut.some((box) => boxHolds(box, tile)),
  );
  const arms = parts.filter((part) => part.kind === 'arm');
  const keys = (tiles: readonly Tile[]): ReadonlySet<string> => new Set(tiles.map(keyOf));
  return { free, standing, faced: keys(parts.flatMap(fronts)), placedOn: keys(arms.map(placeTile)), pickedFrom: keys(arms.map(pickTile)) };
}

/** Arms that would pick from a wagon or a chest and place onto a carrier; where items come in over entries, also the other way round. */
const armsToAdd = (layout: Layout, { free, standing }: Ground): readonly PlacedArm[] => {
  const { catalog, wagons } = layout;
  const loads = entriesOf(layout).length > 0;
  return free.flatMap((at) =>
    HEADINGS.flatMap((heading) => catalog.arms.map((model): PlacedArm => ({ kind: 'arm', at, heading, model }))).filter((arm) => {
      const pick = pickTile(arm);
      const place = placeTile(arm);
      const [from, onto] = [standing.get(keyOf(pick)), standing.get(keyOf(place))];
      const unloads = (wagonAt(wagons, pick) !== undefined || from?.kind === 'chest') && isCarrier(onto);
      return unloads || (loads && (isCarrier(from) || from?.kind === 'chest') && (wagonAt(wagons, place) !== undefined || (isCarrier(from) && onto?.kind === 'chest')));
    }),
  );
};

/** Chests between two arms: one that places there and one that picks there. They give the same whatever their model. */
const chestsToAdd = ({ catalog }: Layout, { free, placedOn, pickedFrom }: Ground): readonly PlacedChest[] =>
  free
    .filter((at) => placedOn.has(keyOf(at)) && pickedFrom.has(keyOf(at)))
    .flatMap((at) => catalog.chests.slice(0, 1).map((model): PlacedChest => ({ kind: 'chest', at, model })));

/** Carriers on free tiles that would carry something, and belts that would feed one, if only to make a tee merge of a turn. */
function carriersToAdd({ catalog }: Layout, { free, standing, faced, placedOn }: Ground): readonly (PlacedBelt | PlacedSplitter | PlacedUnderpass)[] {
  const isFree = new Set(free.map(keyOf));
  const isUsed = (tile: Tile): boolean => faced.has(keyOf(tile)) || placedOn.has(keyOf(tile));
  const belts = free.flatMap((at) =>
    HEADINGS.flatMap((heading) => catalog.belts.map((model): PlacedBelt => ({ kind: 'belt', at, heading, model }))).filter(
      (belt) => isUsed(at) || isCarrier(standing.get(keyOf(stepFrom(at, belt.heading)))),
    ),
  );
  const underpasses = free.filter(isUsed).flatMap((from) =>
    catalog.underpasses.flatMap((model) =>
      HEADINGS.flatMap((heading) =>
        Array.from({ length: model.span }, (_, index): PlacedUnderpass => ({ kind: 'underpass', from, to: stepFrom(from, heading, index + 1), model })).filter(({ to }) =>
          isFree.has(keyOf(to)),
        ),
      ),
    ),
  );
  const splitters = free.flatMap((at) =>
    HEADINGS.flatMap((heading) => catalog.splitters.map((model): PlacedSplitter => ({ kind: 'splitter', at, heading, model }))).filter((splitter) => {
      const halves = tilesOf(splitter);
      return halves.every((half) => isFree.has(keyOf(half))) && halves.some(isUsed);
    }),
  );
  return [...belts, ...splitters, ...underpasses];
}

/** Splitters of a belt's heading with one half in its place, the other on a free tile or in the place of a belt beside it. */
function splittersToAdd(layout: Layout, { free, standing }: Ground): readonly ChangedLayout[] {
  const isFree = new Set(free.map(keyOf));
  return layout.parts.flatMap((belt) => {
    if (belt.kind !== 'belt') return [];
    return [belt.at, stepFrom(belt.at, leftOf(belt.heading))].flatMap((at, index) => {
      const other = index === 0 ? rightHalfOf(at, belt.heading) : at;
      const beside = standing.get(keyOf(other));
      const isBeside = beside?.kind === 'belt' && beside.heading === belt.heading;
      // Two belts side by side are met twice: from the left one only.
      if (!isFree.has(keyOf(other)) && !(isBeside && index === 0)) return [];
      const instead = isBeside ? [belt, beside] : [belt];
      return layout.catalog.splitters.map((model): ChangedLayout => {
        const part: PlacedSplitter = { kind: 'splitter', at, heading: belt.heading, model };
        return { change: { kind: 'divide', part, instead }, layout: { ...layout, parts: [...layout.parts.filter((old) => !instead.some((gone) => gone === old)), part] } };
      });
    });
  });
}

/** The same part the other way round, where it can be turned on its tiles. */
function turned(part: Part): readonly (readonly [Heading, Part])[] {
  switch (part.kind) {
    case 'belt':
    case 'arm':
      return HEADINGS.filter((heading) => heading !== part.heading).map((heading) => [heading, { ...part, heading }] as const);
    case 'splitter':
      return [[backOf(part.heading), { ...part, at: rightHalfOf(part.at, part.heading), heading: backOf(part.heading) }]];
    case 'underpass':
      return [[backOf(underpassHeading(part)), { ...part, from: part.to, to: part.from }]];
    case 'chest':
      return [];
  }
}

/** In a fixed order; each is legal. Chests give the same whatever their model, while they never run dry. */
export function singleChanges(layout: Layout): readonly ChangedLayout[] {
  const { parts, exits } = layout;
  const ground = groundOf(layout);
  const withPart = (index: number, part: Part | undefined): Layout => ({
    ...layout,
    parts: parts.flatMap((old, other) => (other !== index ? [old] : part === undefined ? [] : [part])),
  });
  const all: readonly ChangedLayout[] = [
    ...parts.flatMap((part, index): readonly ChangedLayout[] => [
      { change: { kind: 'remove', part }, layout: withPart(index, undefined) },
      ...turned(part).map(([heading, other]): ChangedLayout => ({ change: { kind: 'turn', part, heading }, layout: withPart(index, other) })),
      ...swapped(layout, part).map((other): ChangedLayout => ({ change: { kind: 'swap', part, model: other.model.name }, layout: withPart(index, other) })),
    ]),
    ...[...armsToAdd(layout, ground), ...chestsToAdd(layout, ground), ...carriersToAdd(layout, ground)].map(
      (part): ChangedLayout => ({ change: { kind: 'add', part }, layout: { ...layout, parts: [...parts, part] } }),
    ),
    ...splittersToAdd(layout, ground),
    ...entriesOf(layout).flatMap((entry, index, entries): readonly ChangedLayout[] =>
      entry.give === undefined
        ? []
        : [
            {
              change: { kind: 'admit', at: entry.at, heading: entry.heading },
              layout: { ...layout, entries: entries.map((old, other) => (other === index ? { ...old, give: undefined } : old)) },
            },
          ],
    ),
    ...exits.flatMap((exit, index): readonly ChangedLayout[] =>
      exit.take === undefined
        ? []
        : [
            {
              change: { kind: 'open', at: exit.at, heading: exit.heading },
              layout: { ...layout, exits: exits.map((old, other) => (other === index ? { ...old, take: undefined } : old)) },
            },
          ],
    ),
  ];
  return all.filter((changed) => checkLegality(changed.layout).every(({ severity }) => severity !== 'error'));
}
