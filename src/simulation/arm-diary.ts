/**
 * What every arm did in every tick of a run: a traced run apart from those that only count. Who asks what held an item
 * up reads it backwards.
 */
import { goOnUnless, type ShouldStop } from '../base/run-stopped.js';
import type { Layout } from '../layout/layout.js';
import { createRun } from './run.js';

type ArmActivity = 'working' | 'blocked' | 'starved';

/** The activity of one of the network's arms in a tick, counted from 1. */
export type ArmDiary = (arm: number, tick: number) => ArmActivity;

const BLOCKED = 1;
const STARVED = 2;

/** `delays`: ticks by which each of the network's arms is held back at the start. Throws `RunStopped` once it is to stop. */
export function armDiary(layout: Layout, delays: readonly number[], ticks: number, shouldStop?: ShouldStop): ArmDiary {
  const run = createRun(layout, { delays });
  const days = run.network.arms.map(() => new Uint8Array(ticks + 1));
  const { pieces, idleArms } = run.program;
  for (const arm of idleArms) days[arm].fill(STARVED);
  for (let tick = 1; tick <= ticks; tick += 1) {
    goOnUnless(shouldStop);
    const before = pieces.map(({ machine }) => ({ blocked: machine.armBlocked.slice(), starved: machine.armStarved.slice() }));
    run.step();
    pieces.forEach(({ machine, arms }, piece) => {
      arms.forEach((arm, local) => {
        if (machine.armBlocked[local] > before[piece].blocked[local]) days[arm][tick] = BLOCKED;
        if (machine.armStarved[local] > before[piece].starved[local]) days[arm][tick] = STARVED;
      });
    });
  }
  return (arm, tick) => {
    const code = days[arm][tick];
    if (code === BLOCKED) return 'blocked';
    return code === STARVED ? 'starved' : 'working';
  };
}
