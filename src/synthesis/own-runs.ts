/**
 * Parts of a brief designed by runs of their own, and crews near those that there are: what first layouts are made of. Each
 * goes on a few milliseconds at a time, beside the run that asks for it.
 */
import type { Tile } from '../base/geometry.js';
import { seededRandom } from '../base/random.js';
import { unlessStopped } from '../base/run-stopped.js';
import type { Brief } from '../brief/brief.js';
import type { Layout, Part } from '../layout/layout.js';
import type { DesignTools } from './design-tools.js';
import type { BestSoFar } from './families/best-so-far.js';
import type { DesignOutcome } from './outcome.js';
import type { Verify } from './verifier.js';
import type { AloneAnswer, GatherAnswer } from './first-layouts/design-alone.js';
import { GatheredLayouts } from './first-layouts/gathered-layouts.js';
import { NearbyCrews } from './first-layouts/nearby-crews.js';
import type { FirstLayoutTools } from './first-layouts/piece-table.js';
import { hasTiers } from './first-layouts/simpler-designs.js';
import { untilStopped } from './networks/judge.js';

/** When a run begins to look for any layout. */
export const SCOUT_AFTER_MILLISECONDS = 1_500;
/** The same of designs alone where the brief has carriers of several speeds: slow ones take the exact search long. */
const SCOUT_ALONE_AFTER_MILLISECONDS = 500;

/** How a part of a brief is designed by a run of its own. */
export interface OwnRun {
  /** Milliseconds. */
  readonly scoutAfter: number;
  /** Chests of others. */
  readonly given: readonly Tile[];
  /** What is to be kept instead of the best. */
  readonly kept?: BestSoFar;
  /** Whether any layout soon is wanted more than one of the cheapest. */
  readonly anySoon: boolean;
}

/** The run that asks. */
interface Asking extends Pick<DesignTools, 'verify' | 'solver' | 'now' | 'shouldStop'> {
  readonly secondsLeft: () => number;
  readonly breathe: () => Promise<void>;
  /** A run that can be gone on with by `run`. */
  readonly begin: (brief: Brief, tools: DesignTools, own: OwnRun) => { readonly run: () => Promise<DesignOutcome> };
  /** Whether it is time to let others work. */
  readonly isLong: () => boolean;
}

export class OwnRuns implements FirstLayoutTools {
  constructor(
    private readonly whole: Brief,
    private readonly asking: Asking,
  ) {}

  /** Where the run is to stop in the midst of it, nothing is known to pass. */
  readonly passes = (layout: Layout, brief: Brief): boolean => unlessStopped(() => untilStopped(this.asking)(layout, brief).verdict) === 'passes';

  /** The first layout that a run comes upon; one of the cheapest, or with `anySoon` any. Each call goes on with it. */
  readonly designAlone = (brief: Brief, given: readonly Part[], anySoon: boolean): ((milliseconds: number) => Promise<AloneAnswer>) => {
    const { now, begin } = this.asking;
    let until = now();
    let found: Layout | undefined;
    const run = begin(
      brief,
      {
        ...this.toolsUntil(() => until, () => found !== undefined),
        verify: this.verifyBeside(given),
        onStep: (step) => {
          if (step.kind === 'found') found = step.layout;
        },
      },
      {
        scoutAfter: hasTiers(this.whole.catalog) ? SCOUT_ALONE_AFTER_MILLISECONDS : SCOUT_AFTER_MILLISECONDS,
        given: chestTilesOf(given),
        anySoon,
      },
    );
    return async (milliseconds) => {
      until = now() + milliseconds;
      const { status } = await run.run();
      return found ?? (status === 'infeasible' ? 'none' : 'late');
    };
  };

  /** All layouts that a run comes upon, up to `most` of them that cost no more than `above` above the cheapest. */
  readonly gatherAlone = (brief: Brief, above: number, most: number): ((milliseconds: number) => Promise<GatherAnswer>) => {
    const { now, shouldStop, begin } = this.asking;
    let until = now();
    const layouts: Layout[] = [];
    const run = begin(brief, this.toolsUntil(() => until, () => layouts.length >= most), {
      scoutAfter: Infinity,
      given: [],
      kept: new GatheredLayouts(brief, above, (layout) => {
        layouts.push(layout);
      }),
      anySoon: false,
    });
    return async (milliseconds) => {
      until = now() + milliseconds;
      await run.run();
      return { layouts, isWhole: layouts.length >= most || (now() <= until && !shouldStop()) };
    };
  };

  /** Layouts near one that is known to pass, each cheaper than the one before. */
  readonly nearbyCrews = (brief: Brief, given: readonly Part[], layout: Layout, price: number): ((milliseconds: number) => Promise<AloneAnswer>) => {
    const { now, shouldStop, isLong, breathe } = this.asking;
    let until = now();
    const isOver = (): boolean => now() > until || shouldStop();
    const crews = new NearbyCrews(brief, chestTilesOf(given), layout, price, untilStopped({ verify: this.verifyBeside(given), shouldStop: isOver }), isOver, seededRandom(1));
    return async (milliseconds) => {
      until = now() + milliseconds;
      while (!crews.isDone) {
        const found = crews.next();
        if (found !== undefined) return found;
        if (isOver()) return 'late';
        if (isLong()) await breathe();
      }
      return 'none';
    };
  };

  /** Of a run that stops once it has enough, or at a moment that may move on. */
  private toolsUntil(until: () => number, hasEnough: () => boolean): DesignTools {
    const { verify, solver, now, shouldStop, secondsLeft, breathe } = this.asking;
    return {
      verify,
      solver,
      now,
      shouldStop: () => hasEnough() || now() > until() || shouldStop(),
      secondsLeft: () => Math.min(secondsLeft(), (until() - now()) / 1000),
      breathe,
      onProgress: () => undefined,
    };
  }

  /** The simulator's word on layouts beside which these parts stand. */
  private verifyBeside(given: readonly Part[]): Verify {
    const { verify } = this.asking;
    return given.length === 0 ? verify : (layout, asked, flowsAlone, shouldStop) => verify({ ...layout, parts: [...layout.parts, ...given] }, asked, flowsAlone, shouldStop);
  }
}

const chestTilesOf = (parts: readonly Part[]): readonly Tile[] => parts.flatMap((part) => (part.kind === 'chest' ? [part.at] : []));
