// The page that records on this device: the safety card first, then the input, then the recording.
import { ask, renew, say, tell } from './sheet.js';
import { stayAwake } from './capture/awake.js';
import { endLead, leadWith, showCard, showFrames } from './capture/card.js';
import { closeInput, input, listInputs, openInput, provedOff, showReadBack, whyNot } from './capture/input.js';
import { NO_LEVELS, showLevels } from './capture/levels.js';
import { lookAt, showPeaks } from './capture/peaks.js';
import { beginCapture, capture, endCapture, fillUp, note, sendTo, take } from './capture/sending.js';

const root = document.getElementById('capture');
const part = name => root.querySelector(`[data-part="${name}"]`);
const base = root.dataset.captures;
/** Longer than this no block goes missing while it records: the device slept. Filling up hours would only fill the disk. */
const MOST_MISSING_SECONDS = 60;

const whole = seconds => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, '0')}`;
const told = (name, words) => { part(name).textContent = words; };

async function open(deviceId) {
  try {
    await openInput(deviceId, {
      module: root.dataset.samples, arrived: samples => { lookAt(samples); take(samples); }, missed,
      ended: () => { told('input', say('The input was taken away.')); if (capture.id) end(); },
    });
  } catch (error) {
    return tell(whyNot(error), true);
  }
  showReadBack(part('settings'));
  part('doubt').hidden = provedOff();
  part('opened').hidden = false;
  await listInputs(part('inputs'));
  refresh();
}

function missed(frames) {
  if (!capture.id || capture.ended) return;
  if (frames > MOST_MISSING_SECONDS * input.rate) {
    told('input', say('The device gave no samples for {0} s, as with a closed lid. The recording ends before that; begin another one.', Math.round(frames / input.rate)));
    return end();
  }
  fillUp(frames);
  refresh();
}

async function begin() {
  const refused = await beginCapture(part('name').value.trim() || 'flight');
  if (refused !== null) return tell(refused, true);
  stayAwake(true);
  const { value: wearer } = part('wearer') ?? { value: '' };
  if (wearer) note({ kind: 'wearer', from: 0, words: wearer });
  note({ kind: 'run', from: 0, words: part('run').value });
  refresh();
}

async function end() {
  stayAwake(false);
  endLead();
  const ending = endCapture();
  refresh();
  const id = await ending;
  if (id) await finish(id, part('run').value);
  refresh();
}

async function finish(id, run) {
  told('state', say('Bringing it in …'));
  const response = await ask(`${base}/${id}/finish?run=${encodeURIComponent(run)}`, { method: 'POST' });
  if (!response.ok) { told('state', await response.text()); return; }
  const { recording, seconds, gaps, takes } = await response.json();
  told('state', recording ? say('In the trial as ‘{0}’: {1} minutes.', recording, whole(seconds)) + (takes ? ` ${say('Takes: {0}.', takes)}` : '') + (gaps ? ` ${say('Stretches of inserted zeros: {0}. Takes that touch one are a finding.', gaps)}` : '') : say('Nothing was recorded.'));
  await renew();
}

/** What is under way here is not broken off. */
function hideOwn() {
  for (const row of document.querySelectorAll('#broken-off [data-capture]')) row.hidden = row.dataset.capture === capture.id;
  const rest = document.getElementById('broken-off');
  rest.hidden = rest.querySelector('[data-capture]:not([hidden])') === null;
}

function refresh() {
  hideOwn();
  const running = capture.id !== null && !capture.ended;
  const ready = input.stream !== null && part('read').checked;
  part('begin').hidden = running;
  part('begin').disabled = !ready || capture.ended && capture.id !== null;
  part('end').hidden = part('levels').hidden = !running;
  part('open').disabled = part('inputs').inert = running;
  part('inputs').disabled = running || part('inputs').options.length < 2;
  root.classList.toggle('running', running);
  if (!capture.id) return;
  const waiting = Math.ceil((capture.frames - capture.acknowledged) / input.rate);
  told('elapsed', whole(capture.frames / input.rate));
  told('state', capture.full ? say('The disk takes no more: make room on it. {0} s wait here; leave this page open.', waiting)
    : capture.away ? say('The workspace does not answer. {0} s wait here and are sent when it is back; leave this page open.', waiting)
    : `${say('Kept: {0}.', whole(capture.acknowledged / input.rate))} ${capture.gaps || capture.lost ? say('Missing stretches so far: {0}.', Math.max(capture.gaps, capture.lost ? 1 : 0)) : ''}`.trim());
}

function led(card) {
  showCard(card);
  told('unled', card.phase === 'none' ? card.reason : '');
  part('unled').hidden = card.phase !== 'none';
}

sendTo(base, {
  changed: state => { refresh(); showLevels(state?.live ?? NO_LEVELS); showFrames(state?.live ?? null); },
  led, broken: words => { endLead(); told('state', words); tell(words, true); refresh(); },
});
leadWith(base);
showPeaks(part('peaks'));
part('open').addEventListener('click', () => open(part('inputs').value));
part('inputs').addEventListener('change', () => open(part('inputs').value));
part('begin').addEventListener('click', begin);
part('end').addEventListener('click', end);
part('read').addEventListener('change', refresh);
document.addEventListener('renewed', hideOwn);
document.addEventListener('click', async event => {
  const button = event.target.closest?.('[data-bring-in],[data-drop-capture]');
  if (!button) return;
  if (button.dataset.bringIn) await finish(button.dataset.bringIn, part('run').value);
  else {
    const response = await ask(`${base}/${button.dataset.dropCapture}`, { method: 'DELETE' });
    if (!response.ok) tell(await response.text(), true);
    await renew();
  }
});
addEventListener('beforeunload', event => { if (capture.id) event.preventDefault(); });
addEventListener('pagehide', closeInput);
refresh();
