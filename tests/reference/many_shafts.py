"""`balance correct FILE --csv` beside polars and NumPy on one file of many shafts: equal answers, and how long each takes.

    python3 many_shafts.py PROGRAM [SHAFTS [RUNS]]

The other side reads the file with polars and finds the bare ideal masses of all shafts in a few array operations: the
influence coefficients from three runs, then the masses that cancel the first. It has no uncertainty, no box of weights, no
limit and no checks. Ours is timed on the bare file (its uncertainty included, as far as the file tells any), and with a job
that gives noise, a box of weights and a limit. Whole processes, start to exit, in turn; medians and their ratio. Answers
must agree to 1e-9. Memory is the most the process held.
"""
import io
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import numpy as np
import polars as pl

here = pathlib.Path(__file__).resolve().parent
HEADER = (
    "shaft,run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],"
    "front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]\n"
)

def write(file, shafts):
    """Shafts whose answers scatter by a few percent, as those of one maker do; readings typed with the dial's digits."""
    draw = np.random.default_rng(417)
    base = np.array([[0.0022 * np.exp(1.2j), 0.0007 * np.exp(-0.8j)], [0.0005 * np.exp(2.1j), 0.0019 * np.exp(0.4j)]])
    trial = 20.0 * 55.0
    with open(file, "w") as out:
        out.write(HEADER)
        for begun in range(0, shafts, 10_000):
            count = min(10_000, shafts - begun)
            complex_noise = lambda *shape: draw.normal(size=shape) + 1j * draw.normal(size=shape)
            answers = base * (1 + 0.04 * complex_noise(count, 2, 2))
            found = 700.0 * complex_noise(count, 2)
            first = np.einsum("nsp,np->ns", answers, found)
            angles = draw.integers(0, 24, size=(count, 2)) * 15
            loads = trial * np.exp(1j * np.radians(angles))
            rows = [first, first + answers[:, :, 0] * loads[:, :1], first + answers[:, :, 1] * loads[:, 1:]]
            rows = [row * (1 + 0.004 * complex_noise(count, 2)) for row in rows]
            sizes = [np.abs(row) for row in rows]
            phases = [np.round(np.degrees(np.angle(row)) % 360, 1) % 360 for row in rows]
            for at in range(count):
                name = f"S{begun + at:07d}"
                for run, (kind, front, rear) in enumerate(
                    (
                        ("initial", ",", ","),
                        ("trial", f"20,{angles[at, 0]}", ","),
                        ("trial", ",", f"20,{angles[at, 1]}"),
                    )
                ):
                    size, phase = sizes[run][at], phases[run][at]
                    out.write(
                        f"{name},{run + 1},{kind},1800,{front},{rear},"
                        f"{size[0]:.3f},{phase[0]:.1f},{size[1]:.3f},{phase[1]:.1f}\n"
                    )

JOB = """[shaft]
mass = "14.2 kg"
service_speed = "1800 rpm"
grade = "G16"

[tube]
outer_diameter = "100 mm"
wall = "3 mm"
length = "1385 mm"
material = "steel"

[stand]
reading_noise = "1 %"
reading_floor = 0.02
place_error = "3 mm"
scale_error = "0.1 g"

[[correction_plane]]
name = "front"
position = "150 mm"
radius = "55 mm"

[[correction_plane]]
name = "rear"
position = "1235 mm"
radius = "55 mm"

[[sensor]]
name = "front"
position = "0 mm"

[[sensor]]
name = "rear"
position = "1385 mm"

[[weight]]
mass = "5 g"
width = "10 mm"
thickness = "3 mm"

[[weight]]
mass = "10 g"
width = "18 mm"
thickness = "3 mm"

[[weight]]
mass = "20 g"
width = "34 mm"
thickness = "3 mm"
"""

def by_arrays(file):
    """The ideal masses of every shaft, grams and degrees, from three rows each."""
    table = pl.read_csv(file)
    columns = {name: table[name].to_numpy() for name in table.columns if table[name].dtype != pl.String}
    turn = lambda size, angle: columns[size] * np.exp(1j * np.radians(columns[angle]))
    read = np.stack([turn("front amplitude [mm/s]", "front phase [deg]"), turn("rear amplitude [mm/s]", "rear phase [deg]")], axis=1)
    read = read.reshape(-1, 3, 2)
    load = np.stack([turn("front mass [g]", "front angle [deg]"), turn("rear mass [g]", "rear angle [deg]")], axis=1)
    load = load.reshape(-1, 3, 2)
    answers = np.stack(
        [(read[:, 1] - read[:, 0]) / load[:, 1, :1], (read[:, 2] - read[:, 0]) / load[:, 2, 1:]], axis=2
    )
    masses = np.linalg.solve(answers, -read[:, 0, :, None])[:, :, 0]
    out = pl.DataFrame(
        {
            "shaft": table["shaft"].gather_every(3),
            "front mass [g]": np.abs(masses[:, 0]),
            "front angle [deg]": np.degrees(np.angle(masses[:, 0])) % 360,
            "rear mass [g]": np.abs(masses[:, 1]),
            "rear angle [deg]": np.degrees(np.angle(masses[:, 1])) % 360,
        }
    )
    sys.stdout.write(out.write_csv())

def most_memory(process):
    """The most the process has held so far, in megabytes; what the system reports after its end counts this script too."""
    try:
        status = pathlib.Path(f"/proc/{process}/status").read_text()
    except OSError:
        return 0.0
    return next((int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM")), 0.0)


def timed(command):
    """Seconds, megabytes at most, seconds of work on all cores, and what was said."""
    with tempfile.TemporaryFile() as said, tempfile.TemporaryFile() as talk:
        begun = time.perf_counter()
        child = subprocess.Popen(command, stdout=said, stderr=talk)
        memory, ended = 0.0, 0
        while not ended:
            memory = max(memory, most_memory(child.pid))
            ended, status, used = os.wait4(child.pid, os.WNOHANG)
            time.sleep(0 if ended else 0.002)
        took = time.perf_counter() - begun
        said.seek(0)
        talk.seek(0)
        if os.waitstatus_to_exitcode(status) not in (0, 3):
            sys.exit(talk.read().decode()[-2000:])
        return took, memory, used.ru_utime + used.ru_stime, said.read()


def worst_difference(ours, theirs):
    ours, theirs = pl.read_csv(io.BytesIO(ours), infer_schema_length=None), pl.read_csv(io.BytesIO(theirs))
    assert ours["shaft"].to_list() == theirs["shaft"].to_list()
    worst = 0.0
    for plane in ("front", "rear"):
        vector = lambda table: table[f"{plane} mass [g]"].to_numpy() * np.exp(
            1j * np.radians(table[f"{plane} angle [deg]"].to_numpy())
        )
        one, other = vector(ours), vector(theirs)
        worst = max(worst, np.abs(one / other - 1).max())
    return worst

def main(program, shafts, runs):
    with tempfile.TemporaryDirectory() as place:
        file = os.path.join(place, "season.csv")
        write(file, shafts)
        job = os.path.join(place, "job.toml")
        pathlib.Path(job).write_text(JOB)
        size = os.path.getsize(file) / 1e6
        commands = {
            "polars and NumPy": [sys.executable, str(here / "many_shafts.py"), "--arrays", file],
            "bare": [program, "correct", file, "--csv"],
            "with a job": [program, "correct", "--job", job, file, "--csv"],
        }
        results = {name: [] for name in commands}
        said = {}
        for _ in range(runs):
            for name, command in commands.items():
                *figures, said[name] = timed(command)
                results[name].append(figures)
        print(f"{shafts} shafts, {size:.0f} MB")
        print(f"worst relative difference {worst_difference(said['bare'], said['polars and NumPy']):.1e}")
        base = statistics.median(took for took, *_ in results["polars and NumPy"])
        for name, figures in results.items():
            took, memory, work = (statistics.median(column) for column in zip(*figures))
            print(f"{name:<18}{took:7.2f} s  {work:7.2f} s of work  {memory:6.0f} MB  ratio {base / took:.2f}")
        if worst_difference(said["bare"], said["polars and NumPy"]) > 1e-9:
            sys.exit("the answers differ")

if __name__ == "__main__":
    if sys.argv[1] == "--arrays":
        by_arrays(sys.argv[2])
    elif sys.argv[1] == "--write":
        write(sys.argv[2], int(sys.argv[3]))
    else:
        main(sys.argv[1], *(int(word) for word in (sys.argv[2:] + ["50000", "5"][len(sys.argv) - 2 :])))
