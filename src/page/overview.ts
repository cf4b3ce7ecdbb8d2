/**
 * The plot and the cards of a list: they point at the same layouts, by mouse and by key. Which layout is shown below
 * is for `main.ts` to carry out.
 */
import { figureList } from '../report/page/detail-html.js';
import { isBetterGreater } from '../layout/measure.js';
import { measureWord } from '../report/measure-words.js';
import { entryNumber, entryWords, objectiveValue } from '../report/page/page-data.js';
import { layoutSvg } from '../report/svg/layout-svg.js';
import type { Entries } from './entries.js';
import { find, findAll } from './find.js';
import { betterWords, inPlotOrder, plotSvg, type PlotAxis, type PlotPoint } from './pareto-plot.js';

export class Overview {
  #selected: number;
  #near: number | undefined;

  constructor(
    private readonly entries: Entries,
    selected: number,
    private readonly onSelect: (entry: number) => void,
  ) {
    this.#selected = selected;
    find(document, '.overview', HTMLElement).hidden = false;
    for (const select of findAll(document, 'select[data-axis]', HTMLSelectElement)) select.addEventListener('change', () => this.#drawPlot());
    const plot = find(document, '[data-show=plot]', HTMLElement);
    for (const place of [plot, find(document, '.cards', HTMLElement)]) {
      place.addEventListener('click', (event) => this.#at(event, (entry) => this.select(entry)));
      place.addEventListener('pointerover', (event) => this.#at(event, (entry) => this.#pointAt(entry)));
      place.addEventListener('focusin', (event) => this.#at(event, (entry) => this.#pointAt(entry)));
      place.addEventListener('pointerleave', () => this.#pointAt(undefined));
    }
    plot.addEventListener('keydown', (event) => this.#onKey(event));
    let width = plot.clientWidth;
    addEventListener('resize', () => {
      if (plot.clientWidth !== width) this.#drawPlot();
      width = plot.clientWidth;
    });
    this.#drawPlot();
    this.#drawPreview();
    this.#drawThumbs();
  }

  select(entry: number): void {
    this.#selected = entry;
    this.#near = undefined;
    for (const card of findAll(document, '.card', HTMLElement)) card.setAttribute('aria-pressed', String(card.dataset['entry'] === String(entry)));
    for (const dot of findAll(document, '.dot', SVGGElement)) {
      const isIt = dot.dataset['entry'] === String(entry);
      dot.setAttribute('aria-selected', String(isIt));
      dot.setAttribute('tabindex', isIt ? '0' : '-1');
    }
    this.#mark();
    this.#drawPreview();
    this.onSelect(entry);
  }

  #at(event: Event, act: (entry: number) => void): void {
    const target = event.target instanceof Element ? event.target.closest('[data-entry]') : null;
    const entry = target?.getAttribute('data-entry');
    if (entry !== null && entry !== undefined) act(Number(entry));
  }

  #pointAt(entry: number | undefined): void {
    if (entry === this.#near) return;
    this.#near = entry;
    this.#mark();
    this.#drawPreview();
  }

  #mark(): void {
    for (const each of findAll(document, '.card, .dot', Element)) each.classList.toggle('near', each.getAttribute('data-entry') === String(this.#near));
  }

  #points(): readonly PlotPoint[] {
    const { list } = this.entries.data;
    const [x, y] = this.#axes();
    return list.flatMap((each, entry) => {
      const [across, up] = [objectiveValue(each, x), objectiveValue(each, y)];
      const label = String(entryNumber(this.entries.data, entry));
      const words = `Layout ${label}: ${entryWords(this.entries.data, entry)}${entry === this.entries.data.knee ? '; most for what it asks' : ''}`;
      return across === undefined || up === undefined ? [] : [{ entry, x: across.valueOf(), y: up.valueOf(), label, words }];
    });
  }

  #axes(): readonly [string, string] {
    const [x, y] = ['x', 'y'].map((axis) => find(document, `select[data-axis=${axis}]`, HTMLSelectElement).value);
    return [x, y];
  }

  #drawPlot(): void {
    const [across, up] = this.#axes().map((name): PlotAxis => ({ name: measureWord(name), betterGreater: isBetterGreater(name), isShare: name === 'fill' }));
    const points = this.#points();
    const place = find(document, '[data-show=plot]', HTMLElement);
    const options = { across, up, knee: this.entries.data.knee, selected: this.#selected, width: place.clientWidth };
    find(document, '[data-show=better]', HTMLElement).textContent = betterWords(across, up);
    place.innerHTML = points.length === 0 ? '' : plotSvg(points, options);
  }

  /** One dot can be reached by Tab; arrow keys, Home and End go on from there. */
  #onKey(event: KeyboardEvent): void {
    const dots = findAll(document, '.dot', SVGGElement);
    const order = inPlotOrder(this.#points()).map((point) => String(point.entry));
    const focused = dots.find((dot) => dot === document.activeElement);
    if (focused === undefined) return;
    const at = order.indexOf(focused.dataset['entry'] ?? '');
    const steps: Readonly<Record<string, number>> = { ArrowRight: at + 1, ArrowUp: at + 1, ArrowLeft: at - 1, ArrowDown: at - 1, Home: 0, End: order.length - 1 };
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      this.select(Number(order[at]));
      return;
    }
    const next = steps[event.key];
    if (next === undefined) return;
    event.preventDefault();
    const target = dots.find((dot) => dot.dataset['entry'] === order[Math.max(0, Math.min(order.length - 1, next))]);
    for (const dot of dots) dot.setAttribute('tabindex', dot === target ? '0' : '-1');
    target?.focus();
  }

  #drawPreview(): void {
    const index = this.#near ?? this.#selected;
    const entry = this.entries.entry(index);
    const place = find(document, '[data-show=preview]', HTMLElement);
    place.dataset['entry'] = String(index);
    place.innerHTML = `<h3>Layout ${entryNumber(this.entries.data, index)}</h3>${figureList(entry)}${layoutSvg(entry.layout, { flows: entry.flows })}${index === this.#selected ? '<a href="#detail-heading">See it move</a>' : ''}`;
  }

  /** Cards are drawn when they come into sight; what flows in them is measured while there is nothing else to do. */
  #drawThumbs(): void {
    const waiting: HTMLElement[] = [];
    const draw = (thumb: HTMLElement, index: number): void => {
      const { layout, flows } = this.entries.entry(index);
      thumb.innerHTML = layoutSvg(layout, { flows });
    };
    const whenIdle = (act: () => void): void => {
      if ('requestIdleCallback' in window) requestIdleCallback(act, { timeout: 2000 });
      else setTimeout(act, 30);
    };
    const work = (): void => {
      const thumb = waiting.shift();
      if (thumb === undefined) return;
      const index = Number(thumb.dataset['thumb']);
      this.entries.measured(index);
      draw(thumb, index);
      if (waiting.length > 0) whenIdle(work);
    };
    const observer = new IntersectionObserver(
      (seen) => {
        for (const { isIntersecting, target } of seen) {
          if (!isIntersecting || !(target instanceof HTMLElement)) continue;
          observer.unobserve(target);
          draw(target, Number(target.dataset['thumb']));
          waiting.push(target);
          if (waiting.length === 1) whenIdle(work);
        }
      },
      { rootMargin: '200px' },
    );
    for (const thumb of findAll(document, '[data-thumb]', HTMLElement)) observer.observe(thumb);
    // Paper shows what was not in sight.
    addEventListener('beforeprint', () => {
      for (const thumb of findAll(document, '[data-thumb]', HTMLElement)) if (thumb.childElementCount === 0) draw(thumb, Number(thumb.dataset['thumb']));
    });
  }
}
