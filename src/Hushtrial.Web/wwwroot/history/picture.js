// Draws level lines, one-third-octave bands in paper-to-ink steps, samples from near, and the time axis, on one canvas.
import { say } from '../sheet.js';
import { A, BANDS, C, FAST, FIRST_BAND, NO_LEVEL } from './levels.js';
import { clock, decimals, distance, number, shown } from './times.js';

/** Room for the labels at the left, for the axis below, and above each recording for the tags of its spans, px. */
export const LEFT = 52, AXIS = 40, STRIP = 44;
const TILE = 1024, GAP = 18, SHADES = 12, SHADE_DB = 5;
const LABELLED = [[63, 5], [250, 11], [1000, 17], [4000, 23], [16_000, 29]];

/** The colours of the page, as they are now. */
export function colours() {
  const style = getComputedStyle(document.documentElement);
  const of = name => style.getPropertyValue(`--h-${name}`).trim();
  return { paper: of('paper'), ink: of('ink'), soft: of('soft'), rule: of('rule'), faint: of('faint'), grey: of('grey'), accent: of('accent') };
}

const rgb = hex => [1, 3, 5].map(i => parseInt(hex.slice(i, i + 2), 16));

/** The shades of the bands, from paper to ink. @returns {string[]} */
export function shades(c) {
  const [paper, ink] = [rgb(c.paper), rgb(c.ink)];
  return Array.from({ length: SHADES + 1 }, (_, i) => `rgb(${paper.map((p, k) => Math.round(p + (ink[k] - p) * (i / SHADES) ** 1.15)).join(' ')})`);
}

/** Parts of the picture of one channel's bands, painted when they are first needed. */
class Tiles {
  constructor(levels) {
    this.levels = levels;
    this.made = new Map();
  }

  /** @returns {HTMLCanvasElement} a part of the picture: one pixel per block and band */
  at(fold, index, palette, lowest) {
    const key = `${fold?.size ?? 1}:${index}:${lowest}:${palette.key}`;
    const first = index * TILE, count = Math.min(Math.ceil(this.levels.filled / (fold?.size ?? 1)) - first, TILE);
    const kept = this.made.get(key);
    if (kept && kept.count === count && (count === TILE || kept.filled === this.levels.filled)) return kept.canvas;
    const canvas = kept?.canvas ?? Object.assign(document.createElement('canvas'), { width: TILE, height: BANDS });
    const context = canvas.getContext('2d');
    const image = context.createImageData(TILE, BANDS), pixels = new Uint32Array(image.data.buffer);
    for (let band = 0; band < BANDS; band++) {
      const values = (fold ? fold.largest : this.levels.columns)[FIRST_BAND + band];
      for (let x = 0, at = (BANDS - 1 - band) * TILE; x < count; x++, at++) {
        const value = values[first + x];
        pixels[at] = value === NO_LEVEL ? 0 : palette.pixels[Math.max(0, Math.min(SHADES, Math.ceil((value - lowest) / (100 * SHADE_DB))))];
      }
    }
    context.putImageData(image, 0, 0);
    // Enough for a few screens; the oldest go first.
    if (this.made.size > 48) this.made.delete(this.made.keys().next().value);
    this.made.delete(key);
    this.made.set(key, { canvas, count, filled: this.levels.filled });
    return canvas;
  }
}

/**
 * One channel of one recording.
 * @typedef {{ recording: string, channel: number, name: string, clock: import('./clocks.js').RecorderClock, levels: import('./levels.js').Levels | null, fullScale: number | null,
 *   near: import('./levels.js').Levels | null, samples: { from: number, to: number, values: Float32Array } | null, failure: string | null, first?: boolean, blank?: boolean, top: number, height: number, tiles: WeakMap<object, Tiles> }} Lane
 */

export class Picture {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.context = canvas.getContext('2d', { alpha: false });
    this.low = new Int16Array(0);
    this.high = new Int16Array(0);
    this.repaint();
  }

  /** Reads the colours anew. */
  repaint() {
    this.colours = colours();
    const list = shades(this.colours);
    this.palette = { key: this.colours.paper, pixels: new Uint32Array(list.map(s => { const [r, g, b] = s.match(/\d+/g).map(Number); return (255 << 24 | b << 16 | g << 8 | r) >>> 0; })) };
  }

  /** Gives every lane its place. @param {Lane[]} lanes @returns {number} the height of all, px */
  arrange(lanes) {
    const each = lanes.length === 1 ? 356 : lanes.length === 2 ? 232 : 188;
    let y = 0;
    lanes.forEach((lane, i) => {
      lane.first = i === 0 || lanes[i - 1].recording !== lane.recording;
      y += lane.first ? STRIP : GAP;
      [lane.top, lane.height] = [y, each];
      y += each;
    });
    return y + AXIS;
  }

  /** Fits the canvas to its place. */
  resize(width, height) {
    const ratio = Math.min(devicePixelRatio || 1, 2);
    const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
    if (this.canvas.width !== w || this.canvas.height !== h) [this.canvas.width, this.canvas.height] = [w, h];
    [this.width, this.height, this.ratio] = [width, height, ratio];
  }

  /** @param {{ from: number, to: number }} view @param {Lane[]} lanes @param {number} quantity @param {import('./clocks.js').RecorderClock | null} day the time of day along the axis */
  draw(view, lanes, quantity, day) {
    const { context: g, colours: c } = this;
    g.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    g.fillStyle = c.paper;
    g.fillRect(0, 0, this.width, this.height);
    g.font = '12px system-ui,-apple-system,"Segoe UI","DejaVu Sans",sans-serif';
    g.textBaseline = 'middle';
    const apart = distance(view.to - view.from, this.width - LEFT);
    const close = view.to - view.from < 20;
    for (const lane of lanes) this.lane(lane, view, apart, quantity, close);
    this.axis(view, apart, day);
  }

  x(view, time) { return LEFT + (time - view.from) / (view.to - view.from) * (this.width - LEFT); }

  lane(lane, view, apart, quantity, close) {
    const { context: g, colours: c } = this;
    const levels = lane.levels;
    if (lane.first) {
      g.fillStyle = c.faint;
      g.fillRect(LEFT, lane.top - STRIP + 2, this.width - LEFT, STRIP - 6);
      if (lane.blank) {
        g.fillStyle = c.soft; g.textAlign = 'left';
        g.fillText(say('drag here to mark a span'), LEFT + 12, lane.top - STRIP / 2 - 1);
      }
    }
    const samplesHeight = close ? 74 : 0;
    const lineHeight = Math.round((lane.height - samplesHeight) * (close ? 0.46 : 0.52)) - 12;
    const line = { y: lane.top + 4, h: lineHeight };
    const bands = { y: line.y + lineHeight + 14, h: lane.height - samplesHeight - lineHeight - 20 };
    g.strokeStyle = c.faint;
    g.lineWidth = 1;
    g.beginPath();
    for (let t = Math.ceil(view.from / apart) * apart; t <= view.to; t += apart) {
      const x = Math.round(this.x(view, t)) + 0.5;
      g.moveTo(x, line.y); g.lineTo(x, line.y + line.h);
    }
    g.stroke();
    if (!levels) {
      g.fillStyle = c.soft; g.textAlign = 'left';
      g.fillText(lane.failure ?? say('being measured …'), LEFT + 12, line.y + line.h / 2);
      return;
    }
    const from = lane.clock.own(view.from), perPixel = (view.to - view.from) / (this.width - LEFT) / lane.clock.rate;
    const near = lane.near && lane.near.start <= Math.max(from, 0) + 1e-6 && lane.near.end >= Math.min(from + perPixel * (this.width - LEFT), levels.start + levels.seconds) - 0.011 && close ? lane.near : null;
    this.line(lane, line, near ?? levels, from, perPixel, near && quantity === FAST ? FAST : quantity);
    this.bands(lane, bands, near ?? levels, levels, from, perPixel);
    if (close) this.samples(lane, { y: bands.y + bands.h + 10, h: samplesHeight - 12 }, from, perPixel);
  }

  /** The scale of the level line: whole tens around everything that is there. */
  scale(lane, quantity) {
    const shift = lane.fullScale ?? 0, top = lane.levels.folds.at(-1) ?? null;
    const high = ((top ? top.largest[quantity][0] : lane.levels.columns[quantity][0]) / 100) + shift;
    const low = ((top ? top.smallest[quantity][0] : lane.levels.columns[quantity][0]) / 100) + shift;
    if (high < -320) return { low: -100, high: -40 };
    const most = Math.ceil((high + 1) / 10) * 10;
    return { low: Math.min(Math.max(Math.floor((low - 1) / 10) * 10, most - 80), most - 40), high: most };
  }

  line(lane, box, levels, from, perPixel, quantity) {
    const { context: g, colours: c } = this;
    const shift = lane.fullScale ?? 0, { low, high } = this.scale(lane, quantity);
    const y = value => box.y + box.h * (high - (value / 100 + shift)) / (high - low);
    g.strokeStyle = c.rule; g.fillStyle = c.soft; g.textAlign = 'right';
    g.beginPath();
    const every = (high - low) / 10 > box.h / 24 ? 20 : 10;
    for (let v = low; v <= high; v += every) {
      const at = Math.round(box.y + box.h * (high - v) / (high - low)) + 0.5;
      g.moveTo(LEFT, at); g.lineTo(this.width, at);
      if (v < high || every < 20) g.fillText(number(v, 0), LEFT - 8, Math.max(at, box.y + 6));
    }
    g.stroke();

    const columns = Math.max(1, Math.round((this.width - LEFT) * this.ratio)), perColumn = perPixel / this.ratio;
    if (this.low.length !== columns) [this.low, this.high] = [new Int16Array(columns), new Int16Array(columns)];
    const [least, most] = [this.low, this.high];
    levels.extremes(quantity, from, perColumn, least, most);
    g.save();
    g.beginPath(); g.rect(LEFT, box.y - 2, this.width - LEFT, box.h + 4); g.clip();
    g.strokeStyle = g.fillStyle = c.ink;
    g.lineWidth = 1; g.lineJoin = 'round';
    const pixel = 1 / this.ratio;
    for (let x = 0; x < columns;) {
      if (most[x] === NO_LEVEL) { x++; continue; }
      // One stretch: along the largest, and back along the smallest.
      let end = x;
      while (end < columns && most[end] !== NO_LEVEL) end++;
      g.beginPath();
      g.moveTo(LEFT + x * pixel, y(most[x]));
      for (let i = x; i < end; i++) { g.lineTo(LEFT + i * pixel, y(most[i])); g.lineTo(LEFT + (i + 1) * pixel, y(most[i])); }
      for (let i = end - 1; i >= x; i--) { g.lineTo(LEFT + (i + 1) * pixel, y(least[i])); g.lineTo(LEFT + i * pixel, y(least[i])); }
      g.closePath();
      g.fill();
      g.stroke();
      x = end;
    }
    g.restore();
    const words = quantity === C ? 'dB(C)' : 'dB(A)';
    g.fillStyle = c.ink; g.textAlign = 'left';
    const ms = Math.round(1000 * levels.step);
    const what = quantity === C ? say('LCeq of {0} ms', ms) : quantity === A ? say('LAeq of {0} ms', ms) : say('LAF, the highest');
    this.caption(`${lane.name}: ${what}, ${lane.fullScale === null ? say('dB re full scale') : words}`, LEFT + 6, box.y + 8);
  }

  /** Words on a picture, on a piece of paper. */
  caption(text, x, y) {
    const { context: g, colours: c } = this;
    const width = g.measureText(text).width;
    g.globalAlpha = 0.86; g.fillStyle = c.paper;
    g.fillRect(x - 3, y - 8, width + 6, 16);
    g.globalAlpha = 1; g.fillStyle = c.ink;
    g.fillText(text, x, y);
  }

  /** Lowest level of the darkest shades, hundredths of a decibel re full scale: the loudest band is always ink. */
  lowest(lane) {
    const highest = lane.levels.highest === NO_LEVEL ? 0 : lane.levels.highest, shift = 100 * (lane.fullScale ?? 0), unit = 100 * SHADE_DB;
    return Math.ceil((highest + shift) / unit) * unit - SHADES * unit - shift;
  }

  bands(lane, box, levels, all, from, perPixel) {
    const { context: g, colours: c } = this;
    const lowest = Math.round(this.lowest(lane)), perDevice = perPixel / this.ratio / levels.step;
    let tiles = lane.tiles.get(levels);
    if (!tiles) lane.tiles.set(levels, tiles = new Tiles(levels));
    // Never finer than the screen: a block is at least a pixel, so that none is skipped.
    const fold = perDevice <= 1 ? null : levels.folds.find(f => f.size >= perDevice) ?? levels.folds.at(-1) ?? null;
    const size = fold?.size ?? 1, seconds = size * levels.step, width = this.width - LEFT;
    const blocks = Math.ceil(levels.filled / size);
    const first = Math.max(0, Math.floor((from - levels.start) / seconds)), end = Math.min(blocks, Math.ceil((from + width * perPixel - levels.start) / seconds));
    g.save();
    g.beginPath(); g.rect(LEFT, box.y, width, box.h); g.clip();
    g.imageSmoothingEnabled = false;
    for (let index = Math.floor(first / TILE); index * TILE < end; index++) {
      const tile = tiles.at(fold, index, this.palette, lowest);
      const a = Math.max(first, index * TILE), b = Math.min(end, (index + 1) * TILE);
      const x = LEFT + (levels.start + a * seconds - from) / perPixel, w = (b - a) * seconds / perPixel;
      g.drawImage(tile, a - index * TILE, 0, b - a, BANDS, x, box.y, w, box.h);
    }
    // Bands that do not exist at the sampling rate.
    g.strokeStyle = c.grey; g.lineWidth = 0.7;
    for (let band = 0; band < BANDS; band++) {
      if (all.has[band] || all.highest === NO_LEVEL) continue;
      const y = box.y + (BANDS - 1 - band) * box.h / BANDS, h = box.h / BANDS;
      g.beginPath();
      for (let x = LEFT; x < this.width; x += 7) { g.moveTo(x, y + h); g.lineTo(x + 5, y); }
      g.stroke();
    }
    g.restore();
    g.strokeStyle = c.rule; g.lineWidth = 1;
    g.strokeRect(LEFT + 0.5, Math.round(box.y) - 0.5, width - 1, Math.round(box.h) + 1);
    g.fillStyle = c.soft; g.textAlign = 'right';
    for (const [hertz, band] of LABELLED) {
      if (box.h < 100 && (hertz === 63 || hertz === 4000)) continue;
      g.fillText(hertz < 1000 ? String(hertz) : `${hertz / 1000}k`, LEFT - 8, box.y + (BANDS - 0.5 - band) * box.h / BANDS);
    }
    g.save();
    g.translate(10, box.y + box.h / 2); g.rotate(-Math.PI / 2);
    g.textAlign = 'center';
    g.fillText(box.h < 90 ? 'Hz' : say('band, Hz'), 0, 0);
    g.restore();
  }

  samples(lane, box, from, perPixel) {
    const { context: g, colours: c } = this;
    const middle = Math.round(box.y + box.h / 2) + 0.5;
    g.strokeStyle = c.rule;
    g.beginPath(); g.moveTo(LEFT, middle); g.lineTo(this.width, middle); g.stroke();
    const seen = lane.samples;
    if (seen) {
      let most = 1e-9;
      for (const value of seen.values) most = Math.max(most, Math.abs(value));
      const columns = seen.values.length / 2, per = (seen.to - seen.from) / columns;
      g.save();
      g.beginPath(); g.rect(LEFT, box.y, this.width - LEFT, box.h); g.clip();
      g.strokeStyle = c.ink; g.lineWidth = Math.max(1 / this.ratio, Math.min(per / perPixel, 1.2));
      g.beginPath();
      for (let i = 0; i < columns; i++) {
        const x = LEFT + (seen.from + (i + 0.5) * per - from) / perPixel;
        if (x < LEFT - 2 || x > this.width + 2) continue;
        const high = middle - seen.values[2 * i + 1] / most * box.h / 2, low = middle - seen.values[2 * i] / most * box.h / 2;
        g.moveTo(x, Math.min(high, low - 0.6)); g.lineTo(x, Math.max(low, high + 0.6));
      }
      g.stroke();
      g.restore();
      g.fillStyle = c.soft; g.textAlign = 'left';
      this.caption(say('samples, highest {0} % of full scale', number(100 * most, most > 0.1 ? 0 : most > 0.001 ? 2 : 4)), LEFT + 6, box.y + 5);
    }
  }

  axis(view, apart, day) {
    const { context: g, colours: c } = this;
    const y = this.height - AXIS + 6, places = decimals(apart);
    g.strokeStyle = c.grey; g.lineWidth = 1;
    g.beginPath(); g.moveTo(LEFT, y + 0.5); g.lineTo(this.width, y + 0.5);
    const marks = [];
    for (let n = Math.ceil(view.from / apart - 1e-6); n * apart <= view.to + 1e-9; n++) {
      const x = Math.round(this.x(view, n * apart)) + 0.5;
      g.moveTo(x, y); g.lineTo(x, y + 5);
      marks.push([x, n * apart]);
    }
    g.stroke();
    g.textAlign = 'center';
    const inside = (text, x, at) => {
      const half = g.measureText(text).width / 2;
      g.fillText(text, Math.min(Math.max(x, LEFT + half), this.width - half), at);
    };
    for (const [x, t] of marks) {
      g.fillStyle = c.ink;
      inside(shown(t, places), x, y + 13);
      if (day !== null) { g.fillStyle = c.soft; inside(clock(day.at(t), places), x, y + 27); }
    }
    g.fillStyle = c.soft; g.textAlign = 'right';
    g.fillText(apart < 60 ? 'm:s' : 'h:m:s', LEFT - 8, y + 13);
    if (day !== null) g.fillText(say('clock'), LEFT - 8, y + 27);
  }
}
