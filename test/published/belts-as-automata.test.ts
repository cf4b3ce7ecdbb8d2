/**
 * Belts as cellular automata. A lane is an exclusion process: items keep the pitch P and move by v.
 * Source: M. R. Evans, N. Rajewsky, E. R. Speer, "Exact solution of a cellular automaton for traffic"
 * (J. Stat. Phys. 95, 1999, cond-mat/9810306): on a ring with parallel update and sure moves, the flow is
 * min(rho, 1 - rho). Our belts move front to back, so an item follows into the room that the one ahead has
 * just left, and the branch 1 - rho goes: flow = rho as long as the ring's one opened border carries it.
 * That border is updated in parallel, since its first mover sees what it faces as it stands: it carries one
 * item in (P + v) / v ticks, which for v = P is the 1/2 of the parallel law at rho = 1/2. A full ring stands.
 */
import { describe, expect, it } from 'vitest';
import { ratio, type Rational } from '../../src/base/rational.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { appendItem, itemAt } from '../../src/simulation/lanes.js';
import { stepMachine } from '../../src/simulation/tick.js';
import { belts, layoutOf } from '../simulation/sketch.js';

const PITCH = 60;
const TILE = 240;

/** Items per tick past a point of a ring of eight tiles with `items` on its left lane, after it has settled. */
function ringFlow(items: number, speed: number): Rational {
  const ring = [
    ...belts(0, 0, 'E', 2, speed),
    ...belts(2, 0, 'S', 2, speed),
    ...belts(2, 2, 'W', 2, speed),
    ...belts(0, 2, 'N', 2, speed),
  ];
  const [piece] = compileLayout(layoutOf(ring, [])).pieces;
  const { machine, stretches } = piece;
  let left = items;
  for (const { lane } of stretches) {
    for (; left > 0 && machine.laneCount[lane] < TILE / PITCH; left--) {
      appendItem(machine, lane, TILE - PITCH * machine.laneCount[lane]);
    }
  }
  /** Sum of all items' distances from one point of the ring, along it. */
  const advance = (): number =>
    stretches.reduce((sum, { lane }, tile) => {
      let here = 0;
      for (let i = 0; i < machine.laneCount[lane]; i++) here += tile * TILE + itemAt(machine, lane, i);
      return sum + here;
    }, 0);
  const length = stretches.length * TILE;
  for (let tick = 0; tick < 2000; tick++) stepMachine(machine);
  const sampled = 4800;
  let moved = 0;
  for (let tick = 0, before = advance(); tick < sampled; tick++) {
    stepMachine(machine);
    const now = advance();
    // An item that passes the point falls back by one length of the ring.
    moved += (now - before + length * 10) % length;
    before = now;
  }
  return ratio(moved, sampled * length);
}

describe('a ring of belts', () => {
  it.each([15, 20, 60])('carries min(rho, v / (P + v)) at speed %i, and nothing when full', (speed) => {
    const places = (8 * TILE) / PITCH;
    for (let items = 1; items < places; items += 2) {
      const free = ratio(items * speed, 8 * TILE);
      const capacity = ratio(speed, PITCH + speed);
      const law = free.compare(capacity) < 0 ? free : capacity;
      // The window may cut a rhythm of the queue at its ends.
      const error = ringFlow(items, speed).sub(law).abs();
      expect(error.compare(ratio(1, 1000)), `${items} items`).toBeLessThan(0);
      if (law === free) expect(error.compare(0), `${items} items`).toBe(0);
    }
    expect(ringFlow(places, speed).compare(0)).toBe(0);
  });
});

describe('open ends', () => {
  it('let a full lane through at v / P: the parallel law b / (1 + b) would give half of it for v = P', () => {
    const speed = 60;
    const [piece] = compileLayout(
      layoutOf(belts(0, 0, 'E', 4, speed), [{ at: { x: 3, y: 0 }, heading: 'E', take: undefined }]),
    ).pieces;
    const { machine } = piece;
    for (let tick = 0; tick < 200; tick++) {
      const count = machine.laneCount[0];
      const last = count === 0 ? 4 * TILE : itemAt(machine, 0, count - 1);
      if (last >= PITCH) appendItem(machine, 0, 0);
      stepMachine(machine);
    }
    // The first item needs 4 x 240 / 60 ticks to the end and leaves in the next one.
    expect(machine.exitCount[0]).toBe(200 - 16);
  });
});
