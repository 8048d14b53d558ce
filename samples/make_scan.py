#!/usr/bin/env python3
"""Makes the invented scan in this folder. Needs nothing but Python.

    python3 samples/make_scan.py

A heading of 14 m, trend 35, climbing at 3 degrees, designed arched (5 m wide, walls 3.2 m, rise
1.6 m), with an invented overbreak over the right shoulder round chainage 8 m, a shallower one in
the left wall, and 2 cm of noise. Binary STL, coordinates east, north, up; the middle of the floor at
chainage 0 is at east 1200, north 3400, up -520.
"""
import math
import pathlib
import random
import struct

HERE = pathlib.Path(__file__).parent
TREND, PLUNGE = math.radians(35.0), math.radians(-3.0)
ORIGIN = (1200.0, 3400.0, -520.0)
WIDTH, WALL, RISE = 5.0, 3.2, 1.6
LENGTH_M, RING_M, POINT_M, NOISE_M = 14.0, 0.7, 0.45, 0.02

ALONG = (math.sin(TREND) * math.cos(PLUNGE), math.cos(TREND) * math.cos(PLUNGE), -math.sin(PLUNGE))
RIGHT = (math.cos(TREND), -math.sin(TREND), 0.0)
UP = tuple(
    RIGHT[(i + 1) % 3] * ALONG[(i + 2) % 3] - RIGHT[(i + 2) % 3] * ALONG[(i + 1) % 3] for i in range(3)
)


def design():
    """The designed section, about a point every POINT_M, counter-clockwise from the left of the floor."""
    half = WIDTH / 2
    radius = (half * half + RISE * RISE) / (2 * RISE)
    centre = WALL + RISE - radius
    turn = math.atan2(half, radius - RISE)
    corners = [(-half, 0.0), (half, 0.0), (half, WALL)]
    chords = 16
    corners += [
        (radius * math.sin(turn * (1 - 2 * i / chords)), centre + radius * math.cos(turn * (1 - 2 * i / chords)))
        for i in range(1, chords)
    ]
    corners.append((-half, WALL))
    points = []
    for (u0, v0), (u1, v1) in zip(corners, corners[1:] + corners[:1]):
        pieces = max(1, round(math.dist((u0, v0), (u1, v1)) / POINT_M))
        points += [(u0 + (u1 - u0) * k / pieces, v0 + (v1 - v0) * k / pieces) for k in range(pieces)]
    return points


def broken(u, v, s):
    """How far the rock broke beyond the design at a place."""
    shoulder = 0.55 * math.exp(-(((u - 2.1) / 0.7) ** 2) - ((v - 3.9) / 0.7) ** 2 - ((s - 8.0) / 2.5) ** 2)
    wall = 0.30 * math.exp(-(((u + 2.5) / 0.5) ** 2) - ((v - 1.6) / 0.9) ** 2 - ((s - 6.0) / 4.0) ** 2)
    return 0.06 + shoulder + wall if v > 0.0 else 0.0


def world(u, s, v):
    return tuple(o + u * r + s * a + v * t for o, r, a, t in zip(ORIGIN, RIGHT, ALONG, UP))


def main():
    rng = random.Random(635)
    section = design()
    rings = []
    for k in range(round(LENGTH_M / RING_M) + 1):
        s = k * RING_M
        ring = []
        for u, v in section:
            du, dv = u, v - 2.2
            off = broken(u, v, s) / math.hypot(du, dv)
            noise = [rng.uniform(-NOISE_M, NOISE_M) for _ in range(3)]
            ring.append(world(u + du * off + noise[0], s + noise[1], v + dv * off + noise[2]))
        rings.append(ring)
    triangles = []
    n = len(section)
    for near, far in zip(rings, rings[1:]):
        for i in range(n):
            j = (i + 1) % n
            triangles += [(near[i], near[j], far[j]), (near[i], far[j], far[i])]
    out = bytearray(b"invented heading, made by make_scan.py".ljust(80, b" "))
    out += struct.pack("<I", len(triangles))
    for corners in triangles:
        out += struct.pack("<12fH", 0.0, 0.0, 0.0, *[c for corner in corners for c in corner], 0)
    (HERE / "scan_heading.stl").write_bytes(out)
    print(f"scan_heading.stl: {len(triangles)} triangles, {len(out)} bytes")


if __name__ == "__main__":
    main()
