/**
 * Reads lines of a proof log: JSON, then the schema, then what only the brief can tell. The seal is checked by
 * `seal.ts`, the order of steps by `replay.ts`.
 */
import type { Finding } from '../base/finding.js';
import { parseJson } from '../base/located-json.js';
import { checkSchema } from '../base/schema-check.js';
import type { Brief } from '../brief/brief.js';
import { parseBrief } from '../brief/parse-brief.js';
import { writeBrief } from '../brief/write-brief.js';
import { parseCatalog } from '../catalog/parse-catalog.js';
import { checkLegality } from '../layout/check-layout.js';
import type { Layout } from '../layout/layout.js';
import { parsePlan } from '../layout/parse-plan.js';
import type { FlawKind, LogRefusal } from './audit-result.js';
import { PROOF_FORMAT, type LineOf, type ProofLine } from './proof-line.js';

export type Read<T, E> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: E };

const no = <E>(why: E): { readonly ok: false; readonly why: E } => ({ ok: false, why });

const errorsIn = (findings: readonly Finding[]): readonly Finding[] => findings.filter(({ severity }) => severity === 'error');

function jsonOf(text: string): Read<unknown, string> {
  try {
    return { ok: true, value: JSON.parse(text) as unknown };
  } catch (thrown) {
    // That of the engine is in words of its own, and without a column.
    const located = parseJson(text);
    return no(located.ok ? String(thrown) : `column ${located.place.column}: ${located.reason}`);
  }
}

export function readLine(text: string): Read<ProofLine, FlawKind> {
  const json = jsonOf(text);
  if (!json.ok) return no({ kind: 'not-json', reason: json.why });
  const { findings } = checkSchema('proof-line', json.value);
  // The schema has vouched for every member.
  return findings.length === 0 ? { ok: true, value: json.value as ProofLine } : no({ kind: 'not-as-described', findings });
}

export interface Opening {
  readonly line: LineOf<'opened'>;
  readonly brief: Brief;
  /** Site and wagons as a plan has them. */
  readonly ground: object;
}

/** The first line, and the brief in it. */
export function readOpening(text: string | undefined): Read<Opening, LogRefusal> {
  if (text === undefined) return no({ kind: 'empty' });
  const json = jsonOf(text);
  if (!json.ok) return no({ kind: 'no-log', reason: 'its first line is not JSON' });
  const line = json.value as Partial<LineOf<'opened'>> | null;
  if (typeof line !== 'object' || line?.format !== PROOF_FORMAT) return no({ kind: 'no-log', reason: `its first line is not of the format "${PROOF_FORMAT}"` });
  const { findings } = checkSchema('proof-line', line);
  if (findings.length > 0) return no({ kind: 'brief-unsound', findings });
  const opened = line as LineOf<'opened'>;
  const catalog = parseCatalog('catalog' in opened.brief ? opened.brief.catalog : undefined);
  const brief = catalog.ok ? parseBrief(opened.brief, catalog.value) : catalog;
  if (!brief.ok) return no({ kind: 'brief-unsound', findings: errorsIn(brief.findings) });
  const { site, wagons } = writeBrief(brief.value);
  return { ok: true, value: { line: opened, brief: brief.value, ground: { site, wagons } } };
}

export interface PlacedLayout {
  readonly layout: Layout;
  /** For each of the layout's exits (or entries, where wagons are filled), which of the brief's it serves. */
  readonly demands: readonly number[];
}

/** The layout of a line, on the brief's ground; legal, but for a stub's exits, which leave where they stand. */
export function readPlaced(line: LineOf<'judged' | 'found'>, { brief, ground }: Opening): Read<PlacedLayout, FlawKind> {
  const { load } = brief;
  const demands = (load === undefined ? line.exits : (line.entries ?? [])).map(({ demand }) => demand);
  const asked = load === undefined ? brief.exits.length : load.entries.length;
  const unknown = demands.find((demand, index) => demand >= asked || demands.indexOf(demand) !== index);
  if (unknown !== undefined) return no({ kind: 'demand-unknown', demand: unknown });
  const plan = parsePlan(
    { format: 'transloom-plan/1', name: brief.name, catalog: 'inside', ...ground, parts: line.parts, exits: [] },
    brief.catalog,
  );
  if (!plan.ok) return no({ kind: 'layout-unsound', findings: errorsIn(plan.findings) });
  const exits = line.exits.map(({ at: [x, y], heading }) => ({ at: { x, y }, heading, take: undefined }));
  const entries = (line.entries ?? []).map(({ at: [x, y], heading }) => ({ at: { x, y }, heading, give: undefined }));
  const layout: Layout = { ...plan.value, exits, ...(entries.length === 0 ? {} : { entries }) };
  const isStub = line.step === 'judged' && line.stub;
  const findings = errorsIn(checkLegality(layout)).filter(({ code }) => !isStub || code !== 'exit-not-at-border');
  return findings.length === 0 ? { ok: true, value: { layout, demands } } : no({ kind: 'layout-unsound', findings });
}
