/**
 * Loading stations that are tried to be shown first are ones of the space that is searched: no belts beyond the last one that
 * an arm picks from, or at which it joins another way. The run may be stopped right there, or come to its proof.
 */
import { expect, it } from 'vitest';
import { backOf, sameTile, stepFrom } from '../../src/base/geometry.js';
import { pickTile, type Part, type PlacedArm } from '../../src/layout/layout.js';
import type { Station } from '../../src/synthesis/loading/loading-begun.js';
import { FirstLoadings } from '../../src/synthesis/loading/loading-first.js';
import { LoadingSearch } from '../../src/synthesis/loading/loading-search.js';
import { loadingSite } from '../../src/synthesis/loading/loading-site.js';
import { loadingVerifier } from '../../src/tasks/loading-verifier.js';
import { readCatalog } from '../documents.js';
import { loadingBrief } from './loading-briefs.js';

const CATALOG = readCatalog('models/catalogs/grain-yard.json');

const armsOf = (parts: readonly Part[]): readonly PlacedArm[] => parts.filter((part): part is PlacedArm => part.kind === 'arm');

/** Belts that lead to no other one: what faces them head-on takes nothing. */
const endsOf = (parts: readonly Part[]) => {
  const belts = parts.filter((part) => part.kind === 'belt');
  return belts.filter(({ at, heading }) => !belts.some((next) => sameTile(next.at, stepFrom(at, heading)) && next.heading !== backOf(heading)));
};

it.each([2, 3, 4, 5])('with %i arms and more wanted, each way ends where an arm picks', (wanted) => {
  const entry = (from: number, to: number) => ({ edge: 'S', from, to, belt: 'field belt', target: { rate: '2/s' } });
  const { brief, load } = loadingBrief({ site: { width: 8, depth: 5 }, wagons: [{ model: 'short grain wagon', at: 2 }], entries: [entry(0, 3), entry(4, 7)], feed: 'chests' }, CATALOG);
  const tried: (readonly Part[])[] = [];
  let best: readonly Part[] | undefined;
  const meets = ({ parts }: Station, entries: readonly number[]): boolean => {
    if (entries.length < 2) return true;
    tried.push(parts);
    return armsOf(parts).length >= 2 * wanted && endsOf(parts).length > 0;
  };
  for (const station of new FirstLoadings(loadingSite(brief, load), { meets, allows: () => true, most: () => Infinity }, 1).all()) {
    best = station?.parts ?? best;
    if (tried.length > 2_000) break;
  }
  expect(best).toBeDefined();
  for (const parts of tried) {
    const ends = endsOf(parts);
    // Two, or one if the other way runs into it.
    expect([1, 2]).toContain(ends.length);
    expect(ends.filter(({ at }) => !armsOf(parts).some((arm) => sameTile(pickTile(arm), at)))).toEqual([]);
  }
});

it('trickles of four belts are gathered, for less than four ways cost that stay apart', () => {
  const entry = { edge: 'S', from: 0, to: 11, belt: 'belt', target: { fill: '0.1' } };
  const { brief, load } = loadingBrief(
    { site: { width: 12, depth: 6 }, wagons: [{ model: 'wagon', at: 3 }], entries: [entry, entry, entry, entry], feed: 'either' },
    readCatalog('test/cases/headline-catalog.json'),
  );
  const verify = loadingVerifier({ starts: 2, seed: 1, tickLimit: 100_000 });
  const { site, meets, allows } = new LoadingSearch(brief, load, { verify }, { admits: () => true, offer: () => undefined });
  const prices: number[] = [];
  let turns = 0;
  for (const station of new FirstLoadings(site, { meets, allows, most: () => prices.at(-1) ?? Infinity }, 1).all()) {
    if (station !== undefined) prices.push(station.parts.reduce((sum, { model }) => sum + model.cost, 0));
    if (++turns > 4_000) break;
  }
  // Five belts each, to beside the wagon, and an arm.
  const apart = 4 * (5 + 10);
  expect(prices.every((price, n) => n === 0 || price < prices[n - 1])).toBe(true);
  expect(prices.at(-1)).toBeLessThan((3 * apart) / 4);
});
