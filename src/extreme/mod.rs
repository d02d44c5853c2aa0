//! Block minima and maxima: n-year and predictive levels, standard errors, intervals.
//!
//! Plain numbers only: one extreme a season, or so many broken of so many seen. What a season is, and whether a record
//! holds enough of it, is decided before. What the length of a record supports:
//!
//! | complete seasons | printed |
//! |---|---|
//! | 1 to 4 | what was seen, and the odds |
//! | 5 to 9 | also mean, standard deviation, predictive level |
//! | from 10 | also n-year levels with their errors and bounds, goodness of fit |
//! | from 20, 5 broken | also an interval of hours a year |

mod factors;
mod fit;
pub mod gumbel;
mod levels;
mod mean;
mod moments;
mod odds;
mod random;
mod resampled;
mod trend;
pub mod trip;
mod words;

pub use fit::{Agreement, FIT_HOLDS, Fit, SEASONS_FOR_FIT, goodness_of_fit, goodness_statistic};
pub use gumbel::frequency_factor;
pub use levels::{
    Level, SEASONS_FOR_LEVEL, SEASONS_FOR_PREDICTIVE, chance_beyond_level, level, n_year_value, predictive,
    predictive_factor, standard_error,
};
pub use mean::mean_half_width;
pub use moments::{Moments, Side, moments};
pub use odds::{CONFIDENCE, Odds, ReturnPeriod, clopper_pearson, odds, return_period};
pub use random::Random;
pub use resampled::{BROKEN_FOR_INTERVAL, SEASONS_FOR_INTERVAL, resampled_interval};
pub use trend::{Direction, RECENT_YEARS, Trend, trend};
pub use words::{
    Counted, beyond_own_level_in_words, number_in_words, odds_in_words, odds_in_words_of, supported_in_words,
};
