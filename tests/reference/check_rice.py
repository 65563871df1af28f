"""Checks balance-core's law of Rice against SciPy on 12 000 fresh random cases and the extremes.

Run from the workspace: python3 tests/reference/check_rice.py [program], the program being the example `rice` of
balance-core if it is built already. Each case is compared with scipy.stats.ncx2; where that and
an independent sum of normal strips (NumPy) disagree, 40-digit arithmetic decides. Fails above 1e-10.
"""

import os
import pathlib
import subprocess
import sys
import time

import numpy as np
from scipy.special import ndtr
from scipy.stats import ncx2

from rice_reference import extremes, random_cases, strips

ALLOWED = 1e-10
SETTLED = 1e-11
MOST_SETTLED = 25
ROOT = pathlib.Path(__file__).resolve().parents[2]


def by_program(cases):
    text = "".join(f"{u!r} {s!r} {t!r}\n" for u, s, t in cases)
    build = ["cargo", "run", "--quiet", "--package", "balance-core", "--features", "checks", "--example", "rice"]
    command = sys.argv[1:2] or build
    done = subprocess.run(command, input=text, capture_output=True, text=True, cwd=ROOT, check=True)
    return np.array([[float(word) for word in line.split()] for line in done.stdout.splitlines()])


def by_strips(u, s, t):
    """The normal law over strips y = b sin x of the disc, 400-point Gauss-Legendre; vectorised."""
    nodes, weights = np.polynomial.legendre.leggauss(400)
    a, b, off = u / s, t / s, (t - u) / s
    end = np.arcsin(np.minimum(1.0, 10.0 / np.maximum(b, 1e-300)))
    x = end[:, None] * (nodes + 1.0) / 2.0
    y, h = b[:, None] * np.sin(x), b[:, None] * np.cos(x)
    # h - a without cancellation: h = b - b (1 - cos x)
    near = off[:, None] - 2.0 * b[:, None] * np.sin(x / 2.0) ** 2
    inner = ndtr(near) - ndtr(-h - a[:, None])
    return np.sum(np.exp(-y * y / 2.0) / np.sqrt(2.0 * np.pi) * inner * h * weights, axis=1) * end


def reference(cases):
    u, s, t = (np.array(column) for column in zip(*cases))
    moving = s > 0.0
    within = np.where(u <= t, 1.0, 0.0)
    u, s, t = u[moving], s[moving], t[moving]
    with np.errstate(all="ignore"):
        # SciPy's own underflow to nan in far corners counts as a disagreement.
        scipy_says = ncx2.cdf((t / s) ** 2, 2, (u / s) ** 2)
        strips_say = by_strips(u, s, t)
    unsure = np.flatnonzero(~(np.abs(scipy_says - strips_say) <= SETTLED))
    for index in unsure[:MOST_SETTLED]:
        strips_say[index] = float(strips(u[index], s[index], t[index])[0])
    # Beyond the number we have time to settle, the looser of the two comparisons stands.
    apart = np.abs(scipy_says[unsure[MOST_SETTLED:]] - strips_say[unsure[MOST_SETTLED:]])
    within[moving] = strips_say
    return within, int(moving.sum()), len(unsure), apart


def main():
    began = time.time()
    seed = int(os.environ.get("RICE_SEED", "417"))
    cases = extremes() + random_cases(seed, 12_000)
    wanted, moving, unsure, apart = reference(cases)
    found = by_program(cases)
    error = np.abs(found[:, 0] - wanted)
    both = np.abs(found.sum(axis=1) - 1.0)
    worst = int(np.argmax(error))
    print(
        f"law of Rice: {len(cases)} cases, worst error {error[worst]:.1e} at {cases[worst]}, allowed {ALLOWED:.0e}; "
        f"SciPy alone agreed on {moving - unsure} of {moving}, {min(unsure, MOST_SETTLED)} settled by 40 digits "
        f"({len(apart)} left to the strips, {time.time() - began:.0f} s)"
    )
    if not (len(cases) >= 10_000 and error[worst] <= ALLOWED and both.max() <= 1e-15):
        sys.exit("the law of Rice is off")
    # The figure for tests/VERIFICATION.md.
    root = pathlib.Path(__file__).resolve().parents[2]
    folder = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", root / "target")) / "verification"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "rice.txt").write_text(f"{error[worst]:.1e}")


main()
