// The level history of one channel in memory, with a pyramid of extremes, so that any zoom finds every narrow event at the cost of a screen.

export const NO_LEVEL = -32768;
export const HEAD_BYTES = 32;
/** Places of the quantities in a row; the 31 one-third-octave bands 20 Hz…20 kHz begin at FIRST_BAND. */
export const A = 0, C = 1, Z = 2, FAST = 3, FIRST_BAND = 4, BANDS = 31;
/** Steps of one level of the pyramid that make one of the next. */
const FOLD = 2;

/** Levels in hundredths of a decibel re full scale, step by step; grows while it is received. */
export class Levels {
  /** @param {DataView} head the first 32 bytes */
  constructor(head) {
    const magic = String.fromCharCode(...new Uint8Array(head.buffer, head.byteOffset, 8));
    if (magic !== 'HUSHLEV1') throw new Error(`not a level history: ${magic}`);
    /** Length of a step, s. */
    this.step = head.getInt32(8, true) / 1e6;
    /** Start of the first step in the recording, s. */
    this.start = Number(head.getBigInt64(12, true)) / 1e6;
    /** Number of steps. */
    this.steps = head.getInt32(20, true);
    this.numbers = head.getInt32(24, true);
    /** Length of the last step, s. */
    this.last = head.getInt32(28, true) / 1e6;
    /** Steps that are here. */
    this.filled = 0;
    /** Highest band level so far, hundredths of a decibel; NO_LEVEL while there is none. */
    this.highest = NO_LEVEL;
    /** Whether a band has any level. */
    this.has = new Array(BANDS).fill(false);
    this.columns = Array.from({ length: this.numbers }, () => new Int16Array(this.steps).fill(NO_LEVEL));
    /** One entry per fold: [largest of each number, smallest of each broadband number]. */
    this.folds = [];
    for (let size = FOLD; size < this.steps * FOLD; size *= FOLD) {
      const count = Math.ceil(this.steps / size);
      this.folds.push({
        size,
        largest: Array.from({ length: this.numbers }, () => new Int16Array(count).fill(NO_LEVEL)),
        smallest: Array.from({ length: FIRST_BAND }, () => new Int16Array(count).fill(32767)),
      });
      if (count === 1) break;
    }
    // Running sums of energy, so that the mean of any span costs two look-ups.
    this.sums = [A, C].map(() => new Float64Array(this.steps + 1));
  }

  /** Length of all of it, s. */
  get seconds() { return this.steps === 0 ? 0 : (this.steps - 1) * this.step + this.last; }

  /** End of what is here, in the recording, s. */
  get end() { return this.start + Math.min(this.filled * this.step, this.seconds); }

  /** Takes whole rows. @param {DataView} rows */
  append(rows) {
    const count = Math.min(Math.floor(rows.byteLength / (2 * this.numbers)), this.steps - this.filled);
    const from = this.filled;
    for (let i = 0, at = 0; i < count; i++) {
      for (let n = 0; n < this.numbers; n++, at += 2) {
        const value = rows.getInt16(at, true);
        this.columns[n][from + i] = value;
        if (n >= FIRST_BAND && value !== NO_LEVEL) {
          this.has[n - FIRST_BAND] = true;
          if (value > this.highest) this.highest = value;
        }
      }
      const length = from + i === this.steps - 1 ? this.last : this.step;
      for (const q of [A, C]) {
        const value = this.columns[q][from + i];
        this.sums[q][from + i + 1] = this.sums[q][from + i] + (value === NO_LEVEL ? 0 : 10 ** (value / 1000)) * length;
      }
    }
    this.filled = from + count;
    this.fold(from, this.filled);
  }

  /** Renews the pyramid over the steps from one to another. */
  fold(from, to) {
    let below = { largest: this.columns, smallest: this.columns, size: 1 };
    for (const fold of this.folds) {
      const ratio = fold.size / below.size;
      const first = Math.floor(from / fold.size), end = Math.ceil(to / fold.size);
      const belowEnd = Math.ceil(to / below.size);
      for (let n = 0; n < this.numbers; n++) {
        const source = below.largest[n], target = fold.largest[n];
        for (let i = first; i < end; i++) {
          let most = NO_LEVEL;
          for (let k = i * ratio, stop = Math.min(k + ratio, belowEnd); k < stop; k++) if (source[k] > most) most = source[k];
          target[i] = most;
        }
        if (n >= FIRST_BAND) continue;
        const low = below.smallest[n], least = fold.smallest[n];
        for (let i = first; i < end; i++) {
          let value = 32767;
          for (let k = i * ratio, stop = Math.min(k + ratio, belowEnd); k < stop; k++) if (low[k] !== NO_LEVEL && low[k] < value) value = low[k];
          least[i] = value;
        }
      }
      below = fold;
    }
  }

  /** The coarsest entry of the pyramid whose blocks are not longer than so many steps; null for the steps themselves. */
  foldFor(steps) {
    let found = null;
    for (const fold of this.folds) if (fold.size <= steps) found = fold;
    return found;
  }

  /**
   * Smallest and largest level of each column of a picture. Every step that touches a column counts in it.
   * @param {number} quantity A, C or FAST
   * @param {number} from start of the picture in the recording, s
   * @param {number} perColumn s
   * @param {Int16Array} low @param {Int16Array} high one number per column; NO_LEVEL where there is nothing
   */
  extremes(quantity, from, perColumn, low, high) {
    const fold = this.foldFor(perColumn / this.step);
    const size = fold ? fold.size : 1, seconds = size * this.step;
    const most = fold ? fold.largest[quantity] : this.columns[quantity];
    const least = fold ? fold.smallest[quantity] : this.columns[quantity];
    const blocks = Math.ceil(this.filled / size);
    for (let x = 0; x < low.length; x++) {
      const t = from + x * perColumn - this.start;
      const first = Math.max(0, Math.floor(t / seconds)), end = Math.min(blocks, Math.max(Math.ceil((t + perColumn) / seconds), first + 1));
      let a = 32767, b = NO_LEVEL;
      if (t + perColumn > 0) for (let i = first; i < end; i++) {
        if (most[i] > b) b = most[i];
        if (least[i] !== NO_LEVEL && least[i] < a) a = least[i];
      }
      low[x] = b === NO_LEVEL ? NO_LEVEL : a;
      high[x] = b;
    }
  }

  /** Energy from the start to a time in the recording. */
  energyTo(quantity, time) {
    const place = Math.min(Math.max(0, (time - this.start) / this.step), this.steps);
    const whole = Math.min(Math.floor(place), this.filled);
    const sums = this.sums[quantity];
    if (whole >= this.filled) return sums[this.filled];
    const length = whole === this.steps - 1 ? this.last : this.step;
    return sums[whole] + (sums[whole + 1] - sums[whole]) * Math.min(1, (place - whole) * this.step / length);
  }

  /** Energy mean of a span, dB re full scale; null for silence or a span that is not here yet. @param {number} quantity A or C */
  mean(quantity, from, to) {
    if (!(to > from) || to > this.end + 1e-6 || from < this.start - 1e-6) return null;
    const energy = this.energyTo(quantity, to) - this.energyTo(quantity, from);
    return energy > 0 ? 10 * Math.log10(energy / (to - from)) : null;
  }

  /** Loudest minus quietest half second of a span, A-weighted, dB; null when the span holds fewer than two. */
  range(from, to) {
    let low = Infinity, high = -Infinity, count = 0;
    for (let t = from; t + 0.5 <= to + 1e-9; t += 0.5, count++) {
      const mean = this.mean(A, t, t + 0.5);
      if (mean === null) return null;
      low = Math.min(low, mean);
      high = Math.max(high, mean);
    }
    return count < 2 ? null : high - low;
  }
}
