// The clock of a recorder, as the analysis lays it: a second of the recording lasts a little more or less than one of the clock it is laid on.

export class RecorderClock {
  /** @param {number} start the clock at the first sample, s @param {number} rate seconds of the clock in a second of the recording */
  constructor(start, rate = 1) { [this.start, this.rate] = [start, rate]; }

  /** The clock at a second of the recording. */
  at(own) { return this.start + own * this.rate; }

  /** The second of the recording at a clock. */
  own(clock) { return (clock - this.start) / this.rate; }
}

/** How many seconds a second of a slow or fast recorder lasts. @param {string} [driftPpm] parts per million by which its clock is slow, as the document writes it */
export const rateOf = driftPpm => 1 + (Number(driftPpm) || 0) * 1e-6;

/**
 * Lays recordings on one axis.
 * @param {{ starts: number | null, rate: number }[]} recordings seconds of day of the first sample, null when it is not known
 * @returns {{ places: RecorderClock[], day: RecorderClock | null }} where each recording lies on the axis, and the time of day along the axis
 */
export function commonAxis(recordings) {
  // One begins at its own zero and keeps its own seconds: they are what a take is written in.
  if (recordings.length < 2) return { places: recordings.map(() => new RecorderClock(0)), day: recordings[0]?.starts == null ? null : new RecorderClock(recordings[0].starts, recordings[0].rate) };
  // Several share the clock of the run. A flight may pass midnight.
  const first = recordings[0].starts, known = recordings.every(r => r.starts !== null);
  const after = r => known ? r.starts - first + (r.starts - first < -43_200 ? 86_400 : 0) : 0;
  return { places: recordings.map(r => new RecorderClock(after(r), known ? r.rate : 1)), day: known ? new RecorderClock(first) : null };
}
