/**
 * An arm that picks from a belt may leave with less than a full hand, and a smaller hand can be the faster
 * one: at a dividing line an even hand has an item for each output.
 */
import { describe, expect, it } from 'vitest';
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
});
