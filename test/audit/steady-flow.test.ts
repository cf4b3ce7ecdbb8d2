/**
 * Flows of a start, network by network, against the whole layout's by the reference simulator and by the fast one; a
 * wrong hint where a state comes back changes nothing; what has no end says so.
 */
import { describe, expect, it } from 'vitest';
import { networksOf } from '../../src/audit/networks.js';
import { chestBalances, flowsFrom, trainPace, type Flows, type Patience, type Start } from '../../src/audit/steady-flow.js';
import { formatRational, ONE } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import type { Layout } from '../../src/layout/layout.js';
import { trainFormula } from '../../src/ranking/train-formula.js';
import { startRecorder } from '../../src/simulation/record-start.js';
import { runTrial } from '../../src/simulation/trial.js';
import { armsInOrder } from '../oracles/compare-places.js';
import { seededPlan } from '../oracles/random-plans.js';
import { SEED } from '../documents.js';
import { arm, belt, chest, exit, layoutOf, wagonModel } from '../simulation/sketch.js';
import { referenceFlow } from '../oracles/reference-flow.js';

const patient: Patience = { mostTicks: 9_000, shouldStop: () => false };

const wagons = [{ model: wagonModel, at: 0 }];

const shown = ({ exits, taken }: Flows): unknown => ({
  exits: exits.map((lanes) => lanes && [formatRational(lanes.left), formatRational(lanes.right)]),
  taken: taken.map((flow) => flow && formatRational(flow)),
});

/** Delays by arm in the order in which the layout lists them, as the reference wants them. */
function wholeFlows(layout: Layout, delays: readonly number[]): unknown {
  const acting = armsInOrder(layout);
  const listed = layout.parts.flatMap((part) => (part.kind === 'arm' ? [part] : []));
  const flow = referenceFlow(layout, 1_500, listed.map((each) => delays[acting.indexOf(each)] ?? 0));
  if (!flow.exact) return undefined;
  return {
    exits: flow.exits.map(({ left, right }) => [formatRational(left.flow), formatRational(right.flow)]),
    taken: acting.map((each) => formatRational(flow.arms[listed.indexOf(each)].flow)),
  };
}

describe('the pace of trains', () => {
  it('is that of the formula that a trial uses', () => {
    let compared = 0;
    let several = 0;
    for (let seed = 1; seed <= 400; seed++) {
      const layout = seededPlan(seed);
      const trial = runTrial(layout, { starts: 0, seed: 1, tickLimit: 4_000, presence: ONE });
      const formula = trainFormula(layout, trial);
      if (!trial.exact || formula === undefined) continue;
      const found = trainPace(layout, flowsFrom(layout, { delays: armsInOrder(layout).map(() => 0) }, patient));
      if (found === undefined) continue;
      compared++;
      if (formula.drains.length > 1) several++;
      expect([found.dwell, found.trainsPerHour].map(formatRational), `seed ${seed}`).toEqual([formula.dwellTicks, formula.trainsPerHour].map(formatRational));
    }
    expect(compared).toBeGreaterThan(20);
    expect(several).toBeGreaterThan(5);
  });
});

describe('flows of a start', () => {
  it('are those of the whole layout, with any hint or none', () => {
    let compared = 0;
    let several = 0;
    for (let seed = 1; seed <= 100; seed++) {
      const layout = seededPlan(seed);
      const draw = seededRandom(seed ^ SEED);
      const delays = armsInOrder(layout).map(() => (seed % 2 === 0 ? draw(20) : 0));
      const expected = wholeFlows(layout, delays);
      if (expected === undefined) continue;
      compared++;
      if (networksOf(layout).filter(({ arms }) => arms.length > 0).length > 1) several++;
      const hints: readonly Start['repeats'][] = [undefined, { after: draw(300), every: [draw(200), 0, 1 + draw(90)] }];
      for (const repeats of hints) {
        expect(shown(flowsFrom(layout, { delays, repeats }, patient)), `seed ${seed}`).toEqual(expected);
      }
    }
    expect(compared).toBeGreaterThan(40);
    expect(several).toBeGreaterThan(10);
  });

  it('are found just where the fast simulator says that its state came back', () => {
    let tried = 0;
    let found = 0;
    for (let seed = 200; seed < 280; seed++) {
      const layout = seededPlan(seed);
      const options = { starts: 2, seed: 5, tickLimit: 1_000 };
      const record = startRecorder(layout, options);
      for (const start of [2, 0]) {
        const { delays, repeats } = record(start);
        const longest = Math.max(0, ...repeats.every);
        const flows = flowsFrom(layout, { delays, repeats }, { ...patient, mostTicks: repeats.after + longest });
        if (repeats.every.length === 0 || !runTrial(layout, { ...options, presence: ONE }).exact) continue;
        tried++;
        if (!flows.exits.includes(undefined)) found++;
      }
    }
    expect(tried).toBeGreaterThan(25);
    // The rest face each other head on (one network here, two pieces there), or the reference still tells clocks apart
    // that have run out.
    expect(found / tried).toBeGreaterThan(0.8);
  });

  it('are not known where time or ticks run out', () => {
    const layout = layoutOf([arm(0, 0, 'S'), ...[0, 1, 2].map((x) => belt(x, 1, 'E'))], [exit(2, 1, 'E')], { wagons });
    const none = { exits: [undefined], taken: [undefined] };
    expect(shown(flowsFrom(layout, { delays: [0] }, { ...patient, mostTicks: 20 }))).toEqual(none);
    expect(shown(flowsFrom(layout, { delays: [0] }, { ...patient, shouldStop: () => true }))).toEqual(none);
    expect(flowsFrom(layout, { delays: [0] }, patient, () => false).exits).toEqual([undefined]);
  });

  it('come to rest where a belt leads nowhere', () => {
    const layout = layoutOf([arm(0, 0, 'S'), belt(0, 1, 'E'), belt(1, 1, 'E')], [], { wagons });
    expect(shown(flowsFrom(layout, { delays: [0] }, { ...patient, mostTicks: 20_000 }))).toEqual({ exits: [], taken: ['0'] });
  });
});

describe('chests', () => {
  it('are drained by the arms that pick from them and filled by those from wagons alone', () => {
    // 12 items in 28 ticks come in; the same arm puts 12 on a belt in 28 + 11 x 4.
    const layout = layoutOf(
      [arm(0, 0, 'S'), chest(0, 1), arm(0, 2, 'S'), belt(0, 3, 'E'), belt(1, 3, 'E')],
      [exit(1, 3, 'E')],
      { wagons },
    );
    const [only] = chestBalances(layout, flowsFrom(layout, { delays: [0, 0] }, patient));
    expect([only.outflow && formatRational(only.outflow), formatRational(only.supply)]).toEqual(['1/6', '3/7']);
    const [unknown] = chestBalances(layout, flowsFrom(layout, { delays: [0, 0] }, { ...patient, mostTicks: 3 }));
    expect(unknown.outflow).toBeUndefined();
  });
});
