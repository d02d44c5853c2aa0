//! How numbers are printed, in one place.

use crate::limits::{DecidedBy, Verdict};
use crate::units::{Celsius, at_least, over, spare};

/// Which units stand beside the SI ones.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// SI alone.
    #[default]
    Si,
    /// SI, with degrees Fahrenheit and feet in brackets.
    Us,
}

/// Feet in a metre (international foot, 0.3048 m exactly).
const FEET_PER_METRE: f64 = 1.0 / 0.3048;

/// So many decimals, and never "-0".
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if !rest.contains(|c: char| ('1'..='9').contains(&c)) => rest.to_owned(),
        _ => text,
    }
}

/// "67.5 V". No decimals beyond a tenth: the model does not carry more.
pub(crate) fn volts(value: f64) -> String {
    format!("{} V", fixed(value, 1))
}

/// A step's value in its own unit.
pub(crate) fn step(value: f64, unit: &str) -> String {
    if unit == "A" { exact_amps(value) } else { volts(value) }
}

/// "40 seconds", "4 minutes": a duration from a model that knows it to a third.
pub(crate) fn seconds(value: f64) -> String {
    if value < 90.0 {
        format!("{} seconds", fixed((value / 10.0).round().max(1.0) * 10.0, 0))
    } else {
        format!("{} minutes", fixed((value / 60.0).round(), 0))
    }
}

/// "9.1 A".
pub(crate) fn amps(value: f64) -> String {
    format!("{} A", fixed(value, 1))
}

/// "9.06 A": products of label amps, which a tenth would round below what a rating must hold.
pub(crate) fn exact_amps(value: f64) -> String {
    format!("{} A", fixed(value, 2))
}

/// A rating as it stands on the device: "150 V", "62.5 V".
pub(crate) fn rating(value: f64, unit: &str) -> String {
    let text = fixed(value, 2);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text} {unit}")
}

/// A figure with its unit, to a tenth.
pub(crate) fn figure(value: f64, unit: &str) -> String {
    format!("{} {unit}", fixed(value, 1))
}

/// "-27.0 °C", with "(-16.6 °F)" where asked for: the °F of the °C as printed, as a reader would convert them, so that a figure
/// in a table and the same in a sentence never differ.
pub(crate) fn temperature(celsius: f64, units: Units) -> String {
    both_scales(&format!("{} °C", fixed(celsius, 1)), units)
}

/// A sentence with "(°F)" behind each temperature that has none, where asked for; its decimals are those of the °C.
pub(crate) fn both_scales(text: &str, units: Units) -> String {
    const SIGN: &str = " °C";
    if units == Units::Si {
        return text.to_owned();
    }
    let (mut out, mut rest) = (String::with_capacity(text.len()), text);
    while let Some((before, after)) = rest.split_once(SIGN) {
        out.push_str(before);
        out.push_str(SIGN);
        let is_number = |sign: char| sign.is_ascii_digit() || matches!(sign, '.' | '-');
        let number = before.rsplit(|sign| !is_number(sign)).next().unwrap_or_default();
        let bracket = after.strip_prefix(" (").and_then(|inside| inside.split_once(')'));
        let has_both = bracket.is_some_and(|(inside, _)| inside.ends_with("°F"));
        if let Some(celsius) = number.parse().ok().filter(|_| !has_both) {
            let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            out.push_str(&format!(" ({} °F)", fixed(Celsius(celsius).fahrenheit(), decimals)));
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// A difference of temperatures: "3.4 K", with "(6.1 °F)" where asked for.
pub(crate) fn kelvin(value: f64, units: Units) -> String {
    match units {
        Units::Si => format!("{} K", fixed(value, 1)),
        Units::Us => format!("{} K ({} °F)", fixed(value, 1), fixed(value * 1.8, 1)),
    }
}

/// "1450 m", with "(4757 ft)" where asked for.
pub(crate) fn elevation(metres: f64, units: Units) -> String {
    match units {
        Units::Si => format!("{} m", fixed(metres, 0)),
        Units::Us => format!("{} m ({} ft)", fixed(metres, 0), fixed(metres * FEET_PER_METRE, 0)),
    }
}

/// "48.21° N, 16.37° E".
pub(crate) fn coordinates(latitude_deg: f64, longitude_deg: f64) -> String {
    format!(
        "{:.2}° {}, {:.2}° {}",
        latitude_deg.abs(),
        if latitude_deg < 0.0 { "S" } else { "N" },
        longitude_deg.abs(),
        if longitude_deg < 0.0 { "W" } else { "E" },
    )
}

/// Hours or days a year: two significant places below ten, whole ones above a hundred; "0" only where it is 0.
pub(crate) fn count(value: f64) -> String {
    if value == 0.0 {
        "0".to_owned()
    } else if value < 0.05 {
        "under 0.1".to_owned()
    } else if value < 100.0 {
        fixed(value, 1)
    } else {
        fixed(value, 0)
    }
}

/// A chance as a per cent: "4 %", "0.4 %", "over 99 %".
pub(crate) fn chance(share: f64) -> String {
    let percent = share * 100.0;
    if share >= 1.0 {
        "100 %".to_owned()
    } else if percent > 99.0 {
        "over 99 %".to_owned()
    } else if percent > 0.0 && percent < 1.0 {
        format!("{} %", fixed(percent, 1))
    } else {
        format!("{} %", fixed(percent, 0))
    }
}

/// What a rating must hold, to a tenth: amps, which are products of the label's, rounded up like the needs, so that both say the
/// same and neither less than a rating must hold.
pub(crate) fn demand(value: f64, unit: &str) -> String {
    figure(if unit == "A" { at_least(value) } else { value }, unit)
}

/// A margin: "12 % to spare", "3.1 % over", with a decimal below 10 %, what is left rounded down and what is passed up; "nothing to spare"
/// where not even a tenth is left.
pub(crate) fn margin(percent: f64) -> String {
    if percent < 0.0 {
        return format!("{} over", over(-percent));
    }
    // As `spare` rounds it.
    if percent + 1e-6 < 0.1 { "nothing to spare".to_owned() } else { format!("{} to spare", spare(percent)) }
}

/// The word of a verdict as people read it.
pub(crate) fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Close => "close",
        Verdict::NotAssessed => "not assessed",
        Verdict::NotMet => "not met",
        Verdict::Exceeded => "exceeded",
    }
}

/// Who decided, in two words.
pub(crate) fn decided_by(by: DecidedBy) -> &'static str {
    match by {
        DecidedBy::Code => "code sum",
        DecidedBy::Seen => "worst case",
        DecidedBy::Level => "worst expected",
        DecidedBy::Allowance => "worst, 10 K colder",
        DecidedBy::Rule => "rule",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_never_print_a_negative_nothing() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-0.05001, 1), "-0.1");
        assert_eq!(fixed(-10.0, 1), "-10.0");
    }

    #[test]
    fn ratings_print_as_on_the_device() {
        assert_eq!(rating(150.0, "V"), "150 V");
        assert_eq!(rating(62.5, "A"), "62.5 A");
        assert_eq!(rating(100.0, "V"), "100 V");
    }

    #[test]
    fn both_scales_stand_side_by_side_where_asked_for() {
        // Definition of the scales: -40 is the same number on both.
        assert_eq!(temperature(-40.0, Units::Us), "-40.0 °C (-40.0 °F)");
        assert_eq!(temperature(-0.01, Units::Si), "0.0 °C");
        // By hand: -40 on both, 212 where water boils; what has its °F keeps it.
        assert_eq!(
            both_scales("at -40.0 °C (a file), or 100 °C; 0.0 °C (32.0 °F) and x °C", Units::Us),
            "at -40.0 °C (-40.0 °F) (a file), or 100 °C (212 °F); 0.0 °C (32.0 °F) and x °C"
        );
        assert_eq!(both_scales("at -40.0 °C", Units::Si), "at -40.0 °C");
        // 304.8 m are 1000 international feet by definition.
        assert_eq!(elevation(304.8, Units::Us), "305 m (1000 ft)");
    }

    /// By hand: 56.79 V on 63 V leave 9.857 %, which is less than 9.9 %; 1.5625 x 10.4 A are 16.25 A, and 16.2 A would not hold them.
    #[test]
    fn no_margin_is_more_and_no_demand_less_than_there_is() {
        assert_eq!(margin(9.857), "9.8 % to spare");
        assert_eq!(
            (margin(62.9), margin(10.0), margin(9.9999)),
            ("62 % to spare".into(), "10 % to spare".into(), "9.9 % to spare".into())
        );
        assert_eq!(
            (margin(0.04), margin(-0.04), margin(-3.22)),
            ("nothing to spare".into(), "less than 0.1 % over".into(), "3.3 % over".into())
        );
        assert_eq!(
            (demand(16.25, "A"), demand(15.0, "A"), demand(56.79, "V")),
            ("16.3 A".into(), "15.0 A".into(), "56.8 V".into())
        );
    }

    #[test]
    fn a_small_count_is_never_printed_as_nothing() {
        assert_eq!(count(0.0), "0");
        assert_eq!(count(0.01), "under 0.1");
        assert_eq!(count(3.24), "3.2");
        assert_eq!(chance(0.004), "0.4 %");
        assert_eq!(chance(0.9999), "over 99 %");
    }
}
