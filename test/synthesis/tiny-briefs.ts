/**
 * Briefs so small that every layout can be counted by hand or by brute force.
 */
import type { Brief } from '../../src/brief/brief.js';
import { readBrief } from '../oracles/random-briefs.js';

/** An arm gives a lane 3 / (1 + 2 * 3 + 1 + 2 * 4) = 3/16 at most; a lane carries 1/4. */
const CATALOG = {
  format: 'transloom-catalog/1',
  name: 'tiny',
  ticksPerSecond: 50,
  unitsPerTile: 64,
  pitch: 16,
  belts: { belt: { speed: 4, cost: 1 } },
  splitters: { splitter: { speed: 4, cost: 2 } },
  arms: { arm: { reach: 1, payload: 3, swing: 3, cost: 2 } },
  chests: { chest: { capacity: 400, cost: 1 } },
  wagons: { wagon: { length: 4, capacity: 900 }, cart: { length: 1, coupling: 1, capacity: 300 } },
};

/** One wagon, fed directly, and the fields of `rest`; `parts` are added to the catalog. */
export function tinyBrief(rest: object, parts: object = {}): Brief {
  const catalog = { ...CATALOG, ...parts };
  const document = { format: 'transloom-brief/1', name: 'tiny', catalog, wagons: [{ model: 'wagon' }], feed: 'direct', starts: 4, ...rest };
  const brief = readBrief(JSON.parse(JSON.stringify(document)) as typeof document);
  if (brief === undefined) throw new Error('no brief');
  return brief;
}
