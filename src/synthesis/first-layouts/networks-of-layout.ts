/**
 * A layout taken apart again: which carriers and load arms serve which exits. Chests with the arms that fill them stay
 * apart; whose they are is settled in `first-layouts.ts`.
 */
import { sameTile } from '../../base/geometry.js';
import { pickTile, type Layout, type Part } from '../../layout/layout.js';
import { deriveNetwork } from '../../layout/network.js';
import { partsOf, storesIn, type Store } from './shared-chests.js';

/** Carriers that pass items to one another or stand beside each other in a splitter, and the arms that place on them. */
interface ServedExits {
  /** Indices into the layout's exits, rising. */
  readonly exits: readonly number[];
  readonly parts: readonly Part[];
}

/** Parts that serve no exit go with the first network. */
export function networksOfLayout(layout: Layout): { readonly networks: readonly ServedExits[]; readonly stores: readonly Store[] } {
  const { carriers, arms } = deriveNetwork(layout);
  const { parts } = layout;
  const group = parts.map((_, part) => part);
  const join = (a: number, b: number): void => {
    const [from, to] = [group[a], group[b]];
    for (let part = 0; part < group.length; part++) if (group[part] === from) group[part] = to;
  };
  const served = new Map<number, number>();
  for (const { part, behind, fromLeft, fromRight, next } of carriers) {
    for (const feeder of [behind, fromLeft, fromRight]) if (feeder !== undefined) join(carriers[feeder].part, part);
    if (next.kind === 'exit') served.set(next.exit, part);
  }
  for (const { part, place } of arms) if (place.kind === 'carrier') join(part, carriers[place.carrier].part);
  const stores = storesIn(parts).filter(({ chest }) => parts.some((part) => part.kind === 'arm' && sameTile(pickTile(part), chest.at)));
  const ofStores = new Set<Part>(stores.flatMap(partsOf));
  const groups = [...new Set([...served].sort(([a], [b]) => a - b).map(([, part]) => group[part]))];
  const groupOf = (part: number): number => (groups.includes(group[part]) ? group[part] : groups[0]);
  const networks = groups.map((own) => ({
    exits: [...served].flatMap(([exit, part]) => (group[part] === own ? [exit] : [])).sort((a, b) => a - b),
    parts: parts.filter((part, index) => !ofStores.has(part) && groupOf(index) === own),
  }));
  return { networks, stores };
}
