/**
 * README's first station and its first brief: their commands, run as they stand there, print what stands there, and end well.
 * `npm test` builds first.
 */
import { existsSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ROOT, transloom } from './built-command.js';
import { projectFile } from '../documents.js';
import { ownFolder } from '../own-folder.js';

const folder = ownFolder();

interface Block {
  readonly language: string;
  readonly text: string;
}

function blocksOf(heading: string): readonly Block[] {
  const readme = readFileSync(projectFile('README.md'), 'utf8');
  const begin = readme.indexOf(`## ${heading}`);
  const section = readme.slice(begin, readme.indexOf('\n## ', begin));
  return [...section.matchAll(/```(\w*)\n([^`]*)```/g)].map((match) => ({ language: match[1], text: match[2] }));
}

/** What it prints, line by line. */
function printedBy(command: string): readonly string[] {
  const words = command.replace(/ +#.*/, '').split(' ');
  expect(words.slice(0, 2)).toEqual(['npx', 'transloom']);
  const { status, stdout } = transloom(words.slice(2), { cwd: folder });
  expect({ command, status }).toEqual({ command, status: 0 });
  return stdout.split('\n');
}

const commandsIn = ({ text }: Block): readonly string[] => text.trim().split('\n');
const missing = (names: readonly string[]): readonly string[] => names.filter((name) => !existsSync(join(folder, name)));

symlinkSync(join(ROOT, 'models'), join(folder, 'models'));

it('prints what README says of the first station, command by command', () => {
  const [drawing, ...rest] = blocksOf('Five minutes');
  writeFileSync(join(folder, 'yard.plan.txt'), drawing.text);
  let printed: readonly string[] = [];
  let run = 0;
  for (const block of rest) {
    if (block.language === 'sh') {
      printed = commandsIn(block).flatMap(printedBy);
      run += commandsIn(block).length;
    } else {
      expect(block.text.split('\n').filter((line) => line !== '' && !printed.includes(line))).toEqual([]);
    }
  }
  expect(run).toBe(4);
  expect(missing(['mended.plan.txt', 'mended.json', 'mended.svg', 'mended.html'])).toEqual([]);
  expect(transloom(['trial', 'mended.json', '--quiet'], { cwd: folder }).stdout).toContain('Promise kept');
});

it('does with the first brief what README says, line by line', () => {
  const [brief, commands] = blocksOf('Use');
  writeFileSync(join(folder, 'my-brief.json'), brief.text);
  expect(commandsIn(commands).map(printedBy).length).toBeGreaterThan(10);
  expect(missing(['station.json', 'proof.jsonl', 'list.html', 'station.html', 'station.plan.txt'])).toEqual([]);
});
