"""The standard job in scipy at the full rate, in blocks of 10 s: A, C, Z with F and S, 31 bands per 125 ms, the peak, an averaged spectrum."""
import sys

import numpy as np
from scipy import signal

from job import BANDS, RATE, STEP, answer, band, level, samples, steps, weightings

BLOCK = 10 * RATE


def main(path):
    x = samples(path)
    c_sos, a_sos = weightings()
    sections = [band(f) for f in BANDS]
    states = [np.zeros((3, 2)) for _ in sections]
    c_state, a_state = np.zeros((len(c_sos), 2)), np.zeros((len(a_sos), 2))
    decays = [np.exp(-1 / (0.125 * RATE)), np.exp(-1.0 / RATE)]
    weighted, largest, peak = np.zeros((3, 2, 1)), np.zeros((3, 2)), 0.0
    rows = [[] for _ in range(3 + len(sections))]
    for start in range(0, len(x), BLOCK):
        z = x[start:start + BLOCK]
        c, c_state = signal.sosfilt(c_sos, z, zi=c_state)
        a, a_state = signal.sosfilt(a_sos, c, zi=a_state)
        peak = max(peak, float(np.max(np.abs(c))))
        for i, y in enumerate((a, c, z)):
            rows[i].append(steps(y))
            for j, d in enumerate(decays):
                w, weighted[i, j] = signal.lfilter([1 - d], [1, -d], y * y, zi=weighted[i, j])
                largest[i, j] = max(largest[i, j], w.max())
        for i, sos in enumerate(sections):
            y, states[i] = signal.sosfilt(sos, z, zi=states[i])
            rows[3 + i].append(steps(y))
    signal.welch(x, RATE, "hann", 8192, detrend=False)
    means = [level(np.concatenate(r)) for r in rows]
    answer(dict(zip("acz", means)), means[3:], max_af=float(10 * np.log10(largest[0, 0])), peak_c=float(20 * np.log10(peak)))


main(sys.argv[1])
