/**
 * What a world holds while it runs: an object per item, a list per lane, exact rationals for credits. Made in `build-world.ts`.
 */
import type { Heading, Tile } from '../../base/geometry.js';
import type { Rational } from '../../base/rational.js';
import type { Layout, PlacedArm, PlacedEntry, PlacedExit, PlacedSplitter, Side } from '../../layout/layout.js';

export const SIDES: readonly Side[] = ['left', 'right'];
export const otherSide = (side: Side): Side => (side === 'left' ? 'right' : 'left');

export interface Item {
  readonly id: number;
  /** Units from the start of its lane. */
  at: number;
  /** The tick in which it last moved, or tried to: an item moves once in a tick. */
  movedIn: number;
}

/** What lies past the end of a lane. */
type Way =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'lane'; readonly lane: Lane }
  | { readonly kind: 'tee'; readonly near: Lane; readonly join: number }
  | { readonly kind: 'line' }
  | { readonly kind: 'exit'; readonly exit: ExitState; readonly side: Side };

/** A stretch on which items keep their order. A splitter half has an input and an output stretch on each side. */
export interface Lane {
  readonly name: string;
  readonly length: number;
  readonly speed: number;
  /** The foremost first. */
  items: Item[];
  way: Way;
  /** The lane that flows into the start of this one from behind or through a turn. */
  before: Lane | undefined;
}

export type Lanes = Readonly<Record<Side, Lane>>;

interface BeltState {
  readonly kind: 'belt';
  readonly at: Tile;
  readonly heading: Heading;
  readonly lanes: Lanes;
}

interface UnderpassState {
  readonly kind: 'underpass';
  readonly from: Tile;
  readonly to: Tile;
  readonly heading: Heading;
  readonly tilesApart: number;
  readonly lanes: Lanes;
}

export interface HalfState {
  readonly at: Tile;
  readonly input: Lanes;
  readonly output: Lanes;
}

export interface SplitterState {
  readonly kind: 'splitter';
  readonly placed: PlacedSplitter;
  readonly heading: Heading;
  readonly halves: Readonly<Record<Side, HalfState>>;
  /** By lane side: the half that is tried first. */
  readonly outputToggle: Record<Side, Side>;
  readonly inputToggle: Record<Side, Side>;
}

export type CarrierState = BeltState | UnderpassState | SplitterState;

/** Where a carrier hands on its items: the tile that they leave, and the lanes that end there. */
export interface Head {
  readonly carrier: CarrierState;
  readonly at: Tile;
  readonly heading: Heading;
  readonly lanes: Lanes;
}

export interface ExitState {
  readonly placed: PlacedExit;
  /** The speed of the carrier on the exit's tile; 0 where nothing reaches the exit. */
  speed: number;
  credit: Rational;
  /** The lane that had the last item. */
  last: Side | undefined;
  readonly counts: Record<Side, number>;
  readonly departures: Record<Side, { readonly tick: number; readonly unspent: number }[]>;
}

/** What waits behind an entry's edge: an endless belt, packed at the pitch, of which a stretch is kept. */
export interface EntryState {
  readonly placed: PlacedEntry;
  readonly lanes: Lanes;
  credit: Rational;
  /** The lane that had the last item. */
  last: Side | undefined;
  readonly counts: Record<Side, number>;
}

export interface Container {
  /** Items that arms may still take out, and put in; Infinity in a steady run. */
  held: number;
  room: number;
  taken: number;
  delivered: number;
}

/** A part of a lane that lies on one tile, in units from the lane's start, both ends included. */
export interface Stretch {
  readonly lane: Lane;
  readonly low: number;
  readonly high: number;
}

export type Source =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'container'; readonly container: Container }
  /** In the order in which the arm looks through them. */
  | { readonly kind: 'lanes'; readonly what: string; readonly stretches: readonly Stretch[] };

export type Target =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'container'; readonly container: Container }
  | { readonly kind: 'spot'; readonly what: string; readonly stretch: Stretch; readonly spot: number }
  | { readonly kind: 'line'; readonly what: string; readonly splitter: SplitterState; readonly side: Side };

export interface ArmState {
  readonly placed: PlacedArm;
  readonly source: Source;
  readonly target: Target;
  readonly holdBackTicks: number;
  hand: Item[];
  taken: number;
  /** `out` and `back` end at the tick `arrives`, in which the arm may already act on the other side. */
  phase: 'pick' | 'out' | 'place' | 'back';
  arrives: number;
  /** The tick of the last take or placement of this visit. */
  lastAct: number | undefined;
}

interface Chest {
  readonly at: Tile;
  readonly container: Container;
}

/** All that changes, and the numbers that do not. */
export interface World {
  readonly layout: Layout;
  readonly unitsPerTile: number;
  readonly pitch: number;
  /** The tick that runs, or the last that ran. */
  now: number;
  lastId: number;
  /** In the order of the layout's parts. */
  readonly carriers: readonly CarrierState[];
  /** In the order in which they move. */
  readonly order: readonly CarrierState[];
  readonly exits: readonly ExitState[];
  readonly entries: readonly EntryState[];
  readonly wagons: readonly Container[];
  readonly chests: readonly Chest[];
  /** In the order of the layout's parts, and in that in which they act. */
  readonly armsOfPlan: readonly ArmState[];
  readonly arms: readonly ArmState[];
  /** How often each kind of thing happened. */
  readonly events: Events;
}

export type Events = Map<string, number>;

export const happened = (events: Events, what: string): void => void events.set(what, (events.get(what) ?? 0) + 1);

export const show = (tile: Tile): string => `${tile.x},${tile.y}`;

export const both = (length: number): Record<Side, number> => ({ left: length, right: length });
