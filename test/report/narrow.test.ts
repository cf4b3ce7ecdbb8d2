/**
 * On narrow terminals no line of these reports is wider than the terminal, and charts leave out nothing of the run.
 */
import stringWidth from 'string-width';
import { expect, it } from 'vitest';
import { armRates, parsePlan, ratesReport, TICK_LIMIT, visitReport, visitStation, whyReport, whyStation, type Layout } from '../../src/index.js';
import { plainInks } from '../../src/report/ink.js';
import { readCatalog, readJson } from '../documents.js';

const CATALOG = readCatalog('models/catalogs/grain-yard.json');
const plan = parsePlan(readJson('models/plans/grain-two-bins.json'), CATALOG);
if (!plan.ok) throw new Error('the sample plan is sound');
const LAYOUT: Layout = plan.value;

const narrow = (columns: number) => ({ ink: plainInks, ascii: false, columns });
const tooWide = (lines: readonly string[], columns: number): readonly string[] => lines.filter((line) => stringWidth(line) > columns);

it.each([40, 60, 80])('why and rates, in %i columns', (columns) => {
  const why = whyStation(LAYOUT, { starts: 0, seed: 1, tickLimit: TICK_LIMIT, changes: true, shouldStop: undefined });
  expect(tooWide(whyReport(why, narrow(columns), false), columns)).toEqual([]);
  const rates = ratesReport(CATALOG, armRates(CATALOG), narrow(columns));
  expect(tooWide(rates, columns)).toEqual([]);
  expect(rates.join('\n')).toContain('below it');
});

it('a chart of few columns shows the cycle to its end', () => {
  const answer = visitStation(LAYOUT, {});
  for (const columns of [40, 80, 200]) {
    expect(visitReport(answer, narrow(columns), false).join('\n').replace(/\s+/g, ' '), String(columns)).toContain('One cycle, 22500 ticks (7 min 30 s)');
  }
});
