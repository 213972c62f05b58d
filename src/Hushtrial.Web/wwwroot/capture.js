// Records on this device: opens an input with all processing off, reads back what the browser made of that, and sends every sample to the workspace,
// which keeps it at once. What is not acknowledged yet waits here.
import { ask, renew, say, tell } from './sheet.js';

const root = document.getElementById('capture');
const part = name => root.querySelector(`[data-part="${name}"]`);
const base = root.dataset.captures;
const PIECE_SECONDS = 0.25;
const MOST_AT_ONCE_SECONDS = 2;
/** What was acknowledged is kept here a while: a machine that lost power may have lost its last second. */
const KEPT_SECONDS = 5;
/** Longer than this no block goes missing while it records: the device slept. Filling up hours would only fill the disk. */
const MOST_MISSING_SECONDS = 60;

const input = { stream: null, context: null, source: null, node: null, channels: 1, rate: 0, device: '', settings: {} };
const capture = { id: null, queue: [], kept: [], frames: 0, acknowledged: 0, lost: 0, sending: false, gaps: 0, away: false, full: false, ended: false };
const peaks = { sinceSecond: [], shown: [] };

const whole = seconds => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, '0')}`;
const decibels = x => x > 0 ? `${(20 * Math.log10(x)).toFixed(1).replace('.', document.documentElement.lang === 'de' ? ',' : '.').replace('-', '−')} dB` : say('silence');

/** Opens the chosen input; everything that a browser does to make speech nicer is off. */
async function open(deviceId) {
  close();
  const audio = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: { ideal: 4 }, ...(deviceId ? { deviceId: { exact: deviceId } } : {}) };
  try {
    input.stream = await navigator.mediaDevices.getUserMedia({ audio });
  } catch (error) {
    return tell(error.name === 'NotAllowedError' ? say('The browser was not allowed to use the microphone.') : say('The input cannot be opened: {0}', error.message), true);
  }
  const track = input.stream.getAudioTracks()[0];
  const settings = track.getSettings();
  input.device = track.label;
  // At the input's own rate nothing is resampled.
  input.context = new AudioContext(settings.sampleRate ? { sampleRate: settings.sampleRate, latencyHint: 'playback' } : { latencyHint: 'playback' });
  input.rate = input.context.sampleRate;
  input.channels = Math.min(4, Math.max(1, settings.channelCount ?? 1));
  input.settings = Object.fromEntries(Object.entries({ ...settings, contextRate: input.rate }).filter(([key]) => !key.endsWith('Id')).map(([key, value]) => [key, String(value)]));
  await input.context.audioWorklet.addModule(root.dataset.samples);
  input.source = input.context.createMediaStreamSource(input.stream);
  input.node = new AudioWorkletNode(input.context, 'hushtrial-samples', {
    numberOfInputs: 1, numberOfOutputs: 0, channelCount: input.channels, channelCountMode: 'explicit', channelInterpretation: 'discrete',
    processorOptions: { channels: input.channels, frames: Math.round(input.rate / 20) },
  });
  input.node.port.onmessage = event => event.data.samples ? arrive(event.data.samples) : missed(event.data.lost);
  input.source.connect(input.node);
  track.onended = () => { told('input', say('The input was taken away.')); if (capture.id) end(); };
  showSettings(settings);
  await inputs();
  refresh();
}

function close() {
  input.node?.port.postMessage('end');
  input.source?.disconnect();
  input.stream?.getTracks().forEach(track => track.stop());
  input.context?.close();
  Object.assign(input, { stream: null, context: null, source: null, node: null });
}

/** The inputs by name; names are told only once one was allowed. */
async function inputs() {
  const list = part('inputs');
  const devices = (await navigator.mediaDevices.enumerateDevices()).filter(device => device.kind === 'audioinput');
  const now = input.stream?.getAudioTracks()[0]?.getSettings().deviceId;
  list.replaceChildren(...devices.map(device => Object.assign(document.createElement('option'), { value: device.deviceId, textContent: device.label || say('an input'), selected: device.deviceId === now })));
  list.disabled = devices.length < 2;
}

/** What the browser says of the input now that it is open, not what it was asked for. */
function showSettings(settings) {
  const off = (value, name) => [name, value === false ? say('off') : value === true ? say('on: levels cannot be trusted') : say('not told'), value === false];
  const rows = [
    [say('Input'), input.device || say('without a name'), true],
    [say('Sampling rate'), `${input.rate} Hz${settings.sampleRate && settings.sampleRate !== input.rate ? ` (${say('resampled')})` : ''}`, input.rate >= 44_100 && (!settings.sampleRate || settings.sampleRate === input.rate)],
    [say('Channels'), String(input.channels), true],
    off(settings.autoGainControl, say('Automatic gain')), off(settings.noiseSuppression, say('Noise suppression')), off(settings.echoCancellation, say('Echo cancellation')),
  ];
  part('settings').replaceChildren(...rows.flatMap(([name, value, good]) => [
    Object.assign(document.createElement('dt'), { textContent: name }), Object.assign(document.createElement('dd'), { textContent: value, className: good ? '' : 'wrong' })]));
  part('doubt').hidden = rows.slice(3).every(([, , good]) => good);
  part('opened').hidden = false;
}

/** Samples from the audio thread. */
function arrive(samples) {
  peak(samples);
  if (!capture.id || capture.ended) return;
  capture.queue.push({ from: capture.frames, samples });
  capture.frames += samples.length / input.channels;
  if (capture.frames - capture.queue[0].from >= PIECE_SECONDS * input.rate) pump();
}

function missed(frames) {
  if (!capture.id || capture.ended) return;
  if (frames > MOST_MISSING_SECONDS * input.rate) {
    told('input', say('The device gave no samples for {0} s, as with a closed lid. The recording ends before that; begin another one.', Math.round(frames / input.rate)));
    return end();
  }
  capture.lost += frames;
  // Time goes on: what is missing is filled up, so that clock and takes stay right, and it is told.
  arrive(new Float32Array(frames * input.channels));
  refresh();
}

function peak(samples) {
  peaks.sinceSecond.length = input.channels;
  for (let c = 0; c < input.channels; c++) {
    let most = peaks.sinceSecond[c] ?? 0;
    for (let i = c; i < samples.length; i += input.channels) { const size = Math.abs(samples[i]); if (size > most) most = size; }
    peaks.sinceSecond[c] = most;
  }
}

/** Sends what waits, oldest first; never gives up while the page is open. */
async function pump() {
  if (capture.sending || !capture.id) return;
  capture.sending = true;
  try {
    while (capture.queue.length) {
      const some = [];
      for (const piece of capture.queue) {
        some.push(piece);
        if (piece.from + (piece.samples.length / input.channels) - some[0].from >= MOST_AT_ONCE_SECONDS * input.rate) break;
      }
      const body = new Float32Array(some.reduce((sum, piece) => sum + piece.samples.length, 0));
      let at = 0;
      for (const piece of some) { body.set(piece.samples, at); at += piece.samples.length; }
      let response;
      try {
        response = await ask(`${base}/${capture.id}/frames?from=${some[0].from}`, { method: 'POST', body: body.buffer, headers: { 'Content-Type': 'application/octet-stream' } });
      } catch {
        capture.away = true;
        refresh();
        await new Promise(resolve => setTimeout(resolve, 500));
        continue;
      }
      capture.away = false;
      capture.full = response.status === 507;
      if (capture.full) {
        refresh();
        await new Promise(resolve => setTimeout(resolve, 2000));
        continue;
      }
      if (response.status === 409) {
        const { frames } = await response.json();
        // The workspace stands further back than it had said: it was cut off from its power. What it lost is sent again.
        const again = capture.kept.filter(piece => piece.from + (piece.samples.length / input.channels) > frames);
        if (!again.length || again[0].from > frames) return fail(say('The workspace has lost a part of the recording that is not here any more.'));
        capture.queue.unshift(...again);
        capture.kept = [];
        continue;
      }
      if (!response.ok) return fail(say('The workspace does not take the recording any more: {0}', await response.text()));
      const state = await response.json();
      capture.queue.splice(0, some.length);
      capture.kept.push(...some);
      while (capture.kept.length && state.frames - capture.kept[0].from > KEPT_SECONDS * input.rate) capture.kept.shift();
      Object.assign(capture, { acknowledged: state.frames, gaps: state.gaps });
      refresh();
    }
  } finally {
    capture.sending = false;
  }
}

function fail(words) {
  told('state', words);
  tell(words, true);
  capture.id = null;
  refresh();
}

const told = (name, words) => { part(name).textContent = words; };

let lock = null;
/** A screen that goes dark stops the audio of some devices. */
async function awake(on) {
  try {
    if (on) lock = await navigator.wakeLock?.request('screen');
    else { await lock?.release(); lock = null; }
  } catch { /* Not every device allows it. */ }
}

async function begin() {
  const response = await ask(base, { method: 'POST', json: { name: part('name').value.trim() || 'flight', sampleRate: input.rate, channels: input.channels, device: input.device, settings: input.settings } });
  if (!response.ok) return tell(await response.text(), true);
  const { capture: id } = await response.json();
  await input.context.resume();
  Object.assign(capture, { queue: [], kept: [], frames: 0, acknowledged: 0, lost: 0, gaps: 0, away: false, full: false, ended: false, id });
  awake(true);
  refresh();
}

async function end() {
  capture.ended = true;
  refresh();
  awake(false);
  while (capture.queue.length && capture.id) { await pump(); if (capture.queue.length) await new Promise(resolve => setTimeout(resolve, 200)); }
  if (!capture.id) return;
  const id = capture.id;
  capture.id = null;
  await finish(id, part('run').value);
  refresh();
}

async function finish(id, run) {
  told('state', say('Bringing it in …'));
  const response = await ask(`${base}/${id}/finish?run=${encodeURIComponent(run)}`, { method: 'POST' });
  if (!response.ok) { told('state', await response.text()); return; }
  const { recording, seconds, gaps } = await response.json();
  told('state', recording ? say('In the trial as ‘{0}’: {1} minutes.', recording, whole(seconds)) + (gaps ? ` ${say('Stretches of inserted zeros: {0}. Takes that touch one are a finding.', gaps)}` : '') : say('Nothing was recorded.'));
  await renew();
}

/** What is under way here is not broken off. */
function hideOwn() {
  for (const row of document.querySelectorAll('#broken-off [data-capture]')) row.hidden = row.dataset.capture === capture.id;
  const rest = document.getElementById('broken-off');
  rest.hidden = rest.querySelector('[data-capture]:not([hidden])') === null;
}
document.addEventListener('renewed', hideOwn);

function refresh() {
  hideOwn();
  const running = capture.id !== null && !capture.ended;
  const ready = input.stream !== null && part('read').checked;
  part('begin').hidden = running;
  part('begin').disabled = !ready || capture.ended && capture.id !== null;
  part('end').hidden = !running;
  part('open').disabled = part('inputs').inert = running;
  part('inputs').disabled = running || part('inputs').options.length < 2;
  root.classList.toggle('running', running);
  if (!capture.id) return;
  const waiting = (capture.frames - capture.acknowledged) / input.rate;
  told('elapsed', whole(capture.frames / input.rate));
  told('state', capture.full ? say('The disk takes no more: make room on it. {0} s wait here; leave this page open.', Math.ceil(waiting)) : capture.away ? say('The workspace does not answer. {0} s wait here and are sent when it is back; leave this page open.', Math.ceil(waiting))
    : `${say('Kept: {0}.', whole(capture.acknowledged / input.rate))} ${capture.gaps || capture.lost ? say('Missing stretches so far: {0}.', Math.max(capture.gaps, capture.lost ? 1 : 0)) : ''}`.trim());
}

setInterval(() => {
  if (!input.stream) return;
  // A second at a time: a number that can be read.
  peaks.shown = peaks.sinceSecond;
  peaks.sinceSecond = [];
  part('peaks').replaceChildren(...peaks.shown.map((peak, c) => {
    const row = document.createElement('li');
    const full = peak >= 0.999;
    row.className = full ? 'wrong' : '';
    row.textContent = `${say('Channel {0}', c + 1)}: ${decibels(peak)}${full ? ` – ${say('full scale reached: turn the gain down')}` : ''}`;
    return row;
  }));
}, 1000);

part('open').addEventListener('click', () => open(part('inputs').value));
part('inputs').addEventListener('change', () => open(part('inputs').value));
part('begin').addEventListener('click', begin);
part('end').addEventListener('click', end);
part('read').addEventListener('change', refresh);
document.addEventListener('click', async event => {
  const button = event.target.closest?.('[data-bring-in],[data-drop-capture]');
  if (!button) return;
  if (button.dataset.bringIn) await finish(button.dataset.bringIn, part('run').value);
  else { await ask(`${base}/${button.dataset.dropCapture}`, { method: 'DELETE' }); await renew(); }
});
document.addEventListener('visibilitychange', () => { if (!document.hidden && capture.id && !capture.ended) awake(true); });
addEventListener('beforeunload', event => { if (capture.id) event.preventDefault(); });
addEventListener('pagehide', close);
refresh();
