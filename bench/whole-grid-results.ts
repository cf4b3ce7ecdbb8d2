/**
 * Whole-grid results that are kept from one run of the bench to the next, since they take an hour or more and change
 * only with the program: each is kept by a digest of the very program that the brief is turned into, and its solver.
 * So neither a new name nor a reworded comment asks for a new measurement, and any change of what is solved does.
 */
import { createHash } from 'node:crypto';
import type { Program } from '../src/program/program.js';
import type { BaselineRecord } from './record.js';

const FORMAT = 'transloom-whole-grid/1';

/** By key; see `programKey`. */
export type KeptResults = ReadonlyMap<string, BaselineRecord>;

/** Of the solver's name and version, and of all of the program but names. */
export function programKey({ sense, objective, variables, rows }: Program, solver: string): string {
  const hash = createHash('sha256');
  const add = (...parts: readonly (string | number)[]): void => void hash.update(`${parts.join(' ')}\n`);
  add(solver, sense, ...objective.flat());
  for (const { kind, lower, upper } of variables) add(kind, lower, upper);
  for (const { terms, relation, rhs } of rows) add(relation, rhs, ...terms.flat());
  return hash.digest('hex').slice(0, 20);
}

/** A result says as much as a new run would, if it is proven, or if it was given as long. */
export const isEnough = ({ verdict, limitSeconds }: BaselineRecord, wantedSeconds: number): boolean =>
  ['optimal', 'infeasible', 'too-large'].includes(verdict) || limitSeconds >= wantedSeconds;

export function readKept(text: string): KeptResults {
  const { format, kept } = JSON.parse(text) as { readonly format?: unknown; readonly kept?: readonly (readonly [string, BaselineRecord])[] };
  if (format !== FORMAT || !Array.isArray(kept)) throw new Error(`not a file of format ${FORMAT}`);
  return new Map(kept);
}

/** One result a line, in order of names. */
export function writeKept(results: KeptResults): string {
  const lines = [...results]
    .sort(([, a], [, b]) => `${a.name} ${a.solver}`.localeCompare(`${b.name} ${b.solver}`, 'en'))
    .map((each) => JSON.stringify(each));
  return `{"format": ${JSON.stringify(FORMAT)}, "kept": [\n${lines.join(',\n')}\n]}\n`;
}
