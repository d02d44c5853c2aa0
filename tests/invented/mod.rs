//! An invented assessment of any size, for tests of what is printed. Its numbers are plausible, not computed.
#![allow(dead_code)]

mod pictures;

use dawnvolt::assumptions::{Assumption, Rules};
use dawnvolt::limits::{DecidedBy, Verdict};
use dawnvolt::note::{Note, NoteKind};
use dawnvolt::study::results::*;
use dawnvolt::time::{Hemisphere, Season, Stamp, UtcOffset};

/// How much to invent.
#[derive(Clone, Copy)]
pub struct Size {
    pub stops: usize,
    pub seasons: usize,
    pub limits: usize,
}

impl Default for Size {
    fn default() -> Self {
        Self { stops: 3, seasons: 25, limits: 4 }
    }
}

const PLACES: [&str; 3] = ["Juniper Flat", "Tallow Pass", "Port Wren"];

pub fn stamp(year: i32, month: u32, day: u32, hour: u32) -> Stamp {
    Stamp::from_utc(year, month, day, hour, 0, 0).unwrap()
}

/// Numbers between 0 and 1 that are the same on every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

pub fn assessment(size: Size) -> Assessment {
    let stops: Vec<StopResult> = (0..size.stops).map(|index| stop(index, size)).collect();
    Assessment {
        schema: 1,
        title: "Winter loop of the library van".into(),
        prepared_for: Some("Harbour Lending Library".into()),
        prepared_by: Some("A. Nother, Wren Electric".into()),
        date: Some("2031-11-02".into()),
        verdict: Verdict::Exceeded,
        summary: "The roof disconnect (75 V) is exceeded by the code sum: 78.9 V at -31.2 °C at Tallow Pass, 5.2 % \
                  over. Two in series, or a disconnect for 100 V dc, would hold."
            .into(),
        arrays: vec![facts(size)],
        trip: Some(TripOdds {
            chance_per_season: Some(TripChance { low: 0.018, best: Some(0.1), high: 0.283 }),
            common_seasons: 20,
            seasons_broken: 2,
            deciding_stop: Some("Tallow Pass".into()),
            deciding_component: Some("roof disconnect".into()),
            at_most: Some(0.283),
            padded_chance: Some(TripChance { low: 0.042, best: Some(0.15), high: 0.344 }),
            in_words: "two trips in twenty reached it; the chance in one trip lies between one in sixty and one in four (90 %)"
                .into(),
            deciding_window: Some("12-22 to 01-06".into()),
            deciding_at: Some(stamp(2009, 1, 8, 18)),
            by_departure: (-2..=2)
                .map(|week| Departure { shift_days: week * 7, chance: 0.1 - f64::from(week) * 0.02 })
                .collect(),
            by_departure_seen: Vec::new(),
        }),
        stops,
        assumptions: vec![
            Assumption {
                name: "return years".into(),
                value: "20".into(),
                unit: "years".into(),
                why: "the usual service life of such an array".into(),
            },
            Assumption {
                name: "sky cooling, roof".into(),
                value: "5".into(),
                unit: "K".into(),
                why: "night module minus air measured, 5th percentile".into(),
            },
        ],
        notes: vec![Note::once(NoteKind::Wiring, "no fuse is needed for one string")],
        cautions: vec![
            "The array is live whenever light falls on it; opening the switch does not make the roof side dead."
                .into(),
            "Local code, the maker's manual and a competent person come first; this is not a certificate.".into(),
        ],
        missing: vec![],
        doubts: Vec::new(),
        changes: vec![
            "A roof disconnect for at least 81.3 V dc (next common class 100 V) holds, with 19 % to spare.".into(),
            "Two panels in series and the third in no string: 54.2 V in the worst case, every limit holds.".into(),
        ],
        other_dates: None,
        other_ways: Vec::new(),
        explained: None,
        plan_text: Some("title = \"Winter loop of the library van\"\n\n[[module]]\nid = \"roof100\"\nvoc_v = 22.5\n".into()),
        rules: Rules::All,
    }
}

fn facts(size: Size) -> ArrayFacts {
    ArrayFacts {
        name: "roof".into(),
        modules_in_series: 3,
        strings: 1,
        layout: vec!["3 x roof100 in series, 1 in parallel, mount roof, flat".into()],
        stc_v: 67.5,
        isc_a: 5.8,
        max_circuit_a: 7.25,
        conductor_a: 9.0625,
        needs: Needs {
            disconnect_v: Some(81.3),
            disconnect_a: 9.0625,
            breaker_a: 9.0625,
            poles: 2,
            controller_v: Some(81.3),
            controller_isc_a: 7.25,
            connector_a: 7.25,
            cable_a: 9.0625,
            charge_a: None,
            charge_class_a: None,
            charge_from: None,
            remarks: vec!["Into the battery: up to 33.4 A".into()],
            next_class_v: Some(100.0),
            volts_from: "worst-case 20-year level at Tallow Pass".into(),
            lacking: Vec::new(),
            components: vec![ComponentNeed {
                component: "disconnect".into(),
                volts: Some(81.3),
                next_class_v: Some(100.0),
                amps: 9.0625,
                next_class_a: Some(10.0),
                size: None,
                in_plan: Planned::InPlan,
                remark: "opens 2 conductors at once".into(),
            }],
        },
        notes: vec![Note::once(
            NoteKind::Label,
            "the coefficient is printed with one decimal; half a unit of it is worth 0.4 V here",
        )],
        code_alone: None,
        rival_controllers: Vec::new(),
        not_given: Vec::new(),
        unprotected: Vec::new(),
        one_pole: Vec::new(),
        wiring: pictures::wiring(size.limits),
        ladder: Some(pictures::ladder(size.limits)),
    }
}

fn stop(index: usize, size: Size) -> StopResult {
    let place =
        if index < 3 { PLACES[index].to_owned() } else { format!("{} {}", PLACES[index % 3], index / 3 + 1) };
    let mut dice = Dice(index as u64 + 7);
    let base = -18.0 - 6.0 * (index % 3) as f64 + if index % 3 == 2 { 14.0 } else { 0.0 };
    let first_year = 1995;
    let lows: Vec<SeasonLow> = (0..size.seasons)
        .map(|year| {
            let season = Season::new(first_year + year as i32, Hemisphere::North);
            let low = base - 2.0 - 3.2 * (-(dice.roll().max(1e-9)).ln()).ln().clamp(-1.5, 4.0);
            SeasonLow {
                season,
                low: (low * 10.0).round() / 10.0,
                at: stamp(season.first_year + 1, 1, 8, 14),
                coverage: if year == 4 { 0.83 } else { 0.997 },
                step_h: 1,
                counted: year != 4,
                in_mean: year != 4,
            }
        })
        .collect();
    let levels = size.seasons >= 10;
    let mean = lows.iter().map(|low| low.low).sum::<f64>() / lows.len().max(1) as f64;
    let record = lows.iter().min_by(|a, b| a.low.total_cmp(&b.low)).cloned();
    let design = DesignTemperature {
        record_low: record.as_ref().map(|low| low.low),
        record_low_at: record.as_ref().map(|low| low.at),
        mean_annual_low: (size.seasons >= 5).then_some(mean),
        sd: (size.seasons >= 5).then_some(3.4),
        low_5_year: levels.then_some(mean - 2.4),
        low_10_year: levels.then_some(mean - 4.4),
        low_20_year: levels.then_some(mean - 6.3),
        low_50_year: levels.then_some(mean - 8.8),
        standard_errors: levels.then_some([0.9, 1.3, 1.7, 2.2]),
        bounds_90: levels.then_some([mean - 3.9, mean - 6.6, mean - 9.2, mean - 12.5]),
        predictive_low: levels.then_some(mean - 6.9),
        daylight_record_low: record.as_ref().map(|low| low.low + 1.7),
        daylight_record_low_at: record.as_ref().map(|low| low.at),
        daylight_mean_annual_low: (size.seasons >= 5).then_some(mean + 2.1),
        window_low: Some(mean + 1.0),
        published: (index == 0).then(|| PublishedLowFacts {
            mean: mean + 0.6,
            sd: Some(3.1),
            low_20_year: Some(mean - 5.2),
            source: "an invented handbook, station 000000".into(),
        }),
    };
    let maxima = lows
        .iter()
        .map(|low| SeasonMaximum {
            season: low.season,
            steady: Some(70.1 - low.low * 0.08),
            sudden_sun: Some(71.9 - low.low * 0.15),
            worst_case: Some(74.0 - low.low * 0.17),
            coverage: low.coverage,
            counted: low.counted,
        })
        .collect();
    StopResult {
        place,
        window: Some("12-20 to 01-15".into()),
        elevation_m: Some([1450.0, 2310.0, 12.0][index % 3]),
        station: StationFacts {
            name: Some(format!("{} field (invented)", PLACES[index % 3])),
            latitude_deg: Some(39.5 + index as f64),
            longitude_deg: Some(-105.25),
            elevation_m: Some([1450.0, 1640.0, 12.0][index % 3]),
        },
        record: RecordFacts {
            format: "generic CSV".into(),
            files: vec!["invented-juniper-flat.csv.gz".into()],
            kind: RecordKind::Chronological,
            first: stamp(1995, 7, 1, 0),
            last: stamp(1995 + size.seasons as i32, 6, 30, 23),
            hours: size.seasons * 8766,
            winters: size.seasons,
            complete_winters: size.seasons.saturating_sub(1),
            coverage: 0.9962,
            lowest_c: record.as_ref().map_or(-20.0, |low| low.low + 4.0),
            lowest_at: record.map_or(stamp(1996, 1, 1, 0), |low| low.at),
        },
        design_temperature_c: design,
        arrays: vec![array(index, size, mean)],
        annual_low_c: lows,
        notes: vec![
            Note::counted(
                NoteKind::Missing,
                37,
                "air temperature missing; first in invented-juniper-flat.csv.gz line 812",
            ),
            Note::once(
                NoteKind::Sampling,
                "recorded lows miss what lies between readings: true lows may be 0.3-1.5 K lower",
            ),
        ],
        utc_offset: UtcOffset::from_hours(-7.0).unwrap(),
    }
    .with_maxima(maxima)
}

trait WithMaxima {
    fn with_maxima(self, maxima: Vec<SeasonMaximum>) -> Self;
}

impl WithMaxima for StopResult {
    fn with_maxima(mut self, maxima: Vec<SeasonMaximum>) -> Self {
        self.arrays[0].season_maxima_v = maxima;
        self
    }
}

fn array(index: usize, size: Size, mean: f64) -> ArrayAtStop {
    let peak = |max: f64, cell: f64, light: f64| Peak {
        max: Some(max),
        at: Some(stamp(2009, 1, 8, 18)),
        cell_c: Some(cell),
        irradiance_w_m2: Some(light),
        level_20_year: Some(max + 0.6),
        level_50_year: Some(max + 1.4),
        standard_errors: Some([0.31, 0.42]),
        bounds_90: Some([max + 1.1, max + 2.1]),
        predictive_level: None,
        source: Some("invented-juniper-flat.csv.gz line 118000".into()),
        within_2_percent_s: None,
    };
    let lift = [0.0, 3.0, -4.0][index % 3];
    let mut worst = peak(77.2 + lift, -27.0, 611.0);
    worst.predictive_level = Some(78.3 + lift);
    ArrayAtStop {
        name: "roof".into(),
        voltage_v: FourVoltages {
            code: Some(67.5 * (1.0 - 0.003 * (mean - 25.0))),
            code_temperature_c: Some(mean),
            code_temperature_from: "mean of 24 annual lows".into(),
            code_volts_per_k: Some(0.2),
            decides: None,
            allowance: None,
            code_basis: Some(CodeBasis::Coefficient),
            table: Some(80.3),
            window_code: Some(75.9),
            steady: peak(72.4 + lift, -14.1, 268.0),
            sudden_sun: Peak { within_2_percent_s: Some(84.0), ..peak(74.1 + lift, -22.0, 268.0) },
            worst_case: worst,
            not_held: vec![
                NotHeld { what: "a cloud edge about".into(), volts: 0.8 },
                NotHeld { what: "a parking slope of 10 degrees".into(), volts: 0.7 },
            ],
        },
        current_a: Currents {
            max_hour: Some(4.9),
            at: Some(stamp(2011, 6, 19, 19)),
            highest_3_hour_mean: Some(4.7),
            burst: Some(7.6),
            burst_at: Some(stamp(2011, 6, 19, 18)),
            burst_factor: 1.5,
        },
        touch: Touch {
            class: "60 to 120 V".into(),
            meaning: "a shock hazard".into(),
            hours_per_year_above_30_v: Some(4120.0),
            hours_per_year_above_60_v: Some(3120.0),
            hours_per_year_above_120_v: Some(0.0),
        },
        information: vec![Information {
            component: "strings".into(),
            what: "string fuses".into(),
            text: "strings need no fuses of their own".into(),
            hours_per_year: None,
        }],
        low_side: None,
        battery_frost: None,
        limits: limits(size.limits, lift),
        season_maxima_v: vec![],
        worst_week: week(lift),
        worst_week_over_h: Vec::new(),
        pictures: pictures::pictures(lift),
    }
}

/// Up to six limits: exceeded, close, not met, within, within, not assessed.
pub fn limits(count: usize, lift: f64) -> Vec<LimitLine> {
    let line = |component: &str, kind: &str, rating: Option<f64>, unit: &str, worst: Option<f64>, verdict| {
        LimitLine {
            component: component.into(),
            kind: kind.into(),
            rule: if unit == "V" {
                "dc volts, NEC 690.7".into()
            } else {
                "1.5625 x Isc, NEC 690.8(B)".into()
            },
            rating,
            unit: unit.into(),
            worst,
            decided_by: Some(DecidedBy::Code),
            margin_percent: rating.zip(worst).map(|(rating, worst)| (rating - worst) / rating * 100.0),
            verdict,
            code_verdict: (unit == "V").then_some(verdict),
            reason: "exceeded by the code sum: 78.9 V at -31.2 °C".into(),
            steps: vec![
                Step { what: "label".into(), value: 67.5, unit: "V".into(), text: "3 x 22.5 V".into() },
                Step {
                    what: "cold".into(),
                    value: 78.9,
                    unit: "V".into(),
                    text: "cell at -31.2 °C, -0.30 %/K".into(),
                },
            ],
            reached_at_c: Some(-12.0),
            out_of_reach: None,
            hours_per_year: (unit == "V").then_some(ByVoltage {
                steady: 0.0,
                sudden_sun: 0.04,
                worst_case: 12.3,
            }),
            hours_range: (unit == "V").then(|| {
                let seen = |high| HoursRange { low: 0.0, high, kind: RangeKind::Observed };
                ByVoltage {
                    steady: seen(0.0),
                    sudden_sun: seen(0.9),
                    worst_case: HoursRange { low: 9.8, high: 15.1, kind: RangeKind::Interval90 },
                }
            }),
            most_hours: (unit == "V").then(|| SeasonHours {
                season: Season::new(2009, Hemisphere::North),
                hours: 0.9,
                share: 0.9,
            }),
            hours_by_month: (unit == "V").then(|| {
                let mut months = [0.0; 12];
                (months[0], months[11]) = (0.03, 0.01);
                months
            }),
            hours_by_hour_of_day: (unit == "V").then(|| {
                let mut hours = [0.0; 24];
                (hours[9], hours[10]) = (0.03, 0.01);
                hours
            }),
            days_per_year: (unit == "V").then_some(ByVoltage {
                steady: 0.0,
                sudden_sun: 0.08,
                worst_case: 4.1,
            }),
            seasons: 24,
            seasons_seen: 25,
            seasons_counted: 25,
            seasons_broken: (unit == "V").then_some(ByVoltage { steady: 0, sudden_sun: 2, worst_case: 17 }),
            chance_per_season: (unit == "V").then_some(Chance { low: 0.015, best: 0.083, high: 0.24 }),
            return_period_seasons: (unit == "V").then_some(ReturnPeriod {
                shortest: 4.2,
                best: Some(12.0),
                longest: Some(67.0),
            }),
            longest_run_h: (unit == "V").then_some(1.25),
            first_broken: (unit == "V").then(|| stamp(1998, 1, 3, 18)),
            last_broken: (unit == "V").then(|| stamp(2009, 1, 8, 18)),
            worst_case_first_broken: (unit == "V").then(|| stamp(1997, 12, 29, 19)),
            worst_case_last_broken: (unit == "V").then(|| stamp(2009, 1, 8, 18)),
            how_often: "In sudden sun 2 of 24 winters (chance 1.5 to 24 % a winter), at most 1.3 h in a row."
                .into(),
        }
    };
    let all = vec![
        line("roof disconnect", "disconnect", Some(75.0), "V", Some(78.9), Verdict::Exceeded),
        line("charge controller", "controller", Some(80.0), "V", Some(78.3 + lift), Verdict::Close),
        line("roof disconnect", "disconnect", Some(40.0), "A", Some(9.06), Verdict::Within),
        line("string plug", "connector", Some(1000.0), "V", Some(78.9), Verdict::Within),
        LimitLine {
            rule: "opens both conductors, NEC 690.13".into(),
            ..line("galley switch", "switch", None, "V", None, Verdict::NotMet)
        },
        line("roof cable", "cable", Some(100.0), "V", None, Verdict::NotAssessed),
    ];
    all.into_iter().take(count).collect()
}

/// A cold week with sun from 15 to 24 h UTC.
pub fn week(lift: f64) -> Vec<StripHour> {
    let start = stamp(2009, 1, 5, 7);
    (0..168)
        .map(|index| {
            let start = start.plus_s(index * 3600);
            let local = (index % 24) as f64;
            let day = (index / 24) as f64;
            let height = ((local - 7.4) / 9.2 * std::f64::consts::PI).sin();
            let lit = (8..17).contains(&(index % 24));
            let light = if lit { 420.0 * height.max(0.02) * (1.0 - 0.08 * day) } else { 0.0 };
            let air = -17.0 - lift - 5.0 * ((day - 3.3) * 0.9).cos()
                + 4.0 * ((local - 15.0) / 24.0 * std::f64::consts::TAU).cos();
            let voc = |cell: f64, light: f64| {
                67.5 * (1.0 - 0.003 * (cell - 25.0))
                    + 108.0 * 1.1 * 8.617e-5 * (cell + 273.15) * (light / 1000.0).ln()
            };
            let volts = |cell: f64, light: f64| {
                if !lit {
                    Some(0.0)
                } else if light < 10.0 {
                    None
                } else {
                    Some(voc(cell, light))
                }
            };
            StripHour {
                start,
                air_c: air,
                plane_w_m2: light,
                steady_v: volts(air + light * 0.04, light),
                sudden_sun_v: volts(air, light * 1.05),
                worst_case_v: volts(air - 5.0, light.max(120.0 * f64::from(lit as u8)) * 1.4)
                    .map(|volts| volts * 1.02),
            }
        })
        .collect()
}
