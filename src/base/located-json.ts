/**
 * Reads JSON (RFC 8259) and remembers where each value stands, so that every finding can name a line
 * and a column; a whole document, or one value that stands in another text. Stricter than the standard in
 * one point: a name may stand only once in an object, since a person who writes it twice meant something else.
 */
import { pointerTo } from './json-pointer.js';

/** Both from 1; a column counts UTF-16 units. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

interface Unparsed {
  readonly ok: false;
  readonly reason: string;
  /** What to do, where it is not to look after the signs there. */
  readonly advice: string | undefined;
  readonly place: Place;
}

export type ParsedJson = { readonly ok: true; readonly value: unknown; placeOf(pointer: string): Place | undefined } | Unparsed;

const DEEPEST = 200;
/** Of one text: as many places as a map holds. */
const MOST_VALUES = 2 ** 24;
const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
/** Signs of a text that mean themselves. */
const PLAIN = /[^"\\\u0000-\u001f]+/y;
const WORDS: readonly (readonly [string, unknown])[] = [
  ['true', true],
  ['false', false],
  ['null', null],
];
const ESCAPES: Readonly<Record<string, string>> = {
  '"': '"',
  '\\': '\\',
  '/': '/',
  b: '\b',
  f: '\f',
  n: '\n',
  r: '\r',
  t: '\t',
};

class SyntaxFault extends Error {
  constructor(
    readonly reason: string,
    readonly offset: number,
    readonly advice: string | undefined,
  ) {
    super(reason);
  }
}

class Reader {
  #at: number;
  readonly offsets = new Map<string, number>();

  constructor(
    private readonly text: string,
    start = 0,
  ) {
    this.#at = start;
  }

  /** Of the next sign to read. */
  get offset(): number {
    return this.#at;
  }

  value(): unknown {
    return this.#value('', 0);
  }

  document(): unknown {
    this.#space();
    if (this.#at === this.text.length) this.#fail('the file is empty', this.#at, 'name one that has something in it');
    const value = this.value();
    this.#space();
    if (this.#at < this.text.length) this.#fail(`${this.#here()} after the end of the document`);
    return value;
  }

  #fail(reason: string, offset = this.#at, advice?: string): never {
    throw new SyntaxFault(reason, offset, advice);
  }

  #here(): string {
    const point = this.text.codePointAt(this.#at);
    if (point === undefined) return 'the file ends';
    if (point < 0x20) return 'a control character stands';
    return `“${String.fromCodePoint(point)}” stands`;
  }

  #space(): void {
    while (this.#at < this.text.length && ' \t\n\r'.includes(this.text[this.#at])) this.#at += 1;
  }

  #value(pointer: string, depth: number): unknown {
    this.#space();
    if (depth > DEEPEST) this.#fail(`nested deeper than ${DEEPEST} levels`, this.#at, 'no file of this program goes so deep');
    if (this.offsets.size === MOST_VALUES) this.#fail(`more than ${MOST_VALUES} values`, this.#at, 'no file of this program holds so many');
    this.offsets.set(pointer, this.#at);
    const sign = this.text[this.#at];
    if (sign === '{') return this.#object(pointer, depth);
    if (sign === '[') return this.#list(pointer, depth);
    if (sign === '"') return this.#string();
    const word = WORDS.find(([name]) => this.text.startsWith(name, this.#at));
    if (word !== undefined) {
      this.#at += word[0].length;
      return word[1];
    }
    NUMBER.lastIndex = this.#at;
    const digits = NUMBER.exec(this.text)?.[0];
    if (digits === undefined) this.#fail(`${this.#here()} where a value is needed`);
    this.#at += digits.length;
    return Number(digits);
  }

  #object(pointer: string, depth: number): unknown {
    const entries = new Map<string, unknown>();
    this.#at += 1;
    this.#space();
    if (this.text[this.#at] === '}') this.#at += 1;
    else {
      for (;;) {
        this.#space();
        if (this.text[this.#at] !== '"') this.#fail(`${this.#here()} where a name in quotes is needed`);
        const start = this.#at;
        const name = this.#string();
        if (entries.has(name)) this.#fail(`the name “${name}” stands twice in one object`, start, 'keep one of the two');
        this.#space();
        if (this.text[this.#at] !== ':') this.#fail(`${this.#here()} where “:” is needed`);
        this.#at += 1;
        entries.set(name, this.#value(pointerTo(pointer, name), depth + 1));
        if (!this.#goesOn('}')) break;
      }
    }
    return Object.fromEntries(entries);
  }

  #list(pointer: string, depth: number): unknown {
    const items: unknown[] = [];
    this.#at += 1;
    this.#space();
    if (this.text[this.#at] === ']') {
      this.#at += 1;
      return items;
    }
    do items.push(this.#value(pointerTo(pointer, items.length), depth + 1));
    while (this.#goesOn(']'));
    return items;
  }

  /** Past a comma: true; past the closing bracket: false. */
  #goesOn(close: '}' | ']'): boolean {
    this.#space();
    const sign = this.text[this.#at];
    if (sign !== ',' && sign !== close) this.#fail(`${this.#here()} where “,” or “${close}” is needed`);
    this.#at += 1;
    if (sign === close) return false;
    this.#space();
    if (this.text[this.#at] === close) this.#fail(`“${close}” stands right after a comma`);
    return true;
  }

  #string(): string {
    const start = this.#at;
    let value = '';
    this.#at += 1;
    for (;;) {
      PLAIN.lastIndex = this.#at;
      const plain = PLAIN.exec(this.text)?.[0] ?? '';
      value += plain;
      this.#at += plain.length;
      const sign = this.text[this.#at];
      if (sign === undefined || sign === '\n' || sign === '\r') this.#fail('this text has no closing quote', start);
      if (sign < ' ') this.#fail('a control character stands in a text');
      this.#at += 1;
      if (sign === '"') return value;
      const escape = this.text[this.#at];
      if (escape === 'u') {
        const digits = this.text.slice(this.#at + 1, this.#at + 5);
        if (!/^[0-9a-fA-F]{4}$/.test(digits)) this.#fail('“\\u” needs four hexadecimal digits', this.#at - 1);
        value += String.fromCharCode(Number.parseInt(digits, 16));
        this.#at += 5;
      } else if (escape !== undefined && Object.hasOwn(ESCAPES, escape)) {
        value += ESCAPES[escape];
        this.#at += 1;
      } else this.#fail('a backslash stands before a sign that needs none', this.#at - 1);
    }
  }
}

/** The place of each offset in one text: the ends of its lines are looked for once, since a file may have many findings. */
function placeFinder(text: string): (offset: number) => Place {
  const starts = [0, ...Array.from(text.matchAll(/\r\n|\n|\r/g), ({ 0: end, index }) => index + end.length)];
  return (offset) => {
    // The last line that begins at or before the offset is `low` in the end.
    let low = 0;
    for (let high = starts.length; high - low > 1; ) {
      const middle = (low + high) >> 1;
      if (starts[middle] <= offset) low = middle;
      else high = middle;
    }
    return { line: low + 1, column: offset - starts[low] + 1 };
  };
}

/** `offset` in UTF-16 units from the text's beginning. */
export const placeAt = (text: string, offset: number): Place => placeFinder(text)(offset);

/** A finding may point at what is missing: then its nearest container is the place. */
export function nearestKnown<T>(known: ReadonlyMap<string, T>, pointer: string): T | undefined {
  for (let sought = pointer; ; sought = sought.slice(0, sought.lastIndexOf('/'))) {
    const found = known.get(sought);
    if (found !== undefined || !sought.includes('/')) return found;
  }
}

function unparsed(text: string, thrown: unknown): Unparsed {
  if (!(thrown instanceof SyntaxFault)) throw thrown;
  const { reason, advice, offset } = thrown;
  return { ok: false, reason, advice, place: placeAt(text, offset) };
}

/** A whole document, with or without a byte order mark; `placeOf` takes JSON pointers. */
export function parseJson(document: string): ParsedJson {
  const text = document.startsWith('\uFEFF') ? document.slice(1) : document;
  const reader = new Reader(text);
  try {
    const value = reader.document();
    let place: ((offset: number) => Place) | undefined;
    const placeOf = (pointer: string): Place | undefined => {
      const offset = nearestKnown(reader.offsets, pointer);
      if (offset === undefined) return undefined;
      // Most documents have no findings, and need none of this.
      place ??= placeFinder(text);
      return place(offset);
    };
    return { ok: true, value, placeOf };
  } catch (thrown) {
    return unparsed(text, thrown);
  }
}

type JsonWithin = { readonly ok: true; readonly value: unknown; readonly end: number; readonly places: ReadonlyMap<string, Place> } | Unparsed;

/** The one JSON value that begins at `start` in a longer text; what follows from `end` on is not looked at. */
export function parseJsonWithin(text: string, start: number): JsonWithin {
  const reader = new Reader(text, start);
  try {
    const value = reader.value();
    const place = placeFinder(text);
    const places = new Map(Array.from(reader.offsets, ([pointer, offset]) => [pointer, place(offset)]));
    return { ok: true, value, end: reader.offset, places };
  } catch (thrown) {
    return unparsed(text, thrown);
  }
}
