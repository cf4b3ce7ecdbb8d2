/**
 * How much the arms that fit on a site can do at most, limits and carriers apart: bring into chests, or put
 * onto carriers. Two small integer programs over all places where parts may stand; each is a relaxation, so
 * a brief that asks for more has no layout. Where the parts of a bill stand is in `stand-program.ts`.
 */
import { ratio, type Rational } from '../base/rational.js';
import { ProgramBuilder, type Program, type Term, type VariableId } from '../program/program.js';
import type { IntegerSolver } from '../program/solver.js';
import { one, scaledRates, type ScaledRates } from './bill-program.js';
import type { Candidates } from './candidates.js';
import type { SiteMap } from './site-map.js';

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
