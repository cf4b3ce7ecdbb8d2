/**
 * Pictures of visits: one file that asks for nothing else, with the run's own numbers in it; names are escaped.
 */
import { describe, expect, it } from 'vitest';
import { plainInks, visitPage, visitReport, visitStation, visitSvg, type Layout, type Style } from '../../src/index.js';
import { planOf } from '../documents.js';
import { catalogOf, tinyLayout } from '../oracles/tiny-repairs.js';

const sample = (name: string, changes: object = {}): Layout => planOf(`models/plans/${name}.json`, changes);

const PLAIN: Style = { ink: plainInks, ascii: false };

it('in the report a title stands over what is told beneath it, also where no chest is', () => {
  const layout: Layout = { ...tinyLayout(['N...', '^...'], catalogOf(undefined)), entries: [{ at: { x: 0, y: 1 }, heading: 'N', give: undefined }] };
  const lines = visitReport(visitStation(layout, { visits: 4 }), PLAIN);
  expect(lines[lines.indexOf('Over a cycle') + 1]).toContain('came in over entries');
});

const count = (text: string, pattern: RegExp): number => [...text.matchAll(pattern)].length;

describe('a picture of visits', () => {
  it.each(['grain-two-exits', 'grain-middle-bin', 'grain-direct-tee', 'grain-loading'])('of %s has a line for each wagon, chest, exit and train', (name) => {
    const layout = sample(name);
    const answer = visitStation(layout, { headwayTicks: 9000 });
    const svg = visitSvg(answer);
    const chests = layout.parts.filter(({ kind }) => kind === 'chest').length;
    expect(count(svg, /class="area load"/g)).toBe(layout.wagons.length);
    expect(count(svg, /class="area level"/g)).toBe(chests);
    expect(count(svg, /class="area flow"/g)).toBe(layout.exits.length);
    for (const { number, dwellTicks } of answer.result.visits.slice(0, 24)) {
      expect(svg).toContain(`>train ${number}</text>`);
      if (dwellTicks !== undefined) expect(svg).toContain(`>${dwellTicks} ticks (`);
    }
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    expect(svg).toMatch(/^<svg xmlns="http:\/\/www.w3.org\/2000\/svg" .*<\/svg>\n$/s);
  });

  it('hatches an exit while it is starved, and only then', () => {
    const rare = visitSvg(visitStation(sample('grain-two-exits'), { headwayTicks: 12_000 }));
    const often = visitSvg(visitStation(sample('grain-two-exits')));
    expect(count(rare, /class="starved"/g)).toBeGreaterThan(1);
    expect(count(often, /class="starved"/g)).toBe(0);
  });

  it('speaks only of edges that are there', () => {
    const [unloads, loads] = ['grain-two-exits', 'grain-loading'].map((name) => visitPage(visitStation(sample(name), { visits: 1 })));
    expect(unloads).toContain('one track, exits that take what they can.');
    expect(loads).toContain('one track, entries that give what they can.');
  });

  it('is a page that needs no script and nothing from elsewhere, and says what trains waited for', () => {
    const page = visitPage(visitStation(sample('grain-middle-bin'), { headwayTicks: 12_000 }));
    expect(page).toMatch(/^<!doctype html>/);
    expect(page).not.toMatch(/<script|src=|url\((?!#starved)|https?:\/\/(?!www\.w3\.org\/2000\/svg)/);
    expect(page).toContain('What the last wagon waited for');
    expect(page).toContain('idealised tile world');
    expect(page).toContain('stands there for');
  });

  it('escapes what a plan is called', () => {
    const name = '<script>alert("1")</script> & co';
    const page = visitPage(visitStation(sample('grain-two-bins', { name })));
    expect(page).not.toContain('<script');
    expect(page).toContain('&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; co');
  });

  it('of a train that never leaves is drawn up to where the run ends', () => {
    const base = sample('grain-two-bins');
    const layout: Layout = { ...base, parts: base.parts.filter(({ kind }) => kind !== 'arm') };
    const svg = visitSvg(visitStation(layout));
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    expect(count(svg, /class="dwell"/g)).toBe(0);
  });
});
