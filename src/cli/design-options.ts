/**
 * The options of `design`, as text and as checked data.
 */
import type { Argv } from 'yargs';
import { fileOption, usage, wholeOption } from './usage.js';

export interface DesignChoice {
  /** Where the integer program is to be written to. */
  readonly programFile: string | undefined;
  /** Where the proof log is to be written to, which is then replayed. */
  readonly logFile: string | undefined;
  /** Threads that share a long search; left out: as many as there are processors, but for a few of many. */
  readonly workers: number | undefined;
  /** Where a search goes that is stopped before its proof, and from where one goes on. */
  readonly saveFile: string | undefined;
  readonly resumeFile: string | undefined;
  /** Whether the greatest fill is wanted, whatever the targets. */
  readonly mostFill: boolean;
}

/** The format that a file's name asks for. */
export function programFormat(file: string): 'mps' | 'lp' | undefined {
  if (file.endsWith('.mps')) return 'mps';
  return file.endsWith('.lp') ? 'lp' : undefined;
}

/** Each thread has a search of its own in memory, and no machine that anybody has runs more at once. */
const MOST_WORKERS = 256;

/** Where the proof log goes if `--audit` names no file. */
const USUAL_LOG = 'transloom-proof.jsonl';

export const designOptions = <T>(argv: Argv<T>) =>
  argv
    .option('export-program', {
      type: 'string',
      requiresArg: true,
      describe: 'Also write the integer program of the bill of parts to this file, as .mps or .lp',
    })
    .option('workers', { type: 'string', requiresArg: true, describe: 'Threads that share a long search; the answer is the same' })
    .option('save', { type: 'string', requiresArg: true, describe: 'If the search is stopped before its proof, write it to this file' })
    .option('most-fill', { type: 'boolean', default: false, describe: 'Instead: the greatest fill that the site and the limits allow, whatever the targets' })
    .option('resume', { type: 'string', requiresArg: true, describe: 'Go on with the search in this file' })
    .option('audit', {
      type: 'string',
      describe: `Also write a proof log to this .jsonl file (${USUAL_LOG}) and replay it`,
    });

interface RawDesign {
  readonly 'export-program': string | undefined;
  readonly workers: string | undefined;
  readonly save: string | undefined;
  readonly 'most-fill': boolean;
  readonly resume: string | undefined;
  readonly audit: string | undefined;
}

export function readDesignOptions(raw: RawDesign): DesignChoice {
  const programFile = raw['export-program'];
  if (programFile !== undefined && programFormat(programFile) === undefined) {
    throw usage('--export-program needs a file name that ends in .mps or .lp.');
  }
  const logFile = raw.audit === '' ? USUAL_LOG : raw.audit;
  if (logFile?.endsWith('.jsonl') === false) throw usage('--audit needs a file name that ends in .jsonl.');
  const workers = wholeOption('workers', raw.workers, 1, MOST_WORKERS);
  const saveFile = fileOption('save', raw.save);
  const resumeFile = fileOption('resume', raw.resume);
  if (logFile !== undefined && resumeFile !== undefined) {
    throw usage('--audit does not go with --resume: a proof log begins with its search.');
  }
  const mostFill = raw['most-fill'];
  const single = (['audit', 'save', 'resume'] as const).find((name) => raw[name] !== undefined);
  if (mostFill && single !== undefined) throw usage(`--most-fill takes several searches, so --${single}, which is of one, does not go with it.`);
  return { programFile, logFile, workers, saveFile, resumeFile, mostFill };
}
