#!/usr/bin/env python3
"""Measures the wrap strips that the program prints: measure_strips.py PROGRAM

Seven tubes from 40 to 160 mm, on A4 and Letter, in millimetres and in inches. Each PDF is measured three times:
in the dots that poppler makes of it at 300 to the inch, in the lines that pdfplumber finds in it, and in the words
that pypdf reads in it. What is measured is the tape's edge: pi times the diameter (math.pi), to 0.1 mm in every piece.
"""

import math
import pathlib
import re
import subprocess
import sys
import tempfile
import warnings

import numpy as np
import pdfplumber
import pypdf

# EN 10220, EN 10305 and ASME B36.10 sizes, from memory.
TUBES = [40.0, 50.8, 63.5, 76.2, 88.9, 114.3, 160.0]
SHEETS = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9)}
DEPOT = pathlib.Path(__file__).parents[2] / "data" / "depot"
DOTS = 300
TOLERANCE = 0.1


JOB = """
format = 1
[job]
number = "WP-0900"
[shaft]
mass = "14.2 kg"
service_speed = "2600 rpm"
grade = "G16"
[tube]
outer_diameter = "{diameter} mm"
wall = "2.4 mm"
length = "600 mm"
[[correction_plane]]
name = "front"
position = "60 mm"
[[correction_plane]]
name = "rear"
position = "540 mm"
[[sensor]]
name = "front"
position = "0 mm"
[[sensor]]
name = "rear"
position = "600 mm"
[show]
units = "{units}"
"""


def job(folder, diameter, units):
    """A short tube of this diameter with the demo's shop and its runs before the check run."""
    (folder / "job").mkdir(parents=True)
    (folder / "shop.toml").write_text((DEPOT / "shop.toml").read_text())
    (folder / "job" / "job.toml").write_text(JOB.format(diameter=diameter, units=units))
    runs = (DEPOT / "WP-0417" / "runs.csv").read_text().splitlines(keepends=True)
    (folder / "job" / "runs.csv").write_text("".join(line for line in runs if not line.startswith("4,check")))
    return folder / "job"


def runs_of_ink(row):
    """The longest unbroken dark stretch of a row of dots, in dots; the greys at its ends count for a part."""
    best = 0.0
    dark = np.flatnonzero(row < 128)
    if len(dark) == 0:
        return best
    for part in np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1):
        if len(part) <= best:
            continue
        ink = 255.0 - row[part[0] : part[-1] + 1].astype(float)
        full = ink[len(ink) // 2]
        ends = [row[at] for at in (part[0] - 1, part[-1] + 1) if 0 <= at < len(row)]
        best = (len(part) - 2) + (ink[0] + ink[-1] + sum(255.0 - end for end in ends)) / full
    return best


def edges_in_dots(path):
    """The long edges in a rendering, each as (length, thickness) in mm."""
    done = subprocess.run(["pdftoppm", "-r", str(DOTS), "-gray", str(path)], capture_output=True, check=True)
    assert not done.stderr, done.stderr
    found, rest = [], done.stdout
    while rest:
        head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", rest)
        width, height = int(head[1]), int(head[2])
        page = np.frombuffer(rest[head.end() :], np.uint8, width * height).reshape(height, width)
        rest = rest[head.end() + width * height :]
        lengths = np.array([runs_of_ink(row) for row in page])
        rows = np.flatnonzero(lengths > lengths.max() - 1.0)
        for edge in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1):
            found.append((lengths[edge].max() * 25.4 / DOTS, len(edge) * 25.4 / DOTS))
    return found


def edges_in_lines(path, sheet):
    """The long edges among the lines of the file, as (length, thickness) in mm; the page is checked on the way."""
    found = []
    with pdfplumber.open(path) as file:
        for page in file.pages:
            size = (float(page.width) * 25.4 / 72, float(page.height) * 25.4 / 72)
            assert max(abs(got - wanted) for got, wanted in zip(size, sheet)) < 0.01, size
            level = [line for line in page.lines if line["height"] == 0]
            longest = max(line["width"] for line in level)
            edges = [line for line in level if line["width"] > longest - 0.01]
            found += [(float(line["width"]) * 25.4 / 72, line["linewidth"] * 25.4 / 72) for line in edges]
    return found


def words(path):
    reader = pypdf.PdfReader(path, strict=True)
    preferences = reader.trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None", preferences
    return "\n".join(page.extract_text() for page in reader.pages)


def main():
    program = pathlib.Path(sys.argv[1]).resolve()
    worst, measured = 0.0, 0
    warnings.simplefilter("error")
    for diameter in TUBES:
        for units in ("metric", "us"):
            with tempfile.TemporaryDirectory() as place:
                folder = job(pathlib.Path(place) / "shop", diameter, units)
                for paper, sheet in SHEETS.items():
                    command = [program, "plot", folder, "--only", "strip", "--format", "pdf", "--paper", paper]
                    done = subprocess.run(command, capture_output=True, text=True, check=False)
                    assert done.returncode == 0, f"{diameter} mm: {done.stderr}"
                    path = folder / f"wrap-strip-{paper.lower()}.pdf"
                    wanted = math.pi * diameter
                    case = f"{diameter} mm, {paper}, {units}"
                    for edges in (edges_in_dots(path), edges_in_lines(path, sheet)):
                        # Two planes, two edges a piece; a long strip is cut into equal pieces.
                        pieces = len(edges) // 4
                        assert len(edges) == 4 * pieces > 0, f"{case}: {len(edges)} edges"
                        assert (pieces > 1) == (wanted > sheet[0] - 12), f"{case}: {pieces} pieces"
                        for length, thickness in edges:
                            error = abs(length - wanted / pieces)
                            assert thickness >= 0.2, f"{case}: an edge is {thickness} mm thick"
                            assert error < TOLERANCE, f"{case}: wanted {wanted / pieces}, measured {length}"
                            worst = max(worst, error)
                        measured += 1
                    text = words(path)
                    bar = "this bar is 4 in long" if units == "us" else "this bar is 100 mm long"
                    for wish in ("once round must read", "FRONT", "REAR", "Print at 100 %", bar):
                        assert wish in text, f"{case}: `{wish}` is not in its text:\n{text}"
    assert measured == 4 * len(TUBES) * len(SHEETS), measured
    print(f"{measured} measurements, the worst {worst:.3f} mm from pi times the diameter")


main()
