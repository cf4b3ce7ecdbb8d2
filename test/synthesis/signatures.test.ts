/**
 * Signatures: networks that are told to be alike give the same flows from every start, wherever they lie, and one
 * simulation speaks for all of them. Networks come from the search, of catalogs with one speed and with several.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of networks that are held against one like them.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { formatRational } from '../../src/base/rational.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { layoutSignature } from '../../src/synthesis/networks/network-signature.js';
import { networksOf } from '../../src/synthesis/networks/networks.js';
import { SEED } from '../documents.js';
import { drawing, flowsByStart, idleBrief } from '../oracles/random-networks.js';
import { planDocument } from '../oracles/random-plans.js';

const ALIKE = Number(process.env['TRANSLOOM_NETWORKS'] ?? '300');
const STARTS = 2;
/** A tee merge right before a last stretch of another speed. */
const KNOWN_SEED = 6969;

describe('networks of one signature', () => {
  it(`give the same from every start (${ALIKE} networks, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { alike: 0, tiers: 0, joined: 0, splitters: 0 };
    for (let n = 0; counted.alike < ALIKE && n < 10 * ALIKE; n++) {
      const seed = n === 0 ? KNOWN_SEED : SEED + n;
      const draw = seededRandom(seed);
      const kind = { evenSplit: draw(4) === 0, exits: [1, 1, 2], mostSplitters: 1 };
      const brief = idleBrief(draw, kind);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      const known = new Map<string, { readonly flows: string; readonly plan: unknown }>();
      for (let crews = 0; crews < 3; crews++) {
        for (const { view, crew } of networks(draw, kind, 8, 1500)) {
          const signature = layoutSignature(map, view, crew, networksOf(view, crew));
          const layout = buildLayout(map, view, crew);
          const each = flowsByStart(layout, STARTS, seed);
          if (each === undefined) continue;
          // Which of the exits gets them is not told: nothing is asked of any.
          const flows = each.map((exits) => exits.map(({ left, right }) => `${formatRational(left)} ${formatRational(right)}`).sort().join(', ')).join('; ');
          const like = known.get(signature);
          if (like === undefined) {
            known.set(signature, { flows, plan: planDocument(layout) });
            continue;
          }
          counted.alike++;
          if (new Set(view.speed).size > 1) counted.tiers++;
          if (view.mate.some((mate) => mate >= 0)) counted.splitters++;
          if (view.next.some((to, c) => to >= 0 && view.next.indexOf(to) < c)) counted.joined++;
          if (like.flows !== flows) expect.fail(`seed ${seed}: ${flows} here, ${like.flows} there\n${JSON.stringify(planDocument(layout))}\n${JSON.stringify(like.plan)}\n${signature}`);
        }
      }
    }
    console.log(`networks held against one like them: ${JSON.stringify(counted)}`);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(ALIKE / 20);
  });
});
