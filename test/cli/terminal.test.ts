/**
 * What stays of a long run's progress fits its terminal. Written here to a standard error stream that says it is a terminal.
 */
import { afterEach, expect, it, vi } from 'vitest';
import { ProgressLine } from '../../src/cli/terminal.js';

const FOUND = 'found: cost 78, footprint 16 tiles, 12 parts, imbalance 0';

function shown(columns: number, tell: (progress: ProgressLine) => void): string {
  const written: string[] = [];
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => written.push(String(text)) > 0);
  Object.defineProperties(process.stderr, { isTTY: { value: true, configurable: true }, columns: { value: columns, configurable: true } });
  tell(new ProgressLine(true));
  return written.join('');
}

afterEach(() => {
  vi.restoreAllMocks();
  for (const name of ['isTTY', 'columns']) Reflect.deleteProperty(process.stderr, name);
});

it.each([
  [20, 4],
  [40, 2],
  [58, 2],
  [60, 1],
  [80, 1],
])('what was found is broken at words, and indented: on %i columns %i lines', (columns, count) => {
  const text = shown(columns, (progress) => {
    progress.keep(FOUND);
  });
  const lines = text.split('\n').slice(0, -1);
  for (const line of lines) expect(line.length).toBeLessThan(columns);
  expect(lines.slice(1).every((line) => /^ {2}\S/.test(line))).toBe(true);
  expect(lines.map((line) => line.trim()).join(' ')).toBe(FOUND);
  expect(lines).toHaveLength(count);
});

it('a line that passes is cut off', () => {
  const text = shown(40, (progress) => {
    progress.show(FOUND);
  });
  expect(text).toBe(`\r\u001b[2K${FOUND.slice(0, 39)}`);
});
