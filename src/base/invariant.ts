/**
 * Broken invariants are faults of this program, never of its input: they throw, with their context,
 * and the command line turns them into exit code 70. Bad input is a `Finding`.
 */

class InvariantError extends Error {
  override readonly name = 'InvariantError';
}

/** `expression`: what has to hold, in words; `context`: what whoever reads the fault needs to know. */
export function invariant(holds: boolean, expression: string, context: Readonly<Record<string, unknown>> = {}): asserts holds {
  if (!holds) throw new InvariantError(`invariant broken: ${expression} ${JSON.stringify(context)}`);
}

/** Marks the branch that an exhaustive switch can't reach. */
export function unreachable(value: never): never {
  throw new InvariantError(`unreachable: ${JSON.stringify(value)}`);
}
