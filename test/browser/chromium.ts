/**
 * The browser of these tests: Debian's Chromium or another at a usual place, or what CHROMIUM names. Without one they
 * are left out, but not in CI.
 */
import { existsSync } from 'node:fs';
import { chromium, type Browser } from 'playwright-core';

const USUAL_PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
];

const named = process.env['CHROMIUM'];

export const CHROMIUM = named ?? USUAL_PLACES.find((path) => existsSync(path));

/** Whether these tests may be left out. */
export const NO_BROWSER = CHROMIUM === undefined && process.env['CI'] === undefined;

/** Looks nothing up by itself, so that what a page asks for is the page's own doing. */
const QUIET = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export function openBrowser(): Promise<Browser> {
  if (CHROMIUM === undefined) throw new Error('no Chromium: install it (Debian: apt-get install chromium) or name it in CHROMIUM');
  return chromium.launch({ executablePath: CHROMIUM, args: QUIET });
}
