// The strip below the picture: the whole of it, and where the view is.
import { A, NO_LEVEL } from './levels.js';
import { LEFT, colours } from './picture.js';

export class Overview {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.context = canvas.getContext('2d', { alpha: false });
    this.kept = document.createElement('canvas');
    this.stale = true;
  }

  resize(width, height) {
    this.ratio = Math.min(devicePixelRatio || 1, 2);
    [this.width, this.height] = [width, height];
    for (const canvas of [this.canvas, this.kept]) [canvas.width, canvas.height] = [Math.round(width * this.ratio), Math.round(height * this.ratio)];
    this.stale = true;
  }

  /** @param {{ from: number, to: number }} all @param {{ from: number, to: number }} view @param {import('./picture.js').Lane[]} lanes @param {{ from: number, to: number, chosen: boolean }[]} spans */
  draw(all, view, lanes, spans) {
    if (this.stale) this.paint(all, lanes);
    const { context: g } = this, c = this.colours;
    g.setTransform(1, 0, 0, 1, 0, 0);
    g.drawImage(this.kept, 0, 0);
    g.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    const x = t => LEFT + (t - all.from) / (all.to - all.from) * (this.width - LEFT);
    for (const span of spans) {
      g.fillStyle = c.accent;
      g.fillRect(x(span.from), this.height - (span.chosen ? 6 : 4), Math.max(1.5, x(span.to) - x(span.from)), span.chosen ? 6 : 4);
    }
    // What is out of view lies under a veil, the view in a frame.
    const [a, b] = [x(view.from), Math.max(x(view.to), x(view.from) + 3)];
    g.globalAlpha = 0.62; g.fillStyle = c.paper;
    g.fillRect(LEFT, 0, a - LEFT, this.height - 7);
    g.fillRect(b, 0, this.width - b, this.height - 7);
    g.globalAlpha = 1;
    g.strokeStyle = c.accent; g.lineWidth = 1.5;
    g.strokeRect(a + 0.75, 0.75, Math.max(1.5, b - a - 1.5), this.height - 9);
  }

  paint(all, lanes) {
    this.stale = false;
    const c = this.colours = colours(), g = this.kept.getContext('2d', { alpha: false });
    g.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    g.fillStyle = c.paper; g.fillRect(0, 0, this.width, this.height);
    const width = this.width - LEFT, columns = Math.max(1, Math.round(width)), perColumn = (all.to - all.from) / columns;
    const low = new Int16Array(columns), high = new Int16Array(columns);
    // One recording stands for all of its channels.
    for (const lane of lanes.filter((l, i) => lanes.findIndex(o => o.recording === l.recording) === i)) {
      if (!lane.levels) continue;
      lane.levels.extremes(A, lane.clock.own(all.from), perColumn / lane.clock.rate, low, high);
      let most = NO_LEVEL, least = 32767;
      for (let x = 0; x < columns; x++) if (high[x] !== NO_LEVEL) { most = Math.max(most, high[x]); least = Math.min(least, low[x]); }
      if (most === NO_LEVEL) continue;
      least = Math.min(Math.max(least, most - 8000), most - 2000);
      const h = this.height - 14, y = v => 3 + h * (most - Math.max(v, least)) / (most - least);
      g.fillStyle = c.grey;
      for (let x = 0; x < columns; x++) if (high[x] !== NO_LEVEL) g.fillRect(LEFT + x, y(high[x]), 1, Math.max(1, y(low[x]) - y(high[x])));
    }
    g.fillStyle = c.rule; g.fillRect(LEFT, this.height - 7.5, width, 1);
  }
}
