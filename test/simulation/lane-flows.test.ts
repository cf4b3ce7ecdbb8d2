/**
 * The flow of every lane, against what a trial counts at the exits and against what goes in and comes out.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, sumRational, ZERO, type Rational } from '../../src/base/rational.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { laneFlows, type SegmentFlow } from '../../src/simulation/lane-flows.js';
import { runTrial } from '../../src/simulation/trial.js';
import { planIn, planOf, SEED } from '../documents.js';
import { planDocument, seededPlan } from '../oracles/random-plans.js';

const OPTIONS = { starts: 2, seed: 1, tickLimit: 20_000 };

const total = ({ left, right }: SegmentFlow): Rational => sumRational([left?.flow ?? ZERO, right?.flow ?? ZERO]);

describe('random plans', () => {
  const layouts = Array.from({ length: 60 }, (_, index) => planIn(planDocument(seededPlan(SEED + index))));

  it('carry over their exits what the trial counts there, from the same start', () => {
    let lanes = 0;
    for (const layout of layouts) {
      const trial = runTrial(layout, { ...OPTIONS, presence: ONE });
      const flows = laneFlows(layout, trial.worstStart, OPTIONS);
      if (!trial.exact || !flows.exact) continue;
      const { carriers, arms } = deriveNetwork(layout);
      carriers.forEach(({ next }, index) => {
        // What arms take off the exit's own tile comes onto it and does not leave.
        if (next.kind !== 'exit' || arms.some(({ pick }) => pick.kind === 'carrier' && pick.carrier === index)) return;
        for (const side of ['left', 'right'] as const) {
          const seen = flows.carriers[index].head[side];
          if (seen === undefined) continue;
          expect(seen.flow.toFraction()).toBe(trial.exits[next.exit][side].flow.toFraction());
          if (seen.flow.compare(0) > 0) lanes += 1;
        }
      });
    }
    expect(lanes).toBeGreaterThan(0);
  });

  it('never carry more than they can, and are full only if they carry that', () => {
    let seen = 0;
    for (const layout of layouts) {
      const { arms, carriers } = deriveNetwork(layout);
      const fastest = Math.max(...carriers.map(({ speed }) => speed));
      for (const [index, { tail, head }] of laneFlows(layout, 0, OPTIONS).carriers.entries()) {
        // What an arm takes off a tile makes room for more on it, and what comes from a faster one spends its move there.
        if (carriers[index].speed < fastest) continue;
        if (arms.some(({ pick }) => pick.kind === 'carrier' && pick.carrier === index)) continue;
        for (const lane of [tail.left, tail.right, head.left, head.right]) {
          if (lane === undefined) continue;
          seen += 1;
          expect(lane.fill.compare(1)).toBeLessThanOrEqual(0);
          expect(lane.state === 'full').toBe(lane.fill.equals(1));
          expect(lane.state === 'empty' || lane.state === 'standing').toBe(lane.flow.equals(0));
        }
      }
    }
    expect(seen).toBeGreaterThan(0);
  });

  it('lose nothing between tiles that no arm reaches', () => {
    let joints = 0;
    for (const layout of layouts) {
      const { carriers, arms } = deriveNetwork(layout);
      const { carriers: flows, exact } = laneFlows(layout, 0, OPTIONS);
      if (!exact) continue;
      const reached = new Set(arms.flatMap(({ pick, place }) => [pick, place].flatMap((end) => (end.kind === 'carrier' ? [end.carrier] : []))));
      carriers.forEach((carrier, index) => {
        const feeders = [carrier.behind, carrier.fromLeft, carrier.fromRight].flatMap((feeder) =>
          feeder !== undefined && carriers[feeder].next.kind === 'carrier' && (carriers[feeder].next as { carrier: number }).carrier === index ? [feeder] : [],
        );
        const all = [index, ...feeders];
        if (feeders.length === 0 || all.some((each) => reached.has(each))) return;
        if (all.some((each) => [flows[each].head, flows[each].tail].some(({ left, right }) => left === undefined || right === undefined))) return;
        expect(total(flows[index].tail).toFraction()).toBe(sumRational(feeders.map((feeder) => total(flows[feeder].head))).toFraction());
        joints += 1;
      });
    }
    expect(joints).toBeGreaterThan(0);
  });
});

describe('stored plans', () => {
  it('show where the gaps arise, and where two branches close them', () => {
    const layout = planOf('models/plans/grain-direct-tee.json');
    const { carriers } = laneFlows(layout, 0, OPTIONS);
    const at = (x: number, y: number) => carriers[deriveNetwork(layout).carriers.findIndex(({ head }) => head.x === x && head.y === y)].head;
    expect(at(0, 1).right).toMatchObject({ state: 'gaps', fill: ratio(2, 3) });
    expect(at(1, 1).right?.state).toBe('full');
    expect(at(0, 1).left?.state).toBe('empty');
    expect([at(2, 7).left?.state, at(2, 7).right?.state]).toEqual(['full', 'full']);
  });

  it('tell a metered belt that waits from one with gaps', () => {
    const layout = planOf('models/plans/grain-two-exits.json');
    const { carriers } = laneFlows(layout, 0, OPTIONS);
    const at = (x: number, y: number) => carriers[deriveNetwork(layout).carriers.findIndex(({ head }) => head.x === x && head.y === y)].head;
    expect(at(3, 7).left).toMatchObject({ state: 'waiting', fill: ratio(1, 4) });
    expect(at(2, 7).left).toMatchObject({ state: 'gaps', fill: ratio(5, 12) });
  });
});
