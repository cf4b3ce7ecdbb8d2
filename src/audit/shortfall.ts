/**
 * In what a layout falls short of a brief, given its flows from one start: exits against their targets, their sum
 * against the common one, chests against what arms bring. Arithmetic alone; the flows are found in `steady-flow.ts`.
 * Where wagons are filled: `loading-shortfall.ts`.
 */
import type { Tile } from '../base/geometry.js';
import { isLess, sumRational, ZERO, type Rational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import { measureLoading, type LoadingShortfall } from './loading-shortfall.js';
import { chestBalances, type Flows } from './steady-flow.js';

/** All in items per tick. */
export type Shortfall =
  | LoadingShortfall
  | { readonly kind: 'exit'; readonly exit: number; readonly lane: 'left' | 'right' | 'both'; readonly found: Rational; readonly asked: Rational }
  | { readonly kind: 'sum'; readonly found: Rational; readonly asked: Rational }
  /** `supply`: what arms bring in the share of time in which a wagon stands there. */
  | { readonly kind: 'chest'; readonly at: Tile; readonly outflow: Rational; readonly supply: Rational };

interface Measured {
  readonly shortfalls: readonly Shortfall[];
  /** Whether some flow that counts is not known, so that there may be more. */
  readonly incomplete: boolean;
}

/** Nothing is asked by 0. */
const isShort = (found: Rational, asked: Rational, { exceed }: Brief): boolean =>
  exceed === true && isLess(ZERO, asked) ? !isLess(asked, found) : isLess(found, asked);

/** `demands`: for each of the layout's exits, which of the brief's it serves. */
export function measure(layout: Layout, flows: Flows, brief: Brief, demands: readonly number[]): Measured {
  if (brief.load !== undefined) return measureLoading(layout, flows, brief, brief.load);
  const shortfalls: Shortfall[] = [];
  let incomplete = false;
  flows.exits.forEach((exit, index) => {
    if (exit === undefined) {
      incomplete = true;
      return;
    }
    const { target } = brief.exits[demands[index]];
    const lanes = [
      ['both', exit.left.add(exit.right), target.total],
      ['left', exit.left, target.left],
      ['right', exit.right, target.right],
    ] as const;
    for (const [lane, found, asked] of lanes) {
      if (isShort(found, asked, brief)) shortfalls.push({ kind: 'exit', exit: index, lane, found, asked });
    }
  });
  const known = flows.exits.filter((exit) => exit !== undefined);
  const isWhole = new Set(demands).size === brief.exits.length;
  if (brief.together !== undefined && isWhole && known.length === flows.exits.length) {
    const found = sumRational(known.map(({ left, right }) => left.add(right)));
    if (isShort(found, brief.together, brief)) shortfalls.push({ kind: 'sum', found, asked: brief.together });
  }
  for (const { at, outflow, supply } of chestBalances(layout, flows)) {
    const brought = supply.mul(brief.presence);
    if (outflow === undefined) incomplete = true;
    else if (isLess(brought, outflow)) shortfalls.push({ kind: 'chest', at, outflow, supply: brought });
  }
  return { shortfalls, incomplete };
}
