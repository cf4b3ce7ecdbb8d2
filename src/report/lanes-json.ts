/**
 * The flow of every lane as JSON, as `draw --json` prints it. Fields are described in models/files-and-commands.md.
 */
import { formatRational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import { deriveNetwork } from '../layout/network.js';
import type { LaneFlow, LaneFlows } from '../simulation/lane-flows.js';
import { perSecondNumber } from './numbers.js';
import { present, type JsonObject } from './trial-json.js';

/** One entry for each carrier: what goes on from its last tile. */
export function lanesJson(layout: Layout, { carriers }: LaneFlows): readonly JsonObject[] {
  const lane = (flow: LaneFlow | undefined): JsonObject | undefined =>
    flow && {
      flow: formatRational(flow.flow),
      perSecond: perSecondNumber(flow.flow, layout.catalog.ticksPerSecond),
      fill: formatRational(flow.fill),
      state: flow.state,
    };
  return deriveNetwork(layout).carriers.map(({ head: at, heading }, index) => {
    const { left, right } = carriers[index].head;
    return present({ at: [at.x, at.y], heading, left: lane(left), right: lane(right) });
  });
}
