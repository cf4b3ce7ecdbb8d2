/**
 * Short hashes of numbers, one after the other: FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo 1991; constants from memory) with whole
 * numbers in place of bytes. Equal hashes prove nothing.
 */
export const HASH_OF_NONE = 0x811c9dc5;

export const hashedWith = (hash: number, word: number): number => Math.imul(hash ^ word, 0x01000193);
