/**
 * The steps of a machine's tick as flat arrays, in the order of moves, and the splitters that some of them are about.
 */
import { invariant } from '../base/invariant.js';
import { Link, Op, type Machine, type Strand } from './machine.js';
import type { PlannedPiece } from './moves.js';
import { LEFT, RIGHT } from './sides.js';

type SplitterFields = 'splitterIn' | 'splitterOut' | 'splitterFavourIn' | 'splitterFavourOut' | 'toggleIn' | 'toggleOut';

export function splitterTable({ layout, segments, splitterOf }: PlannedPiece): Pick<Machine, SplitterFields> {
  const splitters = splitterOf.size;
  const splitterIn = new Int32Array(splitters * 4);
  const splitterOut = new Int32Array(splitters * 4);
  const splitterFavourIn = new Int32Array(splitters).fill(-1);
  const splitterFavourOut = new Int32Array(splitters).fill(-1);
  for (const segment of segments) {
    if (segment.role === 'whole') continue;
    const splitter = splitterOf.get(segment.carrier.part);
    invariant(splitter !== undefined, 'every splitter has its crossing', { part: segment.carrier.part });
    const half = segment.carrier.side === 'left' ? LEFT : RIGHT;
    const lanesOf = segment.role === 'input' ? splitterIn : splitterOut;
    for (let side = 0; side < 2; side++) lanesOf[splitter * 4 + half * 2 + side] = segment.track * 2 + side;
    const part = layout.parts[segment.carrier.part];
    if (part.kind !== 'splitter') continue;
    if (part.favourIn !== undefined) splitterFavourIn[splitter] = part.favourIn === 'left' ? LEFT : RIGHT;
    if (part.favourOut !== undefined) splitterFavourOut[splitter] = part.favourOut === 'left' ? LEFT : RIGHT;
  }
  const toggles = (): Int32Array => new Int32Array(splitters * 2);
  return { splitterIn, splitterOut, splitterFavourIn, splitterFavourOut, toggleIn: toggles(), toggleOut: toggles() };
}

type Step = readonly [kind: number, first: number, second: number];

const indices = (count: number): Int32Array => Int32Array.from({ length: count }, (_, index) => index);

/** All of a machine as one strand. */
export function wholeStrand(piece: PlannedPiece, lanes: Pick<Machine, 'laneLength' | 'laneLink' | 'laneTo' | 'laneJoin'>, exitPrice: Float64Array): Strand {
  const steps = stepsOf(piece, lanes, exitPrice);
  return {
    opKind: Int32Array.from(steps, ([kind]) => kind),
    opFirst: Int32Array.from(steps, ([, first]) => first),
    opSecond: Int32Array.from(steps, ([, , second]) => second),
    lanes: indices(lanes.laneLength.length),
    turns: indices(piece.splitterOf.size * 2),
    exitLanes: indices(exitPrice.length * 2),
    meters: indices(exitPrice.length).filter((exit) => exitPrice[exit] > 0),
    entries: indices(piece.entries.length),
    arms: indices(piece.arms.length),
  };
}

function stepsOf({ moves, splitterOf }: PlannedPiece, { laneLink, laneTo, laneJoin }: Pick<Machine, 'laneLink' | 'laneTo' | 'laneJoin'>, exitPrice: Float64Array): readonly Step[] {
  const steps: Step[] = [];
  for (const move of moves) {
    if (move.kind === 'enter') {
      steps.push([Op.enter, move.entry, -1]);
      continue;
    }
    if (move.kind === 'cross') {
      const splitter = splitterOf.get(move.part) ?? -1;
      steps.push([Op.cross, splitter * 2 + LEFT, -1], [Op.cross, splitter * 2 + RIGHT, -1]);
      continue;
    }
    const left = move.track * 2;
    const link = laneLink[left];
    if (link === Link.exit && exitPrice[laneTo[left] >> 1] > 0) {
      steps.push([Op.meter, left, left + 1]);
      continue;
    }
    // Of a side belt's lanes the one that joins further downstream moves first.
    const rightFirst = link === Link.tee && laneJoin[left + 1] > laneJoin[left];
    const first = rightFirst ? left + 1 : left;
    steps.push([Op.move, first, -1], [Op.move, left + (left + 1) - first, -1]);
  }
  return steps;
}
