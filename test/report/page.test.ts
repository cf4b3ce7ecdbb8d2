/**
 * The page as text: what it says without a script, what it carries for one, and that nothing in it breaks out.
 */
import { describe, expect, it } from 'vitest';
import { trialDocument, tryPlan, writePlan, reportPage, planPage, type JsonObject } from '../../src/index.js';
import { readTrial } from '../../src/report/read-trial.js';
import { trialJson } from '../../src/report/trial-json.js';
import { planOf } from '../documents.js';

const answers = ['direct-tee', 'two-bins', 'two-exits'].map((name) => tryPlan(planOf(`models/plans/grain-${name}.json`), undefined));

const entries = answers.map((answer) => ({ plan: writePlan(answer.layout) as JsonObject, trial: trialDocument(answer) }));
const OBJECTIVES = ['cost', 'footprint', 'parts', 'imbalance'];
const list = reportPage({ title: 'Three <stations>', objectives: OBJECTIVES, entries, complete: true, knee: 1 });

const carried = (page: string): unknown => JSON.parse(/<script type="application\/json" id="list">(.*)<\/script>/.exec(page)?.[1] ?? '');

describe('a trial', () => {
  it('is read back from its JSON as it was', () => {
    for (const { layout, trial } of answers) {
      const read = readTrial(trialJson(trial, layout.catalog.ticksPerSecond));
      expect(trialJson(read, layout.catalog.ticksPerSecond)).toEqual(trialJson(trial, layout.catalog.ticksPerSecond));
    }
  });

  it('of another shape is a fault', () => {
    expect(() => readTrial({ exact: true })).toThrow('a result is as this program writes it');
  });
});

describe('the page of a list', () => {
  it('carries the list for its script, and for others', () => {
    expect(carried(list)).toEqual({ title: 'Three <stations>', objectives: OBJECTIVES, complete: true, knee: 1, list: entries });
  });

  it('asks nothing of any network, and says so to the browser', () => {
    expect(list).toContain("default-src 'none'");
    expect(list.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:|src=|@import|url\(/);
  });

  it('says without a script what there is and what is shown', () => {
    const body = list.slice(0, list.indexOf('id="list"'));
    expect(body).toContain('Three &lt;stations&gt;');
    expect(body).toContain('The list is complete');
    expect(body.match(/class="card"/g)).toHaveLength(3);
    expect(body).toContain('Layout 2 of 3: two bins, one for each lane');
    expect(body).toContain('They are exact: the station repeats every 300 ticks');
    expect(body).toContain('chest to belt');
    expect(body).not.toMatch(/undefined|NaN|\[object/);
  });

  it('says beside chests for which share of the time a wagon stands there, if not always', () => {
    const promised = (presence: string): string => planPage(answers[1], { result: { presence } });
    expect(promised('9/10')).toContain('A wagon stands there 90.0 % of the time, so only that share of what can be filled counts.');
    for (const page of [promised('1'), planPage(answers[1], {}), planPage(answers[0], { result: { presence: '9/10' } })]) {
      expect(/A wagon stands there \d/.test(page)).toBe(false);
    }
  });

  it('says which arms have which letter, if there are several models of them', () => {
    const { layout } = answers[0];
    const span = layout.catalog.arms.find(({ name }) => name === 'span arm') ?? layout.catalog.arms[0];
    const first = layout.parts.findIndex(({ kind }) => kind === 'arm');
    const parts = layout.parts.map((part, index) => (part.kind === 'arm' && index === first ? { ...part, model: span } : part));
    expect(planPage(tryPlan({ ...layout, parts }, undefined), {})).toMatch(/>bay arm \(a\)<.*>span arm \(b\)</);
    expect(planPage(answers[0], {})).toContain('>bay arm<');
  });

  it('says when it may lack some', () => {
    expect(reportPage({ title: 'x', objectives: OBJECTIVES, entries, complete: false })).toContain('The list may lack some');
  });
});

describe('the page of a plan', () => {
  it('has neither plot nor cards, and keeps what the plan promises', () => {
    const result = { status: 'optimal', cost: 76, proof: { bound: 76, cost: 76, space: 'all </script><b>', solver: 'glpk', rounds: 2, simulations: 1 } };
    const page = planPage(answers[1], { result });
    expect(page).not.toMatch(/class="(card|plot|preview)"/);
    expect(page).toContain('Optimal: no station in the searched space meets the brief with less. Its cost is 76; the proven lower bound is 76.');
    expect(page).toContain('The search took 2 rounds, 1 simulation, solver glpk.');
    expect(page).toContain('Searched: all &lt;/script&gt;&lt;b&gt;.');
    expect(page.match(/<\/script>/g)).toHaveLength(2);
  });

  it('says that nothing is promised where nothing is', () => {
    expect(planPage(answers[1], {})).toContain('This plan promises nothing.');
  });
});
