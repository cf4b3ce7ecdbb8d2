/**
 * The reader of JSON against the engine's own, and the places that it names.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseJson, parseJsonWithin, placeAt } from '../../src/base/located-json.js';
import { SEED } from '../documents.js';
import { withinTime } from '../within-time.js';

const valueOf = (text: string): unknown => {
  const parsed = parseJson(text);
  if (!parsed.ok) throw new Error(`${parsed.place.line}:${parsed.place.column}: ${parsed.reason}`);
  return parsed.value;
};

describe('JSON', () => {
  it('is read as the engine reads it', () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 5 }), fc.constantFrom(undefined, 1, '\t'), (text, indent) => {
        const engine: unknown = JSON.parse(text);
        expect(valueOf(JSON.stringify(engine, undefined, indent))).toEqual(engine);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  it('is refused wherever the engine refuses it', () => {
    let refused = 0;
    fc.assert(
      fc.property(fc.json({ maxDepth: 3 }), fc.nat(), fc.constantFrom('', '"', ',', '{', ']', '\\', '0', 'é', '\n'), (text, at, sign) => {
        const cut = at % (text.length + 1);
        const broken = text.slice(0, cut) + sign + text.slice(cut + 1);
        let engine: unknown;
        try {
          engine = JSON.parse(broken);
        } catch {
          refused += 1;
          expect(parseJson(broken).ok).toBe(false);
          return;
        }
        const ours = parseJson(broken);
        if (ours.ok) expect(ours.value).toEqual(engine);
        else expect(ours.reason).toContain('stands twice');
      }),
      { seed: SEED, numRuns: 2000 },
    );
    expect(refused).toBeGreaterThan(200);
  });

  it.each([
    ['{"a": 1,\n "b" 2}', 2, 6, '“2” stands where “:” is needed'],
    ['{"a": [1 2]}', 1, 10, '“2” stands where “,” or “]” is needed'],
    ['[1,\r\n2,\r\n]', 3, 1, '“]” stands right after a comma'],
    ['{"a": 1', 1, 8, 'the file ends where “,” or “}” is needed'],
    ['{"a": "x\n"}', 1, 7, 'this text has no closing quote'],
    ['{"a": 1, "a": 2}', 1, 10, 'the name “a” stands twice in one object', 'keep one of the two'],
    ["{'a': 1}", 1, 2, "“'” stands where a name in quotes is needed"],
    ['[01]', 1, 3, '“1” stands where “,” or “]” is needed'],
    ['', 1, 1, 'the file is empty', 'name one that has something in it'],
    [' \r\n ', 2, 2, 'the file is empty', 'name one that has something in it'],
    ['{"a":', 1, 6, 'the file ends where a value is needed'],
    ['{} x', 1, 4, '“x” stands after the end of the document'],
    ['["\\x"]', 1, 3, 'a backslash stands before a sign that needs none'],
    ['["\\u12"]', 1, 3, '“\\u” needs four hexadecimal digits'],
    [`${'['.repeat(300)}`, 1, 202, 'nested deeper than 200 levels', 'no file of this program goes so deep'],
  ] as const)('%j is refused with its place', (text, line, column, reason, advice?: string) => {
    const refused = { ok: false, reason, advice, place: { line, column } };
    expect(parseJson(text)).toEqual(refused);
    // Within another text there is no end of the document, and more may follow.
    if (!reason.startsWith('the file is empty') && !reason.endsWith('after the end of the document')) expect(parseJsonWithin(text, 0)).toEqual(refused);
  });

  it('tells where a pointer stands, or what holds it', () => {
    const parsed = parseJson('\uFEFF{\n  "parts": [\n    {"at": [1, 2]},\n    {"a/b": {"~": true}}\n  ]\n}');
    if (!parsed.ok) throw new Error(parsed.reason);
    expect(parsed.placeOf('/parts/0/at/1')).toEqual({ line: 3, column: 16 });
    expect(parsed.placeOf('/parts/1/a~1b/~0')).toEqual({ line: 4, column: 19 });
    expect(parsed.placeOf('/parts/0/model')).toEqual({ line: 3, column: 5 });
    expect(parsed.placeOf('')).toEqual({ line: 1, column: 1 });
  });

  it('counts lines and columns as one who reads from the beginning, whatever ends the lines', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom('a', 'é', '😀', '\n', '\r', '\r\n', '\r\n\n'), { maxLength: 30 }), (pieces) => {
        let [line, column] = [1, 1];
        let offset = 0;
        const text = pieces.join('');
        while (offset < text.length) {
          expect(placeAt(text, offset)).toEqual({ line, column });
          const ending = ['\r\n', '\n', '\r'].find((each) => text.startsWith(each, offset));
          offset += ending?.length ?? 1;
          [line, column] = ending === undefined ? [line, column + 1] : [line + 1, 1];
        }
        expect(placeAt(text, offset)).toEqual({ line, column });
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  it('tells tens of thousands of places in no time to speak of', () => {
    const list = Array.from({ length: 30_000 }, () => '{"kind": "belt"}');
    const parsed = parseJson(`[${list.join(',\n')}]`);
    if (!parsed.ok) throw new Error(parsed.reason);
    const last = withinTime(5000, () => list.map((_, index) => parsed.placeOf(`/${index}/kind`)).at(-1));
    expect(last).toEqual({ line: 30_000, column: 10 });
  });

  it('makes plain members of names that mean something to the engine', () => {
    const value = valueOf('{"__proto__": {"x": 1}, "constructor": 2}') as object;
    expect(Object.hasOwn(value, '__proto__')).toBe(true);
    expect(Object.getPrototypeOf(value)).toBe(Object.prototype);
  });
});
