// Times in recordings as the trial document writes them, and the marks of a time axis.

const decimalMark = document.documentElement.lang === 'de' ? ',' : '.';

/** A number for people. */
export const number = (value, decimals = 1) => {
  const text = Math.abs(value).toFixed(decimals).replace('.', decimalMark);
  return (value < 0 && Number(value.toFixed(decimals)) !== 0 ? '−' : '') + text;
};

/** Seconds of '75.5', '1:15.5', '1:01:15.5'; null when it is none of these. A decimal comma is read too. */
export function seconds(text) {
  const match = /^(?:(?:(\d{1,2}):(?=[0-5]\d:))?(\d{1,4}):(?=[0-5]\d(?:[.,]|$)))?(\d{1,6}(?:[.,]\d{1,6})?)$/.exec((text ?? '').trim());
  return match ? 3600 * Number(match[1] ?? 0) + 60 * Number(match[2] ?? 0) + Number(match[3].replace(',', '.')) : null;
}

/** A time as the document writes it: to the millisecond, without needless zeros. */
export function written(time) {
  const ms = Math.max(0, Math.round(time * 1000));
  const h = Math.floor(ms / 3_600_000), m = Math.floor(ms / 60_000) % 60, s = (ms % 60_000) / 1000;
  const tail = `${s < 10 ? '0' : ''}${s.toFixed(3).replace(/\.?0+$/, '')}`;
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${tail}` : `${m}:${tail}`;
}

/** A time in a recording for people, with so many decimals. */
export function shown(time, decimals = 1) {
  const unit = 10 ** decimals, all = Math.round(Math.abs(time) * unit);
  const h = Math.floor(all / unit / 3600), m = Math.floor(all / unit / 60) % 60, s = (all - (h * 3600 + m * 60) * unit) / unit;
  const tail = `${s < 10 ? '0' : ''}${s.toFixed(decimals).replace('.', decimalMark)}`;
  return `${time < 0 && all > 0 ? '−' : ''}${h > 0 ? `${h}:${String(m).padStart(2, '0')}` : m}:${tail}`;
}

/** A time of day, hh:mm:ss, with decimals where they are asked for. */
export function clock(secondsOfDay, decimals = 0) {
  const unit = 10 ** decimals, day = 86_400 * unit, all = ((Math.round(secondsOfDay * unit) % day) + day) % day;
  const h = Math.floor(all / unit / 3600), m = Math.floor(all / unit / 60) % 60, s = (all - (h * 3600 + m * 60) * unit) / unit;
  return `${String(h).padStart(2, '0')}:${String(m).padStart(2, '0')}:${s < 10 ? '0' : ''}${s.toFixed(decimals).replace('.', decimalMark)}`;
}

/** Seconds of day of '23:57:30.25'; null when it is none. */
export function ofDay(text, offset = '') {
  const match = /^(\d{1,2}):(\d{2})(?::(\d{2}(?:\.\d+)?))?$/.exec((text ?? '').trim());
  return match ? 3600 * Number(match[1]) + 60 * Number(match[2]) + Number(match[3] ?? 0) + (Number(offset) || 0) : null;
}

const DISTANCES = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600];

/** The distance of the marks of an axis, so that labels have room. */
export const distance = (span, width, room = 84) => DISTANCES.find(d => d / span * width >= room) ?? 43_200;

/** Decimals that marks at this distance need. */
export const decimals = apart => apart >= 1 ? 0 : apart >= 0.1 ? 1 : apart >= 0.01 ? 2 : 3;
