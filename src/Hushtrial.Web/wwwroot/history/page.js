// What the pages with a level history have in common: pickers, buttons, keys, the panel of the chosen span, listening, proposals.
import { ask, change, say, tell, trial } from '../sheet.js';
import { A, C, FAST } from './levels.js';
import { History } from './history.js';
import { sound } from './source.js';
import { clock, number, ofDay, seconds, written } from './times.js';

/** @typedef {import('./marks.js').Mark} Mark */

/** A confidence for people; nothing that was found is certain. */
const sureness = share => share > 0.99 ? say('over 99 %') : `${Math.floor(100 * share)} %`;

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
    this.panel = document.getElementById('panel');
    if (!this.root || !this.panel) return;
    this.history = new History(this.root);
    /** @type {Mark[]} */
    this.pencilled = [];
    this.count = 0;
    this.audio = new Audio();
    this.audio.addEventListener('ended', () => this.listening(false));
    this.audio.addEventListener('pause', () => this.listening(false));
    this.audio.addEventListener('error', () => { if (this.audio.src) { this.listening(false); tell(say('It cannot be played.'), true); } });
    this.what = this.part('what');
    this.microphone = this.part('channel');
    this.read(document);
    // The page opens where its spans are.
    const first = this.settled.find(m => [...this.what.options].some(o => o.value === m.recording));
    if (first) this.what.value = first.recording;
    this.open();
    this.wire();
  }

  part(name) { return this.root.querySelector(`[data-part="${name}"]`); }

  // ---- what the page says

  /** Reads recordings, microphones and spans. Live parts that were renewed stand in the page itself, those that somebody is typing in only in the fresh one. @param {Document} fresh */
  read(fresh) {
    const parts = ['history-data', 'takes', 'calibration-spans'].map(id => fresh.getElementById(id) ?? document.getElementById(id)).filter(Boolean);
    const all = (selector, make) => parts.flatMap(part => [...part.querySelectorAll(selector)]).map(e => make(e.dataset));
    this.recordings = all('[data-recording-entry]', d => ({ id: d.recordingEntry, name: d.name, run: d.run ?? '', starts: ofDay(d.starts, d.offset) }));
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
    this.fill();
    this.tally();
  }

  /** Shows what the pickers say. */
  open() {
    const ids = (this.what.value || '').split(' ').filter(Boolean);
    const recordings = ids.map(id => this.recordings.find(r => r.id === id)).filter(Boolean);
    const channels = this.microphone.value === '*' ? this.channels : this.channels.filter(c => c.id === this.microphone.value).slice(0, 1);
    const starts = recordings.map(r => r.starts);
    const known = recordings.length > 0 && starts.every(s => s !== null);
    // Several recordings share the clock; one begins at its own zero. A flight may pass midnight.
    const first = known ? starts[0] : null;
    const offset = r => recordings.length < 2 || !known ? 0 : r.starts - first < -43_200 ? r.starts - first + 86_400 : r.starts - first;
    this.history.show(recordings.flatMap(r => (channels.length ? channels : this.channels.slice(0, 1)).map(c => ({
      recording: r.id, channel: c.number, name: recordings.length > 1 ? `${r.id}, ${c.name}` : c.name, offset: offset(r), fullScale: c.fullScale, length: 0,
    }))), first);
    this.refresh();
  }

  // ---- wiring

  wire() {
    const { history } = this;
    document.addEventListener('renewed', event => this.read(event.detail));
    this.what.addEventListener('change', () => this.open());
    this.microphone.addEventListener('change', () => this.open());
    this.part('quantity').addEventListener('change', event => history.setQuantity({ A, C, F: FAST }[event.target.value]));
    history.addEventListener('chosen', () => { this.fill(); this.audio.pause(); });
    history.addEventListener('moving', () => this.numbers());
    history.addEventListener('measured', () => this.numbers());
    history.addEventListener('pencil', event => this.pencil(event.detail));
    history.addEventListener('made', () => this.focusPanel());
    history.addEventListener('settled', event => this.keepEdges(event.detail));
    for (const [what, act] of Object.entries({
      closer: () => history.zoom(0.5), farther: () => history.zoom(2), whole: () => history.look(history.all.from, history.all.to), mark: () => history.pencilInView(20),
      find: () => this.find(), 'accept-all': () => this.acceptAll(), 'drop-all': () => this.dropAll(),
    })) this.root.querySelector(`[data-do="${what}"]`)?.addEventListener('click', act);
    this.root.querySelector('[data-part="least"]')?.addEventListener('input', () => this.tally());
    for (const [what, act] of Object.entries({ listen: () => this.listen(), show: () => this.showChosen(), keep: () => this.keep(), drop: () => this.drop(), next: () => this.step(1), previous: () => this.step(-1) }))
      this.panel.querySelector(`[data-do="${what}"]`)?.addEventListener('click', act);
    this.panel.addEventListener('change', event => this.edited(event.target));
    document.addEventListener('click', event => {
      const button = event.target.closest?.('[data-show]');
      const mark = button && this.settled.find(m => m.key === button.dataset.show);
      if (!mark) return;
      this.reveal(mark);
      this.root.scrollIntoView({ block: 'start', behavior: matchMedia('(prefers-reduced-motion:reduce)').matches ? 'auto' : 'smooth' });
      history.focusEdge();
    });
    const near = [this.root, this.panel];
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
      case 'l': case 'L': return mark && (() => this.listen());
      case ' ': return mark && !onButton && (() => this.listen());
      case 'n': case 'N': return () => this.step(1);
      case 'p': case 'P': return () => this.step(-1);
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
    const list = [...among].sort((a, b) => a.from - b.from);
    if (list.length === 0) return;
    const at = list.findIndex(s => s.key === this.history.chosen);
    this.reveal(list[(at + by + list.length + (at < 0 && by < 0 ? 1 : 0)) % list.length], false);
  }

  /** The next proposal, in whichever recording it is. */
  step(by) {
    const list = this.pencilled.filter(m => m.confidence !== null);
    if (list.length === 0) { tell(say('There is no proposal.')); return; }
    const order = new Map(this.recordings.map((r, i) => [r.id, i]));
    list.sort((a, b) => (order.get(a.recording) ?? 0) - (order.get(b.recording) ?? 0) || a.from - b.from);
    const at = list.findIndex(s => s.key === this.history.chosen);
    this.reveal(list[at < 0 ? (by > 0 ? 0 : list.length - 1) : (at + by + list.length) % list.length]);
    this.history.focusEdge();
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
    this.numbers();
  }

  lanesOwn() { const lane = this.history.lanes[0]; return this.channels.find(c => c.number === lane?.channel) ?? this.channels[0]; }

  focusPanel() {
    for (const mark of this.pencilled) mark.fresh = false;
    this.fill();
    this.panel.querySelector('[data-first]')?.focus({ preventScroll: matchMedia('(min-width:64rem)').matches });
  }

  /** Keeps moved edges: at once for a span of the trial, on the page for one in pencil. */
  async keepEdges(mark) {
    this.fill();
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
    const proposals = mark.confidence !== null;
    this.pencilled = this.pencilled.filter(m => m !== mark);
    this.refresh();
    const made = this.settled.find(m => m.recording === mark.recording && Math.abs(m.from - mark.from) < 0.002 && Math.abs(m.to - mark.to) < 0.002);
    if (proposals && this.pencilled.some(m => m.confidence !== null)) this.step(1);
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

  // ---- proposals

  async find() {
    const button = this.root.querySelector('[data-do="find"]');
    button.disabled = true;
    tell(say('Looking for spans …'));
    try {
      const response = await ask(`/trials/${trial}/proposals`);
      if (!response.ok) throw new Error(await response.text());
      const { proposals, notes } = await response.json();
      this.pencilled = proposals.filter(p => this.kinds.includes(p.kind)).map(p => ({ path: null, pencilled: true, fresh: false, channel: '', run: '', wearer: '', excluded: '', analysed: '', id: '', ...p, condition: p.condition ?? '', fit: p.fit ?? '', key: `proposal:${p.id}`,
        label: `${p.label} ${sureness(p.confidence)}` }));
      this.refresh();
      const found = this.pencilled.length;
      tell([found === 0 ? say('Nothing new was found.') : say('Found: {0}. Look at each, or accept the sure ones.', found), ...notes].join(' '));
      if (found > 0) this.step(1);
    } catch (error) {
      tell(error.message, true);
    } finally {
      button.disabled = false;
    }
  }

  sure() {
    const least = Number(this.root.querySelector('[data-part="least"]')?.value ?? 90) / 100;
    return this.pencilled.filter(m => m.confidence !== null && m.confidence >= least && this.edit(m));
  }

  tally() {
    const bar = this.root.querySelector('[data-part="proposals"]');
    if (!bar) return;
    const all = this.pencilled.filter(m => m.confidence !== null).length;
    bar.hidden = all === 0;
    if (all === 0) return;
    const sure = this.sure().length, least = this.root.querySelector('[data-part="least"]').value;
    this.root.querySelector('[data-part="least-shown"]').textContent = `${least} %`;
    this.root.querySelector('[data-part="how-many"]').textContent = say('Proposals: {0}, dashed. None is used before you accept it.', all);
    const button = this.root.querySelector('[data-do="accept-all"]');
    button.textContent = say('Accept all from this confidence on: {0}', sure);
    button.disabled = sure === 0;
  }

  async acceptAll() {
    const sure = this.sure(), taken = [];
    const several = [];
    for (const mark of sure) {
      const edit = this.edit(mark, taken);
      if (edit) several.push(...(edit.several ?? [edit]));
    }
    if (several.length === 0 || !await change({ several })) return;
    this.pencilled = this.pencilled.filter(m => !sure.includes(m));
    this.refresh();
    tell(say('Accepted: {0}. Undo takes all of them back.', sure.length));
  }

  dropAll() { this.pencilled = []; this.refresh(); }

  // ---- the panel

  field(name) { return this.panel.querySelector(`[data-field="${name}"]`); }

  fill() {
    const mark = this.history.chosenMark;
    this.panel.classList.toggle('empty', !mark);
    for (const part of this.panel.querySelectorAll('[data-when]')) {
      const when = part.dataset.when;
      part.hidden = when === 'none' ? !!mark : when === 'some' ? !mark : when === 'pencilled' ? !mark?.pencilled : when === 'proposed' ? !(mark?.pencilled && mark.confidence !== null) : !mark || mark.pencilled;
    }
    if (!mark) return;
    const title = this.panel.querySelector('[data-part="title"]');
    title.textContent = mark.pencilled ? (mark.confidence === null ? say('A new span, in pencil') : say('Proposed, {0} sure', sureness(mark.confidence))) : mark.label;
    const put = (name, value) => { const field = this.field(name); if (field && field !== document.activeElement) field.value = value; };
    this.putEnds(mark, put);
    this.fillMore?.(mark, put);
    const reasons = this.panel.querySelector('[data-part="reasons"]');
    if (reasons) reasons.replaceChildren(...mark.reasons.map(text => Object.assign(document.createElement('li'), { textContent: text })));
    this.numbers();
  }

  putEnds(mark, put) {
    const ends = this.typed(mark);
    for (const name of ['from', 'to']) put(name, ends[name] ?? written(mark[name]));
  }

  numbers() {
    const mark = this.history.chosenMark, list = this.panel.querySelector('[data-part="numbers"]');
    if (!mark || !list) return;
    const put = (name, value) => { const field = this.field(name); if (field && field !== document.activeElement) field.value = value; };
    this.putEnds(mark, put);
    const rows = [[say('Length'), `${number(mark.to - mark.from, mark.to - mark.from < 10 ? 2 : 1)} s`]];
    const start = this.history.startOfDayOf(mark.recording);
    if (start !== null) rows.push([say('Clock'), `${clock(start + mark.from)} – ${clock(start + mark.to)}`]);
    for (const m of this.history.measure(mark)) {
      const unit = letter => m.absolute ? `dB(${letter})` : say('dB re full scale');
      const many = this.history.lanes.length > 1;
      rows.push([`LAeq${many ? `, ${m.name}` : ''}`, m.a === null ? '–' : `${number(m.a)} ${unit('A')}`], [`LCeq${many ? `, ${m.name}` : ''}`, m.c === null ? '–' : `${number(m.c)} ${unit('C')}`]);
      if (m.range !== null) rows.push([say('Spread of half seconds'), m.range > 6 ? say('{0} dB: not steady, 6 dB is the limit', number(m.range)) : say('{0} dB: steady, below 6 dB', number(m.range))]);
    }
    list.replaceChildren(...rows.map(([term, text]) => {
      const row = document.createElement('div');
      row.append(Object.assign(document.createElement('dt'), { textContent: term }), Object.assign(document.createElement('dd'), { textContent: text }));
      return row;
    }));
    const analysed = this.panel.querySelector('[data-part="analysed"]');
    if (analysed) analysed.textContent = mark.analysed && !mark.moved ? say('Analysed: {0}', mark.analysed) : '';
  }

  /** Ends of a span as typed, until it is where they say; none are left when the span moves otherwise. */
  typed(mark) {
    const span = [mark.recording, mark.id, mark.from, mark.to].join('|');
    if (this.ends?.span !== span) {
      this.ends = { span };
      for (const name of ['from', 'to']) this.field(name)?.removeAttribute('aria-invalid');
    }
    return this.ends;
  }

  /** One end was typed. A new start may lie behind the old end until the new end is typed too: both are judged together. */
  spanEdited(mark, name, field) {
    const ends = this.typed(mark), limit = this.history.lengthOf(mark.recording) + 0.001;
    ends[name] = field.value;
    const end = which => ends[which] === undefined ? mark[which] : seconds(ends[which]);
    const next = { from: end('from'), to: end('to') };
    const inside = which => next[which] !== null && next[which] <= limit;
    if (inside('from') && inside('to') && next.to - next.from >= 0.02) {
      this.history.move(mark, next);
      this.history.settle(mark);
      return;
    }
    const waits = inside('from') && inside('to') && (ends.from === undefined || ends.to === undefined);
    for (const which of ['from', 'to']) this.field(which).removeAttribute('aria-invalid');
    if (waits) {
      tell(name === 'from' ? say('The start is behind the present end: type the end too.') : say('The end is before the present start: type the start too.'));
      return;
    }
    (inside(name) ? this.field('to') : field).setAttribute('aria-invalid', 'true');
    tell(say('A time such as 1:02.5 is wanted, with the end after the start and inside the recording.'), true);
  }

  /** A field of the panel was changed. */
  async edited(field) {
    const mark = this.history.chosenMark, name = field.dataset?.field;
    if (!mark || !name) return;
    if (name === 'from' || name === 'to') {
      this.spanEdited(mark, name, field);
      return;
    }
    await this.changed?.(mark, name, field.value.trim());
  }

  // ---- listening

  listen() {
    const mark = this.history.chosenMark;
    if (!mark) return;
    if (!this.audio.paused) { this.audio.pause(); return; }
    const lane = this.history.laneOf(mark.recording) ?? this.history.lanes[0];
    this.audio.src = sound(mark.recording, lane?.channel ?? 1, mark.from, mark.to);
    this.audio.play().then(() => this.listening(true)).catch(() => this.listening(false));
  }

  listening(on) {
    const button = this.panel.querySelector('[data-do="listen"]');
    if (button) button.querySelector('[data-part="listen-words"]').textContent = on ? say('Stop') : say('Listen');
  }
}
