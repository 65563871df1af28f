"""Random jobs worked afresh with NumPy and SciPy, against the program's answers.

Run from the workspace: python3 tests/reference/check_corrections.py [jobs [program]], the program being `answers` of
balance-tests if it is built already. Exits 1 if anything differs by more
than 1e-9 or a gate decides otherwise. 2 to 5 planes, 2 to 8 sensors, redundant runs, mountings, check runs of which
one in three has a misplaced weight; noise stated or estimated.
"""

import json
import os
import pathlib
import subprocess
import sys

import numpy as np
import scipy.stats

ALLOWED = 1e-9
ROOT = pathlib.Path(__file__).resolve().parents[2]


def circular(rng, *shape):
    return (rng.normal(size=shape) + 1j * rng.normal(size=shape)) / np.sqrt(2)


def polar(vector):
    return [abs(vector), float(np.degrees(np.angle(vector)))]


def vector(amount, degrees):
    return amount * np.exp(1j * np.radians(degrees))


def make_job(rng):
    planes, sensors = int(rng.integers(2, 6)), int(rng.integers(2, 9))
    radius = rng.uniform(25, 90, planes) if rng.random() < 0.7 else np.ones(planes)
    with_radius = bool(np.any(radius != 1))
    answers = circular(rng, sensors, planes) / radius
    unbalance = 12 * radius * circular(rng, planes)
    mountings = int(rng.integers(1, 3))
    offsets = [circular(rng, sensors) * (0.0 if m == 0 else 2.0) for m in range(mountings)]
    scatter, stated = 0.02, [[0.02, 0.0], [0.01, 0.05], None][int(rng.integers(0, 3))]
    same = bool(rng.random() < 0.5)
    plan = [("initial", m, []) for m in range(mountings)]
    for plane in range(planes):
        plan.append(("trial", int(rng.integers(0, mountings)), [(plane, rng.uniform(4, 30), rng.uniform(-180, 360))]))
    for _ in range(int(rng.integers(1, 7))):
        some = [(int(rng.integers(0, planes)), rng.uniform(4, 30), rng.uniform(0, 360)) for _ in range(int(rng.integers(0, 4)))]
        plan.append(("trial" if some else "initial", int(rng.integers(0, mountings)), some))
    if rng.random() < 0.6:
        on = [(p, *polar(-unbalance[p] / radius[p] * (1 + 0.1 * circular(rng)))) for p in range(planes)]
        for at in range(int(rng.integers(1, 4))):
            plan.append(("check", at % mountings, on))
    misplaced = rng.random() < 0.33
    runs = []
    for kind, mounting, masses in plan:
        load = np.zeros(planes, complex)
        for plane, grams, degrees in masses:
            slip = 40 if misplaced and kind == "check" and plane == 0 else 0
            load[plane] += radius[plane] * vector(grams, degrees + slip)
        truth = answers @ (unbalance + load) + offsets[mounting]
        read = truth + circular(rng, sensors) * (scatter * abs(truth))
        shown = read if same else read.conj()
        runs.append({"kind": kind, "mounting": str(mounting), "masses": masses, "readings": [polar(v) for v in shown]})
    return {
        "planes": [float(r) if with_radius else None for r in radius],
        "sensors": sensors,
        "noise": stated,
        "phase": "same" if same else "opposite",
        "runs": runs,
    }


class Recomputed:
    """One job by numpy.linalg.lstsq and pinv; covariances by following every reading through by matrix products."""

    def __init__(self, job):
        self.job = job
        self.lever = np.array([1.0 if r is None else r for r in job["planes"]])
        self.runs = job["runs"]
        self.load = np.array([self.load_of(run) for run in self.runs])
        shown = np.array([[vector(*reading) for reading in run["readings"]] for run in self.runs])
        self.read = shown if job["phase"] == "same" else shown.conj()
        self.names = list(dict.fromkeys(run["mounting"] for run in self.runs))
        enters = [run["kind"] != "check" for run in self.runs]
        checks = [at for at, own in enumerate(enters) if not own]
        self.fit(enters)
        self.agrees = None
        if checks:
            self.agrees = self.gate(checks)
            if self.agrees:
                self.fit([True] * len(self.runs))
        self.correct(checks)

    def load_of(self, run):
        load = np.zeros(len(self.lever), complex)
        for plane, grams, degrees in run["masses"]:
            load[plane] += self.lever[plane] * vector(grams, degrees)
        return load

    def fit(self, enters):
        rows = [at for at, own in enumerate(enters) if own]
        mounted = np.array([[run["mounting"] == name for name in self.names] for run in self.runs], complex)
        design = np.hstack([mounted, self.load])[rows]
        # Rows that stand apart tell how far repeats scatter: each block and mounting has a mean of its own.
        apart = [at for at, own in enumerate(enters) if not own]
        own_means = sorted({self.runs[at]["mounting"] for at in apart})
        self.estimate, self.gain, self.variance, self.degrees, self.above = [], [], [], [], []
        for sensor in range(self.job["sensors"]):
            read = self.read[:, sensor]
            stated = self.stated_variance(abs(read))
            weight = 1 / np.sqrt(stated) if stated is not None else np.ones(len(read))
            weighted = design * weight[rows, None]
            estimate = np.linalg.lstsq(weighted, read[rows] * weight[rows], rcond=None)[0]
            gain = np.zeros((design.shape[1], len(read)), complex)
            gain[:, rows] = np.linalg.pinv(weighted) * weight[rows]
            squares = float(np.sum(abs((read[rows] - design @ estimate) * weight[rows]) ** 2))
            for name in own_means:
                members = [at for at in apart if self.runs[at]["mounting"] == name]
                mean = np.average(read[members], weights=weight[members] ** 2)
                squares += float(np.sum(abs((read[members] - mean) * weight[members]) ** 2))
            free = len(read) - design.shape[1] - len(own_means)
            above = False
            if stated is None:
                variance = np.full(len(read), squares / (2 * free)) if free else None
                degrees = free
            else:
                variance, degrees = stated, np.inf
                above = bool(free and squares > scipy.stats.chi2.ppf(0.999, 2 * free))
                if above:
                    variance, degrees = stated * squares / (2 * free), free
            self.estimate.append(estimate)
            self.gain.append(gain)
            self.variance.append(variance)
            self.degrees.append(degrees)
            self.above.append(above)
        first = len(self.names)
        self.answers = np.array([estimate[first:] for estimate in self.estimate])

    def stated_variance(self, amplitude):
        if self.job["noise"] is None:
            return None
        share, floor = self.job["noise"]
        of = lambda a: ((share * a) ** 2 + floor**2) / 2
        return np.maximum(of(amplitude), of(amplitude.max() / 100))

    def gate(self, checks):
        """Chi-squared (F with estimated noise) of block means against the fit, answers' errors left to the fit."""
        if any(variance is None for variance in self.variance):
            return None
        differences, entries, share = [], [], []
        load = self.load[checks[0]]
        for sensor in range(self.job["sensors"]):
            for at, name in enumerate(self.names):
                members = [row for row in checks if self.runs[row]["mounting"] == name]
                if not members:
                    continue
                columns = np.concatenate([np.eye(len(self.names))[at], load])
                predicted = columns @ self.estimate[sensor]
                direct = np.zeros(len(self.runs), complex)
                direct[members] = 1 / len(members)
                through = direct - columns @ self.gain[sensor]
                differences.append(self.read[members, sensor].mean() - predicted)
                entries.append(float(np.sum(abs(through) ** 2 * self.variance[sensor])))
                share.append(self.degrees[sensor])
        squares = float(np.sum(abs(np.array(differences)) ** 2 / np.array(entries)))
        count, degrees = len(differences), min(share)
        limit = scipy.stats.chi2.ppf(0.999, 2 * count) / (2 * count) if np.isinf(degrees) else scipy.stats.f.ppf(0.999, 2 * count, 2 * degrees)
        return bool(squares / (2 * count) <= limit)

    def correct(self, checks):
        sensors, planes = self.answers.shape
        now, direct, base = [], [], []
        for sensor in range(sensors):
            weights = np.zeros(len(self.runs), complex)
            mounted = list(dict.fromkeys(self.runs[row]["mounting"] for row in checks))
            for name in mounted:
                members = [row for row in checks if self.runs[row]["mounting"] == name]
                weights[members] = 1 / (len(members) * len(mounted))
            columns = np.zeros(len(self.names) + planes, complex)
            if not checks:
                columns[: len(self.names)] = 1 / len(self.names)
            now.append(weights @ self.read[:, sensor] + columns @ self.estimate[sensor])
            direct.append(weights)
            base.append(columns)
        inverse = np.linalg.pinv(self.answers)
        self.add = -inverse @ np.array(now)
        self.expected = np.array(now) + self.answers @ self.add
        values, right = np.linalg.svd(self.answers)[1:]
        self.condition = np.linalg.cond(self.answers) if sensors >= planes else None
        self.weak = right[min(sensors, planes) - 1].conj()
        self.separate = values[-1] / values[0] if len(values) < 2 else (values[-2] - values[-1]) / values[0]
        self.circles = self.give_or_take = [None] * planes
        if any(variance is None for variance in self.variance):
            self.circles = [None] * sensors
            return
        spread, of_answers = [], []
        for sensor in range(sensors):
            columns = base[sensor] + np.concatenate([np.zeros(len(self.names)), self.add])
            through = direct[sensor] + columns @ self.gain[sensor]
            spread.append(float(np.sum(abs(through) ** 2 * self.variance[sensor])))
            gain = self.gain[sensor][len(self.names) :]
            of_answers.append((gain * self.variance[sensor]) @ gain.conj().T)
        # First-order error of the least squares: dw = -A+ (dv + dA w) - (A^H A)^-1 dA^H r, or, with fewer sensors
        # than planes, + (1 - A+ A) dA^H A+^H w.
        covariance = (inverse * np.array(spread)) @ inverse.conj().T
        if sensors >= planes:
            turn, sizes = np.linalg.inv(self.answers.conj().T @ self.answers), self.expected
        else:
            turn, sizes = np.eye(planes) - inverse @ self.answers, inverse.conj().T @ self.add
        inner = sum(abs(size) ** 2 * own.conj() for size, own in zip(sizes, of_answers))
        covariance = covariance + turn @ inner @ turn.conj().T
        radius = lambda nu: np.sqrt(scipy.stats.chi2.ppf(0.95, 2)) if np.isinf(nu) else np.sqrt(2 * scipy.stats.f.ppf(0.95, 2, 2 * nu))
        self.circles = [radius(nu) * np.sqrt(own) for nu, own in zip(self.degrees, spread)]
        self.give_or_take = [radius(min(self.degrees)) * np.sqrt(own.real) for own in np.diag(covariance)]


def complexes(pairs):
    return np.array(pairs)[..., 0] + 1j * np.array(pairs)[..., 1]


def share(wanted, got):
    wanted, got = np.asarray(wanted), np.asarray(got)
    return float(np.max(abs(wanted - got)) / np.max(abs(wanted)))


def differences(own, got):
    size = max(abs(own.read).max(), 1e-300)
    found = {
        "corrections": share(own.add, complexes(got["add"])),
        "coefficients": share(own.answers, complexes(got["coefficients"])),
        "forecasts": float(np.max(abs(own.expected - complexes([f["expected"] for f in got["forecasts"]]))) / size),
    }
    if own.condition is not None:
        found["condition"] = abs(got["condition"] / own.condition - 1)
        # The direction is as sure as the smallest value stands apart from the next.
        found["weak direction"] = float(abs(1 - abs(np.vdot(own.weak, complexes(got["weak_direction"])))))
    if own.give_or_take[0] is None:
        found["unknown stays unknown"] = float(got["give_or_take"][0] is not None)
    else:
        found["give or take"] = share(own.give_or_take, got["give_or_take"])
        found["circles"] = share(own.circles, [f["circle"] for f in got["forecasts"]])
    return found


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    rng = np.random.default_rng(20261125)
    jobs = [make_job(rng) for _ in range(count)]
    program = sys.argv[2:3] or ["cargo", "run", "--quiet", "-p", "balance-tests", "--bin", "answers"]
    told = subprocess.run(program, input="\n".join(map(json.dumps, jobs)) + "\n", capture_output=True, text=True, cwd=ROOT)
    if told.returncode != 0:
        sys.exit(f"the program failed:\n{told.stderr[-2000:]}")
    answers = [json.loads(line) for line in told.stdout.splitlines()]
    if len(answers) != count or count == 0:
        sys.exit(f"{len(answers)} answers to {count} jobs")
    worst, faults, decided = {}, [], [0, 0]
    for at, (job, got) in enumerate(zip(jobs, answers)):
        own = Recomputed(job)
        for name, off in differences(own, got).items():
            worst[name] = max(worst.get(name, 0.0), off) if off == off else np.inf
            if not off <= ALLOWED:
                faults.append(f"job {at}: {name} differs by {off:.2e}")
        gates = [block["agrees"] for block in got["blocks"]]
        if gates != ([] if own.agrees is None and not gates else [own.agrees]):
            faults.append(f"job {at}: the gate says {gates}, NumPy {own.agrees}")
        if own.agrees is not None:
            decided[own.agrees] += 1
        if own.above != got["above_stated"]:
            faults.append(f"job {at}: scatter above stated {got['above_stated']}, NumPy {own.above}")
    figures = ", ".join(f"{name} {off:.1e}" for name, off in worst.items())
    summary = f"{count} jobs, worst relative differences: {figures}; gate the same in all, {decided[1]} let in, {decided[0]} kept out"
    print(summary)
    if min(decided) == 0:
        faults.append("the gate was not tried both ways")
    if faults:
        sys.exit("\n".join(faults[:20]) + f"\n{len(faults)} differences in all")
    folder = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "verification"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "numpy.txt").write_text(summary)


if __name__ == "__main__":
    main()
