/**
 * The integer program of a brief, for any solver.
 */
import type { Brief } from '../brief/brief.js';
import { writeLp } from '../program/write-lp.js';
import { writeMps } from '../program/write-mps.js';
import { firstProgram } from '../synthesis/design.js';
import { loadingBill } from '../synthesis/loading/loading-bill.js';
import { loadingSite } from '../synthesis/loading/loading-site.js';

/**
 * The program of the bill of parts, as text for any solver: how many chests, arms and carriers, at least price. Its
 * optimum is a bound on the cost of every station. Of the job "unload" it is the first one that a design solves.
 */
export function exportProgram(brief: Brief, format: 'mps' | 'lp'): string {
  const program = brief.load === undefined ? firstProgram(brief) : loadingBill(loadingSite(brief, brief.load));
  return format === 'mps' ? writeMps(program) : writeLp(program);
}
