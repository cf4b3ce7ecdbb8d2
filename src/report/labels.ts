/**
 * What exits, entries, starts and models are called in pictures, text and JSON.
 */

/** "A" for the first exit, and so on. */
export const exitLetter = (index: number): string =>
  index < 26 ? String.fromCharCode('A'.charCodeAt(0) + index) : String(index + 1);

/** "1" for the first entry, and so on. */
export const entryNumber = (index: number): string => String(index + 1);

/** Of the standard start, number 0, or a staggered one. */
export const startWords = (start: number): string => (start === 0 ? 'the standard start' : `staggered start ${start}`);

/** "a bay arm", "an ore belt". */
export const article = (name: string): string => `${/^[aeiou]/i.test(name) ? 'an' : 'a'} ${name}`;
