// The level history: zoom from hours to 20 ms, pan, mark. It knows nothing of what a span means; the page that holds it does.
import { say } from '../sheet.js';
import { Gestures } from './gestures.js';
import { shadesKey } from './key.js';
import { A, C } from './levels.js';
import { Marks, SHORTEST } from './marks.js';
import { Overview } from './overview.js';
import { LEFT, Picture } from './picture.js';
import { extremes, near, receive } from './source.js';

const NARROWEST = 0.02;

/** @typedef {import('./marks.js').Mark} Mark */

export class History extends EventTarget {
  /** @param {HTMLElement} root the element with the parts that the page gives it */
  constructor(root) {
    super();
    this.root = root;
    const part = name => root.querySelector(`[data-part="${name}"]`);
    [this.surface, this.progress, this.legend, this.spoken] = ['surface', 'progress', 'legend', 'spoken'].map(part);
    this.picture = new Picture(part('picture'));
    this.overview = new Overview(part('overview'));
    this.marks = new Marks(part('marks'), this);
    /** @type {import('./picture.js').Lane[]} */
    this.lanes = [];
    /** @type {Mark[]} */
    this.spans = [];
    /** @type {string | null} */
    this.chosen = null;
    this.view = { from: 0, to: 60 };
    this.quantity = A;
    /** The time of day along the axis; null when it is not known. @type {import('./clocks.js').RecorderClock | null} */
    this.day = null;
    this.receiving = new AbortController();
    new ResizeObserver(() => this.fit()).observe(this.surface);
    matchMedia('(prefers-color-scheme:dark)').addEventListener('change', () => { this.picture.repaint(); this.overview.stale = true; this.explain(); this.soon(); });
    this.gestures = new Gestures(this, part('overview'));
  }

  // ---- what is shown

  /**
   * Shows channels of recordings, one below the other.
   * @param {{ recording: string, channel: number, name: string, clock: import('./clocks.js').RecorderClock, fullScale: number | null, length: number }[]} lanes where each lies on the axis by its clock
   * @param {import('./clocks.js').RecorderClock | null} day
   */
  show(lanes, day) {
    this.receiving.abort();
    this.receiving = new AbortController();
    const kept = this.lanes;
    this.day = day;
    this.lanes = lanes.map(l => {
      const old = kept.find(k => k.recording === l.recording && k.channel === l.channel && k.levels && k.levels.filled === k.levels.steps);
      return { near: null, samples: null, failure: null, tiles: old?.tiles ?? new WeakMap(), levels: old?.levels ?? null, top: 0, height: 0, ...l, length: old?.levels.seconds ?? l.length };
    });
    this.overview.stale = true;
    this.view = { ...this.all };
    this.fit();
    this.sync();
    const { signal } = this.receiving;
    // One after the other: the first is there soonest.
    (async () => {
      for (const lane of this.lanes) {
        if (lane.levels) continue;
        const before = this.all;
        try {
          await receive(lane.recording, lane.channel, levels => {
            lane.levels = levels;
            lane.length = Math.max(lane.length, levels.seconds);
            this.overview.stale = true;
            if (this.view.from <= before.from && this.view.to >= before.to - 1e-6) this.view = { ...this.all };
            this.report(lane);
            this.soon();
          }, signal);
        } catch (error) {
          if (signal.aborted) return;
          lane.failure = error.message;
        }
        this.report(lane);
        this.overview.stale = true;
        this.explain();
        this.near();
        this.soon();
        this.dispatchEvent(new Event('measured'));
      }
    })();
  }

  /** Which of the recordings are shown. */
  get recordings() { return [...new Set(this.lanes.map(l => l.recording))]; }

  /** From the first to the last moment of all lanes. */
  get all() {
    if (this.lanes.length === 0) return { from: 0, to: 60 };
    return { from: Math.min(...this.lanes.map(l => l.clock.start)), to: Math.max(...this.lanes.map(l => l.clock.at(Math.max(l.length, NARROWEST)))) };
  }

  laneOf(recording) { return this.lanes.find(l => l.recording === recording) ?? null; }

  lengthOf(recording) { return this.laneOf(recording)?.length ?? 0; }

  /** Time of day of a second of a recording, s since midnight; null when it is not known. */
  timeOfDay(recording, own) { const lane = this.laneOf(recording); return lane && this.day !== null ? this.day.at(lane.clock.at(own)) : null; }

  get chosenMark() { return this.spans.find(s => s.key === this.chosen) ?? null; }

  /** @param {Mark[]} spans */
  setSpans(spans) {
    this.spans = spans;
    if (this.chosen && !spans.some(s => s.key === this.chosen)) { this.chosen = null; this.dispatchEvent(new Event('chosen')); }
    this.sync();
  }

  /** Chooses a span, or none. @param {string | null} key */
  choose(key) {
    if (this.chosen !== key) {
      this.chosen = key;
      this.dispatchEvent(new Event('chosen'));
    }
    this.sync();
  }

  /** The span as the page has it now: a page that was renewed under the hand has made its spans anew. @param {Mark} mark */
  live(mark) { return this.spans.find(s => s.key === mark.key) ?? mark; }

  /** Moves a span on the page; it is kept by settle. */
  move(mark, { from, to }) {
    Object.assign(this.live(mark), { from, to, moved: true });
    this.dispatchEvent(new Event('moving'));
    this.soon();
  }

  settle(mark) {
    const live = this.live(mark);
    if (!live.moved) return;
    live.moved = false;
    this.dispatchEvent(new CustomEvent('settled', { detail: live }));
  }

  sync() {
    this.marks.sync(this.spans.filter(s => this.laneOf(s.recording)), this.chosen);
    for (const lane of this.lanes) lane.blank = !this.spans.some(s => s.recording === lane.recording);
    this.soon();
  }

  setQuantity(quantity) { this.quantity = quantity; this.soon(); }

  // ---- the view

  get wide() { return Math.max(1, (this.picture.width ?? 600) - LEFT); }

  get perPixel() { return (this.view.to - this.view.from) / this.wide; }

  /** Place of a time, px from the left edge of the picture proper. */
  across(time) { return (time - this.view.from) / this.perPixel; }

  timeAt(clientX) { return this.view.from + (clientX - this.surface.getBoundingClientRect().left - LEFT) * this.perPixel; }

  look(from, to) {
    const all = this.all, most = all.to - all.from;
    const width = Math.min(Math.max(to - from, Math.min(NARROWEST, most)), most);
    const middle = (from + to) / 2, start = Math.min(Math.max(middle - width / 2, all.from), all.to - width);
    this.view = { from: start, to: start + width };
    this.near();
    this.soon();
  }

  zoom(factor, about = (this.view.from + this.view.to) / 2) {
    const all = this.all, width = this.view.to - this.view.from;
    const next = Math.min(Math.max(width * factor, NARROWEST), all.to - all.from), share = (about - this.view.from) / width;
    this.look(about - share * next, about + (1 - share) * next);
  }

  pan(seconds) { this.look(this.view.from + seconds, this.view.to + seconds); }

  /** Shows a span with room around it. @param {Mark} mark */
  showSpan(mark) {
    const lane = this.laneOf(mark.recording);
    if (!lane) return;
    const room = Math.max((mark.to - mark.from) * 0.6, 0.01);
    this.look(lane.clock.at(mark.from) - room, lane.clock.at(mark.to) + room);
  }

  /** Moves the view, no more than needed, so that a span or a time of it is seen. */
  keepInView(mark, time = mark?.from) {
    const lane = mark && this.laneOf(mark.recording);
    if (!lane || time === undefined) return;
    const t = lane.clock.at(time), width = this.view.to - this.view.from, room = width * 0.04;
    if (t < this.view.from + room / 2) this.look(t - room, t - room + width);
    else if (t > this.view.to - room / 2) this.look(t + room - width, t + room);
  }

  fit() {
    const width = this.surface.clientWidth;
    if (width === 0) return;
    const height = this.picture.arrange(this.lanes);
    this.surface.style.height = `${height}px`;
    this.picture.resize(width, height);
    this.overview.resize(width, 46);
    this.drawNow();
  }

  /** Draws with the next frame, once, however often it is asked. */
  soon() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.drawNow(); });
  }

  drawNow() {
    if (!this.picture.width) return;
    this.picture.draw(this.view, this.lanes, this.quantity, this.day);
    this.marks.place();
    const spans = this.spans.map(span => ({ span, clock: this.laneOf(span.recording)?.clock })).filter(s => s.clock).map(({ span, clock }) => ({ from: clock.at(span.from), to: clock.at(span.to), chosen: span.key === this.chosen }));
    this.overview.draw(this.all, this.view, this.lanes, spans);
    this.dispatchEvent(new Event('drawn'));
  }

  /** Fetches what only the recording itself can show, when the view has come to rest. */
  near() {
    clearTimeout(this.resting);
    this.resting = setTimeout(async () => {
      const width = this.view.to - this.view.from;
      if (width >= 20) return;
      this.nearing?.abort();
      const { signal } = this.nearing = new AbortController();
      for (const lane of this.lanes) {
        const from = Math.max(0, lane.clock.own(this.view.from) - width / 2), to = Math.min(lane.length, lane.clock.own(this.view.to) + width / 2);
        if (!(to - from > 0.001)) continue;
        try {
          const values = await extremes(lane.recording, lane.channel, from, to, Math.min(4000, Math.round(this.wide * 2)), signal);
          lane.samples = { from, to, values };
          this.soon();
          if (!(lane.near && lane.near.start <= from && lane.near.end >= to && lane.near.step <= (width < 8 ? 0.011 : 0.021))) {
            // Room on both sides, so that a small move needs nothing new.
            lane.near = await near(lane.recording, lane.channel, Math.max(0, from - 1), Math.min(lane.length, to + 1), width < 8 ? 0.01 : 0.02, signal);
            this.soon();
          }
        } catch { /* Given up for a newer view, or the stretch cannot be measured: the history stays. */ }
      }
    }, 120);
  }

  // ---- spans in pencil

  /** Draws a new span in pencil. */
  pencil(lane, a, b) {
    const limit = lane.length, clamp = t => Math.min(Math.max(0, lane.clock.own(t)), limit);
    let [from, to] = [clamp(Math.min(a, b)), clamp(Math.max(a, b))];
    if (to - from < SHORTEST) [from, to] = from + SHORTEST <= limit ? [from, from + SHORTEST] : [limit - SHORTEST, limit];
    this.dispatchEvent(new CustomEvent('pencil', { detail: { recording: lane.recording, from, to } }));
  }

  /** A new span of some seconds in the middle of the view, for the keyboard. */
  pencilInView(seconds) {
    const lane = this.lanes[0];
    // Before its beginning is here, a recording has no length to mark in.
    if (!lane || !(lane.length > 0)) return;
    const middle = (Math.max(this.view.from, lane.clock.start) + Math.min(this.view.to, lane.clock.at(lane.length))) / 2;
    const half = Math.min(seconds, (this.view.to - this.view.from) * 0.6) / 2, round = t => Math.round(t * 10) / 10;
    this.pencil(lane, half > 0.2 ? round(middle - half) : middle - half, half > 0.2 ? round(middle + half) : middle + half);
    this.dispatchEvent(new CustomEvent('made', { detail: this.chosenMark }));
  }

  /** Moves the keyboard to the start of the chosen span. */
  focusEdge() { this.sync(); this.drawNow(); this.marks.edges[0].focus({ preventScroll: true }); }

  // ---- words

  say(text) { if (this.spoken) this.spoken.textContent = text; }

  report(lane) {
    const busy = this.lanes.find(l => !l.failure && (!l.levels || l.levels.filled < l.levels.steps));
    if (!this.progress) return;
    const share = lane.levels ? Math.round(100 * lane.levels.filled / lane.levels.steps) : 0;
    this.progress.textContent = busy ? say('Measuring the level history of {0}: {1} %. It is kept for the next time.', lane.name, share) : '';
  }

  /** The key to the shades. */
  explain() {
    const lane = this.lanes.find(l => l.levels);
    this.legend?.replaceChildren(...lane ? shadesKey(lane, this.picture) : []);
  }

  /** Levels of a span from the history, by lane. */
  measure(mark) {
    return this.lanes.filter(l => l.recording === mark.recording).map(lane => {
      const a = lane.levels?.mean(A, mark.from, mark.to) ?? null, c = lane.levels?.mean(C, mark.from, mark.to) ?? null, shift = lane.fullScale ?? 0;
      return { name: lane.name, absolute: lane.fullScale !== null, a: a === null ? null : a + shift, c: c === null ? null : c + shift, range: lane.levels?.range(mark.from, mark.to) ?? null };
    });
  }
}
