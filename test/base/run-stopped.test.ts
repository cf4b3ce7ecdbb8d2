import { expect, it } from 'vitest';
import { withGrace } from '../../src/base/run-stopped.js';

it('goes on for so long after it was told to stop, whenever that was', () => {
  let now = 0;
  let isStopped = false;
  const isOver = withGrace(() => isStopped, 500, () => now);
  const at = (moment: number): boolean => {
    now = moment;
    return isOver();
  };
  expect([at(0), at(10_000)]).toEqual([false, false]);
  isStopped = true;
  expect([at(11_000), at(11_499), at(11_500), at(20_000)]).toEqual([false, false, true, true]);
});
