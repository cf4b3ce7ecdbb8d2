/**
 * Joins staircases with the simulator, with time, and with threads: what does the last of the fill cost, what do more
 * rows, columns or arms bring, what is the most that a site can give.
 */
import type { Rational } from '../base/rational.js';
import { askedFill } from '../brief/asked-fill.js';
import type { Brief } from '../brief/brief.js';
import type { DesignFinding } from '../report/design-text.js';
import type { Style } from '../report/canvas.js';
import { designJson } from '../report/design-json.js';
import { designText } from '../report/design-text.js';
import { mostFillJson, mostFillLines } from '../report/most-fill.js';
import { staircaseJson } from '../report/staircase-json.js';
import { fillAskedText, sizeAskedText, staircaseText, stepLine, staircaseVerdict } from '../report/staircase-text.js';
import type { JsonObject } from '../report/trial-json.js';
import { USUAL_SEED } from '../simulation/starts.js';
import { design } from '../synthesis/design.js';
import type { DesignTools } from '../synthesis/design-tools.js';
import type { DesignOutcome } from '../synthesis/outcome.js';
import type { FillStep, GreatestFill, Size, SizeStep, Staircase, StepFinding } from '../synthesis/choices/staircase-outcome.js';
import { fillStaircase, greatestFill, sizeStaircase, type StaircaseTools } from '../synthesis/choices/staircase.js';
import type { RunState } from '../synthesis/search-state.js';
import { openSharePool, type SharePool } from '../workers/share-pool.js';
import type { DesignRequest } from './design-station.js';
import { loadingVerifier } from './loading-verifier.js';
import { promised } from './promised-plan.js';
import { runLoading } from './run-loading.js';
import { searchTools } from './search-tools.js';

export interface WhatIfRequest extends Pick<DesignRequest, 'seed' | 'timeLimitSeconds' | 'solver' | 'shouldStop' | 'onProgress' | 'breathe' | 'now' | 'workers'> {
  /** Told of each step when it is found; a later one may replace it. */
  readonly onStep?: ((step: FillStep | SizeStep) => void) | undefined;
}

/** The axis, and the part of it that is asked about; fills are shares of what the belts carry. */
export type StaircaseRange =
  | { readonly over: 'fill'; readonly from?: Rational | undefined; readonly to?: Rational | undefined }
  | { readonly over: 'depth' | 'width' | 'arms'; readonly from?: number | undefined; readonly to?: number | undefined };

export interface StaircaseAnswer {
  readonly brief: Brief;
  readonly staircase: Staircase;
  /** The plan of a step's station, with what it promises. */
  readonly planOf: (step: StepFinding) => JsonObject;
}

/** Of the time that is left one run may take so much, so that others have some. */
const SHARE_OF_TIME = 1 / 2;

/** In words, what a run is asked for. */
type AskedWords = (asked: Brief) => string;

const fillWords: AskedWords = (asked) => fillAskedText(askedFill(asked), asked.exceed === true);

const sizeWords =
  (over: Size): AskedWords =>
  ({ site, limits }) =>
    sizeAskedText(over, over === 'arms' ? limits.arms : site[over]);

async function staircaseTools(brief: Brief, request: WhatIfRequest, words: AskedWords): Promise<StaircaseTools> {
  const { tools, starts } = await searchTools(brief, request, request.onProgress);
  const { now } = tools;
  /** What the last run that was stopped knew: one that is asked for the very same goes on from there. */
  let unfinished: { readonly asked: Brief; readonly state: RunState } | undefined;
  const left = (): number => tools.secondsLeft?.() ?? Infinity;

  async function run(asked: Brief, seconds: number): Promise<DesignOutcome> {
    const until = now() + seconds * 1000;
    const of = words(asked);
    const timed: DesignTools = {
      ...tools,
      shouldStop: () => tools.shouldStop() || now() > until,
      secondsLeft: () => (until - now()) / 1000,
      onProgress: (progress) => {
        tools.onProgress({ ...progress, of });
      },
      resumed: unfinished?.asked === asked ? unfinished.state : undefined,
      onUnfinished: (state) => {
        unfinished = { asked, state };
      },
    };
    return asWhole(await runOnce(asked, timed));
  }

  function runOnce(asked: Brief, timed: DesignTools): Promise<DesignOutcome> {
    const workers = request.workers ?? 1;
    if (asked.load !== undefined) return runLoading(asked, asked.load, timed, starts, workers);
    let pool: SharePool | undefined;
    return design(asked, {
      ...timed,
      shareTakers: () => {
        if (workers > 1) pool = openSharePool(new URL('../workers/share-worker.js', import.meta.url).href, workers, asked, starts);
        return pool;
      },
    }).finally(() => pool?.close());
  }

  return {
    verify: brief.load === undefined ? tools.verify : loadingVerifier(starts),
    onStep: request.onStep ?? (() => undefined),
    design: async (asked, time) => {
      if (time === 'rest') return run(asked, left());
      const share = left() * SHARE_OF_TIME;
      if (time !== undefined) return run(asked, Math.min(time, share));
      const outcome = await run(asked, share);
      // Without any station there is nothing to go on from, so the rest of the time is for this one.
      return outcome.status === 'unknown' && outcome.stoppedBy === 'time-limit' && !tools.shouldStop() ? run(asked, left()) : outcome;
    },
  };
}

/** Nothing of it came from a file, however many portions it was done in. */
const asWhole = (outcome: DesignOutcome): DesignOutcome => {
  const { resumed: _, ...proof } = outcome.proof;
  return { ...outcome, proof };
};

export async function findStaircase(brief: Brief, range: StaircaseRange, request: WhatIfRequest): Promise<StaircaseAnswer> {
  const tools = await staircaseTools(brief, request, range.over === 'fill' ? fillWords : sizeWords(range.over));
  const staircase = range.over === 'fill' ? await fillStaircase(brief, range, tools) : await sizeStaircase(brief, range.over, range, tools);
  const seed = request.seed ?? USUAL_SEED;
  return {
    brief,
    staircase,
    planOf: ({ brief: asked, outcome: { layout, status, proof } }) => promised(asked, layout, { status, proof, seed }).plan,
  };
}

export const staircaseReport = ({ brief, staircase }: StaircaseAnswer, style: Style, quiet = false): readonly string[] =>
  quiet ? staircaseVerdict(staircase, style) : staircaseText(brief, staircase, style);

/** One step, as it is found. */
export const staircaseStep = (step: FillStep | SizeStep): string => stepLine(step);

export const staircaseDocument = ({ brief, staircase, planOf }: StaircaseAnswer): JsonObject => staircaseJson(brief, staircase, planOf);

export interface MostFillAnswer {
  readonly greatest: GreatestFill;
  /** The station of the greatest fill known, as a design of the brief that asks for that fill. */
  readonly design: (DesignFinding & { readonly plan: JsonObject }) | undefined;
}

/** The greatest fill that the brief's site and limits allow, its targets raised or lowered by one factor. */
export async function designMostFill(brief: Brief, request: Omit<WhatIfRequest, 'onStep'>): Promise<MostFillAnswer> {
  const greatest = await greatestFill(brief, await staircaseTools(brief, request, fillWords));
  if (greatest.best === undefined) return { greatest, design: undefined };
  const { brief: asked, outcome } = greatest.best;
  const { status, proof, layout } = outcome;
  return { greatest, design: { brief: asked, outcome, ...promised(asked, layout, { status, proof, seed: request.seed ?? USUAL_SEED }) } };
}

export const mostFillReport = ({ greatest, design: found }: MostFillAnswer, style: Style, quiet = false): readonly string[] => {
  const lines = mostFillLines(greatest, style);
  return found === undefined || quiet ? lines : [...lines, '', ...designText(found, style)];
};

export const mostFillDocument = ({ greatest, design: found }: MostFillAnswer): JsonObject => ({
  ...(found === undefined ? {} : designJson(found, found.plan)),
  mostFill: mostFillJson(greatest),
});

/** Whether all that was asked is known. */
export const isMostFillKnown = ({ greatest: { end, best } }: MostFillAnswer): boolean => end.kind !== 'open' && best?.proven !== false;

/** Whether every step, and what follows them, is proven. */
export const isStaircaseKnown = ({ staircase }: StaircaseAnswer): boolean =>
  staircase.over === 'fill'
    ? staircase.end.kind !== 'open' && staircase.steps.every(({ proven }) => proven)
    : staircase.end !== 'stopped';

export const hasStation = ({ staircase }: StaircaseAnswer): boolean =>
  staircase.over === 'fill' ? staircase.steps.length > 0 : staircase.steps.some(({ kind }) => kind === 'found');
