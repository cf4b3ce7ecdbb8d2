/**
 * How a run ends that was told to, before it knows what it was asked: whoever told it so catches this.
 */
export class RunStopped extends Error {
  override readonly name = 'RunStopped';
}

/** Undefined where it was stopped. */
export function unlessStopped<T>(run: () => T): T | undefined {
  try {
    return run();
  } catch (thrown) {
    if (thrown instanceof RunStopped) return undefined;
    throw thrown;
  }
}

/** Asked now and then by what may take long; left out: nobody will tell it to stop. */
export type ShouldStop = (() => boolean) | undefined;

/** For what is still to be told once a run was told to stop: true so many milliseconds after that was first heard here. */
export function withGrace(shouldStop: () => boolean, milliseconds: number, now: () => number): () => boolean {
  let heardAt: number | undefined;
  return () => {
    if (heardAt === undefined && shouldStop()) heardAt = now();
    return heardAt !== undefined && now() >= heardAt + milliseconds;
  };
}

export function goOnUnless(shouldStop: ShouldStop): void {
  if (shouldStop?.() === true) throw new RunStopped();
}
