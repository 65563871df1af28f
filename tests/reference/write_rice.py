"""Writes tests/reference/rice.csv: about 300 cases in 40-digit arithmetic, extremes included. Seeded: same bytes each time."""

import pathlib

import mpmath

from rice_reference import extremes, random_cases, shown, strips

cases = extremes() + random_cases(20261, 160)
lines = [
    f"# P(|u| <= limit), circular complex normal u; mpmath {mpmath.__version__}, {mpmath.mp.dps} digits; written by write_rice.py",
    "mean,deviation,limit,within,beyond",
]
for u, s, t in cases:
    within, beyond = strips(u, s, t)
    assert abs(within + beyond - 1) < mpmath.mpf(10) ** -25, (u, s, t, within, beyond)
    lines.append(f"{u!r},{s!r},{t!r},{shown(within)},{shown(beyond)}")
pathlib.Path(__file__).with_name("rice.csv").write_text("\n".join(lines) + "\n")
print(f"{len(cases)} cases")
