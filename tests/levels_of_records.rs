//! Levels of real records against an independent program, and what holes do to them.
//!
//! New York: expectations from `tests/reference/new_york_grid.py` (pandas 3.1.1, numpy 2.4.6, scipy 1.17.1), run on the
//! fixture itself. Holes: whole files of a real station and of the demo, cut here; nothing is drawn from a clock.
#![expect(clippy::unwrap_used)]

use dawnvolt::extreme::Random;
use dawnvolt::limits::Verdict;
use dawnvolt::plan;
use dawnvolt::study::results::{Assessment, LimitLine, RangeKind, RecordKind};
use dawnvolt::study::{Choice, assess};
use flate2::read::GzDecoder;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn from_top(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn assessed(path: &Path) -> Assessment {
    let plan = plan::load(path).unwrap_or_else(|error| panic!("{error}"));
    assess(&plan, &Choice::default()).unwrap_or_else(|error| panic!("{error}"))
}

fn near(found: Option<f64>, expected: f64, within: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() <= within, "{found} instead of {expected}");
}

fn notes(found: &Assessment) -> String {
    found.stops[0].notes.iter().map(|note| format!("{}\n", note.text)).collect()
}

fn volts(found: &Assessment) -> &LimitLine {
    found.stops[0].arrays[0].limits.iter().find(|line| line.unit == "V").unwrap()
}

/// Eleven calendar years hold ten whole winters; the two halves at the ends are milder than the mean and stay out.
#[test]
fn new_york_has_levels() {
    let found = assessed(&from_top("tests/plans/new-york.toml"));
    let stop = &found.stops[0];
    let design = &stop.design_temperature_c;
    assert_eq!((stop.record.complete_winters, stop.record.winters, stop.record.hours), (10, 12, 96_360));
    near(design.record_low, -22.3, 1e-9);
    assert_eq!(design.record_low_at.unwrap().iso(), "2018-01-07T12:00:00Z");
    let lows: Vec<f64> = stop
        .annual_low_c
        .iter()
        .filter(|low| low.counted)
        .map(|low| (low.low * 100.0).round() / 100.0)
        .collect();
    assert_eq!(lows, [-18.74, -9.88, -14.91, -20.04, -19.65, -18.62, -15.27, -22.3, -16.63, -8.92]);
    near(design.mean_annual_low, -16.496, 1e-4);
    near(design.sd, 4.3582, 1e-4);
    near(design.low_5_year, -19.6315, 1e-3);
    near(design.low_10_year, -22.1815, 1e-3);
    near(design.low_20_year, -24.6275, 1e-3);
    near(design.low_50_year, -27.7936, 1e-3);
    // The printed errors are those of long records; simulated ones of ten seasons lie up to 7 % below.
    let errors = design.standard_errors.unwrap();
    for (found, simulated) in errors.iter().zip([2.0612, 2.7365, 3.4230, 4.3381]) {
        assert!((found / simulated - 1.0).abs() < 0.08, "{found} {simulated}");
    }
    // Two independent simulations of the factor: 2.396 here and there, within 0.01.
    near(design.predictive_low, -26.9399, 0.01 * 4.3582);
    assert!(notes(&found).contains("Anderson-Darling 1.07"), "{}", notes(&found));
    assert!(notes(&found).contains("fit the Gumbel law poorly"), "{}", notes(&found));
    let voltage = &stop.arrays[0].voltage_v;
    for peak in [&voltage.sudden_sun, &voltage.worst_case] {
        let (most, level_20, level_50) =
            (peak.max.unwrap(), peak.level_20_year.unwrap(), peak.level_50_year.unwrap());
        let (errors, bounds) = (peak.standard_errors.unwrap(), peak.bounds_90.unwrap());
        assert!(level_20 < level_50 && errors[0] < errors[1]);
        assert!(bounds[0] > level_20 + errors[0] && bounds[1] > level_50 + errors[1]);
        assert!((most - level_20).abs() < 3.0 * errors[0]);
    }
    assert!(voltage.worst_case.predictive_level.unwrap() > voltage.worst_case.level_20_year.unwrap());
}

/// An invented handbook says -15.0 with 3.0: 20-year low -15 - 1.86581 * 3 = -20.6. Our own is 1.5 K colder, about one
/// standard error of its mean, 4.3582 / sqrt 10 = 1.4.
#[test]
fn published_lows_stand_beside_our_own() {
    let found = assessed(&from_top("tests/plans/new-york.toml"));
    near(found.stops[0].design_temperature_c.published.as_ref().unwrap().low_20_year, -20.597, 1e-3);
    let all = notes(&found);
    let said = all.lines().find(|line| line.contains("an invented handbook")).unwrap();
    for part in [
        "published mean annual low -15.0 °C",
        "our own -16.5 °C from 10 complete winters (2010/11 to 2019/20)",
        "1.5 K colder",
        "other years alone can explain",
        "standard error of our mean 1.4 K",
        "published -20.6 °C, our own -24.6 °C",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

/// Year, month, day, hour of a row of ISD-Lite ("2010 01 05 14 ...") or of the demo ("2010-01-05T14:00:00Z,...").
fn date(line: &str) -> Option<(i32, u32)> {
    let year = line.get(..4)?.parse().ok()?;
    let month = line.get(5..7)?.trim().parse().ok()?;
    Some((year, month))
}

/// What is knocked out of a record.
#[derive(Clone, Copy, Debug)]
enum Holes {
    None,
    /// Hours at random, this share.
    Random(f64),
    Januaries,
    /// All hours but each third.
    TwoOfThree,
    /// October to April of the winters that begin in these years.
    Winters(&'static [i32]),
}

impl Holes {
    fn keeps(self, line: &str, random: &mut Random) -> bool {
        let Some((year, month)) = date(line) else { return true };
        match self {
            Self::None => true,
            Self::Random(share) => random.unit() >= share,
            Self::Januaries => month != 1,
            Self::TwoOfThree => line
                .get(11..13)
                .and_then(|hour| hour.trim().parse::<u32>().ok())
                .is_none_or(|hour| hour % 3 == 0),
            Self::Winters(years) => {
                let begins = if month < 7 { year - 1 } else { year };
                !((month <= 4 || month >= 10) && years.contains(&begins))
            }
        }
    }
}

const VEHICLE: &str = r#"
title = "Invented van, records with holes"
[[module]]
id = "roof110"
voc_v = 22.9
isc_a = 6.15
cells_in_series = 36
technology = "mono"
voc_temp_coeff = "-0.30 %/K"
[[string]]
modules = "roof110"
in_series = 2
mount = "gap"
[[component]]
kind = "disconnect"
name = "roof disconnect"
max_v = 50
rated_a = 32
poles_opened = 2
[[stop]]
"#;

const CHICAGO: &str = "place = \"Chicago\"\nweather = [\"725300-*\"]\nlatitude_deg = 41.995\nlongitude_deg = -87.934\nelevation_m = 205\n";
const DEMO: &str = "place = \"Cinder Ford\"\nweather = [\"invented-*.csv\"]\nlatitude_deg = 45.2\nlongitude_deg = -141.0\nelevation_m = 1240\nutc_offset = \"-09:00\"\n";

/// The record with holes, through files.
fn with_holes(stop: &str, folder: &str, name: &str, holes: Holes) -> Assessment {
    let cut = TempDir::new().unwrap();
    let mut random = Random::seeded(20);
    let mut files: Vec<PathBuf> = fs::read_dir(from_top(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.file_name().unwrap().to_string_lossy().starts_with(name))
        .collect();
    files.sort();
    for path in files {
        let mut text = String::new();
        GzDecoder::new(File::open(&path).unwrap()).read_to_string(&mut text).unwrap();
        let kept: String = text.split_inclusive('\n').filter(|line| holes.keeps(line, &mut random)).collect();
        fs::write(cut.path().join(path.file_stem().unwrap()), kept).unwrap();
    }
    let plan = cut.path().join("plan.toml");
    fs::write(&plan, format!("{VEHICLE}{stop}")).unwrap();
    assessed(&plan)
}

fn chicago(holes: Holes) -> Assessment {
    with_holes(CHICAGO, "tests/formats/isd_lite", "725300-", holes)
}

fn demo(holes: Holes) -> Assessment {
    with_holes(DEMO, "data/demo/weather", "invented-cinder-ford", holes)
}

/// Either the level moves by less than its standard error, or the output gives none and says that the record is short.
fn moved_little(before: &Assessment, after: &Assessment, what: Holes) {
    let (was, is) = (&before.stops[0].design_temperature_c, &after.stops[0].design_temperature_c);
    if let Some(level) = is.low_20_year {
        near(was.low_20_year, level, was.standard_errors.unwrap()[2]);
        let (was, is) = (&before.stops[0].arrays[0].voltage_v, &after.stops[0].arrays[0].voltage_v);
        for (was, is) in [(&was.sudden_sun, &is.sudden_sun), (&was.worst_case, &is.worst_case)] {
            if let Some(level) = is.level_20_year {
                near(was.level_20_year, level, was.standard_errors.unwrap()[0]);
            }
        }
    } else {
        assert!(notes(after).contains("complete winters: "), "{what:?}: {}", notes(after));
    }
    match (was.mean_annual_low, is.mean_annual_low) {
        (Some(before), Some(after)) => {
            // The standard error of a mean of five: of Chicago itself, and less than that of the demo's 20-year low.
            assert!((before - after).abs() < was.sd.unwrap() / 5.0_f64.sqrt(), "{what:?}: {before} {after}");
        }
        (Some(_), None) => {
            let said = notes(after);
            assert!(said.contains("too few for a mean annual low"), "{what:?}: {said}");
            let from = &after.stops[0].arrays[0].voltage_v.code_temperature_from;
            assert!(from.contains("a short record misses colder winters"), "{what:?}: {from}");
            assert!(after.stops[0].arrays[0].voltage_v.allowance.is_some() || volts(after).seasons >= 5);
        }
        _ => {}
    }
    // A season that is gone is gone: never one more that held.
    let held = |found: &Assessment| {
        let line = volts(found);
        line.seasons_counted.saturating_sub(line.seasons_broken.unwrap().sudden_sun as usize)
    };
    assert!(held(after) <= held(before), "{what:?}");
    assert!(volts(after).seasons_counted <= volts(before).seasons_counted, "{what:?}");
}

const KNOCKED_OUT: [Holes; 4] =
    [Holes::Random(0.01), Holes::Random(0.05), Holes::Random(0.2), Holes::Januaries];

#[test]
fn holes_in_chicago() {
    let whole = chicago(Holes::None);
    assert_eq!(whole.stops[0].record.complete_winters, 5);
    for holes in KNOCKED_OUT.into_iter().chain([Holes::Winters(&[2011]), Holes::Winters(&[2010, 2015])]) {
        moved_little(&whole, &chicago(holes), holes);
    }
    let gone = chicago(Holes::Winters(&[2011]));
    assert_eq!(gone.stops[0].record.complete_winters, 4);
    assert_eq!(gone.stops[0].design_temperature_c.mean_annual_low, None);
    let januaries = chicago(Holes::Januaries);
    assert_eq!(januaries.stops[0].record.complete_winters, 0);
    assert_eq!(volts(&januaries).chance_per_season, None);
}

/// A real record and each third hour of it: the same hours a year above a touch voltage, and the same hours and days over a
/// rating, but for what a third of the hours misses of dawn and dusk.
#[test]
fn a_third_of_the_hours_says_the_same_of_hours_a_year() {
    let (whole, third) = (chicago(Holes::None), chicago(Holes::TwoOfThree));
    assert_eq!((third.stops[0].annual_low_c[2].step_h, volts(&third).seasons), (3, volts(&whole).seasons));
    let above = |found: &Assessment| found.stops[0].arrays[0].touch.hours_per_year_above_30_v.unwrap();
    let (all, thinned) = (above(&whole), above(&third));
    assert!((thinned / all - 1.0).abs() < 0.02, "{all} {thinned}");
    let worst = |found: &Assessment| volts(found).hours_per_year.unwrap().worst_case;
    assert!((worst(&third) / worst(&whole) - 1.0).abs() < 0.1, "{} {}", worst(&whole), worst(&third));
}

#[test]
fn holes_in_the_demo() {
    let whole = demo(Holes::None);
    assert_eq!(whole.stops[0].record.complete_winters, 25);
    for holes in KNOCKED_OUT.into_iter().chain([Holes::Winters(&[1999, 2003, 2010])]) {
        moved_little(&whole, &demo(holes), holes);
    }
    let one_percent = demo(Holes::Random(0.01));
    assert_eq!(one_percent.stops[0].record.complete_winters, 25);
    let winters = demo(Holes::Winters(&[1999, 2003, 2010]));
    assert_eq!(winters.stops[0].record.complete_winters, 22);
    assert_eq!(volts(&winters).seasons, 22);
    let fifth = demo(Holes::Random(0.2));
    assert_eq!(fifth.stops[0].record.complete_winters, 0);
    assert_eq!(fifth.stops[0].design_temperature_c.low_20_year, None);
    assert_eq!((volts(&fifth).seasons, volts(&fifth).chance_per_season), (0, None));
    assert!(volts(&fifth).how_often.contains("no complete season"), "{}", volts(&fifth).how_often);
    // Twenty-five seasons with breaks in most of them carry an interval of hours a year.
    assert_eq!(volts(&whole).hours_range.unwrap().worst_case.kind, RangeKind::Interval90);
}

/// A typical year: no level, no odds, one sentence why; code answers from a stated temperature all the same.
#[test]
fn a_typical_year_gives_no_level_and_no_odds() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("plan.toml");
    let weather = from_top("tests/formats/tmy3/723170TYA.CSV.gz");
    let stop = format!("place = \"Greensboro\"\nweather = ['{}']\n", weather.display());
    fs::write(&path, format!("{VEHICLE}{stop}code_temperature = -13\n")).unwrap();
    let found = assessed(&path);
    let stop = &found.stops[0];
    assert_eq!(stop.record.kind, RecordKind::TypicalYear);
    let design = &stop.design_temperature_c;
    let absent = [
        design.record_low,
        design.mean_annual_low,
        design.low_5_year,
        design.low_10_year,
        design.low_20_year,
        design.low_50_year,
        design.predictive_low,
        design.daylight_record_low,
        design.daylight_mean_annual_low,
    ];
    assert!(absent.iter().all(Option::is_none), "{design:?}");
    let voltage = &stop.arrays[0].voltage_v;
    assert_eq!((voltage.worst_case.level_20_year, voltage.worst_case.predictive_level), (None, None));
    // By hand: 45.8 (1 + 0.003 * 38) = 51.0 V.
    near(voltage.code, 45.8 * 1.114, 1e-9);
    let line = volts(&found);
    assert_eq!((line.chance_per_season, line.hours_per_year, line.seasons), (None, None, 0));
    assert_eq!(line.code_verdict, Some(Verdict::Exceeded));
    assert!(line.how_often.contains("typical year"), "{}", line.how_often);
    let why = notes(&found);
    assert!(why.contains("a typical year is put together from unremarkable months"), "{why}");

    // In a trip it leaves the whole trip without a chance instead of counting as never broken.
    let dates = "arrive = \"01-10\"\nleave = \"01-20\"\n";
    let chronological = from_top("tests/formats/generic/new-york-grid.csv.gz");
    let second = format!(
        "[[stop]]\nplace = \"New York\"\nweather = ['{}']\nlatitude_deg = 40.7128\nlongitude_deg = -74.006\n\
         elevation_m = 10\nutc_offset = \"+00:00\"\narrive = \"01-20\"\nleave = \"01-30\"\n[stop.columns]\n\
         time = [\"Year\", \"Month\", \"Day\", \"Hour\", \"Minute\"]\nair = \"Temperature\"\nghi = \"GHI\"\n\
         label = \"hour-ending\"\n",
        chronological.display()
    );
    fs::write(
        &path,
        format!(
            "{VEHICLE}{stop}{dates}{second}",
            stop = format_args!("place = \"Greensboro\"\nweather = ['{}']\n", weather.display())
        ),
    )
    .unwrap();
    let trip = assessed(&path).trip.unwrap();
    assert_eq!(trip.chance_per_season, None);
    assert!(trip.by_departure.is_empty());
    assert!(trip.in_words.contains("Greensboro is a typical year"), "{}", trip.in_words);
}
