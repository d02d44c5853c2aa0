//! Block minima and maxima: n-year and predictive levels, standard errors, intervals.
