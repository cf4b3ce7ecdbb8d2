/**
 * How well known catalogs are recovered from noisy measurements: the table of `src/fitting/rationale.md`.
 */
import { ratio } from '../../src/base/rational.js';
import { fit, type Fit } from '../../src/fitting/fit.js';
import type { Measurement } from '../../src/fitting/measurements.js';
import { measured, measurementsOf, outcomeOf, truthOf, type Truth } from './worlds.js';

/** Thousandths by which a count may be off. */
export const NOISES = [0, 2, 10, 30];
const CATALOGS = 12;
const FURTHER = 3;

type Found = Extract<Fit, { readonly kind: 'found' }>;

export interface Recovery {
  readonly truth: Truth;
  readonly noise: number;
  readonly first: Found;
  /** After each further measurement that was suggested, up to the third. */
  readonly further: readonly Found[];
}

function found(measurements: readonly Measurement[]): Found {
  const result = fit(measurementsOf(measurements));
  if (result.kind !== 'found') throw new Error(`a known catalog is not found: ${result.kind}`);
  return result;
}

export function recover(seed: number, noise: number): Recovery {
  const truth = truthOf(seed);
  const measurements = [...measured(truth, noise, seed)];
  const first = found(measurements);
  const further: Found[] = [];
  for (let last = first; last.suggestion !== undefined && further.length < FURTHER; last = further[further.length - 1]) {
    const { probe, uncertainty } = last.suggestion;
    const { least, most } = outcomeOf(truth, probe);
    measurements.push({ probe, observed: ratio(Math.floor((least + most) / 2)), uncertainty });
    further.push(found(measurements));
  }
  return { truth, noise, first, further };
}

export const recoveries = (): readonly Recovery[] => NOISES.flatMap((noise) => Array.from({ length: CATALOGS }, (_, index) => recover(100 + index, noise)));

/** Each integer of the truth, in the order of `Fit.known`. */
export const integersOf = ({ pitch, speed, arm }: Truth): readonly number[] => [pitch, speed, arm.payload, arm.grab, arm.release, arm.swing];

const share = (flags: readonly boolean[]): string => `${Math.round((100 * flags.filter((each) => each).length) / flags.length)} %`;

const middle = (values: readonly bigint[]): string => String([...values].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0))[Math.floor(values.length / 2)]);

const last = ({ first, further }: Recovery): Found => further.at(-1) ?? first;

export function recoveryTable(all: readonly Recovery[]): string {
  const rows = NOISES.map((noise) => {
    const here = all.filter((each) => each.noise === noise);
    const settled = (pick: (each: Recovery) => Found): string => share(here.flatMap((each) => pick(each).known.map(({ values }) => values.length === 1)));
    const right = (pick: (each: Recovery) => Found): string =>
      share(here.flatMap((each) => pick(each).known.map(({ best }, index) => best === integersOf(each.truth)[index])));
    const furthest = Math.max(
      ...here.flatMap((each) => each.first.known.map(({ best }, index) => Math.abs(best - integersOf(each.truth)[index]))),
    );
    const candidates = (pick: (each: Recovery) => Found): string => middle(here.map((each) => pick(each).candidates));
    const first = (each: Recovery): Found => each.first;
    return `| ${noise / 10} % | ${candidates(first)} | ${settled(first)} | ${right(first)} | ${furthest} | ${candidates(last)} | ${settled(last)} | ${right(last)} |`;
  });
  return [
    '| counts off by up to | candidates, middle | integers settled | best is right | best off by at most | candidates, then | settled, then | right, then |',
    '| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |',
    ...rows,
  ].join('\n');
}
