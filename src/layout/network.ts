/**
 * What follows from where the parts stand: which carrier passes to which, turns, tee merges, and
 * what each arm picks from and places on. Derived, never stored (world rules, section 2).
 */
import type { Heading, Tile } from '../base/geometry.js';
import type { Layout, Side } from './layout.js';

/** How a carrier's items enter the next one: along its way (from behind or through a turn), or by a tee merge from its left or right side. */
export type Entry = 'behind' | 'turn' | 'tee-left' | 'tee-right';

export type Next =
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
  /** 'turn-left': fed from its right-hand side, so that the way bends left; its inner lane is the left one. */
  readonly shape: 'straight' | 'turn-left' | 'turn-right';
  readonly leftLength: number;
  readonly rightLength: number;
  /** Feeders: carriers that face this one, from behind and from its own left-hand and right-hand side. */
  readonly behind: number | undefined;
  readonly fromLeft: number | undefined;
  readonly fromRight: number | undefined;
  readonly next: Next;
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

export function deriveNetwork(_layout: Layout): Network {
  throw new Error('not written yet');
}
