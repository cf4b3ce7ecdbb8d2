/**
 * A repair as pictures: the plan before and after, with the number of each step at the part that it changes. The pictures
 * themselves are those of `layout-svg.ts`; what goes around them on a page is in `page/mend-page.ts`.
 */
import type { Tile } from '../../base/geometry.js';
import { ratio, type Rational } from '../../base/rational.js';
import { tilesOf, type Layout, type Part } from '../../layout/layout.js';
import type { LaneFlows } from '../../simulation/lane-flows.js';
import { flowSentences, mendHeadline, mendVerdict, repairOf, stepSentences, type GivenFlows, type MendFinding } from '../mend-text.js';
import { wrap } from '../table.js';
import { centreOf, HALF, TILE } from './lane-geometry.js';
import { frameOf, type PictureFrame } from './ground-svg.js';
import { drawPicture, pictureLabel } from './layout-svg.js';
import { element, empty, escaped } from './markup.js';
import { PICTURE_STYLE } from './picture-style.js';

/** No meaning rests on colour alone: what goes is marked by a broken line. */
const MARK_RULES = (line: string, ground: string): string => `.st-mark{stroke:${line}}\n.st-step{fill:${line}}\n.st-number{fill:${ground}}`;

export const MEND_STYLE = `${PICTURE_STYLE}
.st-mark{fill:none;stroke-width:2}
.st-gone{stroke-dasharray:5 4}
.st-picture .st-number{font-size:9.5px;font-weight:700;text-anchor:middle}
${MARK_RULES('#a3460f', '#ffffff')}
@media screen and (prefers-color-scheme:dark){
${MARK_RULES('#f0a35e', '#15181c')}
}`;

interface Mark {
  readonly part: Part;
  readonly number: number;
  readonly isGone: boolean;
}

const BADGE = 8;

function drawMark({ part, number, isGone }: Mark): string {
  const tiles = tilesOf(part);
  const outline = (tile: Tile): string => {
    const { x, y } = centreOf(tile);
    return empty('rect', { class: isGone ? 'st-mark st-gone' : 'st-mark', x: x - HALF + 1, y: y - HALF + 1, width: TILE - 2, height: TILE - 2, rx: 6 });
  };
  const { x, y } = centreOf(tiles[0]);
  const corner = { x: x + HALF - 3, y: y - HALF + 3 };
  return (
    tiles.map(outline).join('') +
    empty('circle', { class: 'st-step', cx: corner.x, cy: corner.y, r: BADGE }) +
    element('text', { class: 'st-number', x: corner.x, y: corner.y + 3.5 }, String(number))
  );
}

interface MarkedPicture {
  readonly title: string;
  readonly layout: Layout;
  readonly frame: PictureFrame;
  readonly markup: string;
}

function fillsOf({ brief, layout }: MendFinding, flows: GivenFlows | undefined): readonly Rational[] | undefined {
  return flows && brief.exits.map(({ belt }, exit) => flows.exits[exit].flow.div(ratio(2 * belt.speed, layout.catalog.pitch)));
}

/** One of a plan that needs nothing or for which nothing was found, else two. */
function pictures(finding: MendFinding): readonly MarkedPicture[] {
  const { layout, before, after, lanesBefore, lanesAfter } = finding;
  const repair = repairOf(finding);
  const picture = (title: string, shown: Layout, flows: LaneFlows | undefined, fills: readonly Rational[] | undefined, marks: readonly Mark[]): MarkedPicture => ({
    title,
    layout: shown,
    frame: frameOf(shown, true),
    markup: drawPicture(shown, { flows, fills, details: true }) + marks.map(drawMark).join(''),
  });
  const steps = repair?.steps ?? [];
  const gone = steps.flatMap((step, index): readonly Mark[] => (step.kind === 'add' ? [] : [{ part: step.part, number: index + 1, isGone: step.kind === 'remove' }]));
  const come = steps.flatMap((step, index): readonly Mark[] =>
    step.kind === 'remove' ? [] : [{ part: step.kind === 'turn' ? step.turned : step.part, number: index + 1, isGone: false }],
  );
  const first = picture(steps.length === 0 ? 'The plan' : 'Before', layout, lanesBefore, fillsOf(finding, before), gone);
  return repair === undefined || steps.length === 0 ? [first] : [first, picture('After', repair.layout, lanesAfter, fillsOf(finding, after), come)];
}

/** To stand in a page that holds `MEND_STYLE`. */
export const mendFigures = (finding: MendFinding): readonly { readonly title: string; readonly svg: string }[] =>
  pictures(finding).map(({ title, layout, frame, markup }) => ({
    title,
    svg: element(
      'svg',
      {
        class: 'st-picture',
        viewBox: `${frame.x} ${frame.y} ${frame.width} ${frame.height}`,
        role: 'img',
        'aria-label': `${title}: ${pictureLabel(layout)}`,
        xmlns: 'http://www.w3.org/2000/svg',
        style: `max-width:${frame.width * 1.25}px`,
      },
      markup,
    ),
  }));

const LINE = 17;
const MARGIN = 12;
const GAP = 28;
const PIXELS_PER_LETTER = 6.6;
const LEAST_WIDTH = 420;

/** A stand-alone file, light or dark as its reader likes. */
export function mendSvg(finding: MendFinding): string {
  const { layout } = finding;
  const shown = pictures(finding);
  const inner = Math.max(LEAST_WIDTH, shown.reduce((sum, { frame }) => sum + frame.width + GAP, -GAP));
  const width = inner + 2 * MARGIN;
  const paragraphs = (texts: readonly string[]): readonly string[] => texts.flatMap((text) => wrap(text, Math.floor(inner / PIXELS_PER_LETTER), 0));
  const title = wrap(layout.name, Math.floor(inner / (PIXELS_PER_LETTER * 1.25)), 0);
  const head = paragraphs([`${mendHeadline(finding.outcome)}: ${mendVerdict(finding.outcome)}`]);
  const hasGone = repairOf(finding)?.steps.some(({ kind }) => kind === 'remove') === true;
  const foot = paragraphs([...stepSentences(finding), ...(hasGone ? ['Broken outline: what is taken away.'] : []), ...flowSentences(finding)]);
  const text = (className: string, x: number, y: number, words: string): string => element('text', { class: className, x, y }, escaped(words));
  const captionsAt = MARGIN + (title.length + head.length) * LINE + 20;
  const picturesAt = captionsAt + 6;
  const footAt = picturesAt + Math.max(...shown.map(({ frame }) => frame.height)) + 8 + LINE;
  const height = footAt + foot.length * LINE - LINE / 2 + MARGIN;
  const drawn = shown.map(({ title: caption, frame, markup }, index) => {
    const left = MARGIN + shown.slice(0, index).reduce((sum, each) => sum + each.frame.width + GAP, 0);
    const moved = element('g', { transform: `translate(${left - frame.x} ${picturesAt - frame.y})` }, markup);
    return text('st-text st-strong', left, captionsAt, caption) + moved;
  });
  const name = `${layout.name}: ${shown.map(({ title: caption }) => caption.toLowerCase()).join(' and ')}`;
  return (
    '<?xml version="1.0" encoding="UTF-8"?>\n' +
    element(
      'svg',
      { class: 'st-picture', xmlns: 'http://www.w3.org/2000/svg', width, height, viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': name },
      element('title', {}, escaped(name)),
      element('style', {}, `\n${MEND_STYLE}\n`),
      empty('rect', { class: 'st-sheet', x: 0, y: 0, width, height }),
      ...title.map((line, index) => text('st-text st-title', MARGIN, MARGIN + 10 + index * LINE, line)),
      ...head.map((line, index) => text('st-text', MARGIN, MARGIN + 10 + (title.length + index) * LINE, line)),
      ...drawn,
      ...foot.map((line, index) => text('st-text', MARGIN, footAt + index * LINE, line)),
    ) +
    '\n'
  );
}
