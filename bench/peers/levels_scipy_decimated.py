"""The standard job in scipy with the bands at rates halved octave by octave (scipy.signal.decimate, zero phase), the rest at the full rate."""
import sys

import numpy as np
from scipy import signal

from job import BANDS, RATE, STEP, answer, band, level, samples, steps, weightings


def main(path):
    x = samples(path)
    c_sos, a_sos = weightings()
    c = signal.sosfilt(c_sos, x)
    a = signal.sosfilt(a_sos, c)
    leq = {name: level(steps(y)) for name, y in zip("acz", (a, c, x))}
    largest = {}
    for name, y in zip("acz", (a, c, x)):
        for time, tau in (("f", 0.125), ("s", 1.0)):
            d = np.exp(-1 / (tau * RATE))
            largest[name + time] = float(10 * np.log10(signal.lfilter([1 - d], [1, -d], y * y).max()))
    bands, rate, y = [0.0] * len(BANDS), RATE, x
    for i in range(len(BANDS) - 1, -1, -1):
        # Down as soon as the band lies below a twentieth of the rate.
        while BANDS[i] < rate / 20 and rate > 1500:
            y, rate = signal.decimate(y, 2, ftype="fir"), rate / 2
        bands[i] = level(steps(signal.sosfilt(band(BANDS[i], rate), y), max(1, round(rate / 8))))
    signal.welch(x, RATE, "hann", 8192, detrend=False)
    answer(leq, bands, max_af=largest["af"], peak_c=float(20 * np.log10(np.max(np.abs(c)))))


main(sys.argv[1])
