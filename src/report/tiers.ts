/**
 * How carriers of a catalog's different speeds are told apart in pictures: by ink, and by the weight of their lines.
 */
import type { Layout } from '../layout/layout.js';
import type { InkName } from './ink.js';

const HEAVY = '━┃┏┓┗┛┣┫┳┻';
const LIGHT = '─│┌┐└┘├┤┬┴';
const DOUBLE = '═║╔╗╚╝╠╣╦╩';

interface Tier {
  /** 1 is the slowest. */
  readonly number: number;
  readonly ink: InkName;
  readonly weight: string;
}

/** The tiers of a catalog's carriers: its different speeds, slowest first. */
const tierSpeeds = (layout: Layout): readonly number[] =>
  [...new Set(layout.catalog.belts.map((belt) => belt.speed))].sort((a, b) => a - b);

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

/** Text of heavy lines, redrawn for a tier. */
export const withWeight = (text: string, tier: Tier): string =>
  [...text].map((glyph) => (HEAVY.includes(glyph) ? tier.weight[HEAVY.indexOf(glyph)] : glyph)).join('');
