/**
 * JSON pointers (RFC 6901): the one way in which findings name a place in a document.
 */
import type { Finding } from './finding.js';

const escapeToken = (token: string): string => token.replaceAll('~', '~0').replaceAll('/', '~1');

/** Pointer to a member or an item of what `parent` points to. */
export const pointerTo = (parent: string, ...tokens: readonly (string | number)[]): string =>
  tokens.reduce<string>((pointer, token) => `${pointer}/${escapeToken(String(token))}`, parent);

/** The same findings as seen from a document that holds theirs at `prefix`. */
export const findingsBeneath = <Code extends string>(
  prefix: string,
  findings: readonly Finding<Code>[],
): readonly Finding<Code>[] =>
  findings.map((finding) => ({ ...finding, pointer: `${prefix}${finding.pointer ?? ''}` }));
