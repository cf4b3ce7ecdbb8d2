/**
 * Stations drawn by geometry alone, each asked for just what it gives, lane by lane or in all, with limits that it just keeps to:
 * no design or list of tradeoffs says that nothing is as good, whether it comes to its end or not. TRANSLOOM_SEED sets the first
 * seed, TRANSLOOM_STATIONS the number of stations.
 */
import { it } from 'vitest';
import { isLess, ONE, ZERO } from '../../src/base/rational.js';
import { pickTile, wagonAt } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { spottingOffsets } from '../../src/layout/spotting.js';
import type { Verify } from '../../src/synthesis/verifier.js';
import { verifierOf } from '../../src/tasks/verifier.js';
import { SEED } from '../documents.js';
import { expectAsGood } from '../oracles/compare-drawn.js';
import { drawnStation, STARTS, type DrawnStation } from '../oracles/drawn-stations.js';

const STATIONS = Number(process.env['TRANSLOOM_STATIONS'] ?? '60');

/** Of stations with one catalog: what it remembers holds for no other. */
const newVerifier = (): Verify => verifierOf({ starts: STARTS, seed: 1, tickLimit: 60_000 });

function kindsOf({ layout, brief }: DrawnStation) {
  const { carriers } = deriveNetwork(layout);
  const { site, wagons, spotting, limits, minimise, exits } = brief;
  const fed = carriers.flatMap(({ next }) => (next.kind === 'carrier' ? [next.carrier] : []));
  const has = (kind: string): number => layout.parts.filter((part) => part.kind === kind).length;
  const picks = layout.parts.flatMap((part) => (part.kind === 'arm' ? [pickTile(part)] : []));
  const mayBeWagon = (x: number, y: number): boolean => spottingOffsets(spotting).some((offset) => wagonAt(wagons, { x: x - offset, y }) !== undefined);
  return {
    severalExits: exits.length > 1,
    splitters: has('splitter') > 0,
    tees: new Set(fed).size < fed.length,
    chests: has('chest') > 0,
    severalWagons: wagons.length > 1,
    spotting: spotting > 0,
    besideGap: picks.some(({ x, y }) => mayBeWagon(x, y) && wagonAt(wagons, { x, y }) === undefined),
    twoSides: (site.north ?? 0) > 0,
    narrow: site.width < 3 || site.depth < 3,
    farReach: layout.parts.some((part) => part.kind === 'arm' && part.model.reach > 1),
    ofLanes: exits.some(({ target }) => isLess(ZERO, target.left.add(target.right))),
    together: brief.together !== undefined,
    presence: isLess(brief.presence, ONE),
    limited: Object.values(limits).some((limit) => limit !== undefined),
    trains: limits.dwell !== undefined || limits.trainsPerHour !== undefined,
    byParts: minimise[0] === 'parts',
    severalObjectives: minimise.length > 1,
  };
}

it(`designs and lists are as good as ${STATIONS} stations from seed ${SEED} on`, { timeout: 10_000_000 }, async () => {
  const isPlain = (drawn: DrawnStation): boolean => {
    const kinds = kindsOf(drawn);
    return !(kinds.severalExits || kinds.splitters || kinds.tees || kinds.severalWagons || kinds.spotting);
  };
  await expectAsGood(STATIONS, SEED, { newVerifier, drawn: drawnStation, kindsOf, isPlain });
});
