/**
 * What a layout comes to from its starts, kept: told as if it were simulated anew, without simulating it.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ZERO } from '../../src/base/rational.js';
import { RunStopped } from '../../src/base/run-stopped.js';
import { entriesOf, type Layout } from '../../src/layout/layout.js';
import { withWagonsMoved } from '../../src/layout/spotting.js';
import { leastFlows } from '../../src/simulation/least-flows.js';
import { leastLoaded } from '../../src/simulation/loading-flows.js';
import { KeptStarts, type StartOptions } from '../../src/simulation/starts.js';
import { runTrial } from '../../src/simulation/trial.js';
import { verifyLoading } from '../../src/simulation/verify-loading.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { shippedPlan } from '../pipeline/repairs.js';

const OPTIONS: StartOptions = { starts: 6, seed: 3, tickLimit: 200_000 };
const PLANS = ['grain-two-bins', 'grain-loading', 'grain-direct-tee'];

/** Whether it passes a verification that asks for nothing, which keeps it. */
function passes(layout: Layout, kept: KeptStarts): boolean {
  const options = { ...OPTIONS, kept, presence: ONE };
  if (entriesOf(layout).length === 0) return verifyTargets(layout, [], { ...options, chestsCount: true }).passes;
  const nothing = { entries: entriesOf(layout).map(() => ZERO), wagons: layout.wagons.map(() => ZERO), together: ZERO };
  return verifyLoading(layout, nothing, { ...options, exceed: false }).failure === undefined;
}

const reversed = (layout: Layout): Layout => ({ ...layout, parts: [...layout.parts].reverse() });

describe.each(PLANS)('%s', (name) => {
  const layout = shippedPlan(name);

  it('is told as if it were simulated anew, in whatever order its parts are listed', () => {
    for (const asked of [layout, reversed(layout)]) {
      const kept = new KeptStarts(1);
      expect(passes(layout, kept)).toBe(true);
      const options = { ...OPTIONS, kept };
      expect(leastFlows(asked, options)).toEqual(leastFlows(asked, OPTIONS));
      expect(leastLoaded(asked, options, ONE)).toEqual(leastLoaded(asked, OPTIONS, ONE));
      expect(runTrial(asked, { ...options, presence: ONE })).toEqual(runTrial(asked, { ...OPTIONS, presence: ONE }));
    }
  });

  it('is simulated no more, but for what was not kept', () => {
    const kept = new KeptStarts(1);
    expect(passes(layout, kept)).toBe(true);
    const stopped: StartOptions = { ...OPTIONS, kept, shouldStop: () => true };
    expect(() => leastFlows(layout, stopped)).not.toThrow();
    expect(() => leastLoaded(layout, stopped, ONE)).not.toThrow();
    // Another layout, more starts, or one that had to make room.
    expect(() => leastFlows({ ...layout, parts: layout.parts.slice(1) }, stopped)).toThrow(RunStopped);
    expect(() => leastFlows(layout, { ...stopped, starts: 7 })).toThrow(RunStopped);
    const moved = withWagonsMoved(layout, 1);
    leastFlows(moved, { ...OPTIONS, kept });
    expect(() => leastFlows(moved, stopped)).not.toThrow();
    expect(() => leastFlows(layout, stopped)).toThrow(RunStopped);
  });
});
