/**
 * The frame of a page that needs no script and nothing else: a heading, what was found, and a last word.
 */
import { element, empty, escaped } from '../svg/markup.js';
import { PAGE_STYLE } from './page-style.js';

interface StillPage {
  readonly title: string;
  /** Beside that of all pages. */
  readonly style: string;
  /** Markup. */
  readonly header: readonly string[];
  readonly main: readonly string[];
  /** Plain text. */
  readonly footer: string;
}

export const paragraph = (text: string): string => element('p', {}, escaped(text.trim()));

export const note = (text: string): string => element('p', { class: 'note' }, escaped(text));

export function stillPage({ title, style, header, main, footer }: StillPage): string {
  const head = [
    empty('meta', { charset: 'utf-8' }),
    empty('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
    empty('meta', { name: 'color-scheme', content: 'light dark' }),
    empty('link', { rel: 'icon', href: 'data:,' }),
    element('title', {}, escaped(title)),
    element('style', {}, `${PAGE_STYLE}\n${style}`),
  ].join('\n');
  const body = [
    element('header', {}, element('h1', {}, escaped(title)), ...header),
    element('main', {}, ...main),
    element('footer', {}, escaped(footer)),
  ].join('\n');
  return `<!doctype html>\n<html lang="en">\n<head>\n${head}\n</head>\n<body>\n${body}\n</body>\n</html>\n`;
}
