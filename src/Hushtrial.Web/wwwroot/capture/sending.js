// Sends every sample and every mark to the workspace, which keeps them at once. What is not acknowledged yet waits here; it never gives up while the page is open.
import { ask, say, tell } from '../sheet.js';
import { input } from './input.js';

const PIECE_SECONDS = 0.25;
const MOST_AT_ONCE_SECONDS = 2;
/** A mark that was not kept waits so long, while frames go on. */
const MARK_AGAIN_MS = 2000;
/** What was acknowledged is kept here a while: a machine that lost power may have lost its last second. */
const KEPT_SECONDS = 5;

const NOTHING = { queue: [], kept: [], marks: [], markedAgain: 0, frames: 0, acknowledged: 0, lost: 0, gaps: 0, away: false, full: false, ended: false };

/** The capture under way. `frames` have come, `acknowledged` are on the disk, `lost` were never handed to us; `away` and `full` say why it stands still. */
export const capture = { id: null, sending: false, ...NOTHING };

const wait = milliseconds => new Promise(resolve => setTimeout(resolve, milliseconds));
const end = piece => piece.from + (piece.samples.length / input.channels);

let base = '', heard = () => {}, carded = () => {}, failed = () => {};
/** Where captures are kept; `changed(state)` is called after every answer with what the workspace said (null: it did not answer), `led(card)` with the card after a mark,
 * `broken(words)` when it cannot go on. */
export function sendTo(address, { changed, led, broken }) { [base, heard, carded, failed] = [address, changed, led, broken]; }

/** Begins a capture of the open input. Resolves to null, or to why it could not be begun. */
export async function beginCapture(name) {
  const response = await ask(base, { method: 'POST', json: { name, sampleRate: input.rate, channels: input.channels, device: input.device, settings: input.settings } });
  if (!response.ok) return response.text();
  const { capture: id } = await response.json();
  await input.context.resume();
  Object.assign(capture, NOTHING, { queue: [], kept: [], marks: [], id });
  return null;
}

/** Takes frames that have come. */
export function take(samples) {
  if (!capture.id || capture.ended) return;
  capture.queue.push({ from: capture.frames, samples });
  capture.frames += samples.length / input.channels;
  if (capture.frames - capture.queue[0].from >= PIECE_SECONDS * input.rate) pump();
}

/** Time goes on: what is missing is filled up, so that clock and takes stay right, and it is told. */
export function fillUp(frames) {
  capture.lost += frames;
  take(new Float32Array(frames * input.channels));
}

/** Notes something at a place of the capture; it is sent as soon as the frames before it are kept. */
export function note(mark) {
  if (!capture.id || capture.ended) return;
  capture.marks.push(mark);
  pump();
}

/** Sends what waits, oldest first, and resolves when all of it is kept. */
export async function pump() {
  if (capture.sending || !capture.id) return;
  capture.sending = true;
  try {
    while (capture.id && (due() ? await mark() : capture.queue.length && await piece())) { /* the next one */ }
  } finally {
    capture.sending = false;
  }
}

const due = () => capture.marks.length > 0 && performance.now() >= capture.markedAgain && (capture.marks[0].to ?? capture.marks[0].from) <= capture.acknowledged;

/** The workspace could not keep it and will once there is room, or once it has recovered. */
function refusedForNow({ status }) {
  capture.full = status === 507;
  capture.away = status >= 500 && !capture.full;
  if (capture.full || capture.away) heard(null);
  return capture.full || capture.away;
}

/** Sends the oldest mark; one that the workspace refuses is told and dropped, one that it cannot keep now is sent again. */
async function mark() {
  let response;
  try {
    response = await ask(`${base}/${capture.id}/marks`, { method: 'POST', json: capture.marks[0] });
  } catch {
    capture.away = true;
    heard(null);
    await wait(500);
    return true;
  }
  if (refusedForNow(response)) {
    capture.markedAgain = performance.now() + MARK_AGAIN_MS;
    return true;
  }
  capture.marks.shift();
  if (response.ok) carded(await response.json());
  else {
    tell(say('A mark was not kept.'), true);
    await askCard();
  }
  return true;
}

/** What was noted is not so: the card says again where the run stands. */
async function askCard() {
  try {
    const response = await ask(`${base}/${capture.id}/lead`);
    if (response.ok) carded(await response.json());
  } catch { /* It comes with the next mark. */ }
}

/** One request; false when the capture cannot go on. */
async function piece() {
  const some = [];
  for (const next of capture.queue) {
    some.push(next);
    if (end(next) - some[0].from >= MOST_AT_ONCE_SECONDS * input.rate) break;
  }
  const body = new Float32Array(some.reduce((sum, next) => sum + next.samples.length, 0));
  let at = 0;
  for (const next of some) { body.set(next.samples, at); at += next.samples.length; }
  let response;
  try {
    response = await ask(`${base}/${capture.id}/frames?from=${some[0].from}`, { method: 'POST', body: body.buffer, headers: { 'Content-Type': 'application/octet-stream' } });
  } catch {
    capture.away = true;
    heard(null);
    await wait(500);
    return true;
  }
  if (refusedForNow(response)) {
    await wait(2000);
    return true;
  }
  if (response.status === 409) return again((await response.json()).frames);
  if (!response.ok) return broken(say('The workspace does not take the recording any more: {0}', await response.text()));
  const state = await response.json();
  capture.queue.splice(0, some.length);
  capture.kept.push(...some);
  while (capture.kept.length && state.frames - capture.kept[0].from > KEPT_SECONDS * input.rate) capture.kept.shift();
  Object.assign(capture, { acknowledged: state.frames, gaps: state.gaps });
  heard(state);
  return true;
}

/** The workspace stands further back than it had said: it was cut off from its power. What it lost is sent again. */
function again(frames) {
  const missing = capture.kept.filter(kept => end(kept) > frames);
  if (!missing.length || missing[0].from > frames) return broken(say('The workspace has lost a part of the recording that is not here any more.'));
  capture.queue.unshift(...missing);
  capture.kept = [];
  return true;
}

function broken(words) {
  capture.id = null;
  failed(words);
  return false;
}

/** Ends the capture: sends what is left. Resolves to its identity, or to null when it broke off. */
export async function endCapture() {
  capture.ended = true;
  while ((capture.queue.length || capture.marks.length) && capture.id) { await pump(); if (capture.queue.length || capture.marks.length) await wait(200); }
  const { id } = capture;
  capture.id = null;
  return id;
}
