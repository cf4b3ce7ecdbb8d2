/**
 * The first reading of a proof log, line by line: is each line what a line may be, does it follow from the one before,
 * does the arithmetic of the bound come to what is claimed, is the plan what the brief asks for? Nothing is solved or
 * simulated here; that comes in `replay.ts`, for what was found sound.
 */
import { spottingOffsets } from '../layout/spotting.js';
import type { Bill } from '../synthesis/site/bill.js';
import type { Flaw, FlawKind, LogRefusal } from './audit-result.js';
import { checkArmBounds } from './arm-bounds.js';
import { checkPlan, priceOf } from './check-plan.js';
import { Ledger, type Bills } from './ledger.js';
import type { LineOf, ProofLine, StepName } from './proof-line.js';
import { readLine, readOpening, readPlaced, type Opening, type PlacedLayout, type Read } from './read-line.js';
import { sealHolds, statedSeal } from './seal.js';

/** Flaws beyond so many are counted, not kept: of a log that is wrong all over, the first tell enough. */
const MOST_FLAWS = 200;

export class Flaws {
  private readonly kept: Flaw[] = [];
  count = 0;

  add(line: number, flaws: readonly FlawKind[]): void {
    this.count += flaws.length;
    for (const flaw of flaws) if (this.kept.length < MOST_FLAWS) this.kept.push({ line, ...flaw });
  }

  get inOrder(): readonly Flaw[] {
    return [...this.kept].sort((a, b) => a.line - b.line);
  }
}

export interface ClaimedPlan extends PlacedLayout {
  readonly line: number;
}

interface Proposal {
  readonly line: number;
  readonly value: LineOf<'proposed'>;
  readonly of: Bills;
  /** Those proposed before it. */
  readonly billsBefore: readonly Bill[];
}

export interface Survey {
  readonly opening: Opening;
  readonly lines: number;
  readonly steps: Readonly<Partial<Record<StepName, number>>>;
  /** How many networks were ruled out, and how many passed. */
  readonly ruledOut: number;
  readonly passed: number;
  /** Of all runs, in the order of lines; few beside the networks. */
  readonly proposals: readonly Proposal[];
  /** Of the last run; undefined where none began. */
  readonly ledger: Ledger | undefined;
  /** The line with which the last run began. */
  readonly runBegins: number;
  readonly claim: LineOf<'claimed'> | undefined;
  /** The last plan found, if it could be read. */
  readonly plan: ClaimedPlan | undefined;
  /** Networks whose simulation came to no end, and that may stand in a station cheaper than what is claimed. */
  readonly undecided: number;
}

const INSIDE_A_RUN: readonly StepName[] = ['proposed', 'raised', 'judged', 'found'];

function mayFollow(step: StepName, after: StepName): boolean {
  switch (step) {
    case 'opened':
      return false;
    case 'began':
      return after === 'opened' || after === 'claimed';
    case 'start':
      return after === 'start' || INSIDE_A_RUN.includes(after);
    case 'claimed':
      return after !== 'opened' && after !== 'claimed';
    default:
      return after === 'began' || INSIDE_A_RUN.includes(after);
  }
}

class Reader {
  private readonly steps: Partial<Record<StepName, number>> = { opened: 1 };
  private last: StepName = 'opened';
  private ruledOut = 0;
  private passed = 0;
  private readonly proposals: Proposal[] = [];
  private ledger: Ledger | undefined;
  private runBegins = 1;
  private claim: LineOf<'claimed'> | undefined;
  private foundAt: { readonly line: number; readonly value: LineOf<'found'> } | undefined;
  private starts = 0;
  /** Prices of layouts, or of parts of layouts, that came to no end. */
  private undecided: number[] = [];

  constructor(
    private readonly opening: Opening,
    private readonly flaws: Flaws,
  ) {}

  take(number: number, line: ProofLine): void {
    if (!mayFollow(line.step, this.last)) this.flaws.add(number, [{ kind: 'out-of-order', step: line.step, after: this.last }]);
    this.last = line.step;
    if (line.step === 'claimed') this.flaws.add(number, this.missing(line));
    this.steps[line.step] = (this.steps[line.step] ?? 0) + 1;
    this.flaws.add(number, this.check(number, line));
  }

  private missing({ steps }: LineOf<'claimed'>): readonly FlawKind[] {
    const counted: Readonly<Record<string, number>> = this.steps;
    return [...new Set([...Object.keys(steps), ...Object.keys(counted)])].flatMap((step): FlawKind[] => {
      const [stated, found] = [steps[step] ?? 0, counted[step] ?? 0];
      return stated === found ? [] : [{ kind: 'steps-missing', step, stated, found }];
    });
  }

  private check(number: number, line: ProofLine): readonly FlawKind[] {
    const { brief } = this.opening;
    switch (line.step) {
      case 'opened':
        return [];
      case 'began':
        this.ledger = new Ledger(brief, line.price);
        this.runBegins = number;
        this.claim = undefined;
        this.foundAt = undefined;
        this.starts = 0;
        this.undecided = [];
        return [];
      case 'proposed':
        if (this.ledger === undefined) return [];
        if (this.ledger.of !== undefined) this.proposals.push({ line: number, value: line, of: this.ledger.of, billsBefore: [...this.ledger.bills] });
        return this.ledger.propose(line);
      case 'raised':
        return this.ledger?.raise(line) ?? [];
      case 'judged':
        if (line.verdict === 'fails') this.ruledOut++;
        else if (line.verdict === 'passes') this.passed++;
        else this.undecided.push(this.leastPrice(line));
        return [];
      case 'found':
        this.foundAt = { line: number, value: line };
        return this.ledger?.find(line.price) ?? [];
      case 'start': {
        const moves = spottingOffsets(brief.spotting);
        const place = this.starts++;
        const isNext = line.start === place % (brief.starts + 1) && line.wagonsMoved === moves.at(Math.floor(place / (brief.starts + 1)));
        const isStandard = line.start > 0 || line.delays.every((delay) => delay === 0);
        return isNext && place < moves.length * (brief.starts + 1) && isStandard ? [] : [{ kind: 'start-unexpected' }];
      }
      case 'claimed':
        this.claim = line;
        return this.ledger?.claim(line) ?? [];
    }
  }

  /** A station costs at least what its networks do. */
  private leastPrice(line: LineOf<'judged'>): number {
    const placed = readPlaced(line, this.opening);
    return placed.ok && this.ledger !== undefined ? priceOf(placed.value.layout, this.ledger.price) : 0;
  }

  finish(lines: number): Survey {
    const { opening, steps, ruledOut, passed, proposals, ledger, runBegins, claim, foundAt, flaws } = this;
    const { brief } = opening;
    if (this.last !== 'claimed') flaws.add(lines, [{ kind: 'no-claim' }]);
    const expected = spottingOffsets(brief.spotting).length * (brief.starts + 1);
    if (foundAt !== undefined && this.starts < expected) flaws.add(lines, [{ kind: 'starts-missing', expected, found: this.starts }]);
    const ends = claim?.status === 'optimal' || claim?.status === 'infeasible' ? (claim.bound ?? Infinity) : 0;
    const undecided = this.undecided.filter((price) => price < ends).length;
    return { opening, lines, steps, ruledOut, passed, proposals, ledger, runBegins, claim, plan: this.plan(), undecided };
  }

  private plan(): ClaimedPlan | undefined {
    const { foundAt, ledger, opening, flaws } = this;
    if (foundAt === undefined || ledger === undefined) return undefined;
    const { line, value } = foundAt;
    const placed = readPlaced(value, opening);
    if (!placed.ok) {
      flaws.add(line, [placed.why]);
      return undefined;
    }
    flaws.add(line, checkPlan(placed.value, opening.brief, value.price, ledger.price));
    return { line, ...placed.value };
  }
}

/** `betweenLines`: its turn after every line, for those who must not be held up. */
export async function survey(
  lines: Iterable<string>,
  flaws: Flaws,
  betweenLines: (line: number) => Promise<void>,
): Promise<Read<Survey, LogRefusal>> {
  let number = 0;
  let seal = '';
  let reader: Reader | undefined;
  for (const text of lines) {
    number++;
    if (reader === undefined) {
      const opening = readOpening(text);
      if (!opening.ok) return opening;
      reader = new Reader(opening.value, flaws);
      const { line, brief } = opening.value;
      if (line.armBounds !== undefined) flaws.add(number, checkArmBounds(brief, line.armBounds));
    } else {
      const line = readLine(text);
      if (line.ok) reader.take(number, line.value);
      else flaws.add(number, [line.why]);
    }
    if (!sealHolds(text, seal)) flaws.add(number, [{ kind: 'seal-broken' }]);
    // A broken seal is told of once: what follows is held against what the line states.
    seal = statedSeal(text) ?? seal;
    await betweenLines(number);
  }
  return reader === undefined ? { ok: false, why: { kind: 'empty' } } : { ok: true, value: reader.finish(number) };
}
