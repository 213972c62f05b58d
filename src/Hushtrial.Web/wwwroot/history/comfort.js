// What wearers said of comfort, at its moments: words in a row below the picture, and a dotted line through it. They are no levels and stand in no scale.
import { say } from '../sheet.js';
import { clock, ofDay } from './times.js';

/** Height of a line of tags, and how many lines there are at most. */
const LINE = 38, MOST_LINES = 3;
const LEAST = 30, APART = 6;
const HALF_A_DAY = 43_200;

/** Puts the words of the page's trial on its history, and keeps them there. @param {import('./page.js').HistoryPage} page */
export function showComfort(page) {
  const row = page.part('comfort');
  if (!row) return;
  const { history } = page, said = page.part('comfort-said'), words = page.part('comfort-words');
  const lines = history.root.querySelector('[data-part="marks"]');
  /** @type {{ time: number, tag: HTMLButtonElement, line: HTMLElement, width: number }[]} */
  let shown = [];
  let entries = [], now = '', height = 0;

  function read(fresh) {
    const data = fresh.getElementById('history-data') ?? document.getElementById('history-data');
    entries = [...data.querySelectorAll('[data-comfort-entry]')].map(e => ({ ...e.dataset, at: ofDay(e.dataset.at) })).filter(e => e.at !== null);
    show();
  }

  function show() {
    const key = JSON.stringify([entries, history.day, history.lanes.map(l => [l.recording, l.clock.start, l.length])]);
    if (key === now) return;
    now = key;
    const focused = shown.findIndex(s => s.tag === document.activeElement);
    for (const old of shown) { old.tag.remove(); old.line.remove(); }
    const placed = entries.map(entry => ({ ...entry, time: place(entry) })).filter(e => e.time !== null).sort((a, b) => a.time - b.time);
    shown = placed.map(make);
    row.hidden = words.hidden = shown.length === 0;
    said.textContent = '';
    height = 0;
    row.style.height = `${LINE}px`;
    const elsewhere = entries.length - shown.length;
    part('comfort-elsewhere', elsewhere > 0 ? say('Words on comfort with a clock outside of this picture: {0}.', elsewhere) : '');
    shown[focused]?.tag.focus({ preventScroll: true });
    lay();
  }

  function part(name, text) { const p = page.part(name); p.textContent = text; p.hidden = text === ''; }

  /** Its time on the axis; null when no recording of its run that is shown has that moment. */
  function place({ run, at }) {
    if (!history.day) return null;
    const time = history.day.own(at - history.day.start < -HALF_A_DAY ? at + 2 * HALF_A_DAY : at);
    const here = history.lanes.some(l => page.recordings.find(r => r.id === l.recording)?.run === run && time >= l.clock.start && time <= l.clock.at(l.length));
    return here ? time : null;
  }

  function make({ time, short, whole, at }) {
    const tag = Object.assign(document.createElement('button'), { type: 'button', className: 'comfort-tag', textContent: short });
    const all = say('Comfort, {0}: {1}', clock(at), whole);
    tag.title = all;
    tag.setAttribute('aria-label', all);
    tag.dir = 'auto';
    tag.addEventListener('focus', () => { const { from, to } = history.view, half = (to - from) / 2; if (time < from || time > to) history.look(time - half, time + half); });
    tag.addEventListener('click', () => { said.textContent = all; });
    row.append(tag);
    const line = Object.assign(document.createElement('div'), { className: 'comfort-line' });
    lines.append(line);
    return { time, tag, line, width: Math.ceil(tag.getBoundingClientRect().width) };
  }

  /** Puts each beside its moment, in the first line that has room; where none has, the one before it is cut short. */
  function lay() {
    if (shown.length === 0) return;
    // Their widths are not known while the page lays out without them.
    for (const one of shown) if (one.width === 0) { one.tag.style.maxWidth = ''; one.width = Math.ceil(one.tag.getBoundingClientRect().width); }
    const wide = history.wide, last = [];
    for (const one of shown) {
      const x = history.across(one.time), inside = x >= 0 && x <= wide;
      one.line.hidden = !inside;
      if (inside) one.line.style.transform = `translateX(${x.toFixed(1)}px)`;
      const left = inside ? Math.min(x, Math.max(0, wide - one.width)) : x < 0 ? -2000 : wide + 2000;
      let line = 0, width = one.width;
      if (inside) {
        while (line < MOST_LINES && last[line] && last[line].left + last[line].width + APART > left) line++;
        if (line === MOST_LINES) {
          line = last.reduce((best, l, i) => l.left < last[best].left ? i : best, 0);
          const before = last[line];
          before.one.tag.style.maxWidth = `${Math.max(LEAST, left - before.left - APART).toFixed(1)}px`;
        }
        last[line] = { left, width, one };
      }
      one.tag.style.maxWidth = `${width}px`;
      one.tag.style.transform = `translate(${left.toFixed(1)}px,${line * LINE}px)`;
    }
    // It grows and does not shrink, so that nothing jumps while one zooms.
    if (last.length > height) { height = last.length; row.style.height = `${height * LINE}px`; }
  }

  document.addEventListener('renewed', event => read(event.detail));
  history.addEventListener('drawn', () => { if (entries.length > 0 || now !== '') { show(); lay(); } });
  read(document);
}
