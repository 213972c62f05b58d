// What a person may do with a figure: read its numbers (t), copy it, save it as SVG or PNG.
import { ask, say, tell, trial } from './sheet.js';

/** The figure's file; throws what the workspace says when it does not give it. */
async function source(card) {
  const response = await ask(card.dataset.source);
  if (!response.ok) throw Object.assign(new Error(await response.text()), { isTold: true });
  return response.text();
}

/** Figures inside the report's own sections get the same acts as those in cards; their sources lie where the report's exports lie. */
function adopt() {
  for (const figure of document.querySelectorAll('figure.figure[id^="figure-"]')) {
    if (figure.closest('[data-figure]')) continue;
    const name = figure.id.slice('figure-'.length);
    const card = Object.assign(document.createElement('div'), { className: 'figure-card' });
    Object.assign(card.dataset, { figure: name, source: `/trials/${trial}/exports/figures/${name}.svg` });
    const acts = Object.assign(document.createElement('p'), { className: 'figure-acts', role: 'group', ariaLabel: say('Of this figure: {0}', figure.querySelector('title')?.textContent ?? name) });
    for (const [act, words] of [['copy', say('Copy')], ['svg', 'SVG'], ['png', 'PNG']]) {
      const button = Object.assign(document.createElement('button'), { type: 'button', className: 'quiet', textContent: words });
      button.dataset.figureDo = act;
      acts.append(button);
    }
    figure.replaceWith(card);
    card.append(figure, acts);
  }
}
adopt();
document.addEventListener('renewed', adopt);

/** The figure as a PNG of twice its size, drawn by the browser itself. */
async function png(card) {
  const svg = await source(card);
  const image = new Image();
  const address = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
  try {
    image.src = address;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.naturalWidth * 2;
    canvas.height = image.naturalHeight * 2;
    canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise(resolve => canvas.toBlob(resolve, 'image/png'));
  } finally {
    URL.revokeObjectURL(address);
  }
}

function save(blob, name) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

function numbers(card, button) {
  const table = document.getElementById(button.dataset.figureTable);
  table.hidden = !table.hidden;
  button.setAttribute('aria-expanded', String(!table.hidden));
  if (!table.hidden) table.querySelector('[tabindex]')?.focus({ preventScroll: true });
  else button.focus({ preventScroll: true });
}

document.addEventListener('click', async event => {
  const card = event.target.closest?.('[data-figure]');
  if (!card) return;
  const table = event.target.closest('[data-figure-table]');
  if (table) return numbers(card, table);
  const button = event.target.closest('[data-figure-do]');
  if (!button) return;
  try {
    if (button.dataset.figureDo === 'svg') save(new Blob([await source(card)], { type: 'image/svg+xml' }), `${card.dataset.figure}.svg`);
    else if (button.dataset.figureDo === 'png') save(await png(card), `${card.dataset.figure}.png`);
    else {
      await navigator.clipboard.write([new ClipboardItem({ 'image/png': png(card) })]);
      tell(say('Copied as a picture'));
    }
  } catch (error) {
    tell(error.isTold ? error.message : say('The browser does not allow it here. Save the figure instead.'), true);
  }
});

document.addEventListener('keydown', event => {
  if (event.key !== 't' || event.ctrlKey || event.metaKey || event.altKey || event.target.matches?.('input,textarea,select')) return;
  const cards = [...document.querySelectorAll('[data-figure]')].filter(c => c.querySelector('[data-figure-table]'));
  // The figure that the person is in, else the first one in view.
  const card = event.target.closest?.('[data-figure]') ?? cards.find(c => { const r = c.getBoundingClientRect(); return r.bottom > 80 && r.top < innerHeight * 0.8; });
  const button = card?.querySelector('[data-figure-table]');
  if (button) { event.preventDefault(); numbers(card, button); }
});
