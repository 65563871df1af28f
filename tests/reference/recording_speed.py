#!/usr/bin/env python3
"""How fast recordings are read, beside general tools on the same machine in one run.

    recording_speed.py [MEGABYTES] [BALANCE] [BARE_PARSE]

Writes a table of that size (1000 MB if not said) and a WAV of a quarter of it into a temporary folder, then times
    balance extract on both cores, and on one (and its peak memory),
    pandas and polars reading the same table and doing the same fit in NumPy,
    a bare parse of the same columns with the csv crate (balance-cli/examples/bare_parse.rs), on one core.
Times are the best of three; ratios come from one run. From 100 MB on the exit status is 1 if an aim is missed by more than a
noisy machine explains; below that (or with a build that is not optimised) only the readings are compared.

Build first:  cargo build --release -p balance-cli --bin balance --example bare_parse
"""
import json
import os
import sys
import tempfile
import wave

import numpy as np

from measured import measured

# A sound card's rate: where gigabytes come from.
RATE = 48000
JOB = """format = 1
[convention]
mass_angle = "against rotation"
phase = "lag"
[capture]
pulse = 1
[[sensor]]
name = "front"
full_scale = "40 mm/s"
reads = "mm/s"
[[sensor]]
name = "rear"
full_scale = "40 mm/s"
reads = "mm/s"
"""
FIT = """
import numpy as np
def fit(t, pulse, signals):
    up = np.flatnonzero((pulse[:-1] < 0.35) & (pulse[1:] >= 0.35))
    edges = t[up] + (0.35 - pulse[up]) / (pulse[up + 1] - pulse[up]) * (t[up + 1] - t[up])
    inside = slice(np.searchsorted(t, edges[0]), np.searchsorted(t, edges[-1]))
    t = t[inside]
    normal, right = np.zeros((12, 12)), np.zeros((12, len(signals)))
    for a in range(0, len(t), 1_000_000):
        part = slice(a, a + 1_000_000)
        angle = 2 * np.pi * np.interp(t[part], edges, np.arange(len(edges)))
        columns = [np.ones_like(angle), t[part] - t[0]]
        for k in range(1, 6):
            columns += [np.cos(k * angle), np.sin(k * angle)]
        matrix = np.column_stack(columns)
        normal += matrix.T @ matrix
        right += matrix.T @ np.column_stack([s[inside][part] for s in signals])
    found = np.linalg.solve(normal, right)
    return [abs(complex(c, s)) for c, s in zip(found[2], found[3])]
"""
PANDAS = FIT + """
import sys, pandas
frame = pandas.read_csv(sys.argv[1])
c = [frame[name].to_numpy() for name in frame.columns]
print(fit(c[0], c[1], c[2:]))
"""
POLARS = FIT + """
import sys, polars
frame = polars.read_csv(sys.argv[1])
c = [frame[name].to_numpy() for name in frame.columns]
print(fit(c[0], c[1], c[2:]))
"""


def signals(first, count, noise):
    """Times, pulse and two signals (3 and 2 mm/s once per turn) of these frames."""
    t = (first + np.arange(count)) / RATE
    turns = 30 * t + 0.02 * np.sin(0.5 * t)
    after = turns % 1
    pulse = 0.7 * np.clip(after * 100, 0, 1) * np.clip((0.05 - after) * 100 + 1, 0, 1)
    angle = 2 * np.pi * turns
    front = 3 * np.cos(angle - 0.7) + 0.5 * np.cos(2 * angle) + 0.3 * noise.standard_normal(count)
    rear = 2 * np.cos(angle - 2.1) + 0.3 * noise.standard_normal(count)
    return t, pulse, front, rear


def write_table(path, size):
    noise = np.random.default_rng(417)
    with open(path, "w") as out:
        out.write("time [s],pulse [V],front [mm/s],rear [mm/s]\n")
        first = 0
        while out.tell() < size:
            columns = np.column_stack(signals(first, 200_000, noise))
            np.savetxt(out, columns, fmt=["%.6f", "%.4f", "%.5f", "%.5f"], delimiter=",")
            first += 200_000


def write_wav(path, size):
    noise = np.random.default_rng(418)
    with wave.open(path, "wb") as out:
        out.setnchannels(3)
        out.setsampwidth(2)
        out.setframerate(RATE)
        for block in range(max(1, size // 6 // 200_000)):
            _, pulse, front, rear = signals(block * 200_000, 200_000, noise)
            frames = np.column_stack([pulse, front / 40, rear / 40]) * 32767
            out.writeframes(np.round(frames).astype("<i2").tobytes())


def timed(words, core=None):
    """Best wall time of three, peak memory in MB, and what was said."""
    runs = [measured(words, core) for _ in range(3)]
    if any(run["status"] != 0 for run in runs):
        sys.exit(f"{words[0]} failed")
    return min(run["seconds"] for run in runs), max(run["megabytes"] for run in runs), runs[-1]["said"]


def main():
    megabytes = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    balance = sys.argv[2] if len(sys.argv) > 2 else "target/release/balance"
    bare = sys.argv[3] if len(sys.argv) > 3 else "target/release/examples/bare_parse"
    missed = []

    def aim(words, found, wanted, at_least):
        good = found >= wanted if at_least else found <= wanted
        print(f"  {words}: {found:.2f} (aim {'at least' if at_least else 'at most'} {wanted})")
        # A machine that others use too shows up to a third less.
        if not (found >= wanted * 0.67 if at_least else found <= wanted * 1.5):
            missed.append(words)
        return good

    with tempfile.TemporaryDirectory() as folder:
        table, sound = f"{folder}/rec.csv", f"{folder}/rec.wav"
        with open(f"{folder}/job.toml", "w") as job:
            job.write(JOB)
        write_table(table, megabytes * 1_000_000)
        write_wav(sound, megabytes * 250_000)
        size, wav_size = os.path.getsize(table) / 1e6, os.path.getsize(sound) / 1e6
        extract = lambda file: [balance, "extract", file, "--job", folder, "--json"]
        cores = sorted(os.sched_getaffinity(0))
        both, peak, said = timed(extract(table))
        one, _, _ = timed(extract(table), cores[0])
        amplitudes = [sensor["amplitude"] for sensor in json.loads(said)["sensors"]]
        parse, _, _ = timed([bare, table], cores[0])
        others = {}
        for name, program in (("pandas", PANDAS), ("polars", POLARS)):
            try:
                __import__(name)
            except ImportError:
                print(f"{name} is not here")
                continue
            others[name], _, theirs = timed([sys.executable, "-c", program, table])
            for own, other in zip(amplitudes, json.loads(theirs)):
                if abs(own - other) > 2e-3 * own:
                    sys.exit(f"{name} finds {other}, balance {own}")
        wav, wav_peak, _ = timed(extract(sound))
        print(f"table of {size:.0f} MB, WAV of {wav_size:.0f} MB, {len(cores)} cores")
        print(f"  balance {size / both:.0f} MB/s, on one core {size / one:.0f}; bare parse on one core {size / parse:.0f} MB/s")
        for name, seconds in others.items():
            print(f"  {name} with the fit in NumPy {size / seconds:.0f} MB/s")
        if others:
            aim("times the faster of pandas and polars", min(others.values()) / both, 2, True)
        aim("time of a bare parse, on one core", one / parse, 1.3, False)
        aim("WAV in MB/s", wav_size / wav, 400, True)
        aim("peak memory in MB", max(peak, wav_peak), 64, False)
    if missed and megabytes >= 100:
        sys.exit("missed: " + ", ".join(missed))


if __name__ == "__main__":
    main()
