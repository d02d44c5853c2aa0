//! Stops: place, weather files, days.

use super::columns::columns;
use super::{not_both, owner};
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::quoted;
use crate::plan::files::Find;
use crate::plan::given::{Day, Given};
use crate::plan::keys::{PUBLISHED, STOP};
use crate::plan::schema::{PublishedTable, StopTable};
use crate::time::{LocalDay, UtcOffset};
use crate::trip::{PublishedLow, Stop, Window};
use crate::units::Celsius;
use std::path::PathBuf;
use toml::Spanned;

/// Metres in an international foot (exact by definition).
const FOOT_M: f64 = 0.3048;

/// All stops in the order of the plan.
pub fn stops(tables: Vec<Spanned<StopTable>>, find: &Find<'_>, draft: &mut Draft<'_>) -> Vec<Stop> {
    tables
        .into_iter()
        .enumerate()
        .filter_map(|(index, table)| {
            let span = table.span();
            let table = table.into_inner();
            let owner = owner(&STOP, table.place.as_ref(), index, span);
            stop(table, &owner, find, draft)
        })
        .collect()
}

fn stop(table: StopTable, owner: &Owner, find: &Find<'_>, draft: &mut Draft<'_>) -> Option<Stop> {
    let place = draft.plain(table.place, "place", owner);
    let patterns = draft.read(table.weather, "weather", owner);
    let files = patterns.as_ref().map(|(patterns, span)| {
        let mut files: Vec<PathBuf> = Vec::new();
        for pattern in patterns {
            match find(pattern) {
                Ok(found) => files.extend(found),
                // "weather\new.csv" holds a line break where its writer meant a folder and a name.
                Err(_) if draft.typed(span).contains('\\') && draft.typed(span).contains('"') => draft.fault(
                    span.clone(),
                    format!(
                        "{}: found a backslash inside double quotes, where it begins a special sign; write the path with forward slashes, as in weather = [\"weather/juniper-flat-*.csv\"]",
                        owner.the("weather")
                    ),
                ),
                Err(why) => draft.fault(
                    span.clone(),
                    format!("{}: {} matches nothing: {why}", owner.the("weather"), quoted(pattern)),
                ),
            }
        }
        files.sort();
        files.dedup();
        files
    });
    not_both(
        ("elevation_m", table.elevation_m.as_ref()),
        ("elevation_ft", table.elevation_ft.as_ref()),
        "they say the same in two units",
        owner,
        draft,
    );
    let window = window(table.arrive, table.leave, owner, draft);
    let in_m = draft.number(table.elevation_m, "elevation_m", owner);
    let in_ft = draft.number(table.elevation_ft, "elevation_ft", owner);
    let utc_offset = offset(table.utc_offset, "the local winter clock", owner, draft);
    let stop = Stop {
        place: place?,
        window,
        elevation_m: in_m.or(in_ft.map(|feet| feet * FOOT_M)),
        station_elevation_m: draft.number(table.station_elevation_m, "station_elevation_m", owner),
        latitude_deg: draft.number(table.latitude_deg, "latitude_deg", owner),
        longitude_deg: draft.number(table.longitude_deg, "longitude_deg", owner),
        utc_offset,
        code_temperature: draft.number(table.code_temperature, "code_temperature", owner).map(Celsius),
        published_low: table.published_low_c.and_then(|table| published(table, owner, draft)),
        columns: table.columns.and_then(|table| columns(table, owner, draft)),
        weather: patterns?.0,
        files: files?,
    };
    Some(stop)
}

/// How far `clock` is from UTC.
pub(super) fn offset(
    given: Option<Given<String>>,
    clock: &str,
    owner: &Owner,
    draft: &mut Draft<'_>,
) -> Option<UtcOffset> {
    let (text, span) = draft.read(given, "utc_offset", owner)?;
    let read = UtcOffset::parse(&text);
    if read.is_none() {
        draft.fault(
            span,
            format!(
                "{}: found {}; expected the distance of {clock} from UTC, as \"-07:00\" or \"+05:30\", not the name of a zone; write for example: utc_offset = \"-07:00\"",
                owner.the("utc_offset"),
                quoted(&text)
            ),
        );
    }
    read
}

fn window(
    arrive: Option<Given<Day>>,
    leave: Option<Given<Day>>,
    owner: &Owner,
    draft: &mut Draft<'_>,
) -> Option<Window> {
    match (&arrive, &leave) {
        (Some(given), None) => {
            draft.fault(
                given.span.clone(),
                format!("{} has `arrive` and no `leave`; expected both, or neither for the whole year; add a line like: leave = \"01-15\"", owner.name),
            );
        }
        (None, Some(given)) => {
            draft.fault(
                given.span.clone(),
                format!("{} has `leave` and no `arrive`; expected both, or neither for the whole year; add a line like: arrive = \"12-20\"", owner.name),
            );
        }
        _ => {}
    }
    let arrive = draft.read(arrive, "arrive", owner);
    let (leave, span) = draft.read(leave, "leave", owner)?;
    let (arrive, _) = arrive?;
    let civil = |day: Day| {
        day.year.and_then(|year| LocalDay::from_civil(year, day.month_day.month, day.month_day.day))
    };
    match (civil(arrive), civil(leave)) {
        (Some(first), Some(last)) if last < first => {
            draft.fault(
                span,
                format!("{}: found {last}, which lies before `arrive` ({first}); expected a later day; check the years", owner.the("leave")),
            );
            return None;
        }
        (Some(first), Some(last)) if last.0 - first.0 >= 365 => {
            draft.fault(
                span,
                format!("{}: found {last}, a year or more after `arrive` ({first}); leave both out where the vehicle stands there all year", owner.the("leave")),
            );
            return None;
        }
        _ => {}
    }
    Some(Window { arrive: arrive.month_day, leave: leave.month_day })
}

fn published(table: Spanned<PublishedTable>, stop: &Owner, draft: &mut Draft<'_>) -> Option<PublishedLow> {
    let owner = Owner {
        table: &PUBLISHED,
        name: format!("{} of {}", PUBLISHED.header, stop.name),
        span: table.span(),
    };
    let table = table.into_inner();
    let mean = draft.number(table.mean, "mean", &owner);
    let sd_k = draft.number(table.sd, "sd", &owner);
    let source = draft.plain(table.source, "source", &owner);
    Some(PublishedLow { mean: Celsius(mean?), sd_k, source: source? })
}
