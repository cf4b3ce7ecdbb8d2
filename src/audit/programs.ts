/**
 * Solves the program of the bill of parts again, made anew from the brief and the bills cut off before, with another
 * solver than the run's.
 */
import type { Bill } from '../synthesis/site/bill.js';
import { billProgram } from '../synthesis/bills/bill-program.js';
import type { IntegerSolver } from '../program/solver.js';
import type { FlawKind } from './audit-result.js';
import type { Bills } from './ledger.js';
import type { LineOf } from './proof-line.js';

/** `bills`: those proposed before. Undefined where the solver came to no proven answer in time. */
export function recheckProgram(
  { map, spots }: Bills,
  bills: readonly Bill[],
  { mostPrice, answer }: LineOf<'proposed'>,
  solver: IntegerSolver,
  timeLimitSeconds: number,
): readonly FlawKind[] | undefined {
  const again = solver.solve(billProgram(map, spots, bills, mostPrice).program, { timeLimitSeconds });
  if (again.status !== 'optimal' && again.status !== 'infeasible') return undefined;
  const found = again.status === 'optimal' ? again.solution.objective : undefined;
  return found === answer?.objective ? [] : [{ kind: 'program-differs', stated: answer?.objective, found }];
}
