/**
 * Numbers, bars, tables and whole reports, from results made by hand: what a reader is told.
 */
import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { shareBar, stackedBar } from '../../src/report/bars.js';
import { billOf } from '../../src/report/bill.js';
import { Canvas, toAscii, type Style } from '../../src/report/canvas.js';
import { designJson, promiseJson } from '../../src/report/design-json.js';
import { designText, verdictText } from '../../src/report/design-text.js';
import { reasonText, remedyLines } from '../../src/report/reason-text.js';
import { mostFillJson, mostFillLines } from '../../src/report/most-fill.js';
import { plainInks, terminalInks } from '../../src/report/ink.js';
import { percent, perTickText, secondsText } from '../../src/report/numbers.js';
import { tabulate, wrap } from '../../src/report/table.js';
import { trainLines } from '../../src/report/train-text.js';
import { trialJson } from '../../src/report/trial-json.js';
import { trialText } from '../../src/report/trial-text.js';
import type { LaneTrial, TrialResult } from '../../src/simulation/trial-result.js';
import type { GreatestFill } from '../../src/synthesis/choices/staircase-outcome.js';
import type { Conflict, DesignOutcome, DesignProof, InfeasibleReason, Remedy } from '../../src/synthesis/outcome.js';
import type { TrainFormula } from '../../src/ranking/train-formula.js';
import { parsePromise } from '../../src/ranking/parse-promise.js';
import { breachesOf } from '../../src/ranking/promise.js';
import { breachText } from '../../src/report/breach-words.js';
import { briefOf, planOf, SEED } from '../documents.js';

const PLAIN: Style = { ink: plainInks, ascii: false };
const NARROW: Style = { ...PLAIN, columns: 80 };
const ASCII: Style = { ink: plainInks, ascii: true };
const BINS = planOf('models/plans/grain-two-bins.json');

const lane = (flow: Rational, largestGap?: number): LaneTrial => ({ flow, fill: flow.mul(ratio(5)), largestGap });

const TRIAL: TrialResult = {
  exact: true,
  transientTicks: 121,
  periodTicks: 300,
  worstStart: 4,
  starts: 17,
  cost: 76,
  parts: 13,
  footprint: 40,
  splitters: 0,
  depth: 8,
  width: 5,
  imbalance: ratio(1, 10),
  exits: [
    { at: { x: 2, y: 7 }, heading: 'S', flow: ratio(3, 10), fill: ratio(3, 4), left: lane(ratio(1, 5), 60), right: lane(ratio(1, 10), 130) },
  ],
  arms: [
    { at: { x: 0, y: 0 }, flow: ratio(8, 25), cycleTicks: ratio(25), share: { moving: ONE, blocked: ZERO, starved: ZERO } },
    { at: { x: 1, y: 1 }, flow: ratio(2, 15), cycleTicks: undefined, share: { moving: ratio(1, 2), blocked: ratio(3, 8), starved: ratio(1, 8) } },
  ],
  chests: [
    { at: { x: 0, y: 1 }, outflow: ratio(2, 15), supply: ratio(8, 25), keepsUp: true },
    { at: { x: 4, y: 1 }, outflow: ratio(2, 5), supply: ratio(8, 25), keepsUp: false },
  ],
};

describe('numbers', () => {
  it.each([
    [ONE, '100.0 %'],
    [ratio(9999, 10_000), '99.9 %'],
    [ratio(10_001, 10_000), '100.1 %'],
    [ZERO, '0.0 %'],
    [ratio(1, 100_000), '0.1 %'],
    [ratio(973, 1000), '97.3 %'],
  ])('percent never rounds to a lie: %s', (share, expected) => {
    expect(percent(share)).toBe(expected);
  });

  it('shows a rate as a fraction while that can be read', () => {
    expect(perTickText(ratio(3, 5))).toBe('3/5');
    expect(perTickText(ratio(123_456_789, 987_654_321_123))).toBe('0.000125');
  });

  it.each([[0.4239, '0.42 s'], [12.34, '12.3 s'], [245, '4 min 05 s'], [7169, '119 min 29 s'], [7170, '2 h 00 min'], [100_000, '27 h 47 min']])('%s seconds', (seconds, expected) => {
    expect(secondsText(seconds)).toBe(expected);
  });
});

describe('bars', () => {
  it('are full for a whole share alone', () => {
    fc.assert(
      fc.property(fc.nat(1000), (thousandths) => {
        const bar = shareBar(ratio(thousandths, 1000), 10, 'good', PLAIN);
        expect(stringWidth(bar)).toBe(12);
        expect(bar.includes('█'.repeat(10))).toBe(thousandths === 1000);
        expect(shareBar(ratio(thousandths, 1000), 10, 'good', ASCII)).toHaveLength(12);
      }),
      { seed: SEED },
    );
  });

  it('stacked ones are as wide as asked and show every share above 0', () => {
    const parts = fc.tuple(fc.nat(40), fc.nat(40), fc.nat(40)).filter((shares) => shares.some((share) => share > 0));
    fc.assert(
      fc.property(parts, (shares) => {
        const whole = shares.reduce((sum, share) => sum + share, 0);
        const bar = stackedBar(
          shares.map((share, index) => ({ share: ratio(share, whole), glyph: 'abc'[index], ink: 'plain' as const })),
          12,
          PLAIN,
        );
        expect(bar).toHaveLength(12);
        shares.forEach((share, index) => {
          expect(bar.includes('abc'[index])).toBe(share > 0);
        });
      }),
      { seed: SEED },
    );
  });
});

describe('tables and sheets', () => {
  it('line up coloured and wide cells', () => {
    const ink = terminalInks(3);
    const lines = tabulate([['a', ink('good', 'bb'), 'c'], ['漢', 'b', 'cc']], ['left', 'right', 'left']);
    expect(lines.map((line) => stringWidth(line))).toEqual([2 + 2 + 2 + 2 + 2 + 1, 2 + 2 + 2 + 2 + 2 + 2]);
  });

  it('wrap at spaces', () => {
    expect(wrap('one two three four', 11)).toEqual(['  one two', '  three', '  four']);
    expect(wrap('tile [1, -5] and [20, 3].', 12)).toEqual(['  tile', '  [1, -5]', '  and', '  [20, 3].']);
  });

  it('cut what falls off', () => {
    const canvas = new Canvas(4, 1);
    canvas.put(-1, 0, 'abc', 'plain');
    canvas.put(3, 0, 'xyz', 'plain');
    canvas.put(0, 5, 'q', 'plain');
    expect(canvas.lines(PLAIN)).toEqual(['bc x']);
  });

  it('have an ASCII stand-in for what they draw, and "?" for the rest', () => {
    expect(toAscii('┏▼◦█╌✓…漢')).toBe('+vo#~+...?');
  });

  it('colour nothing at level 0', () => {
    expect(terminalInks(0)('bad', 'x')).toBe('x');
    expect(terminalInks(1)('bad', 'x')).not.toBe('x');
  });
});

describe('bill of materials', () => {
  it('sums pieces and cost by model, an underpass counting two', () => {
    expect(billOf(planOf('models/plans/grain-two-exits.json'))).toEqual([
      { kind: 'arm', model: 'bay arm', count: 4, cost: 52 },
      { kind: 'chest', model: 'grain bin', count: 2, cost: 10 },
      { kind: 'belt', model: 'field belt', count: 6, cost: 12 },
      { kind: 'splitter', model: 'field splitter', count: 1, cost: 11 },
      { kind: 'underpass', model: 'field underpass', count: 2, cost: 8 },
    ]);
  });
});

describe('trial report', () => {
  const text = trialText({ layout: BINS, trial: TRIAL }, PLAIN).join('\n');

  it('says of arms between wagons and chests, which never wait in a steady run, what their figures are worth', () => {
    const note = 'Arms between wagons and chests are told as if no chest were ever full or empty';
    expect(text).toContain(note);
    const direct = planOf('models/plans/grain-direct-tee.json');
    expect(trialText({ layout: direct, trial: { ...TRIAL, chests: [] } }, PLAIN).join('\n')).not.toContain(note);
  });

  it('tells flow, fill, gaps, time shares and supply', () => {
    for (const words of [
      'Worst of 17 starts: staggered start 4. Exact: the station repeats every 300 ticks, from tick 121 on.',
      '15.00/s',
      '3/10',
      '60 units, no hole',
      '130 units, 2.17 pitches',
      '37.5 %',
      'keeps up',
      'runs dry',
      'Drain imbalance: 1/10',
      'cost 76, 13 parts, footprint 40 tiles',
    ]) {
      expect(text).toContain(words);
    }
  });

  it('never says exact of a run that did not repeat', () => {
    const narrow = trialText({ layout: BINS, trial: TRIAL }, NARROW);
    expect(Math.max(...narrow.map((line) => stringWidth(line)))).toBeLessThanOrEqual(80);
    for (const words of ['2.17 pitches', 'no hole', '✗ runs dry', '█ moving']) expect(narrow.join('\n')).toContain(words);
    const unproven = trialText({ layout: BINS, trial: { ...TRIAL, exact: false } }, PLAIN).join('\n');
    expect(unproven).toContain('Unproven');
    expect(unproven).not.toMatch(/\bExact\b/);
  });

  it('is ASCII when asked, and at most 110 columns wide', () => {
    const lines = trialText({ layout: BINS, trial: TRIAL }, ASCII);
    expect(lines.filter((line) => !/^[ -~]*$/.test(line))).toEqual([]);
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(110);
  });

  it('has the documented JSON, without undefined fields', () => {
    const counts = {
      exits: [{ at: { x: 2, y: 7 }, heading: 'S' as const, left: 3, right: 4 }],
      chests: [{ at: { x: 0, y: 1 }, taken: 9 }],
      wagons: [{ at: 0, taken: 40 }],
    };
    const json = JSON.parse(JSON.stringify(trialJson(TRIAL, 50, counts))) as unknown;
    expect(json).toMatchObject({
      exact: true,
      transientTicks: 121,
      periodTicks: 300,
      exits: [{ at: [2, 7], flow: '3/10', perSecond: 15, fill: '3/4', left: { flow: '1/5', fill: '1' }, counts: { left: 3, right: 4 } }],
      arms: [{ at: [0, 0], flow: '8/25', cycleTicks: '25', share: { moving: '1', blocked: '0', starved: '0' } }, { at: [1, 1] }],
      chests: [{ at: [0, 1], outflow: '2/15', taken: 9 }, { at: [4, 1], keepsUp: false }],
      wagons: [{ at: 0, taken: 40 }],
      cost: 76,
      parts: 13,
      footprint: 40,
      splitters: 0,
      depth: 8,
      width: 5,
      fill: '3/4',
      imbalance: '1/10',
    });
    expect(json).not.toHaveProperty('arms.1.cycleTicks');
  });
});

describe('trains that are filled', () => {
  const formula: TrainFormula = { fills: true, load: 1500, drains: [], headwayTicks: ratio(3750), trainsPerHour: ratio(48), dwellTicks: ratio(3750), slowest: undefined };

  it('are so many at most where one wagon gets all', () => {
    expect(trainLines(BINS, formula, PLAIN).join(' ').replace(/\s+/g, ' ')).toContain('(75.0 s): at most 48 trains an hour. Where');
  });

  it('may be more where one wagon is full before another', () => {
    const two: Layout = { ...BINS, wagons: [...BINS.wagons, { ...BINS.wagons[0], at: 7 }] };
    expect(trainLines(two, formula, PLAIN).join(' ').replace(/\s+/g, ' ')).toContain('(75.0 s): 48 trains an hour, or more if others get what a wagon that is full leaves. Where');
  });
});

describe('design report', () => {
  const brief = briefOf('models/briefs/grain-060.json');
  const proof: DesignProof = {
    bound: 70,
    cost: 76,
    gap: ratio(6, 76),
    space: 'all plans of the brief',
    solver: 'glpk',
    rounds: 1,
    simulations: 214,
    seconds: 0.61,
  };
  const optimal: DesignOutcome = { status: 'optimal', layout: BINS, proof: { ...proof, bound: 76, gap: ZERO } };
  const feasible: DesignOutcome = { status: 'feasible', layout: BINS, stoppedBy: 'time-limit', proof };
  const unknown: DesignOutcome = { status: 'unknown', stoppedBy: 'interrupt', proof: { ...proof, cost: undefined, gap: undefined } };

  it('claims no more than is proven', () => {
    expect(verdictText(optimal, 'cost', 50)).toBe('cost 76; no station in the searched space meets the brief with less.');
    expect(verdictText(feasible, 'cost', 50)).toBe(
      'a station of cost 76 meets the brief, but a better one may exist: the time limit came before the proof.' +
        ' Any station needs a cost of at least 70 (gap 7.9 %).',
    );
    expect(verdictText(unknown, 'parts', 50)).toContain('at least 70 parts');
    expect(designText({ brief, outcome: unknown, trial: undefined }, PLAIN).join('\n')).toMatch(/^Unknown/m);
  });

  it('of the greatest fill known, the least cost may be known where more fill is not ruled out', () => {
    const best = { brief, outcome: feasible, above: ratio(3, 5), upTo: ratio(4, 5), cost: 76, bound: 76, proven: false } as const;
    const greatest: GreatestFill = { asked: ratio(3, 5), best, end: { kind: 'open', bound: 76, stoppedBy: 'time-limit' } };
    expect(mostFillLines(greatest, PLAIN).join(' ')).toContain('Here the cheapest station that gives it costs 76.');
    expect(mostFillJson(greatest)).toMatchObject({ fill: '4/5', proven: false, cheapestProven: true });
    const dearer = { ...greatest, best: { ...best, bound: 70 } };
    expect(mostFillLines(dearer, PLAIN).join(' ')).toContain('Here a station that gives it costs 76, one at least 70.');
    expect(mostFillJson(dearer)).toMatchObject({ cheapestProven: false });
  });

  it('shows verdict, proof, picture, bill and flow', () => {
    const text = designText({ brief, outcome: optimal, trial: TRIAL }, PLAIN).join('\n');
    for (const words of ['Optimal: cost 76', 'lower bound 76, found 76, gap 0', '1 round, 214 simulations, 0.61 s', '▗▄▄▄▖', 'bay arm', 'Flow']) {
      expect(text).toContain(words);
    }
  });

  it.each(['time-limit', 'interrupt', 'solver', 'simulation'] as const)('says what stopped an unknown answer: %s', (stoppedBy) => {
    const words = { 'time-limit': 'time limit', interrupt: 'ended from outside', solver: 'solver', simulation: 'limit of ticks' };
    const text = verdictText({ ...unknown, stoppedBy }, 'cost', 50);
    expect(text).toContain(words[stoppedBy]);
    expect(text).toMatch(/a cost of at least 70\.$/);
    const json = designJson({ brief, outcome: { ...unknown, stoppedBy }, trial: undefined }, undefined);
    expect(json).toMatchObject({ status: 'unknown', stoppedBy, reason: text });
  });

  const remedies: readonly Remedy[] = [
    { changes: [{ kind: 'limit', limit: 'arms', to: 4 }], least: true, cost: 70 },
    { changes: [{ kind: 'limit', limit: 'cost', to: 80 }, { kind: 'imbalance', to: ratio(1, 10) }], least: false, cost: 80 },
    { changes: [{ kind: 'dwell', to: ratio(9375, 4) }], least: false, cost: 60 },
    { changes: [{ kind: 'trainsPerHour', to: ratio(15, 2) }], least: false, cost: 60 },
    { changes: [{ kind: 'target', share: ratio(3, 4) }], least: true, cost: 60 },
    { changes: [{ kind: 'site', side: 'depth', to: brief.site.depth + 1 }], least: true, cost: 60 },
    { changes: [{ kind: 'site', side: 'width', to: brief.site.width + 2 }], least: true, cost: 60 },
    { changes: [{ kind: 'exit-range', exit: 0, from: 0, to: 3 }], least: true, cost: 60 },
    { changes: [{ kind: 'keep-out', box: { x: 1, y: 2, width: 3, height: 4 } }], least: true, cost: 60 },
    { changes: [{ kind: 'presence', to: ratio(1, 2) }], least: true, cost: 60 },
    { changes: [{ kind: 'wagon-length', wagon: 0, to: 7 }], least: true, cost: 60 },
    { changes: [{ kind: 'feed', to: 'either' }], least: true, cost: 60 },
    { changes: [{ kind: 'spotting', to: 0 }], least: true, cost: 60 },
  ];
  const conflicts: readonly Conflict[] = [
    { kind: 'limit-too-low', limit: 'arms', allowed: 3, needed: 4 },
    { kind: 'too-uneven', allowed: ratio(1, 20) },
    { kind: 'dwell-too-short', allowed: ratio(3000) },
    { kind: 'too-few-trains', asked: ratio(12) },
    { kind: 'limits-together', limits: ['cost', 'arms', 'imbalance', 'dwell', 'trainsPerHour'] },
    { kind: 'arms-too-slow', most: ratio(1, 5), target: ratio(2, 5) },
    { kind: 'supply-too-low', most: ratio(1, 5), target: ratio(2, 5) },
    { kind: 'spotting-too-far', way: 'out-of', spotting: 3, most: ratio(1, 5), target: ratio(2, 5) },
    { kind: 'spotting-too-far', way: 'into', spotting: 3, most: ratio(1, 5), target: ratio(2, 5) },
    { kind: 'target-too-high', reached: ratio(4, 5), tooMuch: ratio(17, 20) },
    { kind: 'site-too-small' },
    { kind: 'space-exhausted' },
  ];

  it.each(conflicts.map((conflict) => [conflict.kind, conflict]))('words the reason %s in a sentence', (_, conflict) => {
    const reason = { ...conflict, nearest: remedies, looked: 'partly' } as const;
    expect(reasonText(conflict, 50)).toMatch(/^[A-Z].*\.$/);
    const json = designJson({ brief, outcome: { status: 'infeasible', reason, proof }, trial: undefined }, undefined);
    expect(json).toMatchObject({ status: 'infeasible', reason: reasonText(conflict, 50), conflict: conflict.kind, remediesComplete: false });
    expect(json).not.toHaveProperty('plan');
    expect(JSON.parse(JSON.stringify(json))).toMatchObject({
      remedies: remedies.map(({ least, cost }) => ({ least, cost, sentence: expect.stringMatching(/^[A-Z].*\.$/) as unknown })),
    });
  });

  it('lists what would help, and says when the time was up or nothing helps', () => {
    const reason = (nearest: readonly Remedy[], looked: InfeasibleReason['looked']): InfeasibleReason => ({ kind: 'site-too-small', nearest, looked });
    const listed = remedyLines(reason(remedies, 'partly'), brief);
    expect(listed.filter((line) => line.startsWith('  - '))).toHaveLength(remedies.length);
    expect(listed.join('\n')).toContain('  - add 1 row (depth 9): a station of cost 60 is found');
    expect(listed.join(' ')).toContain('allow a cost of 80 and allow an imbalance of 1/10 (10.0 %)');
    expect(listed.at(-1)).toContain('time was up');
    expect(remedyLines(reason([], 'partly'), brief)).toEqual(['No nearby change was found within the time.']);
    expect(remedyLines(reason([], 'wholly'), brief)).toEqual(['None of the nearby changes that were tried helps.']);
    expect(remedyLines(reason([], 'not'), brief)).toEqual([]);
  });

  it('promises what a trial can check, and no durations', () => {
    const exits = TRIAL.exits.map(({ at, heading, flow, left, right }) => ({ at, heading, flow, left: left.flow, right: right.flow }));
    const least = { exits, together: ratio(3, 10) };
    const terms = { status: 'optimal', proof: optimal.proof, seed: 1, cost: 76 } as const;
    const result = promiseJson(brief, least, terms);
    expect(result).not.toHaveProperty('together');
    expect(JSON.stringify(result)).not.toContain('seconds');
    const promise = parsePromise({ result });
    if (!promise.ok || promise.value === undefined) throw new Error('a written promise is read back');
    const kept = { ...TRIAL, chests: [] };
    expect(breachesOf(promise.value, least, kept)).toEqual([]);
    const less = exits.map((exit) => ({ ...exit, left: ratio(1, 6), flow: ratio(4, 15) }));
    const summed = parsePromise({ result: promiseJson({ ...brief, together: ratio(1, 4) }, least, terms) });
    if (!summed.ok || summed.value === undefined) throw new Error('a written promise is read back');
    expect(summed.value.together?.equals(least.together)).toBe(true);
    expect(breachesOf(summed.value, least, kept)).toEqual([]);
    const breaches = breachesOf(summed.value, { exits: less, together: ratio(4, 15) }, { exact: false, cost: 77, chests: TRIAL.chests });
    expect(breaches.map((breach) => breach.kind)).toEqual(['flow-below', 'flow-below', 'sum-below', 'cost-differs', 'chest-runs-dry', 'unproven']);
    expect(breachesOf(promise.value, { ...least, together: ZERO }, kept)).toEqual([]);
    expect(breachesOf(promise.value, { ...least, exits: [] }, kept).map((breach) => breach.kind)).toEqual(['exit-missing']);
    for (const breach of breaches) expect(breachText(breach, 50)).toMatch(/^[A-Z].*\.$/);
  });
});

describe('several exits', () => {
  const [one] = TRIAL.exits;
  const two: TrialResult = { ...TRIAL, exits: [one, { ...one, at: { x: 3, y: 7 }, flow: ratio(1, 10) }] };

  it('are added up, as a share of what their belts carry', () => {
    // 3/10 + 1/10 of two field belts, each of which carries 2 * 12 / 60.
    const lines = trialText({ layout: planOf('models/plans/grain-two-exits.json'), trial: two }, PLAIN);
    expect(lines.find((line) => line.includes('all exits'))).toMatch(/together\s+20\.00\/s\s+2\/5 .*50\.0 %$/);
    expect(trialText({ layout: BINS, trial: TRIAL }, PLAIN).join()).not.toContain('all exits');
    expect(trialJson(two, 50)).toMatchObject({ together: { flow: '2/5', perSecond: 20 } });
    expect(trialJson(TRIAL, 50)).not.toHaveProperty('together');
  });
});

describe('promises', () => {
  it('are absent without a result, and every flaw of one is named', () => {
    expect(parsePromise({ parts: [] })).toEqual({ ok: true, value: undefined, warnings: [] });
    const flawed = parsePromise({ result: { exits: [{ at: [0], heading: 'Q', flow: 1, left: '1/0', right: '1/4' }], cost: -1, starts: 1.5 } });
    expect(flawed.ok ? [] : flawed.findings.map((finding) => finding.pointer)).toEqual([
      '/result/exits/0/at',
      '/result/exits/0/heading',
      '/result/exits/0/flow',
      '/result/exits/0/left',
      '/result/cost',
      '/result/starts',
    ]);
  });

  it('go no further than what a brief may ask for, and name whole tiles', () => {
    const flawsOf = (change: object): readonly string[] => {
      const parsed = parsePromise({ result: { cost: 1, exits: [], ...change } });
      return parsed.ok ? [] : parsed.findings.map(({ pointer, values }) => `${pointer} ${values?.['what']}`);
    };
    expect(flawsOf({ starts: 10_000, spotting: 50, presence: '1', wagons: [] })).toEqual([]);
    expect(flawsOf({ starts: 10_001 })).toEqual(['/result/starts a whole number from 0 to 10000']);
    expect(flawsOf({ spotting: 51 })).toEqual(['/result/spotting a whole number from 0 to 50']);
    for (const presence of ['0', '5/4', '-1', 1]) expect(flawsOf({ presence })).toEqual(['/result/presence a share above 0 and up to 1, such as "9/10",']);
    expect(flawsOf({ exits: {}, wagons: 3 })).toEqual(['/result/exits a list', '/result/wagons a list']);
    expect(flawsOf({ exits: [{ at: [0.5, 1], heading: 'S', flow: '1', left: '1', right: '1' }] })).toEqual(['/result/exits/0/at a tile, [x, y]']);
  });
});
