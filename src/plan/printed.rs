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

/// Volts and amps as they are printed on a switch or breaker: "60 V DC 25 A".
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plate {
    pub volts: f64,
    pub amps: f64,
    pub way: Way,
    /// Its poles. Beside volts without "per pole" nobody knows how they are wired for them.
    pub poles: Option<u32>,
}

/// Most poles that a plate is believed. Chosen: more are not built in one piece.
const MOST_POLES: u32 = 4;
const NUMBERS: [(&str, &str); 6] =
    [("one", "1"), ("single", "1"), ("two", "2"), ("double", "2"), ("three", "3"), ("four", "4")];

/// What the volts of a plate are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    Dc,
    DcPerPole,
    Ac,
}

impl Plate {
    /// One figure of each, with its unit, in either order; `None` for anything more.
    pub fn read(text: &str) -> Option<Self> {
        let mut rest = text.trim().trim_matches('"').to_lowercase().replace("-pole", " pole");
        let is_known = |c: char| c.is_alphanumeric() || c.is_whitespace() || ".,/|;".contains(c);
        if !rest.chars().all(is_known) {
            return None;
        }
        let per_pole =
            ["per pole", "/pole", "/ pole", "each pole"].iter().find(|words| rest.contains(**words));
        if let Some(words) = per_pole {
            rest = rest.replacen(words, " ", 1);
        }
        let (mut volts, mut amps, mut poles, mut is_dc, mut is_ac) = (None, None, None, false, false);
        let mut number = None;
        for part in parts(&rest) {
            let part = NUMBERS.iter().find(|(word, _)| *word == part).map_or(part, |(_, digits)| *digits);
            let unit = match part {
                part if part.starts_with(|c: char| c.is_ascii_digit()) => {
                    if number.replace(number_meant(part)?).is_some() {
                        return None;
                    }
                    continue;
                }
                part => part,
            };
            let place = match unit {
                "v" | "volt" | "volts" | "vdc" | "vac" => Some(&mut volts),
                "a" | "amp" | "amps" => Some(&mut amps),
                "pole" | "poles" | "p" => Some(&mut poles),
                "dc" | "ac" => None,
                _ => return None,
            };
            is_dc |= unit.ends_with("dc");
            is_ac |= unit.ends_with("ac");
            if let Some(place) = place {
                *place = Some(number.take().filter(|_| place.is_none())?);
            }
        }
        let way = match (per_pole, is_ac) {
            (None, true) => Way::Ac,
            (Some(_), false) => Way::DcPerPole,
            (None, false) => Way::Dc,
            (Some(_), true) => return None,
        };
        let (volts, amps) = (volts?, amps?);
        let poles = match poles {
            Some(poles) => Some((1..=MOST_POLES).find(|&count| f64::from(count) == poles && way != Way::Ac)?),
            None => None,
        };
        let is_plain = number.is_none() && !(is_ac && is_dc) && volts > 0.0 && amps > 0.0;
        is_plain.then_some(Self { volts, amps, way, poles })
    }
}

/// Runs of digits and of letters; any other sign parts them.
fn parts(text: &str) -> Vec<&str> {
    let kind = |c: char| match c {
        '0'..='9' | '.' | ',' => 1,
        c if c.is_alphabetic() => 2,
        _ => 0,
    };
    let mut parts = Vec::new();
    let mut from = 0;
    let ends = text.char_indices().zip(text.chars().skip(1));
    for ((at, this), next) in ends {
        if kind(this) != kind(next) {
            parts.push(&text[from..at + this.len_utf8()]);
            from = at + this.len_utf8();
        }
    }
    parts.push(&text[from..]);
    let bare = |part: &str| part.trim_matches(['.', ',']).chars().all(|c| kind(c) == 0);
    parts.iter().map(|part| part.trim_matches(['.', ','])).filter(|part| !bare(part)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_figures_of_a_breaker_are_told_apart() {
        let plate = |volts, amps, way| Some(Plate { volts, amps, way, poles: None });
        let two = Some(Plate { volts: 60.0, amps: 25.0, way: Way::DcPerPole, poles: Some(2) });
        for (text, meant) in [
            ("60 V DC 25 A", plate(60.0, 25.0, Way::Dc)),
            ("60VDC, 25A", plate(60.0, 25.0, Way::Dc)),
            ("25 A 62,5 V", plate(62.5, 25.0, Way::Dc)),
            ("150 V / 35 amps", plate(150.0, 35.0, Way::Dc)),
            ("60 V per pole 25 A", plate(60.0, 25.0, Way::DcPerPole)),
            ("250 V AC 16 A", plate(250.0, 16.0, Way::Ac)),
            ("60 V DC 25 A per pole, two poles", two),
            ("2-pole, 60 V per pole, 25 A", two),
            // whether 120 V is for one pole is not said
            ("2-pole 120 V 25 A", Some(Plate { volts: 120.0, amps: 25.0, way: Way::Dc, poles: Some(2) })),
            ("63 V DC, 16 A, 2P", Some(Plate { volts: 63.0, amps: 16.0, way: Way::Dc, poles: Some(2) })),
            ("60 V per pole 25 A, 20 poles", None),
            // which figure is which is not said, or there are more than two
            ("63 V DC, 16 A, 5P", None),
            ("60 25", None),
            ("60 V 25", None),
            ("60 V DC", None),
            ("60 V DC 250 V AC 25 A", None),
            ("240 V ac per pole 25 A", None),
            ("-60 V 25 A", None),
            ("C25 60 V", None),
            ("", None),
        ] {
            assert_eq!(Plate::read(text), meant, "{text}");
        }
    }

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
