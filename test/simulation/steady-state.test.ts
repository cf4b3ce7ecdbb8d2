/**
 * Periods, starts and verdicts, against plain long runs that know nothing of repetition.
 */
import { describe, expect, it } from 'vitest';
import { ONE, ratio, ZERO, type Rational } from '../../src/base/rational.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { createRun } from '../../src/simulation/run.js';
import { startDelays, Starts } from '../../src/simulation/starts.js';
import { runTrial } from '../../src/simulation/trial.js';
import { verifyTargets } from '../../src/simulation/verify.js';
import { randomLayout, TOWARD_CORNER, ANYWHERE, type RandomOptions } from './random-layouts.js';
import { arm, belt, belts, chest, exit, layoutOf, splitter, wagonModel } from './sketch.js';

const WORLDS: readonly RandomOptions[] = [
  { speeds: [15], slacks: [0, 18], headings: TOWARD_CORNER },
  { speeds: [15, 23], slacks: [0], headings: ANYWHERE, loop: true },
];
const SEED = 5;
const LIMIT = 40_000;
const ofPart = (layout: Layout, start: number): readonly number[] =>
  startDelays(compileLayout(layout), SEED, start);

describe('steady states of random layouts', () => {
  it('repeat: exits and arms count the same in every period', () => {
    let exact = 0;
    let flowing = 0;
    for (const options of WORLDS) {
      for (let seed = 1; seed <= 25; seed++) {
        const layout = randomLayout(seed, options);
        const starts = new Starts(compileLayout(layout), { starts: 3, seed: SEED, tickLimit: LIMIT });
        for (let start = 0; start <= 3; start++) {
          const settled = starts.settle(start);
          const { pieces } = starts.program;
          const run = createRun(layout, { delays: ofPart(layout, start) });
          if (settled.some(({ orbit, transientTicks }) => !orbit.exact || transientTicks + 2 * orbit.periodTicks > 2000)) continue;
          exact++;
          // Whole periods from the latest transient on, piece by piece.
          const from = Math.max(0, ...settled.map(({ transientTicks }) => transientTicks));
          while (run.tick < from) run.step();
          pieces.forEach((piece, index) => {
            const again = createRun(layout, { delays: ofPart(layout, start) });
            while (again.tick < from) again.step();
            const [exitsBefore, armsBefore] = [again.counts().exits, again.arms()];
            for (let tick = 0; tick < 2 * settled[index].orbit.periodTicks; tick++) again.step();
            piece.exits.forEach((which, local) => {
              const { left, right } = again.counts().exits[which];
              const { exitCount } = settled[index].orbit;
              expect(left - exitsBefore[which].left, `seed ${seed}`).toBe(2 * exitCount[local * 2]);
              expect(right - exitsBefore[which].right, `seed ${seed}`).toBe(2 * exitCount[local * 2 + 1]);
              if (exitCount[local * 2] + exitCount[local * 2 + 1] > 0) flowing++;
            });
            piece.arms.forEach((which, local) => {
              const taken = again.arms()[which].taken - armsBefore[which].taken;
              expect(taken, `seed ${seed}`).toBe(2 * settled[index].orbit.armTaken[local]);
            });
          });
        }
      }
    }
    expect(exact).toBeGreaterThan(80);
    expect(flowing).toBeGreaterThan(20);
  });

  it('bring out what goes in, and give each arm the whole of its time', () => {
    let applied = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const layout = randomLayout(seed, WORLDS[0]);
      const result = runTrial(layout, { starts: 2, seed: SEED, tickLimit: LIMIT, presence: ONE });
      if (!result.exact) continue;
      const { network } = compileLayout(layout);
      let onto = ZERO;
      result.arms.forEach(({ flow, share }, index) => {
        const { pick, place } = network.arms[index];
        if (place.kind === 'nothing' || pick.kind === 'nothing') return;
        if (pick.kind !== 'carrier' && place.kind === 'carrier') onto = onto.add(flow);
        if (pick.kind === 'carrier' && place.kind !== 'carrier') onto = onto.sub(flow);
        expect(share.moving.add(share.blocked).add(share.starved).equals(1), `seed ${seed}`).toBe(true);
        for (const part of [share.moving, share.blocked, share.starved]) expect(part.compare(0)).toBeGreaterThanOrEqual(0);
      });
      const out = result.exits.reduce<Rational>((sum, { flow }) => sum.add(flow), ZERO);
      expect(out.toFraction(), `seed ${seed}`).toBe(onto.toFraction());
      if (out.compare(0) > 0) applied++;
    }
    expect(applied).toBeGreaterThan(10);
  });
});

describe('verification', () => {
  it('agrees with the trial at its flow, and fails just above it', () => {
    let applied = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const layout = randomLayout(seed, WORLDS[0]);
      const options = { starts: 6, seed: SEED, tickLimit: LIMIT, presence: ratio(1_000_000) };
      const result = runTrial(layout, options);
      if (layout.exits.length === 0 || !result.exact) continue;
      const worst = result.exits.findIndex(({ fill }) => result.exits.every((other) => other.fill.compare(fill) >= 0));
      const total = result.exits[worst].flow;
      const at = (flow: Rational) =>
        verifyTargets(layout, [{ exit: worst, total: flow, left: ZERO, right: ZERO }], options);
      const met = at(total);
      if (met.failure?.kind !== 'supply') expect(met.passes, `seed ${seed}`).toBe(true);
      if (met.passes) expect(met.exits[worst].flow.equals(total), `seed ${seed}`).toBe(true);
      const missed = at(total.add(ratio(1, 1_000_000)));
      expect(missed.passes).toBe(false);
      expect(missed.failure, `seed ${seed}`).toMatchObject({ kind: 'flow', exit: worst });
      applied++;
    }
    expect(applied).toBeGreaterThan(20);
  });

  const fed = (fillers: number, presence: Rational) => {
    const wagons = [{ model: wagonModel, at: 0 }];
    const parts = [arm(1, 0, 'S', { swingTicks: fillers }), chest(1, 1), arm(1, 2, 'S'), ...belts(1, 3, 'E', 2)];
    const layout = layoutOf(parts, [exit(2, 3, 'E')], { wagons });
    return verifyTargets(layout, [{ exit: 0, total: ratio(1, 6), left: ZERO, right: ratio(1, 6) }], {
      starts: 4,
      seed: 1,
      tickLimit: 5000,
      presence,
    });
  };

  it('fails a chest that does not keep up', () => {
    // 12 items in 1 + 2 s + 1 ticks against 12 in 72.
    expect(fed(35, ONE)).toMatchObject({ passes: true, keepsUp: true, failure: undefined, startsRun: 5 });
    expect(fed(36, ONE)).toMatchObject({ passes: false, keepsUp: false, failure: { kind: 'supply', part: 1, start: 0 } });
    expect(fed(35, ratio(71, 72)).passes).toBe(false);
    expect(fed(17, ratio(1, 2)).passes).toBe(true);
    expect(fed(17, ratio(1, 2)).chests.map(({ outflow, supply }) => [outflow.toFraction(), supply.toFraction()])).toEqual([
      ['1/6', '1/3'],
    ]);
  });

  it('fails per lane', () => {
    const layout = layoutOf([chest(0, 0), arm(0, 1, 'S'), ...belts(0, 2, 'E', 2)], [exit(1, 2, 'E')]);
    const options = { starts: 0, seed: 1, tickLimit: 5000, presence: ratio(1) };
    const target = { exit: 0, total: ZERO, left: ratio(1, 1000), right: ZERO };
    expect(verifyTargets(layout, [target], options).failure).toEqual({ kind: 'flow', exit: 0, start: 0 });
  });

  it('never calls an unfinished run exact', () => {
    const layout = layoutOf([chest(0, 0), arm(0, 1, 'S'), ...belts(0, 2, 'E', 2)], [exit(1, 2, 'E')]);
    const options = { starts: 2, seed: 1, tickLimit: 100, presence: ONE };
    const result = runTrial(layout, options);
    expect([result.exact, result.transientTicks + result.periodTicks]).toEqual([false, 100]);
    const verdict = verifyTargets(layout, [], options);
    expect(verdict).toMatchObject({ passes: false, exact: false, failure: { kind: 'unproven', start: 0 } });
  });
});

describe('starts', () => {
  it('hold each arm back by less than one cycle, the standard start not at all', () => {
    const layout = layoutOf([chest(0, 0), arm(0, 1, 'S'), chest(1, 0), arm(1, 1, 'S'), ...belts(0, 2, 'E', 3)], []);
    const program = compileLayout(layout);
    expect(startDelays(program, 7, 0)).toEqual([0, 0]);
    const all = Array.from({ length: 200 }, (_, start) => startDelays(program, 7, start + 1)).flat();
    // 1 + 26 + 1 + 12 x 4 ticks.
    expect([Math.min(...all), Math.max(...all)]).toEqual([0, 75]);
    expect(startDelays(program, 7, 3)).toEqual(startDelays(program, 7, 3));
  });

  it('are drawn alike for what is connected, whatever stands beside it', () => {
    const alone = [chest(0, 0), arm(0, 1, 'S'), chest(1, 0), arm(1, 1, 'S'), ...belts(0, 2, 'E', 2)];
    const beside = [arm(5, 0, 'S'), chest(5, 1), arm(5, 2, 'S'), ...belts(5, 3, 'S', 2)];
    const delaysOf = (parts: Parameters<typeof layoutOf>[0]): readonly (number | undefined)[] => {
      const layout = layoutOf(parts, []);
      const delays = startDelays(compileLayout(layout), 7, 3);
      const acting = compileLayout(layout).network.arms.map(({ part }) => layout.parts[part]);
      return alone.flatMap((part) => (part.kind === 'arm' ? [delays[acting.findIndex((other) => other === part)]] : []));
    };
    expect(delaysOf([...beside, ...alone])).toEqual(delaysOf(alone));
  });

  it('are drawn by the slowest belt on which items come, and by no idle one', () => {
    const delaysOf = (idleSpeed: number, headSpeed = 15): readonly number[] =>
      startDelays(compileLayout(layoutOf([chest(1, 0), arm(1, 1, 'S'), belt(1, 2, 'E'), belt(2, 2, 'E', headSpeed), belt(2, 3, 'N', idleSpeed)], [])), 7, 3);
    expect(delaysOf(2)).toEqual(delaysOf(15));
    expect(delaysOf(15, 2)).not.toEqual(delaysOf(15));
    const halves = (speed: number): readonly number[] =>
      startDelays(compileLayout(layoutOf([chest(1, 0), arm(1, 1, 'S'), splitter(1, 2, 'E'), belt(2, 3, 'E', speed)], [])), 7, 3);
    expect(halves(2)).not.toEqual(halves(15));
  });
});
