/**
 * Pages in a real browser, opened from disk: nothing is asked of any network, plot and cards agree, the chosen layout
 * is shown, and what moves counts what the simulator counts.
 */
import type { BrowserContextOptions, Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { planPage, reportPage, trialDocument, tryPlan, visitPage, visitStation, writePlan, type JsonObject, type ReportEntry, type TrialAnswer } from '../../src/index.js';
import { countItems } from '../../src/simulation/counts.js';
import { planOf } from '../documents.js';
import { NO_BROWSER } from './chromium.js';
import { pageOpener } from './page-opener.js';

const tried = (name: string): TrialAnswer => tryPlan(planOf(`models/plans/${name}.json`), undefined);

const PLANS = ['grain-direct-tee', 'grain-two-bins', 'grain-two-exits'].map(tried);

const entryOf = (index: number, dearer = 0): ReportEntry => {
  const { layout, trial } = PLANS[index % PLANS.length];
  const document = trialDocument(tryPlan(layout, undefined));
  return { plan: writePlan(layout) as JsonObject, trial: { ...document, cost: trial.cost + dearer, footprint: trial.footprint + (dearer === 0 ? 0 : 100 - dearer) } };
};

const OBJECTIVES = ['cost', 'footprint', 'parts', 'imbalance'];
const LIST = reportPage({ title: 'Three stations', objectives: OBJECTIVES, entries: [0, 1, 2].map((index) => entryOf(index)), complete: true, knee: 1 });

describe.skipIf(NO_BROWSER)('in a browser', () => {
  const openPage = pageOpener();
  let page: Page;

  async function open(html: string, options: BrowserContextOptions = {}): Promise<void> {
    page = await openPage(html, options);
  }

  const button = (name: string): Locator => page.getByRole('button', { name, exact: true });
  const dot = (entry: number): Locator => page.locator(`.dot[data-entry="${entry}"]`);
  const clock = (): Locator => page.locator('[data-show=clock]');
  const tick = async (): Promise<number> => Number(await clock().getAttribute('data-tick'));
  const heading = (): Promise<string | null> => page.locator('#detail-heading').textContent();
  const preview = (): Promise<string | null> => page.locator('[data-show=preview] h3').textContent();

  async function goTo(ticks: number): Promise<void> {
    await page.getByLabel('tick to go to').fill(String(ticks));
    await button('Go to tick').click();
    expect(await tick()).toBe(ticks);
  }

  /** As the page shows it: [left, right] for each exit. */
  const shownCounts = async (): Promise<readonly (readonly [number, number])[]> => {
    const tapes = await page.locator('.tape').all();
    return Promise.all(tapes.map(async (tape): Promise<readonly [number, number]> => [Number(await tape.getAttribute('data-left')), Number(await tape.getAttribute('data-right'))]));
  };

  const countsOf = (index: number, ticks: number) => countItems(PLANS[index].layout, ticks).exits.map(({ left, right }) => [left, right] as const);

  it.each([0, 1, 2])('plan %i moves as it is simulated, tick by tick', async (index) => {
    await open(planPage(PLANS[index], {}));
    await button('Reset').click();
    expect(await tick()).toBe(0);
    expect(await shownCounts()).toEqual(countsOf(index, 0));
    for (const ticks of [1, 400, 1234, 77]) {
      await goTo(ticks);
      expect(await shownCounts()).toEqual(countsOf(index, ticks));
    }
    await button('Step').click();
    await button('Step').click();
    expect(await tick()).toBe(79);
  });

  it('runs, pauses, and has counted right until then', async () => {
    await open(planPage(PLANS[2], {}));
    await button('Reset').click();
    await page.getByLabel('speed').selectOption('16');
    await button('Run').click();
    await expect.poll(tick, { timeout: 10_000 }).toBeGreaterThan(800);
    await button('Pause').click();
    const stopped = await tick();
    expect(await shownCounts()).toEqual(countsOf(2, stopped));
    await page.waitForTimeout(100);
    expect(await tick()).toBe(stopped);
  });

  it('draws as many items as there are on belts that can be seen', async () => {
    await open(planPage(PLANS[0], {}));
    await goTo(1000);
    const drawn = await page.locator('.live circle.st-item:not([display])').count();
    const { exits, wagons } = countItems(PLANS[0].layout, 1000);
    const taken = wagons.reduce((sum, wagon) => sum + wagon.taken, 0);
    const held = (await page.locator('.live .hand text').allTextContents()).reduce((sum, text) => sum + Number(text), 0);
    const left = exits.reduce((sum, exit) => sum + exit.left + exit.right, 0);
    expect(drawn).toBe(taken - held - left);
    expect(drawn).toBeGreaterThan(0);
  });

  it('starts anew from the worst start of its trial where that is another one', async () => {
    const trial = { ...PLANS[1].trial, worstStart: 4 };
    await open(planPage({ ...PLANS[1], trial }, {}));
    await page.locator('select[data-action=start]').selectOption('4');
    expect(await tick()).toBe(0);
    await goTo(500);
    expect((await shownCounts())[0]).not.toEqual(countsOf(1, 500)[0]);
  });

  it('refuses a tick that is none', async () => {
    await open(planPage(PLANS[1], {}));
    const before = await tick();
    await page.getByLabel('tick to go to').fill('-3');
    await button('Go to tick').click();
    expect(await tick()).toBe(before);
  });

  it('has the same layouts in its plot as in its cards, with the same figures', async () => {
    await open(LIST);
    const entriesOf = async (selector: string): Promise<readonly number[]> =>
      Promise.all((await page.locator(selector).all()).map(async (each) => Number(await each.getAttribute('data-entry'))));
    const [dots, cards] = [await entriesOf('.dot'), await entriesOf('.card')];
    expect(cards).toEqual([0, 1, 2]);
    expect([...dots].sort()).toEqual(cards);
    for (const entry of cards) {
      const words = (await dot(entry).getAttribute('aria-label')) ?? '';
      const figures = await page.locator(`.card[data-entry="${entry}"] .figure`).allTextContents();
      expect(words).toContain(figures.join(', '));
      expect(words).toContain(`cost ${PLANS[entry].trial.cost}`);
    }
  });

  it('shows the knee at first, a dot when it is pointed at, and below what is chosen', async () => {
    await open(LIST);
    expect(await heading()).toBe('Layout 2 of 3: two bins, one for each lane');
    await dot(2).hover();
    expect(await preview()).toBe('Layout 3');
    expect(await heading()).toContain('Layout 2 of 3');
    await dot(2).click();
    expect(await heading()).toBe('Layout 3 of 3: a splitter, an underpass below a pillar, and a metered exit');
    expect(await dot(2).getAttribute('aria-selected')).toBe('true');
    expect(await page.locator('.card[aria-pressed=true]').getAttribute('data-entry')).toBe('2');
    await goTo(600);
    expect(await shownCounts()).toEqual(countsOf(2, 600));
    await page.locator('.card[data-entry="0"]').click();
    expect(await heading()).toContain('Layout 1 of 3');
    await goTo(600);
    expect(await shownCounts()).toEqual(countsOf(0, 600));
  });

  it('can be used by keys alone', async () => {
    await open(LIST);
    await page.locator('select[data-axis=y]').focus();
    await page.keyboard.press('Tab');
    const focused = (): Promise<string | null> => page.locator('.dot:focus').getAttribute('data-entry');
    const order = [0, 1, 2];
    expect(await focused()).toBe('1');
    await page.keyboard.press('End');
    expect(await focused()).toBe(String(order[2]));
    expect(await preview()).toBe('Layout 3');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('ArrowLeft');
    expect(await focused()).toBe('0');
    await page.keyboard.press('Enter');
    expect(await heading()).toContain('Layout 1 of 3');
    expect(await focused()).toBe('0');
    expect(await page.locator('[data-show=news]').textContent()).toContain('Layout 1 is shown below');
    expect(await page.evaluate("getComputedStyle(document.activeElement.querySelector('.ring')).strokeWidth")).toBe('3px');
  });

  it('plots any two objectives', async () => {
    await open(LIST);
    await page.locator('select[data-axis=x]').selectOption('parts');
    expect(await page.locator('.plot svg').getAttribute('aria-label')).toBe('Layouts by parts and footprint, tiles');
    await page.locator('select[data-axis=y]').selectOption('imbalance');
    expect(await page.locator('.plot .dot').count()).toBe(3);
  });

  it('fits a narrow screen, light and dark', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      await open(LIST, { viewport: { width: 360, height: 700 }, colorScheme });
      const overflow: unknown = await page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth');
      expect(overflow).toBe(0);
      const ground: unknown = await page.evaluate('getComputedStyle(document.body).backgroundColor');
      expect(ground).toBe(colorScheme === 'light' ? 'rgb(251, 250, 246)' : 'rgb(21, 24, 28)');
      if (colorScheme === 'light') await page.close();
    }
  });

  it('shows its tables whole in two columns too', async () => {
    for (const width of [900, 1000, 1200]) {
      await open(planPage(tried('grain-middle-bin'), {}), { viewport: { width, height: 900 } });
      const cut: unknown = await page.evaluate("[...document.querySelectorAll('.scroll')].map((box) => Math.max(0, box.scrollWidth - box.clientWidth))");
      expect(cut, String(width)).toEqual((cut as readonly number[]).map(() => 0));
      expect((cut as readonly number[]).length).toBeGreaterThan(2);
      await page.close();
    }
  });

  it('of trains keeps its words legible on a narrow screen, and moves the picture alone sideways', async () => {
    await open(visitPage(visitStation(PLANS[1].layout, { headwayTicks: 6000 })), { viewport: { width: 360, height: 700 } });
    const overflow: unknown = await page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth');
    expect(overflow).toBe(0);
    const heights = await page.evaluate<readonly number[]>("[...document.querySelectorAll('.visit text')].map((text) => text.getBoundingClientRect().height)");
    expect(heights.length).toBeGreaterThan(5);
    expect(Math.min(...heights)).toBeGreaterThan(8);
  });

  it('prints light, without buttons', async () => {
    await open(LIST, { colorScheme: 'dark' });
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    expect(await button('Run').isVisible()).toBe(false);
    expect(await page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe('rgb(251, 250, 246)');
  });

  it('holds fifty layouts in less than two megabytes, and shows any of them at once', async () => {
    const entries = Array.from({ length: 50 }, (_, index) => entryOf(index, index));
    const html = reportPage({ title: 'Fifty stations', objectives: OBJECTIVES, entries, complete: false });
    expect(Buffer.byteLength(html)).toBeLessThan(2_000_000);
    await open(html);
    expect(await page.locator('.dot').count()).toBe(50);
    const spent: unknown = await page.evaluate(
      `(() => { const from = performance.now(); document.querySelector('.card[data-entry="49"]').click(); return performance.now() - from; })()`,
    );
    expect(Number(spent)).toBeLessThan(3000);
    expect(await heading()).toContain('Layout 50 of 50');
    await page.locator('.card[data-entry="49"]').scrollIntoViewIfNeeded();
    await page.locator('.card[data-entry="49"] svg').waitFor();
  });

  it('says without a script all but what moves', async () => {
    await open(LIST, { javaScriptEnabled: false });
    expect(await page.getByText('the plot and the pictures of a list need a script').isVisible()).toBe(true);
    expect(await page.getByRole('table', { name: 'How each arm spends its time' }).isVisible()).toBe(true);
    expect(await button('Run').isVisible()).toBe(false);
  });
});
