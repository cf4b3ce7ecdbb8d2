/**
 * A plan as a stand-alone SVG file: the picture (`layout-svg.ts`) with its name, its figures and a key.
 */
import type { Layout } from '../../layout/layout.js';
import { deriveNetwork } from '../../layout/network.js';
import type { LaneFlow, LaneFlows } from '../../simulation/lane-flows.js';
import type { TrialResult } from '../../simulation/trial-result.js';
import { ratio, type Rational } from '../../base/rational.js';
import { signedVariants } from '../model-signs.js';
import { counted, perSecondText } from '../numbers.js';
import { wrap } from '../table.js';
import { keySample, tierLook } from './carrier-svg.js';
import { frameOf } from './ground-svg.js';
import { drawPicture, pictureLabel } from './layout-svg.js';
import { element, empty, escaped } from './markup.js';
import { PICTURE_STYLE } from './picture-style.js';

const LINE = 17;
const MARGIN = 12;
const PIXELS_PER_LETTER = 6.6;
/** Room for the key's longest line. */
const LEAST_WIDTH = 300;

const lane = (fill: Rational, state: LaneFlow['state']): LaneFlow => ({ flow: fill, fill, state });

const STATES: readonly (readonly [LaneFlow, string])[] = [
  [lane(ratio(1), 'full'), 'saturated; the wider, the more flows'],
  [lane(ratio(3, 5), 'gaps'), 'with gaps'],
  [lane(ratio(2, 5), 'waiting'), 'no gaps, items wait'],
  [lane(ratio(0), 'empty'), 'nothing moves'],
];

interface KeyLine {
  readonly sample: (x: number, y: number) => string;
  readonly words: string;
}

/** One line for each letter beside an arm. */
const armLines = (layout: Layout): readonly KeyLine[] =>
  signedVariants(layout).flatMap(({ kind, model, sign }) =>
    kind !== 'arm' || sign === undefined ? [] : [{ sample: (x, y) => element('text', { class: 'st-faint', x, y: y + 4 }, sign), words: model }],
  );

/** One line for each model of belt, splitter and underpass in use, then one for each state of a lane. */
function carrierLines({ layout, flows }: PlanPicture): readonly KeyLine[] {
  const models = new Map<string, KeyLine>();
  for (const part of layout.parts) {
    if (part.kind === 'arm' || part.kind === 'chest') continue;
    const { speed, name } = part.model;
    const perLane = perSecondText(ratio(speed, layout.catalog.pitch), layout.catalog.ticksPerSecond);
    models.set(`${part.kind} ${name}`, {
      sample: (x, y) => keySample(undefined, x, y, tierLook(layout, speed)),
      words: `${name}: ${perLane} on each lane`,
    });
  }
  // In the look of the first carrier, so that nobody takes the key's colour for a state's.
  const first = deriveNetwork(layout).carriers.at(0);
  if (flows === undefined || first === undefined) return [...models.values()];
  const look = tierLook(layout, first.speed);
  return [...models.values(), ...STATES.map(([flow, words]): KeyLine => ({ sample: (x, y) => keySample(flow, x, y, look), words }))];
}

interface PlanPicture {
  readonly layout: Layout;
  readonly trial: TrialResult;
  /** Left out where nothing flows. */
  readonly flows: LaneFlows | undefined;
}

export function planSvg(plan: PlanPicture): string {
  const { layout, trial, flows } = plan;
  const picture = frameOf(layout, true);
  const width = Math.max(picture.width, LEAST_WIDTH) + 2 * MARGIN;
  const left = picture.x - MARGIN;
  const letters = Math.floor((width - 2 * MARGIN) / (PIXELS_PER_LETTER * 1.25));
  const title = wrap(layout.name, letters, 0);
  const figures = `cost ${trial.cost}, ${counted(trial.parts, 'part')}, footprint ${counted(trial.footprint, 'tile')}`;
  const head = MARGIN + (title.length + 1) * LINE + 6;
  const key = [...armLines(layout), ...carrierLines(plan)];
  const top = picture.y - head;
  const keyTop = picture.y + picture.height + 8;
  const height = head + picture.height + 8 + key.length * LINE + MARGIN;
  const text = (className: string, x: number, y: number, words: string): string =>
    element('text', { class: className, x, y }, escaped(words));
  return (
    '<?xml version="1.0" encoding="UTF-8"?>\n' +
    element(
      'svg',
      {
        class: 'st-picture',
        xmlns: 'http://www.w3.org/2000/svg',
        width,
        height,
        viewBox: `${left} ${top} ${width} ${height}`,
        role: 'img',
        'aria-label': pictureLabel(layout),
      },
      element('title', {}, escaped(layout.name)),
      element('desc', {}, escaped(`${pictureLabel(layout)}; ${figures}`)),
      element('style', {}, `\n${PICTURE_STYLE}\n`),
      empty('rect', { class: 'st-sheet', x: left, y: top, width, height }),
      ...title.map((line, index) => text('st-text st-title', left + MARGIN, top + MARGIN + 10 + index * LINE, line)),
      text('st-faint', left + MARGIN, top + MARGIN + 10 + title.length * LINE, figures),
      drawPicture(layout, { flows, fills: trial.exits.map((exit) => exit.fill), details: true }),
      ...key.map(({ sample, words }, index) => {
        const y = keyTop + index * LINE + 8;
        return sample(left + MARGIN, y) + text('st-text', left + MARGIN + 60, y + 4, words);
      }),
    ) +
    '\n'
  );
}
