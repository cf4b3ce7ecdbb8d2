/**
 * Another layout of JSON, never another meaning.
 */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { jsonText } from '../../src/base/json-text.js';
import { SEED } from '../documents.js';

it('means the same as the value', () => {
  fc.assert(
    fc.property(fc.jsonValue(), (value) => {
      expect(JSON.stringify(JSON.parse(jsonText(value)))).toBe(JSON.stringify(value));
    }),
    { seed: SEED },
  );
});

it('gives a part of a plan one line, and leaves out what is undefined', () => {
  const part = { kind: 'belt', at: [1, 2], heading: 'S', model: 'quay belt', note: undefined };
  const parts = Array.from({ length: 3 }, () => part);
  const lines = jsonText({ parts }).split('\n');
  expect(lines.filter((line) => line.trim().startsWith('{"kind": "belt", "at": [1, 2], "heading": "S"'))).toHaveLength(
    3,
  );
  expect(lines.join('')).not.toContain('note');
});
