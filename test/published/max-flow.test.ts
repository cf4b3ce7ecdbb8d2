/**
 * Greatest flow against the textbook's figure and, on random networks, against a linear program.
 * TRANSLOOM_SEED shifts the seeds.
 */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random.js';
import { loadGlpkSolver } from '../../src/program/glpk-port.js';
import { ProgramBuilder, type Term } from '../../src/program/program.js';
import { MaxFlow } from '../../src/synthesis/rates/max-flow.js';

type Edge = readonly [from: number, to: number, capacity: number];

/** Nodes 0 (source) to `nodes` - 1 (sink). */
function greatestFlow(flow: MaxFlow, nodes: number, edges: readonly Edge[], enough?: number): number {
  flow.reset();
  const ids = Array.from({ length: nodes }, () => flow.addNode());
  for (const [from, to, capacity] of edges) flow.addEdge(ids[from], ids[to], capacity);
  return flow.solve(ids[0], ids[nodes - 1], enough);
}

function flowProgram(nodes: number, edges: readonly Edge[]) {
  const builder = new ProgramBuilder('flow', 'maximise');
  const flows = edges.map(([, , capacity], index) => builder.continuous(`e${index}`, 0, capacity));
  const net = (node: number): readonly Term[] =>
    edges.flatMap(([from, to], index): Term[] => [
      ...(from === node ? [[1, flows[index]] as const] : []),
      ...(to === node ? [[-1, flows[index]] as const] : []),
    ]);
  for (let node = 1; node + 1 < nodes; node++) builder.row(net(node), '=', 0);
  return builder.objective(net(0)).build();
}

describe('greatest flow', () => {
  it('is 23 in figure 26.1 of Cormen et al., Introduction to Algorithms (value from memory)', () => {
    // s, v1, v2, v3, v4, t
    const edges: readonly Edge[] = [
      [0, 1, 16],
      [0, 2, 13],
      [2, 1, 4],
      [1, 3, 12],
      [3, 2, 9],
      [2, 4, 14],
      [4, 3, 7],
      [3, 5, 20],
      [4, 5, 4],
    ];
    expect(greatestFlow(new MaxFlow(), 6, edges)).toBe(23);
  });

  it('takes back what went the shortest way', () => {
    // By 1 and 2 it is shortest, but then nothing comes by 5 and 6, which lead to 2 alone; 1 leads on by 3 and 4 as well.
    const edges: readonly Edge[] = [[0, 1, 1], [1, 2, 1], [2, 7, 1], [1, 3, 1], [3, 4, 1], [4, 7, 1], [0, 5, 1], [5, 6, 1], [6, 2, 1]];
    expect(greatestFlow(new MaxFlow(), 8, edges)).toBe(2);
  });

  it('equals the optimum of the linear program, in one instance that is reused', async () => {
    const glpk = await loadGlpkSolver();
    const random = seededRandom(Number(process.env['TRANSLOOM_SEED'] ?? 1));
    const flow = new MaxFlow();
    let flowing = 0;
    for (let round = 0; round < 60; round++) {
      const nodes = 2 + random(round < 55 ? 8 : 90);
      const edges = Array.from({ length: random(4 * nodes) }, (): Edge => [random(nodes), random(nodes), random(12)]);
      const answer = glpk.solve(flowProgram(nodes, edges), { timeLimitSeconds: 10 });
      const found = greatestFlow(flow, nodes, edges);
      expect(answer.status === 'optimal' ? answer.solution.objective : answer, `round ${round}`).toBeCloseTo(found, 6);
      for (const enough of [1, Math.ceil(found / 2), found, found + 1]) expect(greatestFlow(flow, nodes, edges, enough)).toBe(Math.min(found, enough));
      if (found > 0) flowing++;
    }
    expect(flowing).toBeGreaterThan(15);
  });
});
