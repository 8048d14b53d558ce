#!/usr/bin/env python3
"""Contouring side by side: the same kernel, sigma and grid here and in mplstereonet.

    pip install mplstereonet==0.6.3
    cargo bench --bench map -- density
    python3 benches/contours.py

The first command leaves its measurements under the target directory (CARGO_TARGET_DIR or
target); this script times the library's density_grid on as many readings and prints both.
"""
import json
import os
import pathlib
import statistics
import time

import mplstereonet
import numpy as np

TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", "target"))


def main():
    rng = np.random.default_rng(1)
    for n in (200, 2000):
        # The time does not depend on where the readings are.
        strikes, dips = rng.uniform(0, 360, n), np.degrees(np.arccos(rng.uniform(0, 1, n)))
        times = []
        for _ in range(7):
            start = time.perf_counter()
            mplstereonet.density_grid(strikes, dips, sigma=3, gridsize=100)
            times.append(time.perf_counter() - start)
        theirs = statistics.median(times)
        estimates = TARGET / "criterion" / f"density_{n}_on_100x100" / "new" / "estimates.json"
        ours = json.loads(estimates.read_text())["median"]["point_estimate"] / 1e9
        print(
            f"{n} readings, grid 100 x 100, sigma 3: mplstereonet {theirs * 1e3:.1f} ms, "
            f"here {ours * 1e3:.2f} ms, ratio {theirs / ours:.1f}"
        )


if __name__ == "__main__":
    main()
