/**
 * The second integer program: where the chests, arms and splitters of a bill stand, so that every arm has
 * its two ends, nothing overlaps, and the rate model allows the target. A bill that has no such placement
 * has no layout. The placement found is where the search begins; it then goes through all others.
 */
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../program/program.js';
import type { Bill } from '../site/bill.js';
import { one, scaledRates } from './bill-program.js';
import type { Candidates } from '../site/candidates.js';
import type { Crew, CrewArm } from '../site/crew.js';
import { scaledTotal, type SiteMap } from '../site/site-map.js';

interface StandProgram {
  readonly program: Program;
  readonly chests: readonly VariableId[];
  readonly fills: readonly VariableId[];
  readonly loads: readonly VariableId[];
}

export function standProgram(map: SiteMap, spots: Candidates, bill: Bill): StandProgram {
  const build = new ProgramBuilder('where parts stand', 'minimise');
  const rates = scaledRates(map);
  const splitterTotal = bill.splitters.reduce((sum, n) => sum + n, 0);

  const chests = spots.chestTiles.map((tile) => build.binary(`chest_${tile}`));
  const fills = spots.fills.map((fill) => build.binary(`fill_${fill.tile}_${fill.model}_${fill.chestTile}`));
  const loads = spots.loads.map((load) => build.binary(`load_${load.tile}_${load.model}_${load.heading}_${load.chestTile}`));
  const targets = [...new Set(spots.loads.map((load) => load.target))].sort((a, b) => a - b);
  const carrierOn = new Map(targets.map((tile) => [tile, build.binary(`carrier_${tile}`)] as const));
  build.row(chests.map(one), '=', bill.chests);
  map.arms.forEach((_, m) => {
    build.row(spots.fills.flatMap((fill, i) => (fill.model === m ? [one(fills[i])] : [])), '=', bill.fills[m]);
    build.row(spots.loads.flatMap((load, i) => (load.model === m ? [one(loads[i])] : [])), '=', bill.loads[m]);
  });

  // One thing on a tile.
  const standing = new Map<number, Term[]>();
  const stand = (tile: number, id: VariableId): void => {
    standing.set(tile, [...(standing.get(tile) ?? []), one(id)]);
  };
  spots.chestTiles.forEach((tile, i) => {
    stand(tile, chests[i]);
  });
  spots.fills.forEach((fill, i) => {
    stand(fill.tile, fills[i]);
  });
  spots.loads.forEach((load, i) => {
    stand(load.tile, loads[i]);
  });
  for (const [tile, id] of carrierOn) stand(tile, id);
  for (const terms of standing.values()) if (terms.length > 1) build.row(terms, '<=', 1);

  // Every arm between its two ends, every chest filled and emptied.
  spots.chestTiles.forEach((tile, c) => {
    const filling = spots.fills.flatMap((fill, i) => (fill.chestTile === tile ? [fills[i]] : []));
    const emptying = spots.loads.flatMap((load, i) => (load.chestTile === tile ? [loads[i]] : []));
    build.row([...filling.map(one), [-1, chests[c]]], '>=', 0);
    build.row([...emptying.map(one), [-1, chests[c]]], '>=', 0);
    for (const arm of [...filling, ...emptying]) build.row([one(arm), [-1, chests[c]]], '<=', 0);
  });
  spots.loads.forEach((load, i) => {
    const carrier = carrierOn.get(load.target);
    if (carrier !== undefined) build.row([one(loads[i]), [-1, carrier]], '<=', 0);
  });

  // Rates, chest by chest; an arm gains at a dividing line only where a splitter half stands on its drop tile.
  const gains = splitterTotal > 0 && rates.gain.some((gain) => gain > 0);
  const halfOn = gains ? new Map(targets.map((tile) => [tile, build.binary(`half_${tile}`)] as const)) : undefined;
  const atLine = gains ? spots.loads.map((_, i) => build.binary(`line_${i}`)) : undefined;
  if (halfOn !== undefined && atLine !== undefined) {
    build.row([...halfOn.values()].map(one), '<=', 2 * splitterTotal);
    for (const [tile, half] of halfOn) {
      const carrier = carrierOn.get(tile);
      if (carrier !== undefined) build.row([one(half), [-1, carrier]], '<=', 0);
    }
    spots.loads.forEach((load, i) => {
      const half = halfOn.get(load.target);
      build.row([one(atLine[i]), [-1, loads[i]]], '<=', 0);
      if (half !== undefined) build.row([one(atLine[i]), [-1, half]], '<=', 0);
    });
  }
  const given = (i: number): readonly Term[] => {
    const { model } = spots.loads[i];
    const atLane: Term = [rates.lane[model], loads[i]];
    return atLine === undefined ? [atLane] : [atLane, [rates.gain[model], atLine[i]]];
  };
  const mostFlow = rates.exitLane.reduce((sum, lane) => sum + 2 * lane, 0);
  const drawn: Term[] = [];
  spots.chestTiles.forEach((tile) => {
    const outflow = build.continuous(`outflow_${tile}`, 0, mostFlow);
    build.row(
      [...spots.fills.flatMap((fill, i): Term[] => (fill.chestTile === tile ? [[rates.supply[fill.model], fills[i]]] : [])), [-1, outflow]],
      '>=',
      0,
    );
    build.row([...spots.loads.flatMap((load, i) => (load.chestTile === tile ? given(i) : [])), [-1, outflow]], '>=', 0);
    drawn.push(one(outflow));
  });
  spots.loads.forEach((load, i) => {
    if (load.chestTile < 0) drawn.push(...given(i));
  });
  build.row(drawn, '>=', scaledTotal(map.brief, rates.scale));
  return { program: build.build(), chests, fills, loads };
}

/** The crew that a solution stands for. */
export function readCrew(from: StandProgram, spots: Candidates, values: readonly number[]): Crew {
  const tiles = spots.chestTiles.filter((_, c) => values[from.chests[c]] === 1);
  const chestAt = (tile: number): number => tiles.indexOf(tile);
  const fills = spots.fills.flatMap((fill, i): CrewArm[] =>
    values[from.fills[i]] === 1
      ? [{ tile: fill.tile, heading: fill.heading, model: fill.model, role: 'fill', chest: chestAt(fill.chestTile), target: fill.chestTile }]
      : [],
  );
  const loads = spots.loads.flatMap((load, i): CrewArm[] =>
    values[from.loads[i]] === 1
      ? [{ tile: load.tile, heading: load.heading, model: load.model, role: 'load', chest: chestAt(load.chestTile), target: load.target }]
      : [],
  );
  return {
    chests: tiles.map((tile) => ({ tile, model: 0 })),
    arms: [...fills, ...loads].sort((a, b) => a.tile - b.tile),
  };
}
