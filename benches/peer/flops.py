#!/usr/bin/env python3
"""Instructions and floating-point operations of a draw of `backhold chance`, by step, counted by valgrind, so that
other work on the machine changes nothing. Cases are those of draws.py.

    cargo build --release --config profile.release.strip=false
    python3 benches/peer/flops.py [target/release/backhold]

What a draw takes is the difference of two runs over the draws between them. An instruction on two or four numbers
counts as so many operations, one that multiplies and adds as twice as many; min, max, compare and convert are not
counted. Needs valgrind and objdump.
"""
import collections, os, pathlib, re, subprocess, sys, tempfile

import draws

FEW = 12_000  # drivers come from the first 10,000 draws: beyond them all draws cost the same
# So many more that what is drawn and written of them, which is never quite the same, counts for little.
MORE, MORE_BOLTED = 40_000, 10_000
KINDS = re.compile(r"^v?(add|sub|mul|div|sqrt|fn?m(?:add|sub)(?:132|213|231))(sd|pd)$")
# Steps by what a function's name holds, the first that fits.
STEPS = [
    ("bolts", ("support::",)),
    ("drawing", ("chance::draw", "chacha", "statrs", "scatter", "guts")),
    ("counting", ("tally",)),
    ("wedges", ("chance::fast", "chance::one", "wedge::", "stability::", "opening::", "seat", "strength::")),
]


def operations(mnemonic, operands):
    found = KINDS.match(mnemonic)
    if not found:
        return 0
    lanes = 1 if found[2] == "sd" else 4 if "%ymm" in operands else 2
    return lanes * (2 if "m" in found[1][:3] and found[1].startswith("f") else 1)


def costs(program, file, folder, count):
    """By object and address, how often it ran, and by function, how many instructions."""
    out = folder / "callgrind.out"
    command = ["valgrind", "--tool=callgrind", "--dump-instr=yes", "--compress-pos=no", "--compress-strings=no"]
    command += [f"--callgrind-out-file={out}", program, "chance", str(file), "--draws", str(count)]
    command += ["--out", str(folder / "out"), "--overwrite"]
    subprocess.run(command, check=True, capture_output=True, env=dict(os.environ, RAYON_NUM_THREADS="1"))
    by_address, by_function = collections.Counter(), collections.Counter()
    thing, function, called = "", "", False
    for line in out.open():
        line = line.rstrip()
        if line.startswith("ob="):
            thing = line[3:]
        elif line.startswith("fn="):
            function = line[3:]
        elif line.startswith("calls="):
            called = True
        elif line.startswith("0x"):
            if not called:
                address, *_, cost = line.split()
                by_address[thing, int(address, 16)] += int(cost)
                by_function[function] += int(cost)
            called = False
    return by_address, by_function


def mnemonics(thing):
    text = subprocess.run(["objdump", "-d", "--no-show-raw-insn", thing], capture_output=True, text=True).stdout
    found = re.findall(r"^\s*([0-9a-f]+):\s+(\S+)\s*(.*)$", text, re.M)
    return {int(address, 16): (name, operands) for address, name, operands in found}


def main():
    program = sys.argv[1] if len(sys.argv) > 1 else "target/release/backhold"
    tables = {}
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        file = folder / "case.toml"
        for name, section, bolts, _ in draws.CASES:
            more = MORE_BOLTED if bolts else MORE
            draws.put(file, section, bolts)
            few, many = (costs(program, file, folder, count) for count in (FEW, FEW + more))
            each = lambda which: ((key, (many[which][key] - few[which][key]) / more) for key in many[which])
            flops = whole = 0.0
            for (thing, address), times in each(0):
                whole += times
                if times and os.path.exists(thing):
                    table = tables.setdefault(thing, None) or mnemonics(thing)
                    tables[thing] = table
                    flops += times * operations(*table.get(address, ("", "")))
            steps = collections.Counter()
            for function, times in each(1):
                fits = (step for step, words in STEPS if any(word in function for word in words))
                steps[next(fits, "other")] += times
            shares = ", ".join(f"{step} {100 * times / whole:.0f} %" for step, times in steps.most_common())
            print(f"{name}: {whole:.0f} instructions and {flops:.0f} floating-point operations a draw; {shares}")


if __name__ == "__main__":
    main()
