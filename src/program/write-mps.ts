/**
 * A program as free-format MPS text, for other solvers. Names are c0, c1, ... and r0, r1, ...; comments
 * say what they stand for. A program to maximise says so in an OBJSENSE section, which is an extension
 * that some readers lack. CPLEX LP text is in `write-lp.ts`.
 */
import type { Program, Relation } from './program.js';

const ROW_TYPES: Readonly<Record<Relation, string>> = { '<=': 'L', '>=': 'G', '=': 'E' };

/** Ends with a line feed. */
export function writeMps(program: Program): string {
  const { variables, rows, objective, sense } = program;
  const columns: string[][] = variables.map(() => []);
  for (const [coefficient, variable] of objective) columns[variable].push(` c${variable} obj ${coefficient}`);
  rows.forEach(({ terms }, index) => {
    for (const [coefficient, variable] of terms) columns[variable].push(` c${variable} r${index} ${coefficient}`);
  });

  const lines = [
    `* ${oneLine(program.name)}`,
    ...variables.map(({ name }, index) => `* c${index}: ${oneLine(name)}`),
    ...rows.map(({ name }, index) => `* r${index}: ${oneLine(name)}`),
    'NAME program',
    ...(sense === 'maximise' ? ['OBJSENSE', ' MAX'] : []),
    'ROWS',
    ' N obj',
    ...rows.map(({ relation }, index) => ` ${ROW_TYPES[relation]} r${index}`),
    'COLUMNS',
  ];
  let inWhole = false;
  let markers = 0;
  const mark = (whole: boolean): void => {
    if (whole === inWhole) return;
    lines.push(` m${markers} 'MARKER' '${whole ? 'INTORG' : 'INTEND'}'`);
    markers++;
    inWhole = whole;
  };
  variables.forEach(({ kind }, index) => {
    mark(kind === 'integer');
    // A column without entries would be unknown to the BOUNDS section.
    lines.push(...(columns[index].length > 0 ? columns[index] : [` c${index} obj 0`]));
  });
  mark(false);
  lines.push(
    'RHS',
    ...rows.flatMap(({ rhs }, index) => (rhs === 0 ? [] : [` rhs r${index} ${rhs}`])),
    'BOUNDS',
    ...variables.flatMap(({ lower, upper }, index) => [` LO bnd c${index} ${lower}`, ` UP bnd c${index} ${upper}`]),
    'ENDATA',
  );
  return `${lines.join('\n')}\n`;
}

const oneLine = (text: string): string => text.replace(/\s+/g, ' ');
