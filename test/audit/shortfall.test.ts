/**
 * Flows held against a brief, lane by lane, in sum, and chest by chest.
 */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/audit/shortfall.js';
import type { Flows } from '../../src/audit/steady-flow.js';
import { ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { arm, belt, chest, exit, layoutOf, wagonModel } from '../simulation/sketch.js';
import { loggedBrief } from './logs.js';

/** One chest, filled by one arm at 12 items in 28 ticks, drained by another. */
const layout = layoutOf(
  [arm(0, 0, 'S'), chest(0, 1), arm(0, 2, 'S'), belt(0, 3, 'E'), belt(1, 3, 'E')],
  [exit(1, 3, 'E')],
  { wagons: [{ model: wagonModel, at: 0 }] },
);
const whole = loggedBrief('test/cases/headline-060.json');

const briefWith = (target: { readonly total?: Rational; readonly left?: Rational; readonly right?: Rational }, changes: Partial<Brief> = {}): Brief => ({
  ...whole,
  exits: whole.exits.map((each) => ({ ...each, target: { total: ZERO, left: ZERO, right: ZERO, ...target } })),
  ...changes,
});
const flowing = (left: Rational, right: Rational): Flows => ({ exits: [{ left, right }], entered: [], taken: [ratio(3, 7), left.add(right)] });
const gist = (flows: Flows, brief: Brief): readonly string[] => {
  const { shortfalls, incomplete } = measure(layout, flows, brief, [0]);
  return [...shortfalls.map((each) => (each.kind === 'exit' ? each.lane : each.kind)), ...(incomplete ? ['incomplete'] : [])];
};

describe('flows that are measured', () => {
  const flows = flowing(ratio(1, 10), ratio(2, 10));

  it('fall short on both lanes, on one, or not at all', () => {
    expect(gist(flows, briefWith({ total: ratio(3, 10) }))).toEqual([]);
    expect(gist(flows, briefWith({ total: ratio(301, 1000) }))).toEqual(['both']);
    expect(gist(flows, briefWith({ left: ratio(1, 10), right: ratio(2, 10) }))).toEqual([]);
    expect(gist(flows, briefWith({ left: ratio(11, 100) }))).toEqual(['left']);
    expect(gist(flows, briefWith({ right: ratio(21, 100) }))).toEqual(['right']);
  });

  it('fall short in sum', () => {
    expect(gist(flows, briefWith({}, { together: ratio(3, 10) }))).toEqual([]);
    expect(gist(flows, briefWith({}, { together: ratio(31, 100) }))).toEqual(['sum']);
    // Of one exit of two nothing can be said.
    const [only] = whole.exits;
    expect(gist(flows, { ...briefWith({}, { together: ratio(31, 100) }), exits: [{ ...only, target: { total: ZERO, left: ZERO, right: ZERO } }, only] })).toEqual([]);
  });

  it('drain a chest faster than it is filled while a wagon stands there', () => {
    expect(gist(flows, briefWith({}, { presence: ratio(7, 10) }))).toEqual([]);
    expect(gist(flows, briefWith({}, { presence: ratio(69, 100) }))).toEqual(['chest']);
  });

  it('are incomplete where something is not known', () => {
    expect(gist({ entered: [], exits: [undefined], taken: flows.taken }, briefWith({ total: ratio(1) }))).toEqual(['incomplete']);
    expect(gist({ entered: [], exits: flows.exits, taken: [ratio(3, 7), undefined] }, briefWith({}))).toEqual(['incomplete']);
  });
});
