/**
 * The command line as data: which command, with which checked options. Every wrong use becomes an
 * `InputError` in this program's own words. What the commands do is in `commands/`.
 */
import yargs, { type Argv } from 'yargs';
import { nearestName, SOLVER_NAMES } from '../index.js';
import { isPictureFile, STDIN } from './files.js';
import { gathered, givenTradeoffs, readTradeoffsOptions, tradeoffsOptions, type GivenTradeoffs, type TradeoffsChoice } from './tradeoffs-options.js';
import { KEEP_SEPARATOR, mendOptions, readMendOptions, type MendChoice } from './mend-options.js';
import { givenStation, readStationOptions, stationOptions, type RawStation, type StationChoice } from './station-options.js';
import { durationOption, secondsOption, type Duration } from './time-options.js';
import { fileOption, startsOption, usage, wholeOption } from './usage.js';
import { readWhyOptions, whyOptions, type WhyChoice } from './why-options.js';
import { readVisitOptions, visitOptions, type VisitChoice } from './visit-options.js';

export interface CommonOptions {
  readonly json: boolean;
  readonly out: string | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  readonly seed: number | undefined;
  readonly timeLimitSeconds: number | undefined;
  readonly solver: string | undefined;
  /** Of options that this command has no use for. */
  readonly warnings: readonly string[];
}

export type Command =
  | {
      readonly name: 'design';
      readonly brief: string | undefined;
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
      readonly options: CommonOptions;
    }
  | { readonly name: 'tradeoffs'; readonly brief: string; readonly choice: TradeoffsChoice; readonly given: GivenTradeoffs; readonly options: CommonOptions }
  | { readonly name: 'replay'; readonly log: string; readonly options: CommonOptions }
  | {
      readonly name: 'trial';
      readonly plan: string;
      readonly starts: number | undefined;
      readonly ticks: Duration | undefined;
      readonly counts: boolean;
      /** Tiles by which wagons may stop short or far, each tried and shown. */
      readonly spotting: number | undefined;
      /** Whether to try it anew at every save, until Ctrl-C. */
      readonly watch: boolean;
      readonly options: CommonOptions;
    }
  | {
      readonly name: 'draw';
      readonly plan: string;
      /** Where the picture is to be written to besides. */
      readonly svgFile: string | undefined;
      readonly htmlFile: string | undefined;
      /** Where the plan is to be written to besides, as a picture that can be read again, and as JSON. */
      readonly textFile: string | undefined;
      readonly planFile: string | undefined;
      readonly options: CommonOptions;
    }
  | { readonly name: 'station'; readonly file: string; readonly choice: StationChoice; readonly given: RawStation; readonly options: CommonOptions }
  | { readonly name: 'why'; readonly plan: string; readonly choice: WhyChoice; readonly options: CommonOptions }
  | { readonly name: 'mend'; readonly plan: string; readonly choice: MendChoice; readonly options: CommonOptions }
  | { readonly name: 'visit'; readonly plan: string; readonly choice: VisitChoice; readonly options: CommonOptions }
  | { readonly name: 'fit'; readonly measurements: string; readonly options: CommonOptions }
  | { readonly name: 'rates'; readonly catalog: string; readonly options: CommonOptions };

/** The command of one name, with all that was given to it. */
export type CommandOf<N extends Command['name']> = Extract<Command, { readonly name: N }>;

/** Options that every command takes, though only some have a use for them; the others say so, and their help leaves them out. */
const USED_BY = {
  seed: ['design', 'tradeoffs', 'trial', 'why', 'mend', 'visit', 'station', 'draw', 'replay'],
  'time-limit': ['design', 'tradeoffs', 'why', 'mend', 'station', 'replay'],
  solver: ['design', 'tradeoffs', 'station'],
} as const satisfies Readonly<Record<string, readonly Command['name'][]>>;

const isUsed = (option: keyof typeof USED_BY, name: Command['name']): boolean => USED_BY[option].some((each) => each === name);

const OUT_TAKES: Partial<Readonly<Record<Command['name'], string>>> = {
  design: 'Write the plan to this file',
  mend: 'Write the mended plan to this file',
  tradeoffs: 'Write to this file what would be printed; with --pick: the plan',
  fit: 'Write the catalog to this file',
};

const common = <T>(argv: Argv<T>, name: Command['name']) =>
  argv
    .option('json', { type: 'boolean', default: false, describe: 'Print one JSON document and nothing else' })
    .option('out', { type: 'string', requiresArg: true, describe: OUT_TAKES[name] ?? 'Write to this file what would be printed' })
    .option('quiet', { type: 'boolean', default: false, describe: 'No progress, no warnings; print the verdict alone' })
    .option('ascii', { type: 'boolean', default: false, describe: 'Draw with ASCII signs only' })
    .option('seed', { type: 'string', requiresArg: true, hidden: !isUsed('seed', name), describe: 'Whole number that staggered starts are drawn from' })
    .option('time-limit', { type: 'string', requiresArg: true, hidden: !isUsed('time-limit', name), describe: 'Stop after about so many seconds, such as 60 or 60s, with what it has' })
    .option('solver', { type: 'string', requiresArg: true, hidden: !isUsed('solver', name), describe: `Solver of integer programs: ${SOLVER_NAMES.join(', ')}` });

interface RawOptions {
  readonly json: boolean;
  readonly out: string | undefined;
  readonly quiet: boolean;
  readonly ascii: boolean;
  readonly seed: string | undefined;
  readonly 'time-limit': string | undefined;
  readonly solver: string | undefined;
}

function optionsOf(raw: RawOptions, name: Command['name']): CommonOptions {
  if (raw.solver !== undefined && !SOLVER_NAMES.includes(raw.solver)) {
    throw usage(`There is no solver “${raw.solver}”; there are: ${SOLVER_NAMES.join(', ')}.`);
  }
  const unused = (['seed', 'time-limit', 'solver'] as const).filter((option) => raw[option] !== undefined && !isUsed(option, name));
  return {
    json: raw.json,
    out: fileOption('out', raw.out),
    quiet: raw.quiet,
    ascii: raw.ascii,
    seed: wholeOption('seed', raw.seed, 0),
    timeLimitSeconds: secondsOption('time-limit', raw['time-limit']),
    solver: raw.solver,
    warnings: unused.map((option) => `transloom: warning: “${name}” has no use for --${option}; leave it out.`),
  };
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

const FILE_HELP = 'File to read; “-” reads the standard input';

/** Gathered before; one that lacks its last value stands there again, and the library tells that. */
const GIVEN_AGAIN: readonly string[] = ['--where', '--keep'];

/** What an option took before it was given again would be dropped without a word. */
function refuseRepeated(words: readonly string[]): void {
  const names = words.slice(0, words.includes('--') ? words.indexOf('--') : words.length).flatMap((word) => /^--[^=]+/.exec(word)?.[0] ?? []);
  const repeated = names.find((name, at) => names.indexOf(name) < at && !GIVEN_AGAIN.includes(name));
  if (repeated !== undefined) throw usage(`${repeated} is given twice; give it once.`);
}

/** How a word that is no option or word of the command is told. */
const unknownWord = (word: string): string => `There is no option or word “${word}” here.`;

/** The same where it was written as an option: with the nearest one, if there is one. */
function unknownOption(message: string, words: readonly string[], parser: Argv): string | undefined {
  const unknown = words.map((word) => /^--([^=]+)/.exec(word)?.[1]).find((name) => name !== undefined && message === unknownWord(name));
  if (unknown === undefined) return undefined;
  // The library's types leave out this one of its methods.
  const { key } = (parser as unknown as { getOptions: () => { readonly key: Readonly<Record<string, unknown>> } }).getOptions();
  const nearest = nearestName(unknown, Object.keys(key));
  return `There is no option --${unknown} here${nearest === undefined ? '.' : `; did you mean --${nearest}?`}`;
}

/** Undefined where everything was said already: help, version, completion. */
export async function parseArguments(words: readonly string[], version: string): Promise<Command | undefined> {
  let command: Command | undefined;
  const once = gathered(gathered(words, '--where'), '--keep', KEEP_SEPARATOR);
  refuseRepeated(once);
  const parser = yargs(once.map((word) => (word === '-' ? STDIN : word)))
    .scriptName('transloom')
    .locale('en')
    .parserConfiguration({
      'boolean-negation': false,
      'camel-case-expansion': false,
      'dot-notation': false,
      'duplicate-arguments-array': false,
      'parse-numbers': false,
      'parse-positional-numbers': false,
    })
    .updateStrings({
      'Unknown argument: %s': { one: unknownWord('%s'), other: 'There are no options or words %s here.' },
      'Unknown command: %s': { one: 'There is no command “%s”.', other: 'There are no commands %s.' },
      'Did you mean %s?': 'There is no such command; did you mean “%s”?',
      'Not enough arguments following: %s': 'The option --%s needs a value.',
      'Not enough non-option arguments: got %s, need at least %s': {
        one: 'The name of a file is missing (%s given, %s needed).',
        other: 'The name of a file is missing (%s given, %s needed).',
      },
      'Too many non-option arguments: got %s, maximum of %s': {
        one: 'There are words too many (%s given, at most %s taken).',
        other: 'There are words too many (%s given, at most %s taken).',
      },
    } as unknown as Parameters<Argv['updateStrings']>[0])
    .usage('transloom COMMAND [FILE] [OPTIONS]\n\nDesigns, tries, mends and draws stations between rail wagons and belts.')
    .command(
      'design [brief]',
      'Find the cheapest station that meets a brief, with proof',
      (argv) =>
        common(argv, 'design')
          .positional('brief', { type: 'string', describe: `${FILE_HELP}; left out: the demo brief` })
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
          }),
      (argv) => {
        const programFile = argv['export-program'];
        if (programFile !== undefined && programFormat(programFile) === undefined) {
          throw usage('--export-program needs a file name that ends in .mps or .lp.');
        }
        const logFile = argv.audit === '' ? USUAL_LOG : argv.audit;
        if (logFile?.endsWith('.jsonl') === false) throw usage('--audit needs a file name that ends in .jsonl.');
        const workers = wholeOption('workers', argv.workers, 1, MOST_WORKERS);
        const saveFile = fileOption('save', argv.save);
        const resumeFile = fileOption('resume', argv.resume);
        if (logFile !== undefined && resumeFile !== undefined) {
          throw usage('--audit does not go with --resume: a proof log begins with its search.');
        }
        const mostFill = argv['most-fill'];
        const single = (['audit', 'save', 'resume'] as const).find((name) => argv[name] !== undefined);
        if (mostFill && single !== undefined) throw usage(`--most-fill takes several searches, so --${single}, which is of one, does not go with it.`);
        command = { name: 'design', brief: argv.brief, programFile, logFile, workers, saveFile, resumeFile, mostFill, options: optionsOf(argv, 'design') };
      },
    )
    .command(
      'tradeoffs <brief>',
      'List the stations of a brief that no other beats in every objective, with proof',
      (argv) => tradeoffsOptions(common(argv, 'tradeoffs').positional('brief', { type: 'string', demandOption: true, describe: FILE_HELP })),
      (argv) => {
        command = { name: 'tradeoffs', brief: argv.brief, choice: readTradeoffsOptions(argv), given: givenTradeoffs(argv), options: optionsOf(argv, 'tradeoffs') };
      },
    )
    .command(
      'trial <plan>',
      'Simulate a plan: flows, gaps, arms, chests, and whether it keeps its promise',
      (argv) =>
        common(argv, 'trial')
          .positional('plan', { type: 'string', demandOption: true, describe: FILE_HELP })
          .option('starts', { type: 'string', requiresArg: true, describe: 'Staggered starts besides the standard one' })
          .option('ticks', { type: 'string', requiresArg: true, describe: 'With --counts: how many ticks to run, or seconds such as 60s' })
          .option('spotting', { type: 'string', requiresArg: true, describe: 'Also try it with its wagons up to so many tiles short and far' })
          .option('watch', { type: 'boolean', default: false, describe: 'Try the plan again at every save of its file, until Ctrl-C' })
          .option('counts', { type: 'boolean', default: false, describe: 'Count items over --ticks from an empty start' }),
      (argv) => {
        const ticks = durationOption('ticks', argv.ticks);
        if (argv.counts && ticks === undefined) throw usage('--counts needs --ticks N, the ticks to count over.');
        if (!argv.counts && ticks !== undefined) throw usage('--ticks needs --counts.');
        if (argv.watch && (argv.json || argv.out !== undefined || argv.plan === STDIN)) {
          throw usage('--watch prints to the terminal whenever a file is saved; it goes with no --json, --out or standard input.');
        }
        command = {
          name: 'trial',
          plan: argv.plan,
          starts: startsOption(argv.starts),
          ticks,
          counts: argv.counts,
          spotting: wholeOption('spotting', argv.spotting, 1),
          watch: argv.watch,
          options: optionsOf(argv, 'trial'),
        };
      },
    )
    .command(
      'draw <plan>',
      'Draw a plan and list its parts',
      (argv) =>
        common(argv, 'draw')
          .positional('plan', { type: 'string', demandOption: true, describe: FILE_HELP })
          .option('svg', { type: 'string', requiresArg: true, describe: 'Also write the picture to this file, as SVG' })
          .option('html', { type: 'string', requiresArg: true, describe: 'Also write a page to this file, on which the station moves' })
          .option('text', { type: 'string', requiresArg: true, describe: 'Also write the plan to this file as a picture, to be edited and read again' })
          .option('plan-json', { type: 'string', requiresArg: true, describe: 'Also write the plan to this file as JSON' }),
      (argv) => {
        const textFile = fileOption('text', argv.text);
        const planFile = fileOption('plan-json', argv['plan-json']);
        if (planFile !== undefined && isPictureFile(planFile)) throw usage('--plan-json writes JSON; --text writes a .plan.txt file.');
        if (textFile !== undefined && !isPictureFile(textFile)) throw usage('--text needs a file name that ends in .plan.txt.');
        command = { name: 'draw', plan: argv.plan, svgFile: fileOption('svg', argv.svg), htmlFile: fileOption('html', argv.html), textFile, planFile, options: optionsOf(argv, 'draw') };
      },
    )
    .command(
      'why <plan>',
      'Follow each missing item of a plan to its cause, and find the single change that helps most',
      (argv) => whyOptions(common(argv, 'why').positional('plan', { type: 'string', demandOption: true, describe: FILE_HELP })),
      (argv) => {
        command = { name: 'why', plan: argv.plan, choice: readWhyOptions(argv), options: optionsOf(argv, 'why') };
      },
    )
    .command(
      'mend <plan>',
      'Find the cheapest repair of a plan that falls short, with proof',
      (argv) => mendOptions(common(argv, 'mend').positional('plan', { type: 'string', demandOption: true, describe: FILE_HELP })),
      (argv) => {
        command = { name: 'mend', plan: argv.plan, choice: readMendOptions(argv), options: optionsOf(argv, 'mend') };
      },
    )
    .command(
      'visit <plan>',
      'Let trains come to a plan, be emptied and leave, with real counts in wagons and chests',
      (argv) => visitOptions(common(argv, 'visit').positional('plan', { type: 'string', demandOption: true, describe: FILE_HELP })),
      (argv) => {
        command = { name: 'visit', plan: argv.plan, choice: readVisitOptions(argv), options: optionsOf(argv, 'visit') };
      },
    )
    .command(
      'station <file>',
      'Size a whole station: headway, dwell, trains, chests; of a plan, or of what a brief gets designed',
      (argv) => stationOptions(common(argv, 'station').positional('file', { type: 'string', demandOption: true, describe: `Plan or brief. ${FILE_HELP}` })),
      (argv) => {
        command = { name: 'station', file: argv.file, choice: readStationOptions(argv), given: givenStation(argv), options: optionsOf(argv, 'station') };
      },
    )
    .command(
      'rates <catalog>',
      'List what each arm can deliver onto each target, by formula and by simulation',
      (argv) => common(argv, 'rates').positional('catalog', { type: 'string', demandOption: true, describe: `Catalog, or a brief or plan with one. ${FILE_HELP}` }),
      (argv) => {
        command = { name: 'rates', catalog: argv.catalog, options: optionsOf(argv, 'rates') };
      },
    )
    .command(
      'fit <measurements>',
      'Find the catalog that explains what was counted and timed, and what to measure next',
      (argv) => common(argv, 'fit').positional('measurements', { type: 'string', demandOption: true, describe: FILE_HELP }),
      (argv) => {
        command = { name: 'fit', measurements: argv.measurements, options: optionsOf(argv, 'fit') };
      },
    )
    .command(
      'replay <log>',
      'Recheck a proof log by a second solver and a second simulator',
      (argv) => common(argv, 'replay').positional('log', { type: 'string', demandOption: true, describe: FILE_HELP }),
      (argv) => {
        command = { name: 'replay', log: argv.log, options: optionsOf(argv, 'replay') };
      },
    )
    .completion('completion', 'Print a script that completes commands and options in your shell')
    .demandCommand(1, 1, 'Name a command: design, tradeoffs, trial, why, mend, visit, station, draw, rates, fit or replay.', 'Name one command only.')
    .recommendCommands()
    .strict()
    .version(version)
    .help()
    .alias('help', 'h')
    .wrap(Math.min(100, process.stdout.columns || 100))
    .epilogue(
      'Exit codes: 0 done, 1 the answer is no, 2 bad input or usage, 3 stopped with an unproven answer, 70 a fault of the program.',
    )
    .exitProcess(false)
    .fail((message, error) => {
      // The library throws some of its own complaints instead of handing them over.
      throw error instanceof Error && error.name !== 'YError' ? error : usage(unknownOption(message, words, parser) ?? (message || error.message));
    });
  await parser.parseAsync();
  return command;
}
