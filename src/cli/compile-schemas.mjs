/**
 * Writes the checks of each JSON Schema (2020-12) in models/schemas as code to dist/schemas, where `schema-check.ts`
 * reads them: compiling a schema takes longer than most runs. Part of every build.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import standaloneCode from 'ajv/dist/standalone/index.js';

const schemaOf = (kind) => JSON.parse(readFileSync(new URL(`../../models/schemas/${kind}.schema.json`, import.meta.url), 'utf8'));
const stub = (kind) => [`${kind}.schema.json`, { type: 'object' }];
const whole = (kind) => [`${kind}.schema.json`, schemaOf(kind)];

/** What stands inside another document is checked by its own parser, so there it only needs to resolve. */
const WITHIN = {
  catalog: [],
  brief: [stub('catalog')],
  plan: [stub('catalog')],
  measurements: [stub('catalog')],
  'proof-line': [stub('catalog'), stub('brief'), whole('plan')],
  search: [stub('catalog'), stub('brief'), whole('plan')],
};

const folder = new URL('../../dist/schemas/', import.meta.url);
mkdirSync(folder, { recursive: true });
for (const [kind, within] of Object.entries(WITHIN)) {
  const ajv = new Ajv2020({
    allErrors: true,
    verbose: true,
    discriminator: true,
    messages: false,
    meta: false,
    validateSchema: false,
    strictTuples: false,
    allowUnionTypes: true,
    code: { source: true },
  });
  for (const [name, schema] of within) ajv.addSchema(schema, name);
  writeFileSync(new URL(`${kind}.cjs`, folder), `${standaloneCode.default(ajv, ajv.compile(schemaOf(kind)))}\n`);
}
