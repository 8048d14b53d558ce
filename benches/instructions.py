#!/usr/bin/env python3
"""Counts the instructions of whole checks, one thread, beside those of the committed table.

    python3 benches/instructions.py PROGRAM [--samples NAME ...] [--write COMMIT]

PROGRAM is the one that the tests build, target/debug/backhold (optimised, debug assertions on), so that CI needs
no second build; counts of a release build are lower throughout. Instructions are counted by valgrind's callgrind:
the count repeats to some parts in a thousand on a noisy machine, where times do not. Nothing here fails when a
count has grown: read it. --write puts the counts into benches/instructions.csv with the commit that they are of.
"""

import argparse
import csv
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
TABLE = HERE / "instructions.csv"
SAMPLES = HERE.parent / "samples"


def count(program: str, sample: str) -> int:
    with tempfile.TemporaryDirectory() as folder:
        command = [
            "valgrind", "--tool=callgrind", f"--callgrind-out-file={folder}/out",
            program, "check", str(SAMPLES / f"{sample}.toml"), "--out", f"{folder}/check",
        ]
        run = subprocess.run(
            command, capture_output=True, text=True, env={**os.environ, "RAYON_NUM_THREADS": "1"}, check=False
        )
        found = re.search(r"Collected : (\d+)", run.stderr)
        if not found:
            sys.exit(f"{sample}: no count\n{run.stderr[-2000:]}")
        return int(found.group(1))


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--samples", nargs="+")
    parser.add_argument("--write", metavar="COMMIT")
    asked = parser.parse_args()
    if not shutil.which("valgrind"):
        print("valgrind is not installed: instructions not counted")
        return
    with TABLE.open(newline="") as file:
        rows = {row["sample"]: row for row in csv.DictReader(file)}
    for sample in asked.samples or list(rows):
        now = count(asked.program, sample)
        before = rows.get(sample, {})
        known = int(before["instructions"]) if before.get("instructions") else None
        change = f"{100 * (now / known - 1):+.1f} % against {before['commit']}" if known else "new"
        print(f"{sample}: {now / 1e9:.3f} thousand million instructions, {change}", flush=True)
        if asked.write:
            rows[sample] = {"sample": sample, "instructions": str(now), "commit": asked.write}
    if asked.write:
        with TABLE.open("w", newline="") as file:
            writer = csv.DictWriter(file, ["sample", "instructions", "commit"], lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows.values())


if __name__ == "__main__":
    main()
