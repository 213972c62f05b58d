"""Levels by sox, one pass for each: whole-file Leq of A, C, Z and 31 bands. No F and S, no steps, no spectrum."""
import re
import subprocess
import sys

from job import BANDS, answer, band, weightings


def effects(sos):
    return [word for row in sos for word in ("biquad", *(f"{v:.17g}" for v in row))]


def main(path):
    c, a = weightings()
    means = []
    for chain in ([*effects(c), *effects(a)], effects(c), [], *(effects(band(f)) for f in BANDS)):
        run = subprocess.run(["sox", "-D", "--single-threaded", path, "-n", *chain, "stats"], capture_output=True, text=True, check=True)
        means.append(float(re.search(r"RMS lev dB\s+(-?[\d.]+)", run.stderr)[1]))
    answer(dict(zip("acz", means)), means[3:])


main(sys.argv[1])
