/**
 * On narrow terminals no line of these reports is wider than the terminal (but for pictures, which can't be), and nothing
 * of what they tell is left out.
 */
import stringWidth from 'string-width';
import { expect, it } from 'vitest';
import {
  armRates,
  designReport,
  designStation,
  findTradeoffs,
  fitMeasurements,
  fitReport,
  parseBrief,
  parseMeasurements,
  pickedReport,
  pictureReport,
  ratesReport,
  sizeStation,
  spottingReport,
  stationReport,
  TICK_LIMIT,
  tradeoffsReport,
  viewTradeoffs,
  trialReport,
  tryPlan,
  trySpotting,
  visitReport,
  visitStation,
  whyReport,
  whyStation,
  NO_RESERVE,
  type Layout,
} from '../../src/index.js';
import { ratio } from '../../src/base/rational.js';
import { plainInks } from '../../src/report/ink.js';
import { fittingTable, verdictLines, type Table } from '../../src/report/table.js';
import { planOf, readCatalog, readJson } from '../documents.js';

const CATALOG = readCatalog('models/catalogs/grain-yard.json');

const sample = (name: string): Layout => planOf(`models/plans/${name}.json`);

const LAYOUT = sample('grain-two-bins');

const narrow = (columns: number) => ({ ink: plainInks, ascii: false, columns });
const tooWide = (lines: readonly string[], columns: number): readonly string[] => lines.filter((line) => stringWidth(line) > columns);
/** Sentences that were broken onto several lines read as one. */
const words = (lines: readonly string[]): string => lines.join(' ').replace(/\s+/g, ' ');

const withoutPicture = (lines: readonly string[]): readonly string[] => lines.filter((line) => !/[│║╔╚└┌]/.test(line));

const WIDTHS = [40, 60, 80];

it.each(WIDTHS)('why and rates, in %i columns', (columns) => {
  const why = whyStation(LAYOUT, { starts: 0, seed: 1, tickLimit: TICK_LIMIT, changes: true, shouldStop: undefined });
  expect(tooWide(whyReport(why, narrow(columns), false), columns)).toEqual([]);
  const whole = whyStation(sample('grain-direct-tee'), { starts: 0, seed: 1, tickLimit: TICK_LIMIT, changes: false, shouldStop: undefined });
  expect(tooWide(whyReport(whole, narrow(columns), false), columns)).toEqual([]);
  expect(words(whyReport(whole, narrow(columns), false))).toContain('nothing is missing');
  const rates = ratesReport(CATALOG, armRates(CATALOG), narrow(columns));
  expect(tooWide(rates, columns)).toEqual([]);
  expect(rates.join('\n')).toContain('below it');
});

it.each(['grain-two-bins', 'grain-two-exits', 'grain-middle-bin', 'grain-loading', 'grain-both-sides'])('trial, draw, visit and station of %s', (name) => {
  const layout = sample(name);
  const answer = tryPlan(layout, undefined, { starts: 2, countTicks: 500 });
  const stops = trySpotting(answer, undefined, 1);
  const visits = visitStation(layout, { headwayTicks: 6000 });
  const sized = sizeStation(layout, { itemsPerTick: undefined, roundTripTicks: ratio(45000), layover: NO_RESERVE });
  for (const columns of WIDTHS) {
    const style = narrow(columns);
    const trial = withoutPicture(trialReport(answer, style));
    const reports = {
      trial,
      draw: withoutPicture(pictureReport(answer, style)),
      spotting: spottingReport(stops, style),
      visit: visitReport(visits, style, false),
      station: stationReport(sized, style, false),
    };
    for (const [report, lines] of Object.entries(reports)) expect(tooWide(lines, columns), `${report}, ${columns}`).toEqual([]);
    for (const { at } of answer.trial.arms) expect(words(trial)).toContain(`[${at.x}, ${at.y}]`);
  }
});

it.each(WIDTHS)('fit, in %i columns', (columns) => {
  const measured = parseMeasurements(readJson('models/measurements/grain-yard.json'));
  if (!measured.ok) throw new Error('the sample is sound');
  const lines = fitReport(measured.value, fitMeasurements(measured.value).fit, narrow(columns), false);
  expect(tooWide(lines, columns)).toEqual([]);
  expect(words(lines)).toContain('may be 7 to 11');
});

it('a design, a list of tradeoffs and one picked of it', async () => {
  const brief = parseBrief(readJson('models/briefs/grain-060-direct.json'), CATALOG);
  if (!brief.ok) throw new Error('the sample brief is sound');
  const design = await designStation(brief.value, { now: () => 0 });
  const objectives = ['cost', 'footprint', 'parts', 'imbalance', 'dwell', 'trainsPerHour', 'depth', 'width'] as const;
  const listed = viewTradeoffs(brief.value, await findTradeoffs(brief.value, { objectives, now: () => 0 }), { where: [], sort: [], most: undefined });
  for (const columns of WIDTHS) {
    const reports = {
      design: withoutPicture(designReport(design, narrow(columns))),
      list: tradeoffsReport(listed, narrow(columns)),
      picked: withoutPicture(pickedReport(listed, 0, narrow(columns))),
    };
    for (const [report, lines] of Object.entries(reports)) expect(tooWide(lines, columns), `${report}, ${columns}`).toEqual([]);
    expect(words(reports.list)).toContain('a cost of');
  }
});

const TABLE: Table = {
  heads: ['', 'exit', 'flow', 'fill'],
  rows: [['A', 'south', '20.00/s', '100.0 %'], ['', 'left', '', '50.0 %']],
  align: ['left', 'left', 'right', 'right'],
  names: 2,
  told: ['', '', '', 'fill'],
};

it('a table that does not fit is told row by row, and none of its cells is left out', () => {
  expect(fittingTable(narrow(40), TABLE)).toEqual(['     exit      flow     fill', '  A  south  20.00/s  100.0 %', '     left             50.0 %']);
  expect(fittingTable(narrow(25), TABLE)).toEqual(['  A  south', '    20.00/s, fill 100.0 %', '  left', '    fill 50.0 %']);
  expect(fittingTable(narrow(16), TABLE)).toEqual(['  A  south', '    20.00/s,', '    fill 100.0 %', '  left', '    fill 50.0 %']);
});

it('a verdict fills its lines as far as they go', () => {
  expect(verdictLines('Optimal', 'good', 'no station costs less than this one does', 30, narrow(30))).toEqual(['Optimal: no station costs', '  less than this one does']);
});

it('a chart of few columns shows the cycle to its end', () => {
  const answer = visitStation(LAYOUT, {});
  for (const columns of [40, 80, 200]) {
    expect(words(visitReport(answer, narrow(columns), false)), String(columns)).toContain('One cycle, 22500 ticks (7 min 30 s)');
  }
});
