/**
 * Briefs written and read back are the same: the samples, and any sound brief however long its numbers.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatRational } from '../../src/base/rational.js';
import type { Brief } from '../../src/brief/brief.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { writeBrief } from '../../src/brief/write-brief.js';
import type { Catalog } from '../../src/catalog/catalog.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { catalogOf, gist, jsonFiles, readCatalog, readJson, SEED } from '../documents.js';

/** Rationals as texts, so that a difference can be read. */
const plain = (brief: Brief): unknown =>
  JSON.parse(JSON.stringify(brief, (_, value: unknown) => (typeof value === 'object' && value !== null && 'n' in value && 'd' in value ? formatRational(value as never) : value)));

const read = (json: unknown, catalog: Catalog): Brief => {
  const parsed = parseBrief(json, catalog);
  if (!parsed.ok) throw new Error(`${gist(parsed.findings).join()}: ${JSON.stringify(json)}`);
  return parsed.value;
};

/** Through JSON text, with the catalog that stands inside. */
function readBack(brief: Brief): Brief {
  const json = JSON.parse(JSON.stringify(writeBrief(brief))) as { readonly catalog: unknown };
  const catalog = parseCatalog(json.catalog);
  if (!catalog.ok) throw new Error(gist(catalog.findings).join());
  return read(json, catalog.value);
}

describe('a written brief', () => {
  it.each(['models/briefs', 'test/cases'].flatMap(jsonFiles).filter((path) => (readJson(path) as { format?: string }).format === 'transloom-brief/1'))(
    '%s reads back the same',
    (path) => {
      const brief = read(readJson(path), catalogOf(path));
      expect(plain(readBack(brief))).toEqual(plain(brief));
    },
  );

  it.each([
    [{}],
    [{ rate: '40000/h', roundTrip: '900s', layover: '1/10' }],
    [{ rate: `0.${'7'.repeat(56)}/h`, roundTrip: `1/${'3'.repeat(20)}s` }],
    [{ rate: '3/8', roundTrip: '12345' }],
  ])('keeps its demand, %j', (demand) => {
    const path = 'models/briefs/grain-station.json';
    const brief = read({ ...(readJson(path) as object), demand }, catalogOf(path));
    expect(brief.demand).toBeDefined();
    expect(plain(readBack(brief))).toEqual(plain(brief));
  });

  it.each([[[]], [[[1, 2, 3, 4], [0, 0]]]])('keeps what is to be kept, %j', (keep) => {
    const path = 'models/briefs/grain-station.json';
    const brief = read({ ...(readJson(path) as object), keep }, catalogOf(path));
    expect(brief.keep).toBeDefined();
    expect(plain(readBack(brief))).toEqual(plain(brief));
  });

  /** Sixty ticks a second: a rate per second with an end in decimals has none per tick. */
  const catalog: Catalog = { ...readCatalog('test/cases/headline-catalog.json'), ticksPerSecond: 60 };
  const digits = (count: number): fc.Arbitrary<string> =>
    fc.bigInt({ min: 1n, max: 10n ** BigInt(count) - 1n }).map((number) => String(number).padStart(count, '0'));
  const share = fc.oneof(
    fc.constantFrom('1', '3/5', '0.85'),
    digits(57).map((text) => `0.${text}`),
    fc.tuple(digits(28), digits(28)).map(([a, b]) => `${a}/1${b}`),
  );
  const rate = fc.oneof(
    fc.constantFrom('1/8', '10/s'),
    digits(56).map((text) => `1.${text}/s`),
    fc.tuple(digits(28), digits(28)).map(([a, b]) => `${a}/1${b}/s`),
  );
  const flow = fc.oneof(share.map((fill) => ({ fill })), rate.map((each) => ({ rate: each })));
  const target = fc.oneof(
    fc.record({ left: flow, right: flow }, { requiredKeys: [] }).filter((each) => Object.keys(each).length > 0),
    fc.tuple(flow, fc.record({ left: flow, right: flow }, { requiredKeys: [] })).map(([whole, lanes]) => ({ ...whole, ...lanes })),
  );

  it('has room for every number that a brief may hold', () => {
    let sound = 0;
    fc.assert(
      fc.property(target, fc.option(target), fc.option(flow), share, fc.option(share), fc.option(share), (first, second, common, presence, imbalance, trains) => {
        const exit = { edge: 'S', from: 0, to: 5, belt: 'belt' };
        const json = {
          format: 'transloom-brief/1',
          name: 'written',
          catalog: 'here',
          site: { width: 6, depth: 8, keepOut: [[1, 1, 2, 1]] },
          wagons: [{ model: 'wagon', at: 0 }],
          exits: [{ ...exit, target: first }, { ...exit, ...(second === null ? {} : { target: second }) }],
          ...(common === null ? {} : { target: common }),
          presence,
          limits: { arms: 9, ...(imbalance === null ? {} : { imbalance }), ...(trains === null ? {} : { trainsPerHour: trains, dwell: `${trains}s` }) },
        };
        const parsed = parseBrief(json, catalog);
        if (!parsed.ok) return;
        sound++;
        expect(plain(readBack(parsed.value))).toEqual(plain(parsed.value));
      }),
      { seed: SEED, numRuns: 300 },
    );
    expect(sound).toBeGreaterThan(50);
  });
});
