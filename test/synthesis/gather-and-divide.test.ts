/**
 * Belts that gather from several wagons and divide to several exits, on sites so small that brute force comes to its
 * end: the designs are as cheap as any, of the shape that the brief calls for, and the reference simulator finds
 * every target met, of each exit, of each lane, and of all exits together.
 */
import { describe, expect, it } from 'vitest';
import { ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import { pickTile, wagonAt, type Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { compareDesign } from '../oracles/compare-designs.js';
import { tinyBrief } from './tiny-briefs.js';
import { referenceFlow } from '../oracles/reference-flow.js';

const over = (edge: string, from: number, to: number, target?: object): object => ({ edge, from, to, belt: 'belt', target });
const [WAGON, CARTS] = [[{ model: 'wagon' }], [{ model: 'cart' }, { model: 'cart' }]];

interface Facts {
  readonly cost: number;
  /** Wagons from which arms lift. */
  readonly wagons: number;
  readonly arms: number;
  readonly splitters: number;
}

type Case = readonly [name: string, size: readonly [width: number, depth: number], facts: Facts, brief: object];

const CASES: readonly Case[] = [
  [
    'one arm, divided by a splitter to two exits over one edge',
    [3, 4],
    { cost: 7, wagons: 1, arms: 1, splitters: 1 },
    { wagons: WAGON, exits: [over('S', 0, 1, { rate: '3/32' }), over('S', 1, 2, { rate: '3/32' })], limits: { arms: 1 } },
  ],
  [
    'one arm, divided by a splitter to the west and the east',
    [3, 3],
    { cost: 10, wagons: 1, arms: 1, splitters: 1 },
    { wagons: WAGON, exits: [over('W', 0, 2, { rate: '3/32' }), over('E', 0, 2, { rate: '3/32' })], limits: { arms: 1 } },
  ],
  [
    'two wagons, gathered on one belt',
    [3, 3],
    { cost: 8, wagons: 2, arms: 2, splitters: 0 },
    { wagons: CARTS, exits: [over('S', 0, 2, { rate: '3/8' })] },
  ],
  [
    'three edges, with targets of belts and of lanes',
    [4, 3],
    { cost: 11, wagons: 1, arms: 3, splitters: 1 },
    {
      wagons: WAGON,
      exits: [over('W', 0, 2, { rate: '3/16' }), over('S', 0, 3, { left: { rate: '3/16' } }), over('E', 0, 2, { right: { rate: '1/8' } })],
    },
  ],
  [
    'three edges, with a target for all of them and one of a lane',
    [3, 3],
    { cost: 12, wagons: 1, arms: 3, splitters: 0 },
    { wagons: WAGON, target: { rate: '5/16' }, exits: [over('W', 0, 2), over('S', 0, 2, { left: { rate: '3/16' } }), over('E', 0, 2)] },
  ],
  [
    'two wagons to two exits, with a target for both',
    [3, 3],
    { cost: 6, wagons: 2, arms: 2, splitters: 0 },
    { wagons: CARTS, target: { rate: '3/8' }, exits: [over('W', 0, 2), over('E', 0, 2)] },
  ],
  [
    'two wagons, gathered, then divided, with own targets and one for both',
    [3, 4],
    { cost: 13, wagons: 2, arms: 2, splitters: 1 },
    { wagons: CARTS, target: { rate: '3/8' }, exits: [over('S', 1, 1, { rate: '1/4' }), over('E', 3, 3, { rate: '1/16' })] },
  ],
];

const partsOf = (layout: Layout, kind: 'arm' | 'splitter'): number => layout.parts.filter((part) => part.kind === kind).length;

function wagonsDrawnFrom(layout: Layout): number {
  const places = layout.parts.flatMap((part) => {
    const wagon = part.kind === 'arm' ? wagonAt(layout.wagons, pickTile(part)) : undefined;
    return wagon === undefined ? [] : [wagon];
  });
  return new Set(places).size;
}

describe('designs that gather and divide', () => {
  it.each(CASES)('%s', async (_, [width, depth], facts, rest) => {
    const brief = tinyBrief({ site: { width, depth }, ...rest });
    const { outcome, compared, difference } = await compareDesign(brief, await loadGlpkSolver(), { mostSteps: 1_000_000 });
    expect([compared, difference]).toEqual([true, undefined]);
    if (outcome.status !== 'optimal') throw new Error(outcome.status);
    const { layout, proof } = outcome;
    const found: Facts = { cost: proof.cost ?? 0, wagons: wagonsDrawnFrom(layout), arms: partsOf(layout, 'arm'), splitters: partsOf(layout, 'splitter') };
    expect(found).toEqual(facts);

    const reference = referenceFlow(layout, 3_000);
    expect(reference.exact).toBe(true);
    const flows = reference.exits.map(({ left, right }) => ({ left: left.flow, right: right.flow, total: left.flow.add(right.flow) }));
    const least = (given: Rational, asked: Rational): void => {
      expect(given.compare(asked)).toBeGreaterThanOrEqual(0);
    };
    brief.exits.forEach(({ target, edge }, exit) => {
      expect(layout.exits[exit].heading).toBe(edge);
      for (const each of ['left', 'right', 'total'] as const) least(flows[exit][each], target[each]);
    });
    least(sumRational(flows.map(({ total }) => total)), brief.together ?? ZERO);
  });

  it('draw from no wagon that they need not: one of two in a row fills the chest of both', async () => {
    const exits = [over('S', 1, 1, { rate: '3/8' })];
    const brief = tinyBrief({ site: { width: 3, depth: 4 }, wagons: CARTS, exits, feed: 'chests', starts: 16 });
    const { outcome, compared, difference } = await compareDesign(brief, await loadGlpkSolver(), { mostSteps: 1_000_000 });
    expect([compared, difference]).toEqual([true, undefined]);
    expect(outcome.status === 'optimal' && [outcome.proof.cost, wagonsDrawnFrom(outcome.layout)]).toEqual([12, 1]);
    // With a wagon there for a third of the time, an arm brings 3/8 of that: both wagons are needed, or there is no station.
    const rare = await compareDesign({ ...brief, presence: ratio(1, 3) }, await loadGlpkSolver(), { mostSteps: 100_000 });
    expect([rare.outcome.status, rare.difference]).toEqual(['infeasible', undefined]);
  });
});
