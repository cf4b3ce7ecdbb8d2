/**
 * Plans written and read again, and that the same layout always gives the same text.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HEADINGS } from '../../src/base/geometry.js';
import { jsonText } from '../../src/base/json-text.js';
import { ratio } from '../../src/base/rational.js';
import { checkLegality } from '../../src/layout/check-layout.js';
import { tilesOf, type Layout, type Part, type PlacedExit } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { inPlanOrder, writePlan } from '../../src/layout/write-plan.js';
import { catalogOf, jsonFiles, readCatalog, readJson, SEED } from '../documents.js';

const catalog = readCatalog('models/catalogs/grain-yard.json');
const WIDTH = 9;
const DEPTH = 7;

const anyTile = fc.record({ x: fc.nat(WIDTH - 1), y: fc.nat(DEPTH - 1) });
const anyHeading = fc.constantFrom(...HEADINGS);
const anySide = fc.constantFrom('left', 'right');
const anyPart: fc.Arbitrary<Part> = fc.oneof(
  fc.record({ kind: fc.constant('belt'), at: anyTile, heading: anyHeading, model: fc.constantFrom(...catalog.belts) }),
  fc.record(
    {
      kind: fc.constant('splitter'),
      at: anyTile,
      heading: anyHeading,
      model: fc.constantFrom(...catalog.splitters),
      favourIn: anySide,
      favourOut: anySide,
    },
    { requiredKeys: ['kind', 'at', 'heading', 'model'] },
  ),
  fc.record({
    kind: fc.constant('underpass'),
    from: anyTile,
    to: anyTile,
    model: fc.constantFrom(...catalog.underpasses),
  }),
  fc.record({ kind: fc.constant('arm'), at: anyTile, heading: anyHeading, model: fc.constantFrom(...catalog.arms) }),
  fc.record({ kind: fc.constant('chest'), at: anyTile, model: fc.constantFrom(...catalog.chests) }),
);
const anyExit: fc.Arbitrary<PlacedExit> = fc.record({
  at: anyTile.map(({ x }) => ({ x, y: DEPTH - 1 })),
  heading: fc.constant('S'),
  take: fc.option(
    fc.tuple(fc.nat(50), fc.integer({ min: 1, max: 50 })).map(([n, d]) => ratio(n, d)),
    { nil: undefined },
  ),
});

/** Keeps of what is drawn whatever is legal beside what is kept already. */
const anyLayout: fc.Arbitrary<Layout> = fc
  .record({ parts: fc.array(anyPart, { maxLength: 40 }), exits: fc.array(anyExit, { maxLength: 4 }), at: fc.nat(3) })
  .map(({ parts, exits, at }) => {
    const bare: Layout = {
      name: 'drawn',
      catalog,
      site: { width: WIDTH, depth: DEPTH, keepOut: [{ x: 4, y: 4, width: 2, height: 1 }] },
      wagons: catalog.wagons.slice(0, 1).map((model) => ({ model, at })),
      parts: [],
      exits: [],
    };
    const isLegal = (layout: Layout): boolean => checkLegality(layout).every(({ severity }) => severity === 'warning');
    const withParts = parts.reduce((layout, part) => {
      const more = { ...layout, parts: [...layout.parts, part] };
      return isLegal(more) ? more : layout;
    }, bare);
    return exits.reduce((layout, exit) => {
      const more = { ...layout, exits: [...layout.exits, exit] };
      return isLegal(more) ? more : layout;
    }, withParts);
  });

/** As a file would hold it. */
const throughText = (json: unknown): unknown => JSON.parse(jsonText(json));

describe('writePlan', () => {
  it('gives back the same layout, in its own order', () => {
    const kinds = new Set<string>();
    fc.assert(
      fc.property(anyLayout, (layout) => {
        layout.parts.forEach(({ kind }) => kinds.add(kind));
        const parsed = parsePlan(throughText(writePlan(layout)), catalog);
        expect(parsed.ok && parsed.value).toEqual(inPlanOrder(layout));
      }),
      { seed: SEED, numRuns: 200 },
    );
    expect(kinds.size).toBe(5);
  });

  it('gives the same text whatever the order of parts and exits', () => {
    fc.assert(
      fc.property(anyLayout, (layout) => {
        const turned = { ...layout, parts: layout.parts.toReversed(), exits: layout.exits.toReversed() };
        expect(jsonText(writePlan(turned))).toBe(jsonText(writePlan(layout)));
      }),
      { seed: SEED, numRuns: 100 },
    );
  });

  it('lists parts by (y, x) of their least tile', () => {
    fc.assert(
      fc.property(anyLayout, (layout) => {
        const keys = inPlanOrder(layout).parts.map((part) =>
          Math.min(...tilesOf(part).map(({ x, y }) => y * WIDTH + x)),
        );
        expect(keys).toEqual([...keys].sort((a, b) => a - b));
      }),
      { seed: SEED, numRuns: 100 },
    );
  });

  it("carries a result, and names the catalog's file where asked to", () => {
    const path = 'models/plans/grain-two-bins.json';
    const parsed = parsePlan(readJson(path), catalogOf(path));
    if (!parsed.ok) throw new Error(path);
    const written = writePlan(parsed.value, { cost: 94 }, '../catalogs/grain-yard.json');
    expect(written['result']).toEqual({ cost: 94 });
    expect(written['catalog']).toBe('../catalogs/grain-yard.json');
    expect(Object.keys(written)).toEqual(['format', 'name', 'catalog', 'site', 'wagons', 'parts', 'exits', 'result']);
  });

  it.each(jsonFiles('models/plans'))('is at rest after one round: %s', (path) => {
    const parsed = parsePlan(readJson(path), catalogOf(path));
    if (!parsed.ok) throw new Error(path);
    const once = jsonText(writePlan(parsed.value));
    const again = parsePlan(JSON.parse(once), parsed.value.catalog);
    expect(again.ok && jsonText(writePlan(again.value))).toBe(once);
  });
});
