//! A record that cannot belong to the place in the plan is called in question at the top, on real files.
//!
//! Coordinates of the stations: `tests/formats/isd_lite/PROVENANCE.md`, and the header of the typical year itself
//! (Greensboro, 36.1 N, 79.95 W).

use dawnvolt::plan::{self, Plan};
use dawnvolt::sky::Light;
use dawnvolt::study::results::Assessment;
use dawnvolt::study::{Choice, StudyError, assess};
use dawnvolt::time::{Stamp, UtcOffset};
use dawnvolt::weather;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests")
}

fn run(name: &str, change: impl FnOnce(&mut Plan)) -> Result<Assessment, StudyError> {
    let mut plan = plan::load(&root().join("plans").join(name)).unwrap_or_else(|error| panic!("{error}"));
    change(&mut plan);
    assess(&plan, &Choice::default())
}

fn assessed(name: &str, change: impl FnOnce(&mut Plan)) -> Assessment {
    run(name, change).unwrap_or_else(|error| panic!("{error}"))
}

/// The clause stands in the summary, and the first note says more.
fn doubted(found: &Assessment, clause: &str, advice: &str) {
    assert!(found.summary.contains(&format!("; but check: {clause}")), "{}", found.summary);
    let first = &found.stops[0].notes[0].text;
    assert!(first.starts_with(clause) && first.contains(advice), "{first}");
}

#[test]
fn records_at_their_own_place_are_not_doubted() {
    for name in ["chicago.toml", "greensboro.toml", "northway.toml", "new-york.toml"] {
        let found = assessed(name, |_| {});
        assert!(!found.summary.contains("but check"), "{name}: {}", found.summary);
    }
}

#[test]
fn a_station_far_from_the_plans_coordinates_is_said_first() {
    let found = assessed("greensboro.toml", |plan| {
        plan.stops[0].latitude_deg = Some(41.88);
        plan.stops[0].longitude_deg = Some(-87.63);
    });
    // By the law of cosines on a ball of 6371 km, in another form than the program's: cos d = sin 36.1 sin 41.88 +
    // cos 36.1 cos 41.88 cos 7.68 = 0.98952, d = 8.302 degrees, 923 km.
    doubted(
        &found,
        "the file's station lies 923 km from the coordinates in the plan",
        "name the file of the place",
    );
}

#[test]
fn a_station_near_the_plans_coordinates_is_said_plainly() {
    let found = assessed("greensboro.toml", |plan| {
        plan.stops[0].latitude_deg = Some(36.3);
        plan.stops[0].longitude_deg = Some(-79.95);
    });
    assert!(!found.summary.contains("but check"), "{}", found.summary);
    // 0.2 degrees of a meridian are 12 nautical miles of 1.852 km.
    let notes = &found.stops[0].notes;
    assert!(notes.iter().any(|note| note.text.contains("lie 22 km from those in the file")), "{notes:?}");
}

#[test]
fn a_forgotten_sign_is_said_first() {
    let east = assessed("chicago.toml", |plan| {
        let longitude = &mut plan.stops[0].longitude_deg;
        *longitude = longitude.map(|deg| -deg);
    });
    doubted(&east, "the warmest hour of the day comes at about 0", "west is negative");
    let south = assessed("chicago.toml", |plan| {
        let latitude = &mut plan.stops[0].latitude_deg;
        *latitude = latitude.map(|deg| -deg);
    });
    doubted(&south, "July is warmer than January here", "south is negative");
}

#[test]
fn files_of_two_archives_that_share_no_number_are_refused_in_a_stop() {
    let error = run("chicago.toml", |plan| {
        let formats = root().join("formats");
        plan.stops[0].files =
            vec![formats.join("iem/iem_jfk_metar_sample.csv"), formats.join("isd_lite/702910-2019.gz")];
    })
    .map(|found| found.summary)
    .expect_err("New York and Northway in Alaska are two stations");
    let text = error.to_string();
    assert!(text.contains("several stations: JFK in ") && text.contains("702910 in "), "{text}");
}

/// The light of a real typical year (provenance beside it), with stamps in UTC that carry no zone, read with the clock of
/// the place: every hour of light stands five hours late.
#[test]
fn stamps_of_another_clock_are_said_first() {
    let file = root().join("formats/tmy3/723170TYA.CSV.gz");
    let request = weather::Request { files: &[file], columns: None, utc_offset: None };
    let year = weather::open(&request).unwrap_or_else(|error| panic!("{error}"));
    let mut text = String::from("time,temp_c,ghi\n");
    // The file begins at midnight of UTC-5.
    for (start, hour) in (0..).map(|hour| Stamp(978_325_200 + hour * 3600)).zip(year.record.hours()) {
        let ghi = match hour.light {
            Light::Parts { ghi, .. } | Light::GlobalOnly { ghi } => ghi,
            Light::Clouds { .. } | Light::Unknown => 0.0,
        };
        text.push_str(&format!("{},{},{ghi}\n", start.iso().trim_end_matches('Z'), hour.air_mean_c));
    }
    let folder = tempfile::tempdir().expect("a folder");
    let table = folder.path().join("utc.csv");
    std::fs::write(&table, text).expect("written");
    let at = |longitude_deg: f64, minutes: i32| {
        assessed("greensboro.toml", |plan| {
            let stop = &mut plan.stops[0];
            stop.files = vec![table.clone()];
            (stop.latitude_deg, stop.longitude_deg) = (Some(36.1), Some(longitude_deg));
            stop.utc_offset = UtcOffset::from_seconds(minutes * 60);
        })
    };
    let late = at(-79.95, -300);
    doubted(&late, "its light fits the sun best with stamps 5 hours earlier", "are they UTC?");
    // East for west: 2 x 79.95 / 15 = 10.7 hours, for the light and for the air's warmest hour; once is enough.
    let east = at(79.95, 0);
    doubted(&east, "its light fits the sun best with stamps", "the sign of longitude_deg");
    assert_eq!(east.summary.matches("but check").count(), 1, "{}", east.summary);
    assert!(east.stops[0].notes.iter().all(|note| !note.text.contains("warmest hour of the day")));
    assert!(!at(-79.95, 0).summary.contains("but check"));
}

/// 125 V a pole, two in series, two conductors opened (a golden plan): four poles, which the owner has to count. With 400 V a
/// pole one in each conductor is enough, and nothing is said.
#[test]
fn poles_that_must_be_there_are_said_in_the_answer() {
    let name = "golden/05-truck-2400w-48v-thin-cable.toml";
    let found = assessed(name, |_| {});
    let clause = "; but count the poles of rail breaker: 2 in series in each of 2 conductors are 4; with one in each conductor \
                  it carries 125 V only";
    assert!(found.summary.contains(clause), "{}", found.summary);
    let file = root().join("plans").join(name);
    let text = std::fs::read_to_string(&file)
        .unwrap_or_default()
        .replace("max_v_per_pole = 125", "max_v_per_pole = 400");
    let folder = file.parent().unwrap_or(&file);
    let find = |pattern: &str| Ok(vec![folder.join(pattern)]);
    let plan = plan::read(&text, &file, folder, &find).unwrap_or_else(|error| panic!("{error}"));
    let found = assess(&plan, &Choice::default()).unwrap_or_else(|error| panic!("{error}"));
    assert!(!found.summary.contains("count the poles"), "{}", found.summary);
}
