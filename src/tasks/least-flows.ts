/**
 * What a layout can be held to, wherever its wagons may stop and whatever start it runs from.
 */
import { minRational, ONE, type Rational } from '../base/rational.js';
import type { Layout } from '../layout/layout.js';
import { spotted } from '../layout/spotting.js';
import type { PromisedFlows } from '../ranking/promise.js';
import { leastFlows } from '../simulation/least-flows.js';
import { leastLoaded, lessLoaded } from '../simulation/loading-flows.js';
import type { StartOptions } from '../simulation/starts.js';
import type { LoadedFlows } from '../simulation/trial-result.js';

/** What a layout can promise with its wagons where they stand, `presence` of the time. */
function leastOf(layout: Layout, options: StartOptions, presence: Rational = ONE): PromisedFlows {
  const { exits, together } = leastFlows(layout, options);
  const into = leastLoaded(layout, options, presence)?.wagons;
  const wagons = into?.map((inflow, wagon) => ({ at: layout.wagons[wagon].at, inflow }));
  return { exits: exits.map((least, index) => ({ ...layout.exits[index], ...least })), together, wagons };
}

/** The same of a layout whose wagons stopped elsewhere than planned; they are named by where they stand as planned. */
export function leastAt(stands: Layout, planned: Layout, options: StartOptions, presence: Rational): PromisedFlows {
  const found = leastOf(stands, options, presence);
  return { ...found, wagons: found.wagons?.map(({ inflow }, wagon) => ({ at: planned.wagons[wagon].at, inflow })) };
}

/** The least over every place where the wagons may stop. */
export const leastOfAll = (layout: Layout, options: StartOptions, spotting: number, presence: Rational): PromisedFlows =>
  spotted(layout, spotting)
    .map((each) => leastOf(each, options, presence))
    .reduce((least, other) => ({
      exits: least.exits.map((exit, index) => ({
        ...exit,
        flow: minRational(exit.flow, other.exits[index].flow),
        left: minRational(exit.left, other.exits[index].left),
        right: minRational(exit.right, other.exits[index].right),
      })),
      together: minRational(least.together, other.together),
      // Wagons are named by where they stand as planned, which is the first place.
      wagons: least.wagons?.map(({ at, inflow }, wagon) => ({ at, inflow: minRational(inflow, other.wagons?.[wagon].inflow ?? inflow) })),
    }));

/** Of what comes in and what wagons get, likewise; undefined where no belt comes in, or something is unproven. */
export const leastLoadedOfAll = (layout: Layout, options: StartOptions, spotting: number, presence: Rational): LoadedFlows | undefined =>
  spotted(layout, spotting)
    .map((each) => leastLoaded(each, options, presence))
    .reduce((least, other) => least && other && lessLoaded(least, other));
