/**
 * Every document that a command writes holds to its schema, with a validator that this program does not use.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020, type AnySchema } from 'ajv/dist/2020.js';
import { expect, it } from 'vitest';
import { readJson } from '../documents.js';
import { ownFolder } from '../own-folder.js';
import { transloom } from './built-command.js';

const folder = ownFolder();
const inFolder = (name: string): string => join(folder, name);

const schemaOf = (kind: string): AnySchema => readJson(`models/schemas/${kind}.schema.json`) as AnySchema;

function complaintsOf(kind: string, document: unknown): unknown {
  const ajv = new Ajv2020({ strict: false, allErrors: true });
  for (const each of ['catalog', 'brief', 'plan']) if (each !== kind) ajv.addSchema(schemaOf(each), `${each}.schema.json`);
  return ajv.validate(schemaOf(kind), document) ? [] : ajv.errors;
}

const written = (name: string): unknown => JSON.parse(readFileSync(inFolder(name), 'utf8'));

const TINY = {
  format: 'transloom-brief/1',
  name: 'a third of a belt',
  catalog: readJson('models/catalogs/grain-yard.json'),
  site: { width: 4, depth: 5 },
  wagons: [{ model: 'short grain wagon', at: 0 }],
  exits: [{ edge: 'S', from: 0, to: 3, belt: 'field belt', target: { fill: '0.3' } }],
  minimise: ['cost', 'footprint'],
};

it('plans, proof logs and catalogs', () => {
  const brief = inFolder('brief.json');
  writeFileSync(brief, JSON.stringify(TINY));
  expect(complaintsOf('brief', TINY)).toEqual([]);
  const plan = inFolder('plan.json');
  expect(transloom(['design', brief, '--quiet', '--out', plan, '--audit', inFolder('log.jsonl')]).status).toBe(0);
  // The same station without its arm, for what finds and makes changes.
  const { result, ...designed } = written('plan.json') as { readonly result: unknown; readonly parts: readonly { readonly kind: string }[] };
  expect(result).toBeDefined();
  const broken = inFolder('broken.json');
  writeFileSync(broken, JSON.stringify({ ...designed, parts: designed.parts.filter(({ kind }) => kind !== 'arm') }));
  for (const words of [
    ['tradeoffs', brief, '--up-to', '21', '--pick', '1', '--out', inFolder('picked.json')],
    ['why', broken, '--best', inFolder('best.json')],
    ['mend', broken, '--target', '0.3', '--out', inFolder('mended.json')],
    ['mend', 'models/plans/grain-loading.json', '--keep', '1,0', '--target', '0.6', '--out', inFolder('loading.json')],
    ['draw', plan, '--plan-json', inFolder('drawn.json')],
    ['fit', 'models/measurements/grain-yard.json', '--out', inFolder('catalog.json')],
  ]) {
    expect(transloom([...words, '--quiet']), words[0]).toMatchObject({ status: 0 });
  }
  for (const name of ['plan', 'picked', 'best', 'mended', 'loading', 'drawn']) expect(complaintsOf('plan', written(`${name}.json`)), name).toEqual([]);
  expect(complaintsOf('catalog', written('catalog.json'))).toEqual([]);
  const lines = readFileSync(inFolder('log.jsonl'), 'utf8').trim().split('\n');
  expect(lines.length).toBeGreaterThan(5);
  for (const line of lines) expect(complaintsOf('proof-line', JSON.parse(line)), line.slice(0, 80)).toEqual([]);
});

it('saved searches', () => {
  const search = inFolder('search.json');
  expect(transloom(['design', 'models/briefs/grain-two-belts.json', '--quiet', '--time-limit', '1', '--save', search]).status).toBe(3);
  expect(complaintsOf('search', written('search.json'))).toEqual([]);
});
