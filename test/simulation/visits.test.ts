/**
 * Visit runs whose numbers can be worked out by hand: an arm takes 12 in grab 1 + 2 swings of 13 + 1 = 28 ticks.
 */
import { describe, expect, it } from 'vitest';
import type { Part } from '../../src/layout/layout.js';
import type { VisitTerms } from '../../src/simulation/visit-result.js';
import { runVisits } from '../../src/simulation/run-visits.js';
import { arm, belts, chest, chestModel, exit, layoutOf, wagonModel } from './sketch.js';

const WAGON = [{ model: wagonModel, at: 0 }];
/** Empties a wagon into a chest that nothing drains. */
const ONE_ARM = layoutOf([arm(0, 0, 'S'), chest(0, 1)], [], { wagons: WAGON });
/** The same, with an arm from the chest onto a belt of four tiles. */
const ONE_BELT = layoutOf([arm(0, 0, 'S'), chest(0, 1), arm(0, 2, 'S'), ...belts(0, 3, 'E', 4)], [exit(3, 3, 'E')], { wagons: WAGON });

const terms = (changes: Partial<VisitTerms>): VisitTerms => ({ loads: [30], levels: [0], headwayTicks: undefined, stayTicks: undefined, ...changes });

describe('a train', () => {
  it('stands until its last item is taken, and the next one finds the arm on its way back', () => {
    const { visits, ending, ticks } = runVisits(ONE_ARM, terms({}), { visits: 2 });
    // Picks in ticks 0, 28 and 56 (12, 12, 6); back in tick 84, so 84, 112 and 140.
    expect(visits.map(({ arrivedTick, dwellTicks, leftWith, unloaded }) => [arrivedTick, dwellTicks, leftWith, unloaded])).toEqual([
      [0, 57, 0, 30],
      [57, 84, 0, 30],
    ]);
    expect([ending, ticks]).toEqual(['limit', 141]);
  });

  it('leaves when its stay is over, and takes along what is in it', () => {
    const { visits } = runVisits(ONE_ARM, terms({ stayTicks: 50 }), { visits: 2 });
    expect(visits.map(({ arrivedTick, dwellTicks, leftWith }) => [arrivedTick, dwellTicks, leftWith])).toEqual([
      [0, 50, 6],
      [50, 50, 6],
    ]);
  });

  it('comes after its headway, and late where the track is taken', () => {
    const early = runVisits(ONE_ARM, terms({ headwayTicks: 100 }), { visits: 3 });
    expect(early.visits.map(({ arrivedTick, lateTicks, dwellTicks }) => [arrivedTick, lateTicks, dwellTicks])).toEqual([
      [0, 0, 57],
      [100, 0, 57],
      [200, 0, 57],
    ]);
    const late = runVisits(ONE_ARM, terms({ headwayTicks: 80 }), { visits: 3 });
    // In tick 80 the arm is 4 ticks short of the wagon: 84, 112, 140; then back in tick 168, 8 ticks after the arrival.
    expect(late.visits.map(({ arrivedTick, lateTicks, dwellTicks }) => [arrivedTick, lateTicks, dwellTicks])).toEqual([
      [0, 0, 57],
      [80, 0, 61],
      [160, 0, 65],
    ]);
    const crowded = runVisits(ONE_ARM, terms({ headwayTicks: 50 }), { visits: 3 });
    expect(crowded.visits.map(({ arrivedTick, lateTicks }) => [arrivedTick, lateTicks])).toEqual([
      [0, 0],
      [57, 7],
      [141, 34],
    ]);
  });

  it('never leaves where the chest is full and nothing drains it: that is found out, not waited for', () => {
    const { ending, stuckSince, visits, chests } = runVisits(ONE_ARM, terms({ levels: [chestModel.capacity - 20] }));
    expect(ending).toBe('stuck');
    // 12 and 8 of the next 12 fit; the hand keeps 4 and the wagon 6.
    expect(visits[0]).toMatchObject({ dwellTicks: undefined, leftWith: 6, unloaded: 24, waitedFor: { why: 'room' } });
    expect(chests[0].level).toBe(chestModel.capacity);
    expect(stuckSince).toBeLessThan(5000);
  });

  it('never leaves where no arm takes from its wagon', () => {
    const bare: readonly Part[] = belts(0, 3, 'E', 2);
    const { ending, ticks, visits, exits } = runVisits(layoutOf(bare, [exit(1, 3, 'E'), exit(5, 3, 'E')], { wagons: WAGON }), terms({ levels: [] }));
    expect(ending).toBe('stuck');
    // Whether a belt leads there or none does, nothing has left for a second from tick 50 on.
    expect(exits.map(({ starvedTicks, longestPauseTicks }) => [starvedTicks, longestPauseTicks])).toEqual([[ticks - 50, ticks], [ticks - 50, ticks]]);
    expect(visits[0].waitedFor).toMatchObject({ why: 'unreached', wagon: 0 });
  });

  it('waited for the wagon that was done last, or has most left', () => {
    const short = { ...wagonModel, length: 3 };
    const twoWagons = layoutOf([arm(0, 0, 'S'), chest(0, 1), arm(3, 0, 'S'), chest(3, 1)], [], { wagons: [{ model: short, at: 0 }, { model: short, at: 3 }] });
    const waitedFor = (loads: readonly number[], stayTicks?: number): unknown => runVisits(twoWagons, terms({ loads, levels: [0, 0], stayTicks }), { visits: 1 }).visits[0].waitedFor;
    expect(waitedFor([30, 12])).toMatchObject({ why: 'arms', wagon: 0, arm: { at: { x: 0, y: 0 }, into: { kind: 'chest', at: { x: 0, y: 1 } } } });
    expect(waitedFor([12, 30])).toMatchObject({ why: 'arms', wagon: 1, arm: { at: { x: 3, y: 0 }, into: { kind: 'chest', at: { x: 3, y: 1 } } } });
    expect(waitedFor([30, 60], 20)).toMatchObject({ wagon: 1 });
    expect(waitedFor([60, 30], 20)).toMatchObject({ wagon: 0 });
    expect(waitedFor([0, 0])).toBeUndefined();
  });

  it('was held up for want of room only if its arm waited for more than half of the time', () => {
    // Ten hands find room at once; then as many items as the belt takes away, with 44 ticks of waiting in each 72.
    const withLoad = (load: number): { readonly why: string | undefined; readonly share: number } => {
      const [{ waitedFor, dwellTicks = 1 }] = runVisits(ONE_BELT, terms({ loads: [load], levels: [chestModel.capacity - 120] }), { visits: 1 }).visits;
      return { why: waitedFor?.why, share: (waitedFor?.arm?.blockedTicks ?? 0) / dwellTicks };
    };
    const [few, many] = [withLoad(300), withLoad(1200)];
    expect(few).toMatchObject({ why: 'arms' });
    expect(few.share).toBeGreaterThan(0.1);
    expect(few.share).toBeLessThan(0.5);
    expect(many).toMatchObject({ why: 'room' });
    expect(many.share).toBeGreaterThan(0.5);
  });

  it('leaves at once if it brings nothing', () => {
    const { ending, visits } = runVisits(ONE_ARM, terms({ loads: [0], headwayTicks: 10 }));
    expect(ending).toBe('repeats');
    expect(visits[0].dwellTicks).toBe(1);
  });
});

describe('a cycle of visits', () => {
  it('carries off what trains bring', () => {
    const { ending, cycle } = runVisits(ONE_BELT, terms({ loads: [360], headwayTicks: 4000 }));
    expect(ending).toBe('repeats');
    expect(cycle).toMatchObject({ visits: 1, ticks: 4000, unloaded: 360 });
    const [out] = cycle?.exits ?? [];
    expect(out.left + out.right).toBe(360);
    // 30 hands of 12, one in 28 ticks; it leaves with the last.
    expect(cycle?.dwellTicks).toBe(29 * 28 + 1);
    // A hand onto the belt takes 28 + 11 x 4 ticks; a pause counts from its 51st tick on, up to the one before the next item.
    const pause = 4000 - (29 * 72 + 11 * 4);
    expect(out.starvedTicks).toBe(pause - 1 - 50);
  });

  it('is the same whatever order of work it was found by', () => {
    const few = runVisits(ONE_BELT, terms({ loads: [2000] }), {}, { leaps: false });
    const many = runVisits(ONE_BELT, terms({ loads: [2000] }));
    expect(many).toEqual(few);
    expect(many.ending).toBe('repeats');
  });

  it('is skipped in a long run: hours take no longer than the first cycle', () => {
    const day = 24 * 3600 * 60;
    const { departures, skippedVisits, visits, exits } = runVisits(ONE_BELT, terms({ loads: [360], headwayTicks: 4000 }), { ticks: day });
    expect(departures).toBe(Math.ceil(day / 4000));
    expect(visits.length + skippedVisits).toBe(departures);
    expect(skippedVisits).toBeGreaterThan(1000);
    expect(exits[0].left + exits[0].right).toBe(360 * departures);
  });

  it('is not found within too little work: the run says so', () => {
    const { ending, cycle } = runVisits(ONE_BELT, terms({ loads: [2000], levels: [1600] }), {}, { mostTicksRun: 500 });
    expect([ending, cycle]).toEqual(['open', undefined]);
  });
});
