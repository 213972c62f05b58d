// Brings files into the trial: dragged, chosen, several at once, resumable. The protocol is tus 1.0, its client a library.
import { ask, renew, revision, say, tell, whether } from './sheet.js';

const drop = document.getElementById('drop');
const list = document.getElementById('under-way');
const token = () => document.querySelector('meta[name="token"]').content;
const megabytes = bytes => bytes < 1e9 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(2)} GB`;

let queue = Promise.resolve();
/** Files go one after another: a disk writes one of them as fast as two. */
function bring(files) {
  for (const file of files) {
    const row = line(file);
    queue = queue.then(() => send(file, row)).catch(() => {});
  }
}

function line(file) {
  const row = document.createElement('li');
  const name = document.createElement('span'); name.textContent = file.name; name.dir = 'auto';
  const bar = document.createElement('progress'); bar.max = Math.max(1, file.size); bar.value = 0; bar.setAttribute('aria-label', file.name);
  const words = document.createElement('span'); words.className = 'soft'; words.textContent = say('waiting');
  const stop = document.createElement('button'); stop.type = 'button'; stop.className = 'quiet'; stop.textContent = say('Stop');
  row.append(name, bar, words, stop);
  list.append(row);
  return { row, bar, words, stop };
}

function send(file, { row, bar, words, stop }) {
  return new Promise(resolve => {
    const upload = new globalThis.tus.Upload(file, {
      endpoint: drop.dataset.uploads,
      chunkSize: 16 * 1024 * 1024,
      retryDelays: [0, 500, 1000, 2000, 4000, 8000, 15000],
      metadata: { filename: file.webkitRelativePath || file.name },
      headers: { 'X-Token': token() },
      removeFingerprintOnSuccess: true,
      onProgress: (sent, all) => { bar.value = sent; words.textContent = say('{0} of {1}', megabytes(sent), megabytes(all)); },
      onError: error => {
        const reason = error.originalResponse?.getBody?.() || say('The connection broke. Choose the same file again to go on.');
        words.textContent = reason; words.classList.add('wrong'); stop.remove(); tell(say('Not brought in: {0}', file.name), true); resolve();
      },
      onSuccess: async () => { bar.value = bar.max; words.textContent = say('in the trial'); stop.remove(); setTimeout(() => row.remove(), 2500); await renew(); resolve(); },
    });
    stop.onclick = async () => { await upload.abort(); words.textContent = say('stopped; choose the same file again to go on'); stop.remove(); await renew(); resolve(); };
    upload.findPreviousUploads().then(previous => {
      if (previous.length) { upload.resumeFromPreviousUpload(previous[0]); words.textContent = say('going on where it stopped'); }
      upload.start();
    });
  });
}

document.getElementById('files').addEventListener('change', event => { bring([...event.target.files]); event.target.value = ''; });
for (const type of ['dragenter', 'dragover']) drop.addEventListener(type, event => { event.preventDefault(); drop.classList.add('over'); });
for (const type of ['dragleave', 'drop']) drop.addEventListener(type, () => drop.classList.remove('over'));
drop.addEventListener('drop', async event => {
  event.preventDefault();
  const entries = [...event.dataTransfer.items].map(i => i.webkitGetAsEntry?.()).filter(Boolean);
  bring(entries.length ? (await Promise.all(entries.map(inside))).flat() : [...event.dataTransfer.files]);
});

/** The files of a dragged entry; of a folder, all below it. */
async function inside(entry) {
  if (entry.isFile) return [await new Promise((done, fail) => entry.file(done, fail))];
  const reader = entry.createReader();
  const all = [];
  for (;;) {
    const some = await new Promise((done, fail) => reader.readEntries(done, fail));
    if (!some.length) break;
    all.push(...some);
  }
  return (await Promise.all(all.map(inside))).flat();
}

document.addEventListener('click', async event => {
  const button = event.target.closest?.('[data-abandon]');
  if (!button) return;
  await ask(button.dataset.abandon, { method: 'DELETE' });
  await renew();
});

document.getElementById('local-form').addEventListener('submit', async event => {
  event.preventDefault();
  const field = document.getElementById('local-path');
  if (!field.value.trim()) return;
  tell(say('Copying …'));
  const response = await ask(location.pathname.replace(/[^/]+$/, 'local-files'), { method: 'POST', json: { path: field.value } });
  if (!response.ok) return tell(await response.text(), true);
  field.value = '';
  tell(say('in the trial'));
  await renew();
});

// The sound goes for good: the person is asked twice, and the second question is another one than the first.
document.addEventListener('click', async event => {
  const button = event.target.closest?.('[data-discard]');
  if (!button) return;
  const first = await whether({
    title: say('Discard the sound of this trial?'),
    text: say('All recordings of this trial are deleted from the library. Their levels are kept, and the results stay what they are.'),
    yes: say('Go on'),
    no: say('Keep the sound'),
  });
  if (!first) return;
  const second = await whether({
    title: say('This cannot be undone'),
    text: say('Nobody can bring the sound back, and nothing else can be measured from it. Is there a copy where you want one?'),
    yes: say('Discard the sound for good'),
    no: say('Keep the sound'),
  });
  if (!second) return;
  button.disabled = true;
  tell(say('The levels are held against the sound …'));
  const response = await ask(button.dataset.discard, { method: 'POST', json: { revision: revision() } });
  tell(response.ok ? (await response.json()).told : await response.text(), !response.ok);
  button.disabled = false;
  await renew();
});
