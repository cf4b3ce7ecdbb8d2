/**
 * A repair as pictures: the number of each step stands at the part that it changes, in the right one of the two.
 */
import { describe, expect, it } from 'vitest';
import type { Layout } from '../../src/layout/layout.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { flowsNote } from '../../src/report/mend-text.js';
import { mendPage, mendStation, mendSvg, type MendAnswer } from '../../src/tasks/mend-station.js';
import { termsByTarget } from '../../src/tasks/mend-terms.js';
import { readCatalog, readJson, sound } from '../documents.js';

const YARD = readCatalog('models/catalogs/grain-yard.json');

function planOf(change: (parts: Record<string, unknown>[]) => Record<string, unknown>[]): Layout {
  const plan = readJson('models/plans/grain-two-bins.json') as { parts: Record<string, unknown>[] };
  return sound(parsePlan({ ...plan, name: 'a "broken" <yard>', parts: change(plan.parts) }, YARD));
}

const isAt = (part: Record<string, unknown>, x: number, y: number): boolean => JSON.stringify(part['at']) === JSON.stringify([x, y]);

const mended = (layout: Layout, share: number): Promise<MendAnswer> =>
  mendStation(layout, { terms: termsByTarget(layout, (_, saturated) => saturated.mul(share)), starts: 1, now: () => performance.now() });

/** Numbers of steps in each picture, and how many outlines are broken. */
const marksIn = (picture: string): { readonly numbers: readonly string[]; readonly gone: number } => ({
  numbers: [...picture.matchAll(/class="st-number"[^>]*>(\d+)</g)].map(([, number]) => number),
  gone: picture.split('st-mark st-gone').length - 1,
});

describe('before and after', () => {
  it('number what is turned, taken away and added', async () => {
    const broken = planOf((parts) => parts.filter((part) => !isAt(part, 3, 1)).map((part) => (isAt(part, 2, 4) ? { ...part, heading: 'E' } : part)));
    const answer = await mended(broken, 0.6);
    const { outcome } = answer;
    if (outcome.status !== 'optimal') throw new Error(outcome.status);
    const { steps } = outcome.mend;
    expect(steps.length).toBeGreaterThan(1);
    const svg = mendSvg(answer);
    const [, before, after] = svg.split(/>(?:Before|After)<\/text>/);
    const numbersOf = (kinds: readonly string[]): readonly string[] => steps.flatMap(({ kind }, index) => (kinds.includes(kind) ? [String(index + 1)] : []));
    expect(marksIn(before).numbers).toEqual(numbersOf(['remove', 'turn']));
    expect(marksIn(after).numbers).toEqual(numbersOf(['add', 'turn']));
    expect(marksIn(svg).gone).toBe(steps.filter(({ kind }) => kind === 'remove').length);
    const page = mendPage(answer);
    for (const text of [svg, page]) {
      expect(text).toContain('&lt;yard&gt;');
      expect(text).not.toMatch(/undefined|NaN|<yard>/);
      expect(text).toContain(`a repair for ${outcome.mend.price}; none in the searched space costs less.`);
    }
    expect(page).toContain('<td>in all</td>');
    expect(page).not.toContain('<script');
  });

  it('are one picture where there is nothing to do', async () => {
    const answer = await mended(planOf((parts) => parts), 0.5);
    const svg = mendSvg(answer);
    expect(svg).toContain('>The plan</text>');
    expect(svg).not.toMatch(/>Before<|>After<|class="st-number"/);
    expect(mendPage(answer)).toContain('Sound: the plan gives all that is asked');
  });
});

describe('what flows are said to be', () => {
  const note = (starts: number, spotting: number): string => flowsNote({ brief: { starts, spotting }, before: {}, outcome: { status: 'unknown' } } as MendAnswer);

  it.each([
    [0, 0, 'From the standard start alone.'],
    [0, 1, 'From the standard start alone, the least wherever the wagons stop within 1 tile.'],
    [16, 0, 'The least from the standard start and 16 staggered starts.'],
    [1, 2, 'The least from the standard start and 1 staggered start, wherever the wagons stop within 2 tiles.'],
  ])('from %d staggered starts, stopping %d tiles short or far', (starts, spotting, words) => {
    expect(note(starts, spotting)).toBe(words);
  });
});
