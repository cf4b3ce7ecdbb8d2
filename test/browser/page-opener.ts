/**
 * Pages of these tests, opened from disk in one browser a suite; each is closed after its test, which fails if the page
 * complained or asked for anything besides itself.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect } from 'vitest';
import { ownFolder } from '../own-folder.js';
import { openBrowser } from './chromium.js';

/** To be called at the top of a suite. */
export function pageOpener(): (html: string, options?: BrowserContextOptions) => Promise<Page> {
  const folder = ownFolder();
  let browser: Browser;
  let page: Page | undefined;
  const complaints: string[] = [];

  beforeAll(async () => {
    browser = await openBrowser();
  });

  afterAll(async () => {
    await browser.close();
  });

  afterEach(async () => {
    await page?.close();
    page = undefined;
    expect(complaints.splice(0)).toEqual([]);
  });

  return async (html, options = {}) => {
    const file = join(folder, 'page.html');
    writeFileSync(file, html);
    page = await browser.newPage({ viewport: { width: 1200, height: 900 }, ...options });
    const url = pathToFileURL(file).href;
    page.on('console', (message) => complaints.push(`${message.type()}: ${message.text()}`));
    page.on('pageerror', (error) => complaints.push(error.message));
    page.on('request', (request) => {
      if (request.url() !== url && !request.url().startsWith('data:')) complaints.push(`asks for ${request.url()}`);
    });
    await page.goto(url);
    return page;
  };
}
