//! Sentences that several documents print beside the figures: what is counted, when a limit is passed, what the other code
//! sum would be, what a record is.

use super::show::{self, fixed};
use crate::study::results::{Assessment, CodeBasis, LimitLine, RecordFacts, RecordKind};
use crate::study::{SUN_W_M2, hours_of_frost, tidy, when_in_words};
use crate::time::{Stamp, UtcOffset};
use crate::units::so_many;

/// "Nine tenths of the hours in sudden sun fall in December ...": when a limit is passed.
pub(crate) fn when_sentence(limit: &LimitLine) -> Option<String> {
    when_in_words(limit.hours_by_month.as_ref()?, limit.hours_by_hour_of_day.as_ref()?)
}

/// The code sum by the crystalline table's factor, where the label's own coefficient is used: what many a reader has computed.
pub(crate) fn table_factor_sentence(assessment: &Assessment) -> Option<String> {
    let several = (assessment.stops.len() > 1, assessment.arrays.len() > 1);
    let mut sums: Vec<String> = Vec::new();
    for stop in &assessment.stops {
        for array in &stop.arrays {
            let four = &array.voltage_v;
            if four.code_basis == Some(CodeBasis::Table) {
                continue;
            }
            let whose = match several {
                (true, true) => format!(" at {} ({})", stop.place, array.name),
                (true, false) => format!(" at {}", stop.place),
                (false, true) => format!(" ({})", array.name),
                (false, false) => String::new(),
            };
            let sum = match (four.table, four.code_temperature_c) {
                (Some(table), _) => format!("{}{whose}", show::volts(table)),
                // Beside sums of other places a silent one would be missed.
                (None, Some(air))
                    if air < TABLE_ENDS_C && four.code_basis == Some(CodeBasis::Coefficient) =>
                {
                    format!("none{whose}, the table ends at {TABLE_ENDS_C:.0} °C")
                }
                _ => continue,
            };
            if !sums.contains(&sum) {
                sums.push(sum);
            }
        }
    }
    (!sums.is_empty()).then(|| {
        format!(
            "The code sum by the table of factors (NEC Table 690.7(A)) in place of the label's coefficient: {} (information).",
            sums.join(", ")
        )
    })
}

/// A lithium battery in frost: where in the stay, or the year, the air would keep it from being charged; `None` where it does not.
pub(crate) fn frost_sentence(assessment: &Assessment) -> Option<String> {
    let mut places: Vec<String> = Vec::new();
    for stop in &assessment.stops {
        let frost = stop.arrays.iter().filter_map(hours_of_frost);
        let Some((hours, sun)) = frost.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(hours, _)| *hours >= 0.05)
        else {
            continue;
        };
        let span = if stop.window.is_some() { "stay" } else { "year" };
        let at = if assessment.stops.len() > 1 { format!(" at {}", stop.place) } else { String::new() };
        let unit = format!(" hours of sun (at least {SUN_W_M2:.0} W/m2 on the panels) a {span}");
        let unit = if places.iter().any(|place| place.contains(&unit)) { "" } else { &unit };
        places.push(format!("{} of {}{unit}{at}", tidy(hours), tidy(sun)));
    }
    (!places.is_empty()).then(|| {
        format!(
            "lithium must not be charged below 0 °C, and the air is colder in {} (information; its own place in the vehicle may be \
             warmer). Whether it stops the charge itself when cold, or is heated, is for its maker's manual.",
            places.join(", ")
        )
    })
}

/// Coldest row of the crystalline table of factors, C [NEC690.7].
const TABLE_ENDS_C: f64 = -40.0;

/// What the counts of winters, seasons and stays count, where they differ.
pub(crate) fn counts_sentence(assessment: &Assessment) -> Option<String> {
    let common = assessment.trip.as_ref().map(|trip| trip.common_seasons);
    let common = common.filter(|&common| common > 0 && assessment.stops.len() > 1);
    let mut differ = false;
    let mut parts: Vec<String> = Vec::new();
    for stop in assessment.stops.iter().filter(|stop| stop.record.kind == RecordKind::Chronological) {
        let mut lines =
            stop.arrays.iter().flat_map(|array| &array.limits).filter(|limit| limit.hours_per_year.is_some());
        let Some(limit) = lines.next() else { continue };
        let (winters, complete) = (stop.record.winters, stop.record.complete_winters);
        let noun = if stop.window.is_some() { "stay" } else { "season" };
        let odds = lines.map(|limit| limit.seasons_counted).fold(limit.seasons_counted, usize::max);
        differ |= complete != limit.seasons || odds != limit.seasons;
        differ |= stop.window.is_some() && common.is_some_and(|common| common != limit.seasons);
        let place = if assessment.stops.len() > 1 { format!("{}: ", stop.place) } else { String::new() };
        parts.push(format!(
            "{place}{}, {complete} complete; {}, {} complete",
            so_many(winters, "winter"),
            so_many(limit.seasons_seen, noun),
            limit.seasons
        ));
    }
    if !differ {
        return None;
    }
    if let Some(common) = common {
        parts.push(format!("Common to all stops: {common}"));
    }
    Some(format!(
        "a winter is complete by the air of its cold days (lows), a season or stay by its lit hours (volts); an incomplete one adds \
         nothing but its breaks to the odds. {}.",
        parts.join(". ")
    ))
}

/// Format, files, span and winters of a record.
pub(crate) fn record_in_brief(record: &RecordFacts) -> String {
    let files = match record.files.as_slice() {
        [] => String::new(),
        [one] => format!(" ({one})"),
        many => format!(" ({} files)", many.len()),
    };
    let format = &record.format;
    if record.kind == RecordKind::TypicalYear {
        return format!("{format}{files}, a typical year of {} hours (it carries no extremes)", record.hours);
    }
    let month =
        |stamp: Stamp| stamp.local_day(UtcOffset::UTC).to_string().chars().take(7).collect::<String>();
    let winters = match (record.winters, record.complete_winters) {
        (all, complete) if all == complete => so_many(all, "complete winter"),
        (all, complete) => format!("{} of which {complete} complete", so_many(all, "winter")),
    };
    let share = match fixed(record.coverage * 100.0, 1).as_str() {
        "100.0" => String::new(),
        percent => format!(", {percent} % of the reports there"),
    };
    format!("{format}{files}, {} to {}, {winters}{share}", month(record.first), month(record.last))
}
