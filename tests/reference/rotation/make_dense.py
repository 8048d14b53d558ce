#!/usr/bin/env python3
"""Least load factor along the drive from even ring phases, each solved by scipy's HiGHS.

    pip install numpy==2.4.6 scipy==1.17.1
    python3 make_dense.py            # writes dense.csv beside it
    python3 make_dense.py --check    # the worked example alone, from 2,304 phases

Wedges, modes, collars and capacities come from `../make_reference.py`; the centroid is that of a
tetrahedron less that of its part in the drive (Qhull), and every corner of a joint face along an
arc is a contact. The least of a grid is an upper bound of the infimum.
"""
import csv
import math
import multiprocessing
import os
import sys

os.environ.setdefault("OMP_NUM_THREADS", "1")
HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

import make_reference as ref

N_CASES = 60
N_PHASES = 301


def hits_of(m, apex, poly, nf, bf):
    e = ref.pyramid_edges(m)
    out = []
    for x in e:
        # Entering a convex body: the last facet that is crossed inward.
        rate = nf @ x[:2]
        gap = nf @ apex - bf
        t = max(gap[f] / -rate[f] for f in range(len(bf)) if rate[f] < -1e-12 and gap[f] > -1e-12)
        out.append(x * t)
    return np.array(out)


def centroid_of(m, apex, hits, nf, bf):
    """Relative to the apex: tetrahedron over the three hits less what of it lies in the drive."""
    tet = abs(np.linalg.det(hits)) / 6
    whole = hits.sum(axis=0) / 4
    # On the unit simplex: facets of the drive, sides, the plane through the hits.
    a = nf @ hits[:, :2].T
    c = nf @ apex - bf
    norm = np.linalg.norm(a, axis=1)
    keep = norm > 1e-12
    hs = np.vstack([np.column_stack([a / norm[:, None], c / norm])[keep],
                    np.column_stack([-np.eye(3), np.zeros(3)]),
                    np.r_[np.full(3, 1 / math.sqrt(3)), -1 / math.sqrt(3)][None]])
    # Chebyshev centre of the part in the drive.
    lp = linprog([0, 0, 0, -1], A_ub=np.column_stack([hs[:, :3], np.ones(len(hs))]), b_ub=-hs[:, 3],
                 bounds=[(None, None)] * 3 + [(0, None)])
    if lp.status != 0 or lp.x[3] < 1e-9:
        return whole, tet
    corners = HalfspaceIntersection(hs, lp.x[:3]).intersections
    hull = ConvexHull(corners)
    middle = corners.mean(axis=0)
    volume, moment = 0.0, np.zeros(3)
    for tri in hull.simplices:
        p = corners[tri] - middle
        v = abs(np.linalg.det(p)) / 6
        volume += v
        moment += v * (middle + p.sum(axis=0) / 4)
    cut = tet * 6 * volume
    return (whole * tet - 6 * tet * (moment @ hits)) / (tet - cut), tet - cut


def contacts_of(m, apex, hits, poly, nf, bf):
    """(place relative to the apex, plane): apex, hits, and the trace's corners between chords."""
    out = []
    seen = nf @ apex - bf > 1e-12
    n = len(poly)
    for i in range(3):
        out += [(np.zeros(3), i)] + [(hits[k], i) for k in range(3) if k != i]
        if abs(m[i, 2]) < 1e-9:
            continue
        for v in range(n):
            if not (seen[v] or seen[v - 1]):
                continue
            r = poly[v] - apex
            r = np.array([r[0], r[1], -(m[i, :2] @ r) / m[i, 2]])
            if all(m[j] @ r > 0 for j in range(3) if j != i):
                out.append((r, i))
    return out


def serving(rows, bolt, pattern, m, apex, nf, bf, phase):
    """(collar relative to the apex, direction, capacity) of every bolt that crosses the wedge."""
    rs = pattern["ring_spacing_m"]
    reach = pattern["length_m"] - pattern["outside_hole_m"]
    out = []
    for parity, u, v, f, n in rows:
        near = [x for x in (f - 1, f, f + 1)
                if abs(nf[x % len(bf)] @ (u, v) - bf[x % len(bf)]) < 1e-9]
        if not any(nf[x % len(bf)] @ apex - bf[x % len(bf)] > 1e-12 for x in near):
            continue
        d = np.array([n[0], n[1], 0.0])
        base = m[:, :2] @ (np.array([u, v]) - apex)
        lo, hi = -math.inf, math.inf
        for i in range(3):
            z = -base[i] / m[i, 2]
            lo, hi = (max(lo, z), hi) if m[i, 2] > 0 else (lo, min(hi, z))
        for k in range(math.floor((lo + phase) / rs) - 1, math.ceil((hi + phase) / rs) + 2):
            z = k * rs - phase
            if (pattern["stagger"] and k % 2 != parity) or not lo <= z <= hi:
                continue
            r = np.array([u - apex[0], v - apex[1], z])
            inside = min(max(0.0, (m[i] @ r) / -(m[i] @ d)) for i in range(3) if m[i] @ d < 0)
            if inside <= reach:
                out.append((r, d, float(ref.capacity(bolt, reach - inside, inside))))
    return out


def load_factor(force, centroid, bolts, contacts, m):
    col = lambda p, d: np.r_[d, np.cross(p, d)]
    a = np.array([col(centroid, force)] + [col(p, d) for p, d, _ in bolts]
                 + [col(p, m[i]) for p, i in contacts]).T
    cost = np.zeros(a.shape[1])
    cost[0] = -1
    bounds = [(0, None)] + [(0, b) for *_, b in bolts] + [(0, None)] * len(contacts)
    r = linprog(cost, A_eq=a, b_eq=np.zeros(6), bounds=bounds, method="highs-ds")
    if r.status in (3, 4):
        return math.inf
    assert r.status == 0, r.message
    return -r.fun


def profile(case, n_phases):
    """(id, mode, load factor of each phase) of the moving wedges of a case."""
    poly = ref.section_polygon(case["section"])
    nf, bf = ref.facets_of(poly)
    frame = ref.drive_frame(case["trend_deg"], case["plunge_deg"])
    normals = {s["name"]: frame @ ref.upward_normal(s["dip_deg"], s["dip_direction_deg"]) for s in case["sets"]}
    down = frame @ np.array([0.0, 0.0, -1.0])
    rows = ref.collars(poly, case["pattern"], case["plunge_deg"])
    pattern = case["pattern"]
    period = pattern["ring_spacing_m"] * (2 if pattern["stagger"] else 1)
    for w in ref.wedges_of(case):
        if w["mode"] == "no motion":
            continue
        names, digits = w["id"].split(".")
        m = np.array([normals[n] * (1 - 2 * int(d)) for n, d in zip(names.split("-"), digits)])
        hits = hits_of(m, w["apex"], poly, nf, bf)
        centroid, volume = centroid_of(m, w["apex"], hits, nf, bf)
        assert abs(volume / w["volume"] - 1) < 1e-6, (w["id"], volume, w["volume"])
        contacts = contacts_of(m, w["apex"], hits, poly, nf, bf)
        force = down * w["weight"]
        values = []
        for k in range(n_phases):
            phase = (k + 0.5) * period / n_phases
            bolts = serving(rows, case["bolt"], pattern, m, w["apex"], nf, bf, phase)
            values.append(load_factor(force, centroid, bolts, contacts, m) if bolts else 0.0)
        yield w["id"], w["mode"], np.array(values), period


def work(index):
    return [(index, i, mode, float(v.min())) for i, mode, v, _ in profile(ref.draw_case(index), N_PHASES)]


def main():
    if "--check" in sys.argv:
        for i, mode, v, period in profile(ref.WORKED, 2304):
            k = int(v.argmin())
            print(f"{i} {mode} least {v.min():.5f} at phase {(k + 0.5) * period / 2304:.4f} of {period}")
        return
    with multiprocessing.Pool(2) as pool:
        rows = [r for rows in pool.imap(work, range(N_CASES)) for r in rows]
    with open(os.path.join(HERE, "dense.csv"), "w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["case", "wedge", "mode", "least_rotation_dense"])
        for case, i, mode, least in rows:
            writer.writerow([case, i, mode, f"{least:.12g}"])


if __name__ == "__main__":
    main()
