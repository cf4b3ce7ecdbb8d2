/**
 * Wagons that stop short or far. Common practice, no source: with a wagon six tiles long and one tile of spotting error,
 * only designs whose arms keep to the four inner tiles hold their promise.
 */
import { describe, expect, it } from 'vitest';
import { ONE } from '../../src/base/rational.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { pickTile, type PlacedArm } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { parsePromise } from '../../src/ranking/parse-promise.js';
import { designStation, tryPlan } from '../../src/pipeline.js';
import { plainInks } from '../../src/report/ink.js';
import { spottingReport, trySpotting } from '../../src/tasks/trial-spotting.js';
import { readCatalog, readJson, sound } from '../documents.js';
import { arm, belts, chest, exit, layoutOf, wagonModel } from '../simulation/sketch.js';

/** One arm at the wagon, in the column x, into a chest from which another one loads a belt. */
const oneColumn = (x: number) => layoutOf([arm(x, 0, 'S'), chest(x, 1), arm(x, 2, 'S'), ...belts(x, 3, 'E', 3)], [exit(x + 2, 3, 'E')], { wagons: [{ model: wagonModel, at: 0 }] });

describe('a wagon six tiles long that may stop a tile short or far', () => {
  it('is reached everywhere from the four inner tiles, and from no other', () => {
    const holds = [0, 1, 2, 3, 4, 5].filter((x) => {
      const { places } = trySpotting(tryPlan(oneColumn(x), undefined, { starts: 1 }), undefined, 1);
      return places.every(({ trial, missing }) => missing.length === 0 && trial.chests.every(({ keepsUp }) => keepsUp));
    });
    expect(holds).toEqual([1, 2, 3, 4]);
  });

  it('gets designs whose arms at the wagon keep to its four inner tiles; they hold there, and fail a tile further', async () => {
    const document = readJson('models/briefs/grain-060.json') as Record<string, unknown>;
    const catalog = readCatalog('models/catalogs/grain-yard.json');
    const brief = sound(parseBrief({ ...document, spotting: 1, starts: 2 }, catalog));
    const { plan } = await designStation(brief, { now: () => 0 });
    const layout = sound(parsePlan(plan, catalog));
    const promise = sound(parsePromise(plan));
    const atWagon = layout.parts.filter((part): part is PlacedArm => part.kind === 'arm' && pickTile(part).y < 0);
    expect(atWagon.length).toBeGreaterThan(0);
    for (const { at } of atWagon) expect([1, 2, 3, 4]).toContain(at.x);
    const within = trySpotting(tryPlan(layout, promise), promise, 1);
    expect(within.places.map(({ offset, breaches }) => [offset, breaches?.length])).toEqual([
      [-1, 0],
      [0, 0],
      [1, 0],
    ]);
    const beyond = trySpotting(tryPlan(layout, promise), promise, 4);
    const worst = beyond.places[beyond.worst];
    expect(worst.missing.length).toBeGreaterThan(0);
    expect(worst.breaches?.map(({ kind }) => kind)).toContain('chest-runs-dry');
  });

  it('beside a gap is filled by arms that miss it here or there, as planned too', async () => {
    const document = readJson('test/cases/loading-20-two-wagons-spotting-beside-a-gap-5x2.json') as Record<string, unknown>;
    const catalog = sound(parseCatalog(document['catalog']));
    const { plan } = await designStation(sound(parseBrief({ ...document, starts: 2 }, catalog)), { now: () => 0 });
    const layout = sound(parsePlan(plan, catalog));
    const promise = sound(parsePromise(plan));
    const { places } = trySpotting(tryPlan(layout, promise), promise, 1);
    expect(places.map(({ missing, breaches }) => [missing.map(({ x }) => x), breaches])).toEqual([[[4], []], [[2], []], [[0], []]]);
  });

  it('that is filled gets less only where its arm misses it, and its promise holds where it may stop', async () => {
    const document = readJson('models/briefs/grain-load-full.json') as Record<string, unknown>;
    const catalog = readCatalog('models/catalogs/grain-yard.json');
    // The shorter of two times holds, so the entry's own goes.
    const entries = (document['entries'] as readonly object[]).map((entry) => ({ ...entry, target: undefined }));
    const { plan } = await designStation(sound(parseBrief({ ...document, entries, feed: 'direct', target: { full: '200s' }, spotting: 1, presence: '4/5', starts: 2 }, catalog)), { now: () => 0 });
    const layout = sound(parsePlan(plan, catalog));
    const promise = sound(parsePromise(plan));
    const within = trySpotting(tryPlan(layout, promise), promise, 1);
    expect(within.places.map(({ breaches }) => breaches)).toEqual([[], [], []]);
    const beyond = trySpotting(tryPlan(layout, promise), promise, 9);
    const worst = beyond.places[beyond.worst];
    expect(worst.missing.length).toBeGreaterThan(0);
    expect(worst.trial.wagons?.[0].inflow.equals(0)).toBe(true);
    expect(worst.breaches).toMatchObject([{ kind: 'wagon-below', at: layout.wagons[0].at }]);
    const text = spottingReport(beyond, { ink: plainInks, ascii: false }).join('\n');
    expect(text).toContain('into wagon 1');
    expect(text).toContain('worst');
    expect(spottingReport(within, { ink: plainInks, ascii: false }).join('\n')).not.toContain('worst');
  });

  it('marks the place as planned where all are alike', () => {
    const { places, worst } = trySpotting(tryPlan(oneColumn(2), undefined, { starts: 0 }), undefined, 1);
    expect(places[worst].offset).toBe(0);
    expect(places.every(({ trial }) => trial.exits[0].fill.compare(ONE) < 0 && trial.exits[0].fill.equals(places[0].trial.exits[0].fill))).toBe(true);
  });
});
