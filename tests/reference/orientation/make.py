#!/usr/bin/env python3
"""Reference values for orientation statistics, by the mplstereonet Python library.

    pip install mplstereonet==0.6.3
    python3 tests/reference/orientation/make.py

Writes planes.csv (invented planes, drawn here with a fixed seed), statistics.csv (mean vector,
Fisher's statistics and eigenvectors of each group) and density.csv (exponential Kamb densities
of all planes together, plain and weighted) beside itself. The tests compare with these files
and do not need Python.
"""
import csv
import pathlib

import mplstereonet
import numpy as np
from mplstereonet import stereonet_math

HERE = pathlib.Path(__file__).parent
GRID = 24


def draw(rng, strike, dip, k, n):
    """Planes round a mean by Fisher's distribution, one decimal, poles all below level."""
    planes = []
    lon, lat = stereonet_math.pole(strike, dip)
    mean = np.array(stereonet_math.sph2cart(lon, lat)).ravel()
    helper = np.array([0.0, 0.0, 1.0]) if abs(mean[2]) < 0.7 else np.array([1.0, 0.0, 0.0])
    a = np.cross(mean, helper)
    a /= np.linalg.norm(a)
    b = np.cross(mean, a)
    while len(planes) < n:
        u, turn = rng.random(), rng.random() * 2 * np.pi
        cos = 1 + np.log(u + (1 - u) * np.exp(-2 * k)) / k
        sin = np.sqrt(1 - cos * cos)
        vector = mean * cos + (a * np.cos(turn) + b * np.sin(turn)) * sin
        if vector[0] <= 0:  # x is down in that library
            continue
        lon, lat = stereonet_math.cart2sph(*vector)
        s, d = stereonet_math.geographic2pole(lon, lat)
        planes.append((round(float(s[0]) % 360, 1), round(float(d[0]), 1)))
    return planes


def main():
    rng = np.random.default_rng(7)
    groups = {
        "moderate": draw(rng, 312, 48, 40, 37),
        "steep": draw(rng, 75, 62, 90, 24),
        "flat": draw(rng, 200, 14, 25, 51),
    }
    rows = [(g, s, d, 1 + i % 4) for g, planes in groups.items() for i, (s, d) in enumerate(planes)]
    with open(HERE / "planes.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["group", "strike_deg", "dip_deg", "weight"])
        out.writerows(rows)

    with open(HERE / "statistics.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(
            ["group", "n", "mean_plunge_deg", "mean_trend_deg", "r", "cone_95_deg", "k"]
            + [f"{name}{i}" for i in (1, 2, 3) for name in ("plunge_deg_", "trend_deg_", "value_")]
        )
        for group, planes in groups.items():
            strikes, dips = np.array(planes).T
            (plunge, trend), (r, cone, k) = mplstereonet.find_fisher_stats(
                strikes, dips, measurement="poles"
            )
            row = [group, len(planes), plunge, trend, r, cone, k]
            for p, t, v in zip(*mplstereonet.eigenvectors(strikes, dips)):
                # The library divides by 2n - 1 (a sample covariance with antipodes).
                row += [p, t, v * (2 * len(planes) - 1) / (2 * len(planes))]
            out.writerow([x if isinstance(x, str) else repr(float(x)) for x in row])

    strikes = np.array([r[1] for r in rows])
    dips = np.array([r[2] for r in rows])
    weights = np.array([r[3] for r in rows], dtype=float)
    with open(HERE / "density.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["trend_deg", "plunge_deg", "sigma_2", "sigma_3", "sigma_3_weighted"])
        columns = [
            mplstereonet.density_grid(strikes, dips, sigma=sigma, gridsize=GRID, weights=w)
            for sigma, w in ((2, None), (3, None), (3, weights))
        ]
        lon, lat = columns[0][0].ravel(), columns[0][1].ravel()
        plunge, trend = stereonet_math.geographic2plunge_bearing(lon, lat)
        for row in zip(trend, plunge, *(c[2].ravel() for c in columns)):
            out.writerow([repr(float(x)) for x in row])


if __name__ == "__main__":
    main()
