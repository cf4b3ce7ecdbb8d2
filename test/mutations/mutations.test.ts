/**
 * Mutations fit the sources that they break. What they show is for `npm run mutate`, which takes long.
 */
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { misplaced } from './misplaced.js';
import { MUTATIONS, type Mutation } from './mutations.js';
import { projectFile } from '../documents.js';

const read = (file: string): string | undefined =>
  existsSync(projectFile(file)) ? readFileSync(projectFile(file), 'utf8') : undefined;

describe('mutations', () => {
  it('each stand in one place of one file', () => {
    expect(misplaced(MUTATIONS, read)).toEqual([]);
  });

  it('are many, of different names, in the simulator, the bounds and the checker', () => {
    expect(MUTATIONS.length).toBeGreaterThanOrEqual(30);
    expect(new Set(MUTATIONS.map(({ name }) => name)).size).toBe(MUTATIONS.length);
    for (const room of ['src/simulation/', 'src/synthesis/', 'src/program/']) {
      expect(MUTATIONS.filter(({ file }) => file.startsWith(room)).length, room).toBeGreaterThanOrEqual(10);
    }
  });

  it('are refused where they fit nowhere, twice, or change nothing', () => {
    const mutation: Mutation = { name: 'm', file: 'a.ts', find: 'x', replace: 'y', tests: [] };
    const complaints = (text: string | undefined, changes: Partial<Mutation> = {}): number =>
      misplaced([{ ...mutation, ...changes }], () => text).length;
    expect([complaints('1x2'), complaints('xx'), complaints('none'), complaints(undefined), complaints('x', { replace: 'x' })]).toEqual([
      0, 1, 1, 1, 1,
    ]);
  });
});
