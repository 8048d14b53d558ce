#!/usr/bin/env python3
"""Makes the invented surveys in this folder. Needs nothing but Python.

    python3 samples/make_surveys.py

Three invented joint sets cut the rock at random; a scanline and a cored hole pass through it
and meet what they meet, so that a set nearly along the line is hardly seen. Compass readings
get an error of a few degrees and are rounded to whole degrees.
"""
import math
import pathlib
import random

HERE = pathlib.Path(__file__).parent
# name, dip, dip direction, K, mean spacing (m), mean trace (m)
SETS = [
    ("A", 68, 42, 55, 0.55, 4.0),
    ("B", 61, 160, 45, 0.80, 2.5),
    ("C", 18, 295, 45, 0.75, 6.0),
]
BACKGROUND_SPACING_M = 4.0
LINE = {"id": "SL1", "trend": 35, "plunge": 2, "length": 60.0}
HOLE = {"id": "H1", "trend": 250, "plunge": 55, "length": 38.0}
WALL_HEIGHT_M = 3.5


def normal(dip, dip_direction):
    d, a = math.radians(dip), math.radians(dip_direction)
    return (math.sin(d) * math.sin(a), math.sin(d) * math.cos(a), math.cos(d))


def line(trend, plunge):
    t, p = math.radians(trend), math.radians(plunge)
    return (math.cos(p) * math.sin(t), math.cos(p) * math.cos(t), -math.sin(p))


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def cross(a, b):
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def unit(a):
    n = math.sqrt(dot(a, a))
    return tuple(x / n for x in a)


def scatter(rng, mean, k):
    """A direction of Fisher's distribution round mean."""
    u = rng.random()
    cos = 1 + math.log(u + (1 - u) * math.exp(-2 * k)) / k
    sin = math.sqrt(max(0.0, 1 - cos * cos))
    a = unit(cross(mean, (0, 0, 1) if abs(mean[2]) < 0.7 else (1, 0, 0)))
    b = cross(mean, a)
    turn = rng.random() * 2 * math.pi
    return tuple(
        m * cos + (x * math.cos(turn) + y * math.sin(turn)) * sin
        for m, x, y in zip(mean, a, b)
    )


def plane(n):
    if n[2] < 0:
        n = tuple(-x for x in n)
    dip = math.degrees(math.acos(min(1.0, n[2])))
    return dip, math.degrees(math.atan2(n[0], n[1])) % 360


def joints_met(rng, along, length):
    """(distance, normal, mean trace) of every joint that a line meets."""
    met = []
    for _, dip, dd, k, spacing, trace in SETS:
        at = 0.0
        while True:
            at += rng.expovariate(1 / spacing)
            if at > length:
                break
            n = scatter(rng, normal(dip, dd), k)
            # Joints along the line are met less often than joints across it.
            if rng.random() < abs(dot(n, along)):
                met.append((at, n, trace))
    at = 0.0
    while True:
        at += rng.expovariate(1 / BACKGROUND_SPACING_M)
        if at > length:
            break
        z, turn = rng.random(), rng.random() * 2 * math.pi
        level = math.sqrt(1 - z * z)
        n = (level * math.cos(turn), level * math.sin(turn), z)
        if rng.random() < abs(dot(n, along)):
            met.append((at, n, 1.5))
    return sorted(met)


def scanline():
    rng = random.Random(1180)
    rows = [
        "# Invented: made by samples/make_surveys.py, no real rock. A scanline along a wall,",
        "# compass readings to magnetic north, whole degrees.",
        "dip_deg,dip_direction_deg,trace_length_m,ends_seen,scanline,distance_m,jrc,water,note",
    ]
    for at, n, mean_trace in joints_met(rng, line(LINE["trend"], LINE["plunge"]), LINE["length"]):
        dip, dd = plane(scatter(rng, n, 900))  # the compass and the hand: about 2 degrees
        trace, ends = rng.expovariate(1 / mean_trace), 2
        limit = WALL_HEIGHT_M / max(0.25, math.sin(math.radians(dip)))
        if trace > limit:
            trace, ends = limit, rng.choice([0, 1, 1])
        jrc = rng.choice([4, 6, 8, 8, 10, 12])
        water = rng.choice(["dry", "dry", "dry", "damp", "drips"])
        note = "near a bolt plate" if rng.random() < 0.02 else ""
        rows.append(
            f"{dip:.0f},{dd:.0f},{max(trace, 0.1):.1f},{ends},SL1,{at:.2f},{jrc},{water},{note}"
        )
    (HERE / "survey_scanline.csv").write_text("\n".join(rows) + "\n")


def core():
    rng = random.Random(55)
    d = line(HOLE["trend"], HOLE["plunge"])
    # The bottom of the core, and the side clockwise of it looking down the hole.
    bottom = unit(tuple(x * d[2] - z for x, z in zip(d, (0, 0, 1))))
    side = cross(d, bottom)
    rows = [
        "# Invented: made by samples/make_surveys.py, no real rock. Oriented core: alpha to the",
        "# core's axis, beta clockwise looking down the hole from the bottom line to the low end",
        "# of the ellipse.",
        "alpha_deg,beta_deg,hole,distance_m,filling",
    ]
    for at, n, _ in joints_met(rng, d, HOLE["length"]):
        n = scatter(rng, n, 600)
        if dot(n, d) < 0:
            n = tuple(-x for x in n)
        alpha = math.degrees(math.asin(min(1.0, dot(n, d))))
        beta = math.degrees(math.atan2(-dot(n, side), -dot(n, bottom))) % 360
        filling = rng.choice(["clean", "clean", "chlorite", "calcite"])
        rows.append(f"{alpha:.0f},{beta:.0f},H1,{at:.2f},{filling}")
    (HERE / "survey_core.csv").write_text("\n".join(rows) + "\n")


def lines():
    (HERE / "survey_lines.csv").write_text(
        "# Invented: the scanline and the hole of the invented surveys beside this file.\n"
        "id,kind,trend_deg,plunge_deg,length_m,reference_line\n"
        f"SL1,scanline,{LINE['trend']},{LINE['plunge']},{LINE['length']},\n"
        f"H1,hole,{HOLE['trend']},{HOLE['plunge']},{HOLE['length']},bottom\n"
    )


if __name__ == "__main__":
    scanline()
    core()
    lines()
