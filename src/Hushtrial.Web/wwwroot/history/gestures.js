// What a mouse, fingers, a wheel and arrow keys do on the picture and on the strip below it.
import { say } from '../sheet.js';
import { LEFT, STRIP } from './picture.js';
import { shown } from './times.js';

export class Gestures {
  /** @param {import('./history.js').History} history @param {HTMLCanvasElement} overview */
  constructor(history, overview) {
    [this.history, this.surface] = [history, history.surface];
    this.pointers = new Map();
    this.onPicture();
    this.onWheel();
    this.onKeys();
    this.onOverview(overview);
  }

  y(event) { return event.clientY - this.surface.getBoundingClientRect().top; }

  stripAt(event) { return this.history.lanes.find(l => l.first && this.y(event) >= l.top - STRIP && this.y(event) < l.top) ?? null; }

  /** Dragging moves the view, in the shaded row it draws a span, two fingers zoom, a click chooses. */
  onPicture() {
    const { surface, history } = this;
    surface.addEventListener('pointerdown', event => {
      if (event.button !== 0 || event.target.closest('.tag,.edge')) return;
      surface.setPointerCapture(event.pointerId);
      this.pointers.set(event.pointerId, event.clientX);
      if (this.pointers.size === 1) {
        const strip = this.stripAt(event);
        this.gesture = { x: event.clientX, y: this.y(event), view: { ...history.view }, strip, time: history.timeAt(event.clientX), moved: false };
      } else this.gesture = { pinch: true, view: { ...history.view }, ...this.spread() };
    });
    surface.addEventListener('pointermove', event => {
      if (!this.pointers.has(event.pointerId)) {
        surface.style.cursor = this.stripAt(event) ? 'crosshair' : 'grab';
        return;
      }
      this.pointers.set(event.pointerId, event.clientX);
      const g = this.gesture;
      if (g.pinch) {
        this.pinch(g);
        return;
      }
      if (!g.moved && Math.abs(event.clientX - g.x) < 4) return;
      g.moved = true;
      if (g.strip) history.pencil(g.strip, g.time, history.timeAt(event.clientX));
      else {
        surface.style.cursor = 'grabbing';
        const delta = (event.clientX - g.x) * (g.view.to - g.view.from) / history.wide;
        history.look(g.view.from - delta, g.view.to - delta);
      }
    });
    const up = event => {
      if (!this.pointers.delete(event.pointerId)) return;
      surface.style.cursor = '';
      const g = this.gesture;
      if (this.pointers.size > 0 || !g) return;
      this.gesture = null;
      if (g.pinch || event.type === 'pointercancel') return;
      if (!g.moved) this.click(g);
      else if (g.strip) history.dispatchEvent(new CustomEvent('made', { detail: history.chosenMark }));
    };
    surface.addEventListener('pointerup', up);
    surface.addEventListener('pointercancel', up);
  }

  pinch(g) {
    if (this.pointers.size < 2) return;
    const { history } = this, now = this.spread(), width = g.view.to - g.view.from, factor = g.apart / Math.max(20, now.apart);
    const about = g.view.from + (g.middle - LEFT) / history.wide * width, next = width * factor;
    const from = about - (now.middle - LEFT) / history.wide * next;
    history.look(from, from + next);
  }

  spread() {
    const [a, b] = [...this.pointers.values()], left = this.surface.getBoundingClientRect().left;
    return { apart: Math.max(20, Math.abs(a - b)), middle: (a + b) / 2 - left };
  }

  click(g) {
    const { history } = this;
    const lane = history.lanes.find(l => g.y >= l.top - STRIP && g.y <= l.top + l.height) ?? history.lanes[0];
    if (!lane) return;
    this.surface.focus({ preventScroll: true });
    // Of several on top of each other the shortest.
    const own = lane.clock.own(g.time);
    const under = history.spans.filter(s => s.recording === lane.recording && s.from <= own && s.to >= own).sort((a, b) => (a.to - a.from) - (b.to - b.from));
    history.choose(under[0]?.key ?? null);
  }

  onWheel() {
    const { surface, history } = this;
    surface.addEventListener('wheel', event => {
      // Over a picture that nobody has touched the wheel scrolls the page, as everywhere.
      if (!event.ctrlKey && !event.metaKey && !history.root.contains(document.activeElement)) return;
      event.preventDefault();
      const unit = event.deltaMode === 1 ? 16 : event.deltaMode === 2 ? 300 : 1;
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY) || event.shiftKey) history.pan((event.deltaX || event.deltaY) * unit * history.perPixel);
      else history.zoom(1.0018 ** (event.deltaY * unit), history.timeAt(event.clientX));
    }, { passive: false });
  }

  onKeys() {
    const { surface, history } = this;
    surface.addEventListener('keydown', event => {
      if (event.target !== surface || event.ctrlKey || event.metaKey || event.altKey) return;
      const width = history.view.to - history.view.from, all = history.all;
      const go = {
        ArrowLeft: () => history.pan(-width * (event.shiftKey ? 0.8 : 0.12)), ArrowRight: () => history.pan(width * (event.shiftKey ? 0.8 : 0.12)),
        ArrowUp: () => history.zoom(0.7), ArrowDown: () => history.zoom(1 / 0.7),
        Home: () => history.look(all.from, all.from + width), End: () => history.look(all.to - width, all.to),
      }[event.key];
      if (!go) return;
      event.preventDefault();
      go();
      const own = time => shown(history.lanes[0]?.clock.own(time) ?? time, 2);
      history.say(say('From {0} to {1}', own(history.view.from), own(history.view.to)));
    });
  }

  /** The view is taken along on the strip that shows the whole. */
  onOverview(canvas) {
    const { history } = this;
    const at = event => {
      const box = canvas.getBoundingClientRect(), all = history.all;
      return all.from + (event.clientX - box.left - LEFT) / Math.max(1, box.width - LEFT) * (all.to - all.from);
    };
    let grip = null;
    canvas.addEventListener('pointerdown', event => {
      if (event.button !== 0) return;
      canvas.setPointerCapture(event.pointerId);
      const t = at(event), width = history.view.to - history.view.from;
      grip = t >= history.view.from && t <= history.view.to ? t - history.view.from : width / 2;
      history.look(t - grip, t - grip + width);
    });
    canvas.addEventListener('pointermove', event => {
      if (grip === null) return;
      const width = history.view.to - history.view.from, from = at(event) - grip;
      history.look(from, from + width);
    });
    for (const end of ['pointerup', 'pointercancel']) canvas.addEventListener(end, () => { grip = null; });
  }
}
