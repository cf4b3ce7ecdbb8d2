/**
 * Reads a plan against a checked catalog: schema first, then names and rates, then legality
 * (`check-layout.ts`). Gives every finding at once. The way back is in `write-plan.ts`; what a
 * plan promises under `result` is left to those who made it, but for how far its wagons may stop short or far: an arm that
 * reaches one there alone is meant to.
 */
import { HEADINGS, type Tile } from '../base/geometry.js';
import type { Checked, Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { isCountable, parseRate } from '../base/rate.js';
import { MOST_SPOTTING } from '../base/ground.js';
import { checkSchema, shown, type SchemaCode } from '../base/schema-check.js';
import type { Catalog, ModelName } from '../catalog/catalog.js';
import { lookUp, readGround, type SiteCode } from '../catalog/read-site.js';
import { checkIntent, type IntentCode } from './check-intent.js';
import { checkLegality, type LegalityCode } from './check-layout.js';
import type { Layout, Part, Side } from './layout.js';

export type PlanCode = SchemaCode | SiteCode | LegalityCode | IntentCode | 'rate-uncountable';

const SIDES: readonly Side[] = ['left', 'right'];

/** Stands in for an unknown model, so that the part's place is still checked; such a plan is never handed out. */
const UNKNOWN = {
  name: '' as ModelName,
  speed: 1,
  cost: 0,
  favour: true,
  span: Infinity,
  reach: 1,
  payload: 1,
  swingTicks: 1,
  grabTicks: 1,
  releaseTicks: 1,
  slack: 0,
  patienceTicks: undefined,
  capacity: 1,
};

function readTile(node: JsonNode): Tile | undefined {
  const numbers = node.wholes(2);
  return numbers === undefined ? undefined : { x: numbers[0], y: numbers[1] };
}

/** Undefined where the place of the part has a finding. */
function readPart(node: JsonNode, catalog: Catalog, findings: Finding<PlanCode>[]): Part | undefined {
  const modelOf = <T extends { readonly name: ModelName }>(models: readonly T[], group: string): T | undefined => {
    const { model, findings: unknown } = lookUp(models, node.at('model'), group);
    findings.push(...unknown);
    return model;
  };
  const at = readTile(node.at('at'));
  const heading = node.at('heading').oneOf(HEADINGS);
  switch (node.at('kind').text()) {
    case 'belt': {
      const model = modelOf(catalog.belts, 'belts') ?? UNKNOWN;
      return at && heading && { kind: 'belt', at, heading, model };
    }
    case 'splitter': {
      const model = modelOf(catalog.splitters, 'splitters') ?? UNKNOWN;
      const favourIn = node.at('favourIn').oneOf(SIDES);
      const favourOut = node.at('favourOut').oneOf(SIDES);
      const favours = { ...(favourIn && { favourIn }), ...(favourOut && { favourOut }) };
      return at && heading && { kind: 'splitter', at, heading, model, ...favours };
    }
    case 'underpass': {
      const model = modelOf(catalog.underpasses, 'underpasses') ?? UNKNOWN;
      const from = readTile(node.at('from'));
      const to = readTile(node.at('to'));
      return from && to && { kind: 'underpass', from, to, model };
    }
    case 'arm': {
      const model = modelOf(catalog.arms, 'arms') ?? UNKNOWN;
      return at && heading && { kind: 'arm', at, heading, model };
    }
    case 'chest': {
      const model = modelOf(catalog.chests, 'chests') ?? UNKNOWN;
      return at && { kind: 'chest', at, model };
    }
    default:
      return undefined;
  }
}

/** An edge of a border tile with its rate, if there is one; undefined where its place has a finding. */
function readEdge(node: JsonNode, rateField: 'take' | 'give', catalog: Catalog, findings: Finding<PlanCode>[]) {
  const at = readTile(node.at('at'));
  const heading = node.at('heading').oneOf(HEADINGS);
  const text = node.at(rateField).text();
  const rate = text === undefined ? undefined : parseRate(text, catalog.ticksPerSecond);
  if (text !== undefined && (rate === undefined || !isCountable(rate))) {
    const { pointer } = node.at(rateField);
    findings.push({ severity: 'error', code: rate === undefined ? 'not-a-rate' : 'rate-uncountable', pointer, values: { found: shown(text) } });
  }
  return at && heading && { at, heading, rate };
}

export function parsePlan(json: unknown, catalog: Catalog): Checked<Layout, PlanCode> {
  const { findings: complaints, root } = checkSchema('plan', json);
  const findings: Finding<PlanCode>[] = [...complaints];
  const ground = readGround(root, catalog);
  findings.push(...ground.findings);

  const parts: Part[] = [];
  const partPointers: string[] = [];
  for (const node of root.at('parts').items()) {
    const part = readPart(node, catalog, findings);
    if (part === undefined) continue;
    parts.push(part);
    partPointers.push(node.pointer);
  }
  // Without a sound site there is no border to hold an exit or an entry against.
  const edgesOf = (list: 'exits' | 'entries', rateField: 'take' | 'give') =>
    root.at(list).items().flatMap((node) => {
      const edge = readEdge(node, rateField, catalog, findings);
      return edge === undefined || ground.site === undefined ? [] : [{ ...edge, pointer: node.pointer }];
    });
  const exits = edgesOf('exits', 'take');
  const entries = edgesOf('entries', 'give');

  const layout: Layout = {
    name: root.at('name').text() ?? '',
    catalog,
    site: ground.site ?? { width: Infinity, depth: Infinity, keepOut: [] },
    wagons: ground.wagons,
    parts,
    exits: exits.map(({ at, heading, rate }) => ({ at, heading, take: rate })),
    ...(entries.length === 0 ? {} : { entries: entries.map(({ at, heading, rate }) => ({ at, heading, give: rate })) }),
  };
  const pointers = {
    wagons: ground.pointers,
    parts: partPointers,
    exits: exits.map(({ pointer }) => pointer),
    entries: entries.map(({ pointer }) => pointer),
  };
  findings.push(...checkLegality(layout, pointers));
  if (findings.some((finding) => finding.severity === 'error')) return { ok: false, findings };
  const spotting = root.at('result').at('spotting').whole() ?? 0;
  return { ok: true, value: layout, warnings: [...findings, ...checkIntent(layout, pointers, Math.max(0, Math.min(spotting, MOST_SPOTTING)))] };
}

/** What can be said of a plan while its catalog can't be read: the schema's findings alone. */
export function checkPlanForm(json: unknown): readonly Finding<SchemaCode>[] {
  return checkSchema('plan', json).findings;
}
