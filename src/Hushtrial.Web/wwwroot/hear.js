// Plays the cabin and what each device leaves of it: loops of one length, started together, of which one is let through. All sounds come ready from the workspace.
import { ask, say } from './sheet.js';

const root = document.getElementById('hear');
if (root) begin();

function begin() {
  const part = name => root.querySelector(`[data-part="${name}"]`);
  const base = root.dataset.hear;
  const FADE = 0.02, START = 0.4;
  let context = null, master = null, voices = [], sounds = [], chosen = 0, playing = false, busy = false, order = [];

  const tell = (text, bad = false) => { part('state').textContent = text; part('state').classList.toggle('wrong', bad); };
  const speech = () => part('speech').checked ? 'yes' : 'no';

  /** Fetches and decodes the whole set; nothing is played before all of it is there. */
  async function prepare() {
    tell(say('The sounds are being made …'));
    const answer = await ask(`${base}/sounds?speech=${speech()}`);
    if (!answer.ok) throw new Error(await answer.text());
    const set = await answer.json();
    // At the rate of the files nothing is resampled, so that the loops stay without a seam.
    context = new AudioContext({ sampleRate: set.rate, latencyHint: 'playback' });
    const buffers = await Promise.all(set.sounds.map(async sound => {
      const file = await ask(`${base}/${sound.place}.wav?revision=${set.revision}&speech=${speech()}`);
      if (!file.ok) throw new Error(await file.text());
      return context.decodeAudioData(await file.arrayBuffer());
    }));
    master = new GainNode(context, { gain: 0 });
    master.connect(context.destination);
    const start = context.currentTime + 0.1;
    voices = buffers.map(buffer => {
      const gain = new GainNode(context, { gain: 0 });
      const source = new AudioBufferSourceNode(context, { buffer, loop: true });
      source.connect(gain).connect(master);
      source.start(start);
      return { source, gain };
    });
    sounds = set.sounds;
    chosen = 0;
    voices[0].gain.gain.value = 1;
    order = sounds.map((_, i) => i);
    show(set);
  }

  function forget() {
    for (const { source } of voices) source.stop();
    context?.close();
    context = master = null;
    voices = [];
    playing = false;
    label();
  }

  const label = () => { part('play').textContent = playing ? say('Pause') : context ? say('Go on') : say('Prepare and play'); };

  async function toggle() {
    if (busy) return;
    busy = true;
    try {
      if (!context) await prepare();
      if (playing) {
        ramp(master.gain, 0, FADE);
        await new Promise(done => setTimeout(done, 1000 * FADE + 20));
        await context.suspend();
        playing = false;
        tell(say('Paused.'));
      } else {
        await context.resume();
        ramp(master.gain, 1, START);
        playing = true;
        heard();
      }
    } catch (error) {
      forget();
      tell(error.message, true);
    }
    busy = false;
    label();
  }

  function ramp(param, to, seconds) {
    const now = context.currentTime;
    param.cancelScheduledValues(now);
    param.setValueAtTime(param.value, now);
    param.linearRampToValueAtTime(to, now + seconds);
  }

  /** Lets one voice through. The sounds are one stretch, differently filtered: their sum stays even in a straight crossfade. */
  function choose(place) {
    if (!context || place < 0 || place >= voices.length) return;
    chosen = place;
    voices.forEach((voice, i) => ramp(voice.gain.gain, i === place ? 1 : 0, FADE));
    const box = root.querySelector(`input[name="hear"][value="${place}"]`);
    if (box) box.checked = true;
    heard();
  }

  const isBlind = () => part('blind').checked && part('reveal').dataset.open !== 'yes';
  const nameOf = place => place === 0 || !part('blind').checked ? sounds[place].name : letter(place) + (isBlind() ? '' : ` – ${sounds[place].name}`);
  const letter = place => say('Device {0}', String.fromCharCode(64 + order.indexOf(place)));
  const heard = () => tell(playing ? say('Playing: {0}', nameOf(chosen)) : say('Ready: {0}', nameOf(chosen)));

  function list() {
    part('list').replaceChildren(...order.map((place, i) => {
      const line = document.createElement('label');
      const box = Object.assign(document.createElement('input'), { type: 'radio', name: 'hear', value: String(place), checked: place === chosen });
      box.addEventListener('change', () => choose(place));
      const key = Object.assign(document.createElement('kbd'), { textContent: i < 9 ? String(i + 1) : '' });
      const name = Object.assign(document.createElement('span'), { textContent: nameOf(place), dir: 'auto' });
      line.append(box, key, name);
      return line;
    }));
    part('reveal').hidden = !isBlind();
  }

  function show(set) {
    part('choice').hidden = part('made').hidden = false;
    part('source').textContent = set.source;
    part('rows').replaceChildren(...sounds.slice(1).map(sound => {
      const row = document.createElement('tr');
      row.append(Object.assign(document.createElement('th'), { scope: 'row', textContent: sound.name, dir: 'auto' }),
        ...[sound.estimate, sound.rendered, sound.deviation, sound.share].map(text => Object.assign(document.createElement('td'), { className: 'number', textContent: text })));
      return row;
    }));
    part('remarks').replaceChildren(...sounds.flatMap(sound => sound.remarks.map(text => Object.assign(document.createElement('li'), { textContent: `${sound.name}: ${text}` }))));
    list();
  }

  part('play').addEventListener('click', toggle);
  part('blind').addEventListener('change', () => {
    delete part('reveal').dataset.open;
    const devices = sounds.map((_, i) => i).slice(1);
    if (part('blind').checked)
      for (let i = devices.length - 1; i > 0; i--) {
        const j = Math.floor(Math.random() * (i + 1));
        [devices[i], devices[j]] = [devices[j], devices[i]];
      }
    order = [0, ...devices];
    // What was heard until now must not give itself away.
    choose(0);
    part('made').hidden = part('blind').checked;
    list();
  });
  part('reveal').addEventListener('click', () => { part('reveal').dataset.open = 'yes'; part('made').hidden = false; list(); heard(); });
  part('speech').addEventListener('change', () => {
    const was = playing;
    forget();
    part('choice').hidden = part('made').hidden = true;
    part('save').href = `${base}.zip?speech=${speech()}`;
    tell(was ? say('The sounds are made anew when you play.') : '');
  });
  document.addEventListener('keydown', event => {
    if (!context || event.ctrlKey || event.altKey || event.metaKey || event.target.matches('input:not([type=radio],[type=checkbox]),textarea,select')) return;
    if (/^[1-9]$/.test(event.key) && Number(event.key) <= order.length) choose(order[Number(event.key) - 1]);
    else if (event.key === ' ' && !event.target.matches('button,input,a,summary')) { event.preventDefault(); toggle(); }
  });
}
