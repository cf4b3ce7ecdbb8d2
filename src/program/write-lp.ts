/**
 * A program as CPLEX LP text, for reading by eye and by other solvers. Names in the text are c0, c1, ...
 * and r0, r1, ..., as the format forbids much of what a name may hold; comments say what they stand for.
 * Free MPS is in `write-mps.ts`.
 */
import { invariant } from '../base/invariant.js';
import type { Program, Term } from './program.js';

/** Terms on one line: readers of the format limit a line's length. */
const TERMS_PER_LINE = 8;

function expression(terms: readonly Term[]): string {
  if (terms.length === 0) return '0 c0';
  const written = terms.map(
    ([coefficient, variable]) => `${coefficient < 0 ? '-' : '+'} ${Math.abs(coefficient)} c${variable}`,
  );
  const lines: string[] = [];
  for (let first = 0; first < written.length; first += TERMS_PER_LINE) {
    lines.push(written.slice(first, first + TERMS_PER_LINE).join(' '));
  }
  return lines.join('\n    ');
}

/** Ends with a line feed. The program needs at least one variable. */
export function writeLp(program: Program): string {
  const { variables, rows, objective, sense } = program;
  invariant(variables.length > 0, 'a program in LP text has a variable', { name: program.name });
  const whole = variables.flatMap(({ kind }, index) => (kind === 'integer' ? [` c${index}`] : []));
  const lines = [
    `\\ ${oneLine(program.name)}`,
    ...variables.map(({ name }, index) => `\\ c${index}: ${oneLine(name)}`),
    ...rows.map(({ name }, index) => `\\ r${index}: ${oneLine(name)}`),
    sense === 'minimise' ? 'Minimize' : 'Maximize',
    ` obj: ${expression(objective)}`,
    'Subject To',
    ...rows.map(({ terms, relation, rhs }, index) => ` r${index}: ${expression(terms)} ${relation} ${rhs}`),
    'Bounds',
    ...variables.map(({ lower, upper }, index) => ` ${lower} <= c${index} <= ${upper}`),
    ...(whole.length > 0 ? ['Generals', ...whole] : []),
    'End',
  ];
  return `${lines.join('\n')}\n`;
}

const oneLine = (text: string): string => text.replace(/\s+/g, ' ');
