#!/usr/bin/env python3
"""Reference wedges at the face of a heading (scipy's Qhull and HiGHS).

    pip install numpy==2.4.6 scipy==1.17.1
    python3 make_face.py       # writes cases.jsonl and wedges.csv beside it

The opening is a half-prism: a section swept back from the face. It shares no code with the library
and, where a second way exists, no method:

* the apexes from which an edge daylights are the convex hull of the half-prism and of the
  half-prism moved back along the edge, by Qhull; those of a pyramid are the intersection of three
  such bodies, by Qhull
* the largest wedge: the volume is convex there, so one of the intersection's vertices
* volume: the tetrahedron of the apex and the places where its edges daylight, less the part of it
  that lies in the opening, by Qhull
* that a pyramid that holds +axis has none: a linear programme
* mode: projection of the weight on the pyramid (../make_reference.py)

All input is invented. Local coordinates (u, v, w), w along the advance, face at w = 0; m, kN.
"""
import csv
import json
import math
import os
import sys

import numpy as np
from scipy.spatial import ConvexHull, HalfspaceIntersection, QhullError

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))
import make_reference as ref

SEED = 61_803_398
COUNT = 500
SWEEP_M = 400.0        # how far the half-prism is swept; cases with an edge of half of it are redrawn
LEAST_M3 = 1e-3
SAME_M = 1e-7          # vertices nearer than this are one
PLAIN = 1e-2           # least |m . axis| of a joint, and
SKEW = 1e-4            # least |edge . axis| and |edge . facet normal|: no near-parallels


def draw(rng):
    kind = rng.choice(["flat", "flat", "arched", "circular"])
    r = lambda lo, hi: round(float(rng.uniform(lo, hi)), 2)
    if kind == "flat":
        section = dict(shape="flat", width_m=r(3, 7), height_m=r(3, 6))
    elif kind == "arched":
        w = r(3.5, 6)
        section = dict(shape="arched", width_m=w, wall_height_m=r(2, 4), rise_m=round(w * r(0.15, 0.45), 2))
    else:
        section = dict(shape="circular", diameter_m=r(3, 6))
    sets = [dict(dip_deg=r(15, 89), dip_direction_deg=r(0, 360)) for _ in range(3)]
    return dict(section=section, trend_deg=r(0, 360), plunge_deg=r(-15, 15),
                unit_weight_kn_m3=r(24, 32), sets=sets)


def plain(normals, nf):
    """Whether no joint and no edge is nearly parallel to what it meets."""
    e = ref.pyramid_edges(normals)
    if np.abs(normals[:, 2]).min() < PLAIN or ref.least_solid_angle(normals) < 1e-3:
        return False
    return min(np.abs(e[:, 2]).min(), np.abs(e[:, :2] @ nf.T).min()) > SKEW


def reach(e, poly):
    """Vertices of the body of apexes from which all edges daylight."""
    near = np.column_stack([poly, np.zeros(len(poly))])
    far = near - [0, 0, SWEEP_M]
    prism = np.vstack([near, far])
    planes = []
    for edge in e:
        hull = ConvexHull(np.vstack([prism, prism - SWEEP_M * edge]))
        planes.append(np.unique(np.round(hull.equations, 12), axis=0))
    inside = np.r_[poly.mean(axis=0), -5.0]
    planes = np.vstack(planes)
    points = HalfspaceIntersection(planes, inside).intersections
    # Qhull's digits: each vertex again as the solution of the planes that meet there.
    out = []
    for p in points:
        if p[2] < -SWEEP_M / 2 or not np.isfinite(p).all():
            continue                       # the far end of the sweep
        if p[2] < -SWEEP_M / 4:
            raise ArithmeticError("an apex as far off as the sweep")
        tight = planes[np.abs(planes[:, :3] @ p + planes[:, 3]) < 1e-8]
        if np.linalg.matrix_rank(tight[:, :3], tol=1e-6) == 3:
            p = np.linalg.lstsq(tight[:, :3], -tight[:, 3], rcond=None)[0]
        if not any(np.abs(p - q).max() < SAME_M for q in out):
            out.append(p)
    return np.array(out)


def hits(apex, e, nh, bh):
    """Length of each edge to the opening."""
    out = []
    for edge in e:
        rate, room = nh @ edge, nh @ apex - bh
        out.append(max([0.0] + [room[k] / -rate[k] for k in range(len(bh)) if rate[k] < -1e-13]))
    return np.array(out)


def volume(apex, legs, nh, bh):
    """Tetrahedron less the opening in it; mapped on the unit simplex."""
    tet = abs(np.linalg.det(legs)) / 6
    height = nh @ apex - bh
    a = nh @ legs.T
    norm = np.linalg.norm(a, axis=1)
    hs = np.vstack([np.column_stack([a / norm[:, None], height / norm]),
                    np.column_stack([-np.eye(3), np.zeros(3)]),
                    np.r_[np.full(3, 1 / math.sqrt(3)), -1 / math.sqrt(3)][None]])
    # Chebyshev centre of the opening's part
    lp = ref.linprog([0, 0, 0, -1], A_ub=np.column_stack([hs[:, :3], np.ones(len(hs))]),
                     b_ub=-hs[:, 3], bounds=[(None, None)] * 3 + [(0, None)], method="highs")
    if lp.status != 0 or lp.x[3] < 1e-9:
        return tet, tet
    cut = ConvexHull(HalfspaceIntersection(hs, lp.x[:3]).intersections).volume
    return tet * (1 - 6 * cut), tet


def largest(m, poly, nf, bf):
    """(volume, apex, depth) of the largest wedge, or None; raises where the case is to be redrawn."""
    if ref.holds_axis(m, 1):
        return None
    e = ref.pyramid_edges(m)
    nh = np.vstack([np.column_stack([nf, np.zeros(len(nf))]), [0, 0, 1]])
    bh = np.r_[bf, 0.0]
    rows = []
    for apex in reach(e, poly):
        t = hits(apex, e, nh, bh)
        if t.max() > SWEEP_M / 2:
            raise ArithmeticError("an edge as long as the sweep")
        legs = e * t[:, None]
        rows.append((abs(np.linalg.det(legs)) / 6, apex, legs, t))
    rows.sort(key=lambda r: -r[0])
    best = None
    for tet, apex, legs, t in rows:
        if tet < LEAST_M3 or (best and tet <= best[0]):
            break
        if t.min() < 1e-9:
            continue
        v, _ = volume(apex, legs, nh, bh)
        if best is None or v > best[0]:
            best = (v, apex, tet, t)
    return best


def depth(apex, poly):
    nxt = np.roll(poly, -1, axis=0) - poly
    t = np.clip(np.einsum("ij,ij->i", apex[:2] - poly, nxt) / (nxt ** 2).sum(axis=1), 0, 1)
    flat = np.hypot(*(poly + t[:, None] * nxt - apex[:2]).T).min()
    nf, bf = ref.facets_of(poly)
    if (nf @ apex[:2] <= bf).all():
        flat = 0.0
    return math.hypot(flat, max(apex[2], 0.0))


def work(case):
    poly = ref.section_polygon(case["section"])
    nf, bf = ref.facets_of(poly)
    frame = ref.drive_frame(case["trend_deg"], case["plunge_deg"])
    world = np.array([ref.upward_normal(s["dip_deg"], s["dip_direction_deg"]) for s in case["sets"]])
    normals = world @ frame.T
    if not plain(normals, nf):
        raise ArithmeticError("nearly parallel")
    rows = []
    for code in range(8):
        digits = format(code, "03b")
        signs = np.array([-1 if d == "1" else 1 for d in digits])[:, None]
        found = largest(normals * signs, poly, nf, bf)
        if found is None or found[0] < LEAST_M3:
            continue
        v, apex, tet, _ = found
        mode, contact, *_ = ref.mode_of(world * signs, np.array([0, 0, -1.0]))
        rows.append(dict(pyramid=digits, volume_m3=repr(float(v)),
                         weight_kn=repr(float(v * case["unit_weight_kn_m3"])), mode=mode,
                         slides_on="|".join("ABC"[i] for i in contact),
                         depth_m=f"{depth(apex, poly):.10g}", tetrahedron_ratio=f"{tet / v:.3g}"))
    return rows


def main():
    rng = np.random.default_rng(SEED)
    cases, rows, redrawn = [], [], 0
    while len(cases) < COUNT:
        case = draw(rng)
        try:
            found = work(case)
        except (ArithmeticError, QhullError):
            redrawn += 1
            continue
        rows += [dict(case=len(cases), **r) for r in found]
        cases.append(case)
    with open(os.path.join(HERE, "cases.jsonl"), "w") as f:
        f.writelines(json.dumps(c) + "\n" for c in cases)
    with open(os.path.join(HERE, "wedges.csv"), "w", newline="") as f:
        writer = csv.DictWriter(f, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"{len(cases)} half-prisms, {len(rows)} wedges, {redrawn} redrawn")


if __name__ == "__main__":
    main()
