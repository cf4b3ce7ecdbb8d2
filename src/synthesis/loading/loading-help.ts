/**
 * Help for a run that has turned out to be long (`loading-shares.ts`): at each price whoever has time is asked, and takes
 * places of it besides the run itself. Nobody waits for helpers that have taken none, such as those that are still starting.
 */
import { counter, takerOf, type Counter, type LoadingAnswer, type LoadingHelpers } from './loading-shares.js';
import type { Others, Told } from './loading-told.js';

interface Asked {
  /** Places that were taken. */
  readonly own: Counter;
  readonly answer: Promise<LoadingAnswer>;
}

/** Where an answer is of no interest any more, nor is it that none comes. */
const unheard = (): undefined => undefined;

export class LoadingHelp {
  private helpers: { readonly who: LoadingHelpers | undefined } | undefined;
  /** Those who have not answered yet. */
  private readonly busy = new Set<number>();
  /** Those who were asked at some price. */
  private readonly acquainted = new Set<number>();
  /** Who was asked at this price. */
  private readonly asked = new Map<number, Asked>();
  private taken = counter();

  /** `open`: asked for once, when help is wanted. */
  constructor(private readonly open: () => LoadingHelpers | undefined) {}

  /** For a price of which nothing is taken yet; tells at each of its places whether the run itself is to go through it. */
  begin(): () => boolean {
    this.asked.clear();
    this.taken = counter();
    return takerOf(this.taken, counter());
  }

  /** Those who help, if anybody does. */
  get others(): Others | undefined {
    this.helpers ??= { who: this.open() };
    return this.helpers.who?.others;
  }

  /** Has all who are not busy help with the price that was begun. `known`: what is to be told to those who are asked for the first time. */
  async ask(price: number, known: () => readonly Told[]): Promise<void> {
    const { taken, busy, asked, acquainted } = this;
    const helpers = this.helpers?.who;
    if (helpers === undefined) return;
    await helpers.turn();
    for (let index = 0; index < helpers.count; index++) {
      if (busy.has(index) || asked.has(index)) continue;
      const own = counter();
      busy.add(index);
      const task = { price, taken, own, known: acquainted.has(index) ? [] : known() };
      acquainted.add(index);
      const answer = helpers.search(task, index).finally(() => busy.delete(index));
      answer.catch(unheard);
      asked.set(index, { own, answer });
    }
  }

  /** Once all places were met: the answers of those who have taken any. `meanwhile`: called now and then until these are there. */
  async answers(meanwhile: () => Promise<void>): Promise<readonly LoadingAnswer[]> {
    const pause = this.helpers?.who?.pause;
    let pending = pause !== undefined && this.haveTaken.length > 0;
    const all = this.all().finally(() => {
      pending = false;
    });
    all.catch(unheard);
    while (pending) {
      await meanwhile();
      await Promise.race([all, pause?.()]);
    }
    return all;
  }

  /** Answers, where a run ends early. */
  stop(): Promise<readonly LoadingAnswer[]> {
    this.helpers?.who?.stop();
    return this.all();
  }

  private get haveTaken(): readonly Asked[] {
    return [...this.asked.values()].filter(({ own }) => Atomics.load(own, 0) > 0);
  }

  private all(): Promise<readonly LoadingAnswer[]> {
    return Promise.all(this.haveTaken.map(({ answer }) => answer));
  }
}
