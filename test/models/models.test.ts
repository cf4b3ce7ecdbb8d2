/**
 * Everything in models/ and test/cases is what it says: sound, listed, and valid against its own schema.
 */
import { existsSync, readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parseBrief } from '../../src/brief/parse-brief.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { parsePlan } from '../../src/layout/parse-plan.js';
import { catalogOf, gist, jsonFiles, projectFile, readJson } from '../documents.js';

const formatOf = (path: string): string => String((readJson(path) as { format?: unknown }).format);
// The table on the suite's briefs is no document of the product.
const documents = ['models/catalogs', 'models/briefs', 'models/plans', 'models/measurements', 'test/cases'].flatMap(jsonFiles).filter((path) => !path.endsWith('/suite.json'));
const ofFormat = (format: string): readonly string[] => documents.filter((path) => formatOf(path) === format);

describe('catalogs', () => {
  it.each(ofFormat('transloom-catalog/1'))('%s is sound', (path) => {
    const parsed = parseCatalog(readJson(path));
    expect(gist(parsed.ok ? parsed.warnings : parsed.findings)).toEqual([]);
  });
});

describe('briefs', () => {
  it.each(ofFormat('transloom-brief/1'))('%s is sound', (path) => {
    const parsed = parseBrief(readJson(path), catalogOf(path));
    // A wagon that juts out beyond a tiny site is meant.
    const tiny = path.startsWith('test/cases/tiny-');
    const findings = gist(parsed.ok ? parsed.warnings : parsed.findings);
    expect(findings.filter((each) => !(tiny && each.startsWith('wagon-overhangs ')))).toEqual([]);
  });

  it('are at least six, and the headline has its four fills', () => {
    expect(jsonFiles('models/briefs').length).toBeGreaterThanOrEqual(6);
    for (const fill of ['060', '085', '097', '100']) {
      expect(ofFormat('transloom-brief/1')).toContain(`test/cases/headline-${fill}.json`);
    }
  });
});

describe('plans', () => {
  it.each(ofFormat('transloom-plan/1'))('%s is legal', (path) => {
    expect(parsePlan(readJson(path), catalogOf(path)).ok).toBe(true);
  });
});

describe('schemas', () => {
  const named = (format: string): string => `models/schemas/${format.replace(/^transloom-(.*)\/1$/, '$1')}.schema.json`;

  it.each(jsonFiles('models/schemas'))('%s is a schema of the 2020-12 draft', (path) => {
    const ajv = new Ajv2020({ strict: true, strictTuples: false, allowUnionTypes: true, discriminator: true });
    expect(ajv.validateSchema(readJson(path) as object)).toBe(true);
  });

  it.each(documents)('%s names its own schema, and holds to it with any validator of the draft', (path) => {
    const document = readJson(path) as { readonly $schema: string };
    const schema = named(formatOf(path));
    expect(new URL(document.$schema, projectFile(path)).href).toBe(projectFile(schema).href);
    // Without the `discriminator` extension, and with the catalog's schema where an inline one refers to it.
    const ajv = new Ajv2020({ strict: false });
    ajv.addSchema(readJson('models/schemas/catalog.schema.json') as object, 'catalog.schema.json');
    expect(ajv.validate(readJson(schema) as object, document)).toBe(true);
  });

  it('refuse a bad inline catalog in an editor', () => {
    const ajv = new Ajv2020({ strict: false });
    ajv.addSchema(readJson('models/schemas/catalog.schema.json') as object, 'catalog.schema.json');
    const validate = ajv.compile(readJson('models/schemas/brief.schema.json') as object);
    const brief = readJson('models/briefs/grain-060.json') as object;
    const catalog = readJson('models/catalogs/grain-yard.json') as object;
    expect(validate({ ...brief, catalog })).toBe(true);
    expect(validate({ ...brief, catalog: { ...catalog, pitch: 'wide' } })).toBe(false);
  });
});

describe('models/README.md', () => {
  const text = readFileSync(projectFile('models/README.md'), 'utf8');
  const listed = Array.from(text.matchAll(/`([a-z]+\/[a-z0-9.-]+\.json)`/g), ([, path]) => `models/${path ?? ''}`);

  it('lists each file once, and none that is not there', () => {
    const files = ['models/schemas', 'models/catalogs', 'models/briefs', 'models/plans', 'models/measurements'].flatMap(jsonFiles);
    expect([...listed].sort()).toEqual([...files].sort());
    for (const path of listed) expect(existsSync(projectFile(path))).toBe(true);
  });
});
