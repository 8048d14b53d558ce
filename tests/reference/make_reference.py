#!/usr/bin/env python3
"""Independent reference for wedges round a mine drive (scipy + numpy).

It shares no code and, where a second way exists, no method with the Rust library:

* removability  - linear programmes: does the joint pyramid hold +axis or -axis?
* largest apex  - one linear programme per pyramid over the daylight conditions
                  (apex + t_i * edge_i inside the section, t_i >= 0), then the support
                  values of the two binding tangents give the last digits
* volume, areas - Qhull half-space intersection: a tetrahedron on the chord between the
                  tangent points, minus the convex part of the drive in it
* mode          - projection of the active force on the cone by non-negative least squares
* FS            - force equilibrium solved as a linear system
* bolted FS     - a dense, even grid of ring phases over one period of the pattern

All input is invented. Frame: x east, y north, z up; section u right, v up looking along the
advance; local coordinates (u, v, w), w along the advance. Units: m, kN, kPa, degrees.

    python3 make_reference.py            # writes cases.jsonl, wedges.csv, README.md beside it
    python3 make_reference.py --check    # reproduces the worked example, writes nothing
"""
import argparse
import csv
import io
import itertools
import json
import math
import multiprocessing
import os
import platform
import sys
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import scipy
from scipy.optimize import linprog, nnls
from scipy.spatial import ConvexHull, HalfspaceIntersection

HERE = os.path.dirname(os.path.abspath(__file__))

SEED = 20_240_717            # of the case generator; every case has its own child seed
N_CASES = 2_000
N_DENSE_CASES = 300          # cases whose movable wedges get a dense bolted FS
N_PHASES = 1_201             # odd, so that the median is one of the values
N_PHASES_CHECK = 2_305
TRIPLES_OF_FIVE = 4          # of the ten triples of a five-set case, to keep the file small
MIN_SOLID_ANGLE_SR = 1e-5    # triples whose planes nearly share a line are left out
MIN_AXIS_ANGLE = 1e-3        # |m . axis| of a plane nearly parallel to the drive: redrawn
MIN_SET_ANGLE_DEG = 2.0      # two sets of a case are never closer than this
MIN_VOLUME_M3 = 1e-3         # rows below a litre are left out
SAGITTA_M = 1e-3             # arcs become chords with at most this sagitta
CORNER_TURN_DEG = 10.0       # facets that turn by more meet at a corner
CORNER_NEAR_M = 1e-3         # a collar this near a corner belongs to the facet nearer the crown
AT_VERTEX_M = 1e-9           # a collar this near an arc's vertex takes the bisector
NO_CONTACT = 1e-9            # normal force / |F| at or below which a plane is not in contact
INCIDENT = 1e-10             # residual of a Qhull vertex on a half-space of the unit simplex
CROSS_CHECK = 1e-9           # volume by difference against volume by fans; see README


# ---------------------------------------------------------------- section and frame

def section_polygon(section):
    """Vertices (u, v), counter-clockwise looking along the advance (u right, v up)."""
    shape = section["shape"]
    if shape == "flat":
        b, h = section["width_m"] / 2, section["height_m"]
        return np.array([[-b, 0], [b, 0], [b, h], [-b, h]], float)
    if shape == "circular":
        r = section["diameter_m"] / 2
        n = chord_count(r, math.pi)
        a = 2 * math.pi * np.arange(n) / n
        return np.column_stack([-r * np.sin(a), r + r * np.cos(a)])
    b, h, rise = section["width_m"] / 2, section["wall_height_m"], section["rise_m"]
    r = (b * b + rise * rise) / (2 * rise)
    half = 2 * math.atan2(rise, b)
    n = chord_count(r, half)
    a = half * (1 - 2 * np.arange(n + 1) / n)
    arc = np.column_stack([r * np.sin(a), h + rise - r + r * np.cos(a)])
    arc[0], arc[n // 2], arc[n] = (b, h), (0, h + rise), (-b, h)
    return np.vstack([[[-b, 0], [b, 0]], arc])


def chord_count(radius, half_angle):
    """Least even number of equal chords of an arc (2 * half_angle) with sagitta <= 1 mm."""
    n = 2
    while radius * (1 - math.cos(half_angle / n)) > SAGITTA_M:
        n += 2
    return n


def facets_of(poly):
    """Outward unit normals (n, 2) and offsets b with n.x <= b; facet j joins vertex j, j+1."""
    d = np.roll(poly, -1, axis=0) - poly
    n = np.column_stack([d[:, 1], -d[:, 0]]) / np.hypot(d[:, 0], d[:, 1])[:, None]
    return n, np.einsum("ij,ij->i", n, poly)


def drive_frame(trend_deg, plunge_deg):
    """Rows u (right), v (up in the section), w (advance), in east, north, up."""
    t, p = math.radians(trend_deg), math.radians(plunge_deg)
    return np.array([[math.cos(t), -math.sin(t), 0.0],
                     [math.sin(t) * math.sin(p), math.cos(t) * math.sin(p), math.cos(p)],
                     [math.sin(t) * math.cos(p), math.cos(t) * math.cos(p), -math.sin(p)]])


def upward_normal(dip_deg, dip_direction_deg):
    d, a = math.radians(dip_deg), math.radians(dip_direction_deg)
    return np.array([math.sin(d) * math.sin(a), math.sin(d) * math.cos(a), math.cos(d)])


# ---------------------------------------------------------------- pyramid

def pyramid_edges(m):
    """Unit edges e_i of the cone {m_i.x >= 0}; e_i lies on the two planes other than i."""
    e = np.array([np.cross(m[1], m[2]), np.cross(m[2], m[0]), np.cross(m[0], m[1])])
    e *= np.sign(np.linalg.det(m))
    return e / np.linalg.norm(e, axis=1)[:, None]


def solid_angle(e):
    """Solid angle of the cone over three unit edges (Van Oosterom & Strackee 1983; cited from memory)."""
    den = 1 + e[0] @ e[1] + e[1] @ e[2] + e[2] @ e[0]
    return 2 * math.atan2(abs(np.linalg.det(e)), den)


def least_solid_angle(normals):
    return min(solid_angle(pyramid_edges(normals * np.array([[1], [a], [b]])))
               for a in (1, -1) for b in (1, -1))


def holds_axis(m_local, sign):
    """LP: the longest step (at most 1) along sign * axis that stays in the cone is > 0."""
    r = linprog([-1.0], A_ub=-(m_local[:, 2:3] * sign), b_ub=np.zeros(3), bounds=[(0, 1)],
                method="highs")
    return -r.fun > 0.5


def sector(q):
    """Of three section directions the indices (i, j, k): k lies between i and j."""
    for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        c = np.linalg.solve(np.column_stack([q[i], q[j]]), q[k])
        if c[0] >= 0 and c[1] >= 0:
            return i, j, k
    raise ArithmeticError("no sector: the cone holds the axis")


def largest_apex(e_local, poly, nf, bf):
    """Apex (u, v) of the largest wedge, the sector, and the tangent vertices.

    The LP has the unknowns apex and t_i; it pushes the apex against both sides of the
    sector while every edge still daylights. HiGHS works to 1e-7, so its answer names the
    place and the support values give the digits."""
    q = e_local[:, :2] / np.linalg.norm(e_local[:, :2], axis=1)[:, None]
    i, j, k = sector(q)
    turn = q[i][0] * q[j][1] - q[i][1] * q[j][0]
    gi = np.array([-q[i][1], q[i][0]]) * np.sign(turn)
    gj = np.array([q[j][1], -q[j][0]]) * np.sign(turn)
    n = len(bf)
    rows = np.zeros((3 * n, 5))
    for s in range(3):
        rows[s * n:(s + 1) * n, :2] = nf
        rows[s * n:(s + 1) * n, 2 + s] = nf @ q[s]
    lp = linprog(np.r_[gi + gj, 0, 0, 0], A_ub=rows, b_ub=np.tile(bf, 3),
                 bounds=[(None, None)] * 2 + [(0, None)] * 3, method="highs")
    si, sj = poly @ gi, poly @ gj
    apex = np.linalg.solve(np.array([gi, gj]), [si.min(), sj.min()])
    if lp.status != 0 or np.abs(lp.x[:2] - apex).max() * abs(turn) > 1e-5:
        raise ArithmeticError(f"LP {lp.status} {lp.message}: {lp.x} against {apex}")
    tangent = []
    for sup, g, d in ((si, gi, q[i]), (sj, gj, q[j])):
        tied = np.flatnonzero(sup - sup.min() < 1e-12)
        tangent.append(int(tied[np.argmin((poly[tied] - apex) @ d)]))
    return apex, (i, j, k), tangent


# ---------------------------------------------------------------- shape

def polygon_area(points):
    """Area of a convex planar polygon in space given by unordered, perhaps double, points."""
    if len(points) < 3:
        return 0.0
    r = points - points.mean(axis=0)
    _, _, vt = np.linalg.svd(r, full_matrices=False)
    x, y = r @ vt[0], r @ vt[1]
    o = np.argsort(np.arctan2(y, x))
    x, y = x[o], y[o]
    return 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def largest_wedge(m_local, poly, nf, bf):
    """Largest wedge of a pyramid as a dict, or None where both tangents meet at a corner.

    The chord between the tangent vertices lies in the drive, so the wedge is the tetrahedron
    T from the apex to the plane through that chord and along the axis, minus T & drive.
    T is mapped on the unit simplex, where Qhull works in good shape whatever the wedge is."""
    e = pyramid_edges(m_local)
    apex, (i, j, k), (pi, pj) = largest_apex(e, poly, nf, bf)
    if pi == pj:
        return None
    chord = poly[pj] - poly[pi]
    nh = np.array([chord[1], -chord[0]])
    nh /= np.linalg.norm(nh)
    h = nh @ (poly[pi] - apex)
    if h < 0:
        nh, h = -nh, -h
    if h < 1e-9:
        return None
    legs = e * (h / (e[:, :2] @ nh))[:, None]            # rows: apex to the chord plane
    tet = abs(np.linalg.det(legs)) / 6
    seen = np.flatnonzero(nf @ apex - bf > 1e-12)
    height = nf[seen] @ apex - bf[seen]
    # half-spaces a.x + c <= 0 on lambda: the drive's seen facets, the simplex, the chord plane
    a = nf[seen] @ legs[:, :2].T
    flat = len(seen) == 1 and abs(abs(nf[seen[0]] @ nh) - 1) < 1e-12
    tri = [0.5 * np.linalg.norm(np.cross(legs[(s + 1) % 3], legs[(s + 2) % 3])) for s in range(3)]
    if flat:
        corner = np.eye(3)
        opening = polygon_area(legs)
        traces = [np.linalg.norm(legs[(s + 1) % 3] - legs[(s + 2) % 3]) for s in range(3)]
        volume, fan, joint, ratio = tet, opening * height[0] / 3, tri, 1.0
    else:
        g = np.full(3, 1 / 3)
        enter = max(-height[f] / (a[f] @ g) for f in range(len(seen)) if a[f] @ g < 0)
        inside = g * (0.5 * (1 + enter))
        norm = np.linalg.norm(a, axis=1)
        hs = np.vstack([np.column_stack([a / norm[:, None], height / norm]),
                        np.column_stack([-np.eye(3), np.zeros(3)]),
                        np.r_[np.full(3, 1 / math.sqrt(3)), -1 / math.sqrt(3)][None]])
        box = HalfspaceIntersection(hs, inside)
        corner = box.intersections
        # Qhull hands back the vertices; its own hull of them is the volume
        cut = ConvexHull(corner).volume
        res = np.abs(corner @ hs[:, :3].T + hs[:, 3]) < INCIDENT
        world = corner @ legs
        ns = len(seen)
        areas = [polygon_area(world[res[:, f]]) for f in range(ns)]
        opening = sum(areas)
        fan = sum(x * y for x, y in zip(areas, height)) / 3
        volume = tet * (1 - 6 * cut)
        ratio = tet / fan if fan > 0 else math.inf
        joint, traces = [], []
        for s in range(3):
            on = res[:, ns + s]
            joint.append(tri[s] - polygon_area(world[on]))
            total = 0.0
            for f in range(ns):
                p = world[on & res[:, f]]
                if len(p) > 1:
                    total += max(np.linalg.norm(x - y) for x, y in itertools.combinations(p, 2))
            traces.append(total)
        corner = corner[res[:, :ns].any(axis=1)]
    w = corner @ legs[:, 2]
    nxt = np.roll(poly, -1, axis=0) - poly
    t = np.clip(np.einsum("ij,ij->i", apex - poly, nxt) / (nxt ** 2).sum(axis=1), 0, 1)
    depth = np.hypot(*(poly + t[:, None] * nxt - apex).T).min()
    return dict(apex=apex, volume=volume, fan=fan, opening=opening, joint=joint, traces=traces,
                depth=depth, length=max(w.max(), 0) - min(w.min(), 0), ratio=ratio, seen=seen)


# ---------------------------------------------------------------- mode and FS

def mode_of(m, force):
    """(mode, contact planes, slide direction, normal forces, driving force) of |force| = 1.

    The slide direction is the projection of the force on the cone (non-negative least
    squares on the edges); the contact planes are those on which it lies."""
    e = pyramid_edges(m)
    lam, _ = nnls(e.T, force)
    on = [i for i in range(3) if lam[i] > 1e-10]
    s = e.T @ lam
    if not on or np.linalg.norm(s) <= NO_CONTACT:
        return "no motion", [], None, [], 0.0
    s /= np.linalg.norm(s)
    contact = [i for i in range(3) if i not in on]
    while contact:                       # force = -sum N_i m_i + T s
        lhs = np.column_stack([-m[i] for i in contact] + [s])
        sol = np.linalg.lstsq(lhs, force, rcond=None)[0]
        keep = [i for i, n in zip(contact, sol) if n > NO_CONTACT]
        if keep == contact:
            return "sliding", contact, s, list(sol[:-1]), sol[-1]
        contact = keep
    return "falling", [], s, [], 1.0


def bare_fs(mode, contact, normal, drive, joint, weight, tan_phi, cohesion):
    if mode == "no motion":
        return math.inf
    if mode == "falling":
        return 0.0
    return sum(cohesion[i] * joint[i] + n * weight * tan_phi[i]
               for i, n in zip(contact, normal)) / (drive * weight)


# ---------------------------------------------------------------- bolts

def surface_name(n, plunge_deg):
    """Surface of a facet from its outward normal (u, v); the 30 degrees are from true level."""
    up = n[1] * math.cos(math.radians(plunge_deg))
    return "back" if up > 0.5 else "floor" if up < -0.5 else \
        "left wall" if n[0] < 0 else "right wall"


def collars(poly, pattern, plunge_deg):
    """Collars of a pattern: (parity 0 even / 1 odd, u, v, facet, direction (u, v))."""
    nf, _ = facets_of(poly)
    nv = len(poly)
    mid = (poly[:, 0].min() + poly[:, 0].max()) / 2
    best = None                           # the crown: highest point of the section at mid-width
    for f in range(nv):
        p, q = poly[f], poly[(f + 1) % nv]
        lo, hi = sorted((p[0], q[0]))
        if hi > lo and lo - 1e-12 <= mid <= hi + 1e-12:
            v = p[1] + (q[1] - p[1]) * (mid - p[0]) / (q[0] - p[0])
            if best is None or v > best[0] + 1e-12:
                best = (v, f)
    crown = np.array([mid, best[0]])
    at_vertex = [x for x in range(nv) if np.linalg.norm(poly[x] - crown) < 1e-9]
    out = []
    s = pattern["spacing_m"]
    perimeter = np.linalg.norm(np.roll(poly, -1, axis=0) - poly, axis=1).sum()
    for side in (1, -1):                  # +1 to the right (clockwise), -1 to the left
        if at_vertex:
            first = (at_vertex[0] - 1) % nv if side > 0 else at_vertex[0]
        else:
            first = best[1]
        for parity in (0, 1) if pattern["stagger"] else (0,):
            arc = s / 2 if parity else (0.0 if side > 0 else s)
            while arc < perimeter / 2:
                f, p, left = first, crown, arc
                while True:               # walk facet by facet from the crown
                    end = poly[f] if side > 0 else poly[(f + 1) % nv]
                    run = np.linalg.norm(end - p)
                    if left <= run:
                        break
                    f, p, left = (f - side) % nv, end, left - run
                pos = p + (end - p) * (left / run)
                n = nf[f]
                prev, nxt = (f + side) % nv, (f - side) % nv   # nearer / farther neighbour
                to_p = np.linalg.norm(pos - p) if not np.allclose(p, crown) or at_vertex else 9.0
                turn = lambda x: math.degrees(math.acos(min(1.0, nf[x] @ nf[f])))
                if to_p <= CORNER_NEAR_M and turn(prev) > CORNER_TURN_DEG:
                    f = prev
                    n = nf[f]
                elif to_p <= AT_VERTEX_M:
                    n = nf[f] + nf[prev]
                elif np.linalg.norm(pos - end) <= AT_VERTEX_M and turn(nxt) <= CORNER_TURN_DEG:
                    n = nf[f] + nf[nxt]
                n = n / np.linalg.norm(n)
                name = surface_name(nf[f], plunge_deg)
                group = "walls" if "wall" in name else name
                if (name in pattern["covers"] or group in pattern["covers"]) and not (
                        group == "walls" and pos[1] < pattern["lowest_collar_m"] - 1e-9):
                    out.append((parity, pos[0], pos[1], f, n))
                arc += s
    return out


def capacity(bolt, beyond, inside):
    """B = min(steel, toe, head), kN; arrays of lengths beyond the joint and in the wedge."""
    if bolt["kind"] == "mechanical":
        toe = np.where(beyond >= bolt["anchor_length_m"], bolt["anchor_kn"], 0.0)
        head = np.full_like(inside, bolt["plate_kn"])
    else:
        toe = bolt["bond_kn_per_m"] * beyond
        head = bolt["plate_kn"] + bolt["bond_kn_per_m"] * inside
    return np.minimum(bolt["steel_kn"], np.minimum(toe, head))


def dense_fs(rows, bolt, pattern, m_local, wedge, poly, nf, bf, weight, motion, tan_phi,
             cohesion, n_phases):
    """Bolted FS at n_phases even phases: (array of FS, phases with a plane lost, phases where
    the bolts as a whole would give less than the bare FS and so carry nothing)."""
    mode, contact, slide, normal, drive = motion
    apex = wedge["apex"]
    rs = pattern["ring_spacing_m"]
    period = rs * (2 if pattern["stagger"] else 1)
    phase = (np.arange(n_phases) + 0.5) * (period / n_phases)
    reach = pattern["length_m"] - pattern["outside_hole_m"]
    p_t = np.zeros(n_phases)
    p_n = np.zeros((len(contact), n_phases))
    for parity, u, v, f, n in rows:
        # a collar at an arc's vertex is on the face when either facet there is seen
        near = [x for x in (f - 1, f, f + 1)
                if abs(nf[x % len(bf)] @ (u, v) - bf[x % len(bf)]) < 1e-9]
        if not any(nf[x % len(bf)] @ apex - bf[x % len(bf)] > 1e-12 for x in near):
            continue
        d = np.array([n[0], n[1], 0.0])
        pull = -(d @ slide)
        if pull <= 0:
            continue
        if mode == "sliding":
            # d = -sum comp_i m_i + (d.s) s
            comp = np.linalg.lstsq(np.column_stack([-m_local[i] for i in contact] + [slide]),
                                   d, rcond=None)[0][:-1]
            if pull + sum(c * tan_phi[i] for c, i in zip(comp, contact)) < 0:
                continue
        base = m_local[:, :2] @ (np.array([u, v]) - apex)
        lo, hi = -math.inf, math.inf      # m.r >= 0 as an interval of the axial offset
        for i in range(3):
            z = -base[i] / m_local[i, 2]
            lo, hi = (max(lo, z), hi) if m_local[i, 2] > 0 else (lo, min(hi, z))
        if not lo < hi:
            continue
        k = np.arange(math.floor(lo / rs) - 1, math.ceil((hi + period) / rs) + 2)
        if pattern["stagger"]:
            k = k[k % 2 == parity]
        z = k[None, :] * rs - phase[:, None]
        ok = (z >= lo) & (z <= hi)
        inside = np.full_like(z, np.inf)
        md = m_local @ d
        for i in range(3):
            if md[i] < 0:
                inside = np.minimum(inside, (base[i] + m_local[i, 2] * z) / -md[i])
        inside = np.where(ok, np.maximum(inside, 0), np.inf)
        ok &= inside <= reach
        inside = np.where(ok, inside, 0.0)
        b = np.where(ok, capacity(bolt, reach - inside, inside), 0.0).sum(axis=1)
        p_t += b * pull
        if mode == "sliding":
            p_n += comp[:, None] * b[None]
    if mode == "falling":
        return p_t / weight, 0, 0
    total = p_t
    lost = np.zeros(n_phases, bool)
    for c, i in enumerate(contact):
        press = normal[c] * weight + p_n[c]
        lost |= press < 0
        total = total + np.where(press < 0, 0.0,
                                 cohesion[i] * wedge["joint"][i] + press * tan_phi[i])
    bare = sum(cohesion[i] * wedge["joint"][i] + n * weight * tan_phi[i]
               for i, n in zip(contact, normal))
    floor = total < bare * (1 - 1e-12)
    return np.maximum(total, bare) / (drive * weight), int(lost.sum()), int(floor.sum())


# ---------------------------------------------------------------- one case

def wedges_of(case, n_phases=0, least_volume=MIN_VOLUME_M3):
    """Rows (dicts) of a case's removable wedges; bolts only where n_phases > 0."""
    poly = section_polygon(case["section"])
    nf, bf = facets_of(poly)
    frame = drive_frame(case["trend_deg"], case["plunge_deg"])
    sets = case["sets"]
    normals = np.array([frame @ upward_normal(s["dip_deg"], s["dip_direction_deg"])
                        for s in sets])
    down = frame @ np.array([0.0, 0.0, -1.0])
    rows = collars(poly, case["pattern"], case["plunge_deg"]) if n_phases else None
    triples = case.get("triples") or [list(t) for t in itertools.combinations(range(len(sets)), 3)]
    left_out = [list(t) for t in case.get("left_out_triples", [])]
    for triple in triples:
        if list(triple) in left_out:
            continue
        nt = normals[list(triple)]
        tan_phi = [math.tan(math.radians(sets[i]["friction_deg"])) for i in triple]
        coh = [sets[i]["cohesion_kpa"] for i in triple]
        for digits in itertools.product((0, 1), repeat=3):
            m = nt * (1 - 2 * np.array(digits))[:, None]
            if holds_axis(m, 1) or holds_axis(m, -1):
                continue
            w = largest_wedge(m, poly, nf, bf)
            if w is None or w["volume"] < least_volume:
                continue
            weight = case["unit_weight_kn_m3"] * w["volume"]
            motion = mode_of(m, down)
            mode, contact, slide, normal, drive = motion
            row = dict(w, case=case.get("case", 0), mode=mode, weight=weight,
                       id="-".join(sets[i]["name"] for i in triple) + "."
                       + "".join(map(str, digits)),
                       slides_on="|".join(sets[triple[c]]["name"] for c in contact),
                       fs=bare_fs(mode, contact, normal, drive, w["joint"], weight, tan_phi, coh),
                       fs0=bare_fs(mode, contact, normal, drive, w["joint"], weight, tan_phi,
                                   [0, 0, 0]),
                       slide=None if slide is None else frame.T @ slide,
                       least=None, median=None, lost=None, floor=None)
            if n_phases and mode != "no motion":
                fs, lost, floor = dense_fs(rows, case["bolt"], case["pattern"], m, w, poly, nf,
                                           bf, weight, motion, tan_phi, coh, n_phases)
                row.update(least=float(fs.min()), median=float(np.median(fs)), lost=lost,
                           floor=floor)
            yield row


# ---------------------------------------------------------------- invented cases

def draw_case(index):
    """Invented case number index; every number is rounded to at most four decimals."""
    rng = np.random.default_rng([SEED, index])
    uni = lambda a, b, d: round(float(rng.uniform(a, b)), d)
    while True:
        shape = ("flat", "arched", "circular")[int(rng.integers(3))]
        if shape == "flat":
            section = dict(shape=shape, width_m=uni(2.5, 8, 2), height_m=uni(2.5, 6, 2))
        elif shape == "arched":
            w = uni(3, 7.5, 2)
            section = dict(shape=shape, width_m=w, wall_height_m=uni(1.8, 4, 2),
                           rise_m=uni(0.15 * w, 0.48 * w, 2))
        else:
            section = dict(shape=shape, diameter_m=uni(2.5, 8, 2))
        trend = uni(0, 360, 2) % 360
        plunge = 0.0 if rng.random() < 0.3 else uni(-25, 25, 2)
        count = int(rng.choice([3, 4, 5], p=[0.5, 0.3, 0.2]))
        sets = []
        for name in "ABCDE"[:count]:
            r = rng.random()
            dip = 90.0 if r < 0.03 else 0.0 if r < 0.045 else uni(5, 90, 2)
            sets.append(dict(name=name, dip_deg=dip, dip_direction_deg=uni(0, 360, 2) % 360,
                             friction_deg=uni(20, 45, 1),
                             cohesion_kpa=0.0 if rng.random() < 0.5 else uni(0, 20, 1)))
        axis = drive_frame(trend, plunge)[2]
        n = [upward_normal(s["dip_deg"], s["dip_direction_deg"]) for s in sets]
        if any(abs(x @ axis) < MIN_AXIS_ANGLE for x in n):
            continue                       # a plane along the drive: its wedge has no end
        if any(abs(x @ y) > math.cos(math.radians(MIN_SET_ANGLE_DEG))
               for x, y in itertools.combinations(n, 2)):
            continue
        kind = ("resin", "friction", "cable", "mechanical")[int(rng.integers(4))]
        steel = {"resin": (100, 260), "friction": (80, 200), "cable": (180, 500),
                 "mechanical": (60, 150)}[kind]
        bolt = dict(name=f"invented {kind}", kind=kind, steel_kn=uni(*steel, 0))
        if kind == "mechanical":
            bolt.update(anchor_kn=uni(40, 130, 0), anchor_length_m=uni(0.1, 0.4, 2))
        else:
            bond = {"resin": (100, 400), "friction": (20, 80), "cable": (80, 300)}[kind]
            bolt.update(bond_kn_per_m=uni(*bond, 0))
        bolt.update(plate_kn=0.0 if rng.random() < 0.15 else uni(40, 200, 0))
        covers = ["back"] if rng.random() < 0.4 else ["back", "walls"]
        pattern = dict(length_m=uni(1.5, 4, 1), outside_hole_m=uni(0.05, 0.15, 2),
                       ring_spacing_m=uni(0.8, 1.8, 2), spacing_m=uni(0.8, 1.8, 2),
                       covers=covers, stagger=bool(rng.random() < 0.5))
        if len(covers) > 1:
            pattern["lowest_collar_m"] = uni(0.5, 1.8, 2)
        case = dict(case=index, section=section, trend_deg=trend, plunge_deg=plunge,
                    unit_weight_kn_m3=uni(22, 30, 1), sets=sets, bolt=bolt, pattern=pattern)
        every = list(itertools.combinations(range(count), 3))
        if count == 5:
            pick = sorted(int(x) for x in rng.choice(len(every), TRIPLES_OF_FIVE, replace=False))
            case["triples"] = [list(every[x]) for x in pick]
        bad = [list(t) for t in every
               if least_solid_angle(np.array([n[x] for x in t])) < MIN_SOLID_ANGLE_SR]
        if bad:
            case["left_out_triples"] = bad
        return case


COLUMNS = ("case,wedge,mode,slides_on,volume_m3,opening_area_m2,joint_area_1_m2,joint_area_2_m2,"
           "joint_area_3_m2,trace_1_m,trace_2_m,trace_3_m,depth_m,length_m,fs_bare,"
           "fs_bare_no_cohesion,height_over_base,least_fs_dense,median_fs_dense,"
           "phases_plane_lost,phases_bare_floor").split(",")


def full(x):
    """Shortest text that reads back the same."""
    return "" if x is None else repr(float(x)).removesuffix(".0")


def short(x):
    return f"{x:.12g}"


def csv_row(r):
    return [r["case"], r["id"], r["mode"], r["slides_on"], full(r["volume"]), full(r["opening"]),
            *map(full, r["joint"]), *map(short, r["traces"]), short(r["depth"]),
            short(r["length"]), full(r["fs"]), full(r["fs0"]),
            f"{r['depth'] / math.sqrt(r['opening']):.6g}",
            *("" if r[k] is None else short(r[k]) for k in ("least", "median")),
            *("" if r[k] is None else r[k] for k in ("lost", "floor"))]


def work(index):
    case = draw_case(index)
    rows = list(wedges_of(case, N_PHASES if index < N_DENSE_CASES else 0))
    worst = max((abs(r["volume"] / r["fan"] - 1) for r in rows), default=0.0)
    ratio = max((r["ratio"] for r in rows), default=0.0)
    if worst > CROSS_CHECK:
        raise ArithmeticError(f"case {index}: two volumes differ by {worst:.2e}")
    return case, [csv_row(r) for r in rows], worst, ratio


# ---------------------------------------------------------------- the worked example

WORKED = dict(
    section=dict(shape="arched", width_m=5.0, wall_height_m=3.2, rise_m=1.6), trend_deg=35.0,
    plunge_deg=0.0, unit_weight_kn_m3=27.0,
    sets=[dict(name="A", dip_deg=66.0, dip_direction_deg=48.0, friction_deg=32.0, cohesion_kpa=0.0),
          dict(name="B", dip_deg=59.0, dip_direction_deg=170.0, friction_deg=30.0, cohesion_kpa=0.0),
          dict(name="C", dip_deg=51.0, dip_direction_deg=288.0, friction_deg=29.0, cohesion_kpa=5.0)],
    bolt=dict(name="resin rebar 20 mm", kind="resin", steel_kn=120.0, bond_kn_per_m=180.0,
              plate_kn=100.0),
    pattern=dict(length_m=2.4, outside_hole_m=0.1, ring_spacing_m=1.2, spacing_m=1.2,
                 covers=["back", "walls"], lowest_collar_m=1.5, stagger=True))

# id: mode, slides on, slide trend/plunge, V, W, depth, length, opening, traces, FS, FS c=0,
# least, median. The table was made by an earlier, separate reference; printed digits only.
WORKED_TABLE = {
    "A-B-C.000": ("no motion", "", None, 8.5976, 232.14, 2.3552, 4.7133, 10.9516,
                  (5.132, 5.033, 4.929), math.inf, math.inf, None, None),
    "A-B-C.001": ("sliding", "A|B", (113.71, 42.73), 1.3410, 36.21, 1.0106, 3.5892, 3.9809,
                  (2.093, 4.199, 3.816), 1.0246, 1.0246, 7.42, 13.98),
    "A-B-C.101": ("sliding", "B", (170, 59), 0.0014, 0.04, 0.0545, 0.6239, 0.0881,
                  (0.550, 0.803, 1.144), 0.3469, 0.3469, 0.347, 0.347),
    "A-B-C.110": ("sliding", "C", (288, 51), 1.7199, 46.44, 1.0969, 3.8958, 4.7678,
                  (2.998, 5.212, 4.142), 0.9193, 0.4489, 7.30, 7.66),
    "A-B-C.111": ("falling", "", None, 0.8523, 23.01, 1.0285, 2.6684, 2.8269,
                  (4.441, 3.236, 3.205), 0.0, 0.0, 5.07, 9.91)}


def check():
    """Compare with the worked example to its printed digits; non-zero exit on a difference."""
    rows = {r["id"]: r for r in wedges_of(WORKED, N_PHASES_CHECK)}
    bad = compared = 0

    def near(what, got, want, half):
        nonlocal bad, compared
        compared += 1
        good = got == want if math.isinf(want) else abs(got - want) <= half * 1.0001
        bad += not good
        print(f"{'agrees ' if good else 'DIFFERS'} {what:28} {got:.6f}  printed {want}")

    if set(rows) != set(WORKED_TABLE):
        bad += 1
        print("DIFFERS: wedges", sorted(rows))
    for key, t in WORKED_TABLE.items():
        r = rows[key]
        if (r["mode"], r["slides_on"]) != t[:2]:
            bad += 1
            print("DIFFERS", key, r["mode"], r["slides_on"])
        if t[2]:
            s = r["slide"]
            near(key + " slide trend", math.degrees(math.atan2(s[0], s[1])) % 360, t[2][0], 5e-3)
            near(key + " slide plunge", math.degrees(math.asin(-s[2])), t[2][1], 5e-3)
        for name, got, want, half in (
                ("volume", r["volume"], t[3], 5e-5), ("weight", r["weight"], t[4], 5e-3),
                ("depth", r["depth"], t[5], 5e-5), ("length", r["length"], t[6], 5e-5),
                ("opening", r["opening"], t[7], 5e-5), ("fs", r["fs"], t[9], 5e-5),
                ("fs c=0", r["fs0"], t[10], 5e-5)):
            near(f"{key} {name}", got, want, half)
        for x in range(3):
            near(f"{key} trace {'ABC'[x]}", r["traces"][x], t[8][x], 5e-4)
        if t[11] is not None:
            half = 5e-4 if t[11] < 1 else 5e-3
            near(f"{key} least fs", r["least"], t[11], half)
            near(f"{key} median fs", r["median"], t[12], half)
    print(f"{compared} numbers compared, {bad} differ")
    return 1 if bad else 0


# ---------------------------------------------------------------- output

def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--check", action="store_true", help="reproduce the worked example only")
    ap.add_argument("--cases", type=int, default=N_CASES)
    ap.add_argument("--processes", type=int, default=2)
    ap.add_argument("--out", default=HERE)
    args = ap.parse_args()
    if args.check:
        return check()
    began = time.time()
    modes, thin, lost, floor, dense = {}, 0, 0, 0, 0
    worst = ratio = 0.0
    left_out = 0
    with open(os.path.join(args.out, "cases.jsonl"), "w") as fc, \
            open(os.path.join(args.out, "wedges.csv"), "w", newline="") as fw, \
            multiprocessing.Pool(args.processes) as pool:
        out = csv.writer(fw, lineterminator="\n")
        out.writerow(COLUMNS)
        for case, rows, w, q in pool.imap(work, range(args.cases), chunksize=4):
            fc.write(json.dumps(case, separators=(",", ":")) + "\n")
            out.writerows(rows)
            worst, ratio = max(worst, w), max(ratio, q)
            left_out += len(case.get("left_out_triples", []))
            for r in rows:
                modes[r[2]] = modes.get(r[2], 0) + 1
                thin += float(r[16]) < 0.05
                if r[17] != "":
                    dense += 1
                    lost += r[19] > 0
                    floor += r[20] > 0
    total = sum(modes.values())
    with open(os.path.join(HERE, "README.template.md")) as f:
        text = f.read()
    counts = "\n".join(f"| {m} | {modes.get(m, 0)} |" for m in ("falling", "sliding", "no motion"))
    text = text.format(python=platform.python_version(), numpy=np.__version__,
                       scipy=scipy.__version__, seed=SEED, cases=args.cases, dense=dense,
                       lost=lost, floor=floor, phases=N_PHASES, worst=f"{worst:.1e}",
                       ratio=f"{ratio:.3g}", thin=thin, left_out=left_out, counts=counts,
                       total=total, dense_cases=N_DENSE_CASES, triples=TRIPLES_OF_FIVE)
    with open(os.path.join(args.out, "README.md"), "w") as f:
        f.write(text)
    print(f"{args.cases} cases, {total} wedges {modes}, worst volume difference {worst:.2e}, "
          f"{time.time() - began:.0f} s", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
