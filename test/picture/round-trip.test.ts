/**
 * Plans to pictures and back, to the byte. TRANSLOOM_PLANS sets how many random plans (2000), TRANSLOOM_SEED the first seed.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { backOf } from '../../src/base/geometry.js';
import { jsonText } from '../../src/base/json-text.js';
import { ratio } from '../../src/base/rational.js';
import { seededRandom } from '../../src/base/random.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import type { Catalog, ModelName } from '../../src/catalog/catalog.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { inPlanOrder, writePlan } from '../../src/layout/write-plan.js';
import { readPicture } from '../../src/picture/read-picture.js';
import { writePicture } from '../../src/picture/write-picture.js';
import { drawLayout } from '../../src/report/draw-layout.js';
import { plainInks } from '../../src/report/ink.js';
import { laneFlows } from '../../src/simulation/lane-flows.js';
import { projectFile } from '../documents.js';
import { seededLoadingPlan, seededPlan, seededSidesPlan } from '../oracles/random-plans.js';

const plans = Number(process.env['TRANSLOOM_PLANS'] ?? 2000);
const firstSeed = Number(process.env['TRANSLOOM_SEED'] ?? 1) * 100_000;

const pictureOf = (layout: Layout, ascii: boolean, options = {}): string => {
  const written = writePicture(layout, { ascii, ...options });
  if (!written.ok) throw new Error(written.reason);
  return written.text;
};

function readBack(text: string): unknown {
  const reading = readPicture(text);
  if (!reading.ok) throw new Error(`${JSON.stringify(reading.flaws)}\n${text}`);
  return reading.value;
}

/** Names that a picture file must not trip over. */
const NAMES = ['a', 'o v', 'two  spaces', '+==+', '║ ═╗', 'line\nbreak', 'tab\there', '"quoted": \\', '# remark', 'name: x', '粒度', '🌾 grain', '-', 'a a', 'b'];

/** The same plan with other names, so that none is what a picture would show well. */
function renamed(layout: Layout, seed: number): Layout {
  const random = seededRandom(seed);
  const used = new Map<string, ModelName>();
  const rename = <M extends { readonly name: ModelName }>(group: string, model: M): M => {
    const key = `${group} ${model.name}`;
    const name = used.get(key) ?? (`${NAMES[random(NAMES.length)]}${used.size}` as ModelName);
    used.set(key, name);
    return { ...model, name };
  };
  const { catalog } = layout;
  const sorted = <M extends { readonly name: ModelName }>(group: string, models: readonly M[]): readonly M[] =>
    models.map((model) => rename(group, model)).sort((a, b) => (a.name < b.name ? -1 : 1));
  const parts = layout.parts.map((part): Part => {
    switch (part.kind) {
      case 'belt':
        return { ...part, model: rename('belts', part.model) };
      case 'splitter':
        return { ...part, model: rename('splitters', part.model) };
      case 'underpass':
        return { ...part, model: rename('underpasses', part.model) };
      case 'arm':
        return { ...part, model: rename('arms', part.model) };
      case 'chest':
        return { ...part, model: rename('chests', part.model) };
    }
  });
  const newCatalog: Catalog = {
    ...catalog,
    belts: sorted('belts', catalog.belts),
    splitters: sorted('splitters', catalog.splitters),
    underpasses: sorted('underpasses', catalog.underpasses),
    arms: sorted('arms', catalog.arms),
    chests: sorted('chests', catalog.chests),
    wagons: sorted('wagons', catalog.wagons),
  };
  return {
    ...layout,
    name: NAMES[random(NAMES.length)],
    catalog: newCatalog,
    wagons: layout.wagons.map((wagon) => ({ ...wagon, model: rename('wagons', wagon.model) })),
    parts,
  };
}

function expectSame(layout: Layout, options: Parameters<typeof writePicture>[1] = {}, forms: readonly boolean[] = [true, false]): void {
  const wanted = jsonText(writePlan(layout, options.result, options.catalog));
  for (const ascii of forms) expect(jsonText(readBack(pictureOf(layout, ascii, options)))).toBe(wanted);
}

describe('plans to pictures and back', () => {
  it('come back to the byte: random stations', () => {
    for (let seed = firstSeed; seed < firstSeed + plans; seed += 1) expectSame(seededPlan(seed), {}, [seed % 2 === 0]);
  });

  it('come back to the byte: random stations with entries', () => {
    for (let seed = firstSeed; seed < firstSeed + plans / 8; seed += 1) expectSame(seededLoadingPlan(seed));
  });

  it('come back to the byte: random stations with two sides', () => {
    for (let seed = firstSeed; seed < firstSeed + plans / 8; seed += 1) expectSame(seededSidesPlan(seed));
  });

  it.each([{}, { track: { from: -3, to: 99 } }, { track: { to: -1 } }, { track: { from: 0 } }, { track: { from: 2, to: 3 } }])('come back with the track as it is told: %j', (told) => {
    const { catalog, name } = seededPlan(1);
    const site = { width: 5, depth: 1, north: 1, ...told, keepOut: [{ x: 0, y: -3, width: 5, height: 4 }] };
    expectSame({ name, catalog, site, wagons: [], parts: [], exits: [] });
  });

  it('come back under any names', () => {
    for (let seed = firstSeed; seed < firstSeed + plans / 8; seed += 1) expectSame(renamed(seed % 4 === 0 ? seededSidesPlan(seed) : seededPlan(seed), seed));
  });

  it('come back with a promise, a catalog by its path, metered exits and any rectangles', () => {
    for (let seed = firstSeed; seed < firstSeed + 200; seed += 1) {
      const layout = seededPlan(seed);
      const random = seededRandom(seed);
      const box = { x: random(9) - 3, y: random(9) - 3, width: 1 + random(3), height: 1 + random(3) };
      const free = layout.parts.length === 0 ? [box, box] : [{ ...box, x: layout.site.width }];
      const exits = layout.exits.map((exit, index) => ({ ...exit, take: index % 2 === 0 ? undefined : ratio(index, 7) }));
      expectSame({ ...layout, exits, site: { ...layout.site, keepOut: [...layout.site.keepOut, ...free] } }, { result: { cost: 3, exits: [] }, catalog: '../a "b"/c.json' });
    }
  });

  it('come back where many exits need labels of two signs, on every edge', () => {
    const { catalog } = seededPlan(1);
    const site = { width: 12, depth: 12, keepOut: [] };
    const along = Array.from({ length: 12 }, (_, index) => index);
    const exits = along.flatMap((i) => [
      { at: { x: i, y: 0 }, heading: 'N' as const, take: ratio(1, i + 1) },
      { at: { x: i, y: 11 }, heading: 'S' as const, take: ratio(2, i + 1) },
      { at: { x: 0, y: i }, heading: 'W' as const, take: ratio(3, i + 1) },
      { at: { x: 11, y: i }, heading: 'E' as const, take: ratio(4, i + 1) },
    ]);
    expectSame({ name: 'all round', catalog, site, wagons: [], parts: [], exits });
    const entries = exits.map(({ at, heading, take }) => ({ at, heading: backOf(heading), give: take }));
    expectSame({ name: 'all round', catalog, site, wagons: [], parts: [], exits: [], entries });
  });

  it('come back for every plan that ships', () => {
    const folder = fileURLToPath(projectFile('models/plans'));
    for (const file of readdirSync(folder)) {
      const json = JSON.parse(readFileSync(`${folder}/${file}`, 'utf8')) as { readonly catalog: string; readonly result?: Readonly<Record<string, unknown>> };
      const catalog = parseCatalog(JSON.parse(readFileSync(`${folder}/${json.catalog}`, 'utf8')));
      if (!catalog.ok) throw new Error(file);
      const plan = parsePlan(json, catalog.value);
      if (!plan.ok) throw new Error(file);
      expectSame(plan.value, { catalog: json.catalog, result: json.result });
    }
  });

  it('are read from the very picture that a terminal shows, with flows', () => {
    let withFlows = 0;
    for (let seed = firstSeed; seed < firstSeed + 60; seed += 1) {
      const layout = inPlanOrder(seededPlan(seed));
      const flows = laneFlows(layout, 0, { starts: 0, seed: 1, tickLimit: 2000 });
      for (const ascii of [true, false]) {
        const built = drawLayout(layout, { ink: plainInks, ascii }).join('\n');
        const shown = drawLayout(layout, { ink: plainInks, ascii }, flows).join('\n');
        withFlows += built === shown ? 0 : 1;
        const text = pictureOf(layout, ascii);
        expect(text).toContain(built);
        expect(jsonText(readBack(text.replace(built, () => shown)))).toBe(jsonText(writePlan(layout)));
      }
    }
    expect(withFlows).toBeGreaterThan(20);
  });
});
