/**
 * One page about the trains at a station, and the same picture as an SVG file; neither needs a script or anything else. What
 * is drawn is in `svg/visit-svg.ts`.
 */
import { entriesOf, type Layout } from '../../layout/layout.js';
import { plainInks } from '../ink.js';
import type { Style } from '../canvas.js';
import { element, escaped } from '../svg/markup.js';
import { VISIT_LABEL, VISIT_STYLE, visitDrawing } from '../svg/visit-svg.js';
import { visitVerdict, waitText, termsLine, type VisitFinding } from '../visit-text.js';
import { PALETTE_STYLE } from './page-style.js';
import { note, paragraph, stillPage } from './still-page.js';

const plain: Style = { ascii: false, ink: plainInks };

/** Of what is not there, nothing is said. */
function idealised(layout: Layout): string {
  const takes = layout.exits.length === 0 ? undefined : 'exits that take';
  const gives = entriesOf(layout).length === 0 ? undefined : 'entries that give';
  const edges = [takes, gives].filter((words) => words !== undefined).join(' and ');
  return `For an idealised tile world: trains that come to the tick, one track${edges === '' ? '' : `, ${edges} what they can`}.`;
}

/** On a screen too narrow for its words the picture keeps a size at which they can be read, and is moved sideways; paper has no sideways. */
const LOOK = `
.visit{display:block;width:100%;height:auto}
figure.scroll{margin:1em 0}
@media screen{.visit{min-width:640px}}`;

const drawingOf = (finding: VisitFinding, own: boolean): string => {
  const { markup, width, height } = visitDrawing(finding);
  const style = own ? element('style', {}, `${PALETTE_STYLE}\nsvg{background:var(--sheet)}\n${VISIT_STYLE}`) : '';
  return element('svg', { xmlns: 'http://www.w3.org/2000/svg', class: 'visit', viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': VISIT_LABEL }, style, markup);
};

/** A stand-alone file, light or dark as its reader likes. */
export const visitSvg = (finding: VisitFinding): string => `${drawingOf(finding, true)}\n`;

/** Why trains stood so long, each reason once. */
function waits(finding: VisitFinding): readonly string[] {
  const told = new Map<string, number[]>();
  for (const visit of finding.result.visits) {
    if (visit.waitedFor === undefined) continue;
    const text = waitText(visit.waitedFor, visit, finding);
    told.set(text, [...(told.get(text) ?? []), visit.number]);
  }
  return [...told].map(([text, numbers]) => `${numbers.length === 1 ? 'Train' : 'Trains'} ${numbers.join(', ')}. ${text}`);
}

export function visitPage(finding: VisitFinding): string {
  const { layout } = finding;
  const title = `${layout.name}: trains`;
  const reasons = waits(finding);
  return stillPage({
    title,
    style: `${LOOK}\n${VISIT_STYLE}`,
    header: [...visitVerdict(finding, plain).map(paragraph), note(termsLine(finding))],
    main: [
      element('figure', { class: 'scroll' }, drawingOf(finding, false)),
      note(`Shaded: a train stands there. ${layout.exits.length === 0 ? '' : 'Hatched: the exit is starved, nothing has left over it for a second. '}Dotted: all that a wagon or chest holds${layout.exits.length === 0 ? '' : ', or a belt carries'}.`),
      ...(reasons.length === 0 ? [] : [element('h2', {}, 'What the last wagon waited for'), element('ul', {}, ...reasons.map((text) => element('li', {}, escaped(text))))]),
    ],
    footer: idealised(layout),
  });
}
