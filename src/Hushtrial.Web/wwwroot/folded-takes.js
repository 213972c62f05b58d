// On a phone every take is one line that unfolds: thirty takes in fields would be thirty screens.
import { say } from './sheet.js';

/** Rows that the person has opened, by take. */
const unfolded = new Set();

/** @param {Document} fresh the page as it was just renewed: rows that somebody is typing in stand there as they were */
function fold(fresh) {
  for (const row of document.querySelectorAll('#takes tr[data-mark]')) {
    const head = row.querySelector('th');
    let button = head.querySelector('button');
    if (!button) {
      button = Object.assign(document.createElement('button'), { type: 'button', className: 'unfold' });
      button.addEventListener('click', () => show(row, button, !unfolded.has(row.dataset.mark)));
      head.append(button);
    }
    const { mark, label, from, to, condition, excluded, analysed } = (fresh.getElementById(row.id) ?? row).dataset;
    const said = [label, say('{0} to {1}', from, to), excluded ? say('left out: {0}', excluded) : analysed].filter(Boolean).join(' · ');
    if (button.textContent !== said) button.textContent = said;
    // What is wrong or not complete is never folded away.
    show(row, button, unfolded.has(mark) || !from || !to || !condition || row.querySelector('[aria-invalid="true"]') !== null);
  }
}

function show(row, button, open) {
  if (open) unfolded.add(row.dataset.mark); else unfolded.delete(row.dataset.mark);
  row.classList.toggle('folded', !open);
  button.setAttribute('aria-expanded', String(open));
}

document.addEventListener('renewed', event => fold(event.detail));
fold(document);
