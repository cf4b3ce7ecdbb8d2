/**
 * What happens in a page: reads the list that stands in it, sets up plot and cards, and puts the chosen layout on
 * the stage. `src/cli/bundle-page.mjs` makes one script of this and all it needs, the simulator included.
 */
import { detailHtml } from '../report/page/detail-html.js';
import { entryHeading, entryNumber, entryWords, firstShown, type PageData } from '../report/page/page-data.js';
import { Entries } from './entries.js';
import { find, findAll } from './find.js';
import { Overview } from './overview.js';
import { Stage } from './stage.js';

const data = JSON.parse(find(document, '#list', HTMLScriptElement).textContent) as PageData;
const entries = new Entries(data);
const detail = find(document, '[data-show=detail]', HTMLElement);
let stage: Stage | undefined;

find(document, '[data-show=script-needed]', HTMLElement).hidden = true;

/** Rows of arms point at the arms of the picture, and the other way round. */
function linkArms(): void {
  for (const row of findAll(detail, 'tr[data-at]', HTMLElement)) {
    const arm = detail.querySelector(`.picture [data-at="${row.dataset['at'] ?? ''}"]`);
    for (const each of [row, arm]) {
      each?.addEventListener('pointerenter', () => [row, arm].forEach((both) => both?.classList.add('near')));
      each?.addEventListener('pointerleave', () => [row, arm].forEach((both) => both?.classList.remove('near')));
    }
  }
}

function show(index: number): void {
  stage?.end();
  const entry = entries.measured(index);
  detail.innerHTML = detailHtml(entry, entryHeading(data, index, entry.layout.name));
  detail.dataset['entry'] = String(index);
  stage = new Stage(detail, entry);
  linkArms();
}

show(firstShown(data));
if (data.list.length > 1) {
  new Overview(entries, firstShown(data), (index) => {
    show(index);
    find(document, '[data-show=news]', HTMLElement).textContent = `Layout ${entryNumber(data, index)} is shown below: ${entryWords(data, index)}.`;
  });
}
