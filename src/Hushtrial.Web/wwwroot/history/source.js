// Fetches level histories, close views and sound from the workspace.
import { ask, trial } from '../sheet.js';
import { HEAD_BYTES, Levels } from './levels.js';

const address = (recording, what, query) => `/trials/${trial}/recordings/${encodeURIComponent(recording)}/${what}?${new URLSearchParams(query)}`;

/**
 * Receives the level history of a channel while it is measured.
 * @param {string} recording @param {number} channel from 1
 * @param {(levels: Levels) => void} grown called whenever more of it is here
 * @param {AbortSignal} signal
 */
export async function receive(recording, channel, grown, signal) {
  const response = await ask(address(recording, 'levels', { channel }), { signal });
  if (!response.ok) throw new Error(await response.text());
  const reader = response.body.getReader();
  /** @type {Levels | null} */
  let levels = null;
  let rest = new Uint8Array(0);
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    const bytes = rest.length === 0 ? value : joined(rest, value);
    let at = 0;
    if (!levels) {
      if (bytes.length < HEAD_BYTES) { rest = bytes; continue; }
      levels = new Levels(new DataView(bytes.buffer, bytes.byteOffset, HEAD_BYTES));
      at = HEAD_BYTES;
    }
    const whole = Math.floor((bytes.length - at) / (2 * levels.numbers)) * 2 * levels.numbers;
    if (whole > 0) levels.append(new DataView(bytes.buffer, bytes.byteOffset + at, whole));
    rest = bytes.slice(at + whole);
    grown(levels);
  }
  if (!levels || levels.filled < levels.steps) throw new Error('the level history ended early');
  return levels;
}

/** Levels in short steps of a short stretch. @returns {Promise<Levels>} */
export async function near(recording, channel, from, to, step, signal) {
  const response = await ask(address(recording, 'near', { channel, from, to, step }), { signal });
  if (!response.ok) throw new Error(await response.text());
  const bytes = await response.arrayBuffer();
  const levels = new Levels(new DataView(bytes, 0, HEAD_BYTES));
  levels.append(new DataView(bytes, HEAD_BYTES));
  return levels;
}

/** Smallest and largest sample of each column of a short stretch, share of full scale. @returns {Promise<Float32Array>} */
export async function extremes(recording, channel, from, to, columns, signal) {
  const response = await ask(address(recording, 'extremes', { channel, from, to, columns }), { signal });
  if (!response.ok) throw new Error(await response.text());
  return new Float32Array(await response.arrayBuffer());
}

/** Address of a stretch to listen to. */
export const sound = (recording, channel, from, to) => address(recording, 'listen', { channel, from: from.toFixed(3), to: to.toFixed(3) });

function joined(a, b) {
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}
