/**
 * What integer programs alone say of a brief, without any search: how much the arms that fit on a site can
 * do at most, limits and carriers apart (bring into chests, or put onto carriers), and the least that any
 * layout costs or has. Each is a relaxation, so a brief that asks for more, or allows less, has no layout.
 * The program of bills is in `bill-program.ts`, where the parts of a bill stand in `stand-program.ts`.
 */
import { ratio, type Rational } from '../../base/rational.js';
import type { Brief } from '../../brief/brief.js';
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../program/program.js';
import type { IntegerSolver } from '../../program/solver.js';
import { billProgram, one, scaledRates, type ScaledRates } from './bill-program.js';
import { candidates, type Candidates } from '../site/candidates.js';
import { siteMap, type Price, type SiteMap } from '../site/site-map.js';
import { mostTakenWherever } from './spotted-supply.js';

export type Capacity = 'supply' | 'delivery';

function capacityProgram(spots: Candidates, rates: ScaledRates, of: Capacity): Program {
  const build = new ProgramBuilder(`most ${of}`, 'maximise');
  const standing = new Map<number, Term[]>();
  const stand = (tile: number, name: string): VariableId => {
    const id = build.binary(name);
    standing.set(tile, [...(standing.get(tile) ?? []), one(id)]);
    return id;
  };
  const chests = spots.chestTiles.map((tile) => stand(tile, `chest_${tile}`));
  const fills = spots.fills.map(({ tile }, i) => stand(tile, `fill_${i}`));
  const loads = spots.loads.map(({ tile }, i) => stand(tile, `load_${i}`));
  const carriers = new Map([...new Set(spots.loads.map(({ target }) => target))].map((tile) => [tile, stand(tile, `carrier_${tile}`)]));
  for (const terms of standing.values()) build.row(terms, '<=', 1);

  const needs = (arm: VariableId, end: VariableId | undefined): void => {
    if (end !== undefined) build.row([one(arm), [-1, end]], '<=', 0);
  };
  spots.chestTiles.forEach((tile, c) => {
    const filling = spots.fills.flatMap((fill, i) => (fill.chestTile === tile ? [fills[i]] : []));
    const emptying = spots.loads.flatMap((load, i) => (load.chestTile === tile ? [loads[i]] : []));
    for (const arms of [filling, emptying]) {
      build.row([...arms.map(one), [-1, chests[c]]], '>=', 0);
      for (const arm of arms) needs(arm, chests[c]);
    }
  });
  spots.loads.forEach(({ target }, i) => {
    needs(loads[i], carriers.get(target));
  });
  build.objective(
    of === 'supply'
      ? spots.fills.map(({ model }, i): Term => [rates.supply[model], fills[i]])
      : spots.loads.map(({ model }, i): Term => [rates.lane[model] + rates.gain[model], loads[i]]),
  );
  return build.build();
}

/**
 * Items per tick that no layout exceeds; undefined where the solver gave no proven answer in its time.
 * `supply` counts arms from wagons into chests alone.
 */
export function mostCapacity(
  map: SiteMap,
  spots: Candidates,
  of: Capacity,
  solver: IntegerSolver,
  timeLimitSeconds: number,
): Rational | undefined {
  const rates = scaledRates(map);
  const answer = solver.solve(capacityProgram(spots, rates, of), { timeLimitSeconds });
  return answer.status === 'optimal' ? ratio(answer.solution.objective, rates.scale.factor) : undefined;
}

/** Items per tick that no layout takes out of its wagons at every offset at which they may stop. */
export function takenWherever(map: SiteMap, spots: Candidates): Rational {
  const rates = scaledRates(map);
  return ratio(mostTakenWherever(map, spots, rates), rates.scale.factor);
}

/**
 * Cost or part count that no layout of the brief goes below: Infinity if it has none for its rates and
 * limits, undefined where the solver gave no proven answer in its time.
 */
export function leastPrice(brief: Brief, price: Price, solver: IntegerSolver, timeLimitSeconds: number): number | undefined {
  const map = siteMap(brief, price);
  const models = [...map.belts, ...map.splitters, ...map.underpasses, ...map.arms, ...map.chests];
  const dearest = models.reduce((most, { cost }) => Math.max(most, cost), 1);
  const { program } = billProgram(map, candidates(map), [], dearest * map.tiles);
  const answer = solver.solve(program, { timeLimitSeconds });
  if (answer.status === 'infeasible') return Infinity;
  return answer.status === 'optimal' ? answer.solution.objective : undefined;
}
