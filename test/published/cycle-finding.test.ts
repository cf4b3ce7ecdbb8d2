/**
 * Finding cycles. Source: R. P. Brent, "An improved Monte Carlo factorization algorithm", BIT 20, 1980. The example
 * x -> x^2 + 1 mod 255 from 3 is worked by hand: 3, 10, 101, 2, 5, 26, 167, 95, 101, ... has a tail of 2 and a period of 6.
 */
import { describe, expect, it } from 'vitest';
import { Landmark } from '../../src/simulation/landmark.js';

const next = (x: number): number => (x * x + 1) % 255;

/** The values from `from` on, each as a state of one number. */
function* states(from: number): Generator<Int32Array> {
  for (let x = from; ; x = next(x)) yield Int32Array.of(x);
}

/** Steps from the kept state until it comes again, and steps in all. */
function search(from: number): { readonly period: number; readonly steps: number } {
  const landmark = new Landmark();
  let keptAt = 0;
  let step = 0;
  for (const state of states(from)) {
    const found = landmark.show(state, 0, 1);
    if (found === 'met') break;
    if (found === 'kept') keptAt = step;
    step++;
  }
  return { period: step - keptAt, steps: step };
}

describe('x -> x^2 + 1 mod 255 from 3', () => {
  it('goes as worked by hand', () => {
    const walk = [3];
    while (walk.length < 9) walk.push(next(walk[walk.length - 1]));
    expect(walk).toEqual([3, 10, 101, 2, 5, 26, 167, 95, 101]);
  });

  it('has a period of 6, met where the 8th value comes again', () => {
    expect(search(3)).toEqual({ period: 6, steps: 13 });
  });

  it('has a tail of 2: the third value is the first from which the way comes back', () => {
    const comesBack = (from: number): boolean => {
      let x = from;
      for (let step = 0; step < search(3).period; step++) x = next(x);
      return x === from;
    };
    expect([3, 10, 101].map(comesBack)).toEqual([false, false, true]);
  });
});
