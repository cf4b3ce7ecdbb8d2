/**
 * `transloom station`: how many trains a whole station needs. Of a plan, or of the layout that a brief gets designed.
 */
import {
  checkBriefForm,
  checkPlanForm,
  designDocument,
  designReport,
  designStation,
  fillsTrains,
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
import { EXIT, type ExitCode } from '../exit-codes.js';
import { loadWithCatalog } from '../files.js';
import { deliver, outputStyle, warn } from '../output.js';
import { sizingTerms } from '../station-options.js';
import { ProgressLine } from '../terminal.js';
import { usage } from '../usage.js';

type Asked = { readonly kind: 'plan'; readonly layout: Layout } | { readonly kind: 'brief'; readonly brief: Brief };

const isPlan = (json: unknown): boolean => typeof json === 'object' && json !== null && 'format' in json && String(json.format).startsWith('transloom-plan/');

const tagged = <T>(checked: Checked<T>, tag: (value: T) => Asked): Checked<Asked> => (checked.ok ? { ...checked, value: tag(checked.value) } : checked);

const parseAsked = (json: unknown, catalog: Catalog): Checked<Asked> =>
  isPlan(json)
    ? tagged(parsePlan(json, catalog), (layout) => ({ kind: 'plan', layout }))
    : tagged(parseBrief(json, catalog), (brief) => ({ kind: 'brief', brief }));

const checkAskedForm = (json: unknown): readonly Finding[] => (isPlan(json) ? checkPlanForm(json) : checkBriefForm(json));

export async function runStation({ file, choice, options }: CommandOf<'station'>): Promise<ExitCode> {
  const { value: asked, warnings } = loadWithCatalog(file, parseAsked, checkAskedForm);
  const catalog = asked.kind === 'plan' ? asked.layout.catalog : asked.brief.catalog;
  const terms = sizingTerms(choice, asked.kind === 'brief' ? asked.brief.demand : undefined, catalog);
  warn(options, warnings);
  if (asked.kind === 'plan') {
    if (fillsTrains(asked.layout)) throw usage('this plan fills trains, and “station” sizes stations that empty them; “trial” and “visit” tell how long a train takes to fill.');
    const finding = sizeStation(asked.layout, terms);
    deliver(options, () => stationReport(finding, outputStyle(options), options.quiet), () => stationDocument(finding));
    return finding.sizing?.isMet === true ? EXIT.done : EXIT.no;
  }
  const progress = new ProgressLine(!options.quiet);
  const answer = await designStation(asked.brief, {
    seed: options.seed,
    timeLimitSeconds: options.timeLimitSeconds,
    solver: options.solver,
    onProgress: ({ round, simulations }) => {
      progress.show(`designing: round ${round}, ${simulations} simulated`);
    },
    now: () => performance.now(),
  });
  progress.clear();
  const { outcome } = answer;
  if (outcome.status !== 'optimal' && outcome.status !== 'feasible') {
    deliver(options, () => designReport(answer, outputStyle(options), options.quiet), () => designDocument(answer));
    return outcome.status === 'infeasible' ? EXIT.no : EXIT.unproven;
  }
  const finding = sizeStation(outcome.layout, terms);
  deliver(
    options,
    () => {
      const style = outputStyle(options);
      return [...designReport(answer, style, true), '', ...stationReport(finding, style, options.quiet)];
    },
    () => ({ ...stationDocument(finding), design: designDocument(answer) }),
  );
  if (finding.sizing?.isMet !== true) return EXIT.no;
  return outcome.status === 'optimal' ? EXIT.done : EXIT.unproven;
}
