//! A picture of the lows in plain characters: months down, hours of the day across.

use super::page::Page;
use crate::report::show;
use crate::study::StationWeather;

/// Whether pictures stand in the text. They are for eyes, not for files.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Picture {
    /// No pictures.
    #[default]
    LeftOut,
    /// Pictures in plain characters.
    Drawn,
}

/// Shades from the mildest to the coldest low. Chosen because each holds more ink than the one before it in the usual
/// fonts.
const SHADES: [char; 8] = ['.', ':', '-', '=', '+', '*', '%', '#'];
/// Stands where the record has no such hour.
const NO_HOUR: char = ' ';
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Columns of a page from which an hour is two characters wide: month, 24 hours, low with both units.
const WIDE_PAGE: usize = 80;
/// Hours between two marks above the picture.
const MARK_EVERY: usize = 6;

/// Draws the lows by month and hour.
pub(super) fn lows(page: &mut Page, one: &StationWeather) {
    let all = || one.low_by_month_c.iter().flat_map(|month| month.by_hour.iter().flatten().copied());
    let (coldest, mildest) =
        all().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), air| (low.min(air), high.max(air)));
    if coldest > mildest {
        return;
    }
    page.subheading("Lowest reading by month and hour of the day");
    let hour_width = if page.width() >= WIDE_PAGE { 2 } else { 1 };
    let mut marks = " ".repeat(4);
    for hour in (0..24).step_by(MARK_EVERY) {
        marks.push_str(&format!("{hour:<width$}", width = MARK_EVERY * hour_width));
    }
    page.line(1, marks.trim_end());
    for (month, name) in one.low_by_month_c.iter().zip(MONTHS) {
        let mut line = format!("{name} ");
        for low in month.by_hour {
            let shade = low.map_or(NO_HOUR, |low| SHADES[shade(low, coldest, mildest)]);
            line.extend(std::iter::repeat_n(shade, hour_width));
        }
        let lowest = month.by_hour.iter().flatten().copied().min_by(f64::total_cmp);
        if let Some(lowest) = lowest {
            line.push_str("  ");
            line.push_str(&show::temperature(lowest, page.units));
        }
        page.line(1, line.trim_end());
    }
    let step = (mildest - coldest) / SHADES.len() as f64;
    if step > 0.0 {
        let (first, last) = (SHADES[0], SHADES[SHADES.len() - 1]);
        page.paragraph(
            1,
            &format!(
                "{first} above {}, {last} below {}, the shades between in steps of {}",
                show::temperature(mildest - step, page.units),
                show::temperature(coldest + step, page.units),
                show::kelvin(step, page.units)
            ),
        );
    }
}

/// Index of the shade of a low between the coldest and the mildest.
fn shade(low: f64, coldest: f64, mildest: f64) -> usize {
    let span = mildest - coldest;
    if span <= 0.0 {
        return SHADES.len() - 1;
    }
    let steps = SHADES.len() as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 8 by the clamp"
    )]
    let index = ((mildest - low) / span * steps).clamp(0.0, steps - 1.0) as usize;
    index
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colder_is_darker() {
        assert_eq!(shade(-20.0, -20.0, 20.0), SHADES.len() - 1);
        assert_eq!(shade(20.0, -20.0, 20.0), 0);
        assert_eq!(shade(-0.1, -20.0, 20.0), SHADES.len() / 2);
        assert_eq!(shade(3.0, 3.0, 3.0), SHADES.len() - 1);
    }
}
