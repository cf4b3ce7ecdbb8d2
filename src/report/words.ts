/**
 * The sentence for every finding: what is wrong, where, what to do. The only place in which
 * findings become words; their codes and values come from the parsers and the checks of layouts.
 */
import type { Finding } from '../base/finding.js';
import type { BriefCode } from '../brief/parse-brief.js';
import type { CatalogCode } from '../catalog/parse-catalog.js';
import type { MeasurementsCode } from '../fitting/parse-measurements.js';
import type { PlanCode } from '../layout/parse-plan.js';
import type { PromiseCode } from '../ranking/parse-promise.js';
import type { SearchCode } from '../synthesis/search-state.js';
import { EDGE_WORD } from './places.js';

/** What goes wrong before there is a document to parse. */
type FileCode = 'file-unreadable' | 'file-too-long' | 'not-json' | 'not-utf8';

type FindingCode = FileCode | CatalogCode | BriefCode | PlanCode | PromiseCode | SearchCode | MeasurementsCode;

type Values = Readonly<Record<string, string | number>>;

const meant = ({ hint }: Values): string => (hint === undefined ? '' : ` Did you mean “${hint}”?`);

const GROUPS: Readonly<Record<string, string>> = {
  belts: 'belt',
  splitters: 'splitter',
  underpasses: 'underpass',
  arms: 'arm',
  chests: 'chest',
  wagons: 'wagon',
};

const taken = (command: string): string => `take this one to “transloom ${command}”`;

/** What each format is of, and where a file of it is taken. */
const FORMATS: Readonly<Partial<Record<string, { readonly what: string; readonly taken: string }>>> = {
  'transloom-brief/1': { what: 'a brief', taken: taken('design') },
  'transloom-plan/1': { what: 'a plan', taken: taken('trial') },
  'transloom-picture/1': { what: 'a plan that is drawn', taken: taken('trial') },
  'transloom-catalog/1': { what: 'a catalog', taken: `${taken('rates')}, or let a brief or a plan name it as its “catalog”` },
  'transloom-measurements/1': { what: 'measurements', taken: taken('fit') },
  'transloom-proof/1': { what: 'a proof log', taken: taken('replay') },
  'transloom-search/1': { what: 'a saved search', taken: taken('design BRIEF --resume') },
};

/** A format may be any text, as it stands in a file. */
const known = (format: string): { readonly what: string; readonly taken: string } | undefined => (Object.hasOwn(FORMATS, format) ? FORMATS[format] : undefined);

/** “, of a brief”, and where to take a file of that format besides naming another one. */
const ofFormat = (format: string): string => (known(format) === undefined ? '' : `, of ${known(format)?.what}`);
const orTaken = (format: string): string => (known(format) === undefined ? '' : `, or ${known(format)?.taken}`);

/** Why a file of this format, if it seems to have one, is no proof log. */
export const noLogSentence = (reason: string, format = ''): string =>
  `This is no proof log: ${known(format) === undefined ? reason : `its format is "${format}"${ofFormat(format)}`}; name a file that “transloom design --audit” wrote${orTaken(format)}.`;

const EDGES: Readonly<Record<string, string>> = EDGE_WORD;

/** The word for the edge, heading or side that the values name. */
const compass = (values: Values): string => EDGES[values['edge'] ?? values['heading'] ?? values['side']] ?? 'named';

const tiles = (count: string | number): string => `${count} ${count === 1 ? 'tile' : 'tiles'}`;

/** A site's size; rows in the north only where there are any. */
const extent = (values: Values): string => {
  const { width, depth, north } = values;
  return north === undefined ? `${width} x ${depth} tiles` : `${width} x ${depth} tiles with ${north} rows north of the track (y = ${-3} to ${-2 - Number(north)})`;
};

/** Of a track with an end on the site. */
const trackReach = ({ trackFrom, trackTo }: Values): string =>
  [...(trackFrom === undefined ? [] : [`begins at x = ${trackFrom}`]), ...(trackTo === undefined ? [] : [`ends at x = ${trackTo}`])].join(' and ');

const WORDS: Readonly<Record<FindingCode, (values: Values) => string>> = {
  'file-unreadable': (v) => `The file ${v['path']} can't be read (${v['reason']}); ${v['advice'] ?? 'name one that can'}.`,
  'not-json': (v) => `This is not JSON (${v['reason']}); ${v['advice'] ?? "mend the file's commas, quotes or brackets there"}.`,
  'file-too-long': (v) => `The file ${v['path']} has more than ${v['reason']}; name one that is shorter.`,
  'not-utf8': () => 'The bytes here are no text in UTF-8; save the file in that encoding.',

  'wrong-type': (v) => `Here stands ${v['found']}, but ${v['expected']} is needed.`,
  'missing-field': (v) => `The field “${v['field']}” is missing; add it.`,
  'unknown-field': (v) => `There is no field “${v['field']}” here.${meant(v) || ' Remove it.'}`,
  'wrong-format': ({ found, expected, also }) => {
    const format = String(found).replaceAll('"', '');
    const needed = also === undefined ? `"${expected}" is needed; name a file of that format` : `"${expected}"${also} is needed; name a file of one of these formats`;
    return `The format is ${found}${ofFormat(format)}, but ${needed}${orTaken(format)}.`;
  },
  'other-document': ({ expected, fields, within }) => {
    const kind = (known(String(expected))?.what ?? 'document').replace(/^an? /, '');
    return `This file holds no ${kind}: it lacks ${fields}. Name one whose “format” is "${expected}"${within === undefined ? '' : `, or put what stands here at ${within} into a file of its own`}.`;
  },
  'not-one-of': (v) => `${v['found']} is not one of: ${v['allowed']}.${meant(v) || ' Use one of these.'}`,
  'too-small': (v) => `${v['found']} is too small; give at least ${v['limit']}.`,
  'too-large': (v) => `${v['found']} is too large; give at most ${v['limit']}.`,
  'site-too-large': (v) =>
    `${v['found']} tiles are more than a site may measure; give at most ${v['limit']},` +
    ' or split the station into several.',
  'not-multiple': (v) => `${v['found']} is not divisible by ${v['factor']}; give a multiple of ${v['factor']}.`,
  'text-empty': () => 'The text is empty; fill it in.',
  'text-too-long': (v) => `The text ${v['found']} is too long; keep it to ${v['limit']} characters.`,
  'control-character': () => 'The name has a control character or a line break in it; take it out.',
  'name-length': (v) => `A name needs 1 to ${v['limit']} characters; choose another.`,
  'not-a-rate': (v) =>
    `${v['found']} is not a rate; write items per tick like "3/8", or items per second like "12.5/s".`,
  'rate-uncountable': (v) => `${v['found']} is a fraction of too many digits to count items by; round it, or leave it out where there is no limit.`,
  'not-a-share': (v) => `${v['found']} is not a share; write it like "1", "0.85" or "3/5".`,
  'object-empty': () => 'Nothing stands between these braces; give it a field, or remove it.',
  'list-too-short': (v) => `Here stands ${v['found']}, but at least ${v['limit']} must be given.`,
  'list-too-long': (v) => `There are more than ${v['limit']} entries; keep to ${v['limit']}.`,
  'repeated-entry': (v) => `Entries ${v['first']} and ${v['second']} (counted from 0) are the same; remove one.`,
  'not-as-described': (v) => `${v['found']} is not what the schema asks for (its rule: ${v['rule']}); see the schema.`,

  'pitch-over-tile': (v) =>
    `The pitch of ${v['pitch']} units is more than the ${v['unitsPerTile']} units of a tile; give at most those.`,
  'speed-over-pitch': (v) =>
    `“${v['name']}” moves ${v['speed']} units per tick, more than the pitch of ${v['pitch']}; give at most the pitch.`,
  'turn-under-remove': (v) =>
    `To turn a part costs ${v['turn']}, less than the ${v['remove']} to take it away, which is the first half of that; give at least as much.`,

  'unknown-model': (v) =>
    `The catalog has no ${GROUPS[v['group']] ?? 'model'} named “${v['name']}”.` +
    (meant(v) || (v['known'] === '' ? ' It has none at all; add one to it.' : ` It has: ${v['known']}.`)),
  'keep-out-outside': (v) =>
    `The rectangle reaches beyond the site of ${extent(v)}; only what lies inside it counts.`,
  'wagon-outside': (v) =>
    `The wagon would stand at x = ${v['from']} to ${v['to']}, wholly beside the site (x = 0 to ${v['last']}); move it.`,
  'wagon-overhangs': (v) =>
    `The wagon stands at x = ${v['from']} to ${v['to']} and juts out beyond the site (x = 0 to ${v['last']}).` +
    ' Only what lies along the site can be reached.',
  'wagons-overlap': (v) =>
    `The wagon at x = ${v['from']} to ${v['to']} overlaps that of ${v['other']}` +
    ` (x = ${v['otherFrom']} to ${v['otherTo']}); move one of them.`,

  'track-without-north': () =>
    'A track is told of a site with a north side only, since nothing else could stand beyond its ends; give the site its rows there as “north”, or remove “track”.',
  'track-reversed': (v) => `The track begins at x = ${v['from']} and ends before that, at ${v['to']}; swap them.`,
  'wagon-off-track': (v) =>
    `The wagon stands at x = ${v['from']} to ${v['to']}, but the track ${trackReach(v)}; move the wagon, or make the track longer.`,
  'wagon-spotted-off-track': (v) =>
    `The wagon at x = ${v['from']} to ${v['to']} may stop ${tiles(v['spotting'])} short or far, but the track ${trackReach(v)}; leave it that much room.`,

  'share-over-one': (v) => `${v['found']} is more than all of it; give at most "1".`,
  'share-zero': () => 'A share of nothing can meet no target; give more than "0".',
  'fill-and-rate': () => 'Both a fill and a rate are given; keep one of them.',
  'target-empty': () => 'No flow is asked for; give a fill like {"fill": "1"} or a rate like {"rate": "20/s"}.',
  'target-missing': () =>
    'This exit has no target, and the brief has none for all exits together; add one here or there, like {"fill": "1"}.',
  'target-zero': () => 'A target of nothing is met by an empty site; ask for more than 0, or leave it out.',
  'target-over-capacity': (v) =>
    `${v['found']} is more than this can carry; ask for at most "${v['capacity']}" items per tick` +
    ` (${v['perSecond']}), or name a faster belt.`,
  'total-under-lanes': () => 'The lanes together ask for more than the whole belt does; the lanes decide.',
  'target-under-exits': () => "The exits' own targets ask for more than the common one does; they decide.",
  'range-reversed': (v) => `The range starts at ${v['from']} and ends before that, at ${v['to']}; swap them.`,
  'range-outside': (v) =>
    `The range ${v['from']} to ${v['to']} is not on the ${compass(v)} edge; keep it within ${v['first'] ?? 0} to ${v['last']}.`,
  'range-kept-out': (v) =>
    `On the ${compass(v)} edge, no part may stand from ${v['from']} to ${v['to']}; widen the range` +
    ' or free a tile there.',
  'range-on-track': (v) =>
    `The whole range ${v['from']} to ${v['to']} of the ${compass(v)} edge lies on the track; choose rows beside it.`,
  'range-at-wagon': (v) =>
    `Wagons stand before the whole range ${v['from']} to ${v['to']} of the north edge; choose another edge or range.`,
  'exits-of-loading': () => 'A brief of the job "load" has no exits; say where belts come in under “entries”, or leave the job out.',
  'entries-of-unloading': () => 'Belts come in only where the job is "load"; add "job": "load", or remove these entries.',
  'full-of-unloading': () => 'A time after which wagons are full can be asked only where the job is "load"; add "job": "load", or remove it.',
  'full-of-one-entry': () => 'A time after which wagons are full is asked of all entries together; put it under the brief\'s own “target”.',
  'full-and-flow': () => 'Both a flow and a time after which wagons are full are given; keep one of them here, or put the time under the brief\'s own “target”.',
  'full-too-soon': (v) => `The belts bring the ${v['items']} items that the wagons hold in ${v['least']} at the soonest; give at least that, or name faster belts.`,
  'entry-target-missing': () =>
    'This entry has no target, and the brief has none for all entries together; add one here or there, like {"fill": "1"}.',
  'exits-crowded': (v) =>
    `More belts must cross the ${compass(v)} edge than its ranges have places; ${v['count'] === 1 ? 'widen a range or remove a belt' : `widen ranges or remove ${v['count']} belts`}.`,
  'no-chest-model': () => 'Arms shall draw from chests, but the catalog has no chest; add one, or allow "direct".',
  'no-arm-model': () => 'The catalog has no arm, so nothing can be moved; add one to it.',
  'reach-over-site': (v) =>
    `The arm “${v['name']}” reaches ${tiles(v['reach'])} to each side, too far for this site; it will not be used.`,
  'keep-of-three': () => 'Three numbers are neither a tile nor a rectangle; write [x, y], or [x, y, width, height].',
  'keep-outside': (v) => `This does not lie within the site of ${v['width']} x ${v['rows']} tiles; keep what is on it.`,
  'not-a-demand': (v) => `${v['found']} is not a demand above 0; write items per hour like "48000/h", per second like "13/s", or per tick like "3/8".`,
  'not-a-time': (v) => `${v['found']} is not a length of time; write seconds like "900s", or whole ticks like "45000".`,
  'dwell-zero': () => 'No train is emptied in no time; give more than 0, such as "90s".',
  'not-trains': (v) => `${v['found']} is not a number of trains; write it like "12", "7.5" or "15/2".`,
  'trains-over-capacity': (v) =>
    `${v['found']} full trains of ${v['load']} items an hour are more than the brief's belts can carry (${v['perSecond']} together);` +
    ` ask for at most "${v['most']}".`,
  'first-objective': (v) =>
    `"${v['found']}" can't come first, since designs are found in rising cost or part count;` +
    ' begin with "cost" or "parts".',

  'part-outside': (v) =>
    `This ${v['kind']} stands outside of the site of ${extent(v)}; move it inside.`,
  'part-on-track': (v) =>
    `This ${v['kind']} stands on the track, whose rows are y = -1 and -2; move it to one of the sides. Only an underpass may pass, with both ends beside the track.`,
  'part-kept-out': (v) => `This ${v['kind']} stands where the site keeps parts out; move it or free the tile.`,
  'parts-overlap': (v) =>
    `This ${v['kind']} stands on the tile of the ${v['otherKind']} of ${v['other']}; move one of them.`,
  'underpass-not-straight': (v) =>
    `The underpass's other end at [${v['toX']}, ${v['toY']}] shares no row or column with its entry;` +
    ' put both on one line.',
  'underpass-no-length': () => "The underpass's entry and exit end are one tile; move them apart.",
  'underpass-too-long': (v) =>
    `The underpass's ends are ${v['apart']} tiles apart, but “${v['name']}” spans at most ${v['span']};` +
    ' bring them closer.',
  'underpass-crossed': (v) =>
    `Between the underpass's ends, on its line and with its heading, lies an end of ${v['other']}; move one of them.`,
  'favour-not-offered': (v) =>
    `The catalog lets “${v['name']}” favour no side; remove favourIn and favourOut, or choose another splitter.`,
  'exit-not-at-border': (v) =>
    `This exit does not lead over the site's ${compass(v)} edge; put it on a border tile, heading outward.`,
  'exit-repeated': (v) => `This exit is the same as that of ${v['other']}; remove one of them.`,
  'exit-at-wagon': () => 'This exit leads into a wagon; move it to a place without one.',
  'entry-not-at-border': (v) =>
    `This entry does not come over the site's ${compass(v)} edge; put it on a border tile, heading inward.`,
  'entry-repeated': (v) => `This entry is the same as that of ${v['other']}; remove one of them.`,
  'entry-at-wagon': () => 'This entry comes out of a wagon; move it to a place without one.',
  'entry-at-exit': (v) => `This entry comes in over the edge of the exit of ${v['other']}; move one of them.`,

  'arm-picks-nothing': (v) =>
    `This arm is idle: ${tiles(v['reach'])} to its ${compass(v)} there is nothing to pick from; move or turn it.`,
  'arm-places-nothing': (v) =>
    `This arm is idle: ${tiles(v['reach'])} to its ${compass(v)} there is nothing to place on; move or turn it.`,
  'exit-unreached': (v) => `Nothing ever reaches this exit over the ${compass(v)} edge; lead a loaded belt to it.`,
  'exit-takes-nothing': () => 'This exit takes nothing, so what leads to it stands still; give it a take above 0.',
  'entry-unmet': (v) =>
    `Nothing takes what comes in over the ${compass({ edge: v['edge'] })} edge here; put a carrier on this tile that heads ${compass({ heading: v['heading'] })}.`,
  'entry-gives-nothing': () => 'This entry gives nothing; give it a rate above 0, or leave its “give” out.',
  'belt-ring': (v) =>
    `Here ${v['tiles']} carriers form a ring, which moves slower than a way with an end; open it if you can.`,
  'belt-unfed': (v) => `Nothing flows into this ${v['kind']}; feed it or remove it.`,
  'belt-unfed-unturns': (v) =>
    `Nothing flows into this ${v['kind']}, but without it the belt at [${v['x']}, ${v['y']}] would be a turn; leave it if that is meant, else feed it or remove it.`,
  'belt-faces-part': (v) =>
    `This ${v['kind']} faces ${compass(v)}, where the ${v['other']} takes nothing from it;` +
    ' turn or move one of them.',
  'belt-dead-end': (v) =>
    `This ${v['kind']} leads ${compass(v)} to nothing, so its items stand still; lead it on or to an exit.`,
  'chest-unfilled': () => 'No arm fills this chest; add one, or take it as stocked from elsewhere.',
  'chest-unemptied': () => 'No arm empties this chest; add one or remove it.',

  'search-other-version': (v) =>
    `The search was saved by version ${v['found']}, and this is ${v['expected']}; begin it anew, without --resume.`,
  'search-other-solver': (v) => `The search was saved with the solver ${v['found']}, not ${v['expected']}; add --solver ${v['found']}.`,
  'search-other-seed': (v) => `The search was saved with the seed ${v['found']}, not ${v['expected']}; add --seed ${v['found']}.`,
  'search-other-brief': (v) =>
    `The search was saved for another brief: it has ${v['found']} here, yours ${v['expected']}; begin anew, without --resume.`,
  'search-other-job': () => 'This tells of a search for another job (wagons to be emptied, or filled); begin anew, without --resume.',
  'search-other-price': (v) => `The search adds up ${v['found']}, where the brief asks for the least ${v['expected']}; begin anew, without --resume.`,
  'search-counts': () => 'So many parts do not fit the brief and its catalog; the file is damaged.',
  'search-exits': (v) => `This must be some or all of the exits 0 to ${v['last']}, in rising order; the file is damaged.`,
  'search-price': (v) => `The price ${v['found']} can't be right; it is at least ${v['least']}. The file is damaged.`,
  'search-repeats': () => 'This bill of parts stands in the file twice; the file is damaged.',
  'search-best': () => 'This station, tried again, does not meet the brief; the file is damaged.',

  'unknown-part': (v) =>
    `No ${GROUPS[v['group']] ?? 'part'} named “${v['name']}” is listed under “${v['group']}”.` +
    (meant(v) || (v['known'] === '' ? ' None is; list it there.' : ` There are: ${v['known']}.`)),
  'not-whole-ticks': (v) => `${v['found']} is ${v['ticks']} ticks of this world; items are counted over whole ticks, so give a whole number of them, up to 1000000000.`,
  'no-time': () => 'Nothing can be counted in no time; give more than 0.',
  'ranges-too-wide': (v) => `For “${v['name']}” there are ${v['sets']} sets of integers to try; narrow “ranges” until there are at most ${v['limit']}.`,

  'promise-malformed': (v) =>
    `What the plan promises can't be read here: ${v['what']} is needed. Mend it, or remove “result” to try the plan without it.`,
};

const hasWords = (code: string): code is FindingCode => Object.hasOwn(WORDS, code);

/** "At /parts/3, tile [2, 4]: ", or nothing for the whole document. */
function place({ pointer, tile }: Finding): string {
  const places = [
    ...(pointer === undefined || pointer === '' ? [] : [pointer]),
    ...(tile === undefined ? [] : [`tile [${tile.x}, ${tile.y}]`]),
  ];
  return places.length === 0 ? '' : `At ${places.join(', ')}: `;
}

/** Where it is, what is wrong and what to do; without severity and file name. */
export function findingSentence(finding: Finding): string {
  const { code, values = {} } = finding;
  return `${place(finding)}${hasWords(code) ? WORDS[code](values) : `${code.replaceAll('-', ' ')}.`}`;
}
