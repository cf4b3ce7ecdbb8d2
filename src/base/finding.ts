/**
 * What is wrong (error) or surely not meant (warning) in an input, as data.
 * Every finding says where: a JSON pointer into its file, a tile, or both. The words for each code
 * are in `report/words.ts`, nowhere else.
 */
import type { Tile } from './geometry.js';

export interface Finding<Code extends string = string> {
  readonly severity: 'error' | 'warning';
  readonly code: Code;
  /** RFC 6901 pointer into the document, "" for its root. */
  readonly pointer?: string;
  readonly tile?: Tile;
  /** What the sentence needs: names, numbers, the allowed values. */
  readonly values?: Readonly<Record<string, string | number>>;
}

/** A parsed value, or every finding that stands in its way; warnings may come with a value. */
export type Checked<T, Code extends string = string> =
  | { readonly ok: true; readonly value: T; readonly warnings: readonly Finding<Code>[] }
  | { readonly ok: false; readonly findings: readonly Finding<Code>[] };
