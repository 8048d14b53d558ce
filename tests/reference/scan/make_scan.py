#!/usr/bin/env python3
"""A scanned tube of a known section, and what ten cuts through it give. Invented data.

    python3 make_scan.py            # tube.obj, section.csv, cuts.csv, points.csv

Shares no method with the library: the cut is taken in the mesh's own coordinates by signed distances
to the plane; its area comes from Green's theorem over loose pieces, each turned by its triangle's
normal, without joining them; the hull is Qhull's; overbreak is an integral over upright strips.
trimesh was not installed where this was made.
"""
import csv
import math
import pathlib

import numpy as np
from scipy.spatial import ConvexHull

HERE = pathlib.Path(__file__).parent
RNG = np.random.default_rng(20635)
TREND, PLUNGE = math.radians(127.3), math.radians(6.5)
ORIGIN = np.array([4310.25, 7785.5, -412.75])
NOISE_M = 0.010
RINGS, RING_M = 25, 0.8
CHAINAGES = [0.45, 2.3, 3.2, 5.01, 7.777, 9.6, 11.9, 13.13, 16.5, 18.85]
# The known section: leaning walls, a broken shoulder, a bench in the left wall (not convex).
SECTION = [
    (-2.6, 0.1), (2.4, -0.1), (2.7, 1.5), (2.9, 3.0), (2.3, 4.1), (1.0, 4.9), (-0.4, 5.0), (-1.7, 4.4),
    (-2.5, 3.3), (-2.5, 2.2), (-2.0, 1.9), (-2.0, 1.3), (-2.6, 1.0),
]
# The design it is held against: flat, 5 m wide, 4.5 m high.
DESIGN = (5.0, 4.5)
POINT_M = 0.3

ALONG = np.array([math.sin(TREND) * math.cos(PLUNGE), math.cos(TREND) * math.cos(PLUNGE), -math.sin(PLUNGE)])
RIGHT = np.array([math.cos(TREND), -math.sin(TREND), 0.0])
UP = np.cross(RIGHT, ALONG)


def ring_points():
    points = []
    for (u0, v0), (u1, v1) in zip(SECTION, SECTION[1:] + SECTION[:1]):
        pieces = max(1, round(math.hypot(u1 - u0, v1 - v0) / POINT_M))
        points += [(u0 + (u1 - u0) * k / pieces, v0 + (v1 - v0) * k / pieces) for k in range(pieces)]
    return np.array(points)


def mesh():
    ring = ring_points()
    n = len(ring)
    vertices = []
    for k in range(RINGS):
        noise = RNG.uniform(-NOISE_M, NOISE_M, size=(n, 3))
        for (u, v), (du, ds, dv) in zip(ring, noise):
            vertices.append(ORIGIN + (u + du) * RIGHT + (k * RING_M + ds) * ALONG + (v + dv) * UP)
    # As written in the file: to the tenth of a millimetre.
    vertices = np.round(np.array(vertices), 4)
    triangles = []
    for k in range(RINGS - 1):
        for i in range(n):
            j = (i + 1) % n
            a, b, c, d = k * n + i, k * n + j, (k + 1) * n + j, (k + 1) * n + i
            triangles += [(a, b, c), (a, c, d)]
    return vertices, np.array(triangles)


def write_obj(vertices, triangles):
    with open(HERE / "tube.obj", "w") as out:
        out.write("# invented: see make_scan.py\n")
        for x, y, z in vertices:
            out.write(f"v {x:.4f} {y:.4f} {z:.4f}\n")
        for triangle in triangles:
            out.write("f " + " ".join(str(i + 1) for i in triangle) + "\n")


def cut(vertices, triangles, chainage):
    """Pieces (2 points in u, v), each so that the opening lies on its left."""
    height = (vertices - ORIGIN) @ ALONG - chainage
    pieces = []
    for triangle in triangles:
        h, p = height[triangle], vertices[triangle]
        ends = []
        for i, j in ((0, 1), (1, 2), (2, 0)):
            if h[i] * h[j] < 0:
                ends.append(p[i] + (p[j] - p[i]) * (h[i] / (h[i] - h[j])))
        if len(ends) != 2:
            assert not ends, "a vertex on the plane: choose another chainage"
            continue
        flat = np.array([[(e - ORIGIN) @ RIGHT, (e - ORIGIN) @ UP] for e in ends])
        # Rings run counter-clockwise looking along the advance and triangles go on to the next ring:
        # this normal points into the opening.
        normal = np.cross(p[1] - p[0], p[2] - p[0])
        inward = np.array([normal @ RIGHT, normal @ UP])
        along = flat[1] - flat[0]
        if inward @ np.array([-along[1], along[0]]) < 0:
            flat = flat[::-1]
        pieces.append(flat)
    return np.array(pieces)


def strips(pieces, low, high, count=200_000):
    """Overbreak and underbreak against the design by upright strips."""
    us = low + (np.arange(count) + 0.5) * (high - low) / count
    # Per strip, signed heights at which the boundary is met: inside lies left of each piece.
    both = np.zeros(count)
    cut_height = np.zeros(count)
    half, top = DESIGN[0] / 2, DESIGN[1]
    for (u0, v0), (u1, v1) in pieces:
        if u0 == u1:
            continue
        inside = (us - u0) * (us - u1) < 0
        v = v0 + (v1 - v0) * (us[inside] - u0) / (u1 - u0)
        # A piece that runs to the left is a back (+), one that runs to the right a floor (-).
        sign = 1.0 if u1 < u0 else -1.0
        cut_height[inside] += sign * v
        both[inside] += sign * np.clip(v, 0.0, top)
    both[(us < -half) | (us > half)] = 0.0
    step = (high - low) / count
    area, shared = cut_height.sum() * step, both.sum() * step
    return area - shared, DESIGN[0] * DESIGN[1] - shared


def main():
    vertices, triangles = mesh()
    write_obj(vertices, triangles)
    with open(HERE / "section.csv", "w", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["u_m", "v_m"])
        writer.writerows(SECTION)
    rows, points = [], []
    for chainage in CHAINAGES:
        pieces = cut(vertices, triangles, chainage)
        (u0, v0), (u1, v1) = pieces[:, 0].T, pieces[:, 1].T
        area = 0.5 * np.sum(u0 * v1 - u1 * v0)
        flat = pieces.reshape(-1, 2)
        hull = ConvexHull(flat)
        low, high = flat.min(axis=0), flat.max(axis=0)
        over, under = strips(pieces, low[0] - 0.1, high[0] + 0.1)
        rows.append([chainage, len(pieces), area, hull.volume, high[0] - low[0], high[1] - low[1], over, under])
        starts = pieces[:, 0]
        order = np.lexsort((starts[:, 1], starts[:, 0]))
        points += [[chainage, *starts[i]] for i in order]
    with open(HERE / "cuts.csv", "w", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(
            ["chainage_m", "points", "area_m2", "hull_area_m2", "width_m", "height_m", "overbreak_m2", "underbreak_m2"]
        )
        writer.writerows([[repr(float(x)) if isinstance(x, float) else x for x in row] for row in rows])
    with open(HERE / "points.csv", "w", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["chainage_m", "u_m", "v_m"])
        writer.writerows([[repr(float(x)) for x in row] for row in points])
    for row in rows:
        print(row)


if __name__ == "__main__":
    main()
