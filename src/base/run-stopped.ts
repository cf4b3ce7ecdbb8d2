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

export function goOnUnless(shouldStop: ShouldStop): void {
  if (shouldStop?.() === true) throw new RunStopped();
}
