#!/usr/bin/env python3
"""Times the scipy way of wedges (geometry, mode, bare FS; no bolts) on the first 200 cases.

    python3 benches/peer/wedges_scipy.py [--cases 200] [--repeats 3]

The functions are those of tests/reference/make_reference.py; reading the cases is not timed.
Prints one line, the fastest of the repeats: `scipy: wedges N seconds S wedges_per_s R`.
"""
import argparse
import json
import pathlib
import sys
import time

REFERENCE = pathlib.Path(__file__).resolve().parents[2] / "tests" / "reference"
sys.path.insert(0, str(REFERENCE))

import make_reference  # noqa: E402  (needs the path above)


def run(cases):
    """Number of wedges found; each has its volume, areas, mode and bare FS by then."""
    return sum(1 for case in cases for _ in make_reference.wedges_of(case))


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--cases", type=int, default=200)
    ap.add_argument("--repeats", type=int, default=3)
    args = ap.parse_args()
    with open(REFERENCE / "cases.jsonl") as f:
        cases = [json.loads(line) for _, line in zip(range(args.cases), f)]
    run(cases[:5])                       # first calls load libraries
    best, count = float("inf"), None
    for _ in range(args.repeats):
        began = time.perf_counter()
        n = run(cases)
        best = min(best, time.perf_counter() - began)
        if count not in (None, n):
            sys.exit(f"two repeats found {count} and {n} wedges")
        count = n
    print(f"scipy: wedges {count} seconds {best:.3f} wedges_per_s {count / best:.1f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
