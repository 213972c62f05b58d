// The checks before flight: each records a stretch of the open input into the trial and tells the trial what it is. What it shows is worked out in the workspace.
import { ask, change, renew, say, tell } from './sheet.js';
import { stayAwake } from './capture/awake.js';
import { closeInput, input, listInputs, openInput, showReadBack, whyNot } from './capture/input.js';
import { lookAt, showPeaks } from './capture/peaks.js';
import { beginCapture, capture, endCapture, fillUp, sendTo, take } from './capture/sending.js';

const root = document.getElementById('ground');
if (root) begin();

function begin() {
  const part = name => document.querySelector(`#ground [data-part="${name}"], #ground-more [data-part="${name}"]`);
  const base = root.dataset.captures;
  const told = (words, bad = false) => { part('state').textContent = words; part('state').classList.toggle('wrong', bad); };
  const plain = field => field.value.trim().replace(',', '.').replace('−', '-');
  // The first and the last moments are those of the hand on the button.
  const span = (recording, seconds) => ({ recording, from: '0:02', to: `0:${String(seconds - 1).padStart(2, '0')}` });
  let quiet = null, busy = false, quietUnder = null;

  async function open(deviceId) {
    try {
      await openInput(deviceId, { module: root.dataset.samples, arrived: samples => { lookAt(samples); take(samples); }, missed: fillUp, ended: () => { told(say('The input was taken away.'), true); refresh(); } });
    } catch (error) {
      return tell(whyNot(error), true);
    }
    showReadBack(part('settings'));
    part('opened').hidden = false;
    await listInputs(part('inputs'));
    refresh();
  }

  const alarms = () => document.getElementById('ground-alarms');

  /** The trial's alarms in the list, the chosen one kept. */
  function listAlarms() {
    const list = part('which'), { value } = list;
    list.replaceChildren(...[...alarms().querySelectorAll('[data-alarm-entry]')].map(e => Object.assign(document.createElement('option'), { value: e.dataset.alarmEntry, textContent: e.dataset.name, selected: e.dataset.alarmEntry === value })));
    refresh();
  }

  /** Keeps something of an alarm under what is worn: beside what is known of the two already, or as a new entry. */
  async function keepUnder(fields) {
    const alarm = part('which').value, condition = part('worn').value;
    if (!alarm) throw new Error(say('Record the alarm itself first, or state it.'));
    if (!condition) throw new Error(say('Name a device and its condition first.'));
    const section = `listening.warnings[${alarm}].under`;
    const known = [...alarms().querySelectorAll('[data-alarm-entry]')].find(e => e.dataset.alarmEntry === alarm).dataset.under.split(' ').indexOf(condition);
    await change(known < 0 ? { add: { section, fields: { condition, ...fields } } } : { several: Object.entries(fields).map(([key, value]) => ({ set: { path: `${section}[#${known}].${key}`, value } })) });
  }

  const refresh = () => { for (const button of document.querySelectorAll('[data-check]')) button.disabled = busy || !input.stream || button.dataset.check === 'quiet-on' && quiet === null || button.dataset.check === 'under-alarm' && part('which').value === ''; };

  /** Records so many seconds and brings them into the trial. Resolves to the identity of the recording. */
  async function record(name, seconds) {
    const refused = await beginCapture(name);
    if (refused !== null) throw new Error(refused);
    stayAwake(true);
    try {
      while (capture.id && capture.frames < seconds * input.rate) {
        told(say('Recording: {0} of {1} s', Math.floor(capture.frames / input.rate), seconds));
        await new Promise(done => setTimeout(done, 200));
        if (!input.stream) throw new Error(say('The input was taken away.'));
      }
    } finally {
      stayAwake(false);
    }
    const id = await endCapture();
    if (!id) throw new Error(say('Nothing was recorded.'));
    told(say('Bringing it in …'));
    const response = await ask(`${base}/${id}/finish`, { method: 'POST' });
    if (!response.ok) throw new Error(await response.text());
    const { recording, gaps } = await response.json();
    if (!recording) throw new Error(say('Nothing was recorded.'));
    if (gaps) tell(say('Samples were missing: record it again.'), true);
    await renew();
    return recording;
  }

  const checks = {
    async tone(seconds) {
      const level = plain(part('level')), hertz = plain(part('hertz'));
      if (!level || !hertz || Number.isNaN(Number(level)) || Number.isNaN(Number(hertz))) throw new Error(say('Say first what the calibrator gives: its level and its frequency.'));
      const when = part('when').value;
      const recording = await record(`calibration-${when}`, seconds);
      await change({ add: { section: 'calibrations', fields: { channel: part('channel').value, kind: 'tone', ...span(recording, seconds), level_db: level, hertz, when } } });
    },
    low: seconds => record(`tone-low-${part('when').value}`, seconds),
    high: seconds => record(`tone-high-${part('when').value}`, seconds),
    async noise(seconds) {
      const recording = await record('quiet', seconds), fields = span(recording, seconds);
      await change({ several: Object.entries(fields).map(([key, value]) => ({ set: { path: `channels[${part('channel').value}].own_noise.${key}`, value } })) });
    },
    async alarm(seconds) {
      const name = part('alarm').value.trim();
      if (!name) throw new Error(say('Say first which alarm it is.'));
      const recording = await record('alarm', seconds);
      await change({ add: { section: 'listening.warnings', fields: { id: alarms().dataset.nextAlarm, name, way: 'air', ...span(recording, seconds) } } });
    },
    async 'under-quiet'(seconds) {
      const condition = part('worn').value;
      quietUnder = { condition, recording: await record('under-quiet', seconds) };
    },
    async 'under-alarm'(seconds) {
      const named = (which, recording) => Object.fromEntries(Object.entries(span(recording, seconds)).map(([key, value]) => [`${which}.${key}`, value]));
      const before = quietUnder?.condition === part('worn').value ? named('background', quietUnder.recording) : {};
      await keepUnder({ ...named('sound', await record('under-alarm', seconds)), ...before });
    },
    async 'quiet-off'(seconds) { quiet = await record('quiet-off', seconds); },
    async 'quiet-on'(seconds) {
      const condition = part('condition').value;
      if (!condition) throw new Error(say('Name a condition with electronics first.'));
      const on = await record('quiet-on', seconds), off = quiet;
      const both = Object.entries({ on, off }).flatMap(([which, recording]) => Object.entries(span(recording, seconds)).map(([key, value]) => [`${which}.${key}`, value]));
      await change({ add: { section: 'listening.quiet', fields: { condition, ...Object.fromEntries(both) } } });
      quiet = null;
    },
  };

  async function run({ check, seconds }) {
    busy = true;
    refresh();
    try {
      await checks[check](Number(seconds));
      await renew();
      told(say('Recorded. What it shows stands below.'));
    } catch (error) {
      told(error.message, true);
    }
    busy = false;
    refresh();
  }

  sendTo(base, { changed: () => {}, broken: words => told(words, true) });
  showPeaks(part('peaks'));
  part('open').addEventListener('click', () => open(part('inputs').value));
  part('inputs').addEventListener('change', () => open(part('inputs').value));
  document.addEventListener('click', event => { const button = event.target.closest?.('[data-check]'); if (button && !busy) run(button.dataset); });
  document.querySelector('[data-note="heard"]').addEventListener('click', async () => {
    try {
      const by = part('by').value.trim();
      await keepUnder({ heard: part('heard').value, ...(by ? { by } : {}) });
    } catch (error) {
      tell(error.message, true);
    }
  });
  document.addEventListener('renewed', listAlarms);
  listAlarms();
  addEventListener('beforeunload', event => { if (capture.id) event.preventDefault(); });
  addEventListener('pagehide', closeInput);
  refresh();
}
