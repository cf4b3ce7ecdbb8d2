/**
 * Catalogs for stations drawn by geometry alone: belts of up to three speeds, splitters, underpasses and arms of one or two kinds,
 * some of which cost nothing, chests that hold little, wagons of two lengths with a gap between them; units in which whole moves are rare.
 */
import { chance, pick, type Draw } from './random-networks.js';

const UNITS = [[16, 4, 1, 4, 16, 20], [16, 4, 2, 8, 16, 24], [16, 4, 4, 16], [64, 16, 4, 32, 64, 96], [64, 12, 4, 16, 64], [48, 12, 6, 48, 72], [240, 60, 15, 240], [240, 60, 14, 240], [16, 12, 3, 16], [240, 80, 30, 240], [24, 20, 5, 24]] as const;

/** `longest`: of all wagons. */
export function catalogDocument(draw: Draw, longest: number) {
  const [units, pitch, speed, ...turns] = pick(draw, UNITS);
  const isTiered = chance(draw, 40);
  const fast = Math.min(pitch, speed + 1 + draw(speed + 1));
  const between = Math.min(fast, speed + 1 + draw(Math.max(1, fast - speed)));
  const speeds = isTiered ? [speed, between, fast] : [speed];
  const freely = (cost: number): number => (chance(draw, 10) ? 0 : cost);
  const splitter = (): object => ({ speed: pick(draw, speeds), cost: freely(1 + draw(4)), favour: chance(draw, 10) });
  const underpass = (): object => ({ speed: pick(draw, speeds), span: 1 + draw(4), cost: freely(1 + draw(3)) });
  const arm = (reach: number): object => ({ reach, payload: pick(draw, [1, 2, 3, 5, 12]), swing: pick(draw, [1, 2, 3, 5, 13]), grab: pick(draw, [1, 1, 2]), release: pick(draw, [1, 1, 1, 3]), slack: pick(draw, [0, 0, 0, pitch]), cost: freely(2 + draw(4)) });
  const wagon = (length: number): { readonly length: number; readonly coupling: number; readonly capacity: number } => ({ length, coupling: draw(3), capacity: pick(draw, [7, 100, 900]) });
  return {
    format: 'transloom-catalog/1',
    name: 'drawn',
    ticksPerSecond: 50,
    unitsPerTile: units,
    pitch,
    turn: { inner: pick(draw, turns), outer: pick(draw, turns) },
    belts: { slow: { speed, cost: 1 + draw(2) }, ...(isTiered ? { fast: { speed: fast, cost: 1 + draw(5) } } : {}), ...(isTiered && chance(draw, 30) ? { between: { speed: between, cost: 1 + draw(3) } } : {}) },
    splitters: chance(draw, 80) ? { splitter: splitter(), ...(chance(draw, 30) ? { other: splitter() } : {}) } : {},
    underpasses: chance(draw, 50) ? { underpass: underpass(), ...(chance(draw, 30) ? { other: underpass() } : {}) } : {},
    arms: { arm: arm(1), ...(chance(draw, 50) ? { other: arm(1 + draw(3)) } : {}) },
    chests: { chest: { capacity: pick(draw, [1, 2, 400]), cost: freely(1 + draw(2)) }, ...(chance(draw, 30) ? { bin: { capacity: 3, cost: 1 + draw(3) } } : {}) },
    wagons: { wagon: wagon(longest), short: wagon(1 + draw(longest)) },
  };
}
