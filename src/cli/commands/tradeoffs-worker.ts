/**
 * The thread on which `tradeoffs` computes. It sends back finished text, JSON and what goes into files: exact rationals do
 * not survive the way between threads, so it also reads the options anew.
 */
import {
  findTradeoffs,
  foundLine,
  makeReady,
  pickedReport,
  tradeoffsCsv,
  tradeoffsDocument,
  tradeoffsPage,
  tradeoffsReport,
  viewTradeoffs,
  type JsonObject,
  type TradeoffsOutcome,
  type TradeoffsProgress,
  type TradeoffsView,
  usualObjectives,
} from '../../index.js';
import type { BriefErrand } from '../errand.js';
import { briefOf, onErrand, searchTerms, seldom, styleOf } from '../own-thread.js';
import { readTradeoffsOptions, type GivenTradeoffs, type TradeoffsChoice } from '../tradeoffs-options.js';

export interface TradeoffsErrand extends BriefErrand {
  readonly given: GivenTradeoffs;
}

export type TradeoffsMessage =
  | { readonly kind: 'progress'; readonly progress: TradeoffsProgress }
  | { readonly kind: 'found'; readonly line: string }
  | {
      readonly kind: 'finished';
      readonly status: TradeoffsOutcome['status'];
      readonly lines: readonly string[];
      readonly document: JsonObject;
      readonly csv: string;
      /** Undefined where no layout is to be shown. */
      readonly page: string | undefined;
      /** Of the layout that was picked. */
      readonly plan: JsonObject | undefined;
      /** Why there is no such layout as was to be picked. */
      readonly pickFlaw: string | undefined;
    };

type Picked = { readonly index: number | undefined; readonly flaw: string | undefined };

function pick({ list, knee }: TradeoffsView, wanted: TradeoffsChoice['pick']): Picked {
  if (wanted === undefined) return { index: undefined, flaw: undefined };
  if (wanted === 'knee') {
    return knee === undefined ? { index: undefined, flaw: '--pick knee: no layout stands out, for each is an end of the list; pick one by its number.' } : { index: knee.index, flaw: undefined };
  }
  if (wanted <= list.length) return { index: wanted - 1, flaw: undefined };
  return { index: undefined, flaw: list.length === 0 ? `--pick ${wanted}: the list is empty.` : `--pick ${wanted}: the list goes from 1 to ${list.length}.` };
}

async function run(errand: TradeoffsErrand, send: (message: TradeoffsMessage) => void): Promise<void> {
  const brief = briefOf(errand);
  const choice = readTradeoffsOptions(errand.given);
  const { objectives = usualObjectives(brief), upTo, within } = choice;
  const answer = await findTradeoffs(brief, {
    ...searchTerms(errand),
    objectives,
    upTo,
    within,
    onFound: (found) => {
      send({ kind: 'found', line: foundLine(objectives, found) });
    },
    onProgress: seldom((progress) => {
      send({ kind: 'progress', progress });
    }),
  });
  const view = viewTradeoffs(brief, answer, choice);
  const style = styleOf(errand);
  const { index, flaw } = pick(view, choice.pick);
  const picked = index === undefined || errand.quiet ? [] : ['', ...pickedReport(view, index, style)];
  send({
    kind: 'finished',
    status: answer.status,
    lines: [...tradeoffsReport(view, style, errand.quiet), ...picked],
    document: tradeoffsDocument(view, index),
    csv: tradeoffsCsv(view),
    page: choice.htmlFile === undefined ? undefined : tradeoffsPage(view),
    plan: index === undefined ? undefined : view.list[index].plan,
    pickFlaw: flaw,
  });
}

onErrand(run);
makeReady();
