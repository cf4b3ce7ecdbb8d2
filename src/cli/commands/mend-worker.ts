/**
 * The thread on which `mend` computes. What the plan is held against is worked out here, of documents and options as they were
 * given: exact targets do not survive the way between threads. It sends back finished text, JSON and pictures.
 */
import {
  entryNumber,
  exitLetter,
  fillsWagons,
  keptFlaw,
  mendDocument,
  mendedPlan,
  mendPage,
  mendReport,
  mendStation,
  mendSvg,
  parsePromise,
  termsByBrief,
  termsByPromise,
  termsByTarget,
  type JsonObject,
  type Kept,
  type Layout,
  type MendOutcome,
  type MendProgress,
  type MendTerms,
  type PlanPromise,
  type Rational,
  type TermsFlaw,
} from '../../index.js';
import type { PlanErrand } from '../errand.js';
import { InputError } from '../exit-codes.js';
import { shownPath } from '../files.js';
import { readMendOptions, type GivenMend, type MendChoice } from '../mend-options.js';
import { briefOf, layoutOf, onErrand, runTerms, seldom, styleOf } from '../own-thread.js';
import type { AskedFlow } from '../target-option.js';

export interface MendErrand extends PlanErrand {
  readonly given: GivenMend;
  /** The brief that the options name. */
  readonly asked: { readonly brief: unknown; readonly catalog: unknown } | undefined;
}

export type MendMessage =
  | { readonly kind: 'progress'; readonly progress: MendProgress }
  | {
      readonly kind: 'finished';
      readonly status: MendOutcome['status'];
      readonly lines: readonly string[];
      readonly document: JsonObject;
      /** Undefined where no repair was found. */
      readonly plan: JsonObject | undefined;
      /** Undefined where none is wanted. */
      readonly svg: string | undefined;
      readonly page: string | undefined;
    };

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

/** `asked`: the brief that --brief names. */
function termsOf(choice: MendChoice, asked: MendErrand['asked'], layout: Layout, promise: PlanPromise | undefined): { readonly terms: MendTerms; readonly keep: Kept | undefined } {
  const { briefFile, target } = choice;
  if (briefFile === undefined || asked === undefined) {
    const isPromised = promise !== undefined && (!fillsWagons(layout) || promise.wagons !== undefined);
    return { terms: target === undefined && isPromised ? termsByPromise(layout, promise) : askedOf(choice, layout), keep: undefined };
  }
  const brief = briefOf(asked);
  const terms = termsByBrief(layout, brief);
  if (!('flaw' in terms)) return { terms, keep: brief.keep };
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

async function run(errand: MendErrand, send: (message: MendMessage) => void): Promise<void> {
  const layout = layoutOf(errand);
  const promised = parsePromise(errand.plan);
  const promise = promised.ok ? promised.value : undefined;
  const choice = readMendOptions(errand.given);
  const { terms, keep } = termsOf(choice, errand.asked, layout, promise);
  const kept: Kept = { boxes: [...choice.keep.boxes, ...(keep?.boxes ?? [])], tiles: [...choice.keep.tiles, ...(keep?.tiles ?? [])] };
  checkKept(kept, layout);
  const answer = await mendStation(layout, {
    ...runTerms(errand),
    terms,
    kept,
    starts: choice.starts,
    seed: errand.seed ?? promise?.seed,
    onProgress: seldom((progress) => {
      send({ kind: 'progress', progress });
    }),
  });
  const { outcome } = answer;
  send({
    kind: 'finished',
    status: outcome.status,
    lines: mendReport(answer, styleOf(errand), errand.quiet),
    document: mendDocument(answer),
    plan: mendedPlan(answer),
    svg: choice.svgFile === undefined ? undefined : mendSvg(answer),
    page: choice.htmlFile === undefined ? undefined : mendPage(answer),
  });
}

onErrand(run);
