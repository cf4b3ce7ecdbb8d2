/**
 * Seeded random whole numbers: the same seed gives the same sequence on every machine.
 * Source: the 32-bit mixing generator of the splitmix family (Steele, Lea, Flood 2014), constants
 * from memory; its statistical quality suffices for staggers and test cases, not for cryptography.
 */

/** Returns a function that draws a whole number from 0 to `below` - 1 (below >= 1). */
export function seededRandom(seed: number): (below: number) => number {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    mixed = (mixed ^ (mixed >>> 15)) >>> 0;
    return Math.floor((mixed / 0x1_0000_0000) * below);
  };
}
