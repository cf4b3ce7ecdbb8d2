/**
 * The page of a list of tradeoffs in a real browser: plot, cards and figures tell the same values, more is better where
 * it is, numbers are those of the whole list, and whatever is chosen moves as it is simulated.
 */
import type { BrowserContextOptions, Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { parseCondition, tradeoffsPage, viewTradeoffs, type Wishes } from '../../src/index.js';
import { countItems } from '../../src/simulation/counts.js';
import { answerWith, BRIEF } from '../report/stand-in-tradeoffs.js';
import { NO_BROWSER } from './chromium.js';
import { pageOpener } from './page-opener.js';

const OBJECTIVES = ['cost', 'footprint', 'fill', 'imbalance'] as const;
/** No other beats any of them in all four; by cost and fill alone, numbers 1, 3, 5 and 8 are the best. */
const VALUES: Parameters<typeof answerWith>[1] = [
  [60, 60, [3, 5], [1, 10]],
  [62, 50, [3, 5], [1, 10]],
  [65, 55, [7, 10], [1, 20]],
  [66, 48, [13, 20], [1, 20]],
  [70, 54, [17, 20], [1, 20]],
  [72, 40, [4, 5], [1, 50]],
  [75, 30, [4, 5], [1, 5]],
  [80, 52, 1, 0],
];
const ANSWER = answerWith(OBJECTIVES, VALUES);
const ALL: Wishes = { where: [], sort: [], most: undefined };

const pageOf = (wishes: Partial<Wishes> = {}): string => tradeoffsPage(viewTradeoffs(BRIEF, ANSWER, { ...ALL, ...wishes })) ?? '';

describe.skipIf(NO_BROWSER)('in a browser, a list of eight', () => {
  const openPage = pageOpener();
  let page: Page;

  async function open(html: string, options: BrowserContextOptions = {}): Promise<void> {
    page = await openPage(html, options);
  }

  const dot = (entry: number): Locator => page.locator(`.dot[data-entry="${entry}"]`);
  const choose = (axis: 'x' | 'y', objective: string): Promise<readonly string[]> => page.locator(`select[data-axis=${axis}]`).selectOption(objective);
  const better = (): Promise<string | null> => page.locator('[data-show=better]').textContent();
  const entriesOf = async (selector: string): Promise<readonly number[]> =>
    Promise.all((await page.locator(selector).all()).map(async (each) => Number(await each.getAttribute('data-entry'))));
  const placeOf = async (entry: number): Promise<{ readonly x: number; readonly y: number }> => {
    const box = await dot(entry).locator('.shape').boundingBox();
    if (box === null) throw new Error(`no dot ${entry}`);
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  };

  it('has each layout once in the plot and once among the cards, with the same values', async () => {
    await open(pageOf());
    expect(await entriesOf('.card')).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    expect([...(await entriesOf('.dot'))].sort()).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    for (const entry of [0, 4, 7]) {
      const words = (await dot(entry).getAttribute('aria-label')) ?? '';
      const figures = await page.locator(`.card[data-entry="${entry}"] .figure`).allTextContents();
      expect(figures).toHaveLength(4);
      expect(words).toContain(figures.join(', '));
    }
    expect(await dot(4).getAttribute('aria-label')).toContain('cost 70, footprint 54 tiles, fill 85.0 %, imbalance 0.050');
  });

  it('puts a greater fill higher, calls it better, and fills the dots of those that nothing betters', async () => {
    await open(pageOf());
    expect(await better()).toBe('Left and low is better.');
    await choose('y', 'fill');
    expect(await better()).toBe('Left and high is better.');
    expect(await entriesOf('.dot.best')).toEqual([0, 2, 4, 7]);
    const [low, high] = [await placeOf(0), await placeOf(7)];
    expect(high.y).toBeLessThan(low.y);
    expect(high.x).toBeGreaterThan(low.x);
    await choose('x', 'fill');
    await choose('y', 'cost');
    expect(await better()).toBe('Right and low is better.');
    expect(await entriesOf('.dot.best')).toEqual([0, 2, 4, 7]);
    expect(await page.locator('.plot text').allTextContents()).toContain('100%');
  });

  it('goes through the dots by keys on any two sides', async () => {
    await open(pageOf());
    await choose('y', 'fill');
    await page.locator('select[data-axis=y]').focus();
    await page.keyboard.press('Tab');
    await page.keyboard.press('Home');
    const focused = async (): Promise<number> => Number(await page.locator('.dot:focus').getAttribute('data-entry'));
    const order = [await focused()];
    for (let step = 1; step < 8; step += 1) {
      await page.keyboard.press('ArrowRight');
      order.push(await focused());
    }
    expect(order).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    await page.keyboard.press('Enter');
    expect(await page.locator('#detail-heading').textContent()).toContain('Layout 8 of 8');
  });

  it.each([0, 4, 5])('shows layout %i when its dot is chosen, and moves it as it is simulated', async (entry) => {
    await open(pageOf());
    await dot(entry).click();
    expect(await page.locator('[data-show=detail]').getAttribute('data-entry')).toBe(String(entry));
    for (const ticks of [0, 321, 1500]) {
      await page.getByLabel('tick to go to').fill(String(ticks));
      await page.getByRole('button', { name: 'Go to tick', exact: true }).click();
      const shown = await Promise.all(
        (await page.locator('.tape').all()).map(async (tape) => [Number(await tape.getAttribute('data-left')), Number(await tape.getAttribute('data-right'))]),
      );
      expect(shown).toEqual(countItems(ANSWER.entries[entry].layout, ticks).exits.map(({ left, right }) => [left, right]));
    }
  });

  it('keeps the numbers of the whole list where only some are shown, in another order', async () => {
    const condition = parseCondition('footprint<=50');
    if (!condition.ok) throw new Error('a sound condition');
    await open(pageOf({ where: [condition.value], sort: [{ measure: 'footprint', reversed: false }] }));
    expect(await page.locator('.card .badge').allTextContents()).toEqual(['7', '6', '4', '2']);
    expect(await page.locator('.dot text').allTextContents()).toEqual(expect.arrayContaining(['2', '4', '6', '7']));
    await page.locator('.card[data-entry="0"]').click();
    expect(await page.locator('#detail-heading').textContent()).toContain('Layout 7 of 8');
    expect(await page.locator('header').textContent()).toContain('Shown: those with footprint<=50, by footprint.');
  });

  it('goes on moving: nine of ten pictures come within a quarter of a second', async () => {
    await open(pageOf());
    await dot(7).click();
    await page.getByLabel('speed').selectOption('16');
    await page.getByRole('button', { name: 'Run', exact: true }).click();
    const slowest: unknown = await page.evaluate(
      `new Promise((resolve) => { const gaps = []; let last = performance.now(); const next = (now) => { gaps.push(now - last); last = now; if (gaps.length < 60) requestAnimationFrame(next); else resolve(gaps.sort((a, b) => a - b)[54]); }; requestAnimationFrame(next); })`,
    );
    expect(Number(slowest)).toBeLessThan(250);
  });
});
