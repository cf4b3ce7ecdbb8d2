/**
 * Pointers against the examples of RFC 6901, section 5; the walk through untrusted JSON.
 */
import { describe, expect, it } from 'vitest';
import { JsonNode } from '../../src/base/json-node.js';
import { findingsBeneath, pointerTo } from '../../src/base/json-pointer.js';

describe('pointerTo', () => {
  it.each([
    [['foo'], '/foo'],
    [['foo', 0], '/foo/0'],
    [[''], '/'],
    [['a/b'], '/a~1b'],
    [['c%d'], '/c%d'],
    [['m~n'], '/m~0n'],
    [[], ''],
  ])('points to %j by %s', (tokens, expected) => {
    expect(pointerTo('', ...tokens)).toBe(expected);
  });

  it('moves findings beneath another document', () => {
    const findings = [
      { severity: 'error', code: 'x', pointer: '/pitch' },
      { severity: 'error', code: 'y' },
    ] as const;
    expect(findingsBeneath('/catalog', findings).map(({ pointer }) => pointer)).toEqual(['/catalog/pitch', '/catalog']);
  });
});

describe('JsonNode', () => {
  const root = new JsonNode({ a: [1, 'b'], bad: -1, flag: true, own: {} }, new Set(['/bad']));

  it('hands out what has the asked-for type and is sound', () => {
    expect(root.at('a').at(0).whole()).toBe(1);
    expect(root.at('a').at(0).text()).toBeUndefined();
    expect(root.at('a').at(1).oneOf(['b', 'c'])).toBe('b');
    expect(root.at('bad').whole()).toBeUndefined();
    expect(root.at('flag').truth()).toBe(true);
    expect(root.at('a').wholes(2)).toBeUndefined();
  });

  it('walks safely over what is not there, and never into prototypes', () => {
    expect(root.at('nowhere').at(3).at('x').isPresent).toBe(false);
    expect(root.at('own').at('constructor').isPresent).toBe(false);
    expect(root.at('a').at('length').whole()).toBe(2);
    expect(root.at('flag').items()).toEqual([]);
  });
});
