/**
 * Every path, link, npm script, command and option that the documents name exists, and every source file that comments name.
 */
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { spawnSync } from 'node:child_process';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { EXIT } from '../../src/cli/exit-codes.js';
import { SOLVER_NAMES } from '../../src/index.js';
import { projectFile } from '../documents.js';

const ROOT = fileURLToPath(projectFile('.'));
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');

const rationales = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' })
  .filter((path) => path.endsWith('.md'))
  .map((path) => join('src', path));
const references = readdirSync(join(ROOT, 'models'))
  .filter((name) => name.endsWith('.md'))
  .map((name) => `models/${name}`);
const sources = ['src', 'test', 'bench'].flatMap((room) =>
  readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts'))
    .map((path) => join(room, path)),
);
const DOCUMENTS = ['README.md', 'DEVELOPERS.md', 'CHANGELOG.md', ...references, ...rationales];

const matches = (text: string, pattern: RegExp): readonly string[] => [...text.matchAll(pattern)].map((match) => match[1]);

const exists = (from: string, path: string): boolean =>
  [join(dirname(from), path), path].some((place) => existsSync(join(ROOT, normalize(place))));

const isSource = (from: string, path: string): boolean => exists(from, path) || sources.some((source) => source.endsWith(`/${path}`));

describe.each(DOCUMENTS)('%s', (document) => {
  const text = read(document);

  it('links to what is there', () => {
    const links = matches(text, /\]\(([^)#]+)(?:#[^)]*)?\)/g).filter((link) => !link.includes('://'));
    expect(links.filter((link) => !existsSync(join(ROOT, dirname(document), link)))).toEqual([]);
  });

  it('names paths that are there', () => {
    const paths = matches(text, /(?<![\w./-])((?:src|test|models|bench|briefs|catalogs|plans|schemas)\/[\w./-]*\w\/?|\.dependency-cruiser\.cjs|eslint\.config\.js)/g);
    expect(paths.filter((path) => !exists(document, path))).toEqual([]);
  });

  it('names source files that are there', () => {
    const named = matches(text, /`([\w./-]+\.ts)`/g);
    expect(named.filter((path) => !isSource(document, path))).toEqual([]);
  });

  it('names npm scripts that are there', () => {
    const { scripts } = JSON.parse(read('package.json')) as { readonly scripts: Readonly<Record<string, string>> };
    const named = matches(text, /npm run ([a-z-]+)/g);
    expect(named.filter((name) => !Object.hasOwn(scripts, name))).toEqual([]);
  });
});

it('comments name source files that are there', () => {
  const named = sources.flatMap((source) => {
    const comments = matches(read(source), /^((?: *\/?\*\*?|.*\/\/) .*)$/gm).join('\n');
    return matches(comments, /`([\w./-]+\.ts)`/g).map((path) => ({ source, path }));
  });
  expect(named.length).toBeGreaterThan(300);
  expect(named.filter(({ source, path }) => !isSource(source, path))).toEqual([]);
});

describe('commands and options', () => {
  const help = (words: readonly string[]): string =>
    spawnSync(process.execPath, [join(ROOT, 'dist/cli/main.js'), ...words, '--help'], { cwd: ROOT, encoding: 'utf8', env: { PATH: process.env['PATH'] } }).stdout;
  const commands = matches(help([]), /^ {2}transloom ([a-z]+)/gm);
  const options = new Set(commands.filter((command) => command !== 'completion').flatMap((command) => matches(help([command]), /(--[a-z-]+)/g)));
  const all = DOCUMENTS.map(read).join('\n');

  it('are all there', () => {
    expect(commands).toContain('design');
    expect(matches(all, /(?:npx |`)transloom ([a-z]+)/g).filter((command) => !commands.includes(command))).toEqual([]);
    const files = read('models/files-and-commands.md');
    expect(matches(files, /^\| `(\w+)(?: \[?[A-Z]+\]?)?` \|/gm).filter((command) => /^[a-z]+$/.test(command) && !commands.includes(command))).toEqual([]);
    expect(matches(files, /(--[a-z][a-z-]+)/g).filter((option) => !options.has(option))).toEqual([]);
    expect(matches(read('README.md'), /(--[a-z][a-z-]+)/g).filter((option) => !options.has(option))).toEqual([]);
  });

  it('are all documented', () => {
    const files = read('models/files-and-commands.md');
    expect(commands.filter((command) => !files.includes(`\`${command}`))).toEqual([]);
    expect([...options].filter((option) => !['--help', '--version'].includes(option) && !files.includes(option))).toEqual([]);
    expect(SOLVER_NAMES.filter((name) => !files.includes(`\`${name}\``))).toEqual([]);
    for (const code of Object.values(EXIT)) expect(files).toContain(`| ${code} |`);
  });

  it("has README's two commands, which are those of CI", () => {
    const shell = [...read('README.md').matchAll(/```sh\n([^`]*)```/g)].map((match) => match[1].trim());
    expect(shell.slice(0, 2)).toEqual(['npm ci && npm run build && npx transloom design', 'npm ci && npm test']);
    expect(read('.ci/run')).toMatch(/^npm ci.*\nnpm test\nnpm run check$/m);
  });
});
