// The key to the shades: what level each step from paper to ink stands for.
import { say } from '../sheet.js';
import { shades } from './picture.js';
import { number } from './times.js';

const CELL = 22, HEIGHT = 30, RATIO = 2;

/**
 * @param {import('./picture.js').Lane} lane a channel that has levels
 * @param {import('./picture.js').Picture} picture
 * @returns {HTMLElement[]} words and the steps
 */
export function shadesKey(lane, picture) {
  const lowest = (picture.lowest(lane) + 100 * (lane.fullScale ?? 0)) / 100;
  const words = document.createElement('span');
  words.textContent = lane.fullScale === null ? say('One-third-octave levels, dB re full scale:') : say('One-third-octave levels, dB:');
  const canvas = document.createElement('canvas');
  const list = shades(picture.colours);
  [canvas.width, canvas.height] = [list.length * CELL * RATIO, HEIGHT * RATIO];
  canvas.className = 'shades';
  canvas.setAttribute('role', 'img');
  canvas.setAttribute('aria-label', say('from paper, {0} dB and below, to ink, above {1} dB, in steps of 5 dB', number(lowest, 0), number(lowest + 55, 0)));
  const g = canvas.getContext('2d');
  g.scale(RATIO, RATIO);
  g.font = '11px system-ui,-apple-system,"Segoe UI","DejaVu Sans",sans-serif'; g.textAlign = 'center'; g.textBaseline = 'top';
  list.forEach((shade, i) => {
    g.fillStyle = shade; g.fillRect(i * CELL, 0, CELL, 13);
    g.strokeStyle = picture.colours.rule; g.lineWidth = 1; g.strokeRect(i * CELL + 0.5, 0.5, CELL - 1, 12);
    g.fillStyle = picture.colours.soft;
    if (i > 0 && i % 2 === 0) g.fillText(number(lowest + 5 * (i - 1), 0), i * CELL, 17);
  });
  return [words, canvas];
}
