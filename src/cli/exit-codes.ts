/**
 * How the program ends, for scripts. Documented in models/files-and-commands.md and README.md.
 */
export const EXIT = {
  done: 0,
  /** The answer is no: infeasible, or a plan that breaks its promise. */
  no: 1,
  badInput: 2,
  /** Stopped by a limit or by Ctrl-C, with an unproven answer. */
  unproven: 3,
  /** A fault of the program's own. */
  fault: 70,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** Bad usage or bad input: said in whole lines on the error stream, ends with code 2. */
export class InputError extends Error {
  override readonly name = 'InputError';

  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'));
  }
}
