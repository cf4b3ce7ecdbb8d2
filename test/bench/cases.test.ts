/** What the bench measures can be read, and something leaves each plan that its simulators run. */
import { expect, it } from 'vitest';
import { briefCases, planCases, readBrief } from '../../bench/cases.js';
import { listCases } from '../../bench/measure-lists.js';
import { itemsLeft } from '../../bench/measure-simulators.js';

it('briefs are those of the tests', () => {
  const briefs = briefCases().map(({ path }) => readBrief(path));
  expect(briefs.length).toBeGreaterThan(10);
});

it('lists are of briefs with one exit', () => {
  expect(listCases().length).toBeGreaterThan(5);
});

it('items leave every plan', () => {
  const plans = planCases();
  expect(plans.length).toBeGreaterThan(3);
  for (const { name, layout } of plans) expect([name, itemsLeft(layout) > 0]).toEqual([name, true]);
});
