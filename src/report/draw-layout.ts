/**
 * The terminal picture of a layout. A tile is five cells wide and two high, so that both lanes of
 * every belt can be followed: west and east lane of a belt along y, north and south lane of one along x.
 * Facts come from `layout/network.ts`; stamps from `stamps.ts`, how a lane's
 * flow shows from `flow-glyphs.ts`; the key from `bill.ts`.
 */
import { backOf, leftOf, rightHalfOf, rightOf, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import { isOnTrack, isWithin, rowsOf, tilesWithin, topOf } from '../base/ground.js';
import { deriveNetwork, type Carrier } from '../layout/network.js';
import { entriesOf, underpassHeading, wagonAt, type Layout, type PlacedArm, type PlacedUnderpass } from '../layout/layout.js';
import type { LaneFlows } from '../simulation/lane-flows.js';
import { Canvas, type Style } from './canvas.js';
import { carriesNumbers, flowNumbers, lanedGlyph, sideAt } from './flow-glyphs.js';
import type { InkName } from './ink.js';
import { modelSigns, wagonSigns } from './model-signs.js';
import {
  ARMS,
  CHEST,
  GROUND,
  KEEP_OUT,
  MOUTHS,
  SPLITTER_HALVES,
  STRAIGHT,
  TEES,
  TILE_HEIGHT,
  TILE_WIDTH,
  TRACK,
  TURNS,
  UNDER_GROUND,
  UNDERPASS_ENTRIES,
  UNDERPASS_EXITS,
  type Stamp,
} from './stamps.js';

/** Where the sign of an arm's model stands. */
const ARM_SIGN: Readonly<Record<Heading, readonly [column: number, row: number]>> = {
  N: [4, 0],
  E: [2, 1],
  S: [4, 0],
  W: [2, 1],
};

const ARROWS: Readonly<Record<Heading, string>> = { N: '▲', E: '▶', S: '▼', W: '◀' };

const HEAVY = '━┃┏┓┗┛┣┫┳┻';
const LIGHT = '─│┌┐└┘├┤┬┴';
const DOUBLE = '═║╔╗╚╝╠╣╦╩';

/** The tiers of a catalog's carriers: its different speeds, slowest first. */
const tierSpeeds = (layout: Layout): readonly number[] =>
  [...new Set(layout.catalog.belts.map((belt) => belt.speed))].sort((a, b) => a - b);

export interface Tier {
  /** 1 is the slowest. */
  readonly number: number;
  readonly ink: InkName;
  readonly weight: string;
}

/** How carriers of a speed are drawn: one tier heavy, two light and heavy, three or more up to double. */
export function tierOf(layout: Layout, speed: number): Tier {
  const speeds = tierSpeeds(layout);
  const rank = speeds.filter((other) => other < speed).length;
  if (speeds.length <= 1) return { number: rank + 1, ink: 'belt2', weight: HEAVY };
  const step = Math.min(rank, 2);
  return {
    number: rank + 1,
    ink: (['belt1', 'belt2', 'belt3'] as const)[step],
    weight: [LIGHT, HEAVY, DOUBLE][step],
  };
}

export const withWeight = (text: string, tier: Tier): string =>
  [...text].map((glyph) => (HEAVY.includes(glyph) ? tier.weight[HEAVY.indexOf(glyph)] : glyph)).join('');

/** A name without the signs of which boxes are drawn, and without those that move the cursor. */
const plainName = (name: string): string => name.replace(/[\p{C}\p{Z}]+/gu, ' ').replace(/[+=|<>^═║╔╗╚╝]/gu, '?');

/** Where a lane of a straight belt has room for two digits. */
function numberPlace(heading: Heading, side: 'left' | 'right'): { readonly column: number; readonly row: number } {
  const toward = side === 'left' ? leftOf(heading) : rightOf(heading);
  if (heading === 'E' || heading === 'W') return { column: heading === 'E' ? 1 : 2, row: toward === 'N' ? 0 : 1 };
  return { column: toward === 'W' ? 0 : 3, row: heading === 'N' ? 1 : 0 };
}

/** "A" for the first exit, and so on. */
export const exitLetter = (index: number): string =>
  index < 26 ? String.fromCharCode('A'.charCodeAt(0) + index) : String(index + 1);

/** "1" for the first entry, and so on. */
export const entryNumber = (index: number): string => String(index + 1);

/** The cell in which the sign of a carrier's model stands: clear of arrows, and of numbers where there are any. */
function signPlace(carrier: Carrier): { readonly column: number; readonly row: number } {
  const { heading } = carrier;
  const row = heading === 'S' ? 1 : 0;
  const isRoomy = carrier.kind === 'underpass' || carriesNumbers(carrier);
  if (!isRoomy || heading === 'N' || heading === 'S') return { column: 2, row };
  return { column: heading === 'E' ? 3 : 1, row };
}

/** Lines of the picture, without its key. With `flows`, lanes show how full they are. */
export function drawLayout(layout: Layout, style: Style, flows?: LaneFlows): readonly string[] {
  const { site, wagons, exits } = layout;
  const west = Math.min(0, ...wagons.map((wagon) => wagon.at));
  const east = Math.max(site.width, ...wagons.map((wagon) => wagon.at + wagon.model.length));
  const least = topOf(site);
  const labelWidth = Math.max(String(site.depth - 1).length, String(least).length);
  const westLabels = Math.max(
    0,
    ...exits.map((exit, index) => (exit.heading === 'W' ? exitLetter(index).length + 1 : 0)),
    ...entriesOf(layout).map((entry, index) => (entry.heading === 'E' ? entryNumber(index).length + 1 : 0)),
  );
  const left = labelWidth + 2 + westLabels;
  /** Above a site with two sides lies its own edge; else the wagons, if there are any. */
  const isTwoSided = least < 0;
  const top = isTwoSided ? 2 : wagons.length === 0 ? 1 : 3;
  const canvas = new Canvas(left + (east - west) * TILE_WIDTH + 5, top + rowsOf(site) * TILE_HEIGHT + 2);
  const columnOf = (x: number): number => left + (x - west) * TILE_WIDTH;
  const rowOf = (y: number): number => top + (y - least) * TILE_HEIGHT;
  const stamp = (tile: Tile, [upper, lower]: Stamp, ink: InkName): void => {
    canvas.put(columnOf(tile.x), rowOf(tile.y), upper, ink);
    canvas.put(columnOf(tile.x), rowOf(tile.y) + 1, lower, ink);
  };

  for (let x = 0; x < site.width; x += 1) canvas.put(columnOf(x) + 2, 0, String(x), 'dim');
  for (let y = least; y < site.depth; y += 1) {
    canvas.put(0, rowOf(y), String(y).padStart(labelWidth), 'dim');
    canvas.put(columnOf(0) - 1, rowOf(y), '│', 'dim');
    canvas.put(columnOf(0) - 1, rowOf(y) + 1, '│', 'dim');
    canvas.put(columnOf(site.width), rowOf(y), '│', 'dim');
    canvas.put(columnOf(site.width), rowOf(y) + 1, '│', 'dim');
  }
  const foot = rowOf(site.depth);
  canvas.put(columnOf(0) - 1, foot, `└${'─'.repeat(site.width * TILE_WIDTH)}┘`, 'dim');

  if (isTwoSided) {
    canvas.put(columnOf(0) - 1, top - 1, `┌${'─'.repeat(site.width * TILE_WIDTH)}┐`, 'dim');
    for (let x = west; x < east; x += 1) for (const y of [-2, -1]) if (isOnTrack(site, { x, y }) && wagonAt(wagons, { x, y }) === undefined) stamp({ x, y }, TRACK[y], 'dim');
  }
  for (let x = west; x < east && wagons.length > 0 && !isTwoSided; x += 1) canvas.put(columnOf(x), 2, '┄'.repeat(TILE_WIDTH), 'dim');
  const wagonSignOf = wagonSigns(layout);
  for (const wagon of wagons) {
    const { at, model } = wagon;
    const inner = model.length * TILE_WIDTH - 2;
    const title = [wagonSignOf(wagon) ?? [], plainName(model.name)].flat().join(' ');
    const name = [...` ${title} `].slice(0, inner).join('');
    const before = '═'.repeat(Math.floor((inner - [...name].length) / 2));
    const after = '═'.repeat(inner - before.length - [...name].length);
    const upper = isTwoSided ? rowOf(-2) : 1;
    const lower = isTwoSided ? rowOf(0) - 1 : 2;
    canvas.put(columnOf(at), upper, `╔${before}${name}${after}╗`, 'wagon');
    for (let row = upper + 1; row < lower; row += 1) canvas.put(columnOf(at), row, `║${' '.repeat(inner)}║`, 'wagon');
    canvas.put(columnOf(at), lower, `╚${'═'.repeat(inner)}╝`, 'wagon');
  }

  const taken = new Set<string>();
  const keyOf = (tile: Tile): string => `${tile.x},${tile.y}`;
  for (const box of site.keepOut) {
    for (let y = box.y; y < box.y + box.height; y += 1) {
      for (let x = box.x; x < box.x + box.width; x += 1) {
        taken.add(keyOf({ x, y }));
        if (isWithin(site, { x, y }) && !isOnTrack(site, { x, y })) stamp({ x, y }, KEEP_OUT, 'dim');
      }
    }
  }

  const signOf = modelSigns(layout);
  const { carriers } = deriveNetwork(layout);
  const numbers = flows && flowNumbers(carriers, flows);
  const drawCarrier = (carrier: Carrier): void => {
    const tier = tierOf(layout, carrier.speed);
    const put = (tile: Tile, stampRows: Stamp): void => {
      taken.add(keyOf(tile));
      // What is drawn of a splitter is its box, not its lanes.
      const flow = carrier.kind === 'splitter-half' ? undefined : flows?.carriers[carrier.index].head;
      const [upper, lower] = stampRows.map((text, row) =>
        [...withWeight(text, tier)]
          .map((glyph, column) => lanedGlyph(glyph, column, flow?.[sideAt(carrier, column, row)]?.state))
          .join(''),
      );
      stamp(tile, [upper, lower], tier.ink);
    };
    const { heading, tail, head } = carrier;
    switch (carrier.kind) {
      case 'underpass':
        put(tail, UNDERPASS_ENTRIES[heading]);
        put(head, UNDERPASS_EXITS[heading]);
        break;
      case 'splitter-half': {
        const other = carrier.side === 'left' ? rightOf(heading) : leftOf(heading);
        put(tail, SPLITTER_HALVES[heading][other] ?? STRAIGHT[heading]);
        break;
      }
      case 'belt': {
        const sides = [
          ...(carrier.fromLeft === undefined ? [] : [leftOf(heading)]),
          ...(carrier.fromRight === undefined ? [] : [rightOf(heading)]),
        ];
        if (carrier.shape !== 'straight') {
          put(tail, TURNS[heading][sides[0]] ?? STRAIGHT[heading]);
        } else if (carrier.behind === undefined && sides.length === 2) {
          put(tail, MOUTHS[heading]);
        } else {
          put(tail, STRAIGHT[heading]);
          for (const side of sides) put(tail, TEES[heading][side] ?? STRAIGHT[heading]);
        }
        for (const side of ['left', 'right'] as const) {
          const number = carriesNumbers(carrier) ? numbers?.[carrier.index][side] : undefined;
          if (number === undefined) continue;
          const { column, row } = numberPlace(heading, side);
          canvas.put(columnOf(tail.x) + column, rowOf(tail.y) + row, number, 'warn');
        }
        break;
      }
    }
    const sign = signOf(layout.parts[carrier.part]);
    if (sign !== undefined) {
      const { column, row } = signPlace(carrier);
      for (const { x, y } of new Set([tail, head])) canvas.put(columnOf(x) + column, rowOf(y) + row, sign, tier.ink);
    }
  };
  carriers.forEach(drawCarrier);

  const drawArm = (arm: PlacedArm): void => {
    taken.add(keyOf(arm.at));
    stamp(arm.at, ARMS[arm.heading], 'arm');
    const [column, row] = ARM_SIGN[arm.heading];
    canvas.put(columnOf(arm.at.x) + column, rowOf(arm.at.y) + row, signOf(arm) ?? '', 'arm');
  };
  for (const part of layout.parts) {
    if (part.kind === 'arm') drawArm(part);
    if (part.kind === 'chest') {
      taken.add(keyOf(part.at));
      stamp(part.at, CHEST, 'chest');
      canvas.put(columnOf(part.at.x) + 2, rowOf(part.at.y), signOf(part) ?? '', 'chest');
    }
  }

  const drawUnderground = (part: PlacedUnderpass): void => {
    const heading = underpassHeading(part);
    const along = UNDER_GROUND[heading === 'N' || heading === 'S' ? 'along y' : 'along x'];
    for (let tile = stepFrom(part.from, heading); keyOf(tile) !== keyOf(part.to); tile = stepFrom(tile, heading)) {
      // Beneath the track, its rails and wagons stay where they are.
      if (isOnTrack(site, tile)) canvas.put(columnOf(tile.x) + 2, rowOf(tile.y) + (tile.y === -2 ? 1 : 0), heading === 'N' || heading === 'S' ? '┊' : '┄', 'dim');
      else if (!taken.has(keyOf(tile))) stamp(tile, along, 'dim');
    }
  };
  for (const part of layout.parts) {
    if (part.kind === 'splitter') taken.add(keyOf(rightHalfOf(part.at, part.heading)));
  }
  for (const tile of tilesWithin(site)) if (!isOnTrack(site, tile) && !taken.has(keyOf(tile))) stamp(tile, GROUND, 'ground');
  for (const part of layout.parts) if (part.kind === 'underpass') drawUnderground(part);

  /** What passes over an edge of the site: out of it, or into it. */
  const mark = (at: Tile, edge: Heading, arrow: string, label: string, ink: 'exit' | 'entry'): void => {
    const column = columnOf(at.x);
    const row = rowOf(at.y);
    switch (edge) {
      case 'S':
        canvas.put(column, foot, `┘${arrow} ${arrow}└`, ink);
        canvas.put(column + 2, foot, label, ink);
        return;
      case 'N':
        canvas.put(column, row - 1, `┐${arrow} ${arrow}┌`, ink);
        canvas.put(column + 2, row - 1, label, ink);
        return;
      case 'E':
        canvas.put(column + TILE_WIDTH, row, `${arrow} ${label}`, ink);
        canvas.put(column + TILE_WIDTH, row + 1, arrow, ink);
        return;
      case 'W':
        canvas.put(column - 2 - label.length, row, `${label} ${arrow}`, ink);
        canvas.put(column - 1, row + 1, arrow, ink);
        return;
    }
  };
  exits.forEach(({ at, heading }, index) => {
    mark(at, heading, ARROWS[heading], exitLetter(index), 'exit');
  });
  entriesOf(layout).forEach(({ at, heading }, index) => {
    mark(at, backOf(heading), ARROWS[heading], entryNumber(index), 'entry');
  });
  const lines = [...canvas.lines(style)];
  while (lines.at(-1) === '') lines.pop();
  return lines;
}

