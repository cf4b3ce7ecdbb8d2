/**
 * Layouts of one exit from designs with less to choose from, so that a run soon has one to show: carriers of the
 * exit's own speed, or of one more, arms of one model. Each is a layout of the whole brief too. Nothing here is
 * proven or simulated: whoever asks judges each layout like any other.
 */
import { ZERO, isLess, ratio, type Rational } from '../../base/rational.js';
import type { Brief, ExitDemand } from '../../brief/brief.js';
import type { Catalog } from '../../catalog/catalog.js';
import { beltCapacity, layoutCost, partCount, type Layout } from '../../layout/layout.js';
import type { DesignAlone } from './design-alone.js';
import { demandOf, priceOf } from '../site/site-map.js';

const HIGH_FILL = ratio(7, 10);
/** How much of what a nearly full belt can carry beyond its target is asked too: layouts that only just fall short take longest. */
const HIGH_AIMS: readonly Rational[] = [ZERO, ratio(1, 2), ratio(1)];
/** For each design, round by round, with those of earlier rounds. */
const ROUNDS: readonly number[] = [150, 400, 1_000, 2_500];

const speedsOf = ({ belts, splitters, underpasses }: Catalog): readonly number[] =>
  [...new Set([...belts, ...splitters, ...underpasses].map(({ speed }) => speed))].sort((a, b) => a - b);

/** Whether an exit asks for most of what its belt can carry. */
export const isHigh = ({ catalog }: Brief, { target, belt }: ExitDemand): boolean => isLess(beltCapacity(catalog, belt).mul(HIGH_FILL), target.total);

/** Whether carriers come at several speeds: then networks are so many that a proof takes longer than a first layout. */
export const hasTiers = (catalog: Catalog): boolean => speedsOf(catalog).length > 1;

/** Whether a catalog leaves a choice that can be taken away. */
export const hasChoice = (catalog: Catalog): boolean => hasTiers(catalog) || catalog.arms.length > 1;

interface Open {
  readonly asked: Brief;
  /** That `design` was begun with. */
  mostPrice: number | undefined;
  design: ReturnType<DesignAlone> | undefined;
}

/** Layouts to try, each cheaper than the one before; undefined wherever there is a moment to look up. */
export async function* simplerDesigns(brief: Brief, designAlone: DesignAlone): AsyncGenerator<Layout | undefined, void> {
  const price = priceOf(brief);
  let mostPrice = brief.limits[price];
  const open = simplerBriefs(brief).map((asked): Open => ({ asked, mostPrice, design: undefined }));
  for (const [round, milliseconds] of ROUNDS.entries()) {
    for (const each of [...open]) {
      // What was begun before a cheaper layout was found looks for too much.
      if (each.design === undefined || each.mostPrice !== mostPrice) {
        each.mostPrice = mostPrice;
        each.design = designAlone({ ...each.asked, limits: { ...each.asked.limits, [price]: mostPrice } }, [], false);
      }
      const answer = await each.design(milliseconds - (ROUNDS[round - 1] ?? 0));
      if (answer !== 'late') open.splice(open.indexOf(each), 1);
      if (typeof answer === 'string') {
        yield undefined;
        continue;
      }
      const layout = { ...answer, catalog: brief.catalog };
      mostPrice = (price === 'cost' ? layoutCost(layout) : partCount(layout)) - 1;
      yield layout;
    }
  }
}

function simplerBriefs(brief: Brief): readonly Brief[] {
  const { exits, catalog } = brief;
  const aims = exits.some((exit) => isHigh(brief, exit)) ? HIGH_AIMS : [ZERO];
  return aims.flatMap((aim) =>
    simplerCatalogs(brief).map((simpler) => ({
      ...brief,
      catalog: simpler,
      minimise: [priceOf(brief)],
      exits: exits.map((exit) => {
        const more = beltCapacity(catalog, exit.belt).sub(demandOf(exit)).mul(aim);
        return { ...exit, target: { ...exit.target, total: demandOf(exit).add(more) } };
      }),
    })),
  );
}

/** With least to choose from first: all leave something out. */
function simplerCatalogs({ catalog, exits }: Brief): readonly Catalog[] {
  const own = new Set(exits.map(({ belt }) => belt.speed));
  const all = speedsOf(catalog);
  const others = all.filter((speed) => !own.has(speed)).reverse();
  const speeds = [own, ...others.map((speed) => new Set([...own, speed]))];
  return speeds.flatMap((kept) =>
    catalog.arms.flatMap((arm): readonly Catalog[] => {
      if (kept.size === all.length && catalog.arms.length === 1) return [];
      const isKept = ({ speed }: { readonly speed: number }): boolean => kept.has(speed);
      return [
        {
          ...catalog,
          belts: catalog.belts.filter(isKept),
          splitters: catalog.splitters.filter(isKept),
          underpasses: catalog.underpasses.filter(isKept),
          arms: [arm],
        },
      ];
    }),
  );
}
