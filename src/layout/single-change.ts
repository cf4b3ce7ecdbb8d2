/**
 * Every single change of a layout that a person might try to get more out of it, as long as the result is legal: a part
 * less, turned, of another model, an arm more, an exit that takes all. What a change gives is for the simulator to say.
 */
import { boxHolds, HEADINGS, type Heading, type Tile } from '../base/geometry.js';
import { checkLegality } from './check-layout.js';
import { pickTile, placeTile, tilesOf, wagonAt, type Layout, type Part, type PlacedArm } from './layout.js';

export type Change =
  | { readonly kind: 'remove'; readonly part: Part }
  | { readonly kind: 'turn'; readonly part: Part; readonly heading: Heading }
  | { readonly kind: 'swap'; readonly part: Part; readonly model: string }
  | { readonly kind: 'add'; readonly part: Part }
  /** The exit takes all that comes. */
  | { readonly kind: 'open'; readonly at: Tile; readonly heading: Heading };

export interface ChangedLayout {
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

/** Arms that would pick from a wagon or a chest and place onto a carrier. */
function armsToAdd({ catalog, site, wagons, parts }: Layout): readonly PlacedArm[] {
  const standing = new Map(parts.flatMap((part) => tilesOf(part).map((tile): readonly [string, Part] => [keyOf(tile), part])));
  const arms: PlacedArm[] = [];
  for (let y = 0; y < site.depth; y += 1) {
    for (let x = 0; x < site.width; x += 1) {
      const at = { x, y };
      if (standing.has(keyOf(at)) || site.keepOut.some((box) => boxHolds(box, at))) continue;
      for (const heading of HEADINGS) {
        for (const model of catalog.arms) {
          const arm: PlacedArm = { kind: 'arm', at, heading, model };
          const pick = pickTile(arm);
          const isFed = wagonAt(wagons, pick) !== undefined || standing.get(keyOf(pick))?.kind === 'chest';
          const target = standing.get(keyOf(placeTile(arm)))?.kind;
          if (isFed && (target === 'belt' || target === 'splitter' || target === 'underpass')) arms.push(arm);
        }
      }
    }
  }
  return arms;
}

/** In a fixed order; each is legal. Chests give the same whatever their model, while they never run dry. */
export function singleChanges(layout: Layout): readonly ChangedLayout[] {
  const { parts, exits } = layout;
  const withPart = (index: number, part: Part | undefined): Layout => ({
    ...layout,
    parts: parts.flatMap((old, other) => (other !== index ? [old] : part === undefined ? [] : [part])),
  });
  const all: readonly ChangedLayout[] = [
    ...parts.flatMap((part, index): readonly ChangedLayout[] => [
      { change: { kind: 'remove', part }, layout: withPart(index, undefined) },
      ...(part.kind !== 'belt' && part.kind !== 'arm'
        ? []
        : HEADINGS.filter((heading) => heading !== part.heading).map(
            (heading): ChangedLayout => ({ change: { kind: 'turn', part, heading }, layout: withPart(index, { ...part, heading }) }),
          )),
      ...swapped(layout, part).map((other): ChangedLayout => ({ change: { kind: 'swap', part, model: other.model.name }, layout: withPart(index, other) })),
    ]),
    ...armsToAdd(layout).map((part): ChangedLayout => ({ change: { kind: 'add', part }, layout: { ...layout, parts: [...parts, part] } })),
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
