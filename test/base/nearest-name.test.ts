/**
 * "Did you mean": swapped, dropped and miscased letters; no guess where nothing is near.
 */
import { describe, expect, it } from 'vitest';
import { nearestName } from '../../src/base/nearest-name.js';

describe('nearestName', () => {
  const known = ['heading', 'model', 'kind', 'at', 'N'];
  it.each([
    ['headign', 'heading'],
    ['Model', 'model'],
    ['knd', 'kind'],
    ['modle', 'model'],
    ['ta', 'at'],
    ['speed', undefined],
    ['Q', undefined],
    ['x'.repeat(5000), undefined],
  ])('takes %s for %s', (name, expected) => {
    expect(nearestName(name, known)).toBe(expected);
  });
});
