import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Recent } from '../../src/base/recent.js';

const NAMES = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'];

describe('what is kept as far as there is room', () => {
  it('is what was said last of a name, or nothing', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5 }), fc.array(fc.tuple(fc.constantFrom(...NAMES), fc.option(fc.integer()))), (most, steps) => {
        const recent = new Recent<number>(most);
        const all = new Map<string, number>();
        for (const [name, value] of steps) {
          if (value === null) expect([undefined, all.get(name)]).toContain(recent.get(name));
          else {
            recent.set(name, value);
            all.set(name, value);
          }
        }
        // Looked at from the oldest on, for a look may make room.
        expect(NAMES.filter((name) => recent.get(name) !== undefined).length).toBeLessThanOrEqual(2 * most);
      }),
    );
  });

  it('stays while it is asked about, and what was not asked about goes', () => {
    const recent = new Recent<string>(2);
    recent.set('asked', 'kept');
    recent.set('not asked', 'gone');
    for (const name of NAMES) {
      recent.set(name, name);
      expect(recent.get('asked')).toBe('kept');
    }
    expect(recent.get('not asked')).toBeUndefined();
    expect(recent.get('h')).toBe('h');
  });

  it('stays where the newest is said anew', () => {
    const recent = new Recent<number>(2);
    recent.set('a', 1);
    recent.set('b', 2);
    for (let n = 0; n < 10; n++) recent.set('b', n);
    expect(recent.get('a')).toBe(1);
  });
});
