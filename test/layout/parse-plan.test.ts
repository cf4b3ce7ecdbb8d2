/**
 * Plans: what is read, and that bad ones give all their findings, each with its pointer and tile.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatRational } from '../../src/base/rational.js';
import { checkPlanForm, parsePlan } from '../../src/layout/parse-plan.js';
import { gist, readCatalog, readJson, SEED } from '../documents.js';
import { withJunk } from '../junk.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');

const belt = (x: number, y: number, heading = 'S'): object => ({
  kind: 'belt',
  at: [x, y],
  heading,
  model: 'field belt',
});
const arm = (x: number, y: number, heading = 'S'): object => ({ kind: 'arm', at: [x, y], heading, model: 'bay arm' });

const SOUND = {
  format: 'transloom-plan/1',
  name: 'test',
  catalog: 'grain-yard.json',
  site: { width: 4, depth: 3 },
  wagons: [{ model: 'short grain wagon', at: 0 }],
  parts: [arm(1, 0), belt(1, 1), belt(1, 2)],
  exits: [{ at: [1, 2], heading: 'S' }],
};

const findingsOf = (json: unknown): readonly string[] => {
  const parsed = parsePlan(json, catalog);
  return gist(parsed.ok ? parsed.warnings : parsed.findings);
};

const withPart = (...parts: readonly unknown[]): unknown => ({ ...SOUND, parts: [...SOUND.parts, ...parts] });

describe('a sound plan', () => {
  it('is read as a layout', () => {
    const parsed = parsePlan({ ...SOUND, exits: [{ at: [1, 2], heading: 'S', take: '12.5/s' }] }, catalog);
    if (!parsed.ok) throw new Error(gist(parsed.findings).join());
    expect(parsed.warnings).toEqual([]);
    const { parts, exits, wagons } = parsed.value;
    expect(parts[1]).toMatchObject({ kind: 'belt', at: { x: 1, y: 1 }, heading: 'S', model: { speed: 12 } });
    expect(exits[0]?.take && formatRational(exits[0].take)).toBe('1/4');
    expect(wagons).toMatchObject([{ at: 0, model: { length: 4 } }]);
  });

  it('may carry a result, whatever is in it', () => {
    expect(findingsOf({ ...SOUND, result: { anything: [1, { goes: true }] } })).toEqual([]);
  });

  it('may favour a side where the catalog offers it', () => {
    const splitter = {
      kind: 'splitter',
      at: [3, 1],
      heading: 'S',
      model: 'quay splitter',
      favourIn: 'left',
      favourOut: 'right',
    };
    const parsed = parsePlan(withPart(splitter), catalog);
    expect(parsed.ok && parsed.value.parts[3]).toMatchObject({ favourIn: 'left', favourOut: 'right' });
  });
});

describe('a bad plan', () => {
  it.each([
    ['no object', 'plan', ['wrong-type']],
    ['a brief', { format: 'transloom-brief/1' }, ['wrong-format /format']],
    ['an overlap', withPart(belt(1, 1)), ['parts-overlap /parts/3']],
    [
      "an overlap with a splitter's right half",
      withPart({ kind: 'splitter', at: [2, 1], heading: 'S', model: 'field splitter' }),
      ['parts-overlap /parts/3'],
    ],
    ['a part outside', withPart(belt(4, 0), belt(0, -1)), ['part-outside /parts/3', 'part-outside /parts/4']],
    [
      'a splitter half outside',
      withPart({ kind: 'splitter', at: [0, 2], heading: 'S', model: 'field splitter' }),
      ['part-outside /parts/3'],
    ],
    [
      'a part where none may stand',
      { ...SOUND, site: { width: 4, depth: 3, keepOut: [[0, 1, 2, 1]] } },
      ['part-kept-out /parts/1'],
    ],
    ['an unknown model', withPart({ ...belt(0, 1), model: 'field blet' }), ['unknown-model /parts/3/model']],
    ['a model of another kind', withPart({ ...belt(0, 1), model: 'bay arm' }), ['unknown-model /parts/3/model']],
    [
      'an unknown model that also overlaps',
      withPart({ ...belt(1, 1), model: 'x' }),
      ['parts-overlap /parts/3', 'unknown-model /parts/3/model'],
    ],
    ['an unknown kind', withPart({ kind: 'blet', at: [0, 1] }), ['not-one-of /parts/3/kind']],
    ['no kind', withPart({ at: [0, 1] }), ['missing-field /parts/3']],
    ['a kind that is a number', withPart({ kind: 3 }), ['not-one-of /parts/3/kind']],
    ['a field of another kind', withPart({ ...belt(0, 1), from: [0, 0] }), ['unknown-field /parts/3/from']],
    ['half a tile', withPart({ ...belt(0, 1), at: [0.5, 1] }), ['wrong-type /parts/3/at/0']],
    ['three coordinates', withPart({ ...belt(0, 1), at: [0, 1, 2] }), ['list-too-long /parts/3/at']],
    [
      'a favour that is not offered',
      withPart({ kind: 'splitter', at: [3, 1], heading: 'S', model: 'field splitter', favourIn: 'left' }),
      ['favour-not-offered /parts/3'],
    ],
    ['an exit inside', { ...SOUND, exits: [{ at: [1, 1], heading: 'S' }] }, ['exit-not-at-border /exits/0']],
    ['an exit that heads inward', { ...SOUND, exits: [{ at: [1, 2], heading: 'N' }] }, ['exit-not-at-border /exits/0']],
    ['an exit off the site', { ...SOUND, exits: [{ at: [1, 3], heading: 'S' }] }, ['exit-not-at-border /exits/0']],
    ['an exit into the wagon', { ...SOUND, exits: [{ at: [1, 0], heading: 'N' }] }, ['exit-at-wagon /exits/0']],
    ['an exit twice', { ...SOUND, exits: [SOUND.exits[0], SOUND.exits[0]] }, ['exit-repeated /exits/1']],
    [
      'a take too fine to count by',
      { ...SOUND, exits: [{ at: [1, 2], heading: 'S', take: '1/99999999999999999999' }] },
      ['rate-uncountable /exits/0/take'],
    ],
    [
      'a take too great to count by',
      { ...SOUND, exits: [{ at: [1, 2], heading: 'S', take: '99999999999999999999/s' }] },
      ['rate-uncountable /exits/0/take'],
    ],
    [
      'a take that is no rate',
      { ...SOUND, exits: [{ at: [1, 2], heading: 'S', take: '1/0' }] },
      ['not-a-rate /exits/0/take'],
    ],
    ['a wagon without a place', { ...SOUND, wagons: [{ model: 'short grain wagon' }] }, ['missing-field /wagons/0']],
    ['a wagon elsewhere', { ...SOUND, wagons: [{ model: 'short grain wagon', at: -4 }] }, ['wagon-outside /wagons/0']],
    ['a site beyond the limit', { ...SOUND, site: { width: 4, depth: 201 } }, ['site-too-large /site/depth']],
  ])('%s', (_, json, expected) => {
    expect(parsePlan(json, catalog).ok).toBe(false);
    expect(findingsOf(json)).toEqual(expected);
  });

  it.each([
    ['not in line', [0, 0], [1, 1], ['underpass-not-straight /parts/0']],
    ['on one tile', [0, 0], [0, 0], ['underpass-no-length /parts/0']],
    ['too long', [0, 0], [0, 4], ['underpass-too-long /parts/0']],
    ['just long enough', [0, 0], [0, 3], []],
  ])('has an underpass %s', (_, from, to, expected) => {
    const parts = [{ kind: 'underpass', from, to, model: 'field underpass' }];
    const found = findingsOf({ ...SOUND, site: { width: 4, depth: 8 }, parts, exits: [] });
    expect(found.filter((line) => line.startsWith('underpass'))).toEqual(expected);
  });

  it.each([
    ['one within another', [0, 0], [0, 5], [0, 1], [0, 3], ['underpass-crossed /parts/0']],
    ['two interlaced', [0, 0], [0, 3], [0, 1], [0, 5], ['underpass-crossed /parts/0', 'underpass-crossed /parts/1']],
    ['two of opposite headings', [0, 0], [0, 3], [0, 5], [0, 1], []],
    ['two across each other', [1, 0], [1, 3], [0, 1], [3, 1], []],
    ['one after the other', [0, 0], [0, 2], [0, 3], [0, 5], []],
    ['two side by side', [0, 0], [0, 3], [1, 1], [1, 4], []],
  ])('knows underpasses: %s', (_, from1, to1, from2, to2, expected) => {
    const model = 'quay underpass';
    const parts = [
      { kind: 'underpass', from: from1, to: to1, model },
      { kind: 'underpass', from: from2, to: to2, model },
    ];
    const found = findingsOf({ ...SOUND, site: { width: 4, depth: 8 }, parts, exits: [] });
    expect(found.filter((line) => line.startsWith('underpass'))).toEqual(expected);
  });

  it('gives the tile of each finding about a place', () => {
    const parsed = parsePlan(withPart(belt(1, 2), belt(9, 9)), catalog);
    expect(parsed.ok ? [] : parsed.findings.map(({ tile }) => tile)).toEqual([
      { x: 1, y: 2 },
      { x: 9, y: 9 },
    ]);
  });

  it("gives all its findings at once, pointing past parts that can't be read", () => {
    const json = {
      ...SOUND,
      parts: [{ kind: 'belt', at: 'here', heading: 'S', model: 'field belt' }, belt(1, 1), arm(1, 1), belt(7, 7)],
      exits: [
        { at: [1, 1], heading: 'S' },
        { at: [1, 2], heading: 'south' },
      ],
      wagons: [
        { model: 'x', at: 0 },
        { model: 'short grain wagon', at: 1 },
        { model: 'short grain wagon', at: 2 },
      ],
    };
    expect(findingsOf(json)).toEqual([
      'exit-not-at-border /exits/0',
      'not-one-of /exits/1/heading',
      'part-outside /parts/3',
      'parts-overlap /parts/2',
      'unknown-model /wagons/0/model',
      'wagon-overhangs /wagons/1',
      'wagon-overhangs /wagons/2',
      'wagons-overlap /wagons/2',
      'wrong-type /parts/0/at',
    ]);
  });

  it('says nothing of borders while the site is not known', () => {
    expect(findingsOf({ ...SOUND, site: { width: 4 } })).toEqual(['missing-field /site']);
  });

  it('is checked in form while its catalog is missing', () => {
    expect(gist(checkPlanForm({ ...SOUND, catalog: 3, parts: {} }))).toEqual([
      'wrong-type /catalog',
      'wrong-type /parts',
    ]);
  });

  it('takes no arm for idle that reaches a wagon only where that may stop short or far', () => {
    const late = { ...SOUND, wagons: [{ model: 'short grain wagon', at: 2 }], site: { width: 6, depth: 3 } };
    const warned = (result?: object): readonly string[] => {
      const parsed = parsePlan({ ...late, ...(result === undefined ? {} : { result }) }, catalog);
      return parsed.ok ? parsed.warnings.map(({ code }) => code) : ['not sound'];
    };
    const idle = ['arm-picks-nothing', 'belt-unfed', 'exit-unreached'];
    expect(warned()).toEqual(idle);
    expect(warned({ spotting: 0 })).toEqual(idle);
    expect(warned({ spotting: 1 })).toEqual([]);
    for (const junk of [-1, 1e9, 'far', null]) expect(warned({ spotting: junk })).not.toContain('not sound');
  });

  it('never throws, and says where, whatever it is given', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), (json) => {
        const parsed = parsePlan(json, catalog);
        expect(parsed.ok).toBe(false);
        if (parsed.ok) return;
        expect(parsed.findings.length).toBeGreaterThan(0);
        for (const { pointer } of parsed.findings) expect(pointer).toMatch(/^(\/.*)?$/s);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  it('never throws when any one value of a sound one is replaced by junk', () => {
    const demo = readJson('models/plans/grain-two-exits.json');
    let refused = 0;
    fc.assert(
      fc.property(fc.nat(), fc.oneof(fc.jsonValue({ maxDepth: 2 }), fc.integer({ min: -2, max: 9 })), (place, junk) => {
        const parsed = parsePlan(withJunk(demo, place, junk), catalog);
        if (!parsed.ok) refused += 1;
        expect(parsed.ok || parsed.findings.length > 0).toBe(true);
      }),
      { seed: SEED, numRuns: 500 },
    );
    expect(refused).toBeGreaterThan(0);
  });
});
