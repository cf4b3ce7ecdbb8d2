/**
 * Splitters that share evenly, against the simulator: no exit lane of a random network gives more, from any start, than
 * its bound says. How often the bound is below the flow test's is counted; where it never were, it would be of no use.
 * TRANSLOOM_SEED sets the first seed, TRANSLOOM_NETWORKS the number of networks.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { buildLayout } from '../../src/synthesis/carriers/build-layout.js';
import { BELT, CarrierNetwork, DEAD, UNDERPASS, exitOf } from '../../src/synthesis/carriers/carrier-network.js';
import { EvenSplit } from '../../src/synthesis/carriers/even-split.js';
import { flowBound } from '../oracles/flow-bound.js';
import { SEED } from '../documents.js';
import { planDocument } from '../oracles/random-plans.js';
import { costOfCarriers, drawing, flowsByStart, idleBrief, lay, partsOfView } from '../oracles/random-networks.js';

const NETWORKS = Number(process.env['TRANSLOOM_NETWORKS'] ?? '1000');
const KIND = { evenSplit: true, exits: [2, 2, 3], mostSplitters: 3 };
const STARTS = 4;

describe('what splitters that share evenly leave to each exit', () => {
  it(`is never less than what flows (${NETWORKS} networks, from seed ${SEED})`, { timeout: 3_600_000 }, () => {
    const counted = { networks: 0, lanes: 0, tighter: 0, reached: 0, tees: 0, underpasses: 0, chains: 0, blind: 0, lines: 0 };
    for (let seed = SEED; counted.networks < NETWORKS && seed < SEED + 4 * NETWORKS; seed++) {
      const draw = seededRandom(seed);
      const brief = idleBrief(draw, KIND);
      if (brief === undefined) continue;
      const { map, networks } = drawing(brief);
      const net = new CarrierNetwork(map);
      const split = new EvenSplit(map, net);
      expect(split.applies, `seed ${seed}`).toBe(true);
      for (let crews = 0; crews < 6; crews++) {
        for (const { view, crew } of networks(draw, KIND, 3, 1500)) {
          const layout = buildLayout(map, view, crew);
          const flows = flowsByStart(layout, STARTS, seed);
          if (flows === undefined) continue;
          lay(net, view, crew, partsOfView(view));
          split.enter(crew);
          counted.networks++;
          const bounds = flowBound(layout);
          const carriers = Array.from({ length: view.count }, (_, c) => c);
          const halves = carriers.filter((c) => view.mate[c] >= 0);
          if (carriers.some((c) => view.kind[c] === BELT && carriers.filter((from) => view.next[from] === c).length > 1)) counted.tees++;
          if (carriers.some((c) => view.kind[c] === UNDERPASS)) counted.underpasses++;
          if (halves.some((c) => view.next[c] >= 0 && view.mate[view.next[c]] >= 0)) counted.chains++;
          if (halves.some((c) => view.next[c] === DEAD)) counted.blind++;
          if (halves.some((c) => crew.arms.some(({ target, role }) => role === 'load' && target === view.tail[c]))) counted.lines++;
          for (const c of carriers) {
            if (view.next[c] >= DEAD) continue;
            const exit = exitOf(view.next[c]);
            for (const [lane, side] of (['left', 'right'] as const).entries()) {
              const most = split.mostOf(c, lane);
              counted.lanes++;
              if (bounds.exits[exit][side].mul(map.scale.factor).compare(most) > 0) counted.tighter++;
              for (const [start, each] of flows.entries()) {
                const flow = each[exit][side].mul(map.scale.factor);
                if (start === 0 && most > 0 && flow.compare(most) === 0) counted.reached++;
                if (flow.compare(most) <= 0) continue;
                expect.fail(
                  `seed ${seed}, start ${start}, exit ${exit}, ${side}: ${each[exit][side].toFraction()} above ${most}/${map.scale.factor}, ` +
                    `carriers of ${costOfCarriers(map, view)}\n${JSON.stringify(planDocument(layout))}`,
                );
              }
            }
          }
        }
      }
    }
    console.log(`splitters that share evenly: ${JSON.stringify(counted)}`);
    expect(counted.networks).toBeGreaterThanOrEqual(NETWORKS);
    expect(Math.min(...Object.values(counted))).toBeGreaterThan(NETWORKS / 100);
  });
});
