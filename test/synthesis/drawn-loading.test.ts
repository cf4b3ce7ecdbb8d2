/**
 * Stations that fill wagons, drawn by geometry alone, each asked for just what it brings, with limits that it just keeps to: no
 * design or list of tradeoffs says that nothing is as good, whether it comes to its end or not. TRANSLOOM_SEED sets the first
 * seed, TRANSLOOM_STATIONS the number of stations.
 */
import { expect, it } from 'vitest';
import { isLess, ONE } from '../../src/base/rational.js';
import { designStation, findTradeoffs } from '../../src/index.js';
import type { VerifyLoading } from '../../src/synthesis/loading/loading-search.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { SEED } from '../documents.js';
import { contradictedBy, lackedBy, priceOfDrawn } from '../oracles/compare-drawn.js';
import { drawnLoading, type DrawnLoading } from '../oracles/drawn-loading.js';
import { STARTS } from '../oracles/drawn-stations.js';

const STATIONS = Number(process.env['TRANSLOOM_STATIONS'] ?? '60');
const LIMIT_SECONDS = 3;
/** Of stations so many have a list of tradeoffs, too. */
const LISTED = 4;
/** Those of one entry are many. */
const PLAIN_TAKEN = 5;

const newVerifier = (): VerifyLoading => loadingVerifier({ starts: STARTS, seed: 1, tickLimit: 60_000 });

function kindsOf({ layout: { parts }, brief }: DrawnLoading) {
  const { site, wagons, spotting, limits, minimise, load } = brief;
  return {
    severalEntries: (load?.entries.length ?? 0) > 1,
    full: load?.fullTicks !== undefined,
    together: load?.together !== undefined,
    chests: parts.some(({ kind }) => kind === 'chest'),
    severalWagons: wagons.length > 1,
    spotting: spotting > 0,
    narrow: site.width < 3 || site.depth < 3,
    farReach: parts.some((part) => part.kind === 'arm' && part.model.reach > 1),
    presence: isLess(brief.presence, ONE),
    limited: Object.values(limits).some((limit) => limit !== undefined),
    byParts: minimise[0] === 'parts',
    severalObjectives: minimise.length > 1,
  };
}

it(`designs and lists are as good as ${STATIONS} stations that fill wagons from seed ${SEED} on`, { timeout: 10_000_000 }, async () => {
  const seen = { stations: 0, lists: 0, proven: 0, atItsPrice: 0 };
  const kindsSeen = new Map<string, number>();
  for (let seed = SEED; seen.stations < STATIONS; seed++) {
    const verify = newVerifier();
    const drawn = drawnLoading(seed, verify);
    if (drawn === undefined) continue;
    const kinds = kindsOf(drawn);
    const { brief } = drawn;
    if (!kinds.severalEntries && !kinds.severalWagons && seed % PLAIN_TAKEN > 0) continue;
    const request = { now: () => performance.now(), timeLimitSeconds: LIMIT_SECONDS };
    const { outcome } = await designStation(brief, { ...request, workers: 1 });
    expect({ seed, contradicted: contradictedBy(drawn, outcome, verify) }).toEqual({ seed, contradicted: undefined });
    const price = priceOfDrawn(drawn);
    if (kinds.severalObjectives && seed % LISTED === 0) {
      const list = await findTradeoffs(brief, { ...request, objectives: brief.minimise, upTo: price });
      expect({ seed, lacked: lackedBy(drawn, list) }).toEqual({ seed, lacked: undefined });
      seen.lists++;
    }
    seen.stations++;
    seen.proven += outcome.status === 'optimal' ? 1 : 0;
    seen.atItsPrice += outcome.proof.bound === price ? 1 : 0;
    for (const [kind, is] of Object.entries(kinds)) kindsSeen.set(kind, (kindsSeen.get(kind) ?? 0) + (is ? 1 : 0));
  }
  const all = { ...seen, ...Object.fromEntries(kindsSeen) };
  expect(Math.min(...Object.values(all)), JSON.stringify(all)).toBeGreaterThan(STATIONS / 100);
});
