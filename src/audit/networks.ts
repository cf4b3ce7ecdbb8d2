/**
 * Splits a layout into networks of carriers that never influence each other in a steady run: its containers never
 * run dry or fill, so only what passes from carrier to carrier, or from hand to carrier, ties parts together.
 * Made from the placed parts alone and on the safe side: a carrier counts as tied to whatever carrier it faces,
 * whether or not that one takes anything. What flows in a network is found in `steady-flow.ts`.
 */
import { compareTiles, rightHalfOf, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import { entriesOf, pickTile, placeTile, tilesOf, underpassHeading, type Layout, type Part, type PlacedArm } from '../layout/layout.js';

export interface Network {
  /** The network's carriers, its arms in the order of (y, x), its exits, and all chests. */
  readonly layout: Layout;
  /** Indices into `armsOf` the whole layout, in its order. */
  readonly arms: readonly number[];
  /** Indices into the whole layout's exits. */
  readonly exits: readonly number[];
  /** Indices into the whole layout's entries. */
  readonly entries: readonly number[];
}

/** A layout's arms in the order of (y, x), in which they act. */
export const armsOf = (layout: Layout): readonly PlacedArm[] =>
  layout.parts.flatMap((part) => (part.kind === 'arm' ? [part] : [])).sort((a, b) => compareTiles(a.at, b.at));

/** Where a carrier hands on its items, and which way; of an arm or chest nowhere. */
export function headsOf(part: Part): readonly { readonly at: Tile; readonly heading: Heading }[] {
  switch (part.kind) {
    case 'belt':
      return [part];
    case 'splitter':
      return [part, { at: rightHalfOf(part.at, part.heading), heading: part.heading }];
    case 'underpass':
      return [{ at: part.to, heading: underpassHeading(part) }];
    default:
      return [];
  }
}

export function networksOf(layout: Layout): readonly Network[] {
  const carriers = layout.parts.filter((part) => part.kind !== 'arm' && part.kind !== 'chest');
  const standsOn = new Map(carriers.flatMap((part, index) => tilesOf(part).map(({ x, y }) => [`${x},${y}`, index] as const)));
  const carrierOn = ({ x, y }: Tile): number | undefined => standsOn.get(`${x},${y}`);

  /** By carrier: another one of its network, or itself. */
  const leader = carriers.map((_, index) => index);
  const leaderOf = (index: number): number => (leader[index] === index ? index : leaderOf(leader[index]));
  const tie = (a: number | undefined, b: number | undefined): void => {
    if (a !== undefined && b !== undefined) leader[leaderOf(a)] = leaderOf(b);
  };
  carriers.forEach((part, index) => {
    for (const { at, heading } of headsOf(part)) tie(index, carrierOn(stepFrom(at, heading)));
  });
  const arms = armsOf(layout);
  for (const arm of arms) tie(carrierOn(pickTile(arm)), carrierOn(placeTile(arm)));

  const chests = layout.parts.filter((part) => part.kind === 'chest');
  const leaders = carriers.map((_, index) => index).filter((index) => leader[index] === index);
  return leaders.map((own): Network => {
    const isOwn = (tile: Tile): boolean => {
      const carrier = carrierOn(tile);
      return carrier !== undefined && leaderOf(carrier) === own;
    };
    const members = carriers.filter((_, index) => leaderOf(index) === own);
    const armIndices = arms.flatMap((arm, index) => (isOwn(pickTile(arm)) || isOwn(placeTile(arm)) ? [index] : []));
    const exitIndices = layout.exits.flatMap(({ at, heading }, index) =>
      members.flatMap(headsOf).some((head) => head.heading === heading && sameTile(head.at, at)) ? [index] : [],
    );
    return {
      layout: {
        ...layout,
        parts: [...members, ...armIndices.map((index) => arms[index]), ...chests],
        exits: exitIndices.map((index) => layout.exits[index]),
      },
      arms: armIndices,
      exits: exitIndices,
      entries: entriesOf(layout).flatMap(({ at }, index) => (isOwn(at) ? [index] : [])),
    };
  });
}
