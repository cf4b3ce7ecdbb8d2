/**
 * Stations drawn by geometry alone, each asked for just what it gives from each start: a design never costs more than the
 * one that was drawn, and its bound is never above that, whether it comes to its end or not. TRANSLOOM_SEED sets the first
 * seed, TRANSLOOM_STATIONS the number of stations.
 */
import { expect, it } from 'vitest';
import { isLess, ZERO } from '../../src/base/rational.js';
import { designStation } from '../../src/index.js';
import { layoutCost, type Layout } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { verifierOf } from '../../src/tasks/verifier.js';
import { SEED } from '../documents.js';
import { drawnStation } from '../oracles/drawn-stations.js';
import { askingFor, flowsByStart } from '../oracles/random-networks.js';

const STATIONS = Number(process.env['TRANSLOOM_STATIONS'] ?? '60');
const STARTS = 2;
const LIMIT_SECONDS = 3;

function kindsOf(layout: Layout) {
  const { carriers } = deriveNetwork(layout);
  const fed = carriers.flatMap(({ next }) => (next.kind === 'carrier' ? [next.carrier] : []));
  const [severalExits, splitters, tees] = [layout.exits.length > 1, layout.parts.some(({ kind }) => kind === 'splitter'), new Set(fed).size < fed.length];
  return { severalExits, splitters, tees, isRich: severalExits || splitters || tees };
}

it(`designs cost no more than ${STATIONS} stations from seed ${SEED} on`, { timeout: 1_000_000 }, async () => {
  const verify = verifierOf({ starts: STARTS, seed: 1, tickLimit: 60_000 });
  const seen = { stations: 0, byChests: 0, severalExits: 0, splitters: 0, tees: 0, proven: 0, atItsCost: 0 };
  for (let seed = SEED; seen.stations < STATIONS; seed++) {
    const drawn = drawnStation(seed);
    if (drawn === undefined) continue;
    const { layout, brief } = drawn;
    const kinds = kindsOf(layout);
    if (!kinds.isRich && seed % 10 > 0) continue;
    const flows = flowsByStart(layout, STARTS, 1);
    if (flows?.every((ofExits) => ofExits.every(({ left, right }) => isLess(ZERO, left.add(right)))) !== true) continue;
    const asked = askingFor(brief, flows);
    // A chest may run dry.
    if (verify(layout, asked).verdict !== 'passes') continue;
    const { outcome } = await designStation(asked, { now: () => performance.now(), timeLimitSeconds: LIMIT_SECONDS, workers: 1 });
    const cost = layoutCost(layout);
    const { status, proof } = outcome;
    expect({ seed, status }).not.toEqual({ seed, status: 'infeasible' });
    expect(proof.bound, `seed ${seed}`).toBeLessThanOrEqual(cost);
    seen.stations++;
    seen.byChests += brief.feed === 'chests' ? 1 : 0;
    seen.severalExits += kinds.severalExits ? 1 : 0;
    seen.splitters += kinds.splitters ? 1 : 0;
    seen.tees += kinds.tees ? 1 : 0;
    seen.proven += status === 'optimal' ? 1 : 0;
    seen.atItsCost += proof.bound === cost ? 1 : 0;
  }
  expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(STATIONS / 30);
});
