/**
 * README's first station: its commands, run as they stand there, print what stands there. `npm test` builds first.
 */
import { existsSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ROOT, transloom } from '../cli/built-command.js';
import { projectFile } from '../documents.js';
import { ownFolder } from '../own-folder.js';

const folder = ownFolder();

interface Block {
  readonly isCommand: boolean;
  readonly text: string;
}

it('prints what README says, command by command', () => {
  const readme = readFileSync(projectFile('README.md'), 'utf8');
  const begin = readme.indexOf('## Five minutes');
  const section = readme.slice(begin, readme.indexOf('\n## ', begin));
  const blocks = [...section.matchAll(/```(sh)?\n([^`]*)```/g)].map((match): Block => ({ isCommand: (match[1] as string | undefined) === 'sh', text: match[2] }));
  const [drawing, ...rest] = blocks;
  symlinkSync(join(ROOT, 'models'), join(folder, 'models'));
  writeFileSync(join(folder, 'yard.plan.txt'), drawing.text);
  let printed: readonly string[] = [];
  let run = 0;
  for (const { isCommand, text } of rest) {
    if (!isCommand) {
      const missing = text.split('\n').filter((line) => line !== '' && !printed.includes(line));
      expect(missing).toEqual([]);
      continue;
    }
    const words = text.trim().split(' ');
    expect(words.slice(0, 2)).toEqual(['npx', 'transloom']);
    const { status, stdout } = transloom(words.slice(2), { cwd: folder });
    expect({ text, status }).toEqual({ text, status: 0 });
    printed = stdout.split('\n');
    run += 1;
  }
  expect(run).toBe(4);
  expect(['mended.plan.txt', 'mended.json', 'mended.svg', 'mended.html'].filter((name) => !existsSync(join(folder, name)))).toEqual([]);
  expect(transloom(['trial', 'mended.json', '--quiet'], { cwd: folder }).stdout).toContain('Promise kept');
});
