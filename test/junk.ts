/**
 * Puts junk in the place of one value of a sound document.
 */

/** Counts values in depth-first order; `place` is taken modulo their number. The document itself is left as it is. */
export function withJunk(document: unknown, place: number, junk: unknown): unknown {
  const total = countValues(document);
  const wanted = place % total;
  let seen = -1;
  const walk = (value: unknown): unknown => {
    seen += 1;
    if (seen === wanted) return junk;
    if (Array.isArray(value)) return value.map(walk);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, member]) => [key, walk(member)]));
  };
  return walk(document);
}

function countValues(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 1;
  return Object.values(value).reduce<number>((sum, member) => sum + countValues(member), 1);
}
