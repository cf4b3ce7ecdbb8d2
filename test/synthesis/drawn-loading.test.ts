/**
 * Stations that fill wagons, drawn by geometry alone, each asked for just what it brings, with limits that it just keeps to: no
 * design or list of tradeoffs says that nothing is as good, whether it comes to its end or not. TRANSLOOM_SEED sets the first
 * seed, TRANSLOOM_STATIONS the number of stations.
 */
import { it } from 'vitest';
import { isLess, ONE } from '../../src/base/rational.js';
import { deriveNetwork } from '../../src/layout/network.js';
import type { VerifyLoading } from '../../src/synthesis/loading/loading-search.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { SEED } from '../documents.js';
import { expectAsGood } from '../oracles/compare-drawn.js';
import { drawnLoading, type DrawnLoading } from '../oracles/drawn-loading.js';
import { STARTS } from '../oracles/drawn-stations.js';

const STATIONS = Number(process.env['TRANSLOOM_STATIONS'] ?? '60');

const newVerifier = (): VerifyLoading => loadingVerifier({ starts: STARTS, seed: 1, tickLimit: 60_000 });

function kindsOf({ layout, brief }: DrawnLoading) {
  const { parts } = layout;
  const { site, wagons, spotting, limits, minimise, load } = brief;
  return {
    severalEntries: (load?.entries.length ?? 0) > 1,
    full: load?.fullTicks !== undefined,
    together: load?.together !== undefined,
    chests: parts.some(({ kind }) => kind === 'chest'),
    severalWagons: wagons.length > 1,
    spotting: spotting > 0,
    /** Straight into wagons, but not as planned. */
    missesAsPlanned: deriveNetwork(layout).arms.some(({ place }) => place.kind === 'nothing'),
    twoSides: (site.north ?? 0) > 0,
    narrow: site.width < 3 || site.depth < 3,
    farReach: parts.some((part) => part.kind === 'arm' && part.model.reach > 1),
    presence: isLess(brief.presence, ONE),
    limited: Object.values(limits).some((limit) => limit !== undefined),
    byParts: minimise[0] === 'parts',
    severalObjectives: minimise.length > 1,
  };
}

it(`designs and lists are as good as ${STATIONS} stations that fill wagons from seed ${SEED} on`, { timeout: 10_000_000 }, async () => {
  const isPlain = ({ brief: { load, wagons, spotting } }: DrawnLoading): boolean => (load?.entries.length ?? 0) <= 1 && wagons.length <= 1 && spotting === 0;
  await expectAsGood(STATIONS, SEED, { newVerifier, drawn: drawnLoading, kindsOf, isPlain });
});
