/**
 * Reads a catalog: schema first, then what no schema can state. Gives every finding at once.
 * Model names are branded here and nowhere else. The shape of the result is in `catalog.ts`;
 * where a brief or plan keeps its catalog is in `catalog-reference.ts`.
 */
import type { Checked, Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { checkSchema, type SchemaCode } from '../base/schema-check.js';
import { USUAL_WORK, type Catalog, type ModelName, type Work } from './catalog.js';

export type CatalogCode = SchemaCode | 'pitch-over-tile' | 'speed-over-pitch' | 'turn-under-remove';

/** Every number that the schema vouches for; 0 stands in for one that has a finding, so it never leaves this file. */
const whole = (node: JsonNode): number => node.whole() ?? 0;

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

export function parseCatalog(json: unknown): Checked<Catalog, CatalogCode> {
  const { findings: complaints, root } = checkSchema('catalog', json);
  const findings: Finding<CatalogCode>[] = [...complaints];

  const unitsPerTile = root.at('unitsPerTile').whole();
  const pitch = root.at('pitch').whole();
  if (pitch !== undefined && unitsPerTile !== undefined && pitch > unitsPerTile) {
    findings.push({
      severity: 'error',
      code: 'pitch-over-tile',
      pointer: root.at('pitch').pointer,
      values: { pitch, unitsPerTile },
    });
  }
  if (pitch !== undefined) {
    for (const group of ['belts', 'splitters', 'underpasses']) {
      for (const [name, node] of root.at(group).entries()) {
        const speed = node.at('speed').whole();
        if (speed === undefined || speed <= pitch) continue;
        findings.push({
          severity: 'error',
          code: 'speed-over-pitch',
          pointer: node.at('speed').pointer,
          values: { name, speed, pitch },
        });
      }
    }
  }
  const work = readWork(root.at('work'));
  const isUnsound = (node: JsonNode): boolean => node.isPresent && node.whole() === undefined;
  if (work !== undefined && !['remove', 'turn'].some((field) => isUnsound(root.at('work').at(field))) && work.turn < work.remove) {
    findings.push({ severity: 'error', code: 'turn-under-remove', pointer: root.at('work').pointer, values: { ...work } });
  }
  if (findings.length > 0) return { ok: false, findings };

  const tile = whole(root.at('unitsPerTile'));
  const catalog: Catalog = {
    name: root.at('name').text() ?? '',
    ticksPerSecond: whole(root.at('ticksPerSecond')),
    unitsPerTile: tile,
    pitch: whole(root.at('pitch')),
    turn: {
      inner: root.at('turn').at('inner').whole() ?? tile,
      outer: root.at('turn').at('outer').whole() ?? tile,
    },
    belts: modelsOf(root.at('belts'), (name, node) => ({
      name,
      speed: whole(node.at('speed')),
      cost: whole(node.at('cost')),
    })),
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
    arms: modelsOf(root.at('arms'), (name, node) => ({
      name,
      reach: whole(node.at('reach')),
      payload: whole(node.at('payload')),
      swingTicks: whole(node.at('swing')),
      grabTicks: node.at('grab').whole() ?? 1,
      releaseTicks: node.at('release').whole() ?? 1,
      slack: node.at('slack').whole() ?? 0,
      patienceTicks: node.at('patience').whole(),
      cost: whole(node.at('cost')),
    })),
    chests: modelsOf(root.at('chests'), (name, node) => ({
      name,
      capacity: whole(node.at('capacity')),
      cost: whole(node.at('cost')),
    })),
    wagons: modelsOf(root.at('wagons'), (name, node) => ({
      name,
      length: whole(node.at('length')),
      coupling: node.at('coupling').whole() ?? 0,
      capacity: whole(node.at('capacity')),
    })),
    ...(work === undefined ? {} : { work }),
  };
  return { ok: true, value: catalog, warnings: [] };
}
