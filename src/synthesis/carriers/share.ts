/**
 * Shares: parts into which a search for carriers is divided, so that several threads go through it together. Which crews
 * belong to one share as a whole is in `families/crew-shares.ts`.
 */
import { DEAD, type CarrierNetwork } from './carrier-network.js';

/**
 * One of `of` shares of a search, numbered from 0: together they go through what one share of one would. What
 * little is placed before they part is looked at by each.
 */
export interface Share {
  readonly index: number;
  readonly of: number;
}

export const WHOLE: Share = { index: 0, of: 1 };

const PART_AFTER = 3;
const FEW_EXITS = 2;

/**
 * Carriers that are placed before shares part. How these stand decides so much that, with few exits, all that takes long may
 * begin with a few ways of placing them; so the halves of all splitters are placed besides. With more exits most of what is
 * searched is given up before so much stands: parting that late, each share would do nearly all of it.
 */
export const sharesPartAfter = (exits: number, splitters: number): number => (exits > FEW_EXITS ? PART_AFTER : PART_AFTER + 2 * splitters);

/** The share, of so many, to which belongs all that begins with these carriers. */
export function shareOfPlaced(net: CarrierNetwork, of: number): number {
  let hash = 0x811c9dc5;
  for (let c = 0; c < net.count; c++) {
    const word = (net.tail[c] << 12) ^ (net.model[c] << 6) ^ (net.kind[c] << 3) ^ (net.heading[c] << 1) ^ (net.next[c] === DEAD ? 1 : 0);
    hash = Math.imul(hash ^ word ^ (net.head[c] << 20), 0x01000193);
  }
  // Without this the last bit would be that of the words alone, of which many have the same.
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return ((hash ^ (hash >>> 16)) >>> 0) % of;
}
