/**
 * `transloom station`: how many trains a whole station needs. Of a plan, or of the layout that a brief gets designed; both on a
 * thread of their own, `station-worker.ts`.
 */
import { checkBriefForm, checkPlanForm, parseBrief, parsePlan, type Brief, type Catalog, type Checked, type Finding, type Layout } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { briefErrand, onThread, planErrand, runErrand } from '../errand.js';
import type { ExitCode } from '../exit-codes.js';
import { loadWithCatalog, orOfFormat } from '../documents.js';
import { deliver, warn } from '../output.js';
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

export const runStation = ({ file, given, options }: CommandOf<'station'>): Promise<ExitCode> =>
  onThread(new URL('./station-worker.js', import.meta.url), async (worker) => {
    const loaded = loadWithCatalog(file, parseAsked, checkAskedForm);
    warn(options, loaded.warnings);
    const { value: asked } = loaded;
    const errand: StationErrand = {
      ...(asked.kind === 'plan' ? planErrand({ ...loaded, value: asked.layout }, options) : briefErrand({ ...loaded, value: asked.brief }, options, undefined)),
      given,
    };
    const { code, lines, document } = await runErrand<StationMessage>(worker, errand, (message, progress) => {
      progress.show(`designing: ${progressText(message.progress)}`);
    });
    deliver(options, () => lines, () => document);
    return code;
  });
