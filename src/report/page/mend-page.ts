/**
 * One page about a repair: before and after, the steps with their prices, flows, and what was proven. What is drawn is in
 * `svg/mend-svg.ts`.
 */
import type { Style } from '../canvas.js';
import { plainInks } from '../ink.js';
import { flowRows, flowsHead, flowsNote, hasAfter, IDEALISED, mendHeadline, mendVerdict, overfullSentence, proofWords, repairOf, stepWords, type MendFinding } from '../mend-text.js';
import { element, escaped } from '../svg/markup.js';
import { mendFigures, MEND_STYLE } from '../svg/mend-svg.js';
import { note, paragraph, stillPage } from './still-page.js';

const plain: Style = { ascii: false, ink: plainInks };

const LOOK = `
.pictures{display:flex;flex-wrap:wrap;gap:12px 28px;margin:1em 0}
.pictures figure{flex:1 1 280px;margin:0;min-width:0}
.pictures figcaption{font-weight:600}
.pictures svg{display:block;width:100%;height:auto}
main table{width:auto}
main td:not(.number){white-space:normal}`;

type Cell = readonly [text: string, isNumber: boolean];

const row = (name: 'td' | 'th', cells: readonly Cell[]): string =>
  element('tr', {}, ...cells.map(([text, isNumber]) => element(name, { class: isNumber ? 'number' : undefined }, escaped(text))));

const table = (head: readonly Cell[], rows: readonly (readonly Cell[])[]): string =>
  element('div', { class: 'scroll' }, element('table', {}, element('thead', {}, row('th', head)), element('tbody', {}, ...rows.map((cells) => row('td', cells)))));

function stepsTable(finding: MendFinding): readonly string[] {
  const steps = repairOf(finding)?.steps ?? [];
  if (steps.length === 0) return [];
  const price = steps.reduce((sum, step) => sum + step.price, 0);
  const rows = steps.map((step, index): readonly Cell[] => [[`${index + 1}.`, true], [stepWords(step), false], [String(step.price), true]]);
  return [element('h2', {}, 'Steps'), table([['', true], ['what to do', false], ['price', true]], [...rows, [['', true], ['in all', false], [String(price), true]]])];
}

export function mendPage(finding: MendFinding): string {
  const { layout, outcome } = finding;
  const sentence = overfullSentence(finding);
  const figures = mendFigures(finding).map(({ title, svg }) => element('figure', {}, element('figcaption', {}, title), svg));
  const flows = flowRows(finding, plain).map((cells) => cells.map((text, column): Cell => [text.replace(/  +/, ', '), column > 0]));
  return stillPage({
    title: `${layout.name}: a repair`,
    style: `${MEND_STYLE}${LOOK}`,
    header: [paragraph(`${mendHeadline(outcome)}: ${mendVerdict(outcome)}`)],
    main: [
      element('div', { class: 'pictures' }, ...figures),
      ...(figures.length > 1 ? [note('Numbers are those of the steps. Broken outline: what is taken away.')] : []),
      ...stepsTable(finding),
      element('h2', {}, 'Flows'),
      table([[flowsHead(finding), false], ['asked', true], ['before', true], [hasAfter(finding) ? 'after' : '', true]], flows),
      note(flowsNote(finding)),
      ...(sentence === undefined ? [] : [paragraph(sentence)]),
      element('h2', {}, 'Proof'),
      ...proofWords(finding).map(paragraph),
    ],
    footer: IDEALISED,
  });
}
