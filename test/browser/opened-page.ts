/**
 * A page of these tests, opened from disk, and all that is wrong with how it behaves.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';

export interface OpenedPage {
  readonly page: Page;
  /** What went wrong, and what was asked for besides the page; grows. */
  readonly complaints: readonly string[];
}

export async function openPage(browser: Browser, folder: string, html: string, options: BrowserContextOptions = {}): Promise<OpenedPage> {
  const file = join(folder, 'page.html');
  writeFileSync(file, html);
  const page = await browser.newPage({ viewport: { width: 1200, height: 900 }, ...options });
  const url = pathToFileURL(file).href;
  const complaints: string[] = [];
  page.on('console', (message) => complaints.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('request', (request) => {
    if (request.url() !== url && !request.url().startsWith('data:')) complaints.push(`asks for ${request.url()}`);
  });
  await page.goto(url);
  return { page, complaints };
}
