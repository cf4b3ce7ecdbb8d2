/**
 * Reads measurements: schema first, then what no schema can state. Gives every finding at once.
 * The shape of the result is in `measurements.ts`.
 */
import { parseDuration, parseTicks, ticksOf } from '../base/duration.js';
import type { Checked, Finding } from '../base/finding.js';
import type { JsonNode } from '../base/json-node.js';
import { nearestName } from '../base/nearest-name.js';
import { ratio, type Rational } from '../base/rational.js';
import { checkSchema, shown, type SchemaCode } from '../base/schema-check.js';
import { ARM_INTEGERS, givesTime, type ArmInteger, type Measurement, type Measurements, type Probe, type Range } from './measurements.js';

export type MeasurementsCode =
  | SchemaCode
  | 'unknown-part'
  | 'not-a-time'
  | 'not-whole-ticks'
  | 'no-time'
  | 'range-reversed'
  | 'pitch-over-tile'
  | 'speed-over-pitch'
  | 'ranges-too-wide';

type Found = Finding<MeasurementsCode>;

/** Where the file names none; the pitch goes from 1 to a tile, the speed from 1 to the pitch. */
const USUAL: Readonly<Record<ArmInteger, Range>> = {
  payload: { least: 1, most: 16 },
  grab: { least: 1, most: 8 },
  release: { least: 1, most: 8 },
  swing: { least: 1, most: 60 },
};

/** Sets of integers of one arm: as many as are gone through in about a second. */
const MOST_SETS = 1_000_000;

/** Gathers what is wrong beside what is read, so that reading goes on. */
class Reading {
  readonly findings: Found[] = [];

  /** Undefined where the file says no sound number: then nothing is known of times in seconds. */
  constructor(private readonly ticksPerSecond: number | undefined) {}

  complain(code: MeasurementsCode, node: JsonNode, values: Readonly<Record<string, string | number>> = {}): void {
    this.findings.push({ severity: 'error', code, pointer: node.pointer, values });
  }

  /** Ticks, whole or not. */
  time(node: JsonNode): Rational | undefined {
    const text = node.text();
    if (text === undefined) return undefined;
    const ticks = parseTicks(text, this.ticksPerSecond ?? 1);
    if (ticks === undefined) this.complain('not-a-time', node, { found: shown(text) });
    return ticks;
  }

  /** Whole ticks, in which something can be counted. */
  window(node: JsonNode): number | undefined {
    const text = node.text();
    if (text === undefined) return undefined;
    const duration = parseDuration(text);
    const ticks = duration === undefined ? undefined : ticksOf(duration, this.ticksPerSecond ?? 1);
    if (ticks === undefined) this.complain('not-a-time', node, { found: shown(text) });
    else if (this.ticksPerSecond === undefined) return undefined;
    else if (typeof ticks === 'string') this.complain('not-whole-ticks', node, { found: shown(text), ticks });
    else if (ticks === 0) this.complain('no-time', node);
    else return ticks;
    return undefined;
  }

  /** A part that the file lists under `group`. */
  part(node: JsonNode, group: string, names: readonly string[]): string | undefined {
    const name = node.text();
    if (name === undefined || names.includes(name)) return name;
    const hint = nearestName(name, names);
    this.complain('unknown-part', node, { name, group, known: names.join(', '), ...(hint === undefined ? {} : { hint }) });
    return undefined;
  }

  /** The value that is known, or else the range to search. */
  range(known: JsonNode, range: JsonNode, usual: Range): Range {
    const value = known.whole();
    if (value !== undefined) return { least: value, most: value };
    const [least, most] = range.wholes(2) ?? [usual.least, usual.most];
    return { least, most };
  }
}

const KINDS = ['lane-holds', 'belt-carries', 'item-travels', 'hand-holds', 'first-item', 'arm-to-chest', 'arm-to-lane'] as const;

interface Names {
  readonly belts: readonly string[];
  readonly arms: readonly string[];
}

function readProbe(reading: Reading, node: JsonNode, { belts, arms }: Names): Probe | undefined {
  const kind = node.at('kind').oneOf(KINDS);
  const arm = reading.part(node.at('arm'), 'arms', arms);
  const belt = reading.part(node.at('belt'), 'belts', belts);
  const tiles = node.at('tiles').whole();
  switch (kind) {
    case undefined:
      return undefined;
    case 'lane-holds':
      return tiles === undefined ? undefined : { kind, tiles };
    case 'item-travels':
      return belt === undefined || tiles === undefined ? undefined : { kind, belt, tiles };
    case 'hand-holds':
    case 'first-item':
      return arm === undefined ? undefined : { kind, arm };
    case 'belt-carries': {
      const ticks = reading.window(node.at('time'));
      return belt === undefined || ticks === undefined ? undefined : { kind, belt, lanes: node.at('lanes').whole() === 1 ? 1 : 2, ticks };
    }
    case 'arm-to-chest': {
      const ticks = reading.window(node.at('time'));
      return arm === undefined || ticks === undefined ? undefined : { kind, arm, ticks };
    }
    case 'arm-to-lane': {
      const ticks = reading.window(node.at('time'));
      return arm === undefined || belt === undefined || ticks === undefined ? undefined : { kind, arm, belt, ticks };
    }
  }
}

function readMeasurement(reading: Reading, node: JsonNode, names: Names): Measurement | undefined {
  const probe = readProbe(reading, node, names);
  const kind = node.at('kind').oneOf(KINDS);
  const isTimed = kind !== undefined && givesTime({ kind });
  const count = (at: JsonNode): Rational | undefined => {
    const items = at.whole();
    return items === undefined ? undefined : ratio(items);
  };
  const observed = isTimed ? reading.time(node.at('time')) : count(node.at('items'));
  const uncertainty = isTimed ? reading.time(node.at('uncertainty')) : count(node.at('uncertainty'));
  return probe === undefined || observed === undefined || uncertainty === undefined ? undefined : { probe, observed, uncertainty };
}

const GIVEN = ['turn', 'belts', 'splitters', 'underpasses', 'arms', 'chests', 'wagons'] as const;

/** Measurements in whole items and ticks, with the ranges to search; times in seconds become ticks here. */
export function parseMeasurements(json: unknown): Checked<Measurements, MeasurementsCode> {
  const { findings: complaints, root } = checkSchema('measurements', json);
  const ticksPerSecond = root.at('ticksPerSecond').whole();
  const reading = new Reading(ticksPerSecond);
  // Nothing is longer than a tile of which nothing is known.
  const unitsPerTile = root.at('unitsPerTile').whole() ?? Infinity;
  const ranges = root.at('ranges');
  for (const [, range] of ranges.entries()) {
    const [from, to] = range.wholes(2) ?? [0, 0];
    if (from > to) reading.complain('range-reversed', range, { from, to });
  }

  const pitch = reading.range(root.at('pitch'), ranges.at('pitch'), { least: 1, most: unitsPerTile });
  const pitchNode = root.at('pitch').isPresent ? root.at('pitch') : ranges.at('pitch');
  if (pitchNode.isPresent && pitch.most > unitsPerTile) reading.complain('pitch-over-tile', pitchNode, { pitch: pitch.most, unitsPerTile });

  const belts = root
    .at('belts')
    .entries()
    .map(([name, node]) => {
      const speed = reading.range(node.at('speed'), ranges.at('speed'), { least: 1, most: pitch.most });
      if (node.at('speed').isPresent && speed.least > pitch.most) reading.complain('speed-over-pitch', node.at('speed'), { name, speed: speed.least, pitch: pitch.most });
      return { name, speed };
    });
  const arms = root
    .at('arms')
    .entries()
    .map(([name, node]) => {
      const [payload, grab, release, swing] = ARM_INTEGERS.map((integer) => reading.range(node.at(integer), ranges.at(integer), USUAL[integer]));
      const own = { payload, grab, release, swing };
      const sets = Object.values(own).reduce((product, { least, most }) => product * Math.max(0, most - least + 1), 1);
      if (sets > MOST_SETS) reading.complain('ranges-too-wide', node, { name, sets, limit: MOST_SETS });
      return { name, ranges: own };
    });
  const names = { belts: belts.map(({ name }) => name), arms: arms.map(({ name }) => name) };
  for (const group of ['splitters', 'underpasses']) {
    for (const [, node] of root.at(group).entries()) reading.part(node.at('asFastAs'), 'belts', names.belts);
  }
  const measurements = root
    .at('measurements')
    .items()
    .map((node) => readMeasurement(reading, node, names));
  const findings = [...complaints, ...reading.findings];
  if (findings.length > 0) return { ok: false, findings };

  const document = json as Readonly<Record<string, unknown>>;
  const value: Measurements = {
    name: root.at('name').text() ?? '',
    ticksPerSecond: ticksPerSecond ?? 1,
    unitsPerTile,
    pitch,
    belts,
    arms,
    measurements: measurements.filter((each) => each !== undefined),
    given: Object.fromEntries(GIVEN.filter((key) => document[key] !== undefined).map((key) => [key, document[key]])),
  };
  return { ok: true, value, warnings: [] };
}
