/**
 * What is remembered of strands, against the same strands run by themselves: in networks of the search, which have many
 * strands in common, and in random layouts of which a part is taken away; and that strands are told apart by all that
 * their ticks depend on.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of strands of several arms that are held against one like them.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { backOf, type Tile } from '../../src/base/geometry.js';
import { ratio } from '../../src/base/rational.js';
import type { Layout, Part } from '../../src/layout/layout.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { compileNetwork } from '../../src/simulation/compile.js';
import { Starts } from '../../src/simulation/starts.js';
import { StrandMemory, type StrandFlows } from '../../src/simulation/strand-memory.js';
import { strandTexts } from '../../src/simulation/strand-texts.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { SEED } from '../documents.js';
import { drawing, idleBrief } from '../oracles/random-networks.js';
import { planDocument, seededPlan } from '../oracles/random-plans.js';
import { arm, belt, belts, chest, exit, layoutOf, splitter } from './sketch.js';
import { randomLayout, TOWARD_CORNER } from './random-layouts.js';

const ALIKE = Number(process.env['TRANSLOOM_NETWORKS'] ?? '40');
const OPTIONS = { starts: 2, seed: 1, tickLimit: 2_000 };

interface Counted {
  alike: number;
  arms: number;
  splitters: number;
}

const perTick = ({ periodTicks, exitCount, armTaken }: StrandFlows): string =>
  [exitCount, armTaken].map((counts) => [...counts].filter(([, count]) => count > 0).sort(([a], [b]) => a - b).map(([key, count]) => `${key}: ${count / periodTicks}`).join()).join(' of ');

/** Holds all strands of a layout against what is remembered of others. */
function holdAgainst(memory: StrandMemory, layout: Layout, counted: Counted): void {
  const network = deriveNetwork(layout);
  const known = memory.strandsOf(layout, network);
  const program = compileNetwork(layout, network);
  const [starts, alone] = [new Starts(program, OPTIONS, known), new Starts(program, OPTIONS)];
  for (let start = 0; start <= OPTIONS.starts; start++) {
    for (const place of starts.strands) {
      const told = starts.knownFlows(place, start);
      const found = (told === undefined ? starts : alone).strandFlows(place, start);
      if (told === undefined || found === undefined) continue;
      counted.alike++;
      if (place.arms.length > 1) counted.arms++;
      if (place.strand.turns.length > 0) counted.splitters++;
      const [here, there] = [perTick(found), perTick(told)];
      if (here !== there) expect.fail(`start ${start}: ${here} here, ${there} there\n${JSON.stringify(planDocument(layout))}`);
    }
  }
}

const textsOf = (layout: Layout): readonly string[] => strandTexts(layout, deriveNetwork(layout)).map(({ text }) => text);

const withoutTakes = (layout: Layout): Layout => ({ ...layout, exits: layout.exits.map(({ at, heading }) => ({ at, heading, take: undefined })) });

describe('strands that are remembered', () => {
  it(`give what they give in networks of the search (${ALIKE} of several arms, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const sum: Counted = { alike: 0, arms: 0, splitters: 0 };
    for (let n = 0; sum.arms < ALIKE && n < 10 * ALIKE; n++) {
      const draw = seededRandom(SEED + n);
      const kind = { evenSplit: draw(4) === 0, exits: [1, 1, 2], mostSplitters: 2 };
      const brief = idleBrief(draw, kind);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      const memory = new StrandMemory();
      for (const { view, crew } of networks(draw, kind, 8, 1500)) holdAgainst(memory, buildLayout(map, view, crew), sum);
    }
    console.log(`strands held against one like them: ${JSON.stringify(sum)}`);
    expect(Math.min(sum.alike, sum.arms, sum.splitters)).toBeGreaterThanOrEqual(ALIKE);
  });

  it('give what they give where something else is gone', () => {
    const sum: Counted = { alike: 0, arms: 0, splitters: 0 };
    for (let n = 0; sum.splitters < ALIKE / 2 && n < 10 * ALIKE; n++) {
      const draw = seededRandom(SEED + n);
      const layout = withoutTakes(randomLayout(SEED + n, { speeds: [15, 30], slacks: [0, 0, 4], headings: TOWARD_CORNER }));
      const memory = new StrandMemory();
      holdAgainst(memory, layout, sum);
      for (let k = 0; k < 6; k++) {
        const gone = draw(layout.parts.length);
        holdAgainst(memory, { ...layout, parts: layout.parts.filter((_, index) => index !== gone) }, sum);
      }
    }
    console.log(`strands held against one elsewhere: ${JSON.stringify(sum)}`);
    expect(sum.splitters).toBeGreaterThanOrEqual(ALIKE / 2);
  });

  it('are told from those in which anything else is, but for how long a free way to an exit is', () => {
    interface Changes {
      readonly model?: Parameters<typeof arm>[3];
      readonly under?: number;
      readonly side?: number;
    }
    // Two arms onto one lane: one onto a belt that turns, one onto a belt that joins by a tee merge.
    const parts = ({ model, under, side }: Changes): readonly Part[] => [
      chest(1, 0), arm(1, 1, 'S', model), belt(1, 2, 'S', under), belt(1, 3, 'S'), belt(1, 4, 'S', side), belt(1, 5, 'E'),
      ...belts(2, 5, 'E', 3),
      chest(5, 3), arm(4, 3, 'W'), belt(3, 3, 'S'), belt(3, 4, 'S'),
    ];
    const written = (changes: Changes): readonly string[] => textsOf(layoutOf([...parts(changes)], [exit(4, 5, 'E')]));
    const usual = written({});
    expect(usual.length).toBeGreaterThan(0);
    expect(written({})).toEqual(usual);
    for (const model of [{ payload: 7 }, { swingTicks: 9 }, { grabTicks: 3 }, { releaseTicks: 5 }, { slack: 2 }]) expect(written({ model })).not.toEqual(usual);
    expect(written({ under: 30 })).not.toEqual(usual);
    expect(written({ side: 30 })).not.toEqual(usual);
    const longer = (by: number): readonly string[] => textsOf(layoutOf([...parts({}), ...belts(5, 5, 'E', by)], [exit(4 + by, 5, 'E')]));
    expect(longer(1)).toEqual(longer(3));
  });

  it('are told apart by the halves and the favour of splitters, and by the order in which arms act', () => {
    const around = (parts: readonly Part[], at: number): readonly string[] => textsOf(layoutOf([...parts], [exit(at, 4, 'S')]));
    const under = (x: number, favourOut?: 'left'): readonly string[] =>
      around([chest(2, 0), arm(2, 1, 'S'), belt(2, 2, 'S'), splitter(2, 3, 'S', favourOut === undefined ? {} : { favourOut }), belt(x, 4, 'S')], x);
    expect(under(2)[0]).not.toBe(under(1)[0]);
    expect(under(2, 'left')[0]).not.toBe(under(2)[0]);
    const pair = (first: number, second: number): readonly string[] =>
      around([chest(1, 2), arm(2, 2, 'E', { payload: first }), chest(1, 3), arm(2, 3, 'E', { payload: second }), ...belts(3, 2, 'S', 3)], 3);
    expect(pair(1, 2)).not.toEqual(pair(2, 1));
  });

  it('are told apart by who goes first at a tee merge, where the tiles tell', () => {
    const fedAt = (x: number): Part[] => [chest(x - 2, 2), arm(x - 1, 2, 'E'), belt(x, 2, 'S')];
    // Each side feeder comes from the other splitter, and waits for its own.
    const parts = [
      ...fedAt(1), ...fedAt(4), splitter(1, 3, 'S'), splitter(4, 3, 'S'), belt(1, 4, 'S'), belt(4, 4, 'S'), belt(3, 4, 'W'), belt(2, 4, 'W'),
      belt(0, 4, 'S'), ...belts(0, 5, 'E', 5), belt(5, 5, 'N'), belt(5, 4, 'W'),
    ];
    const turned = (tile: Tile): Tile => ({ x: 9 - tile.x, y: 9 - tile.y });
    const halfTurn = parts.map((part): Part => {
      if (part.kind === 'underpass') return part;
      return part.kind === 'chest' ? { ...part, at: turned(part.at) } : { ...part, at: turned(part.at), heading: backOf(part.heading) };
    });
    const lanes = (layout: Layout): readonly string[] => textsOf(layout).map((text) => text.split('@')[0]);
    const here = lanes(layoutOf(parts, [exit(1, 4, 'S'), exit(4, 4, 'S')]));
    const there = lanes(layoutOf(halfTurn, [exit(8, 5, 'N'), exit(5, 5, 'N')]));
    expect(here).toHaveLength(1);
    expect(there).toHaveLength(1);
    expect(there).not.toEqual(here);
    expect(there[0].replaceAll('!', '')).toBe(here[0].replaceAll('!', ''));
  });

  it('are told apart by where they join, and by how their arms are held back', () => {
    // One lane of the side belt joins a quarter of the way along, the other one at three quarters.
    const beside = (heading: 'E' | 'W'): readonly string[] =>
      textsOf(layoutOf([chest(heading === 'E' ? 0 : 4, 3), arm(heading === 'E' ? 1 : 3, 3, heading), belt(2, 3, 'S'), belt(2, 4, 'S'), belt(1, 5, 'E'), belt(2, 5, 'E'), belt(3, 5, 'E', 30)], [exit(3, 5, 'E')]));
    expect(beside('E')).toHaveLength(1);
    expect(beside('E')).not.toEqual(beside('W'));
    // Who is further upstream acts first, or last.
    const toward = (heading: 'E' | 'W'): readonly string[] =>
      textsOf(layoutOf([chest(1, 2), arm(1, 3, 'S'), chest(2, 2), arm(2, 3, 'S'), ...(heading === 'E' ? belts(1, 4, 'E', 2) : belts(2, 4, 'W', 2))], [exit(heading === 'E' ? 2 : 1, 4, heading)]));
    expect(toward('E')).toHaveLength(1);
    expect(toward('E')).not.toEqual(toward('W'));
    // An item at the very end of the tile feels what has just left it.
    const atEnd = (tiles: number): readonly string[] => textsOf(layoutOf([chest(1, 0), arm(1, 1, 'S', { slack: 60 }), ...belts(1, 2, 'S', tiles)], [exit(1, 1 + tiles, 'S')]));
    expect(atEnd(1)).not.toEqual(atEnd(2));
    expect(atEnd(2)).toEqual(atEnd(3));
    const pair = layoutOf([chest(1, 2), arm(1, 3, 'S'), chest(2, 2), arm(2, 3, 'S'), ...belts(1, 4, 'E', 2)], [exit(2, 4, 'E')]);
    const known = new StrandMemory().strandsOf(pair, deriveNetwork(pair));
    known.note({ periodTicks: 7, exitCount: new Map([[1, 2]]), armTaken: new Map([[0, 1], [1, 1]]) }, [0, 0]);
    expect(known.flows([1, 0], [0, 0])?.exitCount.get(1)).toBe(2);
    expect(known.flows([1, 0], [0, 3])).toBeUndefined();
  });

  it('tell nothing of layouts with credit, rings, entries, arms that take from carriers, or dead ends', () => {
    let told = 0;
    for (let seed = 1; seed <= 120; seed++) {
      const layout = seededPlan(seed);
      const network = deriveNetwork(layout);
      const isLeftAlone = layout.exits.some(({ take }) => take !== undefined) || network.arms.some(({ pick }) => pick.kind === 'carrier');
      if (isLeftAlone) expect(textsOf(layout)).toEqual([]);
      else told += textsOf(layout).length;
    }
    expect(told).toBeGreaterThan(0);
    const head = [chest(1, 0), arm(1, 1, 'S'), ...belts(1, 2, 'S', 3)];
    expect(textsOf(layoutOf(head, [exit(1, 4, 'S')]))).toHaveLength(1);
    expect(textsOf(layoutOf(head, [exit(1, 4, 'S', ratio(1, 20))]))).toEqual([]);
    expect(textsOf(layoutOf([...head, belt(3, 2, 'E'), belt(4, 2, 'S'), belt(4, 3, 'W'), belt(3, 3, 'N')], [exit(1, 4, 'S')]))).toEqual([]);
    // Where an exit is no edge of the site, what leaves by it may face what brings it there; nothing goes round.
    const round = [chest(1, 2), arm(1, 3, 'S'), belt(1, 4, 'E'), belt(2, 4, 'S'), belt(2, 5, 'W'), belt(1, 5, 'N')];
    expect(textsOf(layoutOf(round, [exit(1, 5, 'N')]))).toHaveLength(1);
  });
});
