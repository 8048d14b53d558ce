#!/usr/bin/env python3
"""Reference load factors of wedges under force and moment (scipy's HiGHS).

    pip install numpy==2.4.6 scipy==1.17.1
    python3 make_rotation.py       # writes wedges.jsonl beside it

Each line of wedges.jsonl is one invented problem: a force F and the point it acts at, bolts (collar,
direction of the force on the wedge, capacity) and contacts (corner of a joint face, joint). Vectors
are in one right-handed frame, metres and kN; directions are rounded to nine digits, so they are
unit vectors to 1e-9 only. `load_factor` is the greatest x >= 0 with

    x F + sum b_k d_k + sum c_j m_j = 0,   moments likewise,   0 <= b_k <= B_k,   c_j >= 0

or "inf". The program is solved twice, as stated and as its dual (the mechanism with the least
work of the bolts), with moments about different points; a problem on which the two differ by
more than 1e-9 of their value is an error, not a row that is left out.
"""
import json
import math
import os

import numpy as np
from scipy.optimize import linprog

HERE = os.path.dirname(os.path.abspath(__file__))
SEED = 5_271_828
COUNT = 500
OPTIONS = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}
AGREE = 1e-9


def unit(v):
    return v / np.linalg.norm(v)


def wedge(rng, kind):
    """Inward normals, apex, the three places where the edges daylight, normal of the opening."""
    while True:
        if kind == "symmetric":
            # Three planes of one dip, 120 degrees apart, under a level back.
            dip = math.radians(rng.integers(30, 85))
            turn = math.radians(rng.integers(0, 360))
            out = np.array([0.0, 0.0, 1.0])
            m = np.array([[-math.sin(dip) * math.cos(turn + k * math.tau / 3),
                           -math.sin(dip) * math.sin(turn + k * math.tau / 3),
                           -math.cos(dip)] for k in range(3)])
        elif kind == "upright":
            # One vertical joint: the weight runs along it.
            out = unit(np.array([0.0, 0.3 * rng.normal(), 1.0]))
            m = np.array([unit(rng.normal(size=3)) for _ in range(3)])
            m[0] = unit(np.array([m[0][0], m[0][1], 0.0]))
        else:
            out = unit(rng.normal(size=3))
            m = np.array([unit(rng.normal(size=3)) for _ in range(3)])
        e = np.array([np.cross(m[(i + 1) % 3], m[(i + 2) % 3]) for i in range(3)])
        if min(np.linalg.norm(x) for x in e) < 0.1:
            continue
        e = np.array([unit(x) * np.sign(x @ m[i]) for i, x in enumerate(e)])
        fall = e @ out
        if max(fall) > -0.15 or np.linalg.det(e) ** 2 < 1e-2:
            continue
        apex = 4.0 * rng.normal(size=3)
        depth = rng.uniform(0.2, 3.0)
        hits = np.array([apex + x * (depth / -f) for x, f in zip(e, fall)])
        return m, apex, hits, out


def problem(rng, kind):
    m, apex, hits, out = wedge(rng, kind)
    centroid = (apex + hits.sum(axis=0)) / 4.0
    volume = abs(np.linalg.det(hits - apex)) / 6.0
    force = np.array([0.0, 0.0, -27.0 * volume])
    if kind == "pushed":
        force = force + 0.3 * np.linalg.norm(force) * unit(rng.normal(size=3))
    corners = [apex, *hits]
    contacts = [(0, i) for i in range(3)] + [(1 + k, i) for k in range(3) for i in range(3) if i != k]
    if kind == "many corners":
        # Corners between those of each joint face, as an arc's chords make them.
        for i in range(3):
            a, b = (hits[k] for k in range(3) if k != i)
            for _ in range(17):
                x, y = rng.uniform(size=2)
                w = np.array([x * y, x * (1 - y), 1 - x])
                contacts.append((len(corners), i))
                corners.append(w @ np.array([apex, a, b]))
    n = {"many corners": 20, "one bolt": 1, "no bolt": 0}.get(kind, int(rng.integers(1, 13)))
    bolts = []
    for k in range(n):
        x, y = rng.uniform(size=2)
        if x + y > 1:
            x, y = 1 - x, 1 - y
        if kind == "in a line":
            x, y = (k + 0.5) / n, 0.25
            x *= 1 - y
        if kind == "symmetric" and k < 3:
            x, y = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)][k]
            x, y = 0.2 + 0.4 * x, 0.2 + 0.4 * y
        collar = hits[0] + x * (hits[1] - hits[0]) + y * (hits[2] - hits[0])
        direction = out if kind in ("symmetric", "in a line") else unit(out + 0.2 * rng.normal(size=3))
        capacity = float(rng.choice([120.0, 80.0, rng.uniform(0.0, 100.0), rng.uniform(0.0, 5.0)]))
        bolts.append((collar, direction, capacity))
    if kind == "one bolt":
        # Under the centroid, on the vertical through it.
        along = np.array([0.0, 0.0, 1.0])
        bolts = [(centroid - along * rng.uniform(0.0, 2.0), along, float(rng.uniform(1.0, 100.0)))]
    r = lambda v, digits: [round(float(x), digits) for x in v]
    return {
        "kind": kind,
        "force_kn": r(force, 9),
        "acts_at_m": r(centroid, 9),
        "normals": [r(x, 9) for x in m],
        "corners_m": [r(x, 9) for x in corners],
        "contacts": contacts,
        "bolts": [{"point_m": r(p, 9), "direction": r(d, 9), "capacity_kn": round(c, 6)}
                  for p, d, c in bolts],
    }


def wrench(point, direction, about):
    return np.concatenate([direction, np.cross(point - about, direction)])


def columns(p, about):
    f = wrench(np.array(p["acts_at_m"]), np.array(p["force_kn"]), about)
    g = [wrench(np.array(b["point_m"]), np.array(b["direction"]), about) for b in p["bolts"]]
    c = [wrench(np.array(p["corners_m"][k]), np.array(p["normals"][i]), about) for k, i in p["contacts"]]
    return f, g, c


def load_factor(p):
    capacity = [b["capacity_kn"] for b in p["bolts"]]
    f, g, c = columns(p, np.array(p["corners_m"][0]))
    a = np.array([f, *g, *c]).T
    cost = np.zeros(a.shape[1])
    cost[0] = -1.0
    bounds = [(0, None)] + [(0, b) for b in capacity] + [(0, None)] * len(c)
    primal = linprog(cost, A_eq=a, b_eq=np.zeros(6), bounds=bounds, method="highs-ds", options=OPTIONS)
    if primal.status in (3, 4):  # unbounded; HiGHS may leave open whether it is infeasible: zero is not
        return math.inf
    assert primal.status == 0, primal.message
    # Dual: w with w.f = 1, w.c >= 0; y_k >= -w.g_k, y_k >= 0; least sum of capacity times y.
    f, g, c = columns(p, np.array(p["acts_at_m"]))
    n = len(g)
    cost = np.concatenate([np.zeros(6), capacity])
    a_ub = np.vstack([np.hstack([-np.array(c), np.zeros((len(c), n))]),
                      np.hstack([-np.array(g).reshape(n, 6), -np.eye(n)])])
    dual = linprog(cost, A_ub=a_ub, b_ub=np.zeros(len(a_ub)),
                   A_eq=np.concatenate([f, np.zeros(n)])[None, :], b_eq=[1.0],
                   bounds=[(None, None)] * 6 + [(0, None)] * n, method="highs-ds", options=OPTIONS)
    assert dual.status == 0, dual.message
    value = -primal.fun
    assert abs(value - dual.fun) <= AGREE * max(1.0, abs(value)), (p["kind"], value, dual.fun)
    return value


def main():
    rng = np.random.default_rng(SEED)
    kinds = (["any"] * 5 + ["pushed", "symmetric", "upright", "in a line", "many corners"])
    rows = []
    while len(rows) < COUNT:
        kind = kinds[len(rows) % len(kinds)]
        if len(rows) % 50 == 0:
            kind = "no bolt"
        elif len(rows) % 25 == 0:
            kind = "one bolt"
        p = problem(rng, kind)
        value = load_factor(p)
        # Wedges that do not move are worth a few rows, not most of them.
        if math.isinf(value) and sum(r["load_factor"] == "inf" for r in rows) >= 20:
            continue
        p["load_factor"] = "inf" if math.isinf(value) else value
        rows.append(p)
    with open(os.path.join(HERE, "wedges.jsonl"), "w") as out:
        for p in rows:
            out.write(json.dumps(p, separators=(",", ":")) + "\n")
    finite = [p["load_factor"] for p in rows if p["load_factor"] != "inf"]
    print(f"{len(rows)} problems, {len(rows) - len(finite)} without end, "
          f"{sum(v == 0 for v in finite)} zero, median {np.median(finite):.3g}")


if __name__ == "__main__":
    main()
