//! Odds in plain language: the count beside the interval, and never "never".

use super::levels::{SEASONS_FOR_LEVEL, SEASONS_FOR_PREDICTIVE, chance_beyond_level};
use super::odds::Odds;

/// What is counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Counted {
    /// Whole seasons.
    #[default]
    Seasons,
    /// The dates of a stop, once a season.
    Stays,
    /// The whole trip, once a season.
    Trips,
}

impl Counted {
    fn one(self) -> &'static str {
        match self {
            Self::Seasons => "season",
            Self::Stays => "stay",
            Self::Trips => "trip",
        }
    }

    fn several(self, count: u64) -> String {
        if count == 1 { self.one().to_owned() } else { format!("{}s", self.one()) }
    }

    /// Behind the total: that stays and trips are counted once a season.
    fn of_seasons(self) -> &'static str {
        match self {
            Self::Seasons => "",
            Self::Stays | Self::Trips => " seasons",
        }
    }
}

/// The sentence for seasons: [`odds_in_words_of`].
#[must_use]
pub fn odds_in_words(broken: u64, seasons: u64, odds: &Odds) -> String {
    odds_in_words_of(Counted::Seasons, broken, seasons, odds)
}

/// "two seasons in twenty-five reached it; the chance in one season lies between one in seventy and one in four (90 %)".
///
/// Without a capital or a full stop. Both ends are those of the 90 % interval; where none or all broke only one end
/// says something, and it is the same number.
#[must_use]
pub fn odds_in_words_of(counted: Counted, broken: u64, seasons: u64, odds: &Odds) -> String {
    let one = counted.one();
    let total = number_in_words(seasons);
    let noun = counted.several(seasons);
    let low = chance_in_words(odds.low, Rounding::Down);
    let high = chance_in_words(odds.high, Rounding::Up);
    match (broken, seasons) {
        // Its upper end is 95 %, which bounds nothing.
        (0, 1) => format!(
            "the one {one} seen did not reach it, which bounds nothing: the chance in one {one} may be up to {:.0} % (90 % interval)",
            (odds.high * 100.0 - 1e-6).ceil()
        ),
        (0, _) => format!(
            "none of {total} {noun} reached it; the chance in one {one} is at most {high} (90 % interval)"
        ),
        (1, 1) => format!(
            "the one {one} seen reached it; the chance in one {one} is at least {low} (90 % interval)"
        ),
        _ if broken == seasons => {
            format!(
                "all of {total} {noun} reached it; the chance in one {one} is at least {low} (90 % interval)"
            )
        }
        _ => format!(
            "{} {} in {total}{} reached it; the chance in one {one} lies between {low} and {high} (90 %)",
            number_in_words(broken),
            counted.several(broken),
            counted.of_seasons(),
        ),
    }
}

/// What to say where a record lies beyond its own n-year level: that this is normal in a long one. Without a capital or a
/// full stop.
#[must_use]
pub fn beyond_own_level_in_words(years: f64, seasons: usize) -> String {
    let likely = (chance_beyond_level(years, seasons) * 100.0).round();
    format!(
        "normal, {likely:.0} % of all records of {seasons} seasons hold one beyond the true {years:.0}-year level"
    )
}

/// What so many complete seasons support, as a sentence without a capital or a full stop.
#[must_use]
pub fn supported_in_words(seasons: usize) -> String {
    let held = match seasons {
        0 => return "no complete season: only what was seen, no odds and no levels".to_owned(),
        1 => "one complete season".to_owned(),
        _ => format!("{} complete seasons", number_in_words(seasons as u64)),
    };
    if seasons < SEASONS_FOR_PREDICTIVE {
        format!(
            "{held}: what was seen and the odds; a level needs {}",
            number_in_words(SEASONS_FOR_PREDICTIVE as u64)
        )
    } else if seasons < SEASONS_FOR_LEVEL {
        format!(
            "{held}: mean, spread and the predictive level; n-year levels need {}",
            number_in_words(SEASONS_FOR_LEVEL as u64)
        )
    } else {
        format!("{held}: n-year levels with their errors, and the predictive level")
    }
}

/// Towards which side a rounded chance may lie.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rounding {
    /// A lower end: never clearly above the number.
    Down,
    /// An upper end: never clearly below the number.
    Up,
}

/// The rounded chance may be off by this share on the wrong side. Chosen so that .1129 still reads "one in nine".
const WRONG_SIDE: f64 = 0.05;

/// A chance as people say it: "one in seventy", "four in ten", "nearly every one".
fn chance_in_words(chance: f64, rounding: Rounding) -> String {
    if chance >= 0.35 {
        let tenths = match rounding {
            Rounding::Down => (chance * 10.0 * (1.0 + WRONG_SIDE)).floor(),
            Rounding::Up => (chance * 10.0 * (1.0 - WRONG_SIDE)).ceil(),
        };
        return match tenths as u64 {
            5 => "one in two".to_owned(),
            tenths @ 0..=9 => format!("{} in ten", number_in_words(tenths)),
            _ => "nearly one in one".to_owned(),
        };
    }
    if chance < 0.001 {
        return "less than one in a thousand".to_owned();
    }
    let exact = 1.0 / chance;
    let step = match exact {
        x if x < 20.0 => 1.0,
        x if x < 50.0 => 5.0,
        x if x < 100.0 => 10.0,
        _ => 100.0,
    };
    let near = (exact / step).round() * step;
    let one_in = match rounding {
        Rounding::Up if near > exact / (1.0 - WRONG_SIDE) => (exact / step).floor() * step,
        Rounding::Down if near < exact / (1.0 + WRONG_SIDE) => (exact / step).ceil() * step,
        _ => near,
    };
    format!("one in {}", number_in_words(one_in as u64))
}

/// Whole numbers in words up to ninety-nine and in round hundreds, else in digits.
#[must_use]
pub fn number_in_words(number: u64) -> String {
    const SMALL: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 10] =
        ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    match number {
        0..=19 => SMALL[number as usize].to_owned(),
        20..=99 => {
            let tens = TENS[number as usize / 10];
            match number % 10 {
                0 => tens.to_owned(),
                unit => format!("{tens}-{}", SMALL[unit as usize]),
            }
        }
        100 => "a hundred".to_owned(),
        1000 => "a thousand".to_owned(),
        200..=900 if number.is_multiple_of(100) => format!("{} hundred", SMALL[number as usize / 100]),
        _ => number.to_string(),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::extreme::odds;

    fn say(broken: u64, seasons: u64) -> String {
        odds_in_words(broken, seasons, &odds(broken, seasons).unwrap())
    }

    #[test]
    fn rare_chances() {
        assert_eq!(chance_in_words(0.001, Rounding::Up), "one in a thousand");
        assert_eq!(chance_in_words(0.000_999, Rounding::Up), "less than one in a thousand");
        // By hand, in steps of a hundred: 270 lies nearer to 300, 11 % on its wrong side, so 200; 240 nearer to 200, which is 17 % on
        // the wrong side of a lower bound, so 300; 205 to 200 within 5 %.
        for (seasons, rounding, told) in [
            (270.0, Rounding::Up, "one in two hundred"),
            (240.0, Rounding::Down, "one in three hundred"),
            (205.0, Rounding::Down, "one in two hundred"),
            (100.0, Rounding::Up, "one in a hundred"),
        ] {
            assert_eq!(chance_in_words(1.0 / seasons, rounding), told, "{seasons}");
        }
    }

    #[test]
    fn sentences() {
        assert_eq!(
            say(2, 25),
            "two seasons in twenty-five reached it; the chance in one season lies between one in seventy and one in four (90 %)"
        );
        assert_eq!(
            say(0, 25),
            "none of twenty-five seasons reached it; the chance in one season is at most one in nine (90 % interval)"
        );
        assert_eq!(
            say(1, 10),
            "one season in ten reached it; the chance in one season lies between one in two hundred and four in ten (90 %)"
        );
        assert_eq!(
            say(25, 25),
            "all of twenty-five seasons reached it; the chance in one season is at least nine in ten (90 % interval)"
        );
        assert_eq!(
            odds_in_words_of(Counted::Stays, 1, 25, &odds(1, 25).unwrap()),
            "one stay in twenty-five seasons reached it; the chance in one stay lies between one in five hundred and one in \
             five (90 %)"
        );
        assert_eq!(
            odds_in_words_of(Counted::Trips, 0, 1, &odds(0, 1).unwrap()),
            "the one trip seen did not reach it, which bounds nothing: the chance in one trip may be up to 95 % (90 % interval)"
        );
    }

    #[test]
    fn support_follows_the_length() {
        assert_eq!(
            supported_in_words(1),
            "one complete season: what was seen and the odds; a level needs five"
        );
        assert_eq!(
            supported_in_words(5),
            "five complete seasons: mean, spread and the predictive level; n-year levels need ten"
        );
        assert!(supported_in_words(9).contains("need ten"));
        assert!(supported_in_words(10).starts_with("ten complete seasons: n-year levels"));
        assert!(supported_in_words(0).starts_with("no complete season"));
    }

    /// Whatever the count: no "never", no "always", no "zero", and a sentence without digits up to a hundred seasons.
    #[test]
    fn never_never() {
        for seasons in 1..=60 {
            for broken in 0..=seasons {
                let text = say(broken, seasons);
                for word in ["never", "always", "zero", "NaN", "inf"] {
                    assert!(!text.contains(word), "{text}");
                }
            }
        }
    }

    #[test]
    fn rounding_keeps_to_the_safe_side() {
        for thousandth in 2..1000 {
            let chance = f64::from(thousandth) / 1000.0;
            let up = spoken(&chance_in_words(chance, Rounding::Up));
            let down = spoken(&chance_in_words(chance, Rounding::Down));
            assert!(up > chance * (1.0 - WRONG_SIDE) - 1e-9, "{chance} {up}");
            assert!(down < chance * (1.0 + WRONG_SIDE) + 1e-9, "{chance} {down}");
        }
    }

    /// The number behind "one in seventy".
    fn spoken(text: &str) -> f64 {
        if text == "nearly one in one" {
            return 1.0;
        }
        let (count, total) = text.split_once(" in ").unwrap();
        let number = |word: &str| (0..=1000).find(|&n| number_in_words(n) == word).unwrap() as f64;
        number(count) / number(total)
    }
}
