//! The sentences of limit lines.

use crate::extreme::{self, Side};
use crate::hourly::Voltage;
use crate::limits::voltage::{ALLOWANCE_K, VoltageJudgement, margin_percent};
use crate::limits::{DecidedBy, Verdict};
use crate::study::figures;
use crate::study::lines::ArrayAt;
use crate::study::results::{HoursRange, LimitLine, RangeKind};
use crate::study::temperatures::{LEVEL_WINTERS, counted_values};
use crate::time::MONTHS;
use crate::units::{at_most, over, so_many};

/// The sentence of a voltage line.
#[must_use]
pub fn voltage_reason(at: &ArrayAt<'_>, rating: f64, judged: &VoltageJudgement) -> String {
    let mut text = verdict_clause(at, rating, judged);
    // Whoever decides: a verdict that rests on such a file says so.
    if at.blocks.is_none() && !text.contains(TYPICAL_YEAR) {
        text.push_str(&format!("; the weather is that of {TYPICAL_YEAR}, which holds no extremes"));
    }
    text
}

/// How a record without extremes is named in every verdict that rests on it.
pub(super) const TYPICAL_YEAR: &str = "a typical year";

fn verdict_clause(at: &ArrayAt<'_>, rating: f64, judged: &VoltageJudgement) -> String {
    let Some((figure, by)) = judged.decides else {
        return "not assessed: no lit hour and no code temperature".into();
    };
    let off = margin_percent(rating, figure).abs();
    match judged.both {
        Verdict::Exceeded if by == DecidedBy::Code => {
            let mut text = format!(
                "exceeded by the code sum: {figure:.1} V at {:.1} °C against {rating} V, {} over",
                at.figures.voltage.code_temperature_c.unwrap_or(0.0),
                over(off)
            );
            if let Some((largest, by)) = at.figures.decide.largest()
                && largest > figure + 0.05
            {
                text.push_str(&format!("; the largest figure is {largest:.1} V, {}", name(at, by)));
            }
            if at.dated && judged.weather == Verdict::Within {
                text.push_str("; on the stay's own dates the weather lines stay within");
            }
            text
        }
        Verdict::Exceeded => {
            let passes = match at.figures.decide.code {
                Some(code) => {
                    format!("passes the code sum by {}, but ", percent_left(margin_percent(rating, code)))
                }
                None => String::new(),
            };
            let labelled = match at.seen.peak.of(Voltage::SuddenSun) {
                Some(peak) => format!("; as labelled {:.1} V", peak.spot.volts),
                None => String::new(),
            };
            let passed = format!("{} over {rating} V", over(off));
            format!("can be exceeded: {passes}{}{labelled}", figure_words(at, figure, by, &passed))
        }
        Verdict::Close => {
            format!("close: {figure:.1} V is only {} below {rating} V ({})", percent_left(off), name(at, by))
        }
        _ => format!(
            "holds: the largest figure, {figure:.1} V, is {} below {rating} V ({})",
            percent_left(off),
            name(at, by)
        ),
    }
}

fn tolerance_percent(at: &ArrayAt<'_>) -> f64 {
    at.groups
        .iter()
        .flat_map(|ready| &ready.group.modules)
        .map(|label| label.tolerance * 100.0)
        .fold(0.0, f64::max)
}

/// What is left below a rating, per cent, rounded down since no more is there.
pub(super) fn percent_left(percent: f64) -> String {
    if percent + 1e-6 < 0.1 { "less than 0.1 %".to_owned() } else { format!("{:.1} %", at_most(percent)) }
}

fn figure_words(at: &ArrayAt<'_>, figure: f64, by: DecidedBy, passed: &str) -> String {
    let panel = format!("a panel {:.0} % above its label in sudden sun", tolerance_percent(at));
    match by {
        DecidedBy::Level => format!(
            "{panel} reaches {figure:.1} V ({passed}) in one season out of {:.0}, as {} {} show",
            at.assumptions.return_years,
            if at.figures.complete < LEVEL_WINTERS { "no more than" } else { "the record's" },
            so_many(at.figures.complete, at.season_noun())
        ),
        DecidedBy::Allowance => format!(
            "{panel} reaches {figure:.1} V ({passed}) in air {ALLOWANCE_K:.0} K colder than this record's worst moment, which \
             is allowed for because {}",
            short_record(at)
        ),
        _ => {
            format!(
                "{panel} reaches {figure:.1} V ({passed}), if full clear sun fell at this record's worst lit moment"
            )
        }
    }
}

fn short_record(at: &ArrayAt<'_>) -> String {
    if at.blocks.is_none() {
        format!("{TYPICAL_YEAR} holds no extremes")
    } else if at.figures.complete == 0 {
        format!("the record has no complete {}", at.season_noun())
    } else {
        format!(
            "the record has only {}",
            so_many(at.figures.complete, &format!("complete {}", at.season_noun()))
        )
    }
}

fn name(at: &ArrayAt<'_>, by: DecidedBy) -> String {
    match by {
        DecidedBy::Code => "the code sum".into(),
        DecidedBy::Seen => "the worst case found".into(),
        DecidedBy::Level => {
            let few = match at.figures.complete {
                complete if complete < LEVEL_WINTERS => {
                    // Those that the level is made of: a mild incomplete one is left out of it.
                    let maxima = figures::block_maxima(at.seen, Voltage::WorstCase);
                    let counted = counted_values(&maxima, Side::High).len();
                    let complete_ones = so_many(complete, &format!("complete {}", at.season_noun()));
                    if counted > complete {
                        format!(
                            ", from only {}, {complete} of them complete",
                            so_many(counted, at.season_noun())
                        )
                    } else {
                        format!(", from only {complete_ones}")
                    }
                }
                _ => String::new(),
            };
            format!("the worst case expected in one season out of {:.0}{few}", at.assumptions.return_years)
        }
        DecidedBy::Allowance => {
            format!(
                "the worst case found, taken for air {ALLOWANCE_K:.0} K colder (the code sum is not), because {}",
                short_record(at)
            )
        }
        DecidedBy::Rule => "the rule".into(),
    }
}

/// How often a voltage rating is passed, in words.
#[must_use]
pub fn how_often(at: &ArrayAt<'_>, line: &LimitLine) -> String {
    if line.out_of_reach.is_some() {
        return String::new();
    }
    if at.blocks.is_none() {
        return "how often: not from a typical year, which is put together from unremarkable months".into();
    }
    let Some(hours) = line.hours_per_year else {
        return format!(
            "how often: no complete {} in this record, so no odds; of {} seen {} passed it in sudden sun",
            at.season_noun(),
            so_many(line.seasons_seen, at.season_noun()),
            match line.seasons_broken.map_or(0, |broken| broken.sudden_sun) {
                0 => "none".to_owned(),
                broken => broken.to_string(),
            }
        );
    };
    let mut text = format!(
        "hours a {}: steady {}, sudden sun {}, worst case {}",
        if at.dated { "stay" } else { "year" },
        with_range(hours.steady, line.hours_range.map(|range| range.steady), ""),
        with_range(
            hours.sudden_sun,
            line.hours_range.map(|range| range.sudden_sun),
            if hours.steady > 0.0 {
                "by rolling into that sun"
            } else {
                "by rolling into that sun, for minutes each time"
            }
        ),
        with_range(
            hours.worst_case,
            line.hours_range.map(|range| range.worst_case),
            "if full clear sun fell then"
        )
    );
    if let (Some(chance), Some(broken)) = (line.chance_per_season, line.seasons_broken) {
        let counted = if at.dated { extreme::Counted::Stays } else { extreme::Counted::Seasons };
        let (broken, of) = (broken.sudden_sun.into(), line.seasons_counted as u64);
        text.push_str(". In sudden sun ");
        text.push_str(&extreme::odds_in_words_of(counted, broken, of, &chance.odds()));
        match line.seasons_counted.saturating_sub(line.seasons) {
            0 => {}
            1 => text.push_str("; one of these is incomplete: its break counts, its hours do not"),
            several => text.push_str(&format!(
                "; {} of these are incomplete: their breaks count, their hours do not",
                extreme::number_in_words(several as u64)
            )),
        }
    }
    if let Some(extreme::ReturnPeriod { shortest, best: Some(best), longest: Some(longest) }) =
        line.return_period_seasons
    {
        text.push_str(&format!(
            ". That is once in {} {} on average ({} to {}, 90 %)",
            tidy(best),
            if at.dated { "stays" } else { "seasons" },
            tidy(shortest),
            tidy(longest)
        ));
    }
    if let (Some(months), Some(hours)) = (&line.hours_by_month, &line.hours_by_hour_of_day)
        && let Some(when) = when_in_words(months, hours)
    {
        text.push_str(&format!("; {when}"));
    }
    text
}

/// When in the year and in the day most of the hours of sudden sun fall; `None` where they spread over most of both.
#[must_use]
pub fn when_in_words(months: &[f64; 12], hours: &[f64; 24]) -> Option<String> {
    let ((month, count), (hour, length)) = (most_of(months)?, most_of(hours)?);
    let parts = [
        (count <= MOST_MONTHS).then(|| format!("fall in {}", stretch(month, count))),
        (length <= MOST_HOURS)
            .then(|| format!("between {hour} and {} o'clock local time", (hour + length - 1) % 24 + 1)),
    ];
    match parts {
        [Some(season), Some(day)] => Some(format!("{OF_SUDDEN_SUN} {season}, and nine tenths {day}")),
        [Some(season), None] => Some(format!("{OF_SUDDEN_SUN} {season}")),
        [None, Some(day)] => Some(format!("{OF_SUDDEN_SUN} fall {day}")),
        [None, None] => None,
    }
}

const OF_SUDDEN_SUN: &str = "nine tenths of the hours in sudden sun";
/// Most months and most hours that tell a reader when: more of them are most of the year, and most of a day's light.
const MOST_MONTHS: usize = 6;
const MOST_HOURS: usize = 8;

/// A stretch of `count` months from `first` on, across New Year where it must: "December to January".
fn stretch(first: usize, count: usize) -> String {
    let name = |ahead: usize| MONTHS[(first + ahead) % 12];
    match count {
        1 => name(0).to_owned(),
        _ => format!("{} to {}", name(0), name(count - 1)),
    }
}

/// Start and length of the shortest stretch of a ring that holds nine tenths of its sum; the earliest of equals.
fn most_of(ring: &[f64]) -> Option<(usize, usize)> {
    const MOST: f64 = 0.9;
    let enough = MOST * ring.iter().sum::<f64>();
    if enough <= 0.0 {
        return None;
    }
    let held = |start: usize, length: usize| -> f64 { ring.iter().cycle().skip(start).take(length).sum() };
    (1..=ring.len())
        .flat_map(|length| (0..ring.len()).map(move |start| (start, length)))
        .find(|&(start, length)| held(start, length) >= enough)
}

/// Hours with what they are worth, and what else is to be said of them: "3.2 (2.1 to 4.9, 90 %)", "0.4 (0 to 3.5 in the seasons
/// seen; if full clear sun fell then)".
fn with_range(hours: f64, range: Option<HoursRange>, also: &str) -> String {
    let worth = match range {
        Some(HoursRange { low, high, kind: RangeKind::Interval90 }) => {
            format!("{} to {}, 90 %", tidy(low), tidy(high))
        }
        Some(HoursRange { low, high, kind: RangeKind::Observed }) if high > low => {
            format!("{} to {} in the seasons seen", tidy(low), tidy(high))
        }
        _ => String::new(),
    };
    let said: Vec<&str> = [worth.as_str(), also].into_iter().filter(|part| !part.is_empty()).collect();
    match said.as_slice() {
        [] => tidy(hours),
        _ => format!("{} ({})", tidy(hours), said.join("; ")),
    }
}

/// Hours with sensible digits: 0, 0.3, 12.
#[must_use]
pub fn tidy(hours: f64) -> String {
    if hours == 0.0 {
        "0".into()
    } else if hours < 0.05 {
        "under 0.1".into()
    } else if hours < 10.0 {
        format!("{hours:.1}")
    } else {
        format!("{hours:.0}")
    }
}

/// Two bounds of one figure: "3.1 to 4.5"; "up to 0.1" from nothing, or next to nothing; one figure where they print alike.
pub(super) fn spread(low: f64, high: f64) -> String {
    let (from, to) = (tidy(low), tidy(high));
    if from == to {
        to
    } else if low < 0.05 {
        format!("up to {to}")
    } else {
        format!("{from} to {to}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_one() {
        let told = [(0.0, 0.0), (0.0, 0.1), (0.02, 0.1), (0.02, 0.04), (0.1, 0.14), (0.1, 12.4)]
            .map(|(low, high)| spread(low, high));
        assert_eq!(told, ["0", "up to 0.1", "up to 0.1", "under 0.1", "0.1", "0.1 to 12"]);
    }

    /// By hand: nine of ten hours in December and January, a stretch across New Year; all between 9 and 12 o'clock.
    #[test]
    fn most_hours_across_new_year() {
        let mut months = [0.0; 12];
        (months[11], months[0], months[3]) = (5.0, 4.0, 1.0);
        let mut hours = [0.0; 24];
        (hours[9], hours[10], hours[11]) = (4.0, 3.0, 3.0);
        assert_eq!(
            when_in_words(&months, &hours).as_deref(),
            Some(
                "nine tenths of the hours in sudden sun fall in December to January, and nine tenths between 9 and 12 o'clock local \
                 time"
            )
        );
        assert_eq!(stretch(4, 1), "May");
        assert_eq!(stretch(9, 6), "October to March");
        // Half a year is told, seven months are most of it; so are nine hours of the day's light.
        let even = |many: usize| std::array::from_fn(|month| if month < many { 1.0 } else { 0.0 });
        let day = |many: usize| std::array::from_fn(|hour| if hour < many { 1.0 } else { 0.0 });
        assert_eq!(when_in_words(&even(8), &day(10)), None);
        assert_eq!(
            when_in_words(&even(8), &day(4)).as_deref(),
            Some("nine tenths of the hours in sudden sun fall between 0 and 4 o'clock local time")
        );
        assert_eq!(
            when_in_words(&even(6), &day(10)).as_deref(),
            Some("nine tenths of the hours in sudden sun fall in January to June")
        );
        assert_eq!(most_of(&[0.0; 12]), None);
        assert_eq!(most_of(&[1.0, 1.0]), Some((0, 2)));
    }
}
