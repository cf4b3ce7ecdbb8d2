/**
 * Reads a catalog: schema first, then what no schema can state. Gives every finding at once.
 * Model names are branded here and nowhere else. The shape of the result is in `catalog.ts`;
 * where a brief or plan keeps its catalog is in `catalog-reference.ts`.
 */
import type { Checked, Finding } from '../base/finding.js';
import { invariant } from '../base/invariant.js';
import type { JsonNode } from '../base/json-node.js';
import { checkSchema, type SchemaCode } from '../base/schema-check.js';
import { USUAL_WORK, type ArmModel, type Catalog, type ModelName, type Work } from './catalog.js';

export type CatalogCode = SchemaCode | 'pitch-over-tile' | 'speed-over-pitch' | 'turn-under-remove';

/** A number that the schema demands: once it has no complaint left, it is there. */
function whole(node: JsonNode): number {
  const value = node.whole();
  invariant(value !== undefined, 'a sound catalog has all numbers that its schema demands', { pointer: node.pointer });
  return value;
}

function compareCodePoints(a: string, b: string): number {
  const left = Array.from(a, (character) => character.codePointAt(0) ?? 0);
  const right = Array.from(b, (character) => character.codePointAt(0) ?? 0);
  const differs = left.findIndex((point, index) => point !== right[index]);
  if (differs < 0) return left.length - right.length;
  return differs < right.length ? left[differs] - right[differs] : 1;
}

/** In the order of names (code points), whatever the file's order. */
function modelsOf<T extends { readonly name: ModelName }>(
  group: JsonNode,
  read: (name: ModelName, node: JsonNode) => T,
): readonly T[] {
  return group
    .entries()
    .map(([name, node]) => read(name as ModelName, node))
    .sort((a, b) => compareCodePoints(a.name, b.name));
}

/** Undefined where nothing is said of it. What is left out costs as usual, but turning no less than taking away. */
function readWork(node: JsonNode): Work | undefined {
  if (!node.isObject) return undefined;
  const remove = node.at('remove').whole() ?? USUAL_WORK.remove;
  return { remove, turn: node.at('turn').whole() ?? Math.max(remove, USUAL_WORK.turn) };
}

/** What no schema can state: how speeds, the pitch and a tile are to each other, and what turning costs beside taking away. */
function checkNumbers(root: JsonNode): readonly Finding<CatalogCode>[] {
  const findings: Finding<CatalogCode>[] = [];
  const report = (code: CatalogCode, node: JsonNode, values: Finding['values'] & object): void => {
    findings.push({ severity: 'error', code, pointer: node.pointer, values });
  };
  const unitsPerTile = root.at('unitsPerTile').whole();
  const pitch = root.at('pitch').whole();
  if (pitch !== undefined && unitsPerTile !== undefined && pitch > unitsPerTile) report('pitch-over-tile', root.at('pitch'), { pitch, unitsPerTile });
  for (const group of ['belts', 'splitters', 'underpasses']) {
    for (const [name, node] of root.at(group).entries()) {
      const speed = node.at('speed').whole();
      if (speed !== undefined && pitch !== undefined && speed > pitch) report('speed-over-pitch', node.at('speed'), { name, speed, pitch });
    }
  }
  const workNode = root.at('work');
  const work = readWork(workNode);
  const isKnown = ['remove', 'turn'].every((field) => !workNode.at(field).isPresent || workNode.at(field).whole() !== undefined);
  if (work !== undefined && isKnown && work.turn < work.remove) report('turn-under-remove', workNode, { ...work });
  return findings;
}

/** Of a document without findings. */
function readCatalog(root: JsonNode): Catalog {
  const unitsPerTile = whole(root.at('unitsPerTile'));
  const turn = root.at('turn');
  const work = readWork(root.at('work'));
  return {
    name: root.at('name').text() ?? '',
    ticksPerSecond: whole(root.at('ticksPerSecond')),
    unitsPerTile,
    pitch: whole(root.at('pitch')),
    turn: { inner: turn.at('inner').whole() ?? unitsPerTile, outer: turn.at('outer').whole() ?? unitsPerTile },
    belts: modelsOf(root.at('belts'), (name, node) => ({ name, speed: whole(node.at('speed')), cost: whole(node.at('cost')) })),
    splitters: modelsOf(root.at('splitters'), (name, node) => ({
      name,
      speed: whole(node.at('speed')),
      cost: whole(node.at('cost')),
      favour: node.at('favour').truth() ?? false,
    })),
    underpasses: modelsOf(root.at('underpasses'), (name, node) => ({
      name,
      speed: whole(node.at('speed')),
      span: whole(node.at('span')),
      cost: whole(node.at('cost')),
    })),
    arms: modelsOf(root.at('arms'), readArm),
    chests: modelsOf(root.at('chests'), (name, node) => ({ name, capacity: whole(node.at('capacity')), cost: whole(node.at('cost')) })),
    wagons: modelsOf(root.at('wagons'), (name, node) => ({
      name,
      length: whole(node.at('length')),
      coupling: node.at('coupling').whole() ?? 0,
      capacity: whole(node.at('capacity')),
    })),
    ...(work === undefined ? {} : { work }),
  };
}

const readArm = (name: ModelName, node: JsonNode): ArmModel => ({
  name,
  reach: whole(node.at('reach')),
  payload: whole(node.at('payload')),
  swingTicks: whole(node.at('swing')),
  grabTicks: node.at('grab').whole() ?? 1,
  releaseTicks: node.at('release').whole() ?? 1,
  slack: node.at('slack').whole() ?? 0,
  patienceTicks: node.at('patience').whole(),
  cost: whole(node.at('cost')),
});

/** The catalog with its defaults filled in, in the shape of `catalog.ts`. */
export function parseCatalog(json: unknown): Checked<Catalog, CatalogCode> {
  const { findings: complaints, root } = checkSchema('catalog', json);
  const findings: readonly Finding<CatalogCode>[] = [...complaints, ...checkNumbers(root)];
  return findings.length > 0 ? { ok: false, findings } : { ok: true, value: readCatalog(root), warnings: [] };
}
