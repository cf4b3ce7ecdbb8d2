/**
 * Joins the simulator and the proof log: what a log says of the starts from which a network fails, or a station was
 * promised. Steps come from `synthesis/`, lines are written in `audit/`; `run-design.ts` and `run-loading.ts` hand both in.
 */
import type { FailingLine } from '../audit/proof-line.js';
import { ProofLog } from '../audit/write-log.js';
import type { Brief } from '../brief/brief.js';
import { tilesOf, type Layout } from '../layout/layout.js';
import { spottingOffsets, withWagonsMoved } from '../layout/spotting.js';
import { startRecorder } from '../simulation/record-start.js';
import type { LoadingFailure } from '../simulation/verify-loading.js';
import type { StartOptions } from '../simulation/starts.js';
import type { VerifyFailure } from '../simulation/verify-terms.js';

type Failure = VerifyFailure | (LoadingFailure & { readonly start: number });

/** How a layout came to fail, for whoever wants to see it again. */
export class FailureNotes {
  private readonly notes = new WeakMap<Layout, FailingLine>();

  constructor(private readonly options: StartOptions) {}

  /** `stands`: the layout, perhaps with its wagons moved. */
  take(layout: Layout, stands: Layout, failure: Failure): void {
    if (failure.kind === 'unproven') return;
    const wagonsMoved = layout.wagons.length === 0 ? 0 : stands.wagons[0].at - layout.wagons[0].at;
    const start = { wagonsMoved, ...startRecorder(stands, this.options)(failure.start) };
    this.notes.set(layout, { ...whatFails(layout, failure), ...start });
  }

  of(layout: Layout): FailingLine | undefined {
    return this.notes.get(layout);
  }
}

const tileOfChest = (layout: Layout, part: number): readonly [number, number] => {
  const [{ x, y }] = tilesOf(layout.parts[part]);
  return [x, y];
};

function whatFails(layout: Layout, failure: Exclude<Failure, { readonly kind: 'unproven' }>): Omit<FailingLine, 'wagonsMoved' | 'delays' | 'repeats'> {
  switch (failure.kind) {
    case 'flow':
      return { kind: 'exit', exit: failure.exit };
    case 'sum':
      return { kind: 'sum' };
    case 'together':
      return { kind: 'sum' };
    case 'entry':
      return { kind: 'entry', entry: failure.entry };
    case 'wagon':
      return { kind: 'wagon', wagon: failure.wagon };
    case 'supply':
    case 'chest':
      return { kind: 'chest', chest: tileOfChest(layout, failure.part) };
  }
}

/** `notes` has to be told of every failure before the step that judges it. */
export const logOf = (brief: Brief, solver: string | undefined, options: StartOptions, notes: FailureNotes, onLine: (text: string) => void): ProofLog =>
  new ProofLog({
    brief,
    solver,
    seed: options.seed,
    failingOf: (layout) => notes.of(layout),
    *startsOf(layout) {
      for (const wagonsMoved of spottingOffsets(brief.spotting)) {
        const record = startRecorder(withWagonsMoved(layout, wagonsMoved), options);
        for (let start = 0; start <= options.starts; start++) yield { start, wagonsMoved, ...record(start) };
      }
    },
    onLine,
  });
