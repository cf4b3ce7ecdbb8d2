/**
 * Catalogs: what is read, what is left out, and that bad ones give all their findings, each with its pointer.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { catalogReference } from '../../src/catalog/catalog-reference.js';
import { writeCatalog } from '../../src/catalog/write-catalog.js';
import { gist, readCatalog, readJson, SEED } from '../documents.js';
import { withJunk } from '../junk.js';

const SOUND = {
  format: 'transloom-catalog/1',
  name: 'test',
  ticksPerSecond: 50,
  unitsPerTile: 240,
  pitch: 60,
  belts: { b: { speed: 15, cost: 1 } },
  splitters: { s: { speed: 15, cost: 8 } },
  underpasses: { u: { speed: 15, span: 4, cost: 3 } },
  arms: { a: { reach: 1, payload: 12, swing: 13, cost: 10 } },
  chests: { c: { capacity: 100, cost: 4 } },
  wagons: { w: { length: 6, capacity: 2000 } },
};

const findingsOf = (json: unknown): readonly string[] => {
  const parsed = parseCatalog(json);
  return parsed.ok ? [] : gist(parsed.findings);
};

describe('a sound catalog', () => {
  it('has its defaults filled in (world rules: grab 1, release 1, slack 0; turns as long as a tile)', () => {
    const parsed = parseCatalog(SOUND);
    expect(parsed.ok && parsed.value.arms).toEqual([
      {
        name: 'a',
        reach: 1,
        payload: 12,
        swingTicks: 13,
        grabTicks: 1,
        releaseTicks: 1,
        slack: 0,
        patienceTicks: undefined,
        cost: 10,
      },
    ]);
    expect(parsed.ok && parsed.value.turn).toEqual({ inner: 240, outer: 240 });
    expect(parsed.ok && parsed.value.splitters[0]?.favour).toBe(false);
    expect(parsed.ok && parsed.value.wagons).toEqual([{ name: 'w', length: 6, coupling: 0, capacity: 2000 }]);
  });

  it.each([
    [undefined, undefined],
    [{}, { remove: 1, turn: 1 }],
    [{ remove: 3 }, { remove: 3, turn: 3 }],
    [{ remove: 0 }, { remove: 0, turn: 1 }],
    [{ remove: 2, turn: 2 }, { remove: 2, turn: 2 }],
  ])('takes %j for what work costs: %j', (work, expected) => {
    const parsed = parseCatalog({ ...SOUND, ...(work === undefined ? {} : { work }) });
    expect(parsed.ok && parsed.value.work).toEqual(expected);
  });

  it('lists models by name, whatever the order of the file', () => {
    const belts = {
      z: { speed: 1, cost: 1 },
      a: { speed: 2, cost: 1 },
      '\u{1F33E}': { speed: 3, cost: 1 },
      '\uFF5E': { speed: 4, cost: 1 },
      ab: { speed: 5, cost: 1 },
    };
    const parsed = parseCatalog({ ...SOUND, belts });
    expect(parsed.ok && parsed.value.belts.map(({ name }) => name)).toEqual(['a', 'ab', 'z', '\uFF5E', '\u{1F33E}']);
  });

  it('may leave out groups that it does not need', () => {
    const { format, name, ticksPerSecond, unitsPerTile, pitch, belts, arms } = SOUND;
    const parsed = parseCatalog({ format, name, ticksPerSecond, unitsPerTile, pitch, belts, arms });
    expect(parsed.ok && [parsed.value.splitters, parsed.value.underpasses, parsed.value.chests]).toEqual([[], [], []]);
  });

  it.each(['test/cases/headline-catalog.json', 'models/catalogs/grain-yard.json', 'models/catalogs/ore-siding.json'])(
    'is the same after writing and reading: %s',
    (path) => {
      const catalog = readCatalog(path);
      expect(parseCatalog(JSON.parse(JSON.stringify(writeCatalog(catalog))))).toEqual({
        ok: true,
        value: catalog,
        warnings: [],
      });
    },
  );
});

describe('a bad catalog', () => {
  it.each([
    ['no object', [], ['wrong-type']],
    ['nothing', undefined, ['wrong-type']],
    ['of another format', { ...SOUND, format: 'transloom-plan/1', extra: 1 }, ['wrong-format /format']],
    ['speed over the pitch', { ...SOUND, belts: { b: { speed: 61, cost: 1 } } }, ['speed-over-pitch /belts/b/speed']],
    ['speed of an underpass over the pitch', { ...SOUND, underpasses: { u: { speed: 61, span: 4, cost: 3 } } }, ['speed-over-pitch /underpasses/u/speed']],
    ['pitch over a tile', { ...SOUND, pitch: 241 }, ['pitch-over-tile /pitch']],
    ['a tile not divisible by 4', { ...SOUND, unitsPerTile: 242 }, ['not-multiple /unitsPerTile']],
    ['a negative speed', { ...SOUND, splitters: { s: { speed: -15, cost: 8 } } }, ['too-small /splitters/s/speed']],
    ['half a tick', { ...SOUND, arms: { a: { ...SOUND.arms.a, swing: 12.5 } } }, ['wrong-type /arms/a/swing']],
    ['no grab', { ...SOUND, arms: { a: { ...SOUND.arms.a, grab: 0 } } }, ['too-small /arms/a/grab']],
    ['endless cost', { ...SOUND, belts: { b: { speed: 1, cost: Infinity } } }, ['wrong-type /belts/b/cost']],
    ['a missing field', { ...SOUND, chests: { c: { cost: 4 } } }, ['missing-field /chests/c']],
    [
      'a misspelt field',
      { ...SOUND, wagons: { w: { lenght: 6, capacity: 1 } } },
      ['missing-field /wagons/w', 'unknown-field /wagons/w/lenght'],
    ],
    ['a coupling that overlaps', { ...SOUND, wagons: { w: { length: 6, coupling: -1, capacity: 1 } } }, ['too-small /wagons/w/coupling']],
    ['a nameless model', { ...SOUND, belts: { '': { speed: 1, cost: 1 } } }, ['name-length /belts/']],
    [
      'a name with a slash',
      { ...SOUND, belts: { 'a/b~c': { speed: 99, cost: 1 } } },
      ['speed-over-pitch /belts/a~1b~0c/speed'],
    ],
    ['turning for less than taking away', { ...SOUND, work: { remove: 3, turn: 2 } }, ['turn-under-remove /work']],
    ['turning for less than it usually costs to take away', { ...SOUND, work: { turn: 0 } }, ['turn-under-remove /work']],
    ['work that is no number, beside one that would do', { ...SOUND, work: { remove: 'x', turn: 0 } }, ['wrong-type /work/remove']],
    ['a list for a group', { ...SOUND, belts: [] }, ['wrong-type /belts']],
  ])('%s', (_, json, expected) => {
    expect(findingsOf(json)).toEqual(expected);
  });

  it('gives all its findings at once', () => {
    const json = { ...SOUND, pitch: 300, ticksPerSecond: 0, belts: { b: { speed: 301, cost: -1 } }, arm: {} };
    expect(findingsOf(json)).toEqual([
      'pitch-over-tile /pitch',
      'speed-over-pitch /belts/b/speed',
      'too-small /belts/b/cost',
      'too-small /ticksPerSecond',
      'unknown-field /arm',
    ]);
  });

  it('tells what a misspelt field was meant to be', () => {
    const parsed = parseCatalog({ ...SOUND, wagons: { w: { length: 6, capcity: 1 } } });
    const unknown = parsed.ok ? undefined : parsed.findings.find(({ code }) => code === 'unknown-field');
    expect(unknown?.values).toEqual({ field: 'capcity', hint: 'capacity' });
  });

  it('never throws, and says where, whatever it is given', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), (json) => {
        const parsed = parseCatalog(json);
        expect(parsed.ok).toBe(false);
        if (parsed.ok) return;
        expect(parsed.findings.length).toBeGreaterThan(0);
        for (const { pointer } of parsed.findings) expect(pointer).toMatch(/^(\/.*)?$/s);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  it('never throws when any one value of a sound one is replaced by junk', () => {
    const demo = readJson('models/catalogs/grain-yard.json');
    let refused = 0;
    fc.assert(
      fc.property(fc.nat(), fc.jsonValue({ maxDepth: 2 }), (place, junk) => {
        const parsed = parseCatalog(withJunk(demo, place, junk));
        if (!parsed.ok) refused += 1;
        expect(parsed.ok || parsed.findings.length > 0).toBe(true);
      }),
      { seed: SEED, numRuns: 500 },
    );
    expect(refused).toBeGreaterThan(0);
  });
});

describe('catalogReference', () => {
  it.each([
    [{ catalog: 'a.json' }, { kind: 'path', path: 'a.json' }],
    [{ catalog: SOUND }, { kind: 'inline', value: SOUND }],
    [{ catalog: '' }, { kind: 'none' }],
    [{ catalog: [SOUND] }, { kind: 'none' }],
    [{}, { kind: 'none' }],
    [null, { kind: 'none' }],
    ['catalog', { kind: 'none' }],
  ])('of %j', (json, expected) => {
    expect(catalogReference(json)).toEqual(expected);
  });
});
