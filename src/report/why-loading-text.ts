/**
 * Why a station fills wagons more slowly than its belts could bring, in words and as JSON. What single changes are and how
 * they are told is in `why-text.ts`.
 */
import type { EntryWhy, LoadingWhy } from '../audit/cause.js';
import { compare, formatRational, ZERO, type Rational } from '../base/rational.js';
import { styled, type Style } from './canvas.js';
import { percent, perSecondNumber, perSecondText, perTickText } from './numbers.js';
import { EDGE_WORD, tileText } from './places.js';
import { firstThatFits, tabulate, titleLines } from './table.js';
import { present, type JsonObject } from './trial-json.js';
import { changeLines, changesJson, failingJson, failingLines, paragraph, runJson, runWords, standing } from './why-text.js';

/** An entry heads inward: its edge lies behind it. */
const EDGE_BEHIND = { N: EDGE_WORD.S, E: EDGE_WORD.W, S: EDGE_WORD.N, W: EDGE_WORD.E } as const;

function entryLines({ layout }: LoadingWhy, { at, heading, flow, offered, missing, arms }: EntryWhy, index: number, style: Style): readonly string[] {
  const rate = (value: Rational): string => perSecondText(value, layout.catalog.ticksPerSecond);
  const head = `Entry ${index + 1}, over the ${EDGE_BEHIND[heading]} edge of ${tileText(at)}, lets in ${rate(flow)} of ${rate(offered)}`;
  if (compare(missing, ZERO) === 0) return paragraph(`${head}: ${styled(style, 'good', 'nothing is missing')}.`, style);
  const lost = `${styled(style, 'bad', `${rate(missing)} wait outside`)}, ${perTickText(missing)} items per tick`;
  if (arms.length === 0) return paragraph(`${head}: ${lost}, for no arm picks from these belts.`, style);
  const rows = arms.map((arm) => [rate(arm.flow), standing(layout, arm.at), `at work ${percent(arm.share.moving)}`, `no room ${percent(arm.share.blocked)}`, `finds nothing ${percent(arm.share.starved)}`]);
  return [
    ...paragraph(`${head}: ${lost}. They wait for these arms to pick them up:`, style),
    ...firstThatFits(style.columns, [
      () => tabulate(rows, ['right', 'left', 'right', 'right', 'right']),
      () => rows.flatMap((row) => paragraph(row.join(', '), style, 2)),
    ]),
  ];
}

export function loadingWhyText(why: LoadingWhy, style: Style, quiet = false): readonly string[] {
  const { layout, entries, together } = why;
  const rate = (value: Rational): string => perSecondText(value, layout.catalog.ticksPerSecond);
  const lines = entries.flatMap((entry, index) => entryLines(why, entry, index, style));
  if (quiet) return lines;
  return [
    ...titleLines(layout.name, style),
    ...paragraph(`Wagons get ${rate(together)} in all. ${runWords(why)}`, style),
    '',
    ...lines,
    ...failingLines(why, style),
    ...changeLines(why, style, 'What would bring most into wagons'),
  ];
}

export function loadingWhyJson(why: LoadingWhy): JsonObject {
  const { layout, entries } = why;
  const { ticksPerSecond } = layout.catalog;
  const per = (value: Rational): number => perSecondNumber(value, ticksPerSecond);
  return present({
    ...runJson(why),
    entries: entries.map(({ at, heading, flow, offered, missing, arms }) => ({
      at: [at.x, at.y],
      heading,
      flow: formatRational(flow),
      offered: formatRational(offered),
      missing: formatRational(missing),
      perSecond: per(missing),
      arms: arms.map((arm) => ({
        at: [arm.at.x, arm.at.y],
        flow: formatRational(arm.flow),
        perSecond: per(arm.flow),
        share: { moving: formatRational(arm.share.moving), blocked: formatRational(arm.share.blocked), starved: formatRational(arm.share.starved) },
      })),
    })),
    ...failingJson(why),
    ...changesJson(why),
  });
}
