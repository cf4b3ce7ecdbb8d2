/**
 * The seal that each line of a proof log ends with: a digest of the line and of the seal before it. It shows a line
 * that was changed, moved or lost on the way; somebody who makes up a whole log seals it just as well.
 */
import { createHash } from 'node:crypto';

const DIGITS = 16;
const ENDING = /,"seal":"([0-9a-f]{16})"\}$/;

const digest = (before: string, body: string): string =>
  createHash('sha256').update(`${before}\n${body}`).digest('hex').slice(0, DIGITS);

interface Sealed {
  readonly text: string;
  readonly seal: string;
}

/** `line`: an object without a seal, with at least one member. `before`: the seal of the line before, or ''. */
export function sealed(line: object, before: string): Sealed {
  const body = JSON.stringify(line).slice(0, -1);
  const seal = digest(before, body);
  return { text: `${body},"seal":"${seal}"}`, seal };
}

/** The seal that a line states; undefined where it ends with none. */
export const statedSeal = (text: string): string | undefined => ENDING.exec(text)?.[1];

/** Whether the line ends with the seal that follows from its text and from the seal before it. */
export function sealHolds(text: string, before: string): boolean {
  const stated = statedSeal(text);
  return stated !== undefined && stated === digest(before, text.replace(ENDING, ''));
}
