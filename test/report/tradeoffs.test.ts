/**
 * What is said of a list of tradeoffs: how complete it is, the table, the knee's reason, JSON and CSV.
 */
import { describe, expect, it } from 'vitest';
import { parseCondition, plainInks, tradeoffsCsv, tradeoffsDocument, tradeoffsReport, viewTradeoffs, type JsonObject, type Style, type Wishes } from '../../src/index.js';
import { pickedReport, tradeoffsPage } from '../../src/tasks/tradeoffs-list.js';
import { answerWith, BRIEF, type ListedAnswer } from './stand-in-tradeoffs.js';

const STYLE: Style = { ink: plainInks, ascii: false };
const ALL: Wishes = { where: [], sort: [], most: undefined };
const where = (...texts: readonly string[]): Wishes['where'] =>
  texts.map((text) => {
    const parsed = parseCondition(text);
    if (!parsed.ok) throw new Error(text);
    return parsed.value;
  });

const FOUR = answerWith(['cost', 'footprint', 'imbalance'], [
  [75, 48, [1, 10]],
  [83, 32, [1, 10]],
  [86, 30, 0],
  [92, 29, [1, 5]],
]);

const wordsOf = (answer: ListedAnswer, wishes: Wishes = ALL): string => tradeoffsReport(viewTradeoffs(BRIEF, answer, wishes), STYLE).join('\n').replace(/\s+/g, ' ');

describe('how complete a list is', () => {
  it.each([
    ['Complete: 4 stations, each the best there is for some wish. Nothing lies between: proven that every other station of the searched space up to a cost of 92 is matched or beaten by one of these in every objective. What lies beyond was not asked about.', {}],
    ['Nothing lies between: proven that every other station of the searched space is matched or beaten', { completeTo: 'all', askedTo: 'all' }],
    ['Partial: 4 stations found before the time limit came. Nothing lies between: proven that every other station of the searched space up to a cost of 80 is', { status: 'partial', completeTo: 80, stoppedBy: 'time-limit' }],
    ['Asked for was the list up to a cost of 92; above that, stations may be missing, and some of these may be beaten by others.', { status: 'partial', completeTo: 80, stoppedBy: 'interrupt' }],
    ['How complete it is, is not proven. Asked for was the whole list; stations may be missing', { status: 'partial', completeTo: undefined, askedTo: 'all', stoppedBy: 'solver' }],
    ['Unknown: the time limit came before a station was found that meets the brief, or shown that there is none. Any station needs more than a cost of 20.', { status: 'unknown', completeTo: 20, stoppedBy: 'time-limit', entries: [] }],
    ['Infeasible: No station of the searched space meets the brief;', { status: 'infeasible', completeTo: 'all', entries: [] }],
    ['Infeasible: No station of the searched space up to a cost of 40 meets the brief; ask about a higher price.', { status: 'infeasible', completeTo: 40, entries: [] }],
  ] satisfies readonly (readonly [string, Partial<ListedAnswer>])[])('is said: %s', (sentence, changes) => {
    expect(wordsOf({ ...FOUR, ...changes })).toContain(sentence);
  });

  it('is said of a single station', () => {
    expect(wordsOf(answerWith(['cost', 'parts'], [[75, 12]]))).toContain('Complete: 1 station, the best in every objective. It is proven that every other station of the searched space up to a cost of 92 is matched or beaten by it');
  });

  it('never is called proven where it was stopped without a price', () => {
    const words = wordsOf({ ...FOUR, status: 'partial', completeTo: undefined, stoppedBy: 'interrupt' });
    expect(words).not.toMatch(/[Cc]omplete:|proven that/);
  });

  it('counts parts where parts are the price', () => {
    expect(wordsOf(answerWith(['parts', 'cost'], [[12, 80], [13, 79]], { completeTo: 14 }))).toContain('up to 14 parts is matched');
  });
});

describe('the table', () => {
  const lines = (answer: ListedAnswer, wishes: Wishes = ALL, style: Style = STYLE): readonly string[] => tradeoffsReport(viewTradeoffs(BRIEF, answer, wishes), style);

  it('marks the best of each measure and the knee, and fits 80 columns', () => {
    expect(lines(FOUR).slice(5, 11)).toEqual([
      '  no.  cost  footprint  imbalance',
      '    1   *75         48       0.10',
      '    2    83         32       0.10',
      '  ▸ 3    86         30         *0',
      '    4    92        *29       0.20',
      '  * the best of all   ▸ gives most for what it asks',
    ]);
    const wide = answerWith(['cost', 'footprint', 'parts', 'imbalance', 'arms', 'splitters', 'depth', 'width'], [[75, 48, 12, [1, 3], 4, 1, 8, 6], [76, 40, 12, 0, 4, 1, 8, 5], [90, 39, 12, 0, 4, 1, 8, 4]]);
    const all = lines(wide, { ...ALL, sort: [{ measure: 'fill', reversed: false }] }, { ...STYLE, columns: 80 });
    expect(Math.max(...all.map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(all.join('\n')).toContain('fill');
  });

  it('has ASCII alone where that is asked for', () => {
    const ascii = lines(FOUR, { ...ALL, where: where('cost<90') }, { ...STYLE, ascii: true }).join('\n');
    expect(ascii).toMatch(/^[\n -~]*$/);
    expect(ascii).not.toContain('?');
  });

  it('shows what is wished, with the numbers of the whole list', () => {
    const wishes: Wishes = { where: where('imbalance<=10%', 'cost>75'), sort: [{ measure: 'footprint', reversed: false }], most: 1 };
    const words = lines(FOUR, wishes);
    expect(words.join('\n').replace(/\s+/g, ' ')).toContain('Shown: the first 1 of the 2 with imbalance<=10% and cost>75, by footprint. Numbers are those of the whole list.');
    expect(words.filter((line) => /^ +▸? ?\d+ +\*?\d+/.test(line))).toEqual(['    3    86        *30         *0']);
    expect(wordsOf(FOUR, { ...ALL, where: where('cost<1') })).toContain('None of the 4 is one with cost<1.');
    expect(wordsOf(FOUR, { ...ALL, sort: [{ measure: 'cost', reversed: true }] })).toContain('Shown: all, by cost (worst first).');
  });

  it('takes a greater fill for the better one', () => {
    const answer = answerWith(['cost', 'fill'], [[60, [3, 5]], [70, [97, 100]], [90, 1]]);
    expect(lines(answer).join('\n')).toMatch(/\*100\.0 %/);
    expect(wordsOf(answer)).toContain('Number 2 gives most for what it asks');
    expect(wordsOf(answer)).toContain('it costs 10 more and is filled to 97.0 %, not 60.0 %. Up to it 1 of cost wins about 3.7 % of fill; beyond it 1 of cost wins about 0.15 % of fill at best.');
  });
});

describe("the knee's reason", () => {
  it('sets it against the cheapest and what lies beyond', () => {
    expect(wordsOf(answerWith(['cost', 'footprint'], [[75, 48], [83, 32], [92, 30]]))).toContain(
      'Number 2 gives most for what it asks: of all it lies nearest to the best value of every objective at once, each measured by its span in the list. Set against the cheapest, it costs 8 more and takes 16 tiles less of ground (a third less). Up to it 1 of cost saves 2 tiles of ground; beyond it about 4.5 of cost save 1 tile of ground at best.',
    );
  });

  it('is silent where no layout stands between the ends', () => {
    expect(wordsOf(answerWith(['cost', 'footprint'], [[75, 48], [83, 32]]))).not.toContain('gives most');
  });

  it.each([
    [['cost', 'parts'], [[75, 20], [76, 12], [90, 11]], 'has 8 parts fewer'],
    [['cost', 'arms'], [[75, 6], [76, 5], [90, 4]], 'has 1 arm fewer'],
    [['cost', 'splitters'], [[75, 3], [76, 1], [90, 0]], 'has 2 splitters fewer'],
    [['cost', 'depth'], [[75, 9], [76, 7], [90, 6]], 'is 2 tiles less deep'],
    [['cost', 'width'], [[75, 9], [76, 7], [90, 6]], 'is 2 tiles narrower'],
    [['parts', 'cost'], [[12, 90], [13, 76], [20, 75]], 'has 1 part more and costs 14 less. Up to it 1 part saves 14 of cost; beyond it 7 parts save 1 of cost at best.'],
    [['cost', 'imbalance'], [[75, [1, 2]], [76, [1, 10]], [90, 0]], 'drains its chests more evenly (imbalance 0.10, not 0.50)'],
    [['cost', 'footprint'], [[75, 40], [110, 38], [111, 20]], 'It is the cheapest'],
  ] as const)('knows %j', (objectives, values, words) => {
    expect(wordsOf(answerWith([...objectives], values))).toContain(words);
  });
});

describe('JSON', () => {
  const view = viewTradeoffs(BRIEF, FOUR, { ...ALL, where: where('cost<90') });

  it('has what is shown with numbers and exact measures, and the whole list counted', () => {
    const json = tradeoffsDocument(view);
    expect(json).toMatchObject({
      status: 'complete',
      complete: true,
      objectives: ['cost', 'footprint', 'imbalance'],
      completeTo: 92,
      askedTo: 92,
      found: 4,
      knee: 2,
      list: [{ number: 1, measures: { cost: '75', footprint: '48', imbalance: '1/10' } }, { number: 2 }, { number: 3, measures: { imbalance: '0' } }],
      proof: { solver: 'glpk', rounds: 12, simulations: 301, seconds: 3.2 },
    });
    expect(json['kneeReason']).toMatch(/^Number 3 gives most/);
    expect(JSON.stringify(json)).not.toMatch(/undefined|null/);
    expect(json).not.toHaveProperty('picked');
    expect(json).not.toHaveProperty('reason');
  });

  it('has the plan, the bill and the order of a picked layout', () => {
    const { picked } = tradeoffsDocument(view, 1) as { readonly picked: { readonly number: number; readonly plan: unknown; readonly bill: readonly { readonly count: number }[]; readonly build: readonly unknown[] } };
    expect(picked.number).toBe(2);
    expect(picked.plan).toBe(FOUR.entries[1].plan);
    expect(picked.bill).toMatchObject([{ kind: 'belt', model: 'field belt' }, { kind: 'chest', count: 2 }, { kind: 'arm' }]);
    expect(picked.build).toHaveLength(FOUR.entries[1].layout.parts.length);
    expect(picked.build.at(-1)).toMatchObject({ kind: 'arm', heading: 'S' });
  });

  it('says why there is no list', () => {
    expect(tradeoffsDocument(viewTradeoffs(BRIEF, { ...FOUR, status: 'infeasible', entries: [], completeTo: 'all' }, ALL))).toMatchObject({ complete: false, list: [], reason: expect.stringMatching(/^No station/) as unknown });
  });
});

describe('CSV', () => {
  it('has a row for each layout of the whole list, whatever is shown, with all measures and each exit', () => {
    const text = tradeoffsCsv(viewTradeoffs(BRIEF, FOUR, { ...ALL, where: where('cost<1') }));
    const rows = text.split('\r\n').map((row) => row.split(','));
    expect(rows[0].slice(0, 12)).toEqual(['number', 'cost', 'footprint', 'parts', 'imbalance', 'arms', 'splitters', 'depth', 'width', 'fill', 'dwell', 'trainsPerHour']);
    expect(rows[0].slice(12)).toEqual(['exit A x', 'exit A y', 'exit A heading', 'exit A items per second', 'exact imbalance', 'exact fill', 'exact exit A items per tick']);
    expect(rows).toHaveLength(6);
    expect(rows[5]).toEqual(['']);
    expect(rows[2].slice(0, 5)).toEqual(['2', '83', '32', '13', '0.1']);
    expect(rows[2].slice(12)).toEqual(['2', '7', 'S', '13.3333333', '1/10', '2/3', '4/15']);
    expect(rows.slice(0, 5).every((row) => row.length === 19 || row.length === 24)).toBe(true);
  });
});

describe('exits', () => {
  it('have the letters of the plan, in whatever order the search has them', () => {
    const entry = answerWith(['cost', 'parts'], [[1, 1], [2, 2], [93, 15]]).entries[2];
    const { layout, trial } = entry;
    const turned = { ...entry, layout: { ...layout, exits: [...layout.exits].reverse() }, trial: { ...trial, exits: [...trial.exits].reverse() } };
    const viewOf = (one: typeof entry) => viewTradeoffs(BRIEF, { ...FOUR, objectives: ['cost', 'parts'], entries: [one] }, ALL);
    expect(layout.exits).toHaveLength(2);
    expect(tradeoffsDocument(viewOf(turned))).toEqual(tradeoffsDocument(viewOf(entry)));
    expect(tradeoffsCsv(viewOf(turned))).toBe(tradeoffsCsv(viewOf(entry)));
    expect(tradeoffsCsv(viewOf(turned)).split('\r\n')[1]).toContain(`,2,7,S,${flowOf(trial, 2)},3,7,S,${flowOf(trial, 3)},`);
    expect(tradeoffsPage(viewOf(turned))).toBe(tradeoffsPage(viewOf(entry)));
  });

  const flowOf = (trial: (typeof FOUR)['entries'][number]['trial'], x: number): number => {
    const exit = trial.exits.find(({ at }) => at.x === x);
    return Number(((exit?.flow.valueOf() ?? Number.NaN) * 50).toPrecision(9));
  };

  it('are promised by their places on a page, not by their order', () => {
    const { plan } = answerWith(['cost', 'parts'], [[1, 1], [2, 2], [93, 15]]).entries[2];
    const promise = plan['result'] as { readonly exits: readonly JsonObject[] };
    const turned = { ...plan, result: { ...promise, exits: [...promise.exits].reverse() } } as JsonObject;
    const pageWith = (each: JsonObject): string => {
      const answer = answerWith(['cost', 'parts'], [[1, 1], [2, 2], [93, 15]]);
      return tradeoffsPage(viewTradeoffs(BRIEF, { ...answer, entries: [{ ...answer.entries[2], plan: each }] }, ALL)) ?? '';
    };
    const promised = (html: string): string | undefined => /It promises[^<]*/.exec(html)?.[0];
    expect(promised(pageWith(plan))).toMatch(/over exit A, .* over exit B/);
    expect(promised(pageWith(turned))).toBe(promised(pageWith(plan)));
  });
});

describe('a picked layout', () => {
  it('is drawn, with its bill in the order in which to build', () => {
    const text = pickedReport(viewTradeoffs(BRIEF, FOUR, ALL), 1, STYLE).join('\n');
    expect(text).toContain('Number 2  cost 83, footprint 32 tiles, imbalance 0.10');
    expect(text).toContain('long grain wagon');
    expect(text.indexOf('belt   field belt')).toBeLessThan(text.indexOf('chest  grain bin'));
    expect(text).toContain('In which order to build: from the exits back to the wagon');
    expect(text).toMatch(/1\. belt field belt: \[2, 7\] S, \[2, 6\] S/);
  });
});

describe('the page', () => {
  it('says what is shown and why the knee is it, and is none where nothing is shown', () => {
    const html = tradeoffsPage(viewTradeoffs(BRIEF, FOUR, { ...ALL, where: where('cost<90') })) ?? '';
    expect(html).toContain('Shown: those with cost&lt;90.');
    expect(html).toContain('Number 3 gives most for what it asks');
    expect(html).toContain('Layout 3 of 4:');
    expect(tradeoffsPage(viewTradeoffs(BRIEF, FOUR, { ...ALL, where: where('cost<1') }))).toBeUndefined();
  });
});
