"""Reference values for n-year lows: family h.

Reads the records of season lows from the first column of h_levels.csv and computes every other column again: mean,
sample standard deviation and n-year lows, with numpy alone. Nothing is shared with the crate: the levels come from the
fitted distribution function, not from the closed frequency factor that the crate uses.

The records were drawn from the Gumbel law of minima and rounded to 0.1 K.

Usage: python h_levels.py < h_levels.csv > again.csv        (numpy 2.4.6)
"""

import sys

import numpy as np

YEARS = (5, 10, 20, 50, 100)
# Four digits, as the published n-year tables use it.
MEAN_OF_REDUCED_VARIATE = 0.5772


def main():
    for line in sys.stdin:
        if line.startswith(("#", "lows_c")):
            sys.stdout.write(line)
            continue
        lows = np.array([float(low) for low in line.split(",")[0].split()])
        mean, sd = np.mean(lows), np.std(lows, ddof=1)
        scale = sd / np.sqrt(np.pi**2 / 6.0)
        mode = mean + MEAN_OF_REDUCED_VARIATE * scale
        # A low is passed in 1 of n seasons where exp(-exp((low - mode) / scale)) = 1 - 1/n.
        levels = [mode + scale * np.log(-np.log1p(-1.0 / n)) for n in YEARS]
        cells = [f"{value:.9f}" for value in (mean, sd, *levels)]
        print(" ".join(f"{low:.1f}" for low in lows) + "," + ",".join(cells))


if __name__ == "__main__":
    main()
