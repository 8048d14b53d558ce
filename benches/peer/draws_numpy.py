#!/usr/bin/env python3
"""What a careful practitioner would script today: a vectorised NumPy Monte Carlo
of the tetrahedral wedges on the flat back and the two walls of a rectangular drive.

Every sample draws three joint orientations (Fisher scatter) and three friction
angles, builds the eight joint pyramids, keeps those whose three edges daylight in
one planar surface, sizes the wedge to the width of that surface, and finds volume,
sliding mode and unsupported factor of safety (Warburton 1981 vector method).
It prints wall seconds, wedges formed, wedges with factor of safety below one.

    draws_numpy.py --samples 200000 [--chunk 50000] [--seed 1]
"""
import argparse, math, time
import numpy as np

SETS = [  # dip, dip direction, Fisher K, friction mean and deviation (degrees); invented
    (68.0, 42.0, 60.0, 32.0, 3.0),
    (61.0, 163.0, 45.0, 30.0, 3.0),
    (49.0, 281.0, 80.0, 28.0, 3.0),
]
WIDTH, HEIGHT, TREND, GAMMA = 5.0, 4.5, 35.0, 27.0


def normals(rng, dip, dd, k, n):
    """Fisher scatter about the set's upward normal, shape (n, 3)"""
    d, a = math.radians(dip), math.radians(dd)
    w = np.array([math.sin(d) * math.sin(a), math.sin(d) * math.cos(a), math.cos(d)])
    u = np.cross(w, [0.0, 0.0, 1.0]); u /= np.linalg.norm(u)
    v = np.cross(w, u)
    c = 1.0 + np.log1p(rng.random(n) * (math.exp(-2 * k) - 1.0)) / k
    s = np.sqrt(np.maximum(0.0, 1.0 - c * c))
    p = rng.random(n) * 2 * math.pi
    x = c[:, None] * w + (s * np.cos(p))[:, None] * u + (s * np.sin(p))[:, None] * v
    return np.where(x[:, 2:] < 0, -x, x)


def batch(rng, n, surfaces, axis):
    nn = [normals(rng, d, a, k, n) for d, a, k, _, _ in SETS]
    tan = [np.tan(np.radians(np.clip(rng.normal(f, s, n), 1.0, 89.0))) for *_, f, s in SETS]
    lines = [np.cross(nn[1], nn[2]), np.cross(nn[2], nn[0]), np.cross(nn[0], nn[1])]
    formed = failing = 0
    weight = 0.0
    down = np.array([0.0, 0.0, -1.0])
    for code in range(8):
        sg = [1.0 if not code >> i & 1 else -1.0 for i in range(3)]
        m = [sg[i] * nn[i] for i in range(3)]
        e = []
        for i in range(3):
            t = np.einsum('ij,ij->i', m[i], lines[i])
            e.append(lines[i] * np.sign(t)[:, None])
        for nf, width, across in surfaces:
            g = [x @ nf for x in e]
            ok = (g[0] < -1e-9) & (g[1] < -1e-9) & (g[2] < -1e-9)
            if not ok.any():
                continue
            idx = np.flatnonzero(ok)
            p = [e[i][idx] / -g[i][idx, None] for i in range(3)]      # edge vectors for unit height
            y = np.stack([q @ across for q in p])
            h = width / (y.max(0) - y.min(0))
            vol = np.abs(np.einsum('ij,ij->i', p[0], np.cross(p[1], p[2]))) / 6.0 * h ** 3
            mi = [m[i][idx] for i in range(3)]
            ti = [tan[i][idx] for i in range(3)]
            f = [x @ down for x in mi]
            fs = np.full(len(idx), np.inf)
            fs[(f[0] > 0) & (f[1] > 0) & (f[2] > 0)] = 0.0
            for i in range(3):
                j, k = (i + 1) % 3, (i + 2) % 3
                s = down - f[i][:, None] * mi[i]
                q = (f[i] <= 0) & (np.einsum('ij,ij->i', s, mi[j]) > 0) & (np.einsum('ij,ij->i', s, mi[k]) > 0)
                fs = np.where(q, -f[i] * ti[i] / np.maximum(np.linalg.norm(s, axis=1), 1e-12), fs)
            for i, j, k in ((0, 1, 2), (0, 2, 1), (1, 2, 0)):
                s = np.cross(mi[i], mi[j])
                s *= np.sign(np.einsum('ij,ij->i', s, mi[k]))[:, None]
                s /= np.linalg.norm(s, axis=1)[:, None]
                t = s @ down
                c = np.einsum('ij,ij->i', mi[i], mi[j])
                det = 1.0 - c * c
                ni, nj = -(f[i] - c * f[j]) / det, -(f[j] - c * f[i]) / det
                si = np.einsum('ij,ij->i', down - f[i][:, None] * mi[i], mi[j])
                sj = np.einsum('ij,ij->i', down - f[j][:, None] * mi[j], mi[i])
                q = (t > 0) & (si <= 0) & (sj <= 0) & (ni >= 0) & (nj >= 0)
                fs = np.where(q, (ni * ti[i] + nj * ti[j]) / np.maximum(t, 1e-12), fs)
            formed += len(idx)
            bad = fs < 1.0
            failing += int(bad.sum())
            weight += float((vol[bad] * GAMMA).sum())
    return formed, failing, weight


def main():
    a = argparse.ArgumentParser()
    a.add_argument('--samples', type=int, default=200_000)
    a.add_argument('--chunk', type=int, default=50_000)
    a.add_argument('--seed', type=int, default=1)
    a = a.parse_args()
    t = math.radians(TREND)
    axis = np.array([math.sin(t), math.cos(t), 0.0])
    right = np.array([math.cos(t), -math.sin(t), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    surfaces = [(up, WIDTH, right), (right, HEIGHT, up), (-right, HEIGHT, up)]
    rng = np.random.default_rng(a.seed)
    t0, c0, done, tot = time.perf_counter(), time.process_time(), 0, np.zeros(3)
    while done < a.samples:
        n = min(a.chunk, a.samples - done)
        tot += batch(rng, n, surfaces, axis)
        done += n
    dt, cpu = time.perf_counter() - t0, time.process_time() - c0
    print(f'samples {done} seconds {dt:.3f} samples_per_s {done / dt:.0f} samples_per_cpu_s {done / cpu:.0f} wedges {int(tot[0])} failing {int(tot[1])} mean_failing_weight_kn {tot[2] / max(1, tot[1]):.2f}')


if __name__ == '__main__':
    main()
