"""Tables of `balance archive export` read by polars and DuckDB, against the archive's own answers.

Run from the workspace: python3 tests/reference/check_export.py [program [archive_writer [records]]], the programs being built
already. Needs polars, duckdb and zstandard from PyPI. Makes an archive of the tests' invented records and the demo's jobs,
exports every table as NDJSON and as CSV, reads each with both engines, and exits 1 if

* the four readings of a table are not the same, row by row and cell by cell,
* the records differ from `archive list --json`,
* the runs' readings and speeds differ from the records' runs files, read by Python's own csv module,
* how shafts of a type respond, month by month, differs from `archive types --json` by more than 1e-12,
* a packed file, unpacked with the dictionary that lies in the archive, has another digest than its record states.
"""

import collections
import csv
import datetime
import hashlib
import io
import json
import pathlib
import sqlite3
import subprocess
import sys
import tempfile

import duckdb
import polars as pl
import zstandard

ALLOWED = 1e-12
TABLES = ["records", "runs", "responses"]
ROOT = pathlib.Path(__file__).resolve().parents[2]


def balance(program, *words):
    done = subprocess.run([program, *map(str, words)], capture_output=True, check=False)
    if done.returncode != 0:
        sys.exit(f"{words}: exit {done.returncode}: {done.stderr.decode()}")
    return done.stdout


def make_archive(program, writer, folder, records):
    archive = folder / "a.sqlite"
    subprocess.run([writer, "add", archive, "0", str(records)], check=True, capture_output=True)
    demo = folder / "demo"
    balance(program, "demo", demo)
    job = demo / "WP-0417" / "job.toml"
    text = job.read_text()
    # What a spreadsheet would run, and what CSV has to quote.
    awkward = text.replace("[job]\n", '[job]\ntag = "=2+3"\ntype = "auger, \\"long\\" é"\n', 1)
    job.write_text(awkward)
    for number in ["WP-0417", "WP-0502", "WP-0533"]:
        balance(program, "archive", "add", demo / number, "--archive", archive)
    return archive


def plain(value):
    """A cell as every engine can have it."""
    if value is None or value == "":
        return None
    if isinstance(value, datetime.datetime):
        return value.strftime("%Y-%m-%dT%H:%M:%SZ")
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, float)):
        return float(value)
    try:
        return float(value)
    except ValueError:
        # A cell that begins like a formula has an apostrophe before it in CSV.
        return value[1:] if value[0] == "'" and value[1:2] in ("=", "+", "-", "@") else value


def rows(columns, cells):
    return [dict(zip(columns, map(plain, row))) for row in cells]


def read(path):
    """The table as both engines read it without being told anything but to look at all rows."""
    reader = pl.read_csv if path.suffix == ".csv" else pl.read_ndjson
    by_polars = reader(path, infer_schema_length=None)
    function = "read_csv" if path.suffix == ".csv" else "read_json"
    by_duckdb = duckdb.sql(f"SELECT * FROM {function}('{path}', sample_size = -1)")
    return rows(by_polars.columns, by_polars.rows()), rows(by_duckdb.columns, by_duckdb.fetchall())


def same(name, one, other):
    if len(one) != len(other):
        sys.exit(f"{name}: {len(one)} rows and {len(other)}")
    for at, (left, right) in enumerate(zip(one, other)):
        for column in left.keys() & right.keys():
            if left[column] != right[column]:
                sys.exit(f"{name}, row {at + 1}, {column}: {left[column]!r} and {right[column]!r}")


def check_records(program, archive, table):
    listed = balance(program, "archive", "list", "--most", 10**9, "--json", "--archive", archive)
    own = [{name: plain(value) for name, value in json.loads(line).items()} for line in listed.splitlines()]
    same("records and the archive's list", table, own[::-1])


def check_runs(program, archive, table):
    of_record = collections.defaultdict(list)
    for row in table:
        of_record[row["record"]].append(row)
    compared = 0
    for line in balance(program, "archive", "export", "--archive", archive).splitlines():
        record = json.loads(line)
        text = next(file["text"] for file in record["inputs"] if file["name"] == "runs.csv")
        lines = [line for line in text.splitlines() if not line.startswith("#")]
        typed = list(csv.DictReader(io.StringIO("\n".join(lines))))
        got = of_record[record["record"]]
        if len(got) != len(typed):
            sys.exit(f"record {record['record']}: {len(got)} runs, its runs file has {len(typed)}")
        for row, own in zip(got, typed):
            wanted = {"run": own["run"], "kind": own["kind"], "speed_rpm": own["speed [rpm]"]}
            named = [name[: -len(" amplitude [mm/s]")] for name in own if name.endswith(" amplitude [mm/s]")]
            for at, sensor in enumerate(named, 1):
                wanted[f"sensor_{at}"] = sensor
                wanted[f"sensor_{at}_amplitude"] = own[f"{sensor} amplitude [mm/s]"]
                wanted[f"sensor_{at}_phase_deg"] = own[f"{sensor} phase [deg]"]
            for column, value in wanted.items():
                compared += 1
                if row[column] != plain(value):
                    sys.exit(f"record {record['record']}, {column}: {row[column]!r}, typed {value!r}")
    return compared


RECIPE = """
    SELECT shaft_type, type_speed_rpm, sensor, plane, month, count(*), avg(response_re), avg(response_im)
    FROM read_{kind}('{path}', sample_size = -1) WHERE in_type GROUP BY ALL
"""


def by_polars(path):
    reader = pl.read_csv if path.suffix == ".csv" else pl.read_ndjson
    keys = ["shaft_type", "type_speed_rpm", "sensor", "plane", "month"]
    return (
        reader(path, infer_schema_length=None)
        .filter(pl.col("in_type"))
        .group_by(keys)
        .agg(pl.len(), pl.col("response_re").mean(), pl.col("response_im").mean())
        .select(*keys, "len", "response_re", "response_im")
        .rows()
    )


def check_months(program, archive, paths):
    own = {}
    for line in balance(program, "archive", "types", "--json", "--archive", archive).splitlines():
        report = json.loads(line)
        for sensor in report["sensors"]:
            for month in sensor["by_month"]:
                for plane, mean in zip(report["planes"], month["mean_re_im"]):
                    key = (report["type"], sensor["speed_rpm"], sensor["sensor"], plane, month["month"])
                    own[key] = (month["shafts"], *mean)
    worst = 0.0
    for path in paths:
        kind = "csv" if path.suffix == ".csv" else "json"
        for answer in [duckdb.sql(RECIPE.format(kind=kind, path=path)).fetchall(), by_polars(path)]:
            got = {(*row[:4], str(row[4])[:7]): row[5:] for row in answer}
            if got.keys() != own.keys():
                sys.exit(f"{path.name}: other types, places or months: {sorted(got.keys() ^ own.keys(), key=str)[:4]}")
            for key, (shafts, re, im) in own.items():
                if got[key][0] != shafts:
                    sys.exit(f"{key}: {got[key][0]} shafts, the archive counts {shafts}")
                off = abs(complex(*got[key][1:]) - complex(re, im)) / abs(complex(re, im))
                worst = max(worst, off)
    if not worst <= ALLOWED:
        sys.exit(f"means of a month differ by {worst:.1e}")
    if max(shafts for shafts, *_ in own.values()) < 2:
        sys.exit("no month has two shafts of one type: nothing was averaged")
    return len(own), worst


def check_packed(archive):
    database = sqlite3.connect(archive)
    [(dictionary,)] = database.execute("SELECT bytes FROM dictionary").fetchall()
    reader = zstandard.ZstdDecompressor(dict_data=zstandard.ZstdCompressionDict(dictionary))
    packed = 0
    for digest, size, stored in database.execute("SELECT digest, size, bytes FROM content"):
        own = stored if size is None else reader.decompress(stored, max_output_size=size)
        packed += size is not None
        if hashlib.sha256(own).digest() != digest:
            sys.exit(f"{digest.hex()}: unpacks to something else")
    if packed == 0:
        sys.exit("no file is packed")
    return packed


def main():
    given = sys.argv[1:]
    built = ROOT / "target" / "debug"
    program = given[0] if given else built / "balance"
    writer = given[1] if len(given) > 1 else built / "archive_writer"
    records = int(given[2]) if len(given) > 2 else 480
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        archive = make_archive(program, writer, folder, records)
        tables, paths = {}, {}
        for table in TABLES:
            readings = []
            for form, words in [("ndjson", []), ("csv", ["--csv"])]:
                path = folder / f"{table}.{form}"
                path.write_bytes(balance(program, "archive", "export", "--table", table, *words, "--archive", archive))
                readings += read(path)
                paths[table, form] = path
            for other in readings[1:]:
                same(table, readings[0], other)
            tables[table] = readings[0]
        check_records(program, archive, tables["records"])
        cells = check_runs(program, archive, tables["runs"])
        months, worst = check_months(program, archive, [paths["responses", form] for form in ("ndjson", "csv")])
        packed = check_packed(archive)
    counted = ", ".join(f"{len(tables[table])} {table}" for table in TABLES)
    print(
        f"polars {pl.__version__} and DuckDB {duckdb.__version__} read the same from NDJSON and CSV: {counted}; "
        f"{cells} cells as in the runs files; {months} monthly means as in `archive types`, worst difference {worst:.1e}; "
        f"{packed} packed files unpacked by zstandard {zstandard.__version__} with the archive's own dictionary"
    )


if __name__ == "__main__":
    main()
