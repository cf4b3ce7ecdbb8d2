/**
 * The command line as data: which command, with which checked options. Every wrong use becomes an
 * `InputError` in this program's own words. The options of each command are in a file of their own, and what it does in `commands/`.
 */
import yargs, { type Argv } from 'yargs';
import { nearestName, toAscii } from '../index.js';
import { commonOptions, readCommonOptions, type CommonOptions } from './common-options.js';
import { designOptions, readDesignOptions, type DesignChoice } from './design-options.js';
import { drawOptions, readDrawOptions, type DrawChoice } from './draw-options.js';
import { STDIN } from './files.js';
import { givenMend, KEEP_SEPARATOR, mendOptions, readMendOptions, type GivenMend, type MendChoice } from './mend-options.js';
import { givenStation, readStationOptions, stationOptions, type GivenStation, type StationChoice } from './station-options.js';
import { gathered, givenTradeoffs, readTradeoffsOptions, tradeoffsOptions, type GivenTradeoffs, type TradeoffsChoice } from './tradeoffs-options.js';
import { printLines, tellsInAscii } from './terminal.js';
import { readTrialOptions, trialOptions, type TrialChoice } from './trial-options.js';
import { usage } from './usage.js';
import { readVisitOptions, visitOptions, type VisitChoice } from './visit-options.js';
import { givenWhy, readWhyOptions, whyOptions, type GivenWhy, type WhyChoice } from './why-options.js';

interface Options {
  readonly options: CommonOptions;
}

export type Command =
  | ({ readonly name: 'design'; readonly brief: string | undefined } & DesignChoice & Options)
  | ({ readonly name: 'tradeoffs'; readonly brief: string; readonly choice: TradeoffsChoice; readonly given: GivenTradeoffs } & Options)
  | ({ readonly name: 'trial'; readonly plan: string } & TrialChoice & Options)
  | ({ readonly name: 'why'; readonly plan: string; readonly choice: WhyChoice; readonly given: GivenWhy } & Options)
  | ({ readonly name: 'mend'; readonly plan: string; readonly choice: MendChoice; readonly given: GivenMend } & Options)
  | ({ readonly name: 'visit'; readonly plan: string; readonly choice: VisitChoice } & Options)
  | ({ readonly name: 'station'; readonly file: string; readonly choice: StationChoice; readonly given: GivenStation } & Options)
  | ({ readonly name: 'draw'; readonly plan: string } & DrawChoice & Options)
  | ({ readonly name: 'rates'; readonly catalog: string } & Options)
  | ({ readonly name: 'fit'; readonly measurements: string } & Options)
  | ({ readonly name: 'replay'; readonly log: string } & Options);

/** The command of one name, with all that was given to it. */
export type CommandOf<N extends Command['name']> = Extract<Command, { readonly name: N }>;

const COMMANDS: readonly string[] = ['design', 'tradeoffs', 'trial', 'why', 'mend', 'visit', 'station', 'draw', 'rates', 'fit', 'replay'];

const FILE_HELP = 'File to read; “-” reads the standard input';
const FILE = { type: 'string', demandOption: true, describe: FILE_HELP } as const;

/** Gathered before; one that lacks its last value stands there again, and the library tells that. */
const GIVEN_AGAIN: readonly string[] = ['--where', '--keep'];

/** Behind “--” stand names of files alone, whatever they begin with. The library would keep them from the commands. */
function withoutOptionsEnd(words: readonly string[]): readonly string[] {
  const end = words.indexOf('--');
  if (end < 0) return words;
  return [...words.slice(0, end), ...words.slice(end + 1).map((name) => (/^-./.test(name) ? `./${name}` : name))];
}

/** What an option took before it was given again would be dropped without a word. */
function refuseRepeated(words: readonly string[]): void {
  const names = words.flatMap((word) => /^--[^=]+/.exec(word)?.[0] ?? []);
  const repeated = names.find((name, at) => names.indexOf(name) < at && !GIVEN_AGAIN.includes(name));
  if (repeated !== undefined) throw usage(`${repeated} is given twice; give it once.`);
}

/** Options that are given or not. */
const FLAGS: readonly string[] = ['--json', '--quiet', '--ascii', '--watch', '--counts', '--most-fill', '--help', '--version'];

/** The library would take any value but “true” for “false”. */
function refuseValueOfFlag(words: readonly string[]): void {
  for (const word of words) {
    const [, name, value] = /^(--[^=]+)=(.*)$/s.exec(word) ?? [];
    if (FLAGS.includes(name) && value !== 'true' && value !== 'false') throw usage(`${name} takes no value, so “${value}” says nothing; leave it out.`);
  }
}

/** How a word that is no option or word of the command is told. */
const unknownWord = (word: string): string => `There is no option or word “${word}” here.`;

const withNearest = (sentence: string, nearest: string | undefined): string => `${sentence}${nearest === undefined ? '.' : `; did you mean ${nearest}?`}`;

/** The same where it was written as an option: with the nearest one, if there is one. */
function unknownOption(message: string, words: readonly string[], parser: Argv): string | undefined {
  const options = words.flatMap((word) => {
    const [, dashes, name] = /^(--?)([^=-][^=]*)/.exec(word) ?? [];
    return name === undefined ? [] : [{ dashes, name }];
  });
  const found = options.find(({ name }) => message === unknownWord(name));
  if (found === undefined) return undefined;
  const { dashes, name: unknown } = found;
  // The library's types leave out this one of its methods.
  const { key } = (parser as unknown as { getOptions: () => { readonly key: Readonly<Record<string, unknown>> } }).getOptions();
  const nearest = nearestName(unknown, Object.keys(key));
  return withNearest(`There is no option ${dashes}${unknown} here`, nearest && `--${nearest}`);
}

/** The library would only say that a word is too many. */
function refuseUnknownCommand([word]: readonly string[]): void {
  const known = [...COMMANDS, 'completion', 'help'];
  if (word === undefined || word.startsWith('-') || known.includes(word)) return;
  const nearest = nearestName(word, known);
  throw usage(withNearest(`There is no command “${word}”`, nearest && `“${nearest}”`));
}

/** Words are taken as they stand: no numbers, no paths into objects. */
const READING = {
  'boolean-negation': false,
  'camel-case-expansion': false,
  'dot-notation': false,
  'duplicate-arguments-array': false,
  'parse-numbers': false,
  'parse-positional-numbers': false,
};

/** The library's complaints, in this program's words. */
const COMPLAINTS = {
  'Unknown argument: %s': { one: unknownWord('%s'), other: 'There are no options or words %s here.' },
  'Not enough arguments following: %s': 'The option --%s needs a value.',
  'Not enough non-option arguments: got %s, need at least %s': {
    one: 'The name of a file is missing (%s given, %s needed).',
    other: 'The name of a file is missing (%s given, %s needed).',
  },
  'Too many non-option arguments: got %s, maximum of %s': {
    one: 'There are words too many (%s given, at most %s taken).',
    other: 'There are words too many (%s given, at most %s taken).',
  },
};

/** All commands with their options; whichever was named is told to `take`. */
function withCommands(parser: Argv, take: (command: Command) => void): Argv {
  return parser
    .command(
      'design [brief]',
      'Find the cheapest station that meets a brief, with proof',
      (argv) => designOptions(commonOptions(argv, 'design').positional('brief', { type: 'string', describe: `${FILE_HELP}; left out: the demo brief` })),
      (argv) => {
        take({ name: 'design', brief: argv.brief, ...readDesignOptions(argv), options: readCommonOptions(argv, 'design') });
      },
    )
    .command(
      'tradeoffs <brief>',
      'List the stations of a brief that no other beats in every objective, with proof',
      (argv) => tradeoffsOptions(commonOptions(argv, 'tradeoffs').positional('brief', FILE)),
      (argv) => {
        take({ name: 'tradeoffs', brief: argv.brief, choice: readTradeoffsOptions(argv), given: givenTradeoffs(argv), options: readCommonOptions(argv, 'tradeoffs') });
      },
    )
    .command(
      'trial <plan>',
      'Simulate a plan: flows, gaps, arms, chests, and whether it keeps its promise',
      (argv) => trialOptions(commonOptions(argv, 'trial').positional('plan', FILE)),
      (argv) => {
        take({ name: 'trial', plan: argv.plan, ...readTrialOptions(argv), options: readCommonOptions(argv, 'trial') });
      },
    )
    .command(
      'draw <plan>',
      'Draw a plan and list its parts',
      (argv) => drawOptions(commonOptions(argv, 'draw').positional('plan', FILE)),
      (argv) => {
        take({ name: 'draw', plan: argv.plan, ...readDrawOptions(argv), options: readCommonOptions(argv, 'draw') });
      },
    )
    .command(
      'why <plan>',
      'Follow each missing item of a plan to its cause, and find the single change that helps most',
      (argv) => whyOptions(commonOptions(argv, 'why').positional('plan', FILE)),
      (argv) => {
        take({ name: 'why', plan: argv.plan, choice: readWhyOptions(argv), given: givenWhy(argv), options: readCommonOptions(argv, 'why') });
      },
    )
    .command(
      'mend <plan>',
      'Find the cheapest repair of a plan that falls short, with proof',
      (argv) => mendOptions(commonOptions(argv, 'mend').positional('plan', FILE)),
      (argv) => {
        take({ name: 'mend', plan: argv.plan, choice: readMendOptions(argv), given: givenMend(argv), options: readCommonOptions(argv, 'mend') });
      },
    )
    .command(
      'visit <plan>',
      'Let trains come to a plan, be emptied or filled, and leave, with real counts in wagons and chests',
      (argv) => visitOptions(commonOptions(argv, 'visit').positional('plan', FILE)),
      (argv) => {
        take({ name: 'visit', plan: argv.plan, choice: readVisitOptions(argv), options: readCommonOptions(argv, 'visit') });
      },
    )
    .command(
      'station <file>',
      'Size a whole station: headway, dwell, trains, chests; of a plan, or of what a brief gets designed',
      (argv) => stationOptions(commonOptions(argv, 'station').positional('file', { ...FILE, describe: `Plan or brief. ${FILE_HELP}` })),
      (argv) => {
        take({ name: 'station', file: argv.file, choice: readStationOptions(argv), given: givenStation(argv), options: readCommonOptions(argv, 'station') });
      },
    )
    .command(
      'rates <catalog>',
      'List what each arm can deliver onto each target, by formula and by simulation',
      (argv) => commonOptions(argv, 'rates').positional('catalog', { ...FILE, describe: `Catalog, or a brief or plan with one. ${FILE_HELP}` }),
      (argv) => {
        take({ name: 'rates', catalog: argv.catalog, options: readCommonOptions(argv, 'rates') });
      },
    )
    .command(
      'fit <measurements>',
      'Find the catalog that explains what was counted and timed, and what to measure next',
      (argv) => commonOptions(argv, 'fit').positional('measurements', FILE),
      (argv) => {
        take({ name: 'fit', measurements: argv.measurements, options: readCommonOptions(argv, 'fit') });
      },
    )
    .command(
      'replay <log>',
      'Recheck a proof log by a second solver and a second simulator',
      (argv) => commonOptions(argv, 'replay').positional('log', FILE),
      (argv) => {
        take({ name: 'replay', log: argv.log, options: readCommonOptions(argv, 'replay') });
      },
    );
}

/** Undefined where everything was said already: help, version, completion. */
export async function parseArguments(words: readonly string[], version: string): Promise<Command | undefined> {
  let command: Command | undefined;
  const once = gathered(gathered(withoutOptionsEnd(words), '--where'), '--keep', KEEP_SEPARATOR);
  refuseRepeated(once);
  refuseValueOfFlag(once);
  refuseUnknownCommand(once);
  const taken = once.map((word) => (word === '-' ? STDIN : word));
  const named = yargs(taken)
    .scriptName('transloom')
    .locale('en')
    .parserConfiguration(READING)
    .updateStrings(COMPLAINTS as unknown as Parameters<Argv['updateStrings']>[0])
    .usage('transloom COMMAND [FILE] [OPTIONS]\n\nDesigns, tries, mends and draws stations between rail wagons and belts.');
  // What an option takes is said in its words; the library would set types against the last of them, without a space. Its types
  // leave out this one of its methods.
  (named as unknown as { usageConfiguration: (settings: Readonly<Record<string, boolean>>) => void }).usageConfiguration({ 'hide-types': true });
  const parser = withCommands(named, (chosen) => {
    command = chosen;
  })
    .completion('completion', 'Print a script that completes commands and options in your shell')
    .demandCommand(1, 1, `Name a command: ${COMMANDS.slice(0, -1).join(', ')} or ${COMMANDS.at(-1) ?? ''}.`, 'Name one command only.')
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
  // Help, version and completion, which the library would print as they are.
  await parser.parseAsync(taken, {}, (_error: unknown, _argv: unknown, text: string) => {
    if (text !== '') printLines(tellsInAscii(process.stdout) ? text.split('\n').map(toAscii) : [text]);
  });
  return command;
}
