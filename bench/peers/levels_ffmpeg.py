"""Levels by one ffmpeg filter graph of biquads in double precision: whole-file Leq of A, C, Z and 31 bands. No F and S, no steps, no spectrum."""
import re
import subprocess
import sys

from job import BANDS, answer, band, weightings


def biquads(sos):
    names = ("b0", "b1", "b2", "a0", "a1", "a2")
    return ",".join("biquad=" + ":".join(f"{n}={v:.17g}" for n, v in zip(names, row)) + ":precision=f64:transform=dii" for row in sos)


def main(path):
    c, a = weightings()
    chains = [biquads(c) + "," + biquads(a), biquads(c), "anull", *(biquads(band(f)) for f in BANDS)]
    split = f"[0:a]aformat=sample_fmts=dblp,asplit={len(chains)}" + "".join(f"[i{i}]" for i in range(len(chains)))
    graph = ";".join([split, *(f"[i{i}]{chain},astats=measure_overall=none:measure_perchannel=RMS_level[o{i}]" for i, chain in enumerate(chains))])
    outputs = [part for i in range(len(chains)) for part in ("-map", f"[o{i}]", "-f", "null", "-")]
    run = subprocess.run(["ffmpeg", "-hide_banner", "-nostdin", "-threads", "1", "-filter_complex_threads", "1", "-i", path, "-filter_complex", graph, *outputs],
                         capture_output=True, text=True, check=True)
    # Every astats prints one line, under the number of its place in the graph.
    found = {int(n): float(v) for n, v in re.findall(r"Parsed_astats_(\d+) @ .*RMS level dB: (-?[\d.]+)", run.stderr)}
    means = [found[n] for n in sorted(found)]
    answer(dict(zip("acz", means)), means[3:])


main(sys.argv[1])
