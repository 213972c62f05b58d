// The common module of every page: saves each change as it is made, keeps the page up to date, asks when two tabs disagree.
// Pages are whole without it for reading; changing needs it.

const meta = name => document.querySelector(`meta[name="${name}"]`);
export const trial = meta('trial')?.content ?? null;
const tab = Math.random().toString(36).slice(2, 12).replace(/[^a-z0-9]/g, '') || 'tab';
const texts = JSON.parse(document.getElementById('texts')?.textContent ?? '{}');

/** A text in the page's language; the page carries those that modules use. */
export const say = (english, ...values) => (texts[english] ?? english).replace(/\{(\d)\}/g, (_, i) => values[i] ?? '');

/** The revision that the page shows. */
export const revision = () => Number(meta('revision')?.content ?? 0);

/** Fetches from the workspace with the token; never throws for an HTTP status. */
export function ask(path, { method = 'GET', json, body, headers = {}, signal } = {}) {
  return fetch(path, {
    method,
    signal,
    credentials: 'same-origin',
    headers: { 'X-Token': meta('token')?.content ?? '', 'X-Tab': tab, ...(json === undefined ? {} : { 'Content-Type': 'application/json' }), ...headers },
    body: json === undefined ? body : JSON.stringify(json),
  });
}

const saved = document.getElementById('saved');
let fading = 0;
/** One line about what became of the last change, read aloud by screen readers. */
export function tell(text, bad = false) {
  if (!saved) return;
  saved.textContent = text;
  saved.classList.toggle('bad', bad);
  clearTimeout(fading);
  if (!bad) fading = setTimeout(() => { saved.textContent = ''; }, 4000);
}

/** What the person is in, and the revision that it showed: what another page saves meanwhile must not pass for seen. */
let shown = { field: null, base: 0 };
document.addEventListener('focusin', event => { shown = { field: event.target, base: revision() }; });

let queue = Promise.resolve();
const waiting = new Set();
/** Saves one change; changes go one after another, so that each is based on the one before it. Resolves to true when it was saved. */
export function change(edit, { quiet = false, seen = null } = {}) {
  const mine = { edit, quiet, seen };
  waiting.add(mine);
  const done = queue.then(() => send(mine)).finally(() => waiting.delete(mine));
  queue = done.catch(() => {});
  return done;
}

async function send(mine) {
  const { edit, quiet, seen } = mine;
  for (;;) {
    if (!quiet) tell(say('Saving …'));
    const base = Math.min(revision(), seen?.base ?? Infinity);
    let response;
    try {
      response = await ask(`/trials/${trial}/edits`, { method: 'POST', json: { revision: base, edit } });
    } catch {
      mine.stuck = true;
      tell(say('Not saved: the workspace does not answer. It is tried again.'), true);
      await new Promise(r => setTimeout(r, 1500));
      continue;
    }
    if (response.ok) {
      const { revision: now } = await response.json();
      waiting.delete(mine);
      // Nobody else came between: what showed the revision before shows this one too.
      if (now === base + 1) for (const other of [shown, ...[...waiting].map(w => w.seen)]) if (other?.base === base) other.base = now;
      meta('revision').content = now;
      tell(say('Saved'));
      await renew();
      return true;
    }
    if (response.status === 409) {
      const { conflict } = await response.json();
      meta('revision').content = conflict.revision;
      if (seen) seen.base = conflict.revision;
      if (await decide(conflict)) continue;
      waiting.delete(mine);
      letGo(edit);
      await renew();
      return false;
    }
    const reason = response.headers.get('content-type')?.includes('json') ? (await response.json()).problem : await response.text();
    tell(`${say('Not saved:')} ${reason}`, true);
    waiting.delete(mine);
    await renew();
    return false;
  }
}

/** What was typed gives way to what the workspace holds. */
function letGo(edit) {
  for (const part of document.querySelectorAll('[data-live]')) lastSaid.delete(part);
  const field = edit.set && document.querySelector(`[data-path="${CSS.escape(edit.set.path)}"]`);
  if (field?.matches('input,textarea')) field.value = field.defaultValue;
  tell('');
}

/** Two pages changed the same thing: the person decides. Resolves to true for 'mine'. */
function decide(conflict) {
  return whether({
    title: say('Changed in the meantime'),
    text: say('Another page changed this since you opened it. There it says: {0}. You wrote: {1}.', quoted(conflict.theirs), quoted(conflict.yours)),
    yes: say('Keep mine'),
    no: say('Keep the other'),
  });
}

const quoted = text => text === null || text === undefined || text === '' ? say('nothing') : `‘${text.length > 200 ? text.slice(0, 200) + '…' : text}’`;

/** Asks a question with two answers. */
export function whether({ title, text, yes, no }) {
  return new Promise(resolve => {
    const dialog = document.createElement('dialog');
    dialog.setAttribute('aria-labelledby', 'asking-title');
    const h = document.createElement('h2'); h.id = 'asking-title'; h.textContent = title;
    const p = document.createElement('p'); p.textContent = text;
    const row = document.createElement('div'); row.className = 'row';
    const first = document.createElement('button'); first.className = 'first'; first.textContent = yes;
    const second = document.createElement('button'); second.textContent = no;
    row.append(first, second);
    dialog.append(h, p, row);
    document.getElementById('asking').append(dialog);
    let answer = false;
    first.onclick = () => { answer = true; dialog.close(); };
    second.onclick = () => dialog.close();
    dialog.onclose = () => { dialog.remove(); resolve(answer); };
    dialog.showModal();
  });
}

/** What the workspace last said of each live part: other modules may have added to the part since. */
const lastSaid = new WeakMap();
let renewing = null, wanted = false;
/** Renews the parts of the page that carry data-live, without touching what the person is in. */
export async function renew() {
  if (renewing) { wanted = true; return renewing; }
  renewing = (async () => {
    do {
      wanted = false;
      let text;
      try { text = await (await ask(location.href, { headers: { Accept: 'text/html' } })).text(); } catch { return; }
      // What is being saved is not in it yet; whoever saves it renews the page afterwards.
      if (waiting.size > 0) return;
      if (wanted) continue;
      const fresh = new DOMParser().parseFromString(text, 'text/html');
      const now = fresh.querySelector('meta[name="revision"]');
      if (now && meta('revision')) meta('revision').content = now.content;
      for (const part of [...document.querySelectorAll('[data-live]')]) {
        if (!part.isConnected) continue;
        const next = part.id && fresh.getElementById(part.id);
        if (!next) { if (part.id && fresh.getElementById('page')) part.replaceChildren(); continue; }
        if (next.outerHTML === lastSaid.get(part)) continue;
        const was = next.outerHTML;
        const held = hold(part);
        if (held && sameFields(part, next)) { merge(part, next); continue; }
        const open = new Set([...part.querySelectorAll('details[open][id]')].map(d => d.id));
        part.replaceWith(next);
        lastSaid.set(next, was);
        for (const id of open) { const d = document.getElementById(id); if (d) d.open = true; }
        held?.(next);
        unfold();
      }
      document.dispatchEvent(new CustomEvent('renewed', { detail: fresh }));
    } while (wanted);
  })();
  try { await renewing; } finally { renewing = null; }
}

/** Remembers where the person is inside a part: gives back a function that puts focus, caret and unsaved typing into its successor; null when the person is elsewhere. */
function hold(part) {
  const at = document.activeElement;
  if (!at || at === document.body || !part.contains(at)) return null;
  const reach = root => [...root.querySelectorAll('a[href],button,input,select,textarea,summary,[tabindex]')];
  const place = reach(part).indexOf(at);
  const typed = at.matches('input:not([type=radio],[type=checkbox]),textarea') && at.value !== at.defaultValue ? at.value : null;
  const caret = typed !== null && at.selectionStart !== undefined ? [at.selectionStart, at.selectionEnd] : null;
  const { base } = shown;
  return next => {
    const to = (at.id && document.getElementById(at.id)) || reach(next)[Math.min(place, reach(next).length - 1)];
    if (!to) return;
    to.focus({ preventScroll: true });
    if (typed !== null && to.id === at.id && to.value !== typed) { to.value = typed; shown.base = base; if (caret) try { to.setSelectionRange(...caret); } catch { /* not a text */ } }
  };
}

/** Whether two states of a part have the same fields, so that nothing has to be exchanged under the person's hands. */
function sameFields(part, next) {
  const names = root => [...root.querySelectorAll('input,select,textarea')].map(f => f.id).join(' ');
  return document.activeElement.matches('input,textarea,select') && names(part) === names(next);
}

/** Inside a part that holds the focus, only the small live places are renewed. */
function merge(part, next) {
  for (const small of part.querySelectorAll('[data-note]')) {
    const fresh = next.querySelector(`#${CSS.escape(small.id)}`);
    if (fresh && fresh.textContent !== small.textContent) small.textContent = fresh.textContent;
    const field = document.getElementById(small.dataset.note);
    if (field) field.setAttribute('aria-invalid', String(small.textContent.trim() !== ''));
  }
  for (const input of part.querySelectorAll('[data-path]')) {
    const fresh = next.querySelector(`#${CSS.escape(input.id)}`);
    if (!fresh) continue;
    const here = input === document.activeElement;
    if (input.type === 'radio' || input.type === 'checkbox') input.checked = fresh.checked;
    else {
      // What is being typed stays, and stays based on what the person saw.
      if (here && input.defaultValue !== undefined && input.value !== input.defaultValue && input.value !== fresh.value) continue;
      if (input.value !== fresh.value) input.value = fresh.value;
      if (input.defaultValue !== undefined) input.defaultValue = fresh.defaultValue;
    }
    if (here) shown.base = revision();
  }
}

/** The value that a field stands for. */
function valueOf(field) {
  if (field.type === 'checkbox') {
    const group = field.dataset.list ? [...document.querySelectorAll(`[data-list][data-path="${CSS.escape(field.dataset.path)}"]`)] : null;
    if (group) { const words = group.filter(f => f.checked).map(f => f.value); return words.length ? `[${words.join(', ')}]` : ''; }
    return field.checked ? field.value || 'yes' : field.dataset.off ?? '';
  }
  const text = field.value.trim();
  if (field.dataset.number !== undefined) return plainNumber(text);
  if (field.dataset.texts !== undefined) return text ? `[${text.split(',').map(x => x.trim()).filter(Boolean).map(flowText).join(', ')}]` : '';
  return text;
}

/** A table of bands as one value: '{ 125: [14.2, 3.1], 250: 20.5 }'. */
function bandsOf(table) {
  const pairs = [...table.querySelectorAll('[data-band]')].map(input => {
    const mean = plainNumber(input.value.trim());
    const sd = plainNumber(table.querySelector(`[data-band-sd="${input.dataset.band}"]`)?.value.trim() ?? '');
    return mean ? `${input.dataset.band}: ${sd ? `[${mean}, ${sd}]` : mean}` : null;
  }).filter(Boolean);
  return pairs.length ? `{ ${pairs.join(', ')} }` : '';
}

/** A number as the document writes it: a decimal point, an ordinary minus. */
const plainNumber = text => /^[+\-−]?\d+(,\d+)?$/.test(text) ? text.replace(',', '.').replace('−', '-') : text;

/** A text between brackets, in quotes unless it is plain. */
const flowText = text => /^[\p{L}\d][\p{L}\d .\-/()%+°]*$/u.test(text) && !/^(yes|no|null|~)$/i.test(text) ? text : JSON.stringify(text);

document.addEventListener('change', event => {
  const rename = event.target.closest?.('[data-rename]');
  if (rename) return void change({ rename: { section: rename.dataset.rename, id: rename.dataset.id, newId: rename.value.trim() } });
  const own = event.target.closest?.('[data-own-name]');
  if (own) { if (own.value.trim()) change({ set: { path: `${own.dataset.ownName}.${own.value.trim()}`, value: '…' } }); own.value = ''; return; }
  const bands = event.target.closest?.('[data-bands]');
  if (bands) return void change({ set: { path: bands.dataset.bands, value: bandsOf(bands) } }, { seen: shown });
  const field = event.target.closest?.('[data-path]');
  if (!field || field.dataset.own !== undefined) return;
  change({ set: { path: field.dataset.path, value: valueOf(field) } }, { seen: shown.field === field ? shown : null });
});

/** Undo and the like, with the revision that the page shows; other requests go to a whole path as they are. */
async function post(path) {
  const response = await ask(path.startsWith('/') ? path : `/trials/${trial}/${path}?shown=${revision()}`, { method: 'POST' });
  if (!response.ok) return { refused: await response.text(), stale: response.status === 409 };
  const answer = response.headers.get('content-type')?.includes('json') ? await response.json() : {};
  if (answer.revision !== undefined) meta('revision').content = answer.revision;
  return answer;
}

document.addEventListener('click', async event => {
  const button = event.target.closest?.('[data-edit],[data-post]');
  if (!button || button.disabled) return;
  event.preventDefault();
  if (button.dataset.ask && !await whether({ title: button.dataset.ask, text: button.dataset.askText ?? '', yes: button.textContent.trim(), no: say('Leave it') })) return;
  if (button.dataset.edit) {
    if (await change(JSON.parse(button.dataset.edit)) && button.dataset.then) document.getElementById(button.dataset.then)?.focus();
    return;
  }
  // After what is being saved, and one after another: each is based on the revision that the one before it made.
  const done = queue.then(() => post(button.dataset.post));
  queue = done.catch(() => {});
  const answer = await done;
  if (answer.refused !== undefined) { tell(answer.refused, true); if (answer.stale) await renew(); return; }
  if (button.dataset.go) { location.href = button.dataset.go; return; }
  if (answer.go) { location.href = answer.go; return; }
  tell(say('Saved'));
  await renew();
});

// Who leaves the page right after typing takes the change along: the next page waits until it is kept.
document.addEventListener('click', async event => {
  const link = event.target.closest?.('a[href]');
  if (!link || waiting.size === 0 || event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey || link.target || link.hasAttribute('download')) return;
  event.preventDefault();
  await queue;
  location.href = link.href;
});
addEventListener('beforeunload', event => { if ([...waiting].some(w => w.stuck)) event.preventDefault(); });

document.addEventListener('keydown', event => {
  if (!trial || !(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches?.('input,textarea,select,[contenteditable]')) return;
  const key = event.key.toLowerCase();
  const which = key === 'z' ? (event.shiftKey ? 'redo' : 'undo') : key === 'y' ? 'redo' : null;
  const button = which && document.querySelector(`[data-post="${which}"]`);
  if (button && !button.disabled) { event.preventDefault(); button.click(); }
});

// The way stands open beside the page where there is room, and folds away where there is none.
const roomy = matchMedia('(min-width:64rem)');
function unfold() { const fold = document.querySelector('.way-fold'); if (fold && roomy.matches) fold.open = true; }
roomy.addEventListener('change', () => { const fold = document.querySelector('.way-fold'); if (fold) fold.open = roomy.matches; });
unfold();

for (const part of document.querySelectorAll('[data-live]')) lastSaid.set(part, part.outerHTML);

/** A table that is wider than its place can be scrolled by keyboard too. */
function reachable() {
  for (const table of document.querySelectorAll('.table')) {
    if (table.hasAttribute('tabindex') && table.dataset.scrolls === undefined) continue;
    if (table.scrollWidth > table.clientWidth) {
      Object.assign(table, { tabIndex: 0, role: 'group', ariaLabel: table.querySelector('caption')?.textContent.trim() || document.querySelector('h1')?.textContent });
      table.dataset.scrolls = '';
    } else if (table.dataset.scrolls !== undefined) for (const name of ['tabindex', 'role', 'aria-label', 'data-scrolls']) table.removeAttribute(name);
  }
}
reachable();
addEventListener('resize', reachable);
addEventListener('load', reachable);
document.addEventListener('renewed', reachable);

if (trial) {
  let events = null, pending = 0;
  const away = () => say('The workspace does not answer. This page goes on by itself when it is back.');
  const soon = () => { clearTimeout(pending); pending = setTimeout(renew, 60); };
  // A browser holds six connections to one place: a page that nobody looks at gives its own back.
  const watch = () => {
    if (document.hidden) { events?.close(); events = null; return; }
    if (events) return;
    events = new EventSource(`/trials/${trial}/events`);
    for (const what of ['analysis', 'upload']) events.addEventListener(what, soon);
    events.addEventListener('revision', event => { if (Number(event.data) !== revision()) soon(); });
    events.onopen = () => { if (saved?.textContent === away()) tell(''); soon(); };
    events.onerror = () => { if (waiting.size === 0) tell(away(), true); };
  };
  watch();
  document.addEventListener('visibilitychange', watch);
  addEventListener('pagehide', () => { events?.close(); events = null; });
  addEventListener('pageshow', event => { if (event.persisted) location.reload(); });
}
