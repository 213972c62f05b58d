// The spans on the picture: tags, washes, and the two edges of the chosen one, movable by mouse, touch and keyboard.
import { say } from '../sheet.js';
import { STRIP } from './picture.js';
import { clock, shown } from './times.js';

/**
 * A stretch of a recording with a meaning. Pencilled: seen or proposed, not in the trial yet.
 * @typedef {{ key: string, kind: 'take' | 'calibration' | 'quiet', path: string | null, recording: string, from: number, to: number, label: string, pencilled: boolean,
 *   channel: string, condition: string, fit: string, run: string, wearer: string, excluded: string, confidence: number | null, reasons: string[] }} Mark
 */

/** Shortest span, s. */
export const SHORTEST = 0.02;

export class Marks {
  /** @param {HTMLElement} root @param {import('./history.js').History} history */
  constructor(root, history) {
    [this.root, this.history] = [root, history];
    /** @type {Map<string, { mark: Mark, box: HTMLElement, tag: HTMLButtonElement }>} */
    this.shown = new Map();
    this.edges = ['from', 'to'].map(which => this.edge(which));
  }

  /** Shows exactly these. @param {Mark[]} marks @param {string | null} chosen */
  sync(marks, chosen) {
    const keys = new Set(marks.map(m => m.key));
    for (const [key, entry] of this.shown) if (!keys.has(key)) { entry.box.remove(); this.shown.delete(key); }
    let after = null;
    for (const mark of [...marks].sort((a, b) => a.from - b.from)) {
      const entry = this.shown.get(mark.key) ?? this.make(mark);
      entry.mark = mark;
      entry.box.className = `mark kind-${mark.kind}${mark.pencilled ? ' pencilled' : ''}${mark.excluded ? ' left-out' : ''}${mark.key === chosen ? ' chosen' : ''}`;
      if (entry.tag.textContent !== mark.label) entry.tag.textContent = mark.label;
      entry.tag.setAttribute('aria-pressed', String(mark.key === chosen));
      entry.tag.title = this.describe(mark);
      entry.tag.setAttribute('aria-label', this.describe(mark));
      // The order of the tab key is the order of time.
      if (entry.box.previousElementSibling !== after) { if (after) after.after(entry.box); else this.root.prepend(entry.box); }
      after = entry.box;
      if (mark.key === chosen) {
        for (const edge of this.edges) if (edge.parentElement !== entry.box) entry.box.append(edge);
        this.tellEdges(mark);
      }
    }
    if (!chosen || !keys.has(chosen)) for (const edge of this.edges) edge.remove();
  }

  /** Puts them where the view has them. */
  place() {
    const { history } = this, wide = history.wide;
    for (const { mark, box, tag } of this.shown.values()) {
      const lanes = history.lanes.filter(l => l.recording === mark.recording), at = own => lanes.length ? history.across(lanes[0].clock.at(own)) : -9e9;
      const a = at(mark.from), b = at(mark.to);
      const visible = b > -40 && a < wide + 40;
      if (box.hidden === visible) box.hidden = !visible;
      if (!visible) continue;
      // Far beyond the view a box may be as wide as a whole flight at 20 ms: its sides are cut off just outside.
      const left = Math.max(a, -60), right = Math.min(b, wide + 60), top = lanes[0].top - STRIP;
      box.style.transform = `translate(${left.toFixed(1)}px,${top}px)`;
      box.style.width = `${Math.max(1, right - left).toFixed(1)}px`;
      box.style.height = `${lanes.at(-1).top + lanes.at(-1).height - top}px`;
      tag.style.left = `${Math.max(0, -left).toFixed(1)}px`;
      // A narrow span keeps a tag to be chosen by; its words would cover its neighbours.
      const room = right - Math.max(left, 0), narrow = room < 40 && mark.key !== history.chosen;
      tag.classList.toggle('narrow', narrow);
      tag.classList.toggle('wordless', narrow && room < 26);
      tag.style.maxWidth = `${Math.max(room, narrow ? 10 : 40).toFixed(1)}px`;
      if (mark.key === history.chosen) {
        this.edges[0].hidden = a < -30;
        this.edges[1].hidden = b > wide + 30;
      }
    }
  }

  /** Words for a span. @param {Mark} mark */
  describe(mark) {
    const what = mark.kind === 'take' ? say('take {0}', mark.label) : mark.kind === 'calibration' ? say('calibration {0}', mark.label) : say('quiet for own noise, {0}', mark.label);
    const where = say('{0} to {1}', shown(mark.from), shown(mark.to));
    const more = [mark.excluded ? say('left out: {0}', mark.excluded) : '', mark.pencilled ? say('not in the trial yet') : ''].filter(Boolean).join(', ');
    return `${what}, ${where}${more ? `, ${more}` : ''}`;
  }

  make(mark) {
    const box = document.createElement('div');
    const tag = document.createElement('button');
    tag.type = 'button';
    tag.className = 'tag';
    tag.addEventListener('focus', () => this.history.keepInView(this.shown.get(mark.key)?.mark));
    tag.addEventListener('click', () => { if (!this.dragged) this.history.choose(mark.key); });
    this.draggable(tag, () => this.shown.get(mark.key)?.mark, (m, start, delta) => {
      const length = start.to - start.from, limit = this.history.lengthOf(m.recording);
      const from = Math.min(Math.max(0, start.from + delta), Math.max(0, limit - length));
      return { from, to: from + length };
    }, () => this.history.chosen === mark.key);
    box.append(tag);
    const entry = { mark, box, tag };
    this.shown.set(mark.key, entry);
    this.root.append(box);
    return entry;
  }

  edge(which) {
    const edge = document.createElement('div');
    edge.className = `edge ${which}`;
    edge.tabIndex = 0;
    edge.setAttribute('role', 'slider');
    edge.setAttribute('aria-orientation', 'horizontal');
    const moved = (mark, start, delta) => {
      const limit = this.history.lengthOf(mark.recording);
      return which === 'from' ? { from: Math.min(Math.max(0, start.from + delta), start.to - SHORTEST), to: start.to }
        : { from: start.from, to: Math.max(Math.min(limit, start.to + delta), start.from + SHORTEST) };
    };
    this.draggable(edge, () => this.history.chosenMark, moved, () => true);
    edge.addEventListener('keydown', event => {
      const mark = this.history.chosenMark;
      const unit = event.ctrlKey || event.metaKey ? 0.01 : event.shiftKey ? 1 : 0.1;
      const delta = { ArrowLeft: -unit, ArrowDown: -unit, ArrowRight: unit, ArrowUp: unit, PageDown: -10, PageUp: 10, Home: -1e9, End: 1e9 }[event.key];
      if (!mark || delta === undefined || event.altKey) return;
      event.preventDefault();
      event.stopPropagation();
      // Whole hundredths, so that steps do not drift from what is shown.
      const next = moved(mark, mark, delta);
      this.history.move(mark, { from: Math.round(next.from * 1000) / 1000, to: Math.round(next.to * 1000) / 1000 });
      this.history.keepInView(mark, which === 'from' ? next.from : next.to);
      this.tellEdges(this.history.live(mark));
      clearTimeout(this.settling);
      this.settling = setTimeout(() => this.history.settle(mark), 600);
    });
    edge.addEventListener('blur', () => { if (this.settling) { clearTimeout(this.settling); this.settling = 0; const mark = this.history.chosenMark; if (mark) this.history.settle(mark); } });
    return edge;
  }

  tellEdges(mark) {
    this.edges.forEach((edge, i) => {
      const time = i === 0 ? mark.from : mark.to, ofDay = this.history.timeOfDay(mark.recording, time);
      edge.setAttribute('aria-label', i === 0 ? say('Start of {0}', mark.label) : say('End of {0}', mark.label));
      edge.setAttribute('aria-valuemin', '0');
      edge.setAttribute('aria-valuemax', this.history.lengthOf(mark.recording).toFixed(3));
      edge.setAttribute('aria-valuenow', time.toFixed(3));
      edge.setAttribute('aria-valuetext', shown(time, 2) + (ofDay === null ? '' : `, ${say('clock')} ${clock(ofDay, 1)}`));
    });
  }

  /** Lets an element drag a span: what it moves to is the answer of a function of where it started and how far it came. */
  draggable(element, markOf, to, when) {
    element.addEventListener('pointerdown', event => {
      const mark = markOf();
      if (!mark || event.button !== 0 || !when()) return;
      event.stopPropagation();
      element.setPointerCapture(event.pointerId);
      const start = { from: mark.from, to: mark.to }, x = event.clientX;
      this.dragged = false;
      const go = e => {
        if (e.pointerId !== event.pointerId) return;
        if (!this.dragged && Math.abs(e.clientX - x) < 3) return;
        this.dragged = true;
        this.history.move(mark, to(mark, start, (e.clientX - x) * this.history.perPixel));
        this.tellEdges(this.history.live(mark));
      };
      const end = e => {
        if (e.pointerId !== event.pointerId) return;
        element.removeEventListener('pointermove', go);
        element.removeEventListener('pointerup', end);
        element.removeEventListener('pointercancel', end);
        if (this.dragged) this.history.settle(mark);
        setTimeout(() => { this.dragged = false; });
      };
      element.addEventListener('pointermove', go);
      element.addEventListener('pointerup', end);
      element.addEventListener('pointercancel', end);
    });
  }
}
