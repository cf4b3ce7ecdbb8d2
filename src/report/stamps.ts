/**
 * What stands in the five by two cells of a tile in a terminal picture, part by part. `draw-layout.ts` draws with these
 * stamps, and `src/picture/` reads pictures by them, so that what is drawn can be read again.
 */
import type { Heading } from '../base/geometry.js';

export const TILE_WIDTH = 5;
export const TILE_HEIGHT = 2;

/** Two rows of five cells. */
export type Stamp = readonly [string, string];

/** Drawn in heavy lines; `withWeight` redraws them for the other tiers. */
export const STRAIGHT: Readonly<Record<Heading, Stamp>> = {
  N: [' ▲ ▲ ', ' ┃ ┃ '],
  E: ['━━━━▶', '━━━━▶'],
  S: [' ┃ ┃ ', ' ▼ ▼ '],
  W: ['◀━━━━', '◀━━━━'],
};

/** By heading, then by the side of the tile where items come in. */
export const TURNS: Readonly<Record<Heading, Readonly<Partial<Record<Heading, Stamp>>>>> = {
  N: { W: ['━┛ ▲ ', '━━━┛ '], E: [' ▲ ┗━', ' ┗━━━'] },
  E: { N: [' ┃ ┗▶', ' ┗━━▶'], S: [' ┏━━▶', ' ┃ ┏▶'] },
  S: { W: ['━━━┓ ', '━┓ ▼ '], E: [' ┏━━━', ' ▼ ┏━'] },
  W: { N: ['◀┛ ┃ ', '◀━━┛ '], S: ['◀━━┓ ', '◀┓ ┃ '] },
};

/** Overlays on a straight belt that is fed from behind: how a side belt's two lanes reach the near one. */
export const TEES: Readonly<Record<Heading, Readonly<Partial<Record<Heading, Stamp>>>>> = {
  N: { W: ['━    ', '━┫   '], E: ['    ━', '   ┣━'] },
  E: { N: [' ┻ ┻ ', '     '], S: ['     ', ' ┳ ┳ '] },
  S: { W: ['━┫   ', '━    '], E: ['   ┣━', '    ━'] },
  W: { N: [' ┻ ┻ ', '     '], S: ['     ', ' ┳ ┳ '] },
};

/** Two opposed side belts and none behind. */
export const MOUTHS: Readonly<Record<Heading, Stamp>> = {
  N: ['━▲ ▲━', '━┛ ┗━'],
  E: [' ┗━┻▶', ' ┏━┳▶'],
  S: ['━┓ ┏━', '━▼ ▼━'],
  W: ['◀┻━┛ ', '◀┳━┓ '],
};

/** By heading, then by the side on which the other half stands. */
export const SPLITTER_HALVES: Readonly<Record<Heading, Readonly<Partial<Record<Heading, Stamp>>>>> = {
  N: { E: ['┏▲━▲━', '┗┳━┳━'], W: ['━▲━▲┓', '━┳━┳┛'] },
  E: { S: ['┫┏━┓▶', '┫┃ ┃▶'], N: ['┫┃ ┃▶', '┫┗━┛▶'] },
  S: { E: ['┏┻━┻━', '┗▼━▼━'], W: ['━┻━┻┓', '━▼━▼┛'] },
  W: { S: ['◀┏━┓┣', '◀┃ ┃┣'], N: ['◀┃ ┃┣', '◀┗━┛┣'] },
};

/** The way goes under ground where the shade is. */
export const UNDERPASS_ENTRIES: Readonly<Record<Heading, Stamp>> = {
  N: [' ▒ ▒ ', ' ▲ ▲ '],
  E: ['━▶▒▒░', '━▶▒▒░'],
  S: [' ▼ ▼ ', ' ▒ ▒ '],
  W: ['░▒▒◀━', '░▒▒◀━'],
};

export const UNDERPASS_EXITS: Readonly<Record<Heading, Stamp>> = {
  N: [' ▲ ▲ ', ' ▒ ▒ '],
  E: ['░▒▒━▶', '░▒▒━▶'],
  S: [' ▒ ▒ ', ' ▼ ▼ '],
  W: ['◀━▒▒░', '◀━▒▒░'],
};

/** Drawn on free ground between the two ends. */
export const UNDER_GROUND: Readonly<Record<'along x' | 'along y', Stamp>> = {
  'along x': ['┄┄┄┄┄', '     '],
  'along y': ['  ┊  ', '  ┊  '],
};

/** From the side it picks at (◦) in an arc to the side it places at. */
export const ARMS: Readonly<Record<Heading, Stamp>> = {
  N: [' ▲─╮ ', ' ◦─╯ '],
  E: [' ╭─╮ ', '◦╯ ╰▶'],
  S: [' ◦─╮ ', ' ▼─╯ '],
  W: [' ╭─╮ ', '◀╯ ╰◦'],
};

export const CHEST: Stamp = ['▗▄▄▄▖', '▝▀▀▀▘'];
export const KEEP_OUT: Stamp = ['╱╱╱╱╱', '╱╱╱╱╱'];
/** By the row: two rails, and room beside them for what lies on the tile's side of the track. */
export const TRACK: Readonly<Record<number, Stamp>> = { [-2]: ['     ', '┄┄┄┄┄'], [-1]: ['┄┄┄┄┄', '     '] };
export const GROUND: Stamp = ['·    ', '     '];
