// Proposed spans: looked for on demand, in pencil until a person accepts them one by one or all the sure ones.
import { ask, change, say, tell, trial } from '../sheet.js';

/** A confidence for people; nothing that was found is certain. */
export const sureness = share => share > 0.99 ? say('over 99 %') : `${Math.floor(100 * share)} %`;

export class Proposals {
  /** @param {import('./page.js').HistoryPage} page */
  constructor(page) {
    this.page = page;
    for (const [what, act] of Object.entries({ find: () => this.find(), 'accept-all': () => this.acceptAll(), 'drop-all': () => this.dropAll() }))
      page.root.querySelector(`[data-do="${what}"]`)?.addEventListener('click', act);
    page.part('least')?.addEventListener('input', () => this.tally());
  }

  /** Those that wait for an answer. */
  get open() { return this.page.pencilled.filter(m => m.confidence !== null); }

  async find() {
    const { page } = this, button = page.root.querySelector('[data-do="find"]');
    button.disabled = true;
    tell(say('Looking for spans …'));
    try {
      const response = await ask(`/trials/${trial}/proposals`);
      if (!response.ok) throw new Error(await response.text());
      const { proposals, notes } = await response.json();
      page.pencilled = proposals.filter(p => page.kinds.includes(p.kind)).map(p => ({ path: null, pencilled: true, fresh: false, channel: '', run: '', wearer: '', excluded: '', analysed: '', id: '', ...p, condition: p.condition ?? '', fit: p.fit ?? '', key: `proposal:${p.id}`,
        label: `${p.label} ${sureness(p.confidence)}` }));
      page.refresh();
      const found = page.pencilled.length;
      tell([found === 0 ? say('Nothing new was found.') : say('Found: {0}. Look at each, or accept the sure ones.', found), ...notes].join(' '));
      if (found > 0) this.step(1);
    } catch (error) {
      tell(error.message, true);
    } finally {
      button.disabled = false;
    }
  }

  /** The next proposal, in whichever recording it is. */
  step(by) {
    const { page } = this, list = this.open;
    if (list.length === 0) { tell(say('There is no proposal.')); return; }
    const order = new Map(page.recordings.map((r, i) => [r.id, i]));
    list.sort((a, b) => (order.get(a.recording) ?? 0) - (order.get(b.recording) ?? 0) || a.from - b.from);
    const at = list.findIndex(s => s.key === page.history.chosen);
    page.reveal(list[at < 0 ? (by > 0 ? 0 : list.length - 1) : (at + by + list.length) % list.length]);
    page.history.focusEdge();
  }

  /** Those from the chosen confidence on that say all that is needed. */
  sure() {
    const least = Number(this.page.part('least')?.value ?? 90) / 100;
    return this.open.filter(m => m.confidence >= least && this.page.edit(m));
  }

  /** Says how many there are, and how many are sure. */
  tally() {
    const { page } = this, bar = page.part('proposals');
    if (!bar) return;
    const all = this.open.length;
    bar.hidden = all === 0;
    if (all === 0) return;
    const sure = this.sure().length;
    page.part('least-shown').textContent = `${page.part('least').value} %`;
    page.part('how-many').textContent = say('Proposals: {0}, dashed. None is used before you accept it.', all);
    const button = page.root.querySelector('[data-do="accept-all"]');
    button.textContent = say('Accept all from this confidence on: {0}', sure);
    button.disabled = sure === 0;
  }

  async acceptAll() {
    const { page } = this, sure = this.sure(), taken = [];
    const several = [];
    for (const mark of sure) {
      const edit = page.edit(mark, taken);
      if (edit) several.push(...(edit.several ?? [edit]));
    }
    if (several.length === 0 || !await change({ several })) return;
    page.pencilled = page.pencilled.filter(m => !sure.includes(m));
    page.refresh();
    tell(say('Accepted: {0}. Undo takes all of them back.', sure.length));
  }

  dropAll() {
    this.page.pencilled = [];
    this.page.refresh();
  }
}
