/**
 * A time limit that ends work which never returns: a test's own limit can't interrupt a loop without awaits.
 */
import { runInNewContext } from 'node:vm';

/** What `work` returns; throws where it takes more than `milliseconds`. */
export function withinTime<T>(milliseconds: number, work: () => T): T {
  const box: { result?: { readonly value: T } } = {};
  const run = (): void => {
    box.result = { value: work() };
  };
  runInNewContext('run()', { run }, { timeout: milliseconds });
  if (box.result === undefined) throw new Error('the work came to no end');
  return box.result.value;
}
