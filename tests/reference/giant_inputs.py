#!/usr/bin/env python3
"""Time and memory of inputs far larger than any real shaft, by size: budgets, not tests.

    giant_inputs.py [BALANCE]

Writes each input at several sizes into a temporary folder and runs the program on it. Every row says the input, the
verb, the exit status, the CPU seconds (other work on the machine does not count), the peak memory, and the budget for
both. The exit status of this script is 1 if a row is over its budget. Some inputs are refused (status 2): then the
message is what takes the time. Invented figures; the budgets are our own.

Build first:  cargo build --release -p balance-cli --bin balance
"""
import cmath
import math
import sys
import tempfile

from measured import measured

JOB = """format = 1
[job]
number = "WP-0417"
[shaft]
mass = "14.2 kg"
service_speed = "2600 rpm"
grade = "G16"
[convention]
phase = "lag"
mass_angle = "against rotation"
[stand]
reading_noise = "2 %"
"""
HEADER = (
    "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],"
    "front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]\n"
)
ROWS = "1,initial,1800,,,,,5.29,230,3.24,69\n2,trial,1800,20,90,,,8.68,211,3.56,49\n3,trial,1800,,,20,90,5.34,241,4.38,124\n"


def repeated_checks(count):
    return JOB, HEADER + ROWS + "".join(f"{4 + row},check,1800,,,,,5.29,230,3.24,69\n" for row in range(count))


def planes_and_sensors(planes, sensors):
    """A linear shaft: an initial run, a trial at each place, a check run."""
    job = JOB.replace('phase = "lag"', 'phase = "same way as masses"')
    header, rows = "run,kind,speed [rpm]", ""
    for plane in range(planes):
        job += f'[[correction_plane]]\nname = "p{plane}"\nposition = "{80 * plane + 80} mm"\nradius = "45 mm"\n'
        header += f",p{plane} mass [g],p{plane} angle [deg]"
    for sensor in range(sensors):
        job += f'[[sensor]]\nname = "s{sensor}"\nposition = "{40 * sensor + 40} mm"\n'
        header += f",s{sensor} amplitude [mm/s],s{sensor} phase [deg]"
    for row in range(planes + 2):
        kind = "initial" if row == 0 else "trial" if row <= planes else "check"
        rows += f"{row + 1},{kind},1800" + "".join(",20,90" if row == plane + 1 else ",," for plane in range(planes))
        for sensor in range(sensors):
            read = cmath.rect(3 + sensor % 5, 40 + 71 * sensor)
            if kind == "trial":
                apart = abs(2 * (row - 1) - sensor)
                read += cmath.rect(1.6 / (1 + apart), 37 * sensor + 53 * row + 11 * sensor * row)
            rows += f",{abs(read):.4f},{math.degrees(cmath.phase(read)) % 360:.3f}"
        rows += "\n"
    return job, header + "\n" + rows


def shafts(count):
    """A season's log: so many shafts in one file."""
    each = ROWS.split("\n")[:3]
    rows = "".join("".join(f"s{shaft},{row}\n" for row in each) for shaft in range(count))
    return JOB, "shaft," + HEADER + rows


def photos(count, megabytes):
    job = JOB + "".join(f'[[photo]]\nfile = "photo{at}.png"\ncaption = "photo {at}"\n' for at in range(count))
    return job, HEADER + ROWS, {f"photo{at}.png": megabytes << 20 for at in range(count)}


# Input, verb, files, and the budget: CPU seconds and MB.
CASES = [
    *[(f"{n} equal check rows of one shaft", verb, repeated_checks(n), (2, 64)) for n in (10, 50, 1000, 100_000)
      for verb in ("correct", "report")],
    *[(f"{p} planes, {s} sensors", "correct", planes_and_sensors(p, s), (10, 64))
      for p, s in ((4, 8), (8, 16), (16, 32), (60, 60))],
    *[(f"{n} rows that are none", "correct", (JOB, HEADER + "x,y,z\n" * n), (4, 64))
      for n in (10_000, 100_000, 1_000_000)],
    *[(f"{n} unknown keys", "correct", (JOB + "".join(f"k{k} = 1\n" for k in range(n)), HEADER + ROWS), (4, 64))
      for n in (1000, 10_000, 60_000)],
    *[(f"{n} lines that are no TOML", "correct", (JOB + "x\n" * n, HEADER + ROWS), (4, 64)) for n in (1000, 200_000)],
    *[(f"{n} weights in the box", "correct", (JOB + '[[weight]]\nmass = "5 g"\n' * n, HEADER + ROWS), (4, 64))
      for n in (150, 20_000, 100_000)],
    *[(f"{n} shafts in one file", "correct", shafts(n), (budget, 64)) for n, budget in ((1000, 2), (50_000, 20))],
    *[(f"{n} photographs of {size} MB", "report", photos(n, size), (4, 128)) for n, size in ((1, 1000), (180, 8), (300, 8))],
]


def main():
    balance = sys.argv[1] if len(sys.argv) > 1 else "target/release/balance"
    missed = 0
    print(f"{'input':40} {'verb':8} {'status':>6} {'CPU s':>8} {'of':>4} {'MB':>6} {'of':>4}")
    for name, verb, files, (seconds, megabytes) in CASES:
        with tempfile.TemporaryDirectory() as folder:
            job, runs, *more = files
            with open(f"{folder}/job.toml", "w") as out:
                out.write(job)
            with open(f"{folder}/runs.csv", "w") as out:
                out.write(runs)
            for file, size in (more[0] if more else {}).items():
                # A picture's first bytes and a hole.
                with open(f"{folder}/{file}", "wb") as out:
                    out.write(b"\x89PNG\r\n\x1a\n")
                    out.truncate(size)
            at = f"{folder}/runs.csv" if name.endswith("in one file") else folder
            words = [balance, verb, at] + (["--job", f"{folder}/job.toml"] if at != folder else [])
            taken = measured(words, said=False)
        status, used, peak = taken["status"], taken["cpu"], taken["megabytes"]
        over = status not in (0, 1, 2) or used > seconds or peak > megabytes
        missed += over
        print(f"{name:40} {verb:8} {status:6} {used:8.2f} {seconds:4} {peak:6.0f} {megabytes:4}{'  over' if over else ''}")
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()
