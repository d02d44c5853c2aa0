//! What is printed on devices in one piece and stands in the plan under other keys than one number would.

use super::given::number_meant;

/// What a text stands for that is no plain dc figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Printed {
    /// "60 V per pole": dc volts of one pole.
    PerPole { volts: f64 },
    /// "250 V AC": no dc rating.
    Ac { volts: f64 },
    /// "100/30", "100 | 30": a controller's largest PV volts, and its amps into the battery.
    VoltsAndAmps { volts: f64, amps: f64 },
}

/// Poles in series that are taken where nobody says how many: with one the volts add up to no more than is printed.
pub(super) const LEAST_POLES: u32 = 1;

impl Printed {
    /// What was meant by a text that is no single number.
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim().trim_matches('"').to_lowercase();
        let per_pole = ["per pole", "/pole", "/ pole", "each pole", "a pole"];
        if let Some((volts, _)) = per_pole.iter().find_map(|words| text.split_once(words)) {
            return Some(Self::PerPole { volts: number_meant(volts).filter(|volts| *volts > 0.0)? });
        }
        let digits =
            text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ','))).unwrap_or(text.len());
        if ["vac", "v ac", "ac", "v~", "v ~", "~"].contains(&text[digits..].trim()) {
            return Some(Self::Ac { volts: number_meant(&text[..digits])? });
        }
        // a name may have letters before its numbers
        let name = text.trim_start_matches(|c: char| !c.is_ascii_digit());
        let (volts, amps) = name.split_once(['/', '|'])?;
        let (volts, amps) = (number_meant(volts)?, number_meant(amps)?);
        // the larger one first, else which is which cannot be told
        (volts > amps && amps > 0.0).then_some(Self::VoltsAndAmps { volts, amps })
    }

    /// What to write instead.
    pub fn step(self) -> String {
        match self {
            Self::PerPole { volts } => format!(
                "volts of one pole have keys of their own, so write two lines: max_v_per_pole = {volts} and \
                 poles_in_series = {LEAST_POLES} (more only where so many poles are wired one behind the other in one conductor)"
            ),
            Self::Ac { volts } => format!(
                "max_v is for direct current, and an ac figure is no dc rating; where no dc volts are printed, write \
                 max_v_ac = {volts}"
            ),
            Self::VoltsAndAmps { volts, amps } => format!(
                "a controller is often named by its largest PV volts and its amps into the battery (common practice, no \
                 source), so write two lines: max_v = {volts} and max_charge_a = {amps}"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_in_one_piece_is_told_apart() {
        let pole = |volts| Some(Printed::PerPole { volts });
        let two = |volts, amps| Some(Printed::VoltsAndAmps { volts, amps });
        let ac = |volts| Some(Printed::Ac { volts });
        for (text, meant) in [
            ("250 V AC", ac(250.0)),
            ("250VAC", ac(250.0)),
            ("240~", ac(240.0)),
            ("250 V ac, 60 V dc", None),
            ("60 V per pole", pole(60.0)),
            ("60 per pole", pole(60.0)),
            ("62,5VDC/pole", pole(62.5)),
            // two poles may stand in two conductors, so the second number says nothing about poles in series
            ("60 V per pole, 2 poles", pole(60.0)),
            ("100/30", two(100.0, 30.0)),
            ("100 | 30", two(100.0, 30.0)),
            ("MPPT 75/15", two(75.0, 15.0)),
            ("150 V / 35 A", two(150.0, 35.0)),
            // which is which cannot be told
            ("30/100", None),
            ("60/60", None),
            // no dc volts of one pole
            ("240 V ac per pole", None),
            ("2-pole 120 V", None),
            ("per pole", None),
            ("100/30/20", None),
            ("100", None),
            ("12/20", None),
            ("", None),
        ] {
            assert_eq!(Printed::read(text), meant, "{text}");
        }
    }
}
