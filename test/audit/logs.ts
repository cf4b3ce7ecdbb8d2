/**
 * Proof logs of real runs for the tests of their replay, and ways to change a log: with its old seals, as somebody who
 * edits a file, or sealed anew, as somebody who knows how.
 */
import { sealed } from '../../src/audit/seal.js';
import type { AuditVerdict, Flaw } from '../../src/audit/audit-result.js';
import type { ProofLine, StepName } from '../../src/audit/proof-line.js';
import type { Brief } from '../../src/brief/brief.js';
import { designStation, replayLog, type ReplayRequest } from '../../src/pipeline.js';
import { briefOf } from '../documents.js';

const now = (): number => performance.now();

/** The brief of a file for few starts, with some of its members changed. */
export const loggedBrief = (path: string, changes: object = {}): Brief => briefOf(path, { starts: 2, ...changes });

/** `isEnough`: a line after which the time is up, whatever the clock says. */
export async function logOfDesign(brief: Brief, timeLimitSeconds?: number, isEnough?: (line: Unsealed) => boolean): Promise<readonly string[]> {
  const lines: string[] = [];
  let late = 0;
  const onLogLine = (line: string): void => {
    lines.push(line);
    if (isEnough?.(JSON.parse(line) as Unsealed) === true) late = Infinity;
  };
  await designStation(brief, { now: () => now() + late, timeLimitSeconds, onLogLine });
  return lines;
}

/** Lines without their seals, to be changed and sealed anew. */
export type Unsealed = ProofLine & { readonly seal?: string };
export const unsealed = (lines: readonly string[]): readonly Unsealed[] =>
  lines.map((line) => {
    const { seal: _seal, ...rest } = JSON.parse(line) as Unsealed;
    return rest;
  });

/** `stepsMend`: whether the counts in claims are made to fit, too. */
export function sealedAnew(lines: readonly object[], stepsMend = true): readonly string[] {
  let before = '';
  const steps: Record<string, number> = {};
  return lines.map((line) => {
    const { step } = line as Unsealed;
    const mended = step === 'claimed' && stepsMend ? { ...line, steps: { ...steps } } : line;
    steps[step] = (steps[step] ?? 0) + 1;
    const { text, seal } = sealed(mended, before);
    before = seal;
    return text;
  });
}

/** Number of the `nth` line of a step, from 1; the last one for -1. */
export function lineOf(lines: readonly Unsealed[], step: StepName, nth = 0): number {
  const numbers = lines.flatMap((line, index) => (line.step === step ? [index + 1] : []));
  const number = numbers.at(nth);
  if (number === undefined) throw new Error(`the log has no ${step} ${nth}`);
  return number;
}

export interface Verdict {
  readonly verdict: AuditVerdict | 'refused';
  readonly flaws: readonly Flaw[];
}

export async function verdictOf(lines: readonly string[], request: Partial<ReplayRequest> = {}): Promise<Verdict> {
  const answer = await replayLog(() => lines, { now, ...request });
  return answer.ok ? answer.value : { verdict: 'refused', flaws: [] };
}
