/** Ways of dividing a few things. */

/** Exits by the network that serves them. */
export type Partition = readonly (readonly number[])[];

/** All ways of dividing things into groups. */
export function partitionsOf<T>(things: readonly T[]): readonly (readonly (readonly T[])[])[] {
  if (things.length === 0) return [[]];
  const [first, ...others] = things;
  return partitionsOf(others).flatMap((groups) => [
    [[first], ...groups],
    ...groups.map((group, g) => [[first, ...group], ...groups.filter((_, other) => other !== g)]),
  ]);
}
