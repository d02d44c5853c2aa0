"""Makes land.bin from the land of Natural Earth at 1:110 million.

    npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz && python make.py package/land-110m.json

Lines of the coast, one after the other: how many points (u16), then longitude and latitude of each in hundredths of a
degree (i16), little-endian.
"""

import json
import struct
import sys

topology = json.load(open(sys.argv[1]))
scale, move = topology["transform"]["scale"], topology["transform"]["translate"]
out = bytearray()
lines = points = 0
for arc in topology["arcs"]:
    x = y = 0
    line = []
    for dx, dy in arc:
        x, y = x + dx, y + dy
        at = tuple(round((value * s + m) * 100) for value, s, m in zip((x, y), scale, move))
        if not line or line[-1] != at:
            line.append(at)
    # The seam of the map at 180 degrees and its lower edge are no coast.
    runs, run = [], line[:1]
    for before, at in zip(line, line[1:]):
        seam = (
            abs(before[0] - at[0]) > 18000
            or min(abs(before[0]), abs(at[0])) >= 17999
            or max(before[1], at[1]) <= -8990
        )
        if seam:
            runs.append(run)
            run = [at]
        else:
            run.append(at)
    for run in [*runs, run]:
        if len(run) > 1:
            out += struct.pack("<H", len(run))
            for at in run:
                out += struct.pack("<hh", *at)
            lines, points = lines + 1, points + len(run)
open("land.bin", "wb").write(out)
print(lines, "lines,", points, "points,", len(out), "bytes")
