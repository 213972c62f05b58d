"""Coherence, fine spectrum and comb of a two-channel recording, by scipy: the independent twin of the checks' one pass.

Usage: coherence_twin.py FILE. Prints JSON. Segments of the same length in time (4096 values at 3 kHz = 65 536 at 48 kHz), Hann, half overlap.
"""
import json
import sys

import numpy as np
from scipy.io import wavfile
from scipy.signal import coherence, get_window, welch

rate, data = wavfile.read(sys.argv[1])
data = data.astype(float) / 32768
n = 65536
kind = dict(fs=rate, window=get_window("hann", n, fftbins=True), nperseg=n, noverlap=n // 2, detrend=False)
frequencies, together = coherence(data[:, 0], data[:, 1], **kind)
_, density = welch(data[:, 0], **kind)
band = (frequencies >= 20) & (frequencies <= 100)
excess = {}
for k in range(1, 7):
    line = int(round(k * 26000 / 120 / (rate / n)))
    around = np.concatenate([density[line - 33:line - 10], density[line + 11:line + 34]])
    excess[str(k)] = float(10 * np.log10(density[line - 1:line + 2].max() / np.median(around)))
print(json.dumps({
    "coherence": float(together[band].mean()),
    "coherence_high": float(together[(frequencies >= 200) & (frequencies <= 400)].mean()),
    "density_100_200": float(density[(frequencies >= 100) & (frequencies <= 200)].mean()),
    "density_700_900": float(density[(frequencies >= 700) & (frequencies <= 900)].mean()),
    "resolution": rate / n,
    "excess": excess,
}))
