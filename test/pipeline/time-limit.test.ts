/**
 * Limits of time hold in the midst of a simulation too, which takes minutes where lanes hold a million items.
 */
import { describe, expect, it } from 'vitest';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { designStation } from '../../src/tasks/design-station.js';
import { readJson, sound } from '../documents.js';

const FINEST = 1_000_000;

/** The sample catalog with the least pitch and speed, and the finest units. */
function finest(): unknown {
  const catalog = readJson('models/catalogs/grain-yard.json') as { readonly [group: string]: Readonly<Record<string, object>> };
  const slow = (group: string): object => Object.fromEntries(Object.entries(catalog[group]).map(([name, model]) => [name, { ...model, speed: 1 }]));
  const carriers = { belts: slow('belts'), splitters: slow('splitters'), underpasses: slow('underpasses') };
  return { ...catalog, ...carriers, unitsPerTile: FINEST, pitch: 1, turn: { inner: FINEST, outer: FINEST } };
}

describe('a design', () => {
  for (const name of ['grain-060', 'grain-load-060']) {
    it(`of ${name} ends in time, whatever it simulates`, { timeout: 90_000 }, async () => {
      const catalog = finest();
      const brief = sound(parseBrief({ ...(readJson(`models/briefs/${name}.json`) as object), catalog }, sound(parseCatalog(catalog))));
      const begun = performance.now();
      const { outcome } = await designStation(brief, { now: () => performance.now(), timeLimitSeconds: 8 });
      expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'time-limit' });
      expect(outcome.proof.simulations).toBeGreaterThan(0);
      expect(performance.now() - begun).toBeLessThan(24_000);
    });
  }
});
