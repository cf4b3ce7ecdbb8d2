/**
 * The moving station of one layout: runs the simulator in the page, tick by tick, and answers its buttons.
 * Nothing here knows other layouts; those who change them make a new stage and end the old one.
 */
import { startDelays } from '../simulation/starts.js';
import { exitLetter } from '../report/labels.js';
import { counted } from '../report/numbers.js';
import type { PageEntry } from '../report/page/page-data.js';
import { sideWord } from '../report/svg/lane-words.js';
import { LiveLayer } from './live-layer.js';
import { find, findAll } from './find.js';
import { StationRun } from './station-run.js';
import { tapeSvg } from './tape-svg.js';

/** Milliseconds of a frame that may go into ticks; beyond it the station falls behind rather than the page. */
const FRAME_MS = 10;
/** Ticks that are run ahead before the page is first seen, if the station settles within them. */
const SETTLE_TICKS = 50_000;
/** Pitches that fill the tapes once the station has settled. */
const TAPE_PITCHES = 32;

export class Stage {
  #station: StationRun;
  #layer: LiveLayer | undefined;
  #isRunning = false;
  #speed = 1;
  #lastMs = 0;
  #owed = 0;
  #frame = 0;

  constructor(
    private readonly root: HTMLElement,
    private readonly entry: PageEntry,
  ) {
    this.#station = new StationRun(entry.layout, undefined);
    const controls = find(root, '.controls', HTMLElement);
    controls.hidden = false;
    controls.addEventListener('click', this.#onClick);
    controls.addEventListener('change', this.#onChange);
    controls.addEventListener('keydown', this.#onKey);
    this.#advanceTo(this.#settledTick());
    this.#show();
  }

  end(): void {
    cancelAnimationFrame(this.#frame);
    this.#isRunning = false;
  }

  /** A tick at which the station does what it does for ever, with full tapes; 0 where that is too far off. */
  #settledTick(): number {
    const { layout, trial } = this.entry;
    const slowest = Math.min(...this.#station.run.network.carriers.map(({ speed }) => speed), layout.catalog.pitch);
    const tick = trial.transientTicks + Math.ceil((TAPE_PITCHES * layout.catalog.pitch) / slowest);
    return trial.exact && tick <= SETTLE_TICKS ? tick : 0;
  }

  #advanceTo(tick: number): void {
    if (tick < this.#station.tick) this.#station.reset();
    while (this.#station.tick < tick) this.#station.step();
  }

  readonly #onClick = (event: Event): void => {
    const action = event.target instanceof Element ? event.target.closest('button')?.dataset['action'] : undefined;
    if (action === 'run') this.#setRunning(!this.#isRunning);
    if (action === 'step') {
      this.#setRunning(false);
      this.#station.step();
      this.#show();
    }
    if (action === 'reset') {
      this.#setRunning(false);
      this.#station.reset();
      this.#show();
    }
    if (action === 'go') this.#go();
  };

  readonly #onKey = (event: KeyboardEvent): void => {
    if (event.key === 'Enter' && event.target instanceof HTMLInputElement) this.#go();
  };

  readonly #onChange = (event: Event): void => {
    if (event.target instanceof HTMLInputElement && event.target.dataset['action'] === 'lines') {
      find(this.root, '.picture svg', SVGSVGElement).classList.toggle('lines', event.target.checked);
    }
    if (!(event.target instanceof HTMLSelectElement)) return;
    if (event.target.dataset['action'] === 'speed') this.#speed = Number(event.target.value);
    if (event.target.dataset['action'] === 'start') {
      const { layout, seed } = this.entry;
      const start = Number(event.target.value);
      const delays = start === 0 || seed === undefined ? undefined : startDelays(this.#station.run.program, seed, start);
      this.#setRunning(false);
      this.#station = new StationRun(layout, delays);
      this.#show();
    }
  };

  #go(): void {
    const field = find(this.root, 'input[data-action=tick]', HTMLInputElement);
    if (!field.checkValidity() || field.value === '') {
      field.reportValidity();
      return;
    }
    this.#setRunning(false);
    this.#advanceTo(Number(field.value));
    this.#show();
  }

  #setRunning(runs: boolean): void {
    if (runs === this.#isRunning) return;
    this.#isRunning = runs;
    find(this.root, 'button[data-action=run]', HTMLButtonElement).textContent = runs ? 'Pause' : 'Run';
    if (!runs) {
      cancelAnimationFrame(this.#frame);
      return;
    }
    this.#lastMs = performance.now();
    this.#owed = 0;
    this.#frame = requestAnimationFrame(this.#onFrame);
  }

  readonly #onFrame = (now: number): void => {
    if (!this.#isRunning) return;
    const { ticksPerSecond } = this.entry.layout.catalog;
    this.#owed += (Math.max(0, now - this.#lastMs) / 1000) * ticksPerSecond * this.#speed;
    this.#lastMs = now;
    const until = performance.now() + FRAME_MS;
    while (this.#owed >= 1 && performance.now() < until) {
      this.#station.step();
      this.#owed -= 1;
    }
    // What could not be done in time is let go.
    this.#owed %= 1;
    this.#show();
    this.#frame = requestAnimationFrame(this.#onFrame);
  };

  #show(): void {
    const picture = find(this.root, '.picture svg', SVGSVGElement);
    if (this.#layer === undefined) {
      this.#layer = new LiveLayer(picture, this.entry.layout, this.#station.run);
      picture.classList.add('moves');
    }
    this.#layer.show(this.#station.run);
    this.#showClock();
    this.#showTapes();
  }

  #showClock(): void {
    const { ticksPerSecond } = this.entry.layout.catalog;
    const { tick } = this.#station;
    const clock = find(this.root, '[data-show=clock]', HTMLElement);
    clock.dataset['tick'] = String(tick);
    clock.textContent = `tick ${tick}, ${(tick / ticksPerSecond).toFixed(2)} s`;
  }

  #showTapes(): void {
    const { layout } = this.entry;
    const counts = this.#station.run.counts();
    const place = find(this.root, '[data-show=tapes]', HTMLElement);
    const width = place.clientWidth;
    const tapes = layout.exits.map((exit, index) => {
      const { left, right } = counts.exits[index];
      const lanes = ([['left', 0, left], ['right', 1, right]] as const).map(([side, number, count]) => ({
        name: `${sideWord(side, exit.heading)}: ${counted(count, 'item')} left so far`,
        tape: this.#station.tape(index, number),
      }));
      const letter = exitLetter(index);
      const label = `What left over exit ${letter} last: ${left} items on the left lane, ${right} on the right one so far`;
      return { letter, left, right, svg: tapeSvg(lanes, layout.catalog.pitch, label, width) };
    });
    if (place.childElementCount !== tapes.length * 2) {
      place.innerHTML = tapes.map(({ letter }) => `<h3>Last pitches over exit ${letter}</h3><div class="tape" data-exit="${letter}"></div>`).join('');
    }
    findAll(place, '.tape', HTMLElement).forEach((each, index) => {
      each.innerHTML = tapes[index].svg;
      each.dataset['left'] = String(tapes[index].left);
      each.dataset['right'] = String(tapes[index].right);
    });
  }
}
