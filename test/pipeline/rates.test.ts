/**
 * Rates by formula against rates by simulation, for every arm and target of the sample catalogs.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { ratio, type Rational } from '../../src/base/rational.js';
import { armRates, plainInks, ratesDocument, ratesReport } from '../../src/index.js';
import { jsonFiles, readCatalog } from '../documents.js';
import { randomCatalog } from '../oracles/random-plans.js';

const CATALOGS = 60;

describe.each(jsonFiles('models/catalogs'))('rates of %s', (path) => {
  const catalog = readCatalog(path);
  const rates = armRates(catalog);

  it('are exact, above 0, and never above the formula', () => {
    expect(rates.length).toBeGreaterThan(8);
    for (const { bound, simulated, exact } of rates) {
      expect(exact).toBe(true);
      expect(simulated.compare(0)).toBe(1);
      expect(simulated.compare(bound)).toBeLessThanOrEqual(0);
    }
  });

  // World rules, section 7: n items onto a free lane without slack take
  // grab + 2 swing + 1 + (n - 1) max(release, ceil(P/v)) ticks, and container to container grab + 2 swing + 1.
  it('keep to the cycle of the world rules', () => {
    let applied = 0;
    for (const { arm: name, target, simulated } of rates) {
      const arm = catalog.arms.find((each) => each.name === name);
      if (arm === undefined) throw new Error(name);
      const idle = arm.grabTicks + 2 * arm.swingTicks + 1;
      const expected = (speed: number): Rational => {
        const apart = Math.max(arm.releaseTicks, Math.ceil(catalog.pitch / speed));
        return ratio(arm.payload, idle + (arm.payload - 1) * apart);
      };
      if (target.kind === 'chest') {
        applied += 1;
        expect(simulated.equals(ratio(arm.payload, idle))).toBe(true);
      } else if (target.kind === 'belt' && arm.slack === 0) {
        applied += 1;
        const belt = catalog.belts.find((each) => each.name === target.model);
        expect(simulated.equals(expected(belt?.speed ?? 0))).toBe(true);
      }
    }
    expect(applied).toBeGreaterThan(3);
  });

  it('are told as a table and as JSON', () => {
    const lines = ratesReport(catalog, rates, { ink: plainInks, ascii: true });
    expect(lines.filter((line) => !/^[ -~]*$/.test(line))).toEqual([]);
    expect(lines.join('\n')).not.toContain('above it');
    expect(ratesDocument(catalog, rates)).toMatchObject({ catalog: catalog.name });
  });
});

describe('rates of odd catalogs', () => {
  it('are never above the formula, also where a splitter leads onto faster belts', () => {
    let onto = 0;
    for (let seed = 1; seed <= CATALOGS; seed++) {
      const catalog = randomCatalog(seededRandom(seed));
      for (const { arm, target, bound, simulated, exact } of armRates(catalog)) {
        if (!exact) continue;
        expect(simulated.compare(bound), `seed ${seed}, ${arm}, ${JSON.stringify(target)}: ${simulated.toFraction()} of ${bound.toFraction()}`).toBeLessThanOrEqual(0);
        const splitter = target.kind === 'splitter' ? catalog.splitters.find(({ name }) => name === target.model) : undefined;
        if (splitter !== undefined && catalog.belts.every(({ speed }) => speed > splitter.speed)) onto++;
      }
    }
    expect(onto).toBeGreaterThan(CATALOGS / 2);
  });
});
