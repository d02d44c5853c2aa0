#!/usr/bin/env python3
"""Makes the invented weather of the demo: three places that do not exist, 25 winters, hour by hour.

Usage: python3 generate.py [FOLDER]     (default: the folder `weather` beside this file)

Only the standard library is used, and every number follows from the seeds below: a second run gives the same
readings, and the same bytes where zlib is of the same version. The places lie in the open ocean on purpose, so
that nobody takes them for real ones.

What the climate holds: a yearly and a daily course, weather that wanders over days (an autoregressive process),
cold spells of a few clear days whose depth follows an exponential law, so that the lows of winters come out close
to a Gumbel law, winters that differ as a whole, clouds that go with mild air in winter, and light that follows the
sun and the clouds.
"""

import gzip
import math
import os
import random
import sys

FIRST_YEAR = 1995          # the record begins on 1 July of this year
WINTERS = 25

FIRST_HOURS_LEFT_OUT = 9   # hours of UTC that still belong to 30 June at the places, so that no season is begun twice


class Climate:
    """Settings of one place, temperatures in degrees Celsius, times in hours."""

    def __init__(self, name, seed, latitude, longitude, mean, yearly, daily, wander, spells, depth, columns):
        self.name = name            # file name without "invented-" and ending
        self.seed = seed
        self.latitude = latitude    # degrees north
        self.longitude = longitude  # degrees east
        self.mean = mean            # mean of the year
        self.yearly = yearly        # half the difference between midsummer and midwinter
        self.daily = daily          # half the daily range under a clear sky
        self.wander = wander        # standard deviation of the wandering weather in winter
        self.spells = spells        # cold spells a winter, on average
        self.depth = depth          # their mean depth
        self.columns = columns      # what the file carries beside time and temperature


PLACES = [
    # A basin with its own station: light and wind are measured.
    Climate("cinder-ford", 11, 45.2, -141.0, 7.6, 12.5, 5.2, 3.6, 3.0, 3.6, ("ghi", "wind")),
    # The station below the pass: an observer notes the clouds.
    Climate("marrow-halt", 23, 44.7, -140.4, 4.6, 11.2, 4.6, 3.3, 3.2, 3.4, ("cloud",)),
    # A harbour: temperature alone.
    Climate("saltreed-bay", 37, 43.9, -139.6, 11.4, 5.6, 2.4, 2.3, 2.0, 2.2, ()),
]


def normal(dice):
    """A standard normal number (Box and Muller), written out so that no library version changes it."""
    return math.sqrt(-2.0 * math.log(1.0 - dice.random())) * math.cos(2.0 * math.pi * dice.random())


def is_leap(year):
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def calendar(first_year, winters):
    """Every hour from 1 July, as (year, month, day, hour), UTC."""
    year, month = first_year, 7
    while (year, month) != (first_year + winters, 7):
        days = [31, 29 if is_leap(year) else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1]
        for day in range(1, days + 1):
            for hour in range(24):
                yield year, month, day, hour
        month += 1
        if month == 13:
            year, month = year + 1, 1


def day_of_year(year, month, day):
    before = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334][month - 1]
    return before + day + (1 if month > 2 and is_leap(year) else 0)


def sun_height(place, year, month, day, hour):
    """Sine of the sun's elevation at half past the hour; good to about half a degree."""
    turn = 2.0 * math.pi * (day_of_year(year, month, day) - 1 + (hour + 0.5) / 24.0) / 365.25
    declination = math.radians(
        0.3964 + 3.631 * math.sin(turn) - 22.97 * math.cos(turn)
        + 0.03885 * math.sin(2 * turn) - 0.3885 * math.cos(2 * turn)
        + 0.07659 * math.sin(3 * turn) - 0.1587 * math.cos(3 * turn)
    )
    equation_h = (0.43 * math.cos(turn) - 7.35 * math.sin(turn) - 3.35 * math.cos(2 * turn)
                  - 9.36 * math.sin(2 * turn)) / 60.0
    angle = math.radians(15.0 * (hour + 0.5 + place.longitude / 15.0 + equation_h - 12.0))
    latitude = math.radians(place.latitude)
    return (math.sin(latitude) * math.sin(declination)
            + math.cos(latitude) * math.cos(declination) * math.cos(angle))


def cold_spells(place, dice, hours):
    """Kelvin to take off and clouds to clear away, hour by hour: spells between late November and early March."""
    chill = [0.0] * len(hours)
    starts = {}
    for index, (year, month, day, hour) in enumerate(hours):
        if month == 11 and day == 25 and hour == 0:
            starts[year] = index
    for year in sorted(starts):
        first = starts[year]
        # Each of ten slots of ten days may hold a spell.
        for slot in range(10):
            if dice.random() >= place.spells / 10.0:
                continue
            start = first + slot * 240 + int(dice.random() * 120)
            length = 60 + int(dice.random() * 72)
            depth = -place.depth * math.log(1.0 - dice.random()) + 2.0
            for step in range(length):
                if start + step < len(chill):
                    share = math.sin(math.pi * step / length)
                    chill[start + step] = max(chill[start + step], depth * share)
    return chill


def readings(place):
    """Yields the rows of a place."""
    dice = random.Random(place.seed)
    hours = list(calendar(FIRST_YEAR, WINTERS))
    chill = cold_spells(place, dice, hours)
    winter_shift = 0.0
    wander, gust, veil = 0.0, 0.0, 0.0
    for index, (year, month, day, hour) in enumerate(hours):
        if month == 7 and day == 1 and hour == 0:
            winter_shift = 0.9 * normal(dice)
        turn = 2.0 * math.pi * (day_of_year(year, month, day) - 18) / 365.25
        winter = 0.5 * (1.0 + math.cos(turn))               # 1 in midwinter, 0 in midsummer
        wander += -wander / 60.0 + math.sqrt(2.0 / 60.0) * normal(dice)
        gust += -gust / 9.0 + math.sqrt(2.0 / 9.0) * normal(dice)
        veil += -veil / 7.0 + math.sqrt(2.0 / 7.0) * normal(dice)
        # In winter mild air is cloudy air; a cold spell is clear.
        covered = 4.4 + 1.6 * winter * wander - (1.0 - winter) * wander + 2.2 * veil - 0.9 * chill[index]
        oktas = min(8, max(0, round(covered)))
        height = sun_height(place, year, month, day, hour)
        local = (hour + 0.5 + place.longitude / 15.0) % 24.0
        clear = 1.0 - 0.75 * oktas / 8.0
        swing = place.daily * clear * (1.0 - 0.35 * winter) * math.cos(2.0 * math.pi * (local - 15.2) / 24.0)
        air = (place.mean - place.yearly * math.cos(turn) + winter_shift * (0.3 + 0.7 * winter)
               + place.wander * (0.55 + 0.45 * winter) * wander + swing - chill[index])
        row = [f"{year}-{month:02}-{day:02}T{hour:02}:30Z", f"{air + 0.0:.1f}".replace("-0.0", "0.0")]
        if "ghi" in place.columns:
            light = 0.0
            if height > 0.0:
                # Haurwitz' clear sky and Kasten and Czeplak's clouds, in round numbers.
                light = 1098.0 * height * math.exp(-0.057 / max(height, 0.01)) * (1.0 - 0.75 * (oktas / 8.0) ** 3.4)
            row.append(str(round(light)))
        if "wind" in place.columns:
            speed = max(0.0, 2.4 + 1.3 * gust - 0.35 * chill[index] + 0.8 * math.cos(2.0 * math.pi * (local - 14.0) / 24.0))
            row.append(f"{round(speed)}")
        if "cloud" in place.columns:
            row.append(str(oktas))
        if index >= FIRST_HOURS_LEFT_OUT:
            yield ",".join(row)


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else os.path.join(os.path.dirname(os.path.abspath(__file__)), "weather")
    os.makedirs(folder, exist_ok=True)
    for place in PLACES:
        head = ",".join(("time", "temp_c") + place.columns)
        text = head + "\n" + "\n".join(readings(place)) + "\n"
        path = os.path.join(folder, f"invented-{place.name}.csv.gz")
        with open(path, "wb") as raw:
            # No name and no time of writing inside: the same readings give the same bytes.
            with gzip.GzipFile(filename="", mode="wb", fileobj=raw, compresslevel=9, mtime=0) as out:
                out.write(text.encode("ascii"))
        print(f"{path}: {os.path.getsize(path)} bytes")


if __name__ == "__main__":
    main()
