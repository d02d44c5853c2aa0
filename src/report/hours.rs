//! The hour-by-hour table as CSV.

use crate::study::HourRow;
use crate::time::Stamp;
use chrono::{DateTime, Datelike, Timelike};
use std::fmt::Write;

/// The first line, with its line break.
pub const HEADER: &str = "time_utc,sun_elevation_deg,ghi_w_m2,plane_w_m2,air_c,cell_steady_c,voc_steady_v,\
voc_sudden_sun_v,voc_worst_case_v,isc_a,vmp_v,imp_a\n";

/// Appends one line. Angles, light and air print one decimal, cells two, volts and amps three: enough to follow
/// every later digit by hand.
pub fn row(hour: &HourRow, out: &mut String) {
    stamp(hour.time, out);
    number(Some(hour.sun_elevation_deg), 2, out);
    number(hour.ghi_w_m2, 1, out);
    number(hour.plane_w_m2, 1, out);
    number(Some(hour.air_c), 2, out);
    number(hour.cell_steady_c, 2, out);
    for value in
        [hour.voc_steady_v, hour.voc_sudden_sun_v, hour.voc_worst_case_v, hour.isc_a, hour.vmp_v, hour.imp_a]
    {
        number(value, 3, out);
    }
    out.push('\n');
}

/// The stamp in ISO-8601. A table has hundreds of thousands of rows, and chrono's own formatter costs more than
/// the rest of the row.
fn stamp(time: Stamp, out: &mut String) {
    match DateTime::from_timestamp(time.0, 0) {
        Some(t) if (0..10_000).contains(&t.year()) => {
            // Writing to a String cannot fail.
            let _ = write!(
                out,
                "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z",
                t.year(),
                t.month(),
                t.day(),
                t.hour(),
                t.minute(),
                t.second()
            );
        }
        _ => out.push_str(&time.iso()),
    }
}

fn number(value: Option<f64>, decimals: usize, out: &mut String) {
    out.push(',');
    if let Some(value) = value.filter(|value| value.is_finite()) {
        let start = out.len();
        let _ = write!(out, "{value:.decimals$}");
        if out[start..].starts_with('-') && !out[start..].contains(|c: char| ('1'..='9').contains(&c)) {
            out.remove(start);
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_cell_is_empty_and_night_is_zero() {
        let mut out = String::new();
        let hour = HourRow {
            time: Stamp::from_utc(2018, 1, 8, 6, 0, 0).unwrap(),
            sun_elevation_deg: -0.001,
            ghi_w_m2: None,
            plane_w_m2: Some(0.0),
            air_c: -12.34,
            cell_steady_c: Some(-12.34),
            voc_steady_v: Some(0.0),
            voc_sudden_sun_v: Some(61.2),
            voc_worst_case_v: None,
            isc_a: Some(0.0),
            vmp_v: None,
            imp_a: None,
        };
        row(&hour, &mut out);
        assert_eq!(out, "2018-01-08T06:00:00Z,0.00,,0.0,-12.34,-12.34,0.000,61.200,,0.000,,\n");
        assert_eq!(HEADER.trim_end().split(',').count(), out.trim_end().split(',').count());
    }
}
