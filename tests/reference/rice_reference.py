"""Reference values for the law of Rice: P(|u| <= t) for a circular complex normal u, |mean| = u, deviation s.

Two ways that share nothing with the Rust code:
* scipy.stats.ncx2, the noncentral chi-squared law with two degrees of freedom, where it can be trusted;
* the normal law summed over horizontal strips of the disc, in 50-digit arithmetic (mpmath).
Tails are computed each as its own integral, never as one minus the other.
"""

import math
import random

import mpmath

mpmath.mp.dps = 40


def strips(u, s, t):
    """(P within, P beyond) in many digits: integral over y of phi(y) [Phi(h-a) - Phi(-h-a)], h = sqrt(b^2-y^2)."""
    if s == 0.0:
        return (mpmath.mpf(u <= t), mpmath.mpf(u > t))
    a, b = mpmath.mpf(u) / mpmath.mpf(s), mpmath.mpf(t) / mpmath.mpf(s)
    if b == 0:
        return mpmath.mpf(0), mpmath.mpf(1)
    top = min(b, mpmath.mpf(14))
    # y = top * sin(x) takes the square root's end out of the integrand where the disc is small.
    def strip(kind):
        def value(x):
            y = top * mpmath.sin(x)
            h = mpmath.sqrt(b * b - y * y)
            if kind == "within":
                inner = (mpmath.erfc((a - h) / mpmath.sqrt(2)) - mpmath.erfc((a + h) / mpmath.sqrt(2))) / 2
            else:
                inner = (mpmath.erfc((h - a) / mpmath.sqrt(2)) + mpmath.erfc((a + h) / mpmath.sqrt(2))) / 2
            return mpmath.npdf(y) * inner * top * mpmath.cos(x)
        return value

    # The density falls fast with y: pieces that follow it.
    edges = [mpmath.asin(min(mpmath.mpf(1), mpmath.mpf(y) / top)) for y in (0, 1, 2, 3, 4.5, 6, 8, 11)]
    edges = sorted({edge for edge in edges if edge < mpmath.pi / 2}) + [mpmath.pi / 2]
    within = 2 * mpmath.quad(strip("within"), edges)
    beyond = 2 * mpmath.quad(strip("beyond"), edges) + mpmath.erfc(top / mpmath.sqrt(2))
    return within, beyond


def extremes():
    """Corner cases: nothing, hardly anything, far away, mean at the limit, no deviation."""
    sizes = [0.0, 1e-8, 1e-3, 0.3, 1.0, 2.4477468306808161, 7.0, 30.0, 1e3, 1e6]
    cases = [(a, 1.0, b) for a in sizes for b in sizes]
    for a in (0.5, 3.0, 19.0, 100.0, 1e4, 1e6):
        cases += [(a, 1.0, a + d) for d in (-6.0, -2.0, -0.1, -1e-9, 0.0, 1e-9, 0.1, 2.0, 6.0) if a + d >= 0.0]
    cases += [(u, 0.0, t) for u in (0.0, 1.0, 400.0) for t in (0.0, 1.0, 400.0)]
    return cases


def random_case(generator):
    """One case in job-like units; a quarter each: ordinary, near the limit, wide range, far out near the limit."""
    kind = generator.randrange(4)
    s = 10.0 ** generator.uniform(-3.0, 3.0)
    if kind == 0:
        a, b = generator.uniform(0.0, 12.0), generator.uniform(0.0, 12.0)
    elif kind == 1:
        a = generator.uniform(0.0, 60.0)
        b = max(0.0, a + generator.gauss(0.0, 3.0))
    elif kind == 2:
        a, b = (10.0 ** generator.uniform(-8.0, 6.0) for _ in range(2))
    else:
        a = 10.0 ** generator.uniform(1.0, 6.0)
        b = max(0.0, a + generator.gauss(0.0, 3.0))
    return a * s, s, b * s


def random_cases(seed, count):
    """Seeded random cases."""
    generator = random.Random(seed)
    return [random_case(generator) for _ in range(count)]


def shown(value):
    """A number as written to the table; what is below the smallest f64 is zero."""
    value = float(value)
    return "0" if math.fabs(value) < 1e-300 else repr(value)
