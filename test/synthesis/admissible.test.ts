/**
 * What the search and the programs rule out by a bound, no layout that meets the brief may contradict: for plans of tiny
 * sites that brute force finds and the simulator passes, the bounds on carriers, the bill program and the placement
 * program must all leave room. TRANSLOOM_SEED sets the first seed, TRANSLOOM_BRIEFS the number of briefs.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { deriveNetwork } from '../../src/layout/network.js';
import { costOf, layoutCost, wagonAt, pickTile, placeTile, type Layout } from '../../src/layout/layout.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import type { Program, Row, VariableId } from '../../src/program/program.js';
import type { Bill } from '../../src/synthesis/site/bill.js';
import { billProgram } from '../../src/synthesis/bills/bill-program.js';
import { candidates } from '../../src/synthesis/site/candidates.js';
import { CarrierSearch, SearchStopped } from '../../src/synthesis/carriers/carrier-search.js';
import type { Crew, CrewArm } from '../../src/synthesis/site/crew.js';
import { Judge } from '../../src/synthesis/networks/judge.js';
import { NetworkCosts } from '../../src/synthesis/networks/network-costs.js';
import { indexOfHeading, siteMap, type SiteMap } from '../../src/synthesis/site/site-map.js';
import { standProgram } from '../../src/synthesis/bills/stand-program.js';
import { boundsOfBill, boundsOfCrew, LESS_THAN_ROUNDING, type TrainBounds } from '../../src/synthesis/site/train-bounds.js';
import { trainTimes } from '../../src/tasks/train-times.js';
import { SEED } from '../documents.js';
import { everyPlan } from '../oracles/brute-force.js';
import { designFor, isInStatedSpace, verification, witnessOf } from '../oracles/compare-designs.js';
import { mixedBriefs } from '../oracles/random-briefs.js';

const BRIEFS = Number(process.env['TRANSLOOM_BRIEFS'] ?? '70');
const MOST_COST_ABOVE = 4;
const MOST_STEPS = 15_000;
const MOST_PLANS = 25;

function crewOf(layout: Layout, map: SiteMap): Crew {
  const index = ({ x, y }: { readonly x: number; readonly y: number }): number => (y - map.top) * map.width + x;
  const chests = layout.parts.flatMap((part) => (part.kind === 'chest' ? [{ tile: index(part.at), model: 0 }] : []));
  const chestAt = (tile: number): number => chests.findIndex((chest) => chest.tile === tile);
  const arms = layout.parts.flatMap((part): CrewArm[] => {
    if (part.kind !== 'arm') return [];
    const target = index(placeTile(part));
    const fills = chestAt(target) >= 0;
    return [
      {
        tile: index(part.at),
        heading: indexOfHeading(part.heading),
        model: map.arms.findIndex(({ name }) => name === part.model.name),
        role: fills ? 'fill' : 'load',
        chest: fills ? chestAt(target) : wagonAt(layout.wagons, pickTile(part)) === undefined ? chestAt(index(pickTile(part))) : -1,
        target,
      },
    ];
  });
  return { chests, arms: arms.sort((a, b) => a.tile - b.tile) };
}

function billOf(layout: Layout, crew: Crew, map: SiteMap): Bill {
  const count = (role: CrewArm['role']): readonly number[] =>
    map.arms.map((_, m) => crew.arms.filter((arm) => arm.role === role && arm.model === m).length);
  return {
    chests: crew.chests.length,
    fills: count('fill'),
    loads: count('load'),
    splitters: map.splitters.map(({ name }) => layout.parts.filter((part) => part.kind === 'splitter' && part.model.name === name).length),
  };
}

const carrierCost = (layout: Layout): number =>
  layout.parts.reduce((sum, part) => sum + (part.kind === 'belt' || part.kind === 'underpass' ? costOf(part) : 0), 0);

/** Into how many connected networks a layout's carriers fall. */
function networksIn(layout: Layout): number {
  const { carriers } = deriveNetwork(layout);
  const networkOf = carriers.map(({ part }) => part);
  for (const { next, index } of carriers) {
    if (next.kind !== 'carrier') continue;
    const [one, other] = [networkOf[index], networkOf[next.carrier]];
    networkOf.forEach((network, c) => {
      if (network === one) networkOf[c] = other;
    });
  }
  return new Set(networkOf).size;
}

/** What networks of these parts cost at least, looked up again for dearer layouts; undefined where that takes long. */
function networkFloor(costs: NetworkCosts, bill: Bill, upTo: number): ReturnType<NetworkCosts['floor']> | undefined {
  try {
    return costs.floor(bill, upTo);
  } catch (thrown) {
    if (!(thrown instanceof SearchStopped)) throw thrown;
    return undefined;
  }
}

/** The program with the counts of a bill put in. */
function withBill(map: SiteMap, bill: Bill, mostPrice: number): Program {
  const encoded = billProgram(map, candidates(map), [], mostPrice);
  const fixed: readonly (readonly [VariableId, number])[] = [
    [encoded.chests, bill.chests],
    ...encoded.fills.map((id, m) => [id, bill.fills[m]] as const),
    ...encoded.loads.map((id, m) => [id, bill.loads[m]] as const),
    ...encoded.splitters.map((id, m) => [id, bill.splitters[m]] as const),
  ];
  const rows = fixed.map(([id, rhs]): Row => ({ name: `fixed ${id}`, terms: [[1, id]], relation: '=', rhs }));
  return { ...encoded.program, rows: [...encoded.program.rows, ...rows] };
}

const search = (map: SiteMap): CarrierSearch =>
  new CarrierSearch(map, {
    judge: () => 'fails',
    accept: () => undefined,
    admits: () => true,
    reachMatters: () => false,
    dearerTailsCount: false,
    shouldStop: () => false,
  });

describe('bounds of the search and the programs', () => {
  it(`leave room for every layout that passes (${BRIEFS} briefs, from seed ${SEED})`, { timeout: 1_200_000 }, async () => {
    const solver = await loadGlpkSolver();
    const draw = seededRandom(SEED);
    const counts = { plans: 0, parts: 0, splitters: 0, underpasses: 0, severalExits: 0, together: 0, chests: 0, twoSides: 0, tight: 0, networkFloors: 0, tightNetworks: 0, trains: 0, tightDwell: 0 };
    for (const [name, brief] of mixedBriefs(SEED, BRIEFS)) {
      const outcome = await designFor(brief, solver, 1);
      if (outcome.status !== 'optimal') continue;
      const map = siteMap(brief);
      const spots = candidates(map);
      const carriers = search(map);
      let looks = 0;
      const networkCosts = new NetworkCosts(brief, 'cost', new Judge(witnessOf, () => undefined, brief), () => ++looks > 2_000);
      const mostCost = layoutCost(outcome.layout) + MOST_COST_ABOVE;
      const passing: Layout[] = [outcome.layout];
      everyPlan(brief, { mostCost, mostSteps: MOST_STEPS }, (layout) => {
        if (passing.length < MOST_PLANS && isInStatedSpace(layout) && verification(layout, brief).passes) passing.push(layout);
      });
      const billsSeen = new Set<string>();
      for (const layout of passing) {
        counts.plans++;
        const crew = crewOf(layout, map);
        const bill = billOf(layout, crew, map);
        const paid = carrierCost(layout);
        const where = `${name}, ${JSON.stringify(layout.parts.map((part) => ({ ...part, model: part.model.name })))}`;
        const least = carriers.leastCost(crew, bill.splitters, true);
        expect(least, where).toBeLessThanOrEqual(paid);
        if (least === paid) counts.tight++;
        const floor = networkFloor(networkCosts, bill, paid);
        if (floor !== undefined && brief.exits.length > 1 && brief.together === undefined) {
          counts.networkFloors++;
          expect(floor.least, `networks, ${where}`).toBeLessThanOrEqual(paid);
          if (floor.least === paid) counts.tightNetworks++;
          if (paid < floor.moreAt) expect(networksIn(layout), `networks up to ${floor.moreAt}, ${where}`).toBeLessThanOrEqual(floor.mostNetworks);
        }
        // Any part of the crew, as it is while a crew is being put together.
        const part = { ...crew, arms: crew.arms.filter((arm) => arm.role === 'fill' || draw(2) === 0) };
        const begun = [part, { ...crew, arms: crew.arms.filter(({ role }) => role === 'fill') }, { chests: [], arms: [] }];
        for (const most of [brief.exits.length, networksIn(layout)]) {
          carriers.allowNetworks(most);
          for (const some of begun) {
            const leastOfSome = carriers.leastCost(some, bill.splitters, false);
            expect(leastOfSome, `part of a crew, ${most} networks, ${where}`).toBeLessThanOrEqual(paid);
            if (leastOfSome > 0) counts.parts++;
          }
        }
        carriers.allowNetworks(brief.exits.length);
        if (bill.splitters.some((n) => n > 0)) counts.splitters++;
        if (layout.parts.some(({ kind }) => kind === 'underpass')) counts.underpasses++;
        if (layout.exits.length > 1) counts.severalExits++;
        if (brief.together !== undefined) counts.together++;
        if (bill.chests > 0) counts.chests++;
        if (brief.site.north !== undefined && layout.parts.some((part) => part.kind === 'arm' && part.heading !== 'S')) counts.twoSides++;
        const trains = trainTimes(layout, verification(layout, brief));
        if (trains !== undefined) {
          counts.trains++;
          const roomFor = ({ leastDwell, mostTrainsPerHour }: TrainBounds): boolean =>
            leastDwell * LESS_THAN_ROUNDING <= trains.dwell.valueOf() && mostTrainsPerHour >= trains.trainsPerHour.valueOf() * LESS_THAN_ROUNDING;
          expect(roomFor(boundsOfBill(map, bill)), `trains of the bill, ${where}`).toBe(true);
          expect(roomFor(boundsOfCrew(map, crew)), `trains of the crew, ${where}`).toBe(true);
          if (boundsOfCrew(map, crew).leastDwell >= trains.dwell.valueOf() * LESS_THAN_ROUNDING) counts.tightDwell++;
          const limited = siteMap({ ...brief, limits: { ...brief.limits, dwell: trains.dwell, trainsPerHour: trains.trainsPerHour } });
          expect(solver.solve(withBill(limited, bill, 1000), { timeLimitSeconds: 20 }).status, `limits on trains, ${where}`).toBe('optimal');
        }
        const key = `${JSON.stringify(bill)} ${layoutCost(layout)}`;
        if (billsSeen.has(key)) continue;
        billsSeen.add(key);
        const answer = solver.solve(withBill(map, bill, 1000), { timeLimitSeconds: 20 });
        expect(answer.status, where).toBe('optimal');
        if (answer.status === 'optimal') expect(answer.solution.objective, where).toBeLessThanOrEqual(layoutCost(layout));
        expect(solver.solve(standProgram(map, spots, bill).program, { timeLimitSeconds: 20 }).status, where).toBe('optimal');
      }
    }
    console.log(`bounds on carriers: ${JSON.stringify(counts)}`);
    expect(Math.min(...Object.values(counts))).toBeGreaterThan(0);
    expect(counts.plans).toBeGreaterThan(BRIEFS * 2);
  });
});
