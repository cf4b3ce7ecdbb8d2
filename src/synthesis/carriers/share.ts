/**
 * Shares: parts into which a search for carriers is divided, so that several threads go through it together. Which crews
 * belong to one share as a whole is in `crews/crew-shares.ts`.
 */
import { HASH_OF_NONE, hashedWith } from '../../base/hash.js';
import type { Crew } from '../site/crew.js';
import { DEAD, type CarrierNetwork } from './carrier-network.js';

/**
 * One of `of` shares of a search, numbered from 0: together they go through what one share of one would. What
 * little is placed before they part is looked at by each.
 */
export interface Share {
  readonly index: number;
  readonly of: number;
  /**
   * What is divided falls into places; of each, the share that has all of it, counted from 1, or 0 while none has. All shares
   * have the same places, and whichever comes upon one first takes it. So none waits for another that has more to do.
   */
  readonly taken: Int32Array;
}

export const WHOLE: Share = { index: 0, of: 1, taken: new Int32Array(1) };

/** Far more than there are ways of placing what stands where shares part; these are asked for at each price anew. */
const PLACES = 1 << 16;

/** Places of which none is taken, for threads to share. */
export const placesToTake = (): Int32Array<SharedArrayBuffer> => new Int32Array(new SharedArrayBuffer(PLACES * Int32Array.BYTES_PER_ELEMENT));

const PART_AFTER = 3;
const FEW_EXITS = 2;

/**
 * Carriers that are placed before shares part. How these stand decides so much that, with few exits, all that takes long may
 * begin with a few ways of placing them; so the halves of all splitters are placed besides. With more exits most of what is
 * searched is given up before so much stands: parting that late, each share would do nearly all of it.
 */
export const sharesPartAfter = (exits: number, splitters: number): number => (exits > FEW_EXITS ? PART_AFTER : PART_AFTER + 2 * splitters);

/** Of a crew's places. */
export function seedOf({ arms }: Crew): number {
  let hash = HASH_OF_NONE;
  for (const { tile, target } of arms) hash = hashedWith(hash, (tile << 12) ^ target);
  return hash;
}

/** Whether a crew as a whole belongs to a share, which takes it if no other one has. */
export const takesCrew = (share: Share, crew: Crew): boolean => takes(share, seedOf(crew));

/**
 * Whether all that begins with these carriers belongs to a share, which takes it if no other one has. `seed` tells crews apart.
 * Whatever falls to the same place belongs to one share: each comes upon all of it, unless a bound rules it out.
 */
export function takesPlaced(share: Share, net: CarrierNetwork, seed: number): boolean {
  let hash = seed;
  for (let c = 0; c < net.count; c++) {
    const word = (net.tail[c] << 12) ^ (net.model[c] << 6) ^ (net.kind[c] << 3) ^ (net.heading[c] << 1) ^ (net.next[c] === DEAD ? 1 : 0);
    hash = hashedWith(hash, word ^ (net.head[c] << 20));
  }
  return takes(share, hash);
}

function takes({ index, taken }: Share, name: number): boolean {
  // The last steps of MurmurHash3 (A. Appleby; from memory): without, the last bits would be those of the last word alone, which
  // many have in common.
  let hash = Math.imul(name ^ (name >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  const holder = Atomics.compareExchange(taken, ((hash ^ (hash >>> 16)) >>> 0) % taken.length, 0, index + 1);
  return holder === 0 || holder === index + 1;
}
