/**
 * Port of GLPK 5.0 (package glpk.js, its synchronous Node entry). The package reads models as
 * objects with named columns; names here are made up by index, so none can collide.
 * Rules of use, each found by measurement: the presolver stays on for integer programs (off, it
 * returns zeros), and "undefined" at the time limit is not a solution.
 */
import loadGlpkPackage, { type GLPK, type LP } from 'glpk.js/node';
import { checkSolution } from './check-solution.js';
import type { Program, Relation, Term } from './program.js';
import { describeThrown, fault, verified, type IntegerSolver, type SolverClaim, type SolverLimits } from './solver.js';

/** Loads one instance of the WebAssembly module; reuse it, it stays small over many thousand solves. */
export async function loadGlpkSolver(): Promise<IntegerSolver> {
  const glpk = await loadSilently();
  // A thrown WebAssembly fault leaves the module's memory in an unknown state.
  let broken: string | undefined;
  return {
    name: 'glpk',
    solve(program, limits) {
      // GLPK aborts on a model without columns.
      if (program.variables.length === 0) {
        const claimed: SolverClaim = checkSolution(program, []).ok
          ? { status: 'optimal', values: [] }
          : { status: 'infeasible' };
        return verified(program, claimed);
      }
      if (broken !== undefined) return fault(`GLPK failed before: ${broken}`);
      try {
        return verified(program, claim(glpk, program, limits));
      } catch (thrown) {
        broken = describeThrown(thrown);
        return fault(broken);
      }
    },
  };
}

let lastLoad: Promise<unknown> = Promise.resolve();

/**
 * GLPK writes to whatever `console.log` and `console.error` are while its module is being set up, and
 * takes no other terminal. Stand-ins at that time, which fall silent once it is loaded, keep its
 * messages (it prints one before it aborts) off stdout for good. Loads follow each other, so that no
 * load takes another's stand-in for the console.
 */
function loadSilently(): Promise<GLPK> {
  const load = lastLoad.then(async () => {
    /* eslint-disable no-console -- the console is not written to, but kept from being written to */
    const { log, error } = console;
    let loaded = false;
    const standInLog = (...parts: readonly unknown[]): void => void (loaded || log(...parts));
    const standInError = (...parts: readonly unknown[]): void => void (loaded || error(...parts));
    console.log = standInLog;
    console.error = standInError;
    try {
      return await loadGlpkPackage();
    } finally {
      loaded = true;
      if (console.log === standInLog) console.log = log;
      if (console.error === standInError) console.error = error;
    }
    /* eslint-enable no-console */
  });
  lastLoad = load.catch(() => {});
  return load;
}

const columnName = (index: number): string => `c${index}`;
const columns = (terms: readonly Term[]): { name: string; coef: number }[] =>
  terms.map(([coef, variable]) => ({ name: columnName(variable), coef }));

function model(glpk: GLPK, program: Program): LP {
  const rowTypes: Readonly<Record<Relation, number>> = { '<=': glpk.GLP_UP, '>=': glpk.GLP_LO, '=': glpk.GLP_FX };
  return {
    name: 'program',
    objective: {
      direction: program.sense === 'minimise' ? glpk.GLP_MIN : glpk.GLP_MAX,
      name: 'objective',
      vars: columns(program.objective),
    },
    subjectTo: program.rows.map(({ terms, relation, rhs }, index) => ({
      name: `r${index}`,
      vars: columns(terms),
      bnds: { type: rowTypes[relation], lb: rhs, ub: rhs },
    })),
    bounds: program.variables.map(({ lower, upper }, index) => ({
      name: columnName(index),
      type: lower === upper ? glpk.GLP_FX : glpk.GLP_DB,
      lb: lower,
      ub: upper,
    })),
    generals: program.variables.flatMap(({ kind }, index) => (kind === 'integer' ? [columnName(index)] : [])),
  };
}

function claim(glpk: GLPK, program: Program, limits: SolverLimits): SolverClaim {
  const started = performance.now();
  const { result } = glpk.solve(model(glpk, program), {
    msglev: glpk.GLP_MSG_OFF,
    presol: true,
    mipgap: 0,
    tmlim: Math.max(0, limits.timeLimitSeconds),
  });
  const atLimit = performance.now() - started >= 1000 * limits.timeLimitSeconds;
  const values = (): readonly number[] => program.variables.map((_, index) => result.vars[columnName(index)]);
  switch (result.status) {
    case glpk.GLP_OPT:
      return { status: 'optimal', values: values() };
    case glpk.GLP_FEAS:
      return { status: 'feasible', values: values(), bound: undefined };
    case glpk.GLP_NOFEAS:
      return { status: 'infeasible' };
    default:
      return atLimit ? { status: 'unknown', reason: { kind: 'time-limit' } } : fault(`GLPK status ${result.status}`);
  }
}
