/**
 * Port of HiGHS (package highs) for tests and the bench only: a third solver to check the product's
 * own two against. Models go in as arrays (its LP text parser misreads constants), are disposed of
 * after each solve, and a proof asks for a relative gap of 0.
 */
import highsPackage, { type Highs } from 'highs';
import type { Program } from '../../src/program/program.js';
import {
  describeThrown,
  fault,
  verified,
  type IntegerSolver,
  type SolverClaim,
  type SolverLimits,
} from '../../src/program/solver.js';

/** The package's types describe its CommonJS build, where the default export lies one level deeper. */
const loadHighsPackage = highsPackage as unknown as typeof highsPackage.default;

export async function loadHighsSolver(): Promise<IntegerSolver> {
  const highs = await loadHighsOnce();
  return {
    name: 'highs',
    solve(program, limits) {
      try {
        return verified(program, claim(highs, program, limits));
      } catch (thrown) {
        return fault(describeThrown(thrown));
      }
    },
  };
}

/** What HiGHS reads and finds in a program's text. */
export async function optimumOfText(format: 'lp' | 'mps', text: string): Promise<number | 'infeasible' | 'other'> {
  const highs = await loadHighsOnce();
  const data = format === 'lp' ? ({ format, data: text } as const) : { format, data: new TextEncoder().encode(text) };
  return highs.withModel(data, (model) => {
    model.options.set({ output_flag: false });
    model.run();
    const status = model.getModelStatus();
    if (status === highs.constants.modelStatus.optimal) return model.getObjectiveValue();
    return status === highs.constants.modelStatus.infeasible ? 'infeasible' : 'other';
  });
}

let loaded: Promise<Highs> | undefined;
const loadHighsOnce = (): Promise<Highs> => (loaded ??= loadHighsPackage({ print: () => {}, printErr: () => {} }));

function modelData(highs: Highs, program: Program) {
  const { integer, continuous } = highs.constants.variableType;
  const { minimize, maximize } = highs.constants.objectiveSense;
  const costs = new Array<number>(program.variables.length).fill(0);
  for (const [coefficient, variable] of program.objective) costs[variable] = coefficient;
  const starts = [0];
  for (const { terms } of program.rows) starts.push(starts[starts.length - 1] + terms.length);
  return {
    numCols: program.variables.length,
    numRows: program.rows.length,
    sense: program.sense === 'minimise' ? minimize : maximize,
    offset: 0,
    colCost: costs,
    colLower: program.variables.map(({ lower }) => lower),
    colUpper: program.variables.map(({ upper }) => upper),
    rowLower: program.rows.map(({ relation, rhs }) => (relation === '<=' ? -highs.infinity : rhs)),
    rowUpper: program.rows.map(({ relation, rhs }) => (relation === '>=' ? highs.infinity : rhs)),
    matrix: {
      format: 'csr' as const,
      numRows: program.rows.length,
      numCols: program.variables.length,
      starts,
      indices: program.rows.flatMap(({ terms }) => terms.map(([, variable]) => variable as number)),
      values: program.rows.flatMap(({ terms }) => terms.map(([coefficient]) => coefficient)),
    },
    integrality: program.variables.map(({ kind }) => (kind === 'integer' ? integer : continuous)),
  };
}

function claim(highs: Highs, program: Program, limits: SolverLimits): SolverClaim {
  const status = highs.constants.modelStatus;
  return highs.withModel(modelData(highs, program), (model): SolverClaim => {
    model.options.set({
      output_flag: false,
      time_limit: limits.timeLimitSeconds,
      mip_rel_gap: 0,
      mip_abs_gap: 0,
      mip_feasibility_tolerance: 1e-7,
    });
    model.run();
    const found = model.getModelStatus();
    if (found === status.infeasible) return { status: 'infeasible' };
    if (found === status.optimal) return { status: 'optimal', values: [...model.getSolution().colValue] };
    if (found !== status.timeLimit) return fault(`HiGHS status ${found}`);
    const values = [...model.getSolution().colValue];
    // 2 is "feasible point" in the HiGHS documentation.
    if (model.info.get('primal_solution_status') !== 2 || values.length !== program.variables.length) {
      return { status: 'unknown', reason: { kind: 'time-limit' } };
    }
    const bound = Number(model.info.get('mip_dual_bound'));
    return { status: 'feasible', values, bound: Number.isFinite(bound) ? bound : undefined };
  });
}
