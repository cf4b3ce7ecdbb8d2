/**
 * Turns the steps of a design run into the lines of a proof log, as they come. What a line holds beside its step
 * (the start from which a network falls short, all starts of the station found) is handed in by whoever simulates.
 */
import { formatRational } from '../base/rational.js';
import type { Brief } from '../brief/brief.js';
import { writeBrief } from '../brief/write-brief.js';
import { entriesOf, type Layout } from '../layout/layout.js';
import { writeParts } from '../layout/write-plan.js';
import { pickRateBound } from '../synthesis/loading/loading-arms.js';
import type { ProofStep } from '../synthesis/proof-step.js';
import { fillRate } from '../synthesis/rates/rate-model.js';
import { PROOF_FORMAT, type ArmBoundLine, type FailingLine, type LineOf, type ProofLine, type StepName } from './proof-line.js';
import { sealed } from './seal.js';

interface LogSources {
  readonly brief: Brief;
  /** Undefined where the run takes none. */
  readonly solver: string | undefined;
  readonly seed: number;
  /** Why the verifier refused just this layout; undefined where it did not, or where that is not known. */
  readonly failingOf: (layout: Layout) => FailingLine | undefined;
  /** All starts that a station had to pass. */
  readonly startsOf: (layout: Layout) => Iterable<Omit<LineOf<'start'>, 'step'>>;
  readonly onLine: (text: string) => void;
}

/** The bounds by which a search passes stations over. */
const armBounds = ({ catalog }: Brief): readonly ArmBoundLine[] =>
  catalog.arms.map((arm) => ({ model: arm.name, takes: formatRational(pickRateBound(arm)), carries: formatRational(fillRate(arm)) }));

/** `demands`: for each of the layout's exits, which of the brief's it serves; entries stand in the brief's order. */
function placed(layout: Layout, demands: readonly number[]): Pick<LineOf<'found'>, 'parts' | 'exits' | 'entries'> {
  const entries = entriesOf(layout).map(({ at, heading }, demand) => ({ at: [at.x, at.y] as const, heading, demand }));
  return {
    parts: writeParts(layout),
    exits: layout.exits.map(({ at, heading }, index) => ({ at: [at.x, at.y], heading, demand: demands[index] })),
    ...(entries.length === 0 ? {} : { entries }),
  };
}

export class ProofLog {
  private before = '';
  private readonly steps: Partial<Record<StepName, number>> = {};
  private found: Layout | undefined;
  private claim: Omit<LineOf<'claimed'>, 'steps'> | undefined;
  private hasBegun = false;

  constructor(private readonly sources: LogSources) {
    const { brief, solver, seed } = sources;
    this.write({ step: 'opened', format: PROOF_FORMAT, solver, seed, brief: writeBrief(brief), ...(brief.load === undefined ? {} : { armBounds: armBounds(brief) }) });
  }

  step(step: ProofStep): void {
    if (step.kind === 'began') {
      this.writeClaim();
      this.found = undefined;
    } else if (!this.hasBegun) this.write({ step: 'began', price: this.sources.brief.minimise[0] === 'parts' ? 'parts' : 'cost' });
    this.hasBegun = true;
    switch (step.kind) {
      case 'began':
        return this.write({ step: 'began', price: step.price });
      case 'proposed': {
        const { mostPrice, answer } = step;
        return this.write({ step: 'proposed', mostPrice, answer });
      }
      case 'raised': {
        const { family, from, price } = step;
        return this.write({ step: 'raised', family, from, to: price === Infinity ? undefined : price });
      }
      case 'judged': {
        const { verdict, signature, stub, layout, exits } = step;
        const failing = verdict === 'fails' ? this.sources.failingOf(layout) : undefined;
        return this.write({ step: 'judged', verdict, signature, stub, ...placed(layout, exits), failing });
      }
      case 'found': {
        const { price, layout } = step;
        this.found = layout;
        return this.write({ step: 'found', price, ...placed(layout, [...layout.exits.keys()]) });
      }
      case 'claimed':
        // Held back: the starts of the station found come before the last claim.
        this.claim = { step: 'claimed', status: step.status, bound: step.bound };
    }
  }

  /** To be called once, after the last step. */
  close(): void {
    if (this.found !== undefined) for (const start of this.sources.startsOf(this.found)) this.write({ step: 'start', ...start });
    this.writeClaim();
  }

  private writeClaim(): void {
    if (this.claim !== undefined) this.write({ ...this.claim, steps: { ...this.steps } });
    this.claim = undefined;
  }

  private write(line: ProofLine): void {
    const { text, seal } = sealed(line, this.before);
    this.before = seal;
    this.steps[line.step] = (this.steps[line.step] ?? 0) + 1;
    this.sources.onLine(text);
  }
}
