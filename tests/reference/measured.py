"""Runs a command and says what it took: for the scripts beside it."""

import json
import subprocess
import sys

# A small process of its own starts the command: the memory of a large one would count as the command's.
LAUNCHER = """
import json, os, sys, time
begin = time.perf_counter()
out, core = int(sys.argv[1]), int(sys.argv[2])
child = os.fork()
if child == 0:
    if core >= 0:
        os.sched_setaffinity(0, {core})
    if not out:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
    os.execvp(sys.argv[3], sys.argv[3:])
_, status, used = os.wait4(child, 0)
print()
print(json.dumps({
    "status": os.waitstatus_to_exitcode(status),
    "seconds": time.perf_counter() - begin,
    "cpu": used.ru_utime + used.ru_stime,
    "megabytes": used.ru_maxrss / 1024,
}))
"""


def measured(words, core=None, said=True):
    """Status, wall and CPU seconds, peak memory in MB, and what the command said, if that is wanted."""
    flags = ["1" if said else "0", str(-1 if core is None else core)]
    command = [sys.executable, "-S", "-c", LAUNCHER, *flags, *words]
    *own, taken = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True).stdout.strip().split("\n")
    return json.loads(taken) | {"said": "\n".join(own).strip()}
