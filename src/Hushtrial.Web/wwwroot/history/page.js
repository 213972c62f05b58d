// What the pages with a level history have in common: pickers, buttons, keys, and what becomes of spans.
import { change, say, tell } from '../sheet.js';
import { commonAxis, rateOf } from './clocks.js';
import { showComfort } from './comfort.js';
import { A, C, FAST } from './levels.js';
import { History } from './history.js';
import { SpanPanel } from './panel.js';
import { Proposals } from './proposals.js';
import { ofDay, seconds, written } from './times.js';

/** @typedef {import('./marks.js').Mark} Mark */

const typing = target => target?.matches?.('input,textarea,select,[contenteditable]');

export class HistoryPage {
  /**
   * @param {object} how
   * @param {Mark['kind'][]} how.kinds spans that the page is about
   * @param {(mark: Mark) => object | null} how.edit the change that keeps a pencilled span; null when something is missing
   */
  constructor({ kinds, edit }) {
    [this.kinds, this.edit] = [kinds, edit];
    this.root = document.getElementById('history');
    const panel = document.getElementById('panel');
    if (!this.root || !panel) return;
    this.history = new History(this.root);
    /** @type {Mark[]} */
    this.pencilled = [];
    this.count = 0;
    this.proposals = new Proposals(this);
    this.panel = new SpanPanel(panel, this);
    this.what = this.part('what');
    this.microphone = this.part('channel');
    this.read(document);
    // The page opens where its spans are.
    const first = this.settled.find(m => [...this.what.options].some(o => o.value === m.recording));
    if (first) this.what.value = first.recording;
    this.open();
    this.wire();
    showComfort(this);
  }

  part(name) { return this.root.querySelector(`[data-part="${name}"]`); }

  // ---- what the page says

  /** Reads recordings, microphones and spans. Live parts that were renewed stand in the page itself, those that somebody is typing in only in the fresh one. @param {Document} fresh */
  read(fresh) {
    const parts = ['history-data', 'takes', 'calibration-spans'].map(id => fresh.getElementById(id) ?? document.getElementById(id)).filter(Boolean);
    const all = (selector, make) => parts.flatMap(part => [...part.querySelectorAll(selector)]).map(e => make(e.dataset));
    this.recordings = all('[data-recording-entry]', d => ({ id: d.recordingEntry, name: d.name, run: d.run ?? '', starts: ofDay(d.starts, d.offset), rate: rateOf(d.drift) }));
    this.channels = all('[data-channel-entry]', d => ({ id: d.channelEntry, name: d.name, number: Number(d.number), fullScale: d.fullScale ? Number(d.fullScale) : null }));
    if (this.channels.length === 0) this.channels = [{ id: '', name: say('channel {0}', 1), number: 1, fullScale: null }];
    this.conditions = all('[data-condition-entry]', d => ({ id: d.conditionEntry, name: d.name, fits: (d.fits ?? '').split(' ').filter(Boolean), next: d.nextFit ?? '' }));
    const settled = all('[data-mark]', d => ({
      key: d.mark, kind: d.kind, path: d.at, recording: d.recording ?? '', from: seconds(d.from), to: seconds(d.to), label: d.label, pencilled: false, channel: d.channel ?? '',
      condition: d.condition ?? '', fit: d.fit ?? '', run: d.run ?? '', wearer: d.wearer ?? '', excluded: d.excluded ?? '', analysed: d.analysed ?? '', confidence: null, reasons: [], id: d.entry ?? '',
    })).filter(m => this.kinds.includes(m.kind) && m.from !== null && m.to !== null && m.to > m.from);
    // What is being dragged right now stays where the hand has it.
    const held = this.history.chosenMark;
    if (held?.moved) for (const mark of settled) if (mark.key === held.key) Object.assign(mark, { from: held.from, to: held.to, moved: true });
    this.settled = settled;
    this.nextTake = parts.find(p => p.dataset.nextTake)?.dataset.nextTake ?? 'T01';
    for (const lane of this.history.lanes) lane.fullScale = this.channels.find(c => c.number === lane.channel)?.fullScale ?? null;
    this.refresh();
  }

  refresh() {
    this.history.setSpans([...this.settled, ...this.pencilled]);
    this.history.explain();
    this.panel.fill();
    this.proposals.tally();
  }

  /** Shows what the pickers say. */
  open() {
    const ids = (this.what.value || '').split(' ').filter(Boolean);
    const recordings = ids.map(id => this.recordings.find(r => r.id === id)).filter(Boolean);
    const channels = this.microphone.value === '*' ? this.channels : this.channels.filter(c => c.id === this.microphone.value).slice(0, 1);
    const { places, day } = commonAxis(recordings);
    this.history.show(recordings.flatMap((r, i) => (channels.length ? channels : this.channels.slice(0, 1)).map(c => ({
      recording: r.id, channel: c.number, name: recordings.length > 1 ? `${r.id}, ${c.name}` : c.name, clock: places[i], fullScale: c.fullScale, length: 0,
    }))), day);
    this.refresh();
  }

  // ---- wiring

  wire() {
    const { history } = this;
    document.addEventListener('renewed', event => this.read(event.detail));
    this.what.addEventListener('change', () => this.open());
    this.microphone.addEventListener('change', () => this.open());
    this.part('quantity').addEventListener('change', event => history.setQuantity({ A, C, F: FAST }[event.target.value]));
    history.addEventListener('chosen', () => { this.panel.fill(); this.panel.audio.pause(); });
    history.addEventListener('moving', () => this.panel.numbers());
    history.addEventListener('measured', () => this.panel.numbers());
    history.addEventListener('pencil', event => this.pencil(event.detail));
    history.addEventListener('made', () => this.focusPanel());
    history.addEventListener('settled', event => this.keepEdges(event.detail));
    for (const [what, act] of Object.entries({
      closer: () => history.zoom(0.5), farther: () => history.zoom(2), whole: () => history.look(history.all.from, history.all.to), mark: () => history.pencilInView(20),
    })) this.root.querySelector(`[data-do="${what}"]`)?.addEventListener('click', act);
    document.addEventListener('click', event => {
      const button = event.target.closest?.('[data-show]');
      const mark = button && this.settled.find(m => m.key === button.dataset.show);
      if (!mark) return;
      this.reveal(mark);
      this.root.scrollIntoView({ block: 'start', behavior: matchMedia('(prefers-reduced-motion:reduce)').matches ? 'auto' : 'smooth' });
      history.focusEdge();
    });
    const near = [this.root, this.panel.root];
    // Enter in a field of a span in pencil takes it into the trial, with what was just typed.
    this.panel.root.addEventListener('keydown', event => {
      const mark = history.chosenMark;
      if (event.key !== 'Enter' || !mark?.pencilled || !event.target.matches('input:not([list])')) return;
      event.preventDefault();
      event.target.blur();
      if (!this.panel.waits(mark)) this.keep();
    });
    document.addEventListener('keydown', event => {
      if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target) || !near.some(e => e.contains(event.target))) return;
      const act = this.keyed(event);
      if (!act) return;
      event.preventDefault();
      act();
    });
  }

  /** What a key does inside the history and the panel. */
  keyed(event) {
    const mark = this.history.chosenMark, onButton = event.target.matches?.('button,a,summary');
    switch (event.key) {
      case '+': case '=': return () => this.history.zoom(0.7);
      case '-': return () => this.history.zoom(1 / 0.7);
      case '0': return () => this.history.look(this.history.all.from, this.history.all.to);
      case 'm': case 'M': return () => this.history.pencilInView(20);
      case 'l': case 'L': return mark && (() => this.panel.listen());
      case ' ': return mark && !onButton && (() => this.panel.listen());
      case 'n': case 'N': return () => this.proposals.step(1);
      case 'p': case 'P': return () => this.proposals.step(-1);
      case '.': return () => this.turn(1);
      case ',': return () => this.turn(-1);
      case 'z': case 'Z': return mark && (() => this.showChosen());
      case 'Enter': return mark?.pencilled && (!onButton || event.target.classList.contains('tag')) && (() => this.keep());
      case 'Escape': return mark && (() => (mark.pencilled && mark.confidence === null ? this.drop() : this.history.choose(null)));
      case 'Delete': return mark && (() => this.drop());
      default: return null;
    }
  }

  /** The next span in time. */
  turn(by, among = this.history.spans.filter(s => this.history.laneOf(s.recording))) {
    const when = mark => this.history.laneOf(mark.recording).clock.at(mark.from);
    const list = [...among].sort((a, b) => when(a) - when(b));
    if (list.length === 0) return;
    const at = list.findIndex(s => s.key === this.history.chosen);
    this.reveal(list[(at + by + list.length + (at < 0 && by < 0 ? 1 : 0)) % list.length], false);
  }

  /** Chooses a span and brings it into view, with its recording. */
  reveal(mark, zoom = true) {
    if (!this.history.laneOf(mark.recording)) {
      const option = [...this.what.options].find(o => o.value === mark.recording) ?? [...this.what.options].find(o => o.value.split(' ').includes(mark.recording));
      if (!option) return;
      this.what.value = option.value;
      this.open();
    }
    this.history.choose(mark.key);
    if (zoom) this.showWhenThere(mark);
    else this.history.keepInView(mark, mark.from);
  }

  showWhenThere(mark) {
    const lane = this.history.laneOf(mark.recording);
    if (lane?.levels) this.history.showSpan(mark);
    else this.history.addEventListener('measured', () => this.history.showSpan(mark), { once: true });
  }

  showChosen() { const mark = this.history.chosenMark; if (mark) this.history.showSpan(mark); }

  // ---- spans

  /** A span in pencil: the one that is just being drawn. */
  pencil({ recording, from, to }) {
    let mark = this.pencilled.find(m => m.key === this.history.chosen && m.confidence === null && m.recording === recording && m.fresh);
    if (!mark) {
      this.pencilled = this.pencilled.filter(m => m.confidence !== null);
      mark = { key: `new:${++this.count}`, kind: this.kinds[0], path: null, recording, from, to, label: say('new'), pencilled: true, fresh: true, channel: this.lanesOwn().id, condition: '', fit: '', run: '', wearer: '', excluded: '', analysed: '', confidence: null, reasons: [], id: '' };
      this.pencilled.push(mark);
    }
    [mark.from, mark.to] = [from, to];
    this.history.setSpans([...this.settled, ...this.pencilled]);
    this.history.choose(mark.key);
    this.panel.numbers();
  }

  lanesOwn() { const lane = this.history.lanes[0]; return this.channels.find(c => c.number === lane?.channel) ?? this.channels[0]; }

  focusPanel() {
    for (const mark of this.pencilled) mark.fresh = false;
    this.panel.focus();
  }

  /** Keeps moved edges: at once for a span of the trial, on the page for one in pencil. */
  async keepEdges(mark) {
    this.panel.fill();
    if (!mark.path) return;
    const from = written(mark.from), to = written(mark.to);
    const sets = [['from', from], ['to', to]].map(([key, value]) => ({ set: { path: `${mark.path}.${key}`, value } }));
    await change(sets.length === 1 ? sets[0] : { several: sets });
  }

  /** Takes a pencilled span into the trial. */
  async keep(mark = this.history.chosenMark) {
    if (!mark?.pencilled) return;
    const edit = this.edit(mark);
    if (!edit) { this.focusPanel(); tell(this.missing?.() ?? say('Say first what it is.'), true); return; }
    if (!await change(edit)) return;
    const proposed = mark.confidence !== null;
    this.pencilled = this.pencilled.filter(m => m !== mark);
    this.refresh();
    const made = this.settled.find(m => m.recording === mark.recording && Math.abs(m.from - mark.from) < 0.002 && Math.abs(m.to - mark.to) < 0.002);
    if (proposed && this.proposals.open.length > 0) this.proposals.step(1);
    else if (made) { this.history.choose(made.key); this.history.focusEdge(); }
  }

  /** Takes a span out: a pencilled one from the page, another from the trial (undo brings it back). */
  async drop() {
    const mark = this.history.chosenMark;
    if (!mark) return;
    if (mark.pencilled) { this.pencilled = this.pencilled.filter(m => m !== mark); this.refresh(); this.history.surface.focus({ preventScroll: true }); return; }
    const edit = this.removal?.(mark);
    if (edit && await change(edit)) this.history.surface.focus({ preventScroll: true });
  }
}
