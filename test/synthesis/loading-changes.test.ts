/**
 * Changes of stations that are to be shown leave ways whole: each goes on from a place of its entry, none runs into itself or
 * over another one, and what joined a way still does.
 */
import { describe, expect, it } from 'vitest';
import { backOf, sameTile, stepFrom } from '../../src/base/geometry.js';
import { seededRandom } from '../../src/base/random.js';
import { areWhole, getIn, partsByTile, tilesOfWays, type Begun } from '../../src/synthesis/loading/loading-begun.js';
import { knotted, withNewEnd, type Changed } from '../../src/synthesis/loading/loading-changes.js';
import { loadingSite } from '../../src/synthesis/loading/loading-site.js';
import { drawWay, lastOf, type Way } from '../../src/synthesis/loading/loading-ways.js';
import { readCatalog, SEED } from '../documents.js';
import { loadingBrief } from './loading-briefs.js';

const TRIES = 400;

const entry = { edge: 'S', from: 0, to: 11, belt: 'field belt', target: { rate: '1/s' } };
const { brief, load } = loadingBrief(
  { site: { width: 12, depth: 6 }, wagons: [{ model: 'short grain wagon', at: 4 }], entries: [entry, entry, entry, entry], feed: 'either' },
  readCatalog('models/catalogs/grain-yard.json'),
);
const site = loadingSite(brief, load);

/** Ways for as many entries as find one, of which some join others. */
function begunBy(draw: (below: number) => number): Begun {
  let begun: Begun = { ways: [], crew: { picks: [], chests: new Map() } };
  for (const entry of site.job.entries.keys()) {
    const way = drawWay(site, entry, partsByTile(site, begun), draw(2) === 0, draw);
    if (way !== undefined) begun = { ...begun, ways: [...begun.ways, way] };
  }
  return begun;
}

function expectSound(ways: readonly Way[], told: string): void {
  const tiles = tilesOfWays(ways);
  expect(new Set(tiles).size, told).toBe(tiles.length);
  for (const { entry, place, into, steps } of ways) {
    const { edge, from, to } = site.job.entries[entry];
    expect(place.heading, told).toBe(backOf(edge));
    expect(place.at.x >= from && place.at.x <= to && place.at.y === 5, told).toBe(true);
    expect(steps[0], told).toEqual({ tile: site.indexOf(place.at), heading: place.heading });
    for (const [index, { tile, heading }] of steps.entries()) {
      expect(site.isOpen(tile), told).toBe(true);
      const ahead = index + 1 < steps.length ? steps[index + 1].tile : into;
      if (ahead !== undefined) expect(sameTile(stepFrom(site.tileAt(tile), heading), site.tileAt(ahead)), told).toBe(true);
      if (index > 0) expect(heading, told).not.toBe(backOf(steps[index - 1].heading));
    }
  }
}

/** What each change of a drawn station is, but where the draw leads nowhere. */
function changes(change: (begun: Begun, draw: (below: number) => number) => Changed | undefined): readonly { readonly begun: Begun; readonly changed: Changed; readonly told: string }[] {
  return Array.from({ length: TRIES }, (_, n) => n).flatMap((n) => {
    const draw = seededRandom(SEED + n);
    const begun = begunBy(draw);
    const changed = change(begun, draw);
    return changed === undefined ? [] : [{ begun, changed, told: `seed ${SEED + n}` }];
  });
}

describe('two ways led to one tile', () => {
  const all = changes((begun, draw) => (areWhole(site, begun) ? knotted(site, begun, draw) : undefined));

  it('come to it from both its sides, and nothing from behind', () => {
    let [whole, deep] = [0, 0];
    for (const { begun, changed, told } of all) {
      const { way, begun: { ways } } = changed;
      expectSound(ways, told);
      if (!areWhole(site, changed.begun)) continue;
      whole++;
      const step = ways.flatMap(({ steps }) => steps).find(({ tile }) => tile === way.into);
      if (step === undefined) throw new Error(told);
      // What faces it head-on leads nowhere.
      const feeders = ways.flatMap(({ steps }) => steps).filter(({ tile, heading }) => heading !== backOf(step.heading) && sameTile(stepFrom(site.tileAt(tile), heading), site.tileAt(step.tile)));
      expect(feeders.some(({ heading }) => heading === step.heading), told).toBe(false);
      expect(feeders, told).toHaveLength(2);
      // What joined one of the two still does.
      for (const other of begun.ways) {
        if (other.into === undefined || other.entry === way.entry) continue;
        deep++;
        expect(ways.find(({ entry }) => entry === other.entry)?.into, told).toBe(other.into);
      }
    }
    expect(whole).toBeGreaterThan(TRIES / 20);
    expect(deep).toBeGreaterThan(0);
  });

  it('both get in', () => {
    for (const { changed, told } of all.filter(({ begun }) => begun.ways.every(({ into }) => into === undefined))) {
      expect(getIn(site, changed.begun), told).toBe(true);
    }
  });
});

describe('a way with a new end', () => {
  const all = changes((begun, draw) => (begun.ways.length === 0 ? undefined : withNewEnd(site, begun, draw)));

  it('leaves the others as they are', () => {
    for (const { begun, changed, told } of all) {
      const { way } = changed;
      expectSound(changed.begun.ways, told);
      expect(changed.begun.ways.filter((other) => other !== way), told).toEqual(begun.ways.filter(({ entry }) => entry !== way.entry));
      for (const { into, entry } of begun.ways) if (into !== undefined && entry !== way.entry) expect(tilesOfWays(changed.begun.ways), told).toContain(into);
    }
    expect(all.length).toBeGreaterThan(TRIES / 2);
  });

  it('is not taken for whole where it comes back to where it was', () => {
    const runsRound = ({ ways }: Begun): boolean =>
      ways.some((from) => {
        let way: Way | undefined = from;
        for (let count = 0; way?.into !== undefined && count <= ways.length; count++) way = ways.find(({ steps }) => steps.some(({ tile }) => tile === way?.into));
        return way?.into !== undefined;
      });
    const rings = all.filter(({ changed }) => runsRound(changed.begun));
    expect(rings.length).toBeGreaterThan(0);
    for (const { changed, told } of rings) expect(areWhole(site, changed.begun), told).toBe(false);
  });
});

it('what tees into a packed way from one side gets in only where an arm picks ahead of it', () => {
  const step = (x: number, y: number, heading: 'N' | 'E') => ({ tile: site.indexOf({ x, y }), heading });
  const through: Way = { entry: 0, place: { at: { x: 5, y: 5 }, heading: 'N', give: undefined }, into: undefined, steps: [5, 4, 3, 2, 1].map((y) => step(5, y, 'N')) };
  const joining: Way = { entry: 1, place: { at: { x: 4, y: 5 }, heading: 'N', give: undefined }, into: step(5, 3, 'N').tile, steps: [step(4, 5, 'N'), step(4, 4, 'N'), step(4, 3, 'E')] };
  const withArmAt = (y: number): Begun => {
    const pick = site.picks[step(5, y, 'N').tile][0];
    return { ways: [through, joining], crew: { picks: [pick], chests: new Map() } };
  };
  expect(lastOf(joining).tile).toBe(step(4, 3, 'E').tile);
  expect(getIn(site, { ways: [through, joining], crew: { picks: [], chests: new Map() } })).toBe(false);
  expect(getIn(site, withArmAt(1))).toBe(false);
  expect(getIn(site, withArmAt(4))).toBe(true);
});
