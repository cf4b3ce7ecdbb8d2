/**
 * Checks a document against one of the JSON Schemas (2020-12) in `models/schemas` and turns the
 * complaints into findings. Each is read on first use, since a run seldom needs more than two of them.
 * Checks that no schema can state are in the parsers; words are in `report/words.ts`.
 */
import { createRequire } from 'node:module';
import type { ErrorObject, ValidateFunction } from 'ajv/dist/2020.js';
import type { Finding } from './finding.js';
import { invariant } from './invariant.js';
import { JsonNode } from './json-node.js';
import { pointerTo } from './json-pointer.js';
import { nearestName } from './nearest-name.js';

export type SchemaCode =
  | 'wrong-type'
  | 'missing-field'
  | 'unknown-field'
  | 'wrong-format'
  | 'other-document'
  | 'not-one-of'
  | 'too-small'
  | 'too-large'
  | 'site-too-large'
  | 'not-multiple'
  | 'text-empty'
  | 'text-too-long'
  | 'name-length'
  | 'control-character'
  | 'not-a-rate'
  | 'not-a-share'
  | 'object-empty'
  | 'list-too-short'
  | 'list-too-long'
  | 'repeated-entry'
  | 'not-as-described';

export interface SchemaVerdict {
  readonly findings: readonly Finding<SchemaCode>[];
  /** The document; it hands out only what the schema has no complaint about. */
  readonly root: JsonNode;
}

type DocumentKind = 'catalog' | 'brief' | 'plan' | 'proof-line' | 'search' | 'measurements';
type Values = Readonly<Record<string, string | number>>;

/** Of a oneOf with a discriminator: the schema of one value of its tag. */
interface DiscriminatedBranch {
  readonly properties: Readonly<Record<string, { readonly const: unknown }>>;
}

const requireHere = createRequire(import.meta.url);

/** From beside dist/ as well as from src/: the build puts the checks there (`cli/compile-schemas.mjs`). */
const validatorFor = (kind: DocumentKind): ValidateFunction => requireHere(`../../dist/schemas/${kind}.cjs`) as ValidateFunction;

const SHOWN = 40;

/** A short text of any JSON value, for a sentence. */
export function shown(value: unknown): string {
  if (Array.isArray(value)) return `a list of ${value.length} ${value.length === 1 ? 'entry' : 'entries'}`;
  if (typeof value === 'object' && value !== null) return 'an object';
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return text.length > SHOWN ? `${text.slice(0, SHOWN)}…${typeof value === 'string' ? '"' : ''}` : text;
}

function typeName(type: unknown): string {
  const names: Readonly<Record<string, string>> = {
    string: 'a text in quotes',
    object: 'an object',
    array: 'a list',
    integer: 'a whole number',
    boolean: 'true or false',
  };
  const types: readonly unknown[] = Array.isArray(type) ? type : [type];
  return types.map((name) => names[String(name)] ?? String(name)).join(' or ');
}

const keysOf = (value: unknown): readonly string[] =>
  typeof value === 'object' && value !== null ? Object.keys(value) : [];

const withHint = (values: Values, hint: string | undefined): Values =>
  hint === undefined ? values : { ...values, hint };

/** The definition that a complaint comes from, of those that have words of their own. */
const isOf = ({ schemaPath }: ErrorObject, definition: 'rate' | 'share' | 'siteLength' | 'name'): boolean => schemaPath.startsWith(`#/$defs/${definition}/`);

/** Of texts that stand for numbers: what they are none of. */
function numberCode(error: ErrorObject): SchemaCode | undefined {
  if (isOf(error, 'rate')) return 'not-a-rate';
  return isOf(error, 'share') ? 'not-a-share' : undefined;
}

const findingAt = (pointer: string, code: SchemaCode, values: Values): Finding<SchemaCode> => ({ severity: 'error', code, pointer, values });

function notOneOf(pointer: string, value: unknown, allowed: readonly string[]): Finding<SchemaCode> {
  const hint = typeof value === 'string' ? nearestName(value, allowed) : undefined;
  return findingAt(pointer, 'not-one-of', withHint({ found: shown(value), allowed: allowed.join(', ') }, hint));
}

/** The tag of a oneOf has none of the values that tell its branches apart; undefined where it is missing, which is told elsewhere. */
function unknownTag({ instancePath, params, parentSchema }: ErrorObject): Finding<SchemaCode> | undefined {
  const tag = String(params['tag']);
  const value: unknown = params['tagValue'];
  if (value === undefined) return undefined;
  const branches: unknown = parentSchema?.['oneOf'];
  const allowed = (Array.isArray(branches) ? branches : []).map((branch: DiscriminatedBranch): string => String(branch.properties[tag].const));
  return notOneOf(pointerTo(instancePath, tag), value, allowed);
}

function unknownField({ instancePath, params, parentSchema }: ErrorObject): Finding<SchemaCode> {
  const field = String(params['additionalProperty']);
  return findingAt(pointerTo(instancePath, field), 'unknown-field', withHint({ field }, nearestName(field, keysOf(parentSchema?.['properties']))));
}

/** The name of a member, not what it holds. */
function wrongName({ instancePath, keyword }: ErrorObject, name: string): Finding<SchemaCode> {
  const at = pointerTo(instancePath, name);
  return keyword === 'pattern' ? findingAt(at, 'control-character', {}) : findingAt(at, 'name-length', { limit: 100 });
}

/** Undefined for complaints that merely wrap another one. */
function findingOf(error: ErrorObject): Finding<SchemaCode> | undefined {
  const params: Readonly<Record<string, unknown>> = error.params;
  const found = shown(error.data);
  const finding = (code: SchemaCode, values: Values): Finding<SchemaCode> => findingAt(error.instancePath, code, values);
  const limited = (code: SchemaCode): Finding<SchemaCode> => finding(code, { found, limit: Number(params['limit']) });
  if (error.propertyName !== undefined && error.keyword !== 'propertyNames') return wrongName(error, error.propertyName);
  switch (error.keyword) {
    case 'if':
    case 'propertyNames':
      return undefined;
    case 'type': {
      const code = numberCode(error);
      return code === undefined ? finding('wrong-type', { found, expected: typeName(params['type']) }) : finding(code, { found });
    }
    case 'required':
      return finding('missing-field', { field: String(params['missingProperty']) });
    case 'additionalProperties':
      return unknownField(error);
    case 'const':
      return finding('wrong-format', { found, expected: String(params['allowedValue']) });
    case 'enum':
      return notOneOf(error.instancePath, error.data, (params['allowedValues'] as readonly unknown[]).map(String));
    case 'discriminator':
      return unknownTag(error);
    case 'minimum':
      return limited('too-small');
    case 'maximum':
      return limited(isOf(error, 'siteLength') ? 'site-too-large' : 'too-large');
    case 'multipleOf':
      return finding('not-multiple', { found, factor: Number(params['multipleOf']) });
    case 'minLength':
      return finding('text-empty', {});
    case 'maxLength':
      return limited('text-too-long');
    case 'pattern':
      return isOf(error, 'name') ? finding('control-character', {}) : finding(numberCode(error) ?? 'not-as-described', { found, rule: error.keyword });
    case 'minProperties':
      return finding('object-empty', {});
    case 'minItems':
      return limited('list-too-short');
    case 'items':
    case 'maxItems':
      return limited('list-too-long');
    case 'uniqueItems':
      return finding('repeated-entry', { first: Number(params['j']), second: Number(params['i']) });
    default:
      return finding('not-as-described', { found, rule: error.keyword });
  }
}

const isOfFormat = (json: unknown, format: string): boolean => typeof json === 'object' && json !== null && Reflect.get(json, 'format') === format;

/** Where a document of that format stands in what a command printed with `--json`. */
function pointerWithin(json: unknown, format: string): string | undefined {
  if (typeof json !== 'object' || json === null) return undefined;
  const { plan, list } = json as { readonly plan?: unknown; readonly list?: unknown };
  if (isOfFormat(plan, format)) return '/plan';
  return Array.isArray(list) && isOfFormat((list[0] as { readonly plan?: unknown } | undefined)?.plan, format) ? '/list/0/plan' : undefined;
}

/** Without a format, and without most of the other fields, a document is of another kind: to go on about its fields would not help. */
function otherDocument(errors: readonly ErrorObject[], json: unknown): Finding<SchemaCode> | undefined {
  const absent = errors.filter(({ keyword, schemaPath }) => keyword === 'required' && schemaPath === '#/required');
  const fields = absent.map(({ params }) => String((params as Readonly<Record<string, unknown>>)['missingProperty']));
  if (!fields.includes('format')) return undefined;
  const { required, properties } = absent[0].parentSchema as { readonly required: readonly string[]; readonly properties: Readonly<Record<string, { readonly const?: string }>> };
  const expected = properties['format'].const;
  if (expected === undefined || 2 * fields.length <= required.length) return undefined;
  const within = pointerWithin(json, expected);
  return findingAt('', 'other-document', { expected, fields: fields.map((field) => `“${field}”`).join(', '), ...(within === undefined ? {} : { within }) });
}

/** Findings of the schema, and a root that hands out what is sound. */
export function checkSchema(kind: DocumentKind, json: unknown): SchemaVerdict {
  const validate = validatorFor(kind);
  const valid = validate(json);
  const errors = validate.errors ?? [];
  const findings = errors.map(findingOf).filter((finding) => finding !== undefined);
  invariant(valid === (findings.length === 0), 'an invalid document has findings', { kind });
  const other = findings.find((finding) => finding.code === 'wrong-format' && finding.pointer === '/format') ?? otherDocument(errors, json);
  // A document of another format is not measured by this one's fields.
  const reported = other === undefined ? findings : [other];
  const unsound = new Set(findings.map((finding) => finding.pointer ?? ''));
  return { findings: reported, root: new JsonNode(other === undefined ? json : undefined, unsound) };
}
