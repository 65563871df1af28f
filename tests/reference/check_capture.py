"""Recordings worked afresh with NumPy and SciPy, sample by sample, against the program's readings.

Run from the workspace: python3 tests/reference/check_capture.py PROGRAM [recordings], the program being the example
`extracted` of balance-core. Exits 1 if once or twice per turn differ by more than 1e-9 of the reading, or variances by
more than 1e-6. What is recomputed here: edges between samples; pulses smoothed by dense matrices, with the most likely of
the same 41 strengths; the angle as SciPy's cubic spline through them; numpy.linalg.lstsq, or scipy.optimize.least_squares
where a tone's frequency is free, on every sample; and the covariance from blocks with matrix square roots of the
residual makers.
"""

import os
import pathlib
import subprocess
import sys

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import scipy.interpolate
import scipy.linalg
import scipy.optimize

ALLOWED = 1e-9
ROOT = pathlib.Path(__file__).resolve().parents[2]
RATE, LEVEL, HARMONICS = 4096.0, 0.5, 5


def make(rng):
    """Pulse and two sensors; noise everywhere but on the pulse, whose edges jitter."""
    seconds, hertz = rng.uniform(1.0, 1.6), rng.uniform(20, 45)
    n = np.arange(int(seconds * RATE))
    time = n / RATE
    kind = int(rng.integers(0, 4))
    drift = rng.uniform(-0.02, 0.02)
    wander = 0.003 if kind == 1 else 0.0

    def turns(t):
        return hertz * (t + drift * t * t / 2 + wander / 3 * np.sin(3 * t)) + 0.37

    angle = 2 * np.pi * turns(time)
    grid = np.linspace(-0.2, seconds + 0.2, 40001)
    marks = np.interp(np.arange(-2, turns(seconds) + 2), turns(grid), grid)
    marks = marks + rng.normal(size=len(marks)) * (0.001 / hertz if kind >= 2 else 0.0)
    rise = 2.4 / RATE
    pulse = np.zeros(len(n))
    for mark in marks:
        ramp = np.clip((time - mark) / rise + 0.5, 0, 1) - np.clip((time - mark - 0.1 / hertz) / rise + 0.5, 0, 1)
        pulse += ramp
    tone = None
    sensors = []
    for _ in range(2):
        signal = 0.2 * rng.normal(size=len(n)) + rng.normal() + 0.1 * rng.normal() * time
        for k in range(1, 4):
            signal += 3.0 / k**2 * np.cos(k * angle + rng.uniform(0, 6))
        if kind == 2:
            tone = "Shaft"
            signal += 2.0 * np.cos(0.87 * angle + rng.uniform(0, 6))
        if kind == 3:
            tone = "Clock"
            signal += 2.0 * np.cos(2 * np.pi * 1.41 * hertz * time + rng.uniform(0, 6))
        sensors.append(signal)
    return pulse, sensors, tone


def edges_of(pulse):
    """When the level is crossed, and the sample at which that is certain: a quarter of the height above."""
    low, high = np.median(pulse[pulse < LEVEL]), np.median(pulse[pulse >= LEVEL])
    margin = 0.25 * (high - low)
    times, certain, up, crossing = [], [], True, None
    for at in range(1, len(pulse)):
        if pulse[at - 1] < LEVEL <= pulse[at]:
            crossing = (at - 1 + (LEVEL - pulse[at - 1]) / (pulse[at] - pulse[at - 1])) / RATE
        if not up and pulse[at] >= LEVEL + margin:
            up = True
            times.append(crossing)
            certain.append(at)
        elif up and pulse[at] < LEVEL - margin:
            up = False
    return np.array(times), certain


def smoothed(times):
    """Times less their jitter: third differences, the most likely strength of 41."""
    size = len(times)
    d = np.zeros((size - 3, size))
    for row in range(size - 3):
        d[row, row : row + 4] = [-1, 3, -3, 1]
    seen = d @ times
    best = None
    for step in range(41):
        matrix = d @ d.T + 10.0 ** (3.0 - 13.0 * step / 40) * np.eye(size - 3)
        solved = scipy.linalg.solve(matrix, seen, assume_a="pos")
        unlikely = (size - 3) * np.log(seen @ solved / (size - 3)) + np.linalg.slogdet(matrix)[1]
        if best is None or unlikely < best[0]:
            best = (unlikely, times - d.T @ solved)
    return best[1]


def columns(angle, middle, half):
    parts = [np.ones_like(angle), (angle - middle) / half]
    for k in range(1, HARMONICS + 1):
        parts += [np.cos(k * angle), np.sin(k * angle)]
    return parts


def covariance(design, left, bounds, turned):
    """Bell and McCaffrey's, block by block, with the residual maker's own square root."""
    inverse = np.linalg.inv(design.T @ design)
    total = np.zeros((2, 2))
    for begin, end, late in bounds:
        own = design[begin:end]
        share = np.eye(end - begin) - own @ inverse @ own.T
        values, vectors = np.linalg.eigh(share)
        half = vectors @ np.diag(1 / np.sqrt(np.clip(values, 0.05, None))) @ vectors.T
        score = inverse @ own.T @ half @ (left[begin:end] + own @ (turned * late))
        total += np.outer(score[2:4], score[2:4])
    return total


def recompute(pulse, signal, tone, start):
    times, certain = edges_of(pulse)
    knots = smoothed(times)
    angles = 2 * np.pi * np.arange(len(times))
    spline = scipy.interpolate.make_interp_spline(knots, angles, k=3, bc_type=([(3, 0.0)], [(3, 0.0)]))
    part = np.arange(certain[0], certain[-1])
    angle = spline(part / RATE)
    values = signal[part]
    middle, half = angles[-1] / 2, angles[-1] / 2
    base = columns(angle, middle, half)
    if tone is None:
        design = np.column_stack(base)
        solution = np.linalg.lstsq(design, values, rcond=None)[0]
    else:
        seconds = (times[0] + times[-1]) / 2, (times[-1] - times[0]) / 2
        place, reach = (angle - middle, half) if tone == "Shaft" else (part / RATE - seconds[0], seconds[1])

        def with_tone(frequency):
            return np.column_stack(base + [np.cos(frequency * place), np.sin(frequency * place)])

        def left(frequency):
            design = with_tone(frequency[0])
            return values - design @ np.linalg.lstsq(design, values, rcond=None)[0]

        first = start * (1 if tone == "Shaft" else 2 * np.pi)
        found = scipy.optimize.least_squares(
            left, [first * (1 + 1e-7)], jac="3-point", x_scale=1 / reach, xtol=1e-15, ftol=1e-15, gtol=1e-15
        )
        frequency = found.x[0]
        design = with_tone(frequency)
        solution = np.linalg.lstsq(design, values, rcond=None)[0]
        cosine, sine = solution[-2:]
        slope = place / reach * (sine * np.cos(frequency * place) - cosine * np.sin(frequency * place))
        design = np.column_stack([design, slope])
        solution = np.append(solution, 0.0)
    residual = values - design @ solution
    # Blocks of whole turns, and how far their pulses come behind the smooth angle.
    turns = len(times) - 1
    count = min(max(turns // 3, 4), 24)
    at = [block * turns // count for block in range(count + 1)]
    late = spline(times) - angles

    def lateness(begin, end):
        weight = np.ones(end - begin + 1)
        weight[[0, -1]] = 0.5
        return weight @ late[begin : end + 1] / weight.sum()

    whole = lateness(0, turns)
    bounds = [
        (certain[a] - certain[0], certain[b] - certain[0], lateness(a, b) - whole) for a, b in zip(at, at[1:])
    ]
    turned = np.zeros(design.shape[1])
    for k in range(1, HARMONICS + 1):
        a, b = solution[2 * k], solution[2 * k + 1]
        turned[2 * k], turned[2 * k + 1] = k * b, -k * a
    return solution, covariance(design, residual, bounds, turned), turns


def main():
    program = sys.argv[1]
    recordings = int(sys.argv[2]) if len(sys.argv) > 2 else 6
    rng = np.random.default_rng(16)
    worst, worst_variance, with_tones = 0.0, 0.0, 0
    for number in range(recordings):
        pulse, sensors, tone = make(rng)
        frames = np.column_stack([pulse] + sensors).astype("<f8").tobytes()
        shown = subprocess.run([program, str(RATE), str(LEVEL)], input=frames, stdout=subprocess.PIPE, check=True)
        lines = shown.stdout.decode().splitlines()
        for signal, line in zip(sensors, lines[1:]):
            words = line.split()
            found = np.array([float(word) for word in words[:10]])
            variances = np.array([float(word) for word in words[10:12]])
            tones = words[12:]
            # At a speed that hardly drifts a tone of either kind fits, and noise may pass for one: that of the program
            # is recomputed.
            if tone and not tones:
                sys.exit(f"recording {number}: no tone found, wanted {tone}")
            if len(tones) > 3:
                continue
            kind = tones[0] if tones else None
            with_tones += len(tones) // 3
            start = float(tones[1 if kind == "Shaft" else 2]) if kind else None
            wanted, spread, turns = recompute(pulse, signal, kind, start)
            if turns != int(lines[0].split()[1]):
                sys.exit(f"recording {number}: {lines[0]}, wanted {turns} turns")
            size = np.hypot(*wanted[2:4])
            worst = max(worst, float(np.max(abs(found[:4] - wanted[2:6])) / size))
            worst_variance = max(worst_variance, float(np.max(abs(variances / np.diag(spread) - 1))))
    print(f"{recordings} recordings of two sensors, {with_tones} with a tone: readings within {worst:.1e} of SciPy's,")
    print(f"variances within {worst_variance:.1e} (allowed {ALLOWED:.0e} and 1e-06)")
    folder = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "verification"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "capture--scipy.txt").write_text(
        f"{recordings} recordings, worst relative differences: readings {worst:.1e}, variances {worst_variance:.1e}"
    )
    if worst > ALLOWED or worst_variance > 1e-6 or with_tones == 0:
        sys.exit(1)


main()
