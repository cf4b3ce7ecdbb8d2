/**
 * The bill of materials, which is also the key to the picture: every model in use, how it is drawn,
 * how many there are, what they cost and what one of them does.
 */
import { ratio } from '../base/rational.js';
import { deriveNetwork } from '../layout/network.js';
import { beltCapacity, costOf, layoutCost, partCount, type Layout, type Part } from '../layout/layout.js';
import { styled, type Style } from './canvas.js';
import { tierOf, withWeight } from './tiers.js';
import { flowNumbers, lanedGlyph } from './flow-glyphs.js';
import type { InkName } from './ink.js';
import type { LaneFlows, LaneState } from '../simulation/lane-flows.js';
import { signsOfModel } from './model-signs.js';
import { perSecondText } from './numbers.js';
import { firstThatFits, fittingTable, type Table } from './table.js';

export interface BillLine {
  readonly kind: Part['kind'];
  readonly model: string;
  /** Pieces; an underpass counts its two ends. */
  readonly count: number;
  readonly cost: number;
}

const KIND_ORDER: readonly Part['kind'][] = ['arm', 'chest', 'belt', 'splitter', 'underpass'];

/** One line for each model in use: by kind, then by name. */
export function billOf(layout: Layout): readonly BillLine[] {
  const lines = new Map<string, BillLine>();
  for (const part of layout.parts) {
    const key = `${KIND_ORDER.indexOf(part.kind)} ${part.model.name}`;
    const before = lines.get(key);
    lines.set(key, {
      kind: part.kind,
      model: part.model.name,
      count: (before?.count ?? 0) + (part.kind === 'underpass' ? 2 : 1),
      cost: (before?.cost ?? 0) + costOf(part),
    });
  }
  return [...lines.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, line]) => line);
}

/** How a part is drawn, with the signs of its model, and with which ink. */
function sample(layout: Layout, part: Part): readonly [string, InkName] {
  const signs = signsOfModel(layout, part.kind, part.model.name);
  switch (part.kind) {
    case 'arm':
      return [`◦─▶${signs}`, 'arm'];
    case 'chest':
      return [`▐██▌${signs}`, 'chest'];
    default: {
      const tier = tierOf(layout, part.model.speed);
      const drawn = { belt: '━━▶', splitter: '┫┃┃▶', underpass: '━▒░' }[part.kind];
      return [`${withWeight(drawn, tier)}${signs}`, tier.ink];
    }
  }
}

/** Terse: without the unit of a swing. */
function particulars(layout: Layout, part: Part, terse: boolean): string {
  const { catalog } = layout;
  switch (part.kind) {
    case 'arm':
      return `hand ${part.model.payload}, reach ${part.model.reach}, swing ${part.model.swingTicks}${terse ? '' : ' ticks'}`;
    case 'chest':
      return `holds ${part.model.capacity}`;
    case 'belt':
      return `carries ${perSecondText(beltCapacity(catalog, part.model), catalog.ticksPerSecond)}`;
    case 'splitter':
      return `carries ${perSecondText(beltCapacity(catalog, part.model).mul(ratio(2)), catalog.ticksPerSecond)}`;
    case 'underpass':
      return `spans ${part.model.span} tiles`;
  }
}

export function billText(layout: Layout, style: Style): readonly string[] {
  const dim = (text: string): string => styled(style, 'dim', text);
  const rows = (terse: boolean): Table['rows'] => billOf(layout).map((line) => {
    const part = layout.parts.find((each) => each.kind === line.kind && each.model.name === line.model);
    const [glyphs, ink] = part === undefined ? (['', 'plain'] as const) : sample(layout, part);
    return [
      styled(style, ink, glyphs),
      line.kind,
      line.model,
      String(line.count),
      String(line.cost),
      part === undefined ? '' : dim(particulars(layout, part, terse)),
    ];
  });
  const total = ['', 'total', '', String(partCount(layout)), styled(style, 'title', String(layoutCost(layout))), ''];
  const table = (terse: boolean): Table => ({
    heads: ['', 'part', 'model', 'pieces', 'cost', ''].map(dim),
    rows: [...rows(terse), total],
    align: ['left', 'left', 'left', 'right', 'right', 'left'],
    names: 3,
    told: ['', '', '', 'pieces', 'cost', ''].map(dim),
  });
  return fittingTable(style, table(false), table(true));
}

/** What the lines of a picture with flows mean, and its first number, if it has any. */
export function flowKey(layout: Layout, flows: LaneFlows, style: Style): readonly string[] {
  const { carriers } = deriveNetwork(layout);
  const tier = tierOf(layout, carriers[0]?.speed ?? 0);
  const sample = (state: LaneState, meaning: string): string => {
    const drawn = [...withWeight('━━▶', tier)].map((glyph, column) => lanedGlyph(glyph, column, state)).join('');
    return `${styled(style, tier.ink, drawn)} ${styled(style, 'dim', meaning)}`;
  };
  const states = [sample('full', 'lane without gaps'), sample('gaps', 'with gaps'), sample('empty', 'nothing moves')];
  const shown = flowNumbers(carriers, flows).map(({ left, right }) => left ?? right).find((each) => each !== undefined);
  const number = (meaning: string): string => `   ${styled(style, 'warn', shown ?? '')} ${styled(style, 'dim', meaning)}`;
  const numbers = firstThatFits(style.columns, [
    () => [number('percent of what the lane can carry, from there on')],
    () => [number('percent of what the lane'), `      ${styled(style, 'dim', 'can carry, from there on')}`],
  ]);
  return [
    ...firstThatFits(style.columns, [() => [`  ${states.join('   ')}`], () => states.map((state) => `  ${state}`)]),
    ...(shown === undefined ? [] : numbers),
  ];
}
