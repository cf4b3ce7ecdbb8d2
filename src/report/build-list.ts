/**
 * What a chosen layout is built of and in which order, for whoever buys the parts and puts them up. The order itself is
 * `layout/build-order.ts`'s; the bill by kind, as `draw` shows it, is in `bill.ts`.
 */
import { buildOrder } from '../layout/build-order.js';
import { layoutCost, partCount, tilesOf, underpassHeading, type Layout, type Part } from '../layout/layout.js';
import { billOf, type BillLine } from './bill.js';
import { styled, type Style } from './canvas.js';
import { tileText } from './places.js';
import { fittingTable, proseWidth, titleLines, wrap } from './table.js';
import { present, type JsonObject } from './trial-json.js';

/** The bill's lines by when the first of their parts is built. */
function billInOrder(layout: Layout): readonly BillLine[] {
  const order = buildOrder(layout).map((index) => layout.parts[index]);
  const firstUse = (line: BillLine): number => order.findIndex((part) => part.kind === line.kind && part.model.name === line.model);
  return [...billOf(layout)].sort((a, b) => firstUse(a) - firstUse(b));
}

/** Parts of one model that are built one after the other. */
interface Step {
  readonly kind: Part['kind'];
  readonly model: string;
  readonly parts: readonly Part[];
}

function stepsOf(layout: Layout): readonly Step[] {
  const steps: Step[] = [];
  for (const index of buildOrder(layout)) {
    const part = layout.parts[index];
    const last = steps.at(-1);
    if (last?.kind === part.kind && last.model === part.model.name) steps[steps.length - 1] = { ...last, parts: [...last.parts, part] };
    else steps.push({ kind: part.kind, model: part.model.name, parts: [part] });
  }
  return steps;
}

function headingOf(part: Part): string | undefined {
  if (part.kind === 'underpass') return underpassHeading(part);
  return part.kind === 'chest' ? undefined : part.heading;
}

/** "[2, 7] S"; an underpass has two tiles, a splitter that of its left half. */
function placeText(part: Part): string {
  const [first, second] = tilesOf(part);
  const tiles = part.kind === 'underpass' ? `${tileText(first)} to ${tileText(second)}` : tileText(first);
  const heading = headingOf(part);
  return heading === undefined ? tiles : `${tiles} ${heading}`;
}

export function buildText(layout: Layout, style: Style): readonly string[] {
  const dim = (text: string): string => styled(style, 'dim', text);
  const bill = billInOrder(layout).map(({ kind, model, count, cost }) => [kind, model, String(count), String(cost)]);
  const width = proseWidth(style);
  const steps = stepsOf(layout).flatMap(({ kind, model, parts }, index) => {
    const lines = wrap(`${index + 1}. ${kind} ${model}: ${parts.map((part) => placeText(part).replaceAll(' ', '\u00a0')).join(', ')}`, width - 3);
    return lines.map((line, at) => styled(style, 'plain', at === 0 ? line.replaceAll('\u00a0', ' ') : `   ${line.replaceAll('\u00a0', ' ')}`));
  });
  return [
    ...fittingTable(style, {
      heads: ['part', 'model', 'pieces', 'cost'].map(dim),
      rows: [...bill, ['total', '', String(partCount(layout)), styled(style, 'title', String(layoutCost(layout)))]],
      align: ['left', 'left', 'right', 'right'],
      names: 2,
      told: ['', '', 'pieces', 'cost'].map(dim),
    }),
    '',
    ...titleLines('In which order to build: from the exits back to the wagon', style),
    ...steps,
  ];
}

export const buildJson = (layout: Layout): JsonObject => ({
  bill: billInOrder(layout).map((line) => ({ ...line })),
  build: buildOrder(layout).map((index) => {
    const part = layout.parts[index];
    const heading = headingOf(part);
    return present({ kind: part.kind, at: tilesOf(part).map(({ x, y }) => [x, y]), heading, model: part.model.name });
  }),
});
