"""Whole real records by an independent program: the expectations of tests/records.rs.

Run with the library versions named in generate.py:  python tests/reference/whole_records.py
Reads the fixtures under tests/formats/, prints one line a figure. Nothing of the Rust code is used: sun position and clear
sky come from pvlib, the rest is written out here from the definitions in the README.
"""
import glob
import gzip
import sys

import numpy as np
import pandas as pd
import pvlib

KQ = 8.617333262e-5
PANELS, VOC, BETA, CELLS, TOL = 2, 22.5, -0.0030, 36, 0.03


def isd_lite(pattern):
    rows = []
    for path in sorted(glob.glob(pattern)):
        with gzip.open(path, "rt") as file:
            for line in file:
                f = [int(x) for x in line.split()]
                if f[4] != -9999:
                    rows.append((pd.Timestamp(f[0], f[1], f[2], f[3], tz="UTC"), f[4] / 10.0, f[9], f[8]))
    frame = pd.DataFrame(rows, columns=["time", "air", "sky", "wind"]).set_index("time").sort_index()
    return frame[~frame.index.duplicated()]


def clear_sky(times, lat, lon, elevation, turbidity):
    """Global clear-sky light at moments, enhancement on, air mass of the enhancement at most 10; sun unrefracted too."""
    pressure = pvlib.atmosphere.alt2pres(elevation)
    sun = pvlib.solarposition.spa_python(
        times, lat, lon, elevation, pressure=pressure, temperature=12, delta_t=69, atmos_refract=0.5667)
    e0 = 1361.0 / pvlib.solarposition.nrel_earthsun_distance(times, delta_t=69) ** 2
    relative = pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"], "kastenyoung1989")
    absolute = pvlib.atmosphere.get_absolute_airmass(relative, pressure)
    plain = pvlib.clearsky.ineichen(
        sun["apparent_zenith"], absolute, turbidity, elevation, dni_extra=e0, perez_enhancement=False)["ghi"].fillna(0.0)
    ghi = plain * np.exp(0.01 * np.minimum(absolute.fillna(10.0), 10.0) ** 1.8)
    lit = (90.0 - sun["zenith"]) > -0.83
    return ghi.where(lit, 0.0), lit


def voc(light, cell, label, n_low, n_high):
    n = np.where(light > 1000.0, n_high, n_low)
    volts = label * (1 + BETA * (cell - 25)) + PANELS * CELLS * n * KQ * (cell + 273.15) * np.log(np.maximum(light, 1e-9) / 1000)
    return np.where(light >= 10.0, volts, np.nan)


def report(name, frame, lat, lon, elevation, cooling):
    start = frame.index
    steps = [start + pd.Timedelta(minutes=2.5 + 5 * i) for i in range(12)]
    clear = np.column_stack([clear_sky(s, lat, lon, elevation, 2.0)[0].to_numpy() for s in steps])
    oktas = frame["sky"].where(frame["sky"].between(0, 8))
    factor = (1 - 0.75 * (oktas / 8) ** 3.4).fillna(1.0).to_numpy()
    factor = np.where(frame["sky"].to_numpy() == 9, 0.25, factor)
    air = frame["air"].to_numpy()
    sudden = np.nanmax(voc(clear * factor[:, None], air[:, None], PANELS * VOC, 1.1, 1.1), axis=1, initial=-1)
    worst = np.nanmax(voc(clear, air[:, None] - cooling, PANELS * VOC * (1 + TOL), 1.0, 1.5), axis=1, initial=-1)
    mean_light = (clear * factor[:, None]).mean(axis=1)
    wind = frame["wind"].where(frame["wind"] >= 0).to_numpy() / 10.0
    wind = np.where(np.isnan(wind), 1.0, wind)
    cell = pvlib.temperature.sapm_cell(mean_light, air, wind, -2.81, -0.0455, 0.0)
    steady = np.nan_to_num(voc(mean_light, cell, PANELS * VOC, 1.1, 1.1), nan=-1)
    over = (voc(clear * factor[:, None], air[:, None], PANELS * VOC, 1.1, 1.1) > 48.0).sum(axis=1) / 12
    for kind, values in (("steady", steady), ("sudden_sun", sudden), ("worst_case", worst)):
        at = int(np.argmax(values))
        print(f"{name} {kind} {values[at]:.4f} V at {start[at].isoformat()}")
    low = frame["air"].idxmin()
    print(f"{name} lowest {frame['air'].min():.1f} C at {low.isoformat()}, rows {len(frame)}")
    season = start.tz_convert("Etc/GMT+6").year - (start.tz_convert("Etc/GMT+6").month < 7)
    for year, part in frame.groupby(season):
        hours = over[season == year].sum()
        print(f"{name} season {year}/{(year + 1) % 100:02d} low {part['air'].min():.1f} at {part['air'].idxmin().isoformat()}, "
              f"sudden sun over 48 V {hours:.4f} h in {len(part)} hours")


if __name__ == "__main__":
    base = sys.argv[1] if len(sys.argv) > 1 else "tests/formats/isd_lite"
    report("chicago", isd_lite(f"{base}/725300-*.gz"), 41.995, -87.934, 205.0, 5.0)
    report("northway", isd_lite(f"{base}/702910-*.gz"), 62.96, -141.93, 522.0, 5.0)
