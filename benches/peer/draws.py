#!/usr/bin/env python3
"""Draws a second of `backhold chance` beside draws_numpy.py, what a careful practitioner would script with
numpy: flat surfaces one by one, no bolts. Both run in turn on this machine, three times each, and the fastest
of each counts. The same sets, scatter and frictions; all numbers invented.

    pip install numpy
    cargo build --release
    python3 benches/peer/draws.py [target/release/backhold]

Of backhold the wall time of N draws is taken from that of 3 N, so that reading, drawing and writing are in
neither; the script times its draws itself. Prints draws a second, and the ratios.
"""
import os, pathlib, subprocess, sys, tempfile, time

HERE = pathlib.Path(__file__).parent
FLAT = '{ shape = "flat", width_m = 5.0, height_m = 4.5 }'
ARCHED = '{ shape = "arched", width_m = 5.0, wall_height_m = 3.4, rise_m = 1.6 }'
SETS = [("A", 68.0, 42.0, 60.0, 32.0), ("B", 61.0, 163.0, 45.0, 30.0), ("C", 49.0, 281.0, 80.0, 28.0)]
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
spacing_m = 1.2
covers = ["back", "walls"]
lowest_collar_m = 1.2
"""
REPEATS = 3


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


def numpy_rate(samples=200_000):
    script = str(HERE / "draws_numpy.py")
    out = subprocess.run([sys.executable, script, "--samples", str(samples)], capture_output=True, check=True, text=True)
    words = out.stdout.split()
    return float(words[words.index("samples_per_s") + 1])


def seconds(program, file, folder, draws, threads):
    command = [program, "chance", str(file), "--draws", str(draws), "--out", str(folder), "--overwrite"]
    env = dict(os.environ, RAYON_NUM_THREADS=str(threads))
    start = time.perf_counter()
    subprocess.run(command, capture_output=True, check=True, env=env)
    return time.perf_counter() - start


def main():
    program = sys.argv[1] if len(sys.argv) > 1 else "target/release/backhold"
    cases = [("bare, flat", FLAT, "", 1_000_000), ("bare, arched", ARCHED, "", 1_000_000), ("bolted, arched", ARCHED, BOLTS, 100_000)]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        script, fastest = 0.0, {}
        for _ in range(REPEATS):
            script = max(script, numpy_rate())
            for name, section, bolts, draws in cases:
                file = folder / "case.toml"
                file.write_text(case(section, bolts))
                for threads in (1, 2):
                    took = seconds(program, file, folder / "out", 3 * draws, threads) - seconds(program, file, folder / "out", draws, threads)
                    key = (name, threads)
                    fastest[key] = max(fastest.get(key, 0.0), 2 * draws / max(took, 1e-9))
    print(f"numpy script, one process: {script:.0f} draws a second")
    for (name, threads), rate in fastest.items():
        print(f"backhold, {name}, {threads} thread(s): {rate:.0f} draws a second, {rate / script:.1f} times the script")
    for name, *_ in cases:
        print(f"{name}: two threads against one {fastest[name, 2] / fastest[name, 1]:.2f}")


if __name__ == "__main__":
    main()
