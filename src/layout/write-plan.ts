/**
 * Writes a layout as plan JSON: the same layout always gives the same text, whatever the order in
 * which its parts were found. The way back is in `parse-plan.ts`.
 */
import { compareTiles, type Tile } from '../base/geometry.js';
import { northOf } from '../base/ground.js';
import { formatRational } from '../base/rational.js';
import { writeCatalog } from '../catalog/write-catalog.js';
import { entriesOf, tilesOf, type Layout, type Part, type PlacedEntry, type PlacedExit } from './layout.js';

export type JsonObject = Readonly<Record<string, unknown>>;

const KINDS: readonly Part['kind'][] = ['belt', 'splitter', 'underpass', 'arm', 'chest'];

/** By the least tile in the order of (y, x), then by kind. */
function compareParts(a: Part, b: Part): number {
  const least = (part: Part): Tile =>
    tilesOf(part).reduce((one, other) => (compareTiles(one, other) <= 0 ? one : other));
  return compareTiles(least(a), least(b)) || KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind);
}

const compareEdges = (a: PlacedExit | PlacedEntry, b: PlacedExit | PlacedEntry): number =>
  compareTiles(a.at, b.at) || (a.heading < b.heading ? -1 : a.heading > b.heading ? 1 : 0);

const position = ({ x, y }: Tile): readonly number[] => [x, y];

function writePart(part: Part): JsonObject {
  const { kind } = part;
  const model = part.model.name;
  switch (kind) {
    case 'belt':
    case 'arm':
      return { kind, at: position(part.at), heading: part.heading, model };
    case 'splitter':
      return {
        kind,
        at: position(part.at),
        heading: part.heading,
        model,
        ...(part.favourIn === undefined ? {} : { favourIn: part.favourIn }),
        ...(part.favourOut === undefined ? {} : { favourOut: part.favourOut }),
      };
    case 'underpass':
      return { kind, from: position(part.from), to: position(part.to), model };
    case 'chest':
      return { kind, at: position(part.at), model };
  }
}

/** The layout's wagons, parts, exits and entries in the order in which a plan lists them. */
export const inPlanOrder = (layout: Layout): Layout => ({
  ...layout,
  wagons: [...layout.wagons].sort((a, b) => a.at - b.at),
  parts: [...layout.parts].sort(compareParts),
  exits: [...layout.exits].sort(compareEdges),
  ...(entriesOf(layout).length === 0 ? {} : { entries: [...entriesOf(layout)].sort(compareEdges) }),
});

/** The layout's parts as a plan lists them. */
export const writeParts = (layout: Layout): readonly JsonObject[] => inPlanOrder(layout).parts.map(writePart);

/** `result`: what is promised of the layout. `catalog`: the path of its catalog's file, else it is written out. */
export function writePlan(layout: Layout, result?: JsonObject, catalog?: string): JsonObject {
  const { name, site, wagons, parts, exits, entries } = inPlanOrder(layout);
  const keepOut = site.keepOut.map(({ x, y, width, height }) => [x, y, width, height]);
  return {
    format: 'transloom-plan/1',
    name,
    catalog: catalog ?? writeCatalog(layout.catalog),
    site: { width: site.width, depth: site.depth, ...northOf(site), ...(keepOut.length === 0 ? {} : { keepOut }) },
    wagons: wagons.map(({ model, at }) => ({ model: model.name, at })),
    parts: parts.map(writePart),
    exits: exits.map(({ at, heading, take }) => ({
      at: position(at),
      heading,
      ...(take === undefined ? {} : { take: formatRational(take) }),
    })),
    ...(entries === undefined
      ? {}
      : {
          entries: entries.map(({ at, heading, give }) => ({
            at: position(at),
            heading,
            ...(give === undefined ? {} : { give: formatRational(give) }),
          })),
        }),
    ...(result === undefined ? {} : { result }),
  };
}
