/**
 * An arm that picks from a belt may leave with less than a full hand, and a smaller hand can be the faster
 * one: at a dividing line an even hand has an item for each output.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { maxRational, ratio, ZERO } from '../../src/base/rational.js';
import { pickRateBound } from '../../src/synthesis/loading/loading-arms.js';
import { armRateBound, armRateBoundOfAnyHand } from '../../src/synthesis/rates/rate-model.js';
import { armModel, beltModel, plainCatalog, splitterModel } from '../simulation/sketch.js';

describe('the rate of an arm with hands of any size', () => {
  it('is that of the best one', () => {
    // P / v is 10 ticks, and so is the cycle without placing: 1 + 2 x 4 + 1.
    const arm = armModel({ payload: 3, swingTicks: 4 });
    const catalog = { ...plainCatalog, belts: [beltModel(6)], splitters: [splitterModel(6)], underpasses: [], arms: [arm] };
    const line = { kind: 'line', speed: 6, outputs: 2, testsEndAfter: Infinity } as const;
    // Three items: the third waits until the first is a pitch further. Two: one tick apart.
    expect(armRateBound(catalog, arm, line).toFraction()).toBe('3/20');
    expect(armRateBoundOfAnyHand(catalog, arm, line).toFraction()).toBe('2/11');
  });

  it('is that of the best one of few or of many, on lanes and at lines, with slack and without', () => {
    const draw = seededRandom(7);
    let small = 0;
    for (let round = 0; round < 200; round++) {
      const arm = armModel({ payload: 1 + draw(12), swingTicks: 1 + draw(9), grabTicks: 1, releaseTicks: 1 + draw(3), slack: draw(2) * draw(80) });
      const speed = 1 + draw(plainCatalog.pitch);
      const catalog = { ...plainCatalog, belts: [beltModel(speed)], splitters: [splitterModel(speed)], underpasses: [], arms: [arm] };
      const lane = { kind: 'lane', speed, laneLength: 240, spot: 60 * (1 + draw(3)), testsEndAfter: 0 } as const;
      const drop = draw(2) === 0 ? lane : ({ kind: 'line', speed, outputs: draw(2) === 0 ? 1 : 2, testsEndAfter: 0 } as const);
      const hands = Array.from({ length: arm.payload }, (_, more) => armRateBound(catalog, { ...arm, payload: more + 1 }, drop));
      const most = hands.reduce(maxRational, ZERO);
      expect(armRateBoundOfAnyHand(catalog, arm, drop).toFraction(), `round ${round}`).toBe(most.toFraction());
      if (!hands[hands.length - 1].equals(most)) small++;
    }
    expect(small).toBeGreaterThan(5);
  });

  it('is that of the best one into a container, too, whether that is full or holds one', () => {
    const draw = seededRandom(5);
    const best = { one: 0, full: 0 };
    for (let round = 0; round < 200; round++) {
      const arm = armModel({ payload: 2 + draw(9), swingTicks: 1 + draw(4), grabTicks: 1 + draw(14) });
      const hands = Array.from({ length: arm.payload }, (_, more) => ratio(more + 1, more * arm.grabTicks + 2 * arm.swingTicks + 2));
      const most = hands.reduce(maxRational, ZERO);
      expect(pickRateBound(arm).toFraction()).toBe(most.toFraction());
      if (!hands[0].equals(most)) best.full++;
      else if (!hands[hands.length - 1].equals(most)) best.one++;
    }
    expect(best.one).toBeGreaterThan(10);
    expect(best.full).toBeGreaterThan(10);
  });
});
