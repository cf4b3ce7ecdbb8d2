/**
 * Whether mutations still fit the sources: each search text must stand in its file exactly once. A test
 * looks at this in every run, so that a change of the sources takes its mutations along.
 */
import type { Mutation } from './mutations.js';

/** `read`: a file's text, or undefined where there is none. */
export function misplaced(mutations: readonly Mutation[], read: (file: string) => string | undefined): readonly string[] {
  return mutations.flatMap(({ name, file, find, replace }) => {
    const text = read(file);
    if (text === undefined) return [`${file}: there is no such file (${name})`];
    const times = text.split(find).length - 1;
    if (times !== 1) return [`${file}: stands there ${times} times, not once (${name}): ${find}`];
    return find === replace ? [`${file}: changes nothing (${name})`] : [];
  });
}
