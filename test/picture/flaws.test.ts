/**
 * What is wrong in a picture is told by line and column, whatever is done to it; and what a person may leave out or draw
 * by hand is taken.
 */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkPlanForm, parsePlan } from '../../src/layout/parse-plan.js';
import { parseCatalog } from '../../src/catalog/parse-catalog.js';
import { readPicture } from '../../src/picture/read-picture.js';
import { writePicture } from '../../src/picture/write-picture.js';
import { toAscii } from '../../src/report/canvas.js';
import { projectFile, SEED } from '../documents.js';
import { seededPlan } from '../oracles/random-plans.js';

const HEAD = ['transloom-picture/1', 'name: "drawn by hand"', 'catalog: "c.json"', 'belt: "run"', 'arm: "near"', 'arm b: "far"', 'chest: "bin"', 'wagon: "flat"', 'splitter: "fork"', 'splitter b: {"model": "fork", "favourIn": "left"}', 'underpass: "dive"'];

/** Line 12 is the first one drawn. */
const drawn = (...lines: readonly string[]): string => [...HEAD, ...lines, ''].join('\n');

const STATION = [
  '      0    1    2',
  '   +=== flat ====+',
  '   +=============+',
  '0 | o-. .    .    |',
  "  | v-'           |",
  "1 |[###] .-. ---->>",
  "  |[###]o'b'>---->>",
  '  +---------------+',
];

/** Both sides of a wagon; the track ends after x = 1. */
const SIDES = [
  '     0    1    2    3',
  '   +--------------------+',
  '-3 |           ^-. .    |',
  '   |           o-\'      |',
  '-2 |+=== flat ====+     |',
  '   ||             |     |',
  '-1 ||             |     |',
  '   |+=============+     |',
  ' 0 |      o-. ---->---->>',
  '   |      v-\' ---->---->>',
  '   +--------------------+',
];

const changedSides = (line: number, from: string, to: string): string => {
  const lines = drawn(...SIDES).split('\n');
  expect(lines[line - 1]).toContain(from);
  lines[line - 1] = lines[line - 1].replace(from, to);
  return lines.join('\n');
};

function flawsOf(text: string): readonly string[] {
  const reading = readPicture(text);
  return reading.ok ? [] : reading.flaws.map(({ sentence, place }) => `${place.line}:${place.column} ${sentence}`);
}

function planOf(text: string): Readonly<Record<string, unknown>> {
  const reading = readPicture(text);
  if (!reading.ok) throw new Error(JSON.stringify(reading.flaws));
  return reading.value as Readonly<Record<string, unknown>>;
}

/** The station with one line changed, counted as in the file. */
const changed = (line: number, from: string, to: string): string => {
  const lines = drawn(...STATION).split('\n');
  expect(lines[line - 1]).toContain(from);
  lines[line - 1] = lines[line - 1].replace(from, to);
  return lines.join('\n');
};

describe('pictures drawn by hand', () => {
  it('are read', () => {
    expect(planOf(drawn(...STATION))).toEqual({
      format: 'transloom-plan/1',
      name: 'drawn by hand',
      catalog: 'c.json',
      site: { width: 3, depth: 2 },
      wagons: [{ model: 'flat', at: 0 }],
      parts: [
        { kind: 'arm', at: [0, 0], heading: 'S', model: 'near' },
        { kind: 'chest', at: [0, 1], model: 'bin' },
        { kind: 'arm', at: [1, 1], heading: 'E', model: 'far' },
        { kind: 'belt', at: [2, 1], heading: 'E', model: 'run' },
      ],
      exits: [{ at: [2, 1], heading: 'E' }],
    });
  });

  it('need no numbers, no dots on free ground, no lines of belts, and may be indented', () => {
    const bare = STATION.map((line) => `   ${line}`.replace(/^( *)[01] /, '$1  ').replaceAll(' .    ', '      ').replaceAll('---->>', '    >>'));
    bare[0] = '    .';
    expect(planOf(drawn(...bare))).toEqual(planOf(drawn(...STATION)));
  });

  it('may mix both sets of signs and end lines in any way', () => {
    const mixed = changed(17, '[###]', '▗▄▄▄▖').replace('o-.', '◦-╮').replaceAll('\n', '\r\n');
    expect(planOf(mixed)).toEqual(planOf(drawn(...STATION)));
    expect(planOf(`\uFEFF${mixed}`)).toEqual(planOf(drawn(...STATION)));
  });

  it('may have remarks before and after', () => {
    expect(planOf(`${drawn('# a station', ...STATION)}\n# that is all\n`)).toEqual(planOf(drawn(...STATION)));
  });

  it('tell splitters that favour different halves apart', () => {
    const splitter = (sign: string): unknown => planOf(drawn('  .', `  |+^${sign}^--^${sign}^+|`, '  |++-+--+-++|', '  +----------+'))['parts'];
    expect(splitter('-')).toEqual([{ kind: 'splitter', at: [0, 0], heading: 'N', model: 'fork' }]);
    expect(splitter('b')).toEqual([{ kind: 'splitter', at: [0, 0], heading: 'N', model: 'fork', favourIn: 'left' }]);
  });

  it('tell both sides of a wagon by the number of their first row', () => {
    const plan = planOf(drawn(...SIDES));
    expect(plan['site']).toEqual({ width: 4, depth: 1, north: 1, track: { to: 2 } });
    expect(plan['wagons']).toEqual([{ model: 'flat', at: 0 }]);
    expect(plan['exits']).toEqual([{ at: [3, 0], heading: 'E' }]);
    expect(planOf([...drawn(...SIDES).split('\n'), 'track: {"from": 0, "to": 2}'].join('\n'))['site']).toEqual({ width: 4, depth: 1, north: 1, track: { from: 0, to: 2 } });
    const rails = SIDES.map((line, row) => (row === 4 || row === 7 ? '   |                    |' : row === 5 || row === 6 ? '   |--------------------|' : line));
    expect(planOf(drawn(...rails))['site']).toEqual({ width: 4, depth: 1, north: 1 });
  });

  it('tell where a value stands that the reader of plans complains about', () => {
    const reading = readPicture(drawn(...STATION, 'result: {', '  "cost": 3', '}').replace('"far"', '17'));
    if (!reading.ok) throw new Error(JSON.stringify(reading.flaws));
    expect(reading.placeOf('/parts/0')).toEqual({ line: 15, column: 4 });
    expect(reading.placeOf('/parts/0/heading')).toEqual({ line: 15, column: 4 });
    expect(reading.placeOf('/parts/2/model')).toEqual({ line: 6, column: 8 });
    expect(reading.placeOf('/wagons/0')).toEqual({ line: 13, column: 4 });
    expect(reading.placeOf('/exits/0')).toEqual({ line: 17, column: 19 });
    expect(reading.placeOf('/result/cost')).toEqual({ line: 21, column: 11 });
    expect(checkPlanForm(reading.value).map(({ pointer }) => pointer)).toEqual(['/parts/2/model']);
  });
});

describe('what is wrong in a picture', () => {
  it.each([
    ['name', changed(2, '"drawn by hand"', '{"a": 1, "a": 2}'), '2:16'],
    ['catalog', changed(3, '"c.json"', 'c.json'), '3:10'],
    ['belt', changed(4, '"run"', "'run'"), '4:7'],
    ['arm', changed(6, '"far"', '"far'), '6:8'],
    ['wagon', changed(8, '"flat"', ''), '9:1'],
    ['track', changedSides(11, 'underpass: "dive"', 'track: {"from": 0 "to": 1}'), '11:19'],
  ])("a line that can't be read is told once, and not missed besides: %s", (_, text, place) => {
    const reading = readPicture(text);
    expect(reading.ok ? [] : reading.flaws.map(({ place: { line, column } }) => `${line}:${column}`)).toEqual([place]);
  });

  it.each<readonly [string, string, string]>([
    ['16:5', changed(16, ' v-', '  -'), 'Tile [0, 0] shows no part that there is; it is most like'],
    ['17:9', changed(6, 'arm b', 'arm c'), 'There is no line “arm b'],
    ['15:4', changed(5, 'arm', 'arm a'), 'Which arm is this? It has no letter'],
    ['16:19', changed(16, '           |', '            |'), 'the right edge is missing'],
    ['18:3', changed(18, '|', ' '), 'the left edge is missing'],
    ['19:3', changed(19, '----+', '---+'), 'is 14 signs long between its corners'],
    ['19:7', changed(19, '+----', '+---x'), 'The lower edge is broken here'],
    ['13:17', changed(13, '+=== flat ====+', '+=== flat ===+'), "A wagon's box begins"],
    ['13:20', changed(13, 'flat ====+', 'flat ====+ !'), 'outside of every wagon'],
    ['12:1', drawn(...STATION.slice(1)), 'the numbers of the columns is missing'],
    ['2:7', changed(2, '"drawn by hand"', 'drawn by hand'), 'JSON is needed'],
    ['10:31', changed(10, '"favourIn": "left"', '"model": "fork"'), 'the name “model” stands twice in one object); keep one of the two.'],
    ['2:23', changed(2, '"drawn by hand"', '"drawn by hand" x'), 'after the end of the value'],
    ['1:1', changed(2, 'name', '# name'), 'There is no line “name: …”'],
    ['4:1', changed(4, 'belt', 'belts'), 'This line begins with none of'],
    ['7:1', changed(4, 'belt: "run"', 'chest: "bin"'), '“chest” was said in line 4 already'],
    ['8:1', changed(8, 'wagon: "flat"', 'exit A: "1/2"'), 'The picture has no exit with the letter A'],
    ['8:1', changed(8, 'wagon: "flat"', 'exit: "1/2"'), 'Which exit?'],
    ['1:1', changed(1, '/1', '/2'), '“transloom-picture/1” is needed'],
    ['15:8', changed(15, ' .    ', '\t.    '), 'Here stands a tab'],
    ['17:17', changed(17, '---->', ' a b '), 'has two letters'],
    ['21:1', drawn(...STATION, '', ' part  model'), 'This line belongs to no picture'],
    ['13:1', drawn(''), 'There is no picture in this file'],
    ['14:1', changedSides(14, '-3', '-2'), 'tells where the track lies'],
    ['14:1', changedSides(14, '-3', '  '), 'tells where the track lies'],
    ['14:1', changedSides(14, '-3', '-9'), 'tells where the track lies'],
    ['16:5', drawn(...SIDES.map((line, row) => (row >= 4 && row <= 7 ? '-2 |                    |' : line))), 'No track is drawn on its rows'],
    ['17:10', drawn(...SIDES.map((line, row) => (row === 4 || row === 7 ? '   |                    |' : row === 5 || row === 6 ? '   |-----     ----------|' : line))), 'The track has a gap at x = 1'],
    ['4:1', [...drawn(...SIDES).split('\n')].map((line, row) => (row === 3 ? 'track: {"to": 3}' : line)).join('\n'), 'The picture shows no track at x = 3'],
    ['4:1', changed(4, 'belt: "run"', 'track: {"to": 3}'), 'There is no track in this picture'],
  ])('%s', (place, text, sentence) => {
    const flaws = flawsOf(text);
    expect(flaws.some((flaw) => flaw.startsWith(`${place} `) && flaw.includes(sentence)), flaws.join('\n')).toBe(true);
  });

  it.each<readonly [string, readonly string[]]>([
    ['does not come up again ahead', ['  .', '  | v v |', '  | : : |', '  +-----+']],
    ['has no entry behind it', ['  .', '  | : : |', '  | v v |', '  +-----+']],
    ['has no other half beside it', ['  .', '  |++-+-|', '  |+v-v-|', '  +-----+']],
  ])('%s', (sentence, lines) => {
    expect(flawsOf(drawn(...lines)).join('\n')).toContain(sentence);
  });

  it('is told once for each letter that has no line', () => {
    expect(flawsOf(drawn('  .', '  |---z>---z>|', '  |---->---->|', '  +----------+')).filter((flaw) => flaw.includes('“belt z'))).toHaveLength(1);
  });
});

/** Signs that mean something somewhere, and some that never do. */
const SIGNS = [...'│└┘─━▶◀▲▼◦╭╮╰╯▗▄▖▝▀▘╱·░▒┫┣┏┓┄┊╔╗═ |+-><^vo.\'[]#/:!~abcABC019"{}\t\n\r🌾é?'];

describe('pictures that were tampered with', () => {
  const runs = Number(process.env['TRANSLOOM_PICTURES'] ?? 1500);

  it('are read or refused with a place in the text, never with a crash', () => {
    let refused = 0;
    const edit = fc.record({ at: fc.nat(), kind: fc.constantFrom('put', 'take', 'swap', 'cut line', 'double line'), sign: fc.constantFrom(...SIGNS) });
    fc.assert(
      fc.property(fc.nat({ max: 300 }), fc.boolean(), fc.array(edit, { minLength: 1, maxLength: 4 }), (seed, ascii, edits) => {
        const written = writePicture(seededPlan(seed), { ascii, catalog: 'c.json' });
        let text = written.ok ? written.text : '';
        for (const { at, kind, sign } of edits) {
          const glyphs = [...text];
          const lines = text.split('\n');
          const place = at % (glyphs.length + 1);
          const line = at % lines.length;
          if (kind === 'put') text = [...glyphs.slice(0, place), sign, ...glyphs.slice(place)].join('');
          if (kind === 'take') text = [...glyphs.slice(0, place), ...glyphs.slice(place + 1)].join('');
          if (kind === 'swap') text = [...glyphs.slice(0, place), sign, ...glyphs.slice(place + 1)].join('');
          if (kind === 'cut line') text = lines.filter((_, index) => index !== line).join('\n');
          if (kind === 'double line') text = lines.flatMap((each, index) => (index === line ? [each, each] : [each])).join('\n');
        }
        const reading = readPicture(text);
        if (reading.ok) return;
        refused += 1;
        const rows = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
        expect(reading.flaws.length).toBeGreaterThan(0);
        for (const { sentence, place } of reading.flaws) {
          expect(sentence).toMatch(/^[“A-Z].*[.?]$/s);
          expect(place.line).toBeGreaterThanOrEqual(1);
          expect(place.line).toBeLessThanOrEqual(rows.length + 1);
          expect(place.column).toBeGreaterThanOrEqual(1);
        }
      }),
      { numRuns: runs, seed: SEED },
    );
    expect(refused).toBeGreaterThan(runs / 3);
  });

  it('never read as another plan where one sign in a tile became a blank, unless it was a line or a letter', () => {
    let blanked = 0;
    for (let seed = 1; seed <= 12; seed += 1) {
      const layout = seededPlan(seed);
      const written = writePicture(layout, { ascii: seed % 2 === 0, catalog: 'c.json' });
      const text = written.ok ? written.text : '';
      const whole = JSON.stringify(planOf(text));
      const glyphs = [...text];
      const from = [...text.slice(0, text.indexOf('\n\n'))].length;
      glyphs.forEach((glyph, index) => {
        if (index <= from || glyph === ' ' || glyph === '\n') return;
        const reading = readPicture([...glyphs.slice(0, index), ' ', ...glyphs.slice(index + 1)].join(''));
        blanked += 1;
        if (!reading.ok || JSON.stringify(reading.value) === whole) return;
        // A letter that goes missing may leave a part of the model without letter, an exit's letter its take; a box drawn elsewhere is another wagon.
        expect(glyph, `${seed}: ${index}`).toMatch(/[A-Za-z0-9]/);
      });
    }
    expect(blanked).toBeGreaterThan(1000);
  });

  it('with any text at all end in flaws', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...SIGNS, 'transloom-picture/1\n', 'belt: "a"\n', 'name: "b"\n', '+-----+\n', '  |     |\n', 'kept out: [[0,0,1,1]]\n'), { maxLength: 60 }), (pieces) => {
        const reading = readPicture(`transloom-picture/1\n${pieces.join('')}`);
        expect(reading.ok || reading.flaws.length > 0).toBe(true);
      }),
      { numRuns: runs, seed: SEED },
    );
  });
});

describe('the page on picture files', () => {
  it('shows a picture that is read, as it is and in ASCII', () => {
    const example = /```\n(transloom-picture\/1\n[^`]*)```/.exec(readFileSync(projectFile('models/picture-files.md'), 'utf8'))?.[1] ?? '';
    expect(planOf(example)).toMatchObject({ parts: [{ kind: 'arm' }, { kind: 'chest' }, { kind: 'arm' }, ...[2, 3, 4, 5].map((x) => ({ kind: 'belt', at: [x, 1] }))], exits: [{ heading: 'E' }] });
    expect(planOf(example.replaceAll('\n', '\u0000').split('').map((sign) => (sign === '\u0000' ? '\n' : toAscii(sign))).join(''))).toEqual(planOf(example));
  });
});

describe('a picture and its catalog', () => {
  it('are a plan that the reader of plans takes', () => {
    const layout = seededPlan(7);
    const written = writePicture(layout);
    const json = planOf(written.ok ? written.text : '');
    const catalog = parseCatalog(json['catalog']);
    if (!catalog.ok) throw new Error(JSON.stringify(catalog.findings));
    const parsed = parsePlan(json, catalog.value);
    expect(parsed.ok && parsed.value.parts).toHaveLength(layout.parts.length);
  });
});
