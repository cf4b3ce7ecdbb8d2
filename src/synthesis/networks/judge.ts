/**
 * Whether networks and whole layouts meet the brief, by the simulator's word; each is asked about once, as
 * far as memory goes. A layout of several networks is judged network by network first: one that falls short
 * rules out every layout that has it.
 */
import { Recent } from '../../base/recent.js';
import type { Brief } from '../../brief/brief.js';
import { buildLayout } from '../carriers/build-layout.js';
import { DEAD, exitOf, type CarrierView } from '../carriers/carrier-network.js';
import type { Crew } from '../site/crew.js';
import { layoutSignature, networkSignature } from './network-signature.js';
import { cutOut, networksOf, type NetworkPart } from './networks.js';
import type { ProofStep } from '../proof-step.js';
import type { SiteMap } from '../site/site-map.js';
import type { Verify, Witness } from '../verifier.js';

const FAILS: Witness = { verdict: 'fails' };

/** The simulator's word for as long as a search goes on: it is thrown out of what it is asked when it is to stop. */
export const untilStopped =
  ({ verify, shouldStop }: { readonly verify: Verify; readonly shouldStop: () => boolean }): Verify =>
  (layout, brief, flowsAlone) =>
    verify(layout, brief, flowsAlone, shouldStop);

/** Signatures take about a kilobyte each; twice as many may be known. What is forgotten is simulated anew. */
const MOST_KNOWN = 100_000;
/** So many wait for others at most. Whoever is not told of one simulates it as well. */
const MOST_NEWS = 50_000;

export class Judge {
  simulations = 0;
  /** Signatures that fall short, in the order in which they were found here. */
  private news: string[] = [];
  /** By signature; those of layouts and of networks are never the same. */
  private readonly known: Recent<Witness>;

  constructor(
    private readonly verify: Verify,
    private readonly onJudged: (step: ProofStep) => void,
    /** Of the run; maps may be of some of its exits alone. */
    private readonly whole: Brief,
    mostKnown = MOST_KNOWN,
  ) {
    this.known = new Recent(mostKnown);
  }

  /** Takes over what another one of the same brief has ruled out. */
  learn(signatures: readonly string[]): void {
    for (const signature of signatures) this.known.set(signature, FAILS);
  }

  /** What was found to fall short since this was last asked for. */
  takeRuledOut(): readonly string[] {
    const { news } = this;
    this.news = [];
    return news;
  }

  /** Of a whole layout of `map`'s brief, or of its heads with stubs for last stretches. */
  layout(map: SiteMap, view: CarrierView, crew: Crew): Witness {
    const parts = networksOf(view, crew);
    const signature = layoutSignature(map, view, crew, parts);
    return this.known.get(signature) ?? this.note(signature, this.newLayout(map, view, crew, parts, signature));
  }

  /** Of the flows alone: whatever fills the chests. */
  networks(map: SiteMap, view: CarrierView, crew: Crew): Witness['verdict'] {
    return this.worst(map, view, crew, networksOf(view, crew));
  }

  private newLayout(map: SiteMap, view: CarrierView, crew: Crew, parts: readonly NetworkPart[], signature: string): Witness {
    const { brief } = map;
    if (parts.length > 1 && brief.together === undefined && this.worst(map, view, crew, parts) === 'fails') return FAILS;
    this.simulations++;
    const layout = buildLayout(map, view, crew);
    const witness = this.verify(layout, brief);
    const exits = brief.exits.map((_, e) => e);
    this.onJudged({ kind: 'judged', signature, exits, stub: hasStub(map, view), layout, verdict: witness.verdict });
    return witness;
  }

  private note(signature: string, witness: Witness): Witness {
    this.known.set(signature, witness);
    if (witness.verdict === 'fails' && this.news.length < MOST_NEWS) this.news.push(signature);
    return witness;
  }

  private worst(map: SiteMap, view: CarrierView, crew: Crew, parts: readonly NetworkPart[]): Witness['verdict'] {
    let worst: Witness['verdict'] = 'passes';
    for (const part of parts) {
      const verdict = this.network(map, view, crew, part);
      if (verdict === 'fails') return 'fails';
      if (verdict === 'undecided') worst = 'undecided';
    }
    return worst;
  }

  private network(map: SiteMap, view: CarrierView, crew: Crew, part: NetworkPart): Witness['verdict'] {
    const signature = networkSignature(map, view, part);
    const known = this.known.get(signature);
    if (known !== undefined) return known.verdict;
    this.simulations++;
    const alone = cutOut(view, crew, part);
    const layout = buildLayout(map, alone.view, alone.crew);
    const { verdict } = this.note(signature, this.verify(layout, briefOf(map.brief, part), true));
    const exits = part.exits.map((e) => this.whole.exits.indexOf(map.brief.exits[e]));
    this.onJudged({ kind: 'judged', signature, exits, stub: hasStub(map, alone.view), layout, verdict });
    return verdict;
  }
}

/** Whether some last stretch stands for all ways to its exit, and leaves elsewhere than at the site's edge. */
function hasStub({ exitsAt }: SiteMap, { count, next, head, heading }: CarrierView): boolean {
  for (let c = 0; c < count; c++) {
    if (next[c] < DEAD && (exitsAt[head[c] * 4 + heading[c]] & (1 << exitOf(next[c]))) === 0) return true;
  }
  return false;
}

const briefOf = (brief: Brief, { exits }: NetworkPart): Brief => ({ ...brief, exits: exits.map((e) => brief.exits[e]) });
