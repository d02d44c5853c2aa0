"""The same hourly job by general-purpose libraries, in the same rounds as `dawnvolt assess`.

    python3 tests/bench/compare.py [--runs 7] [--years 30]

Makes a virtual environment with the pinned versions below (under target/), builds the release program, writes the three
files of the bench `whole`, and runs both programs in turn, one thread each, whole processes. Prints medians, the ratio
round by round, and that ratio with the time of the imports taken off the libraries' side.

The libraries' job, with the fastest settings found: read the wanted columns (C engine), decode stamps and numbers, sun
(ephemeris), clear sky (Ineichen) or the file's own light on a flat plane, cell temperature, the three voltages in closed
form in one light an hour, maxima by year. `assess` finds the most light of twelve moments an hour, reads clouds too,
counts days and hours over each rating, fits levels and writes a report.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

PINNED = ["numpy==2.4.6", "pandas==3.1.1", "pvlib==0.16.1"]
ROOT = Path(__file__).resolve().parents[2]
LATITUDE, LONGITUDE, ELEVATION = 39.74, -104.98, 1610
# Two panels of no maker in series.
VOC, BETA, CELLS = 2 * 22.5, -0.0030, 2 * 36
K_OVER_Q = 8.617333262e-5


def peer(kind, path):
    begin = time.perf_counter()
    import numpy as np
    import pandas as pd
    from pvlib import atmosphere, clearsky, solarposition

    imported = time.perf_counter() - begin
    if kind == "global-hourly":
        table = pd.read_csv(path, usecols=["DATE", "TMP"], engine="c", dtype=str)
        stamps = pd.to_datetime(table["DATE"], format="%Y-%m-%dT%H:%M:%S", utc=True)
        tmp = table["TMP"].str
        raw = pd.to_numeric(tmp.slice(0, 5)).to_numpy(dtype=float)
        good = (raw != 9999) & ~tmp.slice(6, 7).isin(["2", "3", "6", "7"]).to_numpy()
        air = pd.Series(raw[good] / 10.0).groupby(stamps[good].dt.floor("h").to_numpy()).mean()
        index = pd.DatetimeIndex(air.index, tz="UTC")
        air, ghi, wind = air.to_numpy(), None, 1.0
    else:
        columns = ["time", "temp_c"] + (["ghi", "wind"] if kind == "irradiance" else [])
        table = pd.read_csv(path, usecols=columns, engine="c")
        index = pd.DatetimeIndex(pd.to_datetime(table["time"], format="%Y-%m-%dT%H:%M:%SZ", utc=True))
        air = table["temp_c"].to_numpy()
        ghi = table["ghi"].to_numpy() if kind == "irradiance" else None
        wind = table["wind"].to_numpy() if kind == "irradiance" else 1.0
    middle = index + pd.Timedelta(minutes=30)
    sun = solarposition.ephemeris(middle, LATITUDE, LONGITUDE, pressure=atmosphere.alt2pres(ELEVATION))
    zenith = sun["apparent_zenith"].to_numpy()
    lit = zenith < 90.83
    mass = atmosphere.get_absolute_airmass(
        atmosphere.get_relative_airmass(np.minimum(zenith[lit], 90.0)), atmosphere.alt2pres(ELEVATION)
    )
    clear = clearsky.ineichen(zenith[lit], np.minimum(mass, 10), 1.8, ELEVATION, perez_enhancement=True)["ghi"]
    air, year = air[lit], index.year.to_numpy()[lit]
    own = clear if ghi is None else ghi[lit]
    bound = np.maximum(clear, own)
    wind = wind if np.isscalar(wind) else wind[lit]
    # King's form for a panel close to a roof.
    steady_cell = air + own * np.exp(-2.98 - 0.0471 * wind) + own / 1000.0

    def volts(light, cell, voc, ideality):
        light = np.where(light >= 10.0, light, np.nan)
        return voc * (1 + BETA * (cell - 25)) + CELLS * ideality * K_OVER_Q * (cell + 273.15) * np.log(light / 1000)

    result = pd.DataFrame(
        {
            "steady": volts(own, steady_cell, VOC, 1.1),
            "sudden_sun": volts(own, air, VOC, 1.1),
            "worst_case": volts(bound, air - 5.0, VOC * 1.03, 1.0),
        }
    )
    by_year = result.groupby(year).max()
    print(json.dumps({"import_s": imported, "max_v": by_year.max().to_dict(), "years": len(by_year)}))


def environment():
    place = ROOT / "target" / "bench-venv"
    python = place / "bin" / "python"
    if not python.exists():
        subprocess.run([sys.executable, "-m", "venv", place], check=True)
        subprocess.run([python, "-m", "pip", "install", "--quiet", *PINNED], check=True)
    return python


def main():
    words = argparse.ArgumentParser()
    words.add_argument("--runs", type=int, default=7)
    words.add_argument("--years", type=int, default=30)
    asked = words.parse_args()
    python = environment()
    folder = ROOT / "target" / "bench-files"
    subprocess.run(
        ["cargo", "bench", "--quiet", "--bench", "whole", "--", "--write", folder, "--years", str(asked.years)],
        cwd=ROOT,
        check=True,
    )
    subprocess.run(["cargo", "build", "--quiet", "--release"], cwd=ROOT, check=True)
    program = ROOT / "target" / "release" / "dawnvolt"
    one_thread = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "RAYON_NUM_THREADS": "1"}

    def timed(command):
        begin = time.perf_counter()
        done = subprocess.run(command, env=one_thread, capture_output=True, text=True)
        seconds = time.perf_counter() - begin
        assert done.returncode in (0, 1), done.stderr
        return seconds, done.stdout

    print(f"{'medians of ' + str(asked.runs):16} {'assess ms':>10} {'libraries ms':>13} {'ratio':>6} {'without imports':>16}")
    for kind in ("temperature", "irradiance", "global-hourly"):
        csv, plan = folder / f"{kind}.csv", folder / f"{kind}.toml"
        ours, theirs, ratios, without = [], [], [], []
        for _ in range(asked.runs):
            own, answer = timed([program, "assess", plan, "--json"])
            other, told = timed([python, __file__, "--peer", kind, csv])
            told = json.loads(told)
            ours.append(own)
            theirs.append(other)
            ratios.append(other / own)
            without.append((other - told["import_s"]) / own)
        middle = lambda values: statistics.median(values)
        print(f"{kind:16} {middle(ours) * 1e3:10.0f} {middle(theirs) * 1e3:13.0f} {middle(ratios):6.1f} {middle(without):16.1f}")
        # The two jobs are the same one: their largest voltages lie side by side.
        found = json.loads(answer)["stops"][0]["arrays"][0]["voltage_v"]
        for name, volts in told["max_v"].items():
            print(f"    {name:11} assess {found[name]['max']:.2f} V, libraries {volts:.2f} V")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--peer"]:
        peer(sys.argv[2], sys.argv[3])
    else:
        main()
