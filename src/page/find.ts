/**
 * Elements of the page that must be there, with their types.
 */
import { invariant } from '../base/invariant.js';

/** The first in `root`; it is a fault of the page if there is none. */
export function find<T extends Element>(root: ParentNode, selector: string, type: abstract new () => T): T {
  const found = root.querySelector(selector);
  invariant(found instanceof type, 'the page has what its script looks for', { selector });
  return found;
}

export const findAll = <T extends Element>(root: ParentNode, selector: string, type: abstract new () => T): readonly T[] =>
  [...root.querySelectorAll(selector)].filter((each): each is T => each instanceof type);
