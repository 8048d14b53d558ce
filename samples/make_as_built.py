"""Writes samples/as_built_bolts.csv: an invented record of the bolts of samples/as_built.toml.

The drawn pattern, chainage 40 to 64, as a crew might leave it: collars off their place, two rings of
the back not drilled where the vent duct was in the way, some bolts without plate or resin, one
broken, and a few slips of the pen. Everything is drawn from a fixed seed.
"""

import math
import random

WIDTH, WALL, RISE = 5.0, 3.4, 1.6
RADIUS = (0.25 * WIDTH**2 + RISE**2) / (2 * RISE)
HALF_ARC = RADIUS * math.asin(0.5 * WIDTH / RADIUS)
LOWEST, SPACING, RING = 1.2, 1.2, 1.2
ADVANCE = 230.0
FROM, TO = 40.0, 64.0


def normal(arc):
    """Outward normal (u, v) of the section at an arc length from the crown, right positive."""
    if abs(arc) > HALF_ARC:
        return math.copysign(1.0, arc), 0.0
    turn = arc / RADIUS
    return math.sin(turn), math.cos(turn)


def direction(arc, lean_u, lean_s):
    u, v = normal(arc)
    u, s = u + lean_u, lean_s
    t = math.radians(ADVANCE)
    east = u * math.cos(t) + s * math.sin(t)
    north = -u * math.sin(t) + s * math.cos(t)
    flat = math.hypot(east, north)
    return math.degrees(math.atan2(east, north)) % 360.0, -math.degrees(math.atan2(v, flat))


def main():
    draw = random.Random(4064)
    rows = []
    reach = HALF_ARC + WALL - LOWEST
    ring = 0
    while FROM + ring * RING <= TO + 1e-9:
        shift = 0.5 if ring % 2 else 0.0
        steps = range(-6, 6)
        arcs = sorted((i + shift) * SPACING for i in steps if abs((i + shift) * SPACING) <= reach)
        for arc in arcs:
            chainage = FROM + ring * RING
            state = "good"
            note = ""
            if ring in (9, 10) and abs(arc) < 2.0:
                continue  # behind the duct
            if ring == 14 and arc > 0:
                chainage += 0.45
                note = "boom could not reach"
            if draw.random() < 0.04:
                state = "no plate"
            elif draw.random() < 0.03:
                state = "not grouted"
            chainage = min(max(chainage + draw.gauss(0, 0.06), FROM), TO)
            at = arc + draw.gauss(0, 0.06)
            trend, plunge = direction(at, draw.gauss(0, 0.05), draw.gauss(0, 0.05))
            rows.append(
                f"{chainage:.2f},{at:.2f},{trend:.0f},{plunge:.0f},2.4,0.1,resin rebar 20 mm,{state},{note}"
            )
        ring += 1
    rows[17] = rows[17].replace(",good,", ",broken,")
    # Slips of the pen: each is rejected with its reason.
    rows.insert(30, "44.90,0.62,50,70,2.4,0.1,resin rebar 20 mm,good,plunge without its minus")
    rows.insert(61, "49.1O,-1.22,140,-65,2.4,0.1,resin rebar 20 mm,good,a letter for a nought")
    rows.insert(90, "53.25,1.21,320,-65,2.4,0.1,resin rebar 22 mm,good,a bolt that the case does not have")
    rows.insert(120, rows[100])
    with open("samples/as_built_bolts.csv", "w", encoding="utf-8", newline="\n") as file:
        file.write("# Invented: no real heading. Written by make_as_built.py, seed 4064.\n")
        file.write("chainage_m,arc_m,trend_deg,plunge_deg,length_m,outside_hole_m,bolt,state,note\n")
        file.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
