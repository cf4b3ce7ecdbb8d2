/**
 * `transloom station`: how many trains a whole station needs. Of a plan, or of the layout that a brief gets designed, on a
 * thread of its own, `station-worker.ts`.
 */
import {
  checkBriefForm,
  checkPlanForm,
  parseBrief,
  parsePlan,
  sizeStation,
  stationDocument,
  stationReport,
  type Brief,
  type Catalog,
  type Checked,
  type Finding,
  type Layout,
} from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { briefErrand } from '../brief-errand.js';
import { onThread, runErrand } from '../errand.js';
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog, orOfFormat, type Loaded } from '../documents.js';
import { deliver, outputStyle, warn } from '../output.js';
import { sizingTerms } from '../station-options.js';
import { progressText } from './design.js';
import type { StationErrand, StationMessage } from './station-worker.js';

type Asked = { readonly kind: 'plan'; readonly layout: Layout } | { readonly kind: 'brief'; readonly brief: Brief };

const isPlan = (json: unknown): boolean => typeof json === 'object' && json !== null && 'format' in json && String(json.format).startsWith('transloom-plan/');

const tagged = <T>(checked: Checked<T>, tag: (value: T) => Asked): Checked<Asked> => (checked.ok ? { ...checked, value: tag(checked.value) } : checked);

const parseAsked = (json: unknown, catalog: Catalog): Checked<Asked> =>
  isPlan(json)
    ? tagged(parsePlan(json, catalog), (layout) => ({ kind: 'plan', layout }))
    : tagged(parseBrief(json, catalog), (brief) => ({ kind: 'brief', brief }));

const checkAskedForm = (json: unknown): readonly Finding[] => (isPlan(json) ? checkPlanForm(json) : orOfFormat(checkBriefForm(json), ' or "transloom-plan/1"'));

export async function runStation(command: CommandOf<'station'>): Promise<ExitCode> {
  const { file, choice, options } = command;
  const loaded = loadWithCatalog(file, parseAsked, checkAskedForm);
  const { value: asked, warnings } = loaded;
  const catalog = asked.kind === 'plan' ? asked.layout.catalog : asked.brief.catalog;
  const terms = sizingTerms(choice, asked.kind === 'brief' ? asked.brief.demand : undefined, catalog);
  warn(options, warnings);
  if (asked.kind === 'brief') return designAndSize({ ...loaded, value: asked.brief }, command);
  const finding = sizeStation(asked.layout, terms);
  deliver(options, () => stationReport(finding, outputStyle(options), options.quiet), () => stationDocument(finding));
  return finding.sizing?.isMet === true ? EXIT.done : EXIT.no;
}

function designAndSize(loaded: Loaded<Brief>, { given, options }: CommandOf<'station'>): Promise<ExitCode> {
  return onThread(new URL('./station-worker.js', import.meta.url), options.quiet, async (worker, signal, progress) => {
    const errand: StationErrand = { ...briefErrand(loaded, options, undefined), given };
    const { code, lines, document } = await runErrand<StationMessage>(worker, errand, signal, (message) => {
      progress.show(`designing: ${progressText(message.progress)}`);
    });
    progress.clear();
    deliver(options, () => lines, () => document);
    return code;
  });
}
