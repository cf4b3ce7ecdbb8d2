/**
 * The integer program of a brief, for any solver.
 */
import { invariant } from '../base/invariant.js';
import type { Brief } from '../brief/brief.js';
import { writeLp } from '../program/write-lp.js';
import { writeMps } from '../program/write-mps.js';
import { firstProgram } from '../synthesis/design.js';

/**
 * The first integer program that a design of this brief solves, as text for any solver: how many chests,
 * arms and splitters, at least price. Its optimum is a bound on the cost of every station.
 */
export function exportProgram(brief: Brief, format: 'mps' | 'lp'): string {
  invariant(brief.load === undefined, 'a design of the job "load" takes no integer program', { brief: brief.name });
  const program = firstProgram(brief);
  return format === 'mps' ? writeMps(program) : writeLp(program);
}
