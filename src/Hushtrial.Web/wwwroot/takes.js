// The takes: which stretch of which recording is the open ear, and which is which device in which fit.
import { change, say } from './sheet.js';
import { HistoryPage } from './history/page.js';
import { written } from './history/times.js';

const page = new HistoryPage({ kinds: ['take'], edit: keepTake });

/** The change that makes a take of a pencilled span; null while the condition is not said. */
function keepTake(mark, taken = []) {
  if (!mark.condition) return null;
  const id = nextOf(page.nextTake, taken);
  taken.push(id);
  const fields = { id, recording: mark.recording, from: written(mark.from), to: written(mark.to), condition: mark.condition };
  const recording = page.recordings.find(r => r.id === mark.recording);
  if (mark.run && mark.run !== recording?.run) fields.run = mark.run;
  if (mark.wearer) fields.wearer = mark.wearer;
  if (mark.condition !== 'open') fields.fit = mark.fit || page.conditions.find(c => c.id === mark.condition)?.next || 'F1';
  return { add: { section: 'takes', fields } };
}

/** The name after those that were just given: T07, T08 … */
function nextOf(first, taken) {
  const match = /^(.*?)(\d+)$/.exec(first);
  return !match || taken.length === 0 ? first : match[1] + String(Number(match[2]) + taken.length).padStart(match[2].length, '0');
}

page.removal = mark => ({ remove: { section: 'takes', entry: mark.id } });

page.fillMore = (mark, put) => {
  put('condition', mark.condition);
  put('wearer', mark.wearer);
  put('run', mark.run);
  put('excluded', mark.excluded);
  const open = mark.condition === 'open' || mark.condition === '';
  const fit = page.panel.root.querySelector('[data-part="fit"]');
  fit.hidden = open;
  const condition = page.conditions.find(c => c.id === mark.condition);
  put('fit', mark.fit || (mark.pencilled ? condition?.next ?? '' : ''));
  document.getElementById('fit-names').replaceChildren(...(condition ? [...condition.fits, condition.next] : []).filter(Boolean).map(value => Object.assign(document.createElement('option'), { value })));
  page.panel.root.querySelector('[data-part="fit-hint"]').textContent = condition ? (condition.fits.includes(mark.fit) ? say('One of the fits of this device so far. A new putting-on would be {0}.', condition.next) : say('A new putting-on of the device. Takes in the same one share its name.')) : '';
};

page.changed = async (mark, name, value) => {
  if (mark.pencilled) {
    mark[name] = value;
    if (name === 'condition') mark.fit = '';
    page.panel.fill();
    page.history.sync();
    return;
  }
  if (name === 'condition') {
    // The open ear has no fit; a device without one gets a new one.
    const fit = value === 'open' ? '' : page.conditions.find(c => c.id === value)?.fits.includes(mark.fit) ? mark.fit : page.conditions.find(c => c.id === value)?.next ?? '';
    await change({ several: [{ set: { path: `${mark.path}.condition`, value } }, { set: { path: `${mark.path}.fit`, value: fit } }] });
  } else await change({ set: { path: `${mark.path}.${name}`, value } });
};
