"""The program beside a NumPy script on the demo's runs before the check: same answer, and how long each takes.

    python3 against_numpy.py PROGRAM [RUNS]

Times whole processes, start to exit, in turn (A B A B ...), and prints medians and their ratio. The answers must agree to
1e-9; the times are only printed.
"""
import json
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

here = pathlib.Path(__file__).resolve().parent
root = here.parent.parent


def timed(command):
    begun = time.perf_counter()
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return (time.perf_counter() - begun) * 1000, said


def main(program, runs):
    with tempfile.TemporaryDirectory() as place:
        depot = pathlib.Path(place) / "depot"
        shutil.copytree(root / "data" / "depot", depot)
        job = depot / "WP-0417"
        text = (job / "runs.csv").read_text().splitlines(keepends=True)
        (job / "runs.csv").write_text("".join(line for line in text if not line.startswith("4,check")))
        ours = [program, "correct", str(job), "--json"]
        script = [sys.executable, str(here / "correct_numpy.py"), str(job)]
        times = {"ours": [], "script": []}
        for _ in range(runs + 1):
            for name, command in (("ours", ours), ("script", script)):
                took, said = timed(command)
                times[name].append(took)
                if name == "ours":
                    mine = json.loads(said)
                else:
                    theirs = json.loads(said)
        worst = 0.0
        for one, other in zip(mine["planes"], theirs["planes"]):
            worst = max(worst, abs(one["mass_g"] / other["mass_g"] - 1), abs(one["angle_deg"] - other["angle_deg"]) / 360)
        worst = max(worst, abs(mine["condition"] / theirs["condition"] - 1))
        ours_ms, script_ms = (statistics.median(times[name][1:]) for name in ("ours", "script"))
        ratio = statistics.median(b / a for a, b in zip(times["ours"][1:], times["script"][1:]))
        print(f"worst relative difference {worst:.1e}")
        print(f"balance correct --json: median {ours_ms:.1f} ms; NumPy script: median {script_ms:.1f} ms; ratio {ratio:.1f}")
        if worst > 1e-9:
            sys.exit("the answers differ")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 20)
