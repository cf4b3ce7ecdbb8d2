/**
 * Limits on trains: a dwell of just as long and just as many trains keep to them, and what has neither keeps to none.
 */
import { describe, expect, it } from 'vitest';
import { ratio } from '../../src/base/rational.js';
import type { TrainTimes } from '../../src/layout/measure.js';
import { keepsToFlowLimits, keepsToTrainLimits } from '../../src/synthesis/site/train-bounds.js';
import { briefOf } from '../documents.js';

const TIMES: TrainTimes = { dwell: ratio(4501, 2), trainsPerHour: ratio(37, 3) };
const limited = (limits: object, more: object = {}) => briefOf('models/briefs/grain-060.json', { limits, ...more });

describe('limits on trains', () => {
  it.each([
    [{}, true, true],
    [{ cost: 3 }, true, true],
    [{ dwell: '45.01s' }, true, false],
    [{ dwell: '45s' }, false, false],
    [{ trainsPerHour: '37/3' }, true, false],
    [{ trainsPerHour: '12.34' }, false, false],
    [{ dwell: '46s', trainsPerHour: '12' }, true, false],
    [{ dwell: '45.01s', trainsPerHour: '13' }, false, false],
    [{ dwell: '44s', trainsPerHour: '37/3' }, false, false],
  ])('%j: kept by a dwell of 2250.5 ticks and 12 1/3 trains an hour: %s; by none: %s', (limits, kept, keptByNone) => {
    expect([keepsToTrainLimits(limited(limits), TIMES), keepsToTrainLimits(limited(limits), undefined)]).toEqual([kept, keptByNone]);
  });

  it('bind what is compared by trains: it has to have some', () => {
    const passing = { verdict: 'passes', chestOutflows: [ratio(1, 4), ratio(1, 4)], fill: ratio(1) } as const;
    const compared = limited({}, { minimise: ['cost', 'dwell'] });
    expect(keepsToFlowLimits(compared, { ...passing, trains: TIMES })).toBe(true);
    expect(keepsToFlowLimits(compared, { ...passing, trains: undefined })).toBe(false);
    expect(keepsToFlowLimits(limited({}), { ...passing, trains: undefined })).toBe(true);
    expect(keepsToFlowLimits(limited({ dwell: '45s' }), { ...passing, trains: TIMES })).toBe(false);
  });

  it('leave the limit on imbalance as it is: what is just as uneven keeps to it', () => {
    // Flows of 3 and 1: 1 - 16 / (2 x 10).
    const passing = { verdict: 'passes', chestOutflows: [ratio(3), ratio(1)], fill: ratio(1), trains: undefined } as const;
    expect(keepsToFlowLimits(limited({ imbalance: '1/5' }), passing)).toBe(true);
    expect(keepsToFlowLimits(limited({ imbalance: '0.1999' }), passing)).toBe(false);
  });
});
