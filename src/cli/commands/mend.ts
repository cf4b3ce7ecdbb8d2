/**
 * `transloom mend`: the cheapest repair of a plan. It runs on this thread and lets signals and drawing have their turn.
 */
import {
  checkBriefForm,
  checkPlanForm,
  entryNumber,
  exitLetter,
  fillsWagons,
  keptFlaw,
  mendDocument,
  mendPage,
  mendReport,
  mendStation,
  mendSvg,
  parseBrief,
  parsePlan,
  parsePromise,
  termsByBrief,
  termsByPromise,
  termsByTarget,
  type Kept,
  type Layout,
  type MendProgress,
  type MendTerms,
  type PlanPromise,
  type Rational,
  type TermsFlaw,
} from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { listenForInterrupts } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../documents.js';
import { shownPath } from '../files.js';
import { finishWith, opened } from '../growing-file.js';
import type { MendChoice } from '../mend-options.js';
import { deliver, notWritten, outputStyle, warn } from '../output.js';
import { writePlanFile } from '../plan-file.js';
import type { AskedFlow } from '../target-option.js';
import { ProgressLine } from '../terminal.js';

const MOST_EXITS = 32;

const progressText = ({ bound, best, branches, simulations }: MendProgress): string =>
  `at least ${bound}, ${best === undefined ? 'none found yet' : `best so far ${best}`}, ${branches} ${branches === 1 ? 'branch' : 'branches'}, ${simulations} simulated`;

const refused = (sentence: string): InputError => new InputError([`transloom: ${sentence}`]);

/** What --target asks of each exit or entry that it names. */
function namedTargets(several: Exclude<MendChoice['target'], AskedFlow | undefined>, layout: Layout): ReadonlyMap<number, AskedFlow> {
  if (fillsWagons(layout)) {
    const count = layout.entries?.length ?? 0;
    const numbers = several.map(({ name, asked }): readonly [number, AskedFlow] => {
      const number = /^\d+$/.test(name) ? Number(name) : 0;
      if (number >= 1 && number <= count) return [number - 1, asked];
      throw refused(`--target names “${name}”, but the plan fills wagons from ${count === 1 ? 'one entry' : `${count} entries`}; name an entry by its number, such as 1:0.85.`);
    });
    return new Map(numbers);
  }
  const beyond = several.find(({ exit }) => exit >= layout.exits.length);
  if (beyond !== undefined) throw refused(`--target names exit ${exitLetter(beyond.exit)}, but the plan has ${layout.exits.length === 1 ? 'one exit' : `${layout.exits.length} exits`}.`);
  return new Map(several.map(({ exit, asked }) => [exit, asked]));
}

/** What --target asks, checked against the plan's exits or entries and their belts. */
function askedOf({ target }: MendChoice, layout: Layout): MendTerms {
  const single = typeof target === 'function' ? target : undefined;
  const several = typeof target === 'object' ? namedTargets(target, layout) : undefined;
  return termsByTarget(layout, (end, most): Rational | undefined => {
    const asked: AskedFlow | undefined = several === undefined ? (single ?? ((all) => all)) : several.get(end);
    const flow = asked?.(most, layout.catalog.ticksPerSecond);
    if (flow !== undefined && flow.compare(most) > 0) {
      const perSecond = `${most.mul(layout.catalog.ticksPerSecond).toFraction()} items per second`;
      throw refused(
        fillsWagons(layout)
          ? `--target asks more of entry ${entryNumber(end)} than comes in there, which is ${perSecond}; ask for less, or name a brief with a faster belt.`
          : `--target asks more of exit ${exitLetter(end)} than its belt carries, which is ${perSecond}; ask for less, or name a brief with a faster belt.`,
      );
    }
    return flow;
  });
}

const FLAWS: Readonly<Record<Exclude<TermsFlaw, object>, string>> = {
  job: 'has another job than the plan: wagons are filled where belts come in and none leaves; give both the same job',
  site: 'has another site than the plan; give both the same width, depth and kept-out rectangles',
  wagons: 'has other wagons than the plan, or at other places; give both the same',
  catalog: 'has another catalog than the plan; give both the same',
};

function termsOf(choice: MendChoice, layout: Layout, promise: PlanPromise | undefined): { readonly terms: MendTerms; readonly keep: Kept | undefined; readonly warnings: readonly string[] } {
  const { briefFile, target } = choice;
  if (briefFile === undefined) {
    const isPromised = promise !== undefined && (!fillsWagons(layout) || promise.wagons !== undefined);
    const terms = target === undefined && isPromised ? termsByPromise(layout, promise) : askedOf(choice, layout);
    return { terms, keep: undefined, warnings: [] };
  }
  const brief = loadWithCatalog(briefFile, parseBrief, checkBriefForm);
  const terms = termsByBrief(layout, brief.value);
  if (!('flaw' in terms)) return { terms, keep: brief.value.keep, warnings: brief.warnings };
  const { flaw } = terms;
  const name = `The brief ${shownPath(briefFile)}`;
  if (typeof flaw === 'string') throw refused(`${name} ${FLAWS[flaw]}.`);
  const [what, at] = 'exit' in flaw ? ['exit', `/exits/${flaw.exit}`] : ['entry', `/entries/${flaw.entry}`];
  throw refused(`${name} asks for an ${what} that the plan has not: ${at}. Add an ${what} to the plan within that range, on its edge.`);
}

function checkKept(kept: Kept, layout: Layout): void {
  const flaw = keptFlaw(layout, kept);
  if (flaw === undefined) return;
  const place = `[${flaw.at.x}, ${flaw.at.y}]`;
  throw refused(
    flaw.kind === 'outside'
      ? `What is to be kept at ${place} does not lie within the plan's site; keep what is on it.`
      : `No part stands at ${place}, so none can be kept there; name the tile of a part, or a rectangle X,Y,1,1 to keep it empty.`,
  );
}

export async function runMend({ plan, choice, options }: CommandOf<'mend'>): Promise<ExitCode> {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  const layout = loaded.value;
  const promise = acceptMore(loaded, parsePromise(loaded.document.value));
  if (layout.exits.length === 0 && !fillsWagons(layout)) throw refused('The plan has no exit, so nothing can leave; give it one, or an entry if it is to fill wagons.');
  if (fillsWagons(layout) && layout.wagons.length === 0) throw refused('The plan has an entry, but no exit and no wagon, so nothing can be filled; give it a wagon.');
  if (layout.exits.length > MOST_EXITS) throw refused(`The plan has ${layout.exits.length} exits; no more than ${MOST_EXITS} can be mended at once.`);
  const { terms, keep, warnings } = termsOf(choice, layout, promise);
  const kept: Kept = { boxes: [...choice.keep.boxes, ...(keep?.boxes ?? [])], tiles: [...choice.keep.tiles, ...(keep?.tiles ?? [])] };
  checkKept(kept, layout);
  warn(options, warnings);
  // Opened before the search, which may be long: a file that can't be written is told at once.
  const [svg, html] = [choice.svgFile, choice.htmlFile].map(opened);
  const { signal, stopListening } = listenForInterrupts(options.quiet);
  const progress = new ProgressLine(!options.quiet);
  const answer = await mendStation(layout, {
    terms,
    kept,
    starts: choice.starts,
    seed: options.seed ?? promise?.seed,
    timeLimitSeconds: options.timeLimitSeconds,
    shouldStop: () => signal.aborted,
    onProgress: (found) => {
      progress.show(progressText(found));
    },
    breathe: () => new Promise((resolve) => setImmediate(resolve)),
    now: () => performance.now(),
  }).finally(() => {
    progress.clear();
    stopListening();
  });
  const { outcome } = answer;
  const printed = { ...options, out: undefined };
  const mended = outcome.status === 'optimal' || outcome.status === 'feasible' ? outcome.mend : undefined;
  if (options.out !== undefined) {
    if (mended === undefined) notWritten(options, 'No repair was found', options.out);
    else writePlanFile(options.out, mended.layout, loaded.document, answer.promise, options.ascii);
  }
  if (svg !== undefined) finishWith(svg, mendSvg(answer));
  if (html !== undefined) finishWith(html, mendPage(answer));
  deliver(printed, () => mendReport(answer, outputStyle(printed), options.quiet), () => mendDocument(answer));
  return { optimal: EXIT.done, feasible: EXIT.unproven, infeasible: EXIT.no, unknown: EXIT.unproven }[outcome.status];
}
