/**
 * The terminal picture of a layout. A tile is five cells wide and two high, so that both lanes of
 * every belt can be followed: west and east lane of a belt along y, north and south lane of one along x.
 * Facts come from `layout/network.ts`; where a tile lies from `tile-sheet.ts`, stamps from `stamps.ts`, how a lane's
 * flow shows from `flow-glyphs.ts`; the key from `bill.ts`.
 */
import { backOf, leftOf, rightOf, sameTile, stepFrom, type Heading, type Tile } from '../base/geometry.js';
import { isOnTrack, isWithin, tilesWithin, topOf } from '../base/ground.js';
import { deriveNetwork, type Carrier } from '../layout/network.js';
import { entriesOf, underpassHeading, wagonAt, type Layout, type PlacedArm, type PlacedChest, type PlacedUnderpass } from '../layout/layout.js';
import type { LaneFlows } from '../simulation/lane-flows.js';
import type { Style } from './canvas.js';
import { carriesNumbers, flowNumbers, lanedGlyph, sideAt } from './flow-glyphs.js';
import { entryNumber, exitLetter } from './labels.js';
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
  TILE_WIDTH,
  TRACK,
  TURNS,
  UNDER_GROUND,
  UNDERPASS_ENTRIES,
  UNDERPASS_EXITS,
  type Stamp,
} from './stamps.js';
import { tierOf, withWeight } from './tiers.js';
import { TileSheet } from './tile-sheet.js';

/** A cell of a tile. */
interface Place {
  readonly column: number;
  readonly row: number;
}

/** Where the sign of an arm's model stands. */
const ARM_SIGN: Readonly<Record<Heading, Place>> = {
  N: { column: 4, row: 0 },
  E: { column: 2, row: 1 },
  S: { column: 4, row: 0 },
  W: { column: 2, row: 1 },
};

const ARROWS: Readonly<Record<Heading, string>> = { N: '▲', E: '▶', S: '▼', W: '◀' };

/** A name without the signs of which boxes are drawn, and without those that move the cursor. */
const plainName = (name: string): string => name.replace(/[\p{C}\p{Z}]+/gu, ' ').replace(/[+=|<>^═║╔╗╚╝]/gu, '?');

const runsAlongY = (heading: Heading): boolean => heading === 'N' || heading === 'S';

/** Where a lane of a straight belt has room for two digits. */
function numberPlace(heading: Heading, side: 'left' | 'right'): Place {
  const toward = side === 'left' ? leftOf(heading) : rightOf(heading);
  if (!runsAlongY(heading)) return { column: heading === 'E' ? 1 : 2, row: toward === 'N' ? 0 : 1 };
  return { column: toward === 'W' ? 0 : 3, row: heading === 'N' ? 1 : 0 };
}

/** The cell in which the sign of a carrier's model stands: clear of arrows, and of numbers where there are any. */
function signPlace(carrier: Carrier): Place {
  const { heading } = carrier;
  const row = heading === 'S' ? 1 : 0;
  const isRoomy = carrier.kind === 'underpass' || carriesNumbers(carrier);
  if (!isRoomy || runsAlongY(heading)) return { column: 2, row };
  return { column: heading === 'E' ? 3 : 1, row };
}

/** Numbers of columns and rows, and the site's edge. */
function drawFrame(sheet: TileSheet, { site }: Layout): void {
  const { canvas } = sheet;
  for (let x = 0; x < site.width; x++) canvas.put(sheet.columnOf(x) + 2, 0, String(x), 'dim');
  for (let y = topOf(site); y < site.depth; y++) {
    const row = sheet.rowOf(y);
    canvas.put(0, row, String(y).padStart(sheet.labelWidth), 'dim');
    for (const column of [sheet.columnOf(0) - 1, sheet.columnOf(site.width)]) {
      canvas.put(column, row, '│', 'dim');
      canvas.put(column, row + 1, '│', 'dim');
    }
  }
  const edge = '─'.repeat(site.width * TILE_WIDTH);
  canvas.put(sheet.columnOf(0) - 1, sheet.foot, `└${edge}┘`, 'dim');
  if (sheet.isTwoSided) canvas.put(sheet.columnOf(0) - 1, sheet.top - 1, `┌${edge}┐`, 'dim');
}

/** Rails where no wagon stands. */
function drawTrack(sheet: TileSheet, { site, wagons }: Layout): void {
  for (let x = sheet.west; x < sheet.east; x++) {
    if (sheet.isTwoSided) {
      for (const y of [-2, -1]) if (isOnTrack(site, { x, y }) && wagonAt(wagons, { x, y }) === undefined) sheet.stamp({ x, y }, TRACK[y], 'dim');
    } else if (wagons.length > 0) sheet.canvas.put(sheet.columnOf(x), 2, '┄'.repeat(TILE_WIDTH), 'dim');
  }
}

function drawWagons(sheet: TileSheet, layout: Layout): void {
  const { canvas } = sheet;
  const signOf = wagonSigns(layout);
  const upper = sheet.isTwoSided ? sheet.rowOf(-2) : 1;
  const lower = sheet.isTwoSided ? sheet.rowOf(0) - 1 : 2;
  for (const wagon of layout.wagons) {
    const inner = wagon.model.length * TILE_WIDTH - 2;
    const title = [signOf(wagon) ?? [], plainName(wagon.model.name)].flat().join(' ');
    const name = [...` ${title} `].slice(0, inner).join('');
    const before = '═'.repeat(Math.floor((inner - [...name].length) / 2));
    const after = '═'.repeat(inner - before.length - [...name].length);
    const column = sheet.columnOf(wagon.at);
    canvas.put(column, upper, `╔${before}${name}${after}╗`, 'wagon');
    for (let row = upper + 1; row < lower; row++) canvas.put(column, row, `║${' '.repeat(inner)}║`, 'wagon');
    canvas.put(column, lower, `╚${'═'.repeat(inner)}╝`, 'wagon');
  }
}

function drawKeepOut(sheet: TileSheet, { site }: Layout): void {
  for (const box of site.keepOut) {
    for (let y = box.y; y < box.y + box.height; y++) {
      for (let x = box.x; x < box.x + box.width; x++) {
        sheet.occupy({ x, y });
        if (isWithin(site, { x, y }) && !isOnTrack(site, { x, y })) sheet.stamp({ x, y }, KEEP_OUT, 'dim');
      }
    }
  }
}

/** A carrier's tiles and what is drawn there, later ones over earlier ones. */
function stampsOf(carrier: Carrier): readonly (readonly [tile: Tile, stamp: Stamp])[] {
  const { heading, tail, head } = carrier;
  const straight = STRAIGHT[heading];
  switch (carrier.kind) {
    case 'underpass':
      return [[tail, UNDERPASS_ENTRIES[heading]], [head, UNDERPASS_EXITS[heading]]];
    case 'splitter-half': {
      const other = carrier.side === 'left' ? rightOf(heading) : leftOf(heading);
      return [[tail, SPLITTER_HALVES[heading][other] ?? straight]];
    }
    case 'belt': {
      const sides = [
        ...(carrier.fromLeft === undefined ? [] : [leftOf(heading)]),
        ...(carrier.fromRight === undefined ? [] : [rightOf(heading)]),
      ];
      if (carrier.shape !== 'straight') return [[tail, TURNS[heading][sides[0]] ?? straight]];
      if (carrier.behind === undefined && sides.length === 2) return [[tail, MOUTHS[heading]]];
      return [[tail, straight], ...sides.map((side) => [tail, TEES[heading][side] ?? straight] as const)];
    }
  }
}

function drawCarriers(sheet: TileSheet, layout: Layout, flows: LaneFlows | undefined): void {
  const { carriers } = deriveNetwork(layout);
  const signOf = modelSigns(layout);
  const numbers = flows && flowNumbers(carriers, flows);
  for (const carrier of carriers) {
    const { heading, tail, head, index, part } = carrier;
    const tier = tierOf(layout, carrier.speed);
    // What is drawn of a splitter is its box, not its lanes.
    const flow = carrier.kind === 'splitter-half' ? undefined : flows?.carriers[index].head;
    for (const [tile, rows] of stampsOf(carrier)) {
      sheet.occupy(tile);
      const [upper, lower] = rows.map((text, row) =>
        [...withWeight(text, tier)].map((glyph, column) => lanedGlyph(glyph, column, flow?.[sideAt(carrier, column, row)]?.state)).join(''),
      );
      sheet.stamp(tile, [upper, lower], tier.ink);
    }
    for (const side of ['left', 'right'] as const) {
      const { column, row } = numberPlace(heading, side);
      sheet.write(tail, column, row, numbers?.[index][side] ?? '', 'warn');
    }
    const sign = signOf(layout.parts[part]);
    if (sign === undefined) continue;
    const { column, row } = signPlace(carrier);
    for (const tile of new Set([tail, head])) sheet.write(tile, column, row, sign, tier.ink);
  }
}

function drawArmsAndChests(sheet: TileSheet, layout: Layout): void {
  const signOf = modelSigns(layout);
  const draw = (part: PlacedArm | PlacedChest, stamp: Stamp, { column, row }: Place): void => {
    sheet.occupy(part.at);
    sheet.stamp(part.at, stamp, part.kind);
    sheet.write(part.at, column, row, signOf(part) ?? '', part.kind);
  };
  for (const part of layout.parts) {
    if (part.kind === 'arm') draw(part, ARMS[part.heading], ARM_SIGN[part.heading]);
    if (part.kind === 'chest') draw(part, CHEST, { column: 2, row: 0 });
  }
}

function drawGround(sheet: TileSheet, { site, parts }: Layout): void {
  for (const tile of tilesWithin(site)) if (!isOnTrack(site, tile) && !sheet.isOccupied(tile)) sheet.stamp(tile, GROUND, 'ground');
  const drawBeneath = (part: PlacedUnderpass): void => {
    const heading = underpassHeading(part);
    const alongY = runsAlongY(heading);
    for (let tile = stepFrom(part.from, heading); !sameTile(tile, part.to); tile = stepFrom(tile, heading)) {
      // Beneath the track, its rails and wagons stay where they are.
      if (isOnTrack(site, tile)) sheet.write(tile, 2, tile.y === -2 ? 1 : 0, alongY ? '┊' : '┄', 'dim');
      else if (!sheet.isOccupied(tile)) sheet.stamp(tile, UNDER_GROUND[alongY ? 'along y' : 'along x'], 'dim');
    }
  };
  for (const part of parts) if (part.kind === 'underpass') drawBeneath(part);
}

/** What passes over an edge of the site, out of it or into it. */
function drawMark(sheet: TileSheet, at: Tile, edge: Heading, arrow: string, label: string, ink: 'exit' | 'entry'): void {
  const { canvas } = sheet;
  const column = sheet.columnOf(at.x);
  const row = sheet.rowOf(at.y);
  switch (edge) {
    case 'S':
      canvas.put(column, sheet.foot, `┘${arrow} ${arrow}└`, ink);
      canvas.put(column + 2, sheet.foot, label, ink);
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
}

/** Lines of the picture, without its key. With `flows`, lanes show how full they are. */
export function drawLayout(layout: Layout, style: Style, flows?: LaneFlows): readonly string[] {
  const sheet = new TileSheet(layout);
  drawFrame(sheet, layout);
  drawTrack(sheet, layout);
  drawWagons(sheet, layout);
  drawKeepOut(sheet, layout);
  drawCarriers(sheet, layout, flows);
  drawArmsAndChests(sheet, layout);
  drawGround(sheet, layout);
  layout.exits.forEach(({ at, heading }, index) => {
    drawMark(sheet, at, heading, ARROWS[heading], exitLetter(index), 'exit');
  });
  entriesOf(layout).forEach(({ at, heading }, index) => {
    drawMark(sheet, at, backOf(heading), ARROWS[heading], entryNumber(index), 'entry');
  });
  const lines = [...sheet.canvas.lines(style)];
  while (lines.at(-1) === '') lines.pop();
  return lines;
}
