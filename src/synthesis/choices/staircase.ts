/**
 * Staircases: the least cost as a function of the fill, of the site's depth or width, or of the arms allowed, by design
 * runs of changed briefs. Nothing is drawn through points: over the fill, a step ends at the greatest fill that any
 * station of its cost gives, and the next run asks for more than that, however little. What a run is, and how long it may
 * take, is for whoever hands it in.
 */
import { isLess, maxRational, minRational, ONE, ratio, type Rational } from '../../base/rational.js';
import { askedFill } from '../../brief/asked-fill.js';
import type { Brief, Objective } from '../../brief/brief.js';
import type { Verify } from '../verifier.js';
import { changed } from '../change.js';
import type { DesignOutcome } from '../outcome.js';
import { resized } from './resize.js';
import type { FillEnd, FillStaircase, FillStep, FoundOutcome, GreatestFill, Size, SizeStaircase, SizeStep, StepFinding } from './staircase-outcome.js';

export interface StaircaseTools {
  /**
   * A design run: for its share of the time, for so many seconds at most, or for all the time that is left. Asked for the very
   * same brief again, it may go on from where it was stopped.
   */
  readonly design: (brief: Brief, time?: number | 'rest') => Promise<DesignOutcome>;
  readonly verify: Verify;
  /** Told of each step when it is found; of arms, the greatest number comes first. A later step may replace it. */
  readonly onStep: (step: FillStep | SizeStep) => void;
}

/** The brief's own fill is the middle of what is asked about where nothing else is said. */
const USUAL_FROM = ratio(1, 2);
/** What is tried where a brief's own targets can't be had. */
const SMALL_SHARE = ratio(1, 20);
/** Time for a first try at saturation, before all fills are climbed one after the other. */
const LEAP_SECONDS = 5;
/** Sizes that are tried beyond the cheapest, and beyond the brief's own where none was found. */
const PATIENCE = 2;
const MOST_SITE = 200;

/** The cheapest, of those the one that is best in `second`. */
const cheapest = (brief: Brief, second: Objective): Brief => ({
  ...brief,
  minimise: ['cost', second, ...brief.minimise.filter((objective) => objective !== 'cost' && objective !== second)],
});

/** The brief with all its targets raised or lowered by one factor, so that it asks for that fill, or for more than that. */
function asking(brief: Brief, fill: Rational, exceed: boolean): Brief {
  const scaled = changed(brief, [{ kind: 'target', share: fill.div(askedFill(brief)) }]);
  return cheapest({ ...scaled, exceed }, 'fill');
}

const isFound = (outcome: DesignOutcome): outcome is FoundOutcome => outcome.status === 'optimal' || outcome.status === 'feasible';

function findingOf(brief: Brief, outcome: FoundOutcome, least: number): StepFinding {
  const cost = outcome.proof.cost ?? 0;
  const isLeast = outcome.status === 'optimal';
  // How far a step reaches is settled only where each station of its cost is.
  return { brief, outcome, cost, bound: isLeast ? cost : Math.max(least, boundOf(outcome)), proven: isLeast && outcome.proof.undecided === undefined };
}

const boundOf = ({ proof }: DesignOutcome): number => (Number.isFinite(proof.bound) ? Math.ceil(proof.bound ?? 0) : 0);

/** A later station that costs no more serves the targets of the earlier steps as well. */
function withStep(steps: readonly FillStep[], step: FillStep): readonly FillStep[] {
  const last = steps.at(-1);
  if (last === undefined || last.cost < step.cost) return [...steps, step];
  const bound = Math.min(last.bound, step.bound);
  return withStep(steps.slice(0, -1), { ...step, above: last.above, bound, proven: step.proven && bound === step.cost });
}

/** Climbs from a fill: each run asks for more than the last station gives. */
async function climb(brief: Brief, from: Rational, to: Rational, tools: StaircaseTools): Promise<Pick<FillStaircase, 'steps' | 'end'>> {
  let steps: readonly FillStep[] = [];
  let above = from;
  let bound = 0;
  for (let exceed = false; ; exceed = true) {
    const asked = asking(brief, above, exceed);
    const outcome = await tools.design(asked);
    if (outcome.status === 'infeasible') return { steps, end: { kind: 'none-above' } };
    if (!isFound(outcome)) {
      return { steps, end: { kind: 'open', bound: Math.max(bound, boundOf(outcome)), stoppedBy: outcome.stoppedBy } };
    }
    const finding = findingOf(asked, outcome, bound);
    const upTo = fillOf(outcome, asked, tools);
    const step: FillStep = { ...finding, above, upTo };
    steps = withStep(steps, step);
    tools.onStep(steps[steps.length - 1]);
    if (!isLess(upTo, to)) return { steps, end: { kind: 'reached' } };
    // No station of that cost, or less, gives more.
    bound = finding.proven ? finding.cost + 1 : finding.bound;
    above = upTo;
  }
}

/** A station that a run has found passes what it was designed for. */
function fillOf({ layout }: FoundOutcome, brief: Brief, { verify }: StaircaseTools): Rational {
  const witness = verify(layout, brief);
  return witness.verdict === 'passes' ? witness.fill : askedFill(brief);
}

interface FillRange {
  /** Left out: half of what the brief asks for. */
  readonly from?: Rational | undefined;
  /** Left out: saturation. */
  readonly to?: Rational | undefined;
}

/** The least cost as a function of the fill, all targets being raised by one factor. */
export async function fillStaircase(brief: Brief, range: FillRange, tools: StaircaseTools): Promise<FillStaircase> {
  const asked = askedFill(brief);
  const from = range.from ?? asked.mul(USUAL_FROM);
  const to = maxRational(from, range.to ?? ONE);
  return { over: 'fill', from, to, asked, ...(await climb(brief, from, to, tools)) };
}

/** Of two runs of one brief, what the later one found, unless it had too little time. */
const later = (before: FoundOutcome, after: DesignOutcome): FoundOutcome =>
  isFound(after) && (after.proof.cost ?? 0) <= (before.proof.cost ?? 0) ? after : before;

/**
 * The greatest fill that any station of the brief gives, whatever its targets; they only say in which proportion.
 * Saturation is tried first, and where it can be had only its least cost is left to prove; else fills are climbed until
 * nothing gives more.
 */
export async function greatestFill(brief: Brief, tools: StaircaseTools): Promise<GreatestFill> {
  const asked = askedFill(brief);
  const top = asking(brief, ONE, false);
  const leap = await tools.design(top, LEAP_SECONDS);
  if (isFound(leap)) {
    const found = leap.status === 'optimal' ? leap : later(leap, await tools.design(top, 'rest'));
    const best: FillStep = { ...findingOf(top, found, 0), above: ONE, upTo: fillOf(found, top, tools) };
    return { asked, best, end: { kind: 'reached' } };
  }
  const own = await climb(brief, asked, ONE, tools);
  if (own.steps.length > 0) return { asked, best: own.steps.at(-1), end: own.end };
  const low = await climb(brief, minRational(asked, asked.mul(SMALL_SHARE)), asked, tools);
  return { asked, best: low.steps.at(-1), end: endBelow(low.end, own.end) };
}

/** What is known above the last step, if fills from the brief's own on were ruled out, or not. */
const endBelow = (low: FillEnd, own: FillEnd): FillEnd => (low.kind === 'reached' ? own : low);

interface SizeRange {
  readonly from?: number | undefined;
  readonly to?: number | undefined;
}

export const sizeStaircase = (brief: Brief, over: Size, range: SizeRange, tools: StaircaseTools): Promise<SizeStaircase> =>
  over === 'arms' ? armsStaircase(brief, range, tools) : siteStaircase(brief, over, range, tools);

function sizeStep(size: number, brief: Brief, outcome: DesignOutcome): SizeStep {
  if (outcome.status === 'infeasible') return { kind: 'none', size };
  if (isFound(outcome)) return { kind: 'found', size, ...findingOf(brief, outcome, 0) };
  return { kind: 'open', size, bound: boundOf(outcome), stoppedBy: outcome.stoppedBy };
}

/** Downward: the cheapest with the fewest arms, then with fewer than those, and so on. Between two steps nothing changes. */
async function armsStaircase(brief: Brief, { from = 1, to }: SizeRange, tools: StaircaseTools): Promise<SizeStaircase> {
  const steps: SizeStep[] = [];
  const staircase = (end: SizeStaircase['end']): SizeStaircase => ({ over: 'arms', asked: brief.limits.arms, steps, end });
  const complete = to === undefined ? 'proven' : 'cut';
  for (let most = to; most === undefined || most >= from; ) {
    const asked = cheapest({ ...brief, limits: { ...brief.limits, arms: most } }, 'arms');
    const outcome = await tools.design(asked);
    const arms = isFound(outcome) ? outcome.layout.parts.filter(({ kind }) => kind === 'arm').length : most;
    // Without a limit no station was found: there is no number to tell.
    if (arms === undefined) return staircase(outcome.status === 'infeasible' ? 'proven' : 'stopped');
    const step = sizeStep(arms, asked, outcome);
    steps.unshift(step);
    tools.onStep(step);
    if (step.kind === 'open') return staircase('stopped');
    if (step.kind === 'none') break;
    most = arms - 1;
  }
  return staircase(steps.some((step) => step.kind === 'found' && !step.proven) ? 'stopped' : complete);
}

async function siteStaircase(brief: Brief, over: 'depth' | 'width', { from = 1, to }: SizeRange, tools: StaircaseTools): Promise<SizeStaircase> {
  const asked = brief.site[over];
  const steps: SizeStep[] = [];
  let least = Infinity;
  let beyond = 0;
  let stopped = false;
  for (let size = from; size <= (to ?? MOST_SITE); size++) {
    const sized = resized(brief, over, size);
    if (sized === undefined) continue;
    const own = cheapest(sized, over);
    const found = sizeStep(size, own, await tools.design(own));
    // On a site of just that size the least cost is all that is asked.
    const step = found.kind === 'found' ? { ...found, proven: found.bound >= found.cost } : found;
    steps.push(step);
    tools.onStep(step);
    stopped ||= step.kind === 'open' || (step.kind === 'found' && !step.proven);
    const isCheaper = step.kind === 'found' && step.cost < least;
    if (isCheaper) least = step.cost;
    beyond = isCheaper || size <= asked ? 0 : beyond + 1;
    if (to === undefined && beyond >= PATIENCE) return { over, asked, steps, end: stopped ? 'stopped' : 'tried' };
  }
  return { over, asked, steps, end: stopped ? 'stopped' : 'cut' };
}
