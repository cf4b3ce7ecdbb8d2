/**
 * Optima printed elsewhere. Values are from memory of the cited sources; each program is small enough
 * to be rebuilt here from its definition.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { jslpSolver } from '../../src/program/jslp-port.js';
import { ProgramBuilder, type Program, type Term, type VariableId } from '../../src/program/program.js';
import type { IntegerSolver } from '../../src/program/solver.js';
import { loadHighsSolver } from '../oracles/highs-solver.js';

const LIMITS = { timeLimitSeconds: 30 };

let glpk: IntegerSolver;
let highs: IntegerSolver;
beforeAll(async () => {
  [glpk, highs] = await Promise.all([loadGlpkSolver(), loadHighsSolver()]);
});

/** Hillier, Lieberman, Introduction to Operations Research: the Wyndor Glass Co. example. */
function wyndorGlass(kind: 'integer' | 'continuous'): Program {
  const builder = new ProgramBuilder('wyndor', 'maximise');
  const doors = builder[kind]('doors', 0, 100);
  const windows = builder[kind]('windows', 0, 100);
  builder.objective([
    [3, doors],
    [5, windows],
  ]);
  builder.row([[1, doors]], '<=', 4, 'plant1');
  builder.row([[2, windows]], '<=', 12, 'plant2');
  builder.row(
    [
      [3, doors],
      [2, windows],
    ],
    '<=',
    18,
    'plant3',
  );
  return builder.build();
}

/** Hillier, Lieberman: the California Manufacturing Co. example (millions). */
function californiaManufacturing(): Program {
  const builder = new ProgramBuilder('california', 'maximise');
  const [factoryLA, factorySF, warehouseLA, warehouseSF] = ['fLA', 'fSF', 'wLA', 'wSF'].map((name) =>
    builder.binary(name),
  );
  builder.objective([
    [9, factoryLA],
    [5, factorySF],
    [6, warehouseLA],
    [4, warehouseSF],
  ]);
  builder.row(
    [
      [6, factoryLA],
      [3, factorySF],
      [5, warehouseLA],
      [2, warehouseSF],
    ],
    '<=',
    10,
  );
  builder.row(
    [
      [1, warehouseLA],
      [1, warehouseSF],
    ],
    '<=',
    1,
  );
  builder.row(
    [
      [1, warehouseLA],
      [-1, factoryLA],
    ],
    '<=',
    0,
  );
  builder.row(
    [
      [1, warehouseSF],
      [-1, factorySF],
    ],
    '<=',
    0,
  );
  return builder.build();
}

type Triple = readonly [number, number, number];

/** The Steiner triple system on three copies of a system's points (the classical product with 3 points). */
function tripled(points: number, triples: readonly Triple[]): readonly Triple[] {
  const at = (point: number, copy: number): number => point + copy * points;
  const found: Triple[] = [];
  for (let point = 0; point < points; point++) found.push([at(point, 0), at(point, 1), at(point, 2)]);
  for (const triple of triples) {
    for (let copy = 0; copy < 3; copy++) {
      found.push([at(triple[0], copy), at(triple[1], copy), at(triple[2], copy)]);
    }
    for (const order of [
      [0, 1, 2],
      [0, 2, 1],
      [1, 0, 2],
      [1, 2, 0],
      [2, 0, 1],
      [2, 1, 0],
    ]) {
      found.push([at(triple[0], order[0]), at(triple[1], order[1]), at(triple[2], order[2])]);
    }
  }
  return found;
}

/** Least set of points that meets every triple: the steinN problems. */
function steinerCover(points: number, triples: readonly Triple[]): Program {
  const builder = new ProgramBuilder(`stein${points}`, 'minimise');
  const chosen = Array.from({ length: points }, (_, point) => builder.binary(`p${point}`));
  builder.objective(chosen.map((variable) => [1, variable]));
  for (const triple of triples) {
    builder.row(
      triple.map((point) => [1, chosen[point]]),
      '>=',
      1,
    );
  }
  return builder.build();
}

const STEINER_9 = tripled(3, [[0, 1, 2]]);
const STEINER_27 = tripled(9, STEINER_9);

/** Most kings on a board of `size` x `size`, none beside another: one on each square of 2 x 2 at most. */
function kings(size: number): Program {
  const builder = new ProgramBuilder('kings', 'maximise');
  const squares = Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => builder.binary(`k${row}_${column}`)),
  );
  builder.objective(squares.flat().map((square) => [1, square]));
  for (let row = 0; row + 1 < size; row++) {
    for (let column = 0; column + 1 < size; column++) {
      const [above, below] = [squares[row], squares[row + 1]];
      const block = [above[column], above[column + 1], below[column], below[column + 1]];
      builder.row(
        block.map((square) => [1, square]),
        '<=',
        1,
      );
    }
  }
  return builder.build();
}

/** Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms: figure 26.1, as a linear program. */
function figure26(): Program {
  const builder = new ProgramBuilder('max-flow', 'maximise');
  const edges: readonly (readonly [from: string, to: string, capacity: number])[] = [
    ['s', 'v1', 16],
    ['s', 'v2', 13],
    ['v2', 'v1', 4],
    ['v1', 'v3', 12],
    ['v3', 'v2', 9],
    ['v2', 'v4', 14],
    ['v4', 'v3', 7],
    ['v3', 't', 20],
    ['v4', 't', 4],
  ];
  const flows: readonly VariableId[] = edges.map(([from, to, capacity]) =>
    builder.continuous(`${from}-${to}`, 0, capacity),
  );
  for (const node of ['v1', 'v2', 'v3', 'v4']) {
    builder.row(
      edges.flatMap(([from, to], index): Term[] =>
        to === node ? [[1, flows[index]]] : from === node ? [[-1, flows[index]]] : [],
      ),
      '=',
      0,
      node,
    );
  }
  builder.objective(edges.flatMap(([from], index): Term[] => (from === 's' ? [[1, flows[index]]] : [])));
  return builder.build();
}

interface Case {
  readonly name: string;
  readonly program: Program;
  readonly optimum: number;
  readonly tooLongFor?: string;
}

describe('published optima', () => {
  it.each<Case>([
    { name: 'Wyndor Glass, whole batches', program: wyndorGlass('integer'), optimum: 36 },
    { name: 'Wyndor Glass', program: wyndorGlass('continuous'), optimum: 36 },
    { name: 'California Manufacturing', program: californiaManufacturing(), optimum: 14 },
    // MIPLIB 3 (Bixby, Ceria, McZeal, Savelsbergh 1998); Fulkerson, Nemhauser, Trotter 1974.
    { name: 'stein9', program: steinerCover(9, STEINER_9), optimum: 5 },
    { name: 'stein27', program: steinerCover(27, STEINER_27), optimum: 18, tooLongFor: 'jslp' },
    // Yaglom and Yaglom, Challenging Mathematical Problems: (8/2)^2.
    { name: 'kings on 8 x 8', program: kings(8), optimum: 16 },
    { name: 'CLRS figure 26.1', program: figure26(), optimum: 23 },
  ])('$name: $optimum', ({ program, optimum, tooLongFor }) => {
    for (const solver of [glpk, jslpSolver, highs].filter(({ name }) => name !== tooLongFor)) {
      const answer = solver.solve(program, LIMITS);
      expect(answer.status === 'optimal' ? answer.solution.objective : answer, solver.name).toBeCloseTo(optimum, 6);
    }
  });

  it('Steiner triple systems hold each pair of points once', () => {
    for (const [points, triples] of [
      [9, STEINER_9],
      [27, STEINER_27],
    ] as const) {
      const pairs = triples.flatMap(([a, b, c]) => [
        [a, b],
        [a, c],
        [b, c],
      ]);
      const distinct = new Set(pairs.map((pair) => pair.toSorted((a, b) => a - b).join(',')));
      expect([pairs.length, distinct.size]).toEqual([(points * (points - 1)) / 2, (points * (points - 1)) / 2]);
    }
  });
});
