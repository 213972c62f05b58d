// The card that leads: shows one thing at a time, counts down, and notes what the observer does. What comes next is the workspace's to say.
import { ask, say, tell, whether } from '../sheet.js';
import { input } from './input.js';
import { capture, note } from './sending.js';

const root = document.getElementById('lead');
const part = name => root.querySelector(`[data-lead="${name}"]`);
/** A take that does not get long enough is ended all the same at this many times its planned length. */
const MOST_TIMES = 3;

let base = '', card = null, live = null, waiting = false;

const whole = seconds => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, '0')}`;
const items = (name, texts) => part(name).replaceChildren(...texts.map(text => Object.assign(document.createElement('li'), { textContent: text })));
const elapsed = () => card.now ? (capture.frames - card.now.from) / input.rate : 0;

/** Where captures are kept. */
export function leadWith(address) { base = address; }

/** Shows what the workspace says of the run. */
export function showCard(state) {
  // An answer to a mark that others follow tells of a moment that is gone.
  if (card && capture.marks.length > 0) return;
  card = state;
  waiting = false;
  const leads = card.phase !== 'none' && capture.id !== null && !capture.ended;
  if (leads && root.hidden) { root.hidden = false; document.body.classList.add('leading'); part('go').focus({ preventScroll: true }); root.scrollIntoView({ block: 'start' }); }
  if (!leads) return;
  items('taken', card.taken);
  items('events', card.events);
  items('input', card.input);
  part('dose').textContent = [card.dose, card.passed].filter(Boolean).join(' ');
  part('dose').classList.toggle('wrong', card.passed !== '');
  part('key').hidden = !card.blind;
  part('choices').replaceChildren(...card.choices.map(choice => {
    const row = document.createElement('li');
    row.append(chosen(choice.name, choice.condition, choice.fit));
    if (choice.fit && choice.fit !== choice.fresh) row.append(chosen(say('{0}, put on anew', choice.name), choice.condition, choice.fresh));
    return row;
  }));
  draw();
}

function chosen(name, condition, fit) {
  const button = Object.assign(document.createElement('button'), { type: 'button', textContent: name });
  button.addEventListener('click', () => { if (!card.now) { settle(condition, fit, name); part('go').focus(); } });
  return button;
}

/** The recording is over, and with it the card. */
export function endLead() {
  card = null;
  root.hidden = true;
  document.body.classList.remove('leading');
}

/** Called after every answer to frames: with what was measured, or null while the workspace does not answer. */
export function showFrames(measured) {
  live = measured;
  if (card && !root.hidden) draw();
}

/** What the card shows in each phase: what to do, name, mode, take, count, words, the main act and the other one. */
function shown() {
  const next = card.next;
  switch (waiting ? 'waiting' : card.phase) {
    // The main button stays where it is and keeps the focus.
    case 'waiting': return { what: say('Looking at it …'), name: card.now?.name ?? card.last?.name ?? next?.name, mode: card.now?.mode, act: part('go').textContent };
    case 'settling': return { what: say('It settles. The take begins by itself.'), ...card.now, count: whole(Math.max(0, Math.ceil(card.settle - elapsed()))), act: say('Begin now'), other: say('Stop, no take') };
    case 'taking': return { what: say('Taking. Sit still.'), ...card.now, count: whole(Math.max(0, Math.ceil(card.seconds - elapsed()))), said: duringTake(), act: say('End the take'), other: say('Stop, no take') };
    case 'verdict': return { what: card.last.advice === 'anew' ? say('Again: put it on anew.') : say('Again: something was wrong.'), name: card.last.name, mode: card.last.mode, said: card.last.level, reasons: card.last.reasons, act: say('Take it again'), other: say('Keep it') };
    case 'done': return { what: say('All steps are taken.'), said: card.last ? say('Good: {0}', card.last.level) : '' };
    case 'free': return { what: say('No order is kept. Choose below what is worn.'), said: card.last ? say('Good: {0}', card.last.level) : '' };
    default: return { ...next, said: card.last ? say('Good: {0}', card.last.level) : '', act: next.condition === 'open' ? (next.putOn ? say('It is off') : say('Begin')) : next.putOn ? say('It is on') : say('Begin'), other: next.putOn ? '' : next.fit ? say('Put on anew') : '' };
  }
}

function duringTake() {
  if (live?.ended) return say('The open ear has had its share. The take ends here: put a headset on.');
  if (live?.clipped) return live.clipped;
  if (live?.enough) return say('Long enough.');
  return elapsed() >= card.seconds ? say('Not long enough yet: the level is not known well enough.') : '';
}

function draw() {
  const now = shown();
  for (const name of ['what', 'name', 'mode', 'take', 'count', 'said']) if (part(name).textContent !== (now[name] ?? '')) part(name).textContent = now[name] ?? '';
  items('reasons', now.reasons ?? []);
  part('step').textContent = card.phase === 'verdict' ? '' : card.step;
  // Told while it runs: who knows that a take is lost need not sit it out.
  part('clipped').hidden = waiting || card.phase !== 'taking' || !live?.clipped;
  part('go').hidden = !now.act;
  part('other').hidden = !now.other;
  part('go').textContent = now.act ?? '';
  part('go').setAttribute('aria-disabled', String(waiting));
  part('other').textContent = now.other ?? '';
  root.dataset.phase = waiting ? 'waiting' : card.phase;
  const more = document.getElementById('lead-more');
  if (card.phase === 'free' && !more.open && !card.now) more.open = true;
}

function settle(condition, fit, name, mode = '') {
  const from = capture.frames;
  note({ kind: 'worn', from, condition, fit });
  Object.assign(card, { phase: 'settling', now: { condition, fit, name, mode, from } });
  if (card.settle <= 0) begin();
  else draw();
}

function begin() {
  const { condition, fit, name, mode } = card.now ?? card.next;
  const from = capture.frames;
  note({ kind: 'begin', from, condition, fit });
  Object.assign(card, { phase: 'taking', now: { ...(card.now ?? card.next), condition, fit, name, mode, from } });
  live = null;
  draw();
}

function endTake() {
  const { condition, fit, from } = card.now;
  note({ kind: 'take', from, to: capture.frames, condition, fit });
  wait();
}

function stop() {
  note({ kind: 'abort', from: capture.frames, words: '' });
  wait();
}

/** The same take once more, without a penalty: what was taken so far is noted as stopped. */
function afresh() {
  if (!card?.now || waiting || card.phase !== 'taking') return;
  note({ kind: 'abort', from: capture.frames, words: 'it clipped and was begun again' });
  begin();
  part('go').focus({ preventScroll: true });
}

function decide(kind) {
  note({ kind, from: card.last.from, words: card.last.reasons.join(' ').slice(0, 380) });
  wait();
}

function wait() {
  waiting = true;
  draw();
}

function go() {
  if (!card || waiting) return;
  if (card.phase === 'next') { if (card.next.putOn) settle(card.next.condition, card.next.fit, card.next.name, card.next.mode); else begin(); }
  else if (card.phase === 'settling') begin();
  else if (card.phase === 'taking') endTake();
  else if (card.phase === 'verdict') decide(card.last.advice);
}

function other() {
  if (!card || waiting) return;
  if (card.phase === 'settling' || card.phase === 'taking') stop();
  else if (card.phase === 'verdict') decide('keep');
  else if (card.phase === 'next' && card.next.anew) settle(card.next.condition, card.next.anew, card.next.name, card.next.mode);
  part('go').focus({ preventScroll: true });
}

function happened(what) {
  if (!card) return;
  note({ kind: 'event', from: capture.frames, words: what });
  tell(say('Marked.'));
}

setInterval(() => {
  if (!card || root.hidden) return;
  part('clock').textContent = whole(capture.frames / input.rate);
  if (waiting || !card.now) return;
  if (card.phase === 'settling' && elapsed() >= card.settle) begin();
  else if (card.phase === 'taking' && (live?.ended || elapsed() >= card.seconds && live?.enough || elapsed() >= MOST_TIMES * card.seconds)) endTake();
  else draw();
}, 200);

part('go').addEventListener('click', go);
part('other').addEventListener('click', other);
part('afresh').addEventListener('click', afresh);
root.addEventListener('click', event => { const button = event.target.closest('[data-event]'); if (button) happened(button.dataset.event); });
root.addEventListener('keydown', event => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const mark = root.querySelectorAll('[data-event]')[Number(event.key) - 1];
  if (mark) happened(mark.dataset.event);
  else if (event.key === 'Escape' && card?.now && !waiting) stop();
  else return;
  event.preventDefault();
});
part('reveal').addEventListener('click', async () => {
  if (!await whether({ title: say('Show the key of the codes?'), text: say('From now on the card shows names. When that was is noted in the trial.'), yes: say('Show it'), no: say('Leave it') })) return;
  if ((await ask(root.dataset.reveal, { method: 'POST' })).ok) showCard(await (await ask(`${base}/${capture.id}/lead`)).json());
});

const night = part('night');
const dim = on => { document.documentElement.toggleAttribute('data-night', on); night.setAttribute('aria-pressed', String(on)); };
night.addEventListener('click', () => { const on = night.getAttribute('aria-pressed') !== 'true'; dim(on); try { localStorage.setItem('night', on ? 'yes' : ''); } catch { /* A private window keeps nothing. */ } });
try { dim(localStorage.getItem('night') === 'yes'); } catch { /* the same */ }
