"""What a careful technician's own script would do: reads job.toml and runs.csv, prints the ideal masses.

The same answer as `balance correct --json` gives for planes without prior, drift or repeats: one complex regression for
each sensor, rows weighted by the stated noise, then least squares. Used to compare answers and speed.

    python3 correct_numpy.py JOB_FOLDER
"""
import csv
import json
import os
import sys
import tomllib

import numpy as np


def length(text):
    number, unit = text.split()
    return float(number) * {"mm": 1.0, "in": 25.4, "m": 1000.0}[unit]


def vector(size, degrees):
    return float(size) * np.exp(1j * np.radians(float(degrees)))


def load(folder):
    with open(os.path.join(folder, "job.toml"), "rb") as file:
        job = tomllib.load(file)
    shop_file = os.path.join(os.path.dirname(os.path.abspath(folder)), "shop.toml")
    shop = {}
    if os.path.exists(shop_file):
        with open(shop_file, "rb") as file:
            shop = tomllib.load(file)
    with open(os.path.join(folder, "runs.csv"), newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return job, {**shop, **job}, rows


def main(folder):
    job, merged, rows = load(folder)
    rows = [row for row in rows if row["kind"] in ("initial", "trial")]
    planes = [plane["name"] for plane in job["correction_plane"]]
    sensors = [sensor["name"] for sensor in job["sensor"]]
    tube = length(job["tube"]["outer_diameter"]) / 2
    thick = np.mean([length(weight["thickness"]) for weight in merged["weight"]])
    radius = tube + thick / 2
    place = length(merged["stand"]["place_error"]) / radius
    scale = float(merged["stand"]["scale_error"].split()[0]) * radius
    fraction = float(merged["stand"]["reading_noise"].split()[0]) / 100
    floor = merged["stand"]["reading_floor"]

    loads = np.zeros((len(rows), len(planes)), complex)
    spread = np.zeros((len(rows), len(planes)))
    for at, row in enumerate(rows):
        for plane, name in enumerate(planes):
            if row[f"{name} mass [g]"]:
                loads[at, plane] = vector(row[f"{name} mass [g]"], row[f"{name} angle [deg]"]) * radius
                spread[at, plane] = (abs(loads[at, plane]) * place) ** 2 + scale**2
    design = np.hstack([np.ones((len(rows), 1)), loads])
    answers = np.zeros((len(sensors), len(planes)), complex)
    now = np.zeros(len(sensors), complex)
    for at, name in enumerate(sensors):
        read = np.array([vector(row[f"{name} amplitude [mm/s]"], row[f"{name} phase [deg]"]) for row in rows])
        noise = (fraction * abs(read)) ** 2 + floor**2
        weights = 1 / np.sqrt(noise)
        for _ in range(2):
            fitted = np.linalg.lstsq(design * weights[:, None], read * weights, rcond=None)[0]
            weights = 1 / np.sqrt(noise + spread @ abs(fitted[1:]) ** 2)
        now[at], answers[at] = fitted[0], fitted[1:]
    add = -np.linalg.lstsq(answers, now, rcond=None)[0]
    print(json.dumps({
        "planes": [
            {"name": name, "mass_g": abs(value) / radius, "angle_deg": float(np.degrees(np.angle(value)) % 360)}
            for name, value in zip(planes, add)
        ],
        "condition": float(np.linalg.cond(answers)),
    }))


if __name__ == "__main__":
    main(sys.argv[1])
