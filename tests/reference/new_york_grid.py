"""Levels of annual lows of the New York grid point, by pandas and scipy: expectations of tests/levels_of_records.rs.

pandas 3.1.1, numpy 2.4.6, scipy 1.17.1 (`python tests/reference/new_york_grid.py` from the top of the repository).

A row's stamp ends its hour (UTC); days are those of UTC. Seasons run from July to June. Complete, by the calendar: those
with every December to February, 2010/11 to 2019/20; 2009/10 (from January) and 2020/21 (to December) enter the moments
where their low lies below the mean of the complete. n-year levels by scipy's Gumbel law with the mean and standard
deviation of the lows (sample, n - 1): another way to M - F s. Standard errors by bootstrap of Gumbel records of the same
length, likewise the factor of the predictive level. Fit: Anderson-Darling from scipy's Gumbel distribution function.
"""

import numpy as np
import pandas as pd
from scipy import stats

data = pd.read_csv("tests/formats/generic/new-york-grid.csv.gz")
stamps = pd.to_datetime(data[["Year", "Month", "Day", "Hour", "Minute"]]) - pd.Timedelta(hours=1)
season = stamps.dt.year - (stamps.dt.month < 7)
lows = data.Temperature.groupby(season).min()
print(lows.to_dict())
complete = lows.loc[2010:2019]
incomplete = lows.loc[[2009, 2020]]
values = np.concatenate([complete, incomplete[incomplete < complete.mean()]])
n, mean, sd = len(values), values.mean(), values.std(ddof=1)
print("record low", data.Temperature.min(), "at", stamps[data.Temperature.idxmin()])
print("seasons", n, "mean", round(mean, 4), "sd", round(sd, 4))

scale = sd * np.sqrt(6) / np.pi
law = stats.gumbel_l(loc=mean + np.euler_gamma * scale, scale=scale)
for years in (5, 10, 20, 50):
    print(years, "year low", round(law.ppf(1 / years), 4))

random = np.random.default_rng(5)
records = -random.gumbel(size=(400_000, n))
means, sds = records.mean(axis=1), records.std(axis=1, ddof=1)
unit = stats.gumbel_l()
for years in (5, 10, 20, 50):
    frequency = -(np.sqrt(6) / np.pi) * (np.euler_gamma + np.log(np.log(years / (years - 1))))
    print(years, "year standard error", round((means - frequency * sds).std() * sd / unit.std(), 4))


def broken(k):
    return unit.cdf(means - k * sds).mean()


low, high = 1.0, 5.0
for _ in range(40):
    middle = 0.5 * (low + high)
    low, high = (middle, high) if broken(middle) > 0.05 else (low, middle)
print("predictive low for 20 years", round(mean - low * sd, 4), "factor", round(low, 4))

ordered = np.sort(-values)
mirrored = stats.gumbel_r(loc=-law.mean() - np.euler_gamma * scale, scale=scale)
rank = np.arange(1, n + 1)
statistic = -n - np.mean((2 * rank - 1) * (mirrored.logcdf(ordered) + mirrored.logsf(ordered[::-1])))
print("Anderson-Darling", round(statistic, 4))
