"""Levels of a mono 16-bit WAVE file by a design of its own: the analogue prototypes' responses on the spectrum of the whole file.

Needs numpy and scipy. Prints one JSON object; mean squares are full scale squared, full scale = 1.

A and C: IEC 61672-1:2013, Annex E, as complex analogue transfer functions. Z: analogue second-order Butterworth high-pass at 4 Hz.
Bands: analogue Butterworth band-passes of third order in the low-pass prototype, 3.01 dB down at the edges of IEC 61260-1:2014, 5.5.
Nothing is shared with the program under test: no bilinear transform, no recursion, no blocks.
"""
import json
import sys

import numpy as np
from scipy import signal
from scipy.io import wavfile

F1, F2, F3, F4 = 20.598997, 107.65265, 737.86223, 12194.217


def c_weighting(s):
    w1, w4 = 2 * np.pi * F1, 2 * np.pi * F4
    return s ** 2 / ((s + w1) ** 2 * (s + w4) ** 2)


def a_weighting(s):
    return c_weighting(s) * s ** 2 / ((s + 2 * np.pi * F2) * (s + 2 * np.pi * F3))


def z_weighting(s):
    w = 2 * np.pi * 4
    return s ** 2 / (s ** 2 + np.sqrt(2) * w * s + w ** 2)


def band_edges(midband, fraction):
    """Edges of the Butterworth band-pass, 3.01 dB down."""
    ratio = 10 ** (0.15 / fraction)
    return midband / ratio, midband * ratio


def main(path):
    rate, samples = wavfile.read(path)
    x = samples.astype(float) / 32768
    n = len(x)
    padded = 2 ** int(np.ceil(np.log2(n + 6 * rate)))
    spectrum = np.fft.rfft(x, padded)
    f = np.fft.rfftfreq(padded, 1 / rate)
    s = 2j * np.pi * f
    at_1k = 2j * np.pi * 1000

    def filtered(response):
        return np.fft.irfft(spectrum * response, padded)[:n]

    a = filtered(a_weighting(s) / abs(a_weighting(at_1k)))
    c = filtered(c_weighting(s) / abs(c_weighting(at_1k)))
    z = filtered(z_weighting(s) / abs(z_weighting(at_1k)))
    result = {"rate": rate, "frames": n, "a": np.mean(a ** 2), "c": np.mean(c ** 2), "z": np.mean(z ** 2),
              "peak_c": np.max(np.abs(c)), "thirds": {}, "octaves": {}}
    for name, tau in (("fast", 0.125), ("slow", 1.0)):
        decay = np.exp(-1 / (tau * rate))
        for weighting, y in (("a", a), ("c", c)):
            level = signal.lfilter([1 - decay], [1, -decay], y ** 2)
            result[f"max_{weighting}_{name}"] = np.max(level)
            if weighting == "a":
                for percent in (10, 50, 90):
                    result[f"l{percent}_{name}"] = np.percentile(level, 100 - percent)
    for key, fraction, first, last in (("thirds", 3, -17, 13), ("octaves", 1, -5, 4)):
        for i in range(first, last + 1):
            midband = 1000 * 10 ** (0.3 * i / fraction)
            if midband * 10 ** (0.15 / fraction) >= rate / 2:
                continue
            edges = 2 * np.pi * np.array(band_edges(midband, fraction))
            _, poles, gain = signal.butter(3, edges, "band", analog=True, output="zpk")
            response = gain * s ** 3
            for p in poles:
                response = response / (s - p)
            y = filtered(response)
            result[key][str(i)] = np.mean(y ** 2)
    print(json.dumps(result))


if __name__ == "__main__":
    main(sys.argv[1])
