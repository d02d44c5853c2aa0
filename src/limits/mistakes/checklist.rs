//! Mistakes that no plan shows, for the report.

/// Things to check by hand; common practice, no source, unless a clause is named.
pub const CHECKLIST: [&str; 13] = [
    "The coldest air counts, not the average winter, not the daytime, and not wind chill: a panel does not feel wind chill.",
    "Hold cold volts against a rating, never the label's own Voc: that is what a panel gives at 25 °C.",
    "Do not multiply the label's Voc by 1.25 on top of the cold correction: that counts the cold twice.",
    "No controller limits its input volts: when the battery is full or its protection opens, the array stands at its open-circuit volts, in any hour of any day.",
    "A vehicle left in January with a full battery is the usual case, not the rare one: nothing draws, so the array stands at its open-circuit volts, and the first sun on cold cells finds it so. (Parked, or steady, in a report is the same array once that hour's own sun has warmed the cells: its volts are lower.)",
    "Connect the battery before the array; disconnect the array before the battery.",
    "Look twice at a coefficient: of Voc, not of power; per cent, volts or millivolts; per panel or per cell.",
    "Do not plug a folding panel in series with the roof because the plug fits, nor in parallel with other volts.",
    "Low sun does not mean low volts: at a twentieth of full light a string still has nine tenths of its volts.",
    "Use plugs of one maker together, and never pull them under load.",
    "1.25 x Isc is held against a controller and a connector, 1.5625 x Isc against disconnects, fuses and breakers: not one for the other. A cable has both to hold: 1.5625 x Isc by the table at 30 °C, and 1.25 x Isc in the air where it runs hottest.",
    "600 V and 1000 V belong to houses and ground mounts: in a vehicle each device's own rating counts, and 60 V for who touches it.",
    "Record lows of a whole state or country belong to another place: take the station nearest in place and height.",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::mistakes::testing::two_in_series;
    use crate::module::StringCurve;
    use crate::units::Celsius;

    #[test]
    fn what_the_checklist_says_of_low_sun_is_so() {
        let array = two_in_series("");
        let curve = StringCurve::central(&array.groups[0].modules);
        let dim = curve.volts(50.0, Celsius(-20.0)).map_or(0.0, |volts| volts.0);
        let share = dim / curve.full_light(Celsius(-20.0)).0;
        assert!((0.87..0.93).contains(&share), "{share}");
        assert!(CHECKLIST.iter().any(|line| line.contains("a twentieth of full light")));
    }
}
