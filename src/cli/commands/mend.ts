/**
 * `transloom mend`: the cheapest repair of a plan. The search, and what it is held against, are on a thread of their own,
 * `mend-worker.ts`.
 */
import type { Worker } from 'node:worker_threads';
import { checkBriefForm, checkPlanForm, fillsWagons, parseBrief, parsePlan, parsePromise, type MendProgress } from '../../index.js';
import type { CommandOf } from '../arguments.js';
import { onThread, planErrand, runErrand } from '../errand.js';
import { EXIT, InputError, type ExitCode } from '../exit-codes.js';
import { acceptMore, loadWithCatalog } from '../documents.js';
import { finishWith, opened } from '../growing-file.js';
import { deliver, notWritten, warn } from '../output.js';
import { writeMadePlan } from '../plan-file.js';
import type { MendErrand, MendMessage } from './mend-worker.js';

const MOST_EXITS = 32;

const progressText = ({ bound, best, branches, simulations }: MendProgress): string =>
  `at least ${bound}, ${best === undefined ? 'none found yet' : `best so far ${best}`}, ${branches} ${branches === 1 ? 'branch' : 'branches'}, ${simulations} simulated`;

const refused = (sentence: string): InputError => new InputError([`transloom: ${sentence}`]);

export const runMend = (command: CommandOf<'mend'>): Promise<ExitCode> => onThread(new URL('./mend-worker.js', import.meta.url), (worker) => mendOn(worker, command));

async function mendOn(worker: Worker, { plan, choice, given, options }: CommandOf<'mend'>): Promise<ExitCode> {
  const loaded = loadWithCatalog(plan, parsePlan, checkPlanForm);
  acceptMore(loaded, parsePromise(loaded.document.value));
  const layout = loaded.value;
  if (layout.exits.length === 0 && !fillsWagons(layout)) throw refused('The plan has no exit, so nothing can leave; give it one, or an entry if it is to fill wagons.');
  if (fillsWagons(layout) && layout.wagons.length === 0) throw refused('The plan has an entry, but no exit and no wagon, so nothing can be filled; give it a wagon.');
  if (layout.exits.length > MOST_EXITS) throw refused(`The plan has ${layout.exits.length} exits; no more than ${MOST_EXITS} can be mended at once.`);
  const brief = choice.briefFile === undefined ? undefined : loadWithCatalog(choice.briefFile, parseBrief, checkBriefForm);
  // Of a catalog that both name once.
  warn(options, [...new Set([...loaded.warnings, ...(brief?.warnings ?? [])])]);
  const printed = { ...options, out: undefined };
  const errand: MendErrand = { ...planErrand(loaded, printed), given, asked: brief && { brief: brief.document.value, catalog: brief.catalog } };
  // Opened before the search, which may be long: a file that can't be written is told at once.
  const files = [choice.svgFile, choice.htmlFile].map(opened);
  try {
    const found = await runErrand<MendMessage>(worker, errand, (message, progress) => {
      progress.show(progressText(message.progress));
    });
    if (options.out !== undefined) {
      if (found.plan === undefined) notWritten(options, 'No repair was found', options.out);
      else writeMadePlan(options.out, found.plan, loaded.document, options.ascii);
    }
    finishWith(files[0], found.svg);
    finishWith(files[1], found.page);
    deliver(printed, () => found.lines, () => found.document);
    return { optimal: EXIT.done, feasible: EXIT.unproven, infeasible: EXIT.no, unknown: EXIT.unproven }[found.status];
  } finally {
    for (const file of files) file?.abandon();
  }
}
