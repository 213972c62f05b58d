"""The same job in scipy at the full rate, in blocks: A and C with F and S, 31 one-third-octave bands, all per 125 ms.

Prints the CPU seconds it took. The weightings use the plain bilinear transform, as scripts do; this is about time, not accuracy.
"""
import sys
import time

import numpy as np
from scipy import signal

RATE = 48000
BLOCK = RATE * 10
STEP = RATE // 8


def weighting_sections():
    f1, f2, f3, f4 = 20.598997, 107.65265, 737.86223, 12194.217
    w = 2 * np.pi * np.array([f1, f2, f3, f4])
    c = signal.bilinear_zpk([0, 0], [-w[0]] * 2 + [-w[3]] * 2, w[3] ** 2, RATE)
    a = signal.bilinear_zpk([0, 0], [-w[1], -w[2]], 1.0, RATE)
    return signal.zpk2sos(*c), signal.zpk2sos(*a)


def frames(path):
    with open(path, "rb") as f:
        data = f.read()
    at = data.index(b"data") + 8
    raw = np.frombuffer(data, np.uint8, offset=at)
    raw = raw[: len(raw) // 3 * 3].reshape(-1, 3)
    for start in range(0, len(raw), BLOCK):
        part = raw[start:start + BLOCK].astype(np.int32)
        value = (part[:, 0] | (part[:, 1] << 8) | (part[:, 2] << 16))
        yield np.where(value >= 1 << 23, value - (1 << 24), value) / float(1 << 23)


def steps(x):
    whole = len(x) // STEP * STEP
    return (x[:whole].reshape(-1, STEP) ** 2).mean(axis=1)


def main(path):
    c_sos, a_sos = weighting_sections()
    bands = []
    for i in range(-17, 14):
        fm = 1000 * 10 ** (i / 10)
        bands.append(signal.butter(3, [fm * 10 ** -0.05, fm * 10 ** 0.05], "band", fs=RATE, output="sos"))
    states = [np.zeros((3, 2)) for _ in bands]
    c_state, a_state = np.zeros((c_sos.shape[0], 2)), np.zeros((a_sos.shape[0], 2))
    decays = [np.exp(-1 / (0.125 * RATE)), np.exp(-1.0 / RATE)]
    weighted = np.zeros((2, 2, 1))
    out = []
    for x in frames(path):
        c, c_state = signal.sosfilt(c_sos, x, zi=c_state)
        a, a_state = signal.sosfilt(a_sos, c, zi=a_state)
        row = [steps(a), steps(c), steps(x)]
        for i, y in enumerate((a, c)):
            for j, d in enumerate(decays):
                level, weighted[i, j] = signal.lfilter([1 - d], [1, -d], y * y, zi=weighted[i, j])
                row.append(level[STEP - 1::STEP])
        for i, sos in enumerate(bands):
            y, states[i] = signal.sosfilt(sos, x, zi=states[i])
            row.append(steps(y))
        out.append(row)
    return out


if __name__ == "__main__":
    main(sys.argv[1])  # once to warm the file and the libraries
    began = time.process_time()
    main(sys.argv[1])
    print(time.process_time() - began)
