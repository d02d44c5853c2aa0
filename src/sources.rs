//! The keys of the literature and standards that numbers rest on.
//!
//! The same keys stand in DEVELOPERS.md, and `tests/docs.rs` checks that the two lists agree and that every key
//! used in a doc comment exists here.

/// How sure the project is of a source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Confidence {
    /// Read in the source itself.
    Read,
    /// Read in a secondary text or in a reference library that cites it.
    Secondary,
    /// From memory of the cited work.
    Memory,
}

/// One entry of the source list.
#[derive(Clone, Copy, Debug)]
pub struct Source {
    /// The key as it stands in doc comments, without brackets.
    pub key: &'static str,
    /// Author, year, title, publisher or number.
    pub text: &'static str,
    /// How sure.
    pub confidence: Confidence,
}

/// Looks a key up.
#[must_use]
pub fn find(key: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.key == key)
}

use Confidence::{Memory, Read, Secondary};

/// All sources, in the order of their keys.
pub const SOURCES: &[Source] = &[
    Source {
        key: "ANDERSON1954",
        confidence: Memory,
        text: "Anderson & Darling 1954, J. Am. Stat. Assoc. 49:765: a test of goodness of fit",
    },
    Source {
        key: "ASHRAE2009",
        confidence: Secondary,
        text: "ASHRAE Handbook of Fundamentals 2009, ch. 14: n-year values from the mean and standard deviation of annual extremes (checked numerically against six published station records)",
    },
    Source {
        key: "ASNZS5033",
        confidence: Memory,
        text: "AS/NZS 5033: PV arrays; AS/NZS 3000: wiring, AS/NZS 3008.1: amps of cables",
    },
    Source {
        key: "BLACKMAN2021",
        confidence: Memory,
        text: "Blackman & Vigna 2021, ACM Trans. Math. Softw. 47:36: scrambled linear generators (xoshiro256++)",
    },
    Source {
        key: "CLOPPER1934",
        confidence: Memory,
        text: "Clopper & Pearson 1934, Biometrika 26:404: exact interval for a proportion",
    },
    Source { key: "CODATA2018", confidence: Secondary, text: "CODATA 2018: k/q = 8.617333262e-5 V/K" },
    Source {
        key: "DESOTO2006",
        confidence: Secondary,
        text: "De Soto, Klein & Beckman 2006, Solar Energy 80:78: five-parameter module model",
    },
    Source {
        key: "DRIESSE2022",
        confidence: Secondary,
        text: "Driesse et al. 2022, SAND2022-11604: radiative term of module temperature",
    },
    Source {
        key: "EFRON1993",
        confidence: Memory,
        text: "Efron & Tibshirani 1993, An Introduction to the Bootstrap, ch. 12: studentised bootstrap intervals",
    },
    Source {
        key: "EN50618",
        confidence: Memory,
        text: "EN 50618:2014 and IEC 62930:2017: current-carrying capacity of solar cables",
    },
    Source {
        key: "ERBS1982",
        confidence: Secondary,
        text: "Erbs, Klein & Duffie 1982, Solar Energy 28:293: diffuse share of global light",
    },
    Source {
        key: "FAIMAN2008",
        confidence: Secondary,
        text: "Faiman 2008, Prog. Photovolt. 16:307: module temperature, u0 = 25, u1 = 6.84",
    },
    Source {
        key: "HAURWITZ1945",
        confidence: Secondary,
        text: "Haurwitz 1945, J. Meteorology 2:154: clear-sky global light from the zenith angle",
    },
    Source {
        key: "HAYDAVIES1980",
        confidence: Secondary,
        text: "Hay & Davies 1980: sky light on a tilted plane",
    },
    Source {
        key: "IEC60364-4-41",
        confidence: Read,
        text: "IEC 60364-4-41, 414.4.5: 120 V ripple-free dc; 60 V dry, 30 V wet",
    },
    Source {
        key: "IEC60364-4-43",
        confidence: Memory,
        text: "IEC 60364-4-43, 433.1: no overload device above what the conductor carries (In <= Iz)",
    },
    Source {
        key: "IEC60364-5-52",
        confidence: Memory,
        text: "IEC 60364-5-52: current-carrying capacity of cables",
    },
    Source {
        key: "IEC60364-7-712",
        confidence: Secondary,
        text: "IEC 60364-7-712:2017, Annex B: largest voltage and current of a PV array",
    },
    Source {
        key: "IEC60947-3",
        confidence: Memory,
        text: "IEC 60947-3: switches and disconnectors; IEC 60059: preferred currents",
    },
    Source {
        key: "IEC62109",
        confidence: Memory,
        text: "IEC 62109-1:2010: decisive voltage class A, 60 V dc dry, 35 V dc wet",
    },
    Source {
        key: "IEC62548",
        confidence: Memory,
        text: "IEC 62548-1:2023: design requirements for PV arrays",
    },
    Source {
        key: "INEICHEN2002",
        confidence: Secondary,
        text: "Ineichen & Perez 2002, Solar Energy 73:151: clear-sky light with Linke turbidity",
    },
    Source {
        key: "KASTEN1980",
        confidence: Secondary,
        text: "Kasten & Czeplak 1980, Solar Energy 24:177: global light under cloud",
    },
    Source {
        key: "KASTEN1989",
        confidence: Secondary,
        text: "Kasten & Young 1989, Applied Optics 28:4735: relative air mass",
    },
    Source {
        key: "KING2004",
        confidence: Secondary,
        text: "King, Boyson & Kratochvil 2004, SAND2004-3535: module temperature and electrical model",
    },
    Source {
        key: "KITE1977",
        confidence: Memory,
        text: "Kite 1977, Frequency and Risk Analyses in Hydrology: standard error of Gumbel quantiles by moments",
    },
    Source {
        key: "KOPP2011",
        confidence: Memory,
        text: "Kopp & Lean 2011, Geophys. Res. Lett. 38:L01706: solar constant 1361.0 W/m2",
    },
    Source {
        key: "NEC240.4",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2023, 240.4(D): largest overcurrent device of small conductors (240.4(B), the next standard size of 240.6(A), from memory)",
    },
    Source {
        key: "NEC310.16",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2023, Table 310.16 and Table 310.15(B)(1): ampacity of copper conductors and its correction (14 to 4 AWG and the correction up to 60 °C read in secondary texts, the rest from memory)",
    },
    Source {
        key: "NEC690.13",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2020, 690.13: PV disconnect, opening all conductors that are not solidly grounded at once",
    },
    Source {
        key: "NEC690.7",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2023, 690.7(A) and Table 690.7(A): largest voltage of a PV circuit",
    },
    Source {
        key: "NEC690.8",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2023, 690.8(A)(1) and (B): 1.25 and 1.5625 times the short-circuit current",
    },
    Source {
        key: "NEC690.9",
        confidence: Secondary,
        text: "NFPA 70 (NEC) 2020, 690.9(A) and (B): overcurrent protection of PV circuits",
    },
    Source {
        key: "PRILLIMAN2020",
        confidence: Secondary,
        text: "Prilliman et al. 2020, IEEE J. Photovolt. 10:1053: module temperature after a change of light",
    },
    Source {
        key: "REDA2004",
        confidence: Secondary,
        text: "Reda & Andreas 2004/2008, NREL/TP-560-34302: solar position",
    },
    Source {
        key: "SPENCER1971",
        confidence: Memory,
        text: "Spencer 1971, Search 2:172: earth-sun distance as a Fourier series",
    },
    Source {
        key: "VILLALVA2009",
        confidence: Memory,
        text: "Villalva, Gazoli & Ruppert 2009, IEEE Trans. Power Electron. 24:1198: saturation current from the voltage coefficient",
    },
    Source {
        key: "YORDANOV2013",
        confidence: Secondary,
        text: "Yordanov et al. 2013, IEEE J. Photovolt. 3:271: bursts of light at cloud edges",
    },
];
