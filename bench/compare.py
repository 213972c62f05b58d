#!/usr/bin/env python3
"""Times the standard job as whole processes, side by side in one run: hushtrial and what else one could use.

Usage: compare.py HUSHTRIAL [SECONDS] [RUNS]   (HUSHTRIAL: the published program, or the built hushtrial.dll)

Processor seconds (user and system, children included) and peak memory of each process; medians. The levels each claims are checked
against those of hushtrial; how far they are apart stands in the table.
"""
import json
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import wave

import numpy as np

HERE = pathlib.Path(__file__).parent
RATE = 48000


def write(path, seconds):
    """Falling noise and a tone, 24 bit; the same in every run."""
    from scipy import signal
    noise = np.random.default_rng(1)
    state = np.zeros(1)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1), file.setsampwidth(3), file.setframerate(RATE)
        for second in range(seconds):
            x = noise.standard_normal(RATE)
            low, state = signal.lfilter([0.02], [1, -0.98], x, zi=state)
            y = 0.3 * low + 0.01 * x + 0.1 * np.sin(2 * np.pi * 82 * np.arange(RATE) / RATE)
            words = np.round(np.clip(y, -0.99, 0.99) * (1 << 23)).astype("<i4")
            file.writeframes(words.view(np.uint8).reshape(-1, 4)[:, :3].tobytes())


def timed(command, runs):
    cpu, memory, text = [], [], ""
    for _ in range(runs):
        with tempfile.TemporaryFile("w+") as out:
            process = subprocess.Popen(command, stdout=out, cwd=HERE, env={**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})
            _, status, usage = os.wait4(process.pid, 0)
            if status != 0:
                sys.exit(f"{command} failed")
            out.seek(0)
            text = out.read()
        cpu.append(usage.ru_utime + usage.ru_stime)
        memory.append(usage.ru_maxrss / 1024)
    return statistics.median(cpu), statistics.median(memory), json.loads(text)


def main(program, seconds=600, runs=3):
    own = ["dotnet", program] if program.endswith(".dll") else [program]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "bench.wav"
        write(path, seconds)
        jobs = [("hushtrial levels --history --spectrum", [*own, "levels", str(path), "--history", "--spectrum", "--format", "json"], 5)]
        for name, script in (("scipy, full rate", "levels_scipy.py"), ("scipy, bands decimated", "levels_scipy_decimated.py"),
                             ("numpy, short-time Fourier transform", "levels_numpy_fft.py"), ("ffmpeg, one filter graph", "levels_ffmpeg.py"),
                             ("sox, one pass per level", "levels_sox.py")):
            jobs.append((name, [sys.executable, str(HERE / "peers" / script), str(path)], runs))
        rows = [(name, *timed(command, n)) for name, command, n in jobs]
    first = rows[0]
    ours = [first[3]["leq"][k] for k in "acz"] + [b["leq"] for b in first[3]["bands"]]
    print("| whole process | CPU s | × real time | times hushtrial | peak MB | A, C, Z apart, dB | bands 50 Hz…10 kHz apart, dB |")
    print("|---|---|---|---|---|---|---|")
    for name, cpu, memory, answer in rows:
        theirs = ours if answer is first[3] else [answer["leq"][k] for k in "acz"] + answer["bands"]
        apart = [abs(a - b) for a, b in zip(ours, theirs)]
        print(f"| {name} | {cpu:.2f} | {seconds / cpu:.0f} | {cpu / first[1]:.1f} | {memory:.0f} | {max(apart[:3]):.3f} | {max(apart[7:31]):.3f} |")


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:4]))
