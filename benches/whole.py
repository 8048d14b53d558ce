#!/usr/bin/env python3
"""Times whole runs of the program, each as somebody types it: the samples and the cases that are hard for it.

    python3 benches/whole.py PROGRAM [PROGRAM ...] [--only NAME ...] [--runs 3] [--instructions]

Every program runs every case in turn, on one thread; the least CPU time of some runs counts, and the most memory.
Wall time on one thread and on two is told too. Machines are noisy: set two programs beside each other in one run,
and trust --instructions (valgrind) more than times. Cases are made here from samples; nothing of them is measured.
"""

import argparse
import math
import os
import pathlib
import random
import re
import resource
import shutil
import subprocess
import tempfile
import time

SAMPLES = pathlib.Path(__file__).resolve().parent.parent / "samples"


def sample(name: str) -> str:
    return (SAMPLES / f"{name}.toml").read_text()


def without_caps(text: str) -> str:
    text = re.sub(r"^max_(trace|depth|length|volume)_m3? = .*\n", "", text, flags=re.M)
    return text.replace("[limits]\n\n", "")


def joint_sets(count: int, seed: int) -> str:
    """Sets of all directions, with traces that a development heading shows."""
    draw = random.Random(seed)
    rows = []
    for i in range(count):
        dip = draw.uniform(25.0, 88.0)
        towards = (360.0 * i / count + draw.uniform(-15.0, 15.0)) % 360.0
        rows.append(
            f'[[joint_set]]\nname = "S{i + 1}"\ndip_deg = {dip:.1f}\ndip_direction_deg = {towards:.1f}\n'
            f"friction_deg = {draw.uniform(26.0, 36.0):.1f}\nmax_trace_m = {draw.uniform(3.0, 6.0):.1f}\n"
        )
    return "\n".join(rows)


def with_sets(count: int, seed: int) -> str:
    """The cross-cut in other ground."""
    text = sample("crosscut_incline")
    first, last = text.index("[[joint_set]]"), text.index("[limits]")
    return text[:first] + joint_sets(count, seed) + "\n" + text[last:]


def two_rings() -> str:
    """Two patterns whose rings hardly ever stand alike, over a wedge that is short."""
    text = without_caps(sample("haulage").split("[plan]")[0])
    text = re.sub(r"section = .*", 'section = { shape = "arched", width_m = 12.0, wall_height_m = 4.0, rise_m = 3.0 }', text)
    at = text.index("[[pattern]]")
    pattern = text[at:]
    more = re.sub(r"ring_spacing_m = .*", "ring_spacing_m = 1.17", pattern)
    pattern = re.sub(r"ring_spacing_m = .*", "ring_spacing_m = 1.2", pattern)
    return text[:at] + pattern + "\n" + more


def with_structures(count: int) -> str:
    text = sample("structures")
    at = text.index("[[structure]]")
    draw = random.Random(7)
    rows = []
    for i in range(count):
        rows.append(
            f'[[structure]]\nname = "fault_{i + 1}"\ndip_deg = {draw.uniform(40, 85):.1f}\n'
            f"dip_direction_deg = {draw.uniform(0, 360):.1f}\nfriction_deg = {draw.uniform(18, 26):.1f}\n"
            f"chainage_m = {50 + 3 * i}.0\nu_m = -2.5\nv_m = 1.5\n"
        )
    return text[:at] + "\n".join(rows)


def survey(rows: int, path: pathlib.Path) -> None:
    """Written line by line: what this process holds counts as the least memory of what it starts."""
    draw = random.Random(11)
    sets = [(70, 40), (60, 155), (45, 280)]
    with path.open("w") as file:
        file.write("dip_deg,dip_direction_deg,trace_length_m,ends_seen,scanline,distance_m\n")
        for i in range(rows):
            dip, towards = sets[i % 3]
            dip = min(90.0, abs(draw.gauss(dip, 6)))
            towards = draw.gauss(towards, 8) % 360
            trace = draw.expovariate(0.5) + 0.1
            file.write(f"{dip:.0f},{towards % 360:.0f},{trace:.1f},{draw.randrange(3)},SL1,{i * 0.01:.2f}\n")


def cases(folder: pathlib.Path) -> dict[str, list[str]]:
    """Arguments of each run by its name; files are written into the folder."""

    def check(name: str, text: str, *more: str) -> list[str]:
        (folder / f"{name}.toml").write_text(text)
        return ["check", str(folder / f"{name}.toml"), *more]

    at = [str(SAMPLES / f"{name}.toml") for name in ("haulage", "crosscut_incline", "decline_cables")]
    known = {
        "haulage": ["check", at[0]],
        "crosscut_incline": ["check", at[1]],
        "crosscut_incline without caps": check("no_caps", without_caps(sample("crosscut_incline"))),
        "decline_cables": ["check", at[2]],
        "decline_cables --spacings": ["check", at[2], "--spacings"],
    }
    for name in ("haulage_four_sets", "short_drive", "structures", "ore_drive_fault", "as_built", "shaken_drive"):
        known[name] = ["check", str(SAMPLES / f"{name}.toml")]
    known["five sets, 10 triples"] = check("five_sets", with_sets(5, 5))
    known["eight sets, 56 triples"] = check("eight_sets", with_sets(8, 8))
    known["rings of 1.2 and 1.17 m"] = check("two_rings", two_rings())
    known["20 structures"] = check("structures_20", with_structures(20))
    known["20 sets, 1,140 triples"] = check("twenty_sets", with_sets(20, 20))
    for name in [name for name, (command, *more) in known.items() if command == "check" and len(more) == 1]:
        if name != "20 sets, 1,140 triples":
            known[f"{name}, verdict"] = ["verdict", known[name][1]]
    readings = folder / "million.csv"
    lines = folder / "lines.csv"
    lines.write_text("id,kind,trend_deg,plunge_deg,length_m\nSL1,scanline,90,0,10010\n")
    known["map of 1,000,000 readings"] = ["map", str(readings), "--lines", str(lines)]
    return known


def placed(arguments: list[str], out: pathlib.Path) -> list[str]:
    """With the folder to write into, where the command writes anything."""
    return arguments if arguments[0] == "verdict" else [*arguments, "--out", str(out)]


def run(program: str, arguments: list[str], threads: int, out: pathlib.Path) -> tuple[float, float, float, int]:
    """CPU seconds, wall seconds, most memory (MB) and status of one run."""
    shutil.rmtree(out, ignore_errors=True)
    environment = {**os.environ, "RAYON_NUM_THREADS": str(threads)}
    began = time.monotonic()
    child = subprocess.Popen(
        [program, *placed(arguments, out)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment,
    )
    _, status, used = os.wait4(child.pid, 0)
    return (
        used.ru_utime + used.ru_stime,
        time.monotonic() - began,
        used.ru_maxrss / 1000.0,
        os.waitstatus_to_exitcode(status),
    )


def instructions(program: str, arguments: list[str], out: pathlib.Path) -> float:
    shutil.rmtree(out, ignore_errors=True)
    ran = subprocess.run(
        ["valgrind", "--tool=callgrind", f"--callgrind-out-file={out}.callgrind", program, *placed(arguments, out)],
        capture_output=True, text=True, env={**os.environ, "RAYON_NUM_THREADS": "1"}, check=False,
    )
    found = re.search(r"Collected : (\d+)", ran.stderr)
    return int(found.group(1)) / 1e9 if found else math.nan


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("programs", nargs="+", metavar="PROGRAM")
    parser.add_argument("--only", nargs="+", default=[], metavar="NAME", help="cases whose name holds one of these")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--instructions", action="store_true", help="count them too (valgrind): some fifty times slower")
    asked = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        wanted = {
            name: arguments
            for name, arguments in cases(folder).items()
            if not asked.only or any(part in name for part in asked.only)
        }
        if any(name.startswith("map") for name in wanted):
            survey(1_000_000, folder / "million.csv")
        print("| work | program | CPU s | wall s, one thread | two threads | MB | status |" + " instructions, 1e9 |" * asked.instructions)
        print("|---|---|---|---|---|---|---|" + "---|" * asked.instructions)
        for name, arguments in wanted.items():
            for number, program in enumerate(asked.programs, 1):
                one = [run(program, arguments, 1, folder / "out") for _ in range(asked.runs)]
                two = [run(program, arguments, 2, folder / "out") for _ in range(asked.runs)]
                row = [
                    name, str(number), f"{min(r[0] for r in one):.2f}", f"{min(r[1] for r in one):.2f}",
                    f"{min(r[1] for r in two):.2f}", f"{max(r[2] for r in one + two):.0f}", str(one[0][3]),
                ]
                if asked.instructions:
                    row.append(f"{instructions(program, arguments, folder / 'out'):.2f}")
                print("| " + " | ".join(row) + " |", flush=True)


if __name__ == "__main__":
    main()
