/**
 * Design runs of changed briefs that share one bounded time, and what each of them came to.
 */
import type { Brief } from '../brief/brief.js';
import type { Layout } from '../layout/layout.js';
import { leastPrice } from './bills/capacity.js';
import type { DesignTools } from './design-tools.js';
import type { DesignOutcome } from './outcome.js';

const PROGRAM_SECONDS = 1;

type Trial =
  | { readonly kind: 'works'; readonly layout: Layout; readonly proven: boolean; readonly bound: number }
  | { readonly kind: 'fails' }
  /** Out of time. `bound`, here and above: of the first objective, in any layout. */
  | { readonly kind: 'open'; readonly bound: number };

export type DesignRun = (brief: Brief, tools: DesignTools) => Promise<DesignOutcome>;

/** Design runs that share one bounded time. */
export class Trials {
  private readonly deadline: number;

  constructor(
    readonly tools: DesignTools,
    private readonly design: DesignRun,
    seconds: number,
  ) {
    this.deadline = tools.now() + seconds * 1000;
  }

  secondsLeft(): number {
    return this.tools.shouldStop() ? 0 : (this.deadline - this.tools.now()) / 1000;
  }

  programSeconds(): number {
    return Math.min(PROGRAM_SECONDS, this.secondsLeft());
  }

  /** By the rate model alone; undefined where no time or no proof is left. */
  leastPrice(brief: Brief, price: 'cost' | 'parts'): number | undefined {
    const seconds = this.programSeconds();
    return seconds > 0 ? leastPrice(brief, price, this.tools.solver, seconds) : undefined;
  }

  async run(brief: Brief, slice: number): Promise<Trial> {
    const { tools } = this;
    const until = Math.min(this.deadline, tools.now() + slice * 1000);
    const outcome = await this.design(brief, {
      ...tools,
      shouldStop: () => tools.shouldStop() || tools.now() > until,
      secondsLeft: () => (until - tools.now()) / 1000,
      onProgress: () => undefined,
    });
    const bound = Math.ceil(outcome.proof.bound ?? 0);
    switch (outcome.status) {
      case 'optimal':
      case 'feasible':
        return { kind: 'works', layout: outcome.layout, proven: outcome.status === 'optimal', bound };
      case 'infeasible':
        return { kind: 'fails' };
      case 'unknown':
        return { kind: 'open', bound };
    }
  }
}
