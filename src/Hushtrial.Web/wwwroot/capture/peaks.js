// The highest sample of each channel, a second at a time: a number that can be read.
import { say } from '../sheet.js';
import { input } from './input.js';

/** What counts as full scale: the last steps of 16 bits. */
const FULL = 0.999;
let highest = [];

const decibels = x => x > 0 ? `${(20 * Math.log10(x)).toFixed(1).replace('.', document.documentElement.lang === 'de' ? ',' : '.').replace('-', '−')} dB` : say('silence');

/** Looks at interleaved samples. */
export function lookAt(samples) {
  const { channels } = input;
  highest.length = channels;
  for (let c = 0; c < channels; c++) {
    let most = highest[c] ?? 0;
    for (let i = c; i < samples.length; i += channels) { const size = Math.abs(samples[i]); if (size > most) most = size; }
    highest[c] = most;
  }
}

/** Shows the peaks of every second in a list, while an input is open. */
export function showPeaks(list) {
  setInterval(() => {
    if (!input.stream) return;
    const second = highest;
    highest = [];
    list.replaceChildren(...second.map((peak, c) => {
      const full = peak >= FULL;
      return Object.assign(document.createElement('li'), {
        className: full ? 'wrong' : '', textContent: `${say('Channel {0}', c + 1)}: ${decibels(peak)}${full ? ` – ${say('full scale reached: turn the gain down')}` : ''}`,
      });
    }));
  }, 1000);
}
