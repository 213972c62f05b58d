// The panel of the chosen span: its ends, its levels, its words, and listening to it.
import { say, tell } from '../sheet.js';
import { sureness } from './proposals.js';
import { sound } from './source.js';
import { clock, number, seconds, written } from './times.js';

/** @typedef {import('./marks.js').Mark} Mark */

export class SpanPanel {
  /** @param {HTMLElement} root @param {import('./page.js').HistoryPage} page */
  constructor(root, page) {
    [this.root, this.page, this.history] = [root, page, page.history];
    this.audio = new Audio();
    this.audio.addEventListener('ended', () => this.listening(false));
    this.audio.addEventListener('pause', () => this.listening(false));
    this.audio.addEventListener('error', () => { if (this.audio.src) { this.listening(false); tell(say('It cannot be played.'), true); } });
    const { proposals } = page;
    for (const [what, act] of Object.entries({ listen: () => this.listen(), show: () => page.showChosen(), keep: () => page.keep(), drop: () => page.drop(), next: () => proposals.step(1), previous: () => proposals.step(-1) }))
      root.querySelector(`[data-do="${what}"]`)?.addEventListener('click', act);
    root.addEventListener('change', event => this.edited(event.target));
  }

  field(name) { return this.root.querySelector(`[data-field="${name}"]`); }

  part(name) { return this.root.querySelector(`[data-part="${name}"]`); }

  /** Writes into a field that nobody is typing in. */
  put(name, value) {
    const field = this.field(name);
    if (field && field !== document.activeElement) field.value = value;
  }

  /** Puts the keyboard into the first field that a new span needs. */
  focus() {
    this.fill();
    this.root.querySelector('[data-first]')?.focus({ preventScroll: matchMedia('(min-width:64rem)').matches });
  }

  /** Says everything of the chosen span. */
  fill() {
    const mark = this.history.chosenMark;
    this.root.classList.toggle('empty', !mark);
    for (const part of this.root.querySelectorAll('[data-when]')) {
      const when = part.dataset.when;
      part.hidden = when === 'none' ? !!mark : when === 'some' ? !mark : when === 'pencilled' ? !mark?.pencilled : when === 'proposed' ? !(mark?.pencilled && mark.confidence !== null) : !mark || mark.pencilled;
    }
    if (!mark) return;
    this.part('title').textContent = mark.pencilled ? (mark.confidence === null ? say('A new span, in pencil') : say('Proposed, {0} sure', sureness(mark.confidence))) : mark.label;
    this.page.fillMore?.(mark, (name, value) => this.put(name, value));
    this.part('reasons')?.replaceChildren(...mark.reasons.map(text => Object.assign(document.createElement('li'), { textContent: text })));
    this.numbers();
  }

  /** Says where the chosen span is and what was measured in it. */
  numbers() {
    const mark = this.history.chosenMark, list = this.part('numbers');
    if (!mark) return;
    const ends = this.typed(mark);
    for (const name of ['from', 'to']) this.put(name, ends[name] ?? written(mark[name]));
    if (!list) return;
    const rows = [[say('Length'), `${number(mark.to - mark.from, mark.to - mark.from < 10 ? 2 : 1)} s`]];
    const ofDay = own => this.history.timeOfDay(mark.recording, own);
    if (ofDay(mark.from) !== null) rows.push([say('Clock'), `${clock(ofDay(mark.from))} – ${clock(ofDay(mark.to))}`]);
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
    const analysed = this.part('analysed');
    if (analysed) analysed.textContent = mark.analysed && !mark.moved ? say('Analysed: {0}', mark.analysed) : '';
  }

  // ---- what is typed

  /** A field of the panel was changed. */
  async edited(field) {
    const mark = this.history.chosenMark, name = field.dataset?.field;
    if (!mark || !name) return;
    if (name === 'from' || name === 'to') this.spanEdited(mark, name, field);
    else await this.page.changed?.(mark, name, field.value.trim());
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

  /** Whether an end was typed that the span could not take. */
  waits(mark) {
    const ends = this.typed(mark);
    return ['from', 'to'].some(name => ends[name] !== undefined && seconds(ends[name]) !== mark[name]) || this.root.querySelector('[aria-invalid="true"]') !== null;
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
    const words = this.part('listen-words');
    if (words) words.textContent = on ? say('Stop') : say('Listen');
  }
}
