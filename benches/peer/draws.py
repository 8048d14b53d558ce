#!/usr/bin/env python3
"""Draws a second of `backhold chance` beside draws_numpy.py, what a careful practitioner would script with
numpy: flat surfaces one by one, no bolts. Both run in turn on this machine, several times each, and the fastest
of each counts. The same sets, scatter and frictions; all numbers invented.

    pip install numpy
    cargo build --release
    python3 benches/peer/draws.py [target/release/backhold] [--repeats 3]

Of backhold the time of N draws is taken from that of 3 N, so that reading, drawing and writing are in neither;
the script times its draws itself. Seconds are of processor time (user and system), the script's too, so that
other work on the machine counts for little; two threads get two cores for theirs. Wall time stands beside, which
says something on an idle machine alone. Prints draws a second, the ratios, two threads against one, the most
memory of a short and a long run, and how fast numpy multiplies matrices on one core, which is as near as anybody
comes to the peak of floating-point arithmetic here.
"""
import argparse, math, os, pathlib, subprocess, sys, tempfile, time

HERE = pathlib.Path(__file__).parent
FLAT = '{ shape = "flat", width_m = 5.0, height_m = 4.5 }'
# Walls 3.4 m high under an arc that rises 1.6 m, of 64 chords.
CHORDS, RISE = 64, 1.6
RADIUS = (2.5**2 + RISE**2) / (2 * RISE)
HALF = math.asin(2.5 / RADIUS)
TURNS = [HALF * (1 - 2 * i / CHORDS) for i in range(CHORDS + 1)]
ARC = [[round(RADIUS * math.sin(t), 9), round(3.4 + RISE - RADIUS + RADIUS * math.cos(t), 9)] for t in TURNS]
ARCHED = '{ shape = "outline", file = "outline.csv" }'
SETS = [("A", 68.0, 42.0, 60.0, 32.0), ("B", 61.0, 163.0, 45.0, 30.0), ("C", 49.0, 281.0, 80.0, 28.0)]
# 11 bolts a ring.
BOLTS = """
[[bolt]]
name = "rebar"
kind = "resin"
steel_kn = 120.0
bond_kn_per_m = 180.0
plate_kn = 100.0
[[pattern]]
bolt = "rebar"
length_m = 2.4
outside_hole_m = 0.1
ring_spacing_m = 1.2
spacing_m = 1.0
covers = ["back", "walls"]
lowest_collar_m = 1.2
"""
CASES = [("bare, flat", FLAT, "", 1_000_000), ("bare, arched", ARCHED, "", 800_000), ("bolted, arched", ARCHED, BOLTS, 300_000)]
SCRIPT_SAMPLES = 200_000
# Runs whose memory is compared.
SHORT, LONG = 100_000, 4_000_000
PEAK = """
import time, numpy
n = 1500
a = numpy.random.default_rng(1).random((n, n))
a @ a
best = 9e9
for _ in range(5):
    start = time.process_time()
    a @ a
    best = min(best, time.process_time() - start)
print(2 * n ** 3 / best / 1e9)
"""
# One thread, like the script: numpy's libraries would take more.
ONE = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


def case(section, bolts):
    text = f"""title = "Draws a second (invented)"
[drive]
trend_deg = 35.0
plunge_deg = 0.0
section = {section}
round_length_m = 3.6
[rock]
unit_weight_kn_m3 = 27.0
[criteria]
min_fs_falling = 1.0
min_fs_sliding = 1.0
"""
    for name, dip, direction, k, friction in SETS:
        text += f"""[[joint_set]]
name = "{name}"
dip_deg = {dip}
dip_direction_deg = {direction}
fisher_k = {k}
friction_deg = {{ mean = {friction}, sd = 3.0 }}
"""
    return text + bolts


def put(file, section, bolts):
    """Writes a case, and beside it the outline that it may name."""
    points = [[-2.5, 0.0], [2.5, 0.0]] + ARC
    file.with_name("outline.csv").write_text("u_m,v_m\n" + "".join(f"{u},{v}\n" for u, v in points))
    file.write_text(case(section, bolts))


def python(*arguments):
    env = dict(os.environ, **ONE)
    return subprocess.run([sys.executable, *arguments], capture_output=True, check=True, text=True, env=env).stdout


def numpy_rates():
    """Draws a second of the script, by processor time and by the clock."""
    words = python(str(HERE / "draws_numpy.py"), "--samples", str(SCRIPT_SAMPLES)).split()
    rate = lambda key: float(words[words.index(key) + 1])
    return rate("samples_per_cpu_s"), rate("samples_per_s")


def run(program, file, folder, draws, threads):
    """Processor time, wall time, and the most memory, KiB."""
    command = [program, "chance", str(file), "--draws", str(draws), "--out", str(folder), "--overwrite"]
    env = dict(os.environ, RAYON_NUM_THREADS=str(threads))
    start = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=env)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{command}: status {child.returncode}")
    return usage.ru_utime + usage.ru_stime, time.perf_counter() - start, usage.ru_maxrss


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program", nargs="?", default="target/release/backhold")
    parser.add_argument("--repeats", type=int, default=3)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        file = folder / "case.toml"
        script, fastest = (0.0, 0.0), {}
        for _ in range(asked.repeats):
            script = tuple(map(max, script, numpy_rates()))
            for name, section, bolts, draws in CASES:
                put(file, section, bolts)
                for threads in (1, 2):
                    few = run(asked.program, file, folder / "out", draws, threads)
                    many = run(asked.program, file, folder / "out", 3 * draws, threads)
                    cpu, wall = (max(many[i] - few[i], 1e-9) for i in (0, 1))
                    rates = (2 * draws * threads / cpu, 2 * draws / wall)
                    fastest[name, threads] = tuple(map(max, fastest.get((name, threads), (0.0, 0.0)), rates))
        print(f"numpy script, one process: {script[0]:.0f} draws a second of processor time, {script[1]:.0f} by the clock")
        for (name, threads), (cpu, wall) in fastest.items():
            print(
                f"backhold, {name}, {threads} thread(s): {cpu:.0f} draws a second of processor time on {threads} core(s), "
                f"{cpu / script[0]:.1f} times the script; {wall:.0f} by the clock, {wall / script[1]:.1f} times"
            )
        for name, *_ in CASES:
            two, one = fastest[name, 2], fastest[name, 1]
            print(f"{name}: two threads against one {two[0] / one[0]:.2f} by processor time, {two[1] / one[1]:.2f} by the clock")
        put(file, FLAT, "")
        for draws in (SHORT, LONG):
            print(f"bare, flat, 2 threads, {draws} draws: at most {run(asked.program, file, folder / 'out', draws, 2)[2] / 1024:.1f} MiB")
        print(f"matrices in numpy, one core: {float(python('-c', PEAK)):.1f} GFLOP/s")


if __name__ == "__main__":
    main()
