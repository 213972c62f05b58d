// Calibrations and quiet spans on the level history.
import { say } from './sheet.js';
import { HistoryPage } from './history/page.js';
import { written } from './history/times.js';

const page = new HistoryPage({ kinds: ['calibration', 'quiet'], edit: keepSpan });

const plain = text => text.replace(',', '.').replace('−', '-').trim();
const value = name => page.panel.field(name)?.value.trim() ?? '';

/** The change that makes a calibration or a quiet span of a pencilled one; null while something is missing. */
function keepSpan(mark) {
  const use = mark.use ?? (mark.kind === 'quiet' ? 'quiet' : 'tone'), chosen = mark.key === page.history.chosen;
  const channel = mark.channel || page.channels[0]?.id || '';
  const span = { recording: mark.recording, from: written(mark.from), to: written(mark.to) };
  if (!channel) return null;
  if (use === 'quiet') return { several: ['recording', 'from', 'to'].map(key => ({ set: { path: `channels[${channel}].own_noise.${key}`, value: span[key] } })) };
  // A level is never taken for granted: it is what the person reads on the calibrator.
  const level = plain(mark.level ?? (chosen ? value('level') : ''));
  if (!level) return null;
  const fields = { channel, kind: use, ...span, level_db: level };
  if (use === 'tone') {
    const hertz = plain(mark.hertz ?? value('hertz'));
    if (hertz) fields.hertz = hertz;
    if (mark.type) fields.calibrator = mark.type;
    if (mark.pressure) fields.pressure_kpa = plain(mark.pressure);
  } else fields.weighting = mark.weighting ?? 'A';
  if (mark.moment) fields.when = mark.moment;
  return { add: { section: 'calibrations', fields } };
}

page.removal = mark => mark.kind === 'quiet' ? { set: { path: mark.path, value: '' } } : { remove: { section: 'calibrations', entry: mark.id } };

page.fillMore = (mark, put) => {
  if (!mark.pencilled) return;
  const use = mark.use ?? (mark.kind === 'quiet' ? 'quiet' : 'tone');
  put('use', use);
  put('channel', mark.channel || page.channels[0]?.id || '');
  put('level', mark.level ?? '');
  put('hertz', mark.hertz ?? '1000');
  put('type', mark.type ?? '');
  put('pressure', mark.pressure ?? '');
  put('weighting', mark.weighting ?? 'A');
  put('moment', mark.moment ?? '');
  for (const part of page.panel.root.querySelectorAll('[data-use]')) part.hidden = !part.dataset.use.split(' ').includes(use);
};

page.changed = (mark, name, text) => {
  if (!mark.pencilled) return;
  mark[name] = text;
  if (name === 'use') mark.kind = text === 'quiet' ? 'quiet' : 'calibration';
  page.panel.fill();
  page.history.sync();
};

page.missing = () => say('Say the level of the calibrator or the meter first.');
