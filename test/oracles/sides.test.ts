/**
 * `design` on tiny sites with two sides against brute force: nothing cheaper, nothing smaller at equal cost, wherever the
 * wagon may stop. TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs, TRANSLOOM_STEPS the work for each.
 */
import { describe, expect, it } from 'vitest';
import { tilesOf, underpassHeading } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { SEED } from '../documents.js';
import { compareDesign, isInStatedSpace } from './compare-designs.js';
import { tinySidesBrief, tinySidesDocument } from './random-briefs.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '60');
const STEPS = Number(process.env['TRANSLOOM_STEPS'] ?? '20000');

describe('design with both sides of a wagon, against brute force', () => {
  it(`finds nothing cheaper or smaller (from seed ${SEED})`, { timeout: 3_600_000 }, async () => {
    const solver = await loadGlpkSolver();
    const counts = { optimal: 0, infeasible: 0, north: 0, bothSides: 0, beneath: 0, around: 0, spotting: 0, severalExits: 0 };
    for (let seed = SEED; seed < SEED + BRIEFS; seed++) {
      const brief = tinySidesBrief(seed);
      if (brief === undefined) continue;
      const { outcome, compared, difference } = await compareDesign(brief, solver, { mostSteps: STEPS, timeLimitSeconds: 1 });
      if (difference !== undefined) expect.fail(`seed ${seed}: ${difference}\n${JSON.stringify(tinySidesDocument(seed))}`);
      if (!compared) continue;
      if (outcome.status === 'infeasible') counts.infeasible++;
      if (outcome.status !== 'optimal') continue;
      counts.optimal++;
      expect(isInStatedSpace(outcome.layout)).toBe(true);
      const { parts, exits } = outcome.layout;
      const rows = parts.flatMap(tilesOf).map(({ y }) => y);
      if (rows.some((y) => y < -2)) counts.north++;
      if (rows.some((y) => y < -2) && rows.some((y) => y >= 0)) counts.bothSides++;
      if (parts.some((part) => part.kind === 'underpass' && /[NS]/.test(underpassHeading(part)) && Math.min(part.from.y, part.to.y) < -2 && Math.max(part.from.y, part.to.y) >= 0)) counts.beneath++;
      if (rows.some((y) => y === -1 || y === -2)) counts.around++;
      if (brief.spotting > 0) counts.spotting++;
      if (exits.length > 1) counts.severalExits++;
    }
    console.log(`compared: ${JSON.stringify(counts)}`);
    expect(counts.optimal).toBeGreaterThanOrEqual(BRIEFS / 5);
    expect(Math.min(...Object.values(counts))).toBeGreaterThan(0);
  });
});
