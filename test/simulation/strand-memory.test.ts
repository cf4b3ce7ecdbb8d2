/**
 * What is remembered of strands, against the same strands run by themselves, in networks of the search, which have many
 * strands in common; and that strands are told apart by all that their ticks depend on.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of strands that are held against one like them.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import type { Layout } from '../../src/layout/layout.js';
import { compileLayout } from '../../src/simulation/compile.js';
import { Link, PICK_STRETCHES, type Machine, type Strand } from '../../src/simulation/machine.js';
import { Starts } from '../../src/simulation/starts.js';
import { StrandMemory, type StrandFlows } from '../../src/simulation/strand-memory.js';
import { strandsOf } from '../../src/simulation/strands.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { SEED } from '../documents.js';
import { drawing, idleBrief } from '../oracles/random-networks.js';
import { planDocument, seededPlan } from '../oracles/random-plans.js';
import { randomLayout, TOWARD_CORNER } from './random-layouts.js';

const ALIKE = Number(process.env['TRANSLOOM_NETWORKS'] ?? '120');
const OPTIONS = { starts: 2, seed: 1, tickLimit: 2_000 };

/** Tells whether what it is asked for was run anew. */
class Asked extends StrandMemory {
  isNew = false;

  override flows(...[machine, strand, delays, find]: Parameters<StrandMemory['flows']>): StrandFlows {
    this.isNew = false;
    return super.flows(machine, strand, delays, () => {
      this.isNew = true;
      return find();
    });
  }
}

const perTick = ({ periodTicks, exitCount, armTaken }: StrandFlows): readonly number[] => [...exitCount, ...armTaken].map((count) => count / periodTicks);

const NOTHING: StrandFlows = { exact: true, periodTicks: 1, exitCount: [], armTaken: [] };

const isLeftAlone = (m: Machine, { meters, entries, arms }: Strand): boolean =>
  m.opensRing || meters.length > 0 || entries.length > 0 || arms.some((arm) => m.armPickLane[arm * PICK_STRETCHES] >= 0);

/** Holds all strands of a layout against what is remembered of others; how many were remembered. */
function known(memory: Asked, layout: Layout): { readonly alike: number; readonly arms: number; readonly splitters: number } {
  const program = compileLayout(layout);
  const [starts, alone] = [new Starts(program, { ...OPTIONS, memory }), new Starts(program, OPTIONS)];
  const counted = { alike: 0, arms: 0, splitters: 0 };
  for (let start = 0; start <= OPTIONS.starts; start++) {
    for (const place of starts.strands) {
      const told = starts.strandFlows(place, start);
      if (memory.isNew) continue;
      const found = alone.strandFlows(place, start);
      if (!told.exact || !found.exact) continue;
      counted.alike++;
      if (place.strand.arms.length > 2) counted.arms++;
      if (place.strand.turns.length > 0) counted.splitters++;
      const [here, there] = [perTick(found), perTick(told)];
      if (here.join() !== there.join()) expect.fail(`start ${start}: ${here.join(' ')} here, ${there.join(' ')} there\n${JSON.stringify(planDocument(layout))}`);
    }
  }
  return counted;
}

describe('strands that are remembered', () => {
  it(`give what they give (${ALIKE} of networks, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const sum = { alike: 0, arms: 0, splitters: 0 };
    for (let n = 0; sum.alike < ALIKE && n < 10 * ALIKE; n++) {
      const draw = seededRandom(SEED + n);
      const kind = { evenSplit: draw(4) === 0, exits: [1, 1, 2], mostSplitters: 2 };
      const brief = idleBrief(draw, kind);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      const memory = new Asked();
      for (const { view, crew } of networks(draw, kind, 8, 1500)) {
        const counted = known(memory, buildLayout(map, view, crew));
        sum.alike += counted.alike;
        sum.arms += counted.arms;
        sum.splitters += counted.splitters;
      }
    }
    console.log(`strands held against one like them: ${JSON.stringify(sum)}`);
    expect(Math.min(...Object.values(sum))).toBeGreaterThan(ALIKE / 20);
  });

  it('are told from those in which anything else is, but for how long a free way to an exit is', () => {
    const told = { arms: 0, joins: 0, lines: 0, longer: 0, shorter: 0 };
    for (let seed = 1; seed <= 400; seed++) {
      const layout = seed % 2 === 0 ? seededPlan(seed) : randomLayout(seed, { speeds: [15, 30], slacks: [0, 4], headings: TOWARD_CORNER });
      for (const { machine: m } of compileLayout(layout).pieces) {
        for (const strand of strandsOf(m)) {
          if (strand.arms.length < 2 || isLeftAlone(m, strand)) continue;
          const delays = m.armDue.slice();
          /** Whether the strand is taken for another one once a number has changed. */
          const changes = (numbers: Int32Array, index: number, by: number): boolean => {
            const memory = new Asked();
            memory.flows(m, strand, delays, () => NOTHING);
            numbers[index] += by;
            memory.flows(m, strand, delays, () => NOTHING);
            numbers[index] -= by;
            return memory.isNew;
          };
          expect(changes(delays, 0, 0)).toBe(false);
          for (const arm of strand.arms) {
            for (const numbers of [delays, m.armPayload, m.armSwing, m.armGrab, m.armRelease, m.armPlaceFrom, m.armPlaceTo]) expect(changes(numbers, arm, 1)).toBe(true);
            told.arms++;
          }
          for (const turn of strand.turns) {
            for (const numbers of [m.splitterFavourIn, m.splitterFavourOut]) expect(changes(numbers, turn >> 1, 2)).toBe(true);
            told.lines++;
          }
          for (const lane of strand.lanes) {
            expect(changes(m.laneSpeed, lane, 1)).toBe(true);
            if (m.laneLink[lane] !== Link.exit) expect(changes(m.laneLength, lane, 1)).toBe(true);
            if (m.laneLink[lane] !== Link.tee) continue;
            expect(changes(m.laneJoin, lane, 1)).toBe(true);
            told.joins++;
            const to = m.laneTo[lane];
            const felt = m.laneJoin[lane] + m.laneSpeed[lane] + m.pitch - 1;
            if (m.laneLink[to] !== Link.exit) continue;
            const length = m.laneLength[to];
            m.laneLength[to] = felt + 10_000;
            expect(changes(m.laneLength, to, -10_000)).toBe(true);
            m.laneLength[to] = length;
            told.shorter++;
          }
          for (const lane of strand.lanes) {
            if (m.laneLink[lane] !== Link.exit) continue;
            m.laneLength[lane] += 10_000;
            expect(changes(m.laneLength, lane, 1)).toBe(false);
            m.laneLength[lane] -= 10_000;
            told.longer++;
          }
        }
      }
    }
    console.log(`strands told apart: ${JSON.stringify(told)}`);
    expect(Math.min(...Object.values(told))).toBeGreaterThan(5);
  });

  it('tell nothing of strands with credit, rings, or arms that take from carriers', () => {
    let left = 0;
    for (let seed = 1; seed <= 80; seed++) {
      const layout = seededPlan(seed);
      const program = compileLayout(layout);
      const memory = new Asked();
      for (let round = 0; round < 2; round++) {
        const starts = new Starts(program, { ...OPTIONS, memory });
        for (const place of starts.strands) {
          starts.strandFlows(place, 0);
          const { machine } = program.pieces[place.piece];
          if (!isLeftAlone(machine, place.strand) || round === 0) continue;
          left++;
          expect(memory.isNew).toBe(true);
        }
      }
    }
    expect(left).toBeGreaterThan(20);
  });
});
