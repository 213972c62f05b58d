"""The gain curve and the linear-phase filter of the rendering, by scipy: the independent twin.

Usage: rendering_twin.py RATE TAPS < points. Reads 'hertz decibels' a line. Prints JSON: the curve at 1/24 octaves from 10 Hz on, every 97th coefficient of
scipy.signal.firwin2 over the same curve, and the response of that filter at the points by freqz. The curve is scipy's shape-preserving cubic
(PchipInterpolator) over the logarithm of the frequency, constant beyond the points.
"""
import json
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.signal import firwin2, freqz

rate, taps = int(sys.argv[1]), int(sys.argv[2])
points = np.array([[float(x) for x in line.split()] for line in sys.stdin if line.strip()])
inner = PchipInterpolator(np.log(points[:, 0]), points[:, 1])


def curve(f):
    return inner(np.log(np.clip(f, points[0, 0], points[-1, 0])))


steps = 10 * 2 ** (np.arange(0, int(24 * np.log2(rate / 2 / 10))) / 24)
grid = 1 + 2 ** int(np.ceil(np.log2(taps + 1)))
f = np.linspace(0, rate / 2, grid)
h = firwin2(taps, f, 10 ** (curve(f) / 20), nfreqs=grid, window="hann", fs=rate)
_, response = freqz(h, worN=points[:, 0], fs=rate)
print(json.dumps({
    "hertz": steps.tolist(), "curve": curve(steps).tolist(), "taps": h[::97].tolist(),
    "response": (20 * np.log10(abs(response))).tolist(),
}))
