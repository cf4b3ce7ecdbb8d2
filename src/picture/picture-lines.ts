/**
 * A picture file taken apart: the lines in words with their values (JSON, so that any name can be written), and the lines
 * that are drawn. What either of them means is read in `read-picture.ts`.
 */
import { parseJsonWithin, type Place } from '../base/located-json.js';

export const FIRST_LINE = 'transloom-picture/1';

/** What stands in the way, as a sentence. */
export interface PictureFlaw {
  readonly sentence: string;
  readonly place: Place;
}

const WORDS = ['name', 'catalog', 'kept out', 'track', 'wagon', 'arm', 'chest', 'belt', 'splitter', 'underpass', 'exit', 'entry', 'result'] as const;
export type Word = (typeof WORDS)[number];

/** Words that may stand several times, each with another sign. */
const SIGNED: readonly Word[] = ['wagon', 'arm', 'chest', 'belt', 'splitter', 'underpass', 'exit', 'entry'];

export interface Entry {
  readonly word: Word;
  readonly sign: string | undefined;
  /** Undefined where it can't be read, which is a flaw already. */
  readonly value: unknown;
  readonly place: Place;
  /** Of every value within it, by pointers that begin at it. */
  readonly places: ReadonlyMap<string, Place>;
}

/** One line of the drawing; columns count signs, from 0. */
export interface DrawnLine {
  readonly number: number;
  readonly glyphs: readonly string[];
}

export interface PictureLines {
  readonly entries: readonly Entry[];
  readonly drawn: readonly DrawnLine[];
  readonly flaws: readonly PictureFlaw[];
  /** The first line after the drawing, or after all. */
  readonly end: Place;
}

/** Columns of places count UTF-16 units from 1, as everywhere. */
export const placeOfGlyph = ({ number, glyphs }: DrawnLine, column: number): Place => ({
  line: number,
  column: glyphs.slice(0, column).join('').length + Math.max(0, column - glyphs.length) + 1,
});

const ENTRY = /^([a-z]+(?: out)?)(?: ([A-Za-z0-9]+))?:/;

const isWord = (word: string): word is Word => (WORDS as readonly string[]).includes(word);

export const isPicture = (text: string): boolean => /^\uFEFF?transloom-picture\//.test(text);

export function pictureLines(document: string): PictureLines {
  const text = document.replace(/^\uFEFF/, '').replaceAll(/\r\n?/g, '\n');
  const lines = text.split('\n');
  const entries: Entry[] = [];
  const drawn: DrawnLine[] = [];
  const flaws: PictureFlaw[] = [];
  const flaw = (sentence: string, line: number, column = 1): void => {
    flaws.push({ sentence, place: { line, column } });
  };
  if (lines[0].trimEnd() !== FIRST_LINE) flaw(`The first line is “${lines[0].slice(0, 40)}”, but “${FIRST_LINE}” is needed.`, 1);
  let isDrawnToEnd = false;
  let offset = lines[0].length + 1;
  for (let index = 1; index < lines.length; index += 1) {
    const line = lines[index];
    const number = index + 1;
    const start = offset;
    offset += line.length + 1;
    const tab = line.indexOf('\t');
    if (line.trim() === '') {
      isDrawnToEnd ||= drawn.length > 0;
    } else if (line.startsWith('#')) {
      continue;
    } else if (!/^[a-z]/.test(line)) {
      if (tab >= 0) flaw('Here stands a tab; draw with spaces, so that all signs have one width.', number, tab + 1);
      if (isDrawnToEnd) flaw('This line belongs to no picture: only lines such as “result: …” and “# …” follow after its lower edge. Remove it.', number);
      else drawn.push({ number, glyphs: [...line.trimEnd()] });
    } else {
      isDrawnToEnd ||= drawn.length > 0;
      const [head = '', word = '', sign] = ENTRY.exec(line) ?? [];
      if (!isWord(word)) {
        flaw(`This line begins with none of: ${WORDS.join(', ')}. Begin it so, or with # for a remark.`, number);
        continue;
      }
      if (sign !== undefined && !SIGNED.includes(word)) {
        flaw(`“${word}” takes no letter; write “${word}: …”.`, number, word.length + 2);
        continue;
      }
      if (sign === undefined && word === 'exit') {
        flaw('Which exit? Write its letter, such as “exit A: "1/4"”.', number);
        continue;
      }
      if (sign === undefined && word === 'entry') {
        flaw('Which entry? Write its number, such as “entry 1: "1/4"”.', number);
        continue;
      }
      const json = parseJsonWithin(text, start + head.length);
      if (!json.ok) {
        flaw(`After “${head}” JSON is needed, such as a text in quotes (${json.reason})${json.advice === undefined ? '' : `; ${json.advice}`}.`, json.place.line, json.place.column);
        // So that nothing misses the line as well.
        entries.push({ word, sign, value: undefined, place: { line: number, column: 1 }, places: new Map() });
        continue;
      }
      const lastLine = text.slice(0, json.end).split('\n').length;
      while (index + 1 < lastLine) {
        index += 1;
        offset += lines[index].length + 1;
      }
      const rest = lines[index].slice(lines[index].length - (offset - 1 - json.end));
      if (rest.trim() !== '') flaw(`Here stands “${rest.trim().slice(0, 40)}” after the end of the value; begin a new line for it.`, index + 1, lines[index].length - rest.trimStart().length + 1);
      const before = entries.find((other) => other.word === word && other.sign === sign);
      if (before !== undefined) {
        flaw(`“${head.slice(0, -1)}” was said in line ${before.place.line} already; remove one of the lines.`, number);
        continue;
      }
      entries.push({ word, sign, value: json.value, place: { line: number, column: 1 }, places: json.places });
    }
  }
  const last = drawn.at(-1);
  return { entries, drawn, flaws, end: { line: last === undefined ? lines.length : last.number + 1, column: 1 } };
}
