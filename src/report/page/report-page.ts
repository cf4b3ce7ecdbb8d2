/**
 * The page of one layout or of a list of them: one file that asks nothing of any network. Here is its frame and what
 * it says without a script; the sections of one layout are in `detail-html.ts`, what happens in the
 * page in `src/page/`, whose built text is handed in.
 */
import { counted } from '../numbers.js';
import { element, empty, escaped } from '../svg/markup.js';
import { PICTURE_STYLE } from '../svg/picture-style.js';
import { detailHtml } from './detail-html.js';
import { measureParts, measureWord } from '../measure-words.js';
import { entryHeading, entryNumber, firstShown, objectiveText, type PageData, type PageEntry } from './page-data.js';
import { PAGE_STYLE } from './page-style.js';

/** Nothing but what stands in the file itself. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/** JSON that can't end the element in which it stands. */
const embedded = (value: unknown): string => JSON.stringify(value).replaceAll('<', '\\u003c');

function introduction({ list, complete, notes, kneeReason }: PageData): string {
  const reason = kneeReason === undefined ? '' : element('p', { class: 'note' }, escaped(kneeReason));
  if (notes !== undefined) return element('p', {}, escaped(notes.join(' '))) + reason;
  if (list.length === 1) return '';
  const whole = complete
    ? 'The list is complete: every other station is matched or beaten by one of these in every objective.'
    : 'The list may lack some: the search was stopped before it was complete.';
  return element('p', {}, `${counted(list.length, 'station')}, each the best there is for some wish. ${whole}`) + reason;
}

function axisChoice(objectives: readonly string[], axis: 'x' | 'y', chosen: number): string {
  const options = objectives.map((name, index) => element('option', { value: name, selected: index === chosen }, escaped(measureWord(name))));
  return element('label', {}, axis === 'x' ? 'across ' : 'up ', element('select', { 'data-axis': axis }, ...options));
}

function overview({ objectives }: PageData): string {
  return element(
    'section',
    { class: 'overview', 'aria-labelledby': 'overview-heading', hidden: true },
    element('h2', { id: 'overview-heading' }, 'What can be traded for what'),
    element('div', { class: 'axes' }, axisChoice(objectives, 'x', 0), axisChoice(objectives, 'y', Math.min(1, objectives.length - 1))),
    element(
      'div',
      { class: 'overview-columns' },
      element(
        'div',
        {},
        element('div', { class: 'plot', 'data-show': 'plot' }),
        element(
          'p',
          { class: 'note' },
          element('span', { 'data-show': 'better' }),
          ' Full dots: nothing is better in both of these objectives. Hollow dots are better in another one. ',
          'A diamond gives most for what it asks. Arrow keys go from dot to dot, Enter shows that layout below.',
        ),
      ),
      element('div', { class: 'preview', 'data-show': 'preview' }),
    ),
  );
}

function card(data: PageData, index: number): string {
  const figures = data.objectives.map((name) => {
    const [before, amount, after] = measureParts(name, objectiveText(data.list[index], name)).map(escaped);
    return element('span', { class: 'figure' }, before, element('b', {}, amount), after);
  });
  return element(
    'li',
    {},
    element(
      'button',
      { type: 'button', class: 'card', 'data-entry': index, 'aria-pressed': String(index === firstShown(data)) },
      element('span', { class: 'badge' }, String(entryNumber(data, index))),
      ...(index === data.knee ? [element('span', { class: 'tag' }, 'most for what it asks')] : []),
      element('span', { class: 'thumb', 'data-thumb': index }),
      element('span', { class: 'card-figures' }, ...figures),
    ),
  );
}

const gallery = (data: PageData): string =>
  element(
    'section',
    { class: 'gallery', 'aria-labelledby': 'gallery-heading' },
    element('h2', { id: 'gallery-heading' }, 'Side by side'),
    element('ol', { class: 'cards' }, ...data.list.map((_, index) => card(data, index))),
  );

/** `shown` is the entry of `firstShown`; `script` the text of the page's script. */
export function reportPageHtml(data: PageData, shown: PageEntry, script: string): string {
  const many = data.list.length > 1;
  return (
    '<!doctype html>\n' +
    element(
      'html',
      { lang: 'en' },
      element(
        'head',
        {},
        '<meta charset="utf-8">',
        empty('meta', { 'http-equiv': 'Content-Security-Policy', content: POLICY }),
        empty('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
        empty('meta', { name: 'color-scheme', content: 'light dark' }),
        empty('link', { rel: 'icon', href: 'data:,' }),
        element('title', {}, escaped(data.title)),
        element('style', {}, `\n${PAGE_STYLE}\n${PICTURE_STYLE}\n`),
      ),
      '\n',
      element(
        'body',
        {},
        element('header', {}, element('h1', {}, escaped(data.title)), introduction(data)),
        element(
          'main',
          {},
          element('p', { class: 'note', 'data-show': 'script-needed' }, 'The moving picture, the plot and the pictures of a list need a script; the figures below do not.'),
          ...(many ? [overview(data), gallery(data)] : []),
          element(
            'section',
            { class: 'detail', 'aria-labelledby': 'detail-heading', 'data-show': 'detail' },
            detailHtml(shown, entryHeading(data, firstShown(data), shown.layout.name)),
          ),
        ),
        element(
          'footer',
          {},
          element(
            'p',
            {},
            'An idealised tile world, for comparing stations in it. Do not build from this page: real conveyors, arms and railways need their own standards and licensed engineers.',
          ),
        ),
        element('p', { class: 'unseen', 'aria-live': 'polite', 'data-show': 'news' }),
        '\n',
        element('script', { type: 'application/json', id: 'list' }, embedded(data)),
        '\n',
        element('script', {}, script.replaceAll('</script', '<\\/script')),
      ),
    ) +
    '\n'
  );
}
