/**
 * What follows from where the parts stand: which carrier passes to which, turns, tee merges, and
 * what each arm picks from and places on. Derived, never stored (world rules, section 2).
 * Takes a legal layout (`check-layout.ts`); where two parts overlap, the earlier one counts.
 */
import { compareTiles, leftOf, rightHalfOf, rightOf, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import {
  pickTile,
  placeTile,
  tilesApart,
  underpassHeading,
  entriesOf,
  wagonAt,
  type Layout,
  type PlacedArm,
  type Side,
} from './layout.js';

/** How a carrier's items enter the next one: along its way (from behind or through a turn), or by a tee merge from its left or right side. */
type Entry = 'behind' | 'turn' | 'tee-left' | 'tee-right';

type Next =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'exit'; readonly exit: number }
  | { readonly kind: 'carrier'; readonly carrier: number; readonly entry: Entry };

/** A belt tile, one half of a splitter, or a whole underpass. */
export interface Carrier {
  readonly index: number;
  readonly kind: 'belt' | 'splitter-half' | 'underpass';
  /** Index into the layout's parts. */
  readonly part: number;
  /** Of a splitter half. */
  readonly side: Side | undefined;
  /** The tile where items come in, and the one where they leave (the same but for an underpass). */
  readonly tail: Tile;
  readonly head: Tile;
  readonly heading: Heading;
  readonly speed: number;
  /** 'turn-left': fed from its own left-hand side alone, so that the way bends left; its inner lane is the left one. */
  readonly shape: 'straight' | 'turn-left' | 'turn-right';
  /** Units. */
  readonly leftLength: number;
  readonly rightLength: number;
  /** Feeders: carriers that face this one, from behind and from its own left-hand and right-hand side. */
  readonly behind: number | undefined;
  readonly fromLeft: number | undefined;
  readonly fromRight: number | undefined;
  /** Index of the layout's entry over whose edge items come in from behind. */
  readonly entry: number | undefined;
  readonly next: Next;
}

/** Of a splitter, left and right; else the carrier alone. */
export function halvesOf({ index, side }: Carrier): readonly number[] {
  return side === undefined ? [index] : side === 'left' ? [index, index + 1] : [index - 1, index];
}

export type ArmEnd =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'wagon'; readonly wagon: number }
  | { readonly kind: 'chest'; readonly part: number }
  | { readonly kind: 'carrier'; readonly carrier: number; readonly tile: Tile };

export interface ArmLink {
  /** Index into the layout's parts. */
  readonly part: number;
  readonly pick: ArmEnd;
  readonly place: ArmEnd;
}

export interface Network {
  readonly carriers: readonly Carrier[];
  /** In the order in which arms act: (y, x). */
  readonly arms: readonly ArmLink[];
}

/** A carrier as placed, before its neighbours are known. */
interface Bare {
  readonly index: number;
  readonly kind: Carrier['kind'];
  readonly part: number;
  readonly side: Side | undefined;
  readonly tail: Tile;
  readonly head: Tile;
  readonly heading: Heading;
  readonly speed: number;
  readonly length: number;
}

/** What stands on a tile, as far as carriers and arms care. */
type Occupant =
  | { readonly kind: 'carrier'; readonly carrier: number }
  | { readonly kind: 'chest'; readonly part: number }
  | { readonly kind: 'other' };

/** One number for each tile within 2^20 tiles of the origin. */
const keyOf = (x: number, y: number): number => (y + 0x10_0000) * 0x20_0000 + x + 0x10_0000;

function placeCarriers(layout: Layout): { readonly bare: readonly Bare[]; readonly onTile: Map<number, Occupant> } {
  const unitsPerTile = layout.catalog.unitsPerTile;
  const bare: Bare[] = [];
  const onTile = new Map<number, Occupant>();
  const occupy = (tile: Tile, occupant: Occupant): void => {
    const key = keyOf(tile.x, tile.y);
    if (!onTile.has(key)) onTile.set(key, occupant);
  };
  const add = (
    kind: Carrier['kind'],
    part: number,
    side: Side | undefined,
    tail: Tile,
    head: Tile,
    heading: Heading,
    speed: number,
    length: number,
  ): void => {
    const index = bare.length;
    bare.push({ index, kind, part, side, tail, head, heading, speed, length });
    occupy(tail, { kind: 'carrier', carrier: index });
    if (head !== tail) occupy(head, { kind: 'carrier', carrier: index });
  };
  layout.parts.forEach((part, index) => {
    switch (part.kind) {
      case 'belt':
        add('belt', index, undefined, part.at, part.at, part.heading, part.model.speed, unitsPerTile);
        return;
      case 'splitter': {
        const right = rightHalfOf(part.at, part.heading);
        add('splitter-half', index, 'left', part.at, part.at, part.heading, part.model.speed, unitsPerTile);
        add('splitter-half', index, 'right', right, right, part.heading, part.model.speed, unitsPerTile);
        return;
      }
      case 'underpass': {
        const length = (tilesApart(part) + 1) * unitsPerTile;
        add('underpass', index, undefined, part.from, part.to, underpassHeading(part), part.model.speed, length);
        return;
      }
      case 'chest':
        occupy(part.at, { kind: 'chest', part: index });
        return;
      case 'arm':
        occupy(part.at, { kind: 'other' });
        return;
    }
  });
  return { bare, onTile };
}

/** Which carriers face each carrier: from behind, and (belts only) from its sides. */
interface Feeders {
  readonly behind: number | undefined;
  readonly fromLeft: number | undefined;
  readonly fromRight: number | undefined;
  readonly entry: number | undefined;
}

function feedersOf(carrier: Bare, layout: Layout, bare: readonly Bare[], onTile: ReadonlyMap<number, Occupant>): Feeders {
  const facing = (from: Heading): number | undefined => {
    // The neighbour that moves along `from` into the tail stands one tile against it.
    const tile = stepFrom(carrier.tail, from, -1);
    const occupant = onTile.get(keyOf(tile.x, tile.y));
    if (occupant?.kind !== 'carrier') return undefined;
    const feeder = bare[occupant.carrier];
    const leavesThere = feeder.head.x === tile.x && feeder.head.y === tile.y;
    return leavesThere && feeder.heading === from ? feeder.index : undefined;
  };
  const sides = carrier.kind === 'belt';
  const entry = entriesOf(layout).findIndex(
    ({ at, heading }) => at.x === carrier.tail.x && at.y === carrier.tail.y && heading === carrier.heading,
  );
  return {
    entry: entry < 0 ? undefined : entry,
    behind: facing(carrier.heading),
    fromLeft: sides ? facing(rightOf(carrier.heading)) : undefined,
    fromRight: sides ? facing(leftOf(carrier.heading)) : undefined,
  };
}

function shapeOf(carrier: Bare, feeders: Feeders): Carrier['shape'] {
  if (carrier.kind !== 'belt' || feeders.behind !== undefined || feeders.entry !== undefined) return 'straight';
  if (feeders.fromLeft !== undefined) return feeders.fromRight === undefined ? 'turn-left' : 'straight';
  return feeders.fromRight === undefined ? 'straight' : 'turn-right';
}

export function deriveNetwork(layout: Layout): Network {
  const { bare, onTile } = placeCarriers(layout);
  const feeders = bare.map((carrier) => feedersOf(carrier, layout, bare, onTile));
  const shapes = bare.map((carrier, index) => shapeOf(carrier, feeders[index]));

  const next: Next[] = bare.map((carrier) => {
    const exit = layout.exits.findIndex(
      ({ at, heading }) => at.x === carrier.head.x && at.y === carrier.head.y && heading === carrier.heading,
    );
    return exit < 0 ? { kind: 'nothing' } : { kind: 'exit', exit };
  });
  bare.forEach(({ index }) => {
    const { behind, fromLeft, fromRight } = feeders[index];
    const pass = (feeder: number | undefined, entry: Entry): void => {
      if (feeder !== undefined && next[feeder].kind === 'nothing') {
        next[feeder] = { kind: 'carrier', carrier: index, entry };
      }
    };
    const turns = shapes[index] !== 'straight';
    pass(behind, 'behind');
    pass(fromLeft, turns ? 'turn' : 'tee-left');
    pass(fromRight, turns ? 'turn' : 'tee-right');
  });

  const { inner, outer } = layout.catalog.turn;
  const carriers = bare.map((carrier, index): Carrier => {
    const shape = shapes[index];
    const { behind, fromLeft, fromRight, entry } = feeders[index];
    return {
      index,
      kind: carrier.kind,
      part: carrier.part,
      side: carrier.side,
      tail: carrier.tail,
      head: carrier.head,
      heading: carrier.heading,
      speed: carrier.speed,
      shape,
      leftLength: shape === 'straight' ? carrier.length : shape === 'turn-left' ? inner : outer,
      rightLength: shape === 'straight' ? carrier.length : shape === 'turn-right' ? inner : outer,
      behind,
      fromLeft,
      fromRight,
      entry,
      next: next[index],
    };
  });

  const endAt = (tile: Tile): ArmEnd => {
    const occupant = onTile.get(keyOf(tile.x, tile.y));
    switch (occupant?.kind) {
      case 'carrier':
        return { kind: 'carrier', carrier: occupant.carrier, tile };
      case 'chest':
        return { kind: 'chest', part: occupant.part };
      case 'other':
        return { kind: 'nothing' };
      case undefined: {
        const wagon = wagonAt(layout.wagons, tile);
        return wagon === undefined ? { kind: 'nothing' } : { kind: 'wagon', wagon };
      }
    }
  };
  const placedArms: { readonly arm: PlacedArm; readonly part: number }[] = [];
  layout.parts.forEach((part, index) => {
    if (part.kind === 'arm') placedArms.push({ arm: part, part: index });
  });
  placedArms.sort((a, b) => compareTiles(a.arm.at, b.arm.at));
  const arms = placedArms.map(
    ({ arm, part }): ArmLink => ({ part, pick: endAt(pickTile(arm)), place: endAt(placeTile(arm)) }),
  );
  return { carriers, arms };
}

/** Whether the layout fills wagons and takes nothing from any. */
export function loadsWagons({ arms }: Network): boolean {
  return arms.some(({ place }) => place.kind === 'wagon') && arms.every(({ pick }) => pick.kind !== 'wagon');
}
