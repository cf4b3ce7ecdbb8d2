/** A search that can remember next to nothing comes to what it comes to with all its memory; it only takes longer. */
import { expect, it } from 'vitest';
import type { Layout } from '../../src/layout/layout.js';
import { verifierOf } from '../../src/pipeline.js';
import { CrewMemories } from '../../src/synthesis/crews/crew-prices.js';
import { BestSoFar } from '../../src/synthesis/families/best-so-far.js';
import { FamilySearch } from '../../src/synthesis/families/family-search.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { siteMap } from '../../src/synthesis/site/site-map.js';
import { CASES, FLOOR, briefOfCase, startsOf } from './share-cases.js';

interface Found {
  /** What is left to try after each price. */
  readonly left: readonly number[];
  readonly best: Layout | undefined;
  readonly simulations: number;
}

it.each(CASES)('$bill.loads load arms for $exits of the exits of $name', (each) => {
  const { bill, fixed, prices } = each;
  const brief = briefOfCase(each);
  const map = siteMap(brief, 'cost');
  const found = (mostSignatures: number, mostCrews: number): Found => {
    const judge = new Judge(verifierOf(startsOf(brief)), () => undefined, brief, mostSignatures);
    const kept = new BestSoFar(brief, () => undefined);
    const search = new FamilySearch(map, candidates(map), judge, kept, () => false);
    const memories = new CrewMemories([], 0, mostCrews);
    const left = prices.map((carriers) => {
      const pass = search.settle({ bill, carriers, price: fixed + carriers, floor: FLOOR, first: undefined }, memories);
      for (;;) {
        const step = pass.next();
        if (step.done === true) return step.value;
      }
    });
    expect(memories.size).toBeLessThanOrEqual(mostCrews);
    expect(memories.groups.size).toBeLessThanOrEqual(mostCrews);
    return { left, best: kept.best?.layout, simulations: judge.simulations };
  };
  const { simulations, ...all } = found(Infinity, Infinity);
  const { simulations: more, ...little } = found(1, 2);
  expect(little).toEqual(all);
  expect(more).toBeGreaterThanOrEqual(simulations);
});
