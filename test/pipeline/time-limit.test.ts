/**
 * Limits of time hold in the midst of a simulation too, which takes minutes where lanes hold a million items.
 */
import { describe, expect, it } from 'vitest';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { designStation } from '../../src/tasks/design-station.js';
import { mendDocument, mendPage, mendReport, mendStation, mendSvg, type MendAnswer } from '../../src/tasks/mend-station.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { NO_RESERVE, sizeStation, stationDocument, stationReport } from '../../src/tasks/size-station.js';
import { plainInks } from '../../src/report/ink.js';
import { readJson, sound } from '../documents.js';
import { shippedPlan } from './repairs.js';

const FINEST = 1_000_000;

type Groups = { readonly [group: string]: Readonly<Record<string, object>> };

/** The sample catalog with hands that hold a million. */
function greedy(): unknown {
  const catalog = readJson('models/catalogs/grain-yard.json') as Groups;
  return { ...catalog, arms: Object.fromEntries(Object.entries(catalog['arms']).map(([name, model]) => [name, { ...model, payload: FINEST }])) };
}

/** The sample catalog with the least pitch and speed, and the finest units. */
function finest(): unknown {
  const catalog = readJson('models/catalogs/grain-yard.json') as Groups;
  const slow = (group: string): object => Object.fromEntries(Object.entries(catalog[group]).map(([name, model]) => [name, { ...model, speed: 1 }]));
  const carriers = { belts: slow('belts'), splitters: slow('splitters'), underpasses: slow('underpasses') };
  return { ...catalog, ...carriers, unitsPerTile: FINEST, pitch: 1, turn: { inner: FINEST, outer: FINEST } };
}

describe('a design', () => {
  for (const name of ['grain-060', 'grain-load-060']) {
    it(`of ${name} ends in time, whatever it simulates`, async () => {
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

describe('a repair', () => {
  for (const [kind, odd] of [['hands of a million', greedy], ['a pitch of 1', finest]] as const) {
    for (const name of ['grain-two-bins', 'grain-loading']) {
      it(`of ${name} with ${kind} ends in time`, async () => {
        const catalog = odd();
        const layout = sound(parsePlan({ ...(readJson(`models/plans/${name}.json`) as object), catalog }, sound(parseCatalog(catalog))));
        const begun = performance.now();
        const terms = termsByTarget(layout, (_, most) => most.div(FINEST));
        const { outcome, before } = await mendStation(layout, { terms, timeLimitSeconds: 4, now: () => performance.now() });
        expect(outcome).toMatchObject({ status: 'unknown', stoppedBy: 'time-limit' });
        expect(before).toBeUndefined();
        expect(performance.now() - begun).toBeLessThan(10_000);
      });
    }
  }

  it('tells what is known by then, and no more', async () => {
    const seen = { unknown: 0, found: 0, untold: 0 };
    const check = (answer: MendAnswer): void => {
      const { outcome, before, after, promise } = answer;
      const text = mendReport(answer, { ascii: false, ink: plainInks }).join(' ');
      const document = JSON.stringify(mendDocument(answer));
      const isWhole = before !== undefined && (after !== undefined || outcome.status === 'unknown');
      expect([outcome.status, text.includes('not known')]).toEqual([outcome.status === 'unknown' ? 'unknown' : 'optimal', !isWhole]);
      expect([promise !== undefined, document.includes('"result"')]).toEqual([after !== undefined, after !== undefined]);
      expect(document.includes('"after"')).toBe(after !== undefined);
      expect(outcome.proof.bound).toBe(0);
      for (const drawn of [mendPage(answer), mendSvg(answer)]) expect(drawn).not.toMatch(/undefined|NaN/);
    };
    for (const name of ['grain-two-bins', 'grain-loading']) {
      const layout = shippedPlan(name);
      const terms = termsByTarget(layout, (_, most) => most.div(20));
      // By a clock that goes on by a fifth of a second each time it is asked, from one limit to the next.
      for (let limit = 0; limit < 40; limit++) {
        let asked = 0;
        const answer = await mendStation(layout, { terms, starts: 3, timeLimitSeconds: limit, now: () => 200 * asked++ });
        check(answer);
        seen[answer.outcome.status === 'unknown' ? 'unknown' : 'found']++;
        if (answer.outcome.status === 'unknown') continue;
        // What was simulated to pass, however shortly before the limit, is told.
        expect([answer.before, answer.after]).not.toContain(undefined);
        check({ ...answer, before: undefined, lanesBefore: undefined });
        check({ ...answer, after: undefined, lanesAfter: undefined, promise: undefined });
        seen.untold++;
      }
    }
    expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(0);
  });
});

describe('the sizing of a station', () => {
  const terms = { itemsPerTick: undefined, roundTripTicks: undefined, layover: NO_RESERVE };

  for (const [kind, odd] of [['hands of a million', greedy], ['a pitch of 1', finest]] as const) {
    for (const name of ['grain-two-bins', 'grain-loading']) {
      it(`of ${name} with ${kind} ends in time`, () => {
        const catalog = odd();
        const layout = sound(parsePlan({ ...(readJson(`models/plans/${name}.json`) as object), catalog }, sound(parseCatalog(catalog))));
        const begun = performance.now();
        const { stopped, sizing } = sizeStation(layout, terms, { shouldStop: () => performance.now() > begun + 1_000, stopCause: () => 'time-limit' });
        expect([stopped, sizing]).toEqual([{ before: 'formula', by: 'time-limit' }, undefined]);
        expect(performance.now() - begun).toBeLessThan(5_000);
      });
    }
  }

  it('tells what is known by then, and no more', () => {
    const seen = { formula: 0, visits: 0, whole: 0 };
    for (const name of ['grain-two-bins', 'grain-loading']) {
      for (let times = 1; times < 5_000; times *= 2) {
        let asked = 0;
        const by = times % 3 === 1 ? 'time-limit' : 'interrupt';
        const finding = sizeStation(shippedPlan(name), terms, { shouldStop: () => ++asked > times, stopCause: () => by });
        const stopped = finding.stopped?.before;
        const text = stationReport(finding, { ascii: false, ink: plainInks }).join(' ');
        const document = stationDocument(finding);
        expect([text.includes('Not known'), text.includes('Visits are not known')]).toEqual([stopped === 'formula', stopped === 'visits']);
        expect(text.includes(by === 'interrupt' ? 'the run was ended from outside' : 'the time limit came')).toBe(stopped !== undefined);
        expect([document['met'], document['visits'] === undefined]).toEqual([stopped === 'formula' ? undefined : true, stopped !== undefined]);
        expect(document['stoppedBy']).toBe(stopped && by);
        seen[stopped ?? 'whole']++;
      }
    }
    expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(0);
  });
});
