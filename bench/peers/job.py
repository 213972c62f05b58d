"""What the peers share: the file, the filters as anybody would design them with scipy, and the answer as JSON."""
import json

import numpy as np
from scipy import signal

RATE = 48000
STEP = RATE // 8
BANDS = [1000 * 10 ** (i / 10) for i in range(-17, 14)]


def weightings(rate=RATE):
    """A and C by the plain bilinear transform, as scripts do: C, and the sections that make A of it."""
    w = 2 * np.pi * np.array([20.598997, 107.65265, 737.86223, 12194.217])
    c = signal.zpk2sos(*signal.bilinear_zpk([0, 0], [-w[0]] * 2 + [-w[3]] * 2, w[3] ** 2, rate))
    a = signal.zpk2sos(*signal.bilinear_zpk([0, 0], [-w[1], -w[2]], 1.0, rate))
    for sos, before in ((c, None), (a, None)):
        _, h = signal.sosfreqz(sos, [1000], fs=rate)
        sos[0, :3] /= abs(h[0])
    return c, a


def band(middle, rate=RATE):
    return signal.butter(3, [middle * 10 ** -0.05, middle * 10 ** 0.05], "band", fs=rate, output="sos")


def samples(path):
    """Everything at once, as doubles: 24 bits, one channel."""
    data = np.fromfile(path, np.uint8)
    at = bytes(data[:4096]).index(b"data") + 8
    raw = data[at:]
    raw = raw[: len(raw) // 3 * 3].reshape(-1, 3)
    wide = np.zeros((len(raw), 4), np.uint8)
    wide[:, 1:] = raw
    return wide.view("<i4")[:, 0] / 2.0 ** 31


def steps(y, step=STEP):
    whole = len(y) // step * step
    y = y[:whole].reshape(-1, step)
    return np.einsum("ij,ij->i", y, y) / step


def level(mean_square):
    return float(10 * np.log10(np.mean(mean_square)))


def answer(leq, bands, **more):
    print(json.dumps({"leq": leq, "bands": bands, **more}))
