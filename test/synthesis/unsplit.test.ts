/** Arms whose items nothing divides, dealt out to the lanes of exits: against every way of dealing them out. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { maySufficeUnsplit } from '../../src/synthesis/bills/unsplit.js';
import { SEED } from '../documents.js';

interface Asked {
  readonly left: number;
  readonly right: number;
  readonly total: number;
}

const SPEED = 3;
const CAPACITY = 15;

const mayServe = (demands: readonly Asked[], rates: readonly number[], loads: readonly number[]): boolean =>
  maySufficeUnsplit(
    {
      demands,
      bestLane: rates,
      endCapacities: Float64Array.from({ length: SPEED + 1 }, () => CAPACITY),
      belts: [{ name: 'belt' as never, speed: SPEED, cost: 1 }],
      exitBelt: demands.map(() => 0),
    },
    loads,
  );

/** Tries a lane for each arm. */
function someDealServes(demands: readonly Asked[], arms: readonly number[]): boolean {
  const lanes = demands.length * 2;
  const flows = new Array<number>(lanes).fill(0);
  const deal = (arm: number): boolean => {
    if (arm < arms.length) {
      return flows.some((_, lane) => {
        flows[lane] += arms[arm];
        const serves = deal(arm + 1);
        flows[lane] -= arms[arm];
        return serves;
      });
    }
    return demands.every(({ left, right, total }, e) => {
      const [onLeft, onRight] = [Math.min(CAPACITY, flows[2 * e]), Math.min(CAPACITY, flows[2 * e + 1])];
      return onLeft >= left && onRight >= right && onLeft + onRight >= total;
    });
  };
  return deal(0);
}

describe('arms without a splitter', () => {
  it('do not saturate two lanes by threes, whose rates would do', () => {
    const saturated = { left: CAPACITY, right: CAPACITY, total: 2 * CAPACITY };
    expect(mayServe([saturated], [10], [3])).toBe(false);
    expect(mayServe([saturated], [10], [4])).toBe(true);
    // By twos, each exit gets a third less than it could bear.
    expect(mayServe([{ left: 0, right: 0, total: 20 }, { left: 0, right: 0, total: 20 }], [10], [4])).toBe(true);
    expect(mayServe([{ left: 0, right: 0, total: 20 }, { left: 0, right: 0, total: 20 }], [10], [3])).toBe(false);
  });

  it('suffice just where some way of dealing them out does', () => {
    const lane = fc.integer({ min: 0, max: 12 });
    const demand = fc.tuple(lane, lane, fc.integer({ min: 0, max: 10 })).map(([left, right, more]) => ({ left, right, total: left + right + more }));
    const sought = { served: 0, short: 0 };
    fc.assert(
      fc.property(
        fc.array(demand, { minLength: 1, maxLength: 2 }),
        fc.array(fc.tuple(fc.integer({ min: 1, max: 16 }), fc.integer({ min: 0, max: 3 })), { minLength: 1, maxLength: 2 }),
        (demands, models) => {
          const arms = models.flatMap(([rate, n]) => new Array<number>(n).fill(rate));
          const serves = someDealServes(demands, arms);
          sought[serves ? 'served' : 'short']++;
          expect(mayServe(demands, models.map(([rate]) => rate), models.map(([, n]) => n))).toBe(serves);
        },
      ),
      { seed: SEED, numRuns: 400 },
    );
    expect(Math.min(sought.served, sought.short)).toBeGreaterThan(40);
  });
});
