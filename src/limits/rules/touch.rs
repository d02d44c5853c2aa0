//! Touch-voltage classes, as information: which precautions the open-circuit volts of an array ask for. The battery's
//! volts do not decide.

/// Basic protection is not needed up to these dc volts, dry and wet, in a separated extra-low-voltage circuit
/// [IEC60364-4-41].
pub const DRY_V: f64 = 60.0;
/// The same where it is wet [IEC60364-4-41].
pub const WET_V: f64 = 30.0;
/// The wet limit of another standard, V dc, from memory: shown, not used [IEC62109].
pub const WET_OTHER_V: f64 = 35.0;
/// Ceiling of extra-low voltage, V ripple-free dc [IEC60364-4-41].
pub const EXTRA_LOW_V: f64 = 120.0;

/// A class of touch voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TouchClass {
    /// Up to 30 V.
    Wet,
    /// Above 30 up to 60 V.
    Dry,
    /// Above 60 up to 120 V.
    ExtraLow,
    /// Above 120 V.
    Low,
}

impl TouchClass {
    /// The class of an open-circuit voltage.
    #[must_use]
    pub fn of(volts: f64) -> Self {
        match volts {
            v if v <= WET_V => Self::Wet,
            v if v <= DRY_V => Self::Dry,
            v if v <= EXTRA_LOW_V => Self::ExtraLow,
            _ => Self::Low,
        }
    }

    /// As JSON and reports print it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Wet => "to 30 V",
            Self::Dry => "30 to 60 V",
            Self::ExtraLow => "60 to 120 V",
            Self::Low => "above 120 V",
        }
    }

    /// What it means to who touches it.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Wet => "bare parts are no shock hazard, dry or wet; arcs and heat remain",
            Self::Dry => {
                "no shock hazard where it is dry; with wet hands, on a wet roof or on a boat it can be (30 V, or 35 V by another standard)"
            }
            Self::ExtraLow => "a shock hazard: cover bare parts, test before touch, isolate on the roof side",
            Self::Low => {
                "above extra-low voltage: the rules of mains wiring apply, and in some countries licensed people only"
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // IEC 60364-4-41, 414.4.5: 30 V wet, 60 V dry; extra-low voltage up to 120 V ripple-free dc.
    #[test]
    fn the_lines_belong_to_the_lower_class() {
        for (volts, class) in [
            (0.0, TouchClass::Wet),
            (30.0, TouchClass::Wet),
            (30.1, TouchClass::Dry),
            (60.0, TouchClass::Dry),
            (60.1, TouchClass::ExtraLow),
            (120.0, TouchClass::ExtraLow),
            (120.5, TouchClass::Low),
        ] {
            assert_eq!(TouchClass::of(volts), class, "{volts} V");
        }
    }

    // One 12 V panel never passes 30 V: 22.5 V at -0.30 %/K reaches 26.9 V, 24.3 V at -0.29 %/K 28.9 V with cells at
    // -40 C. Three panels of 22.5 V pass 60 V at any cell temperature below 62 C. Computed by hand.
    #[test]
    fn one_panel_is_safe_when_wet_and_three_are_a_hazard() {
        let volts =
            |count: f64, voc: f64, per_k: f64, cell_c: f64| count * voc * (1.0 + per_k * (cell_c - 25.0));
        assert!((volts(1.0, 22.5, -0.0030, -40.0) - 26.9).abs() < 0.05);
        assert!((volts(1.0, 24.3, -0.0029, -40.0) - 28.9).abs() < 0.05);
        assert_eq!(TouchClass::of(volts(1.0, 24.3, -0.0029, -40.0)), TouchClass::Wet);
        assert_eq!(TouchClass::of(volts(3.0, 22.5, -0.0030, 61.9)), TouchClass::ExtraLow);
        assert_eq!(TouchClass::of(volts(3.0, 22.5, -0.0030, 62.1)), TouchClass::Dry);
    }
}
