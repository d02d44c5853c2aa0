//! What each fuzz target does with any bytes, and what must be true of the answer. Shared by the targets and by the
//! plain test that replays their corpora (`tests/corpora.rs`).

use dawnvolt::module::{Curve, Label, RawLabel, StringCurve, Technology, code_sum};
use dawnvolt::plan::{self, Plan, PlanError};
use dawnvolt::report;
use dawnvolt::study::meter::{self, MeterRow};
use dawnvolt::study::{self, Choice};
use dawnvolt::time::UtcOffset;
use dawnvolt::units::Celsius;
use dawnvolt::weather::{As, Record, Request, formats, open_bytes};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// What a target does with its bytes.
type Check = fn(&[u8]);

/// Name and check of every target; a corpus lies under the same name.
pub const TARGETS: [(&str, Check); 6] = [
    ("detection", detection),
    ("readers", readers),
    ("archives", archives),
    ("plan", plan),
    ("label", label),
    ("meter", meter),
];

/// Control codes have no place in anything that is shown.
fn is_clean(text: &str) -> bool {
    !text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t'))
}

/// A message as the program shows it: clean, and no wall of text.
fn is_shown_well(error: &dyn std::error::Error) {
    let message = report::clean_text(&error.to_string());
    assert!(is_clean(&message), "{message:?}");
    assert!(message.len() < 3000, "a message of {} bytes", message.len());
}

/// Opens, and holds what must be true of every record and message.
pub fn open(bytes: &[u8], format: As<'_>) {
    let files = [PathBuf::from("fuzzed.csv")];
    let request = Request { files: &files, columns: None, utc_offset: UtcOffset::from_hours(-7.0) };
    let opened = match open_bytes(bytes, &request, format) {
        Ok(opened) => opened,
        Err(error) => {
            is_shown_well(&error);
            return;
        }
    };
    for hour in opened.record.hours() {
        assert!(
            hour.air_low_c <= hour.air_mean_c + 1e-9 && hour.air_mean_c <= f64::from(hour.air_high_c) + 1e-4
        );
        assert!((-90.0..=60.0).contains(&hour.air_low_c));
        assert!(hour.wind_m_s.is_none_or(f32::is_finite));
    }
    if let Record::Chronological(record) = &opened.record {
        assert!(record.hours.windows(2).all(|pair| pair[0].start < pair[1].start));
    }
}

/// Any bytes, as a user would hand them over.
pub fn detection(bytes: &[u8]) {
    open(bytes, As::Detected);
}

/// The reader that DAWNVOLT_FUZZ_READER names by its number, so that time can be spread over them.
static CHOSEN: LazyLock<Option<usize>> =
    LazyLock::new(|| std::env::var("DAWNVOLT_FUZZ_READER").ok()?.parse().ok());

/// Every reader on bytes that detection would not give it: the first byte chooses the reader.
pub fn readers(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else { return };
    let names: Vec<&str> = formats().collect();
    let at = CHOSEN.unwrap_or(usize::from(*first)) % names.len();
    open(rest, As::Named(names[at]));
}

/// Packed bytes, whole and damaged. The first byte says how the rest is packed; the second and third say which byte of
/// the packed ones is changed and to what, except where the first is a multiple of eight.
pub fn archives(bytes: &[u8]) {
    let [how, at, to, rest @ ..] = bytes else { return };
    let mut packed = match how % 4 {
        0 => rest.to_vec(),
        1 => gzip(rest),
        2 => zipped(rest, CompressionMethod::Stored),
        _ => zipped(rest, CompressionMethod::Deflated),
    };
    if how % 8 > 3 {
        // From the end, where a zip archive keeps its directory.
        let place = packed.len().checked_sub(1 + usize::from(*at));
        if let Some(byte) = place.and_then(|place| packed.get_mut(place)) {
            *byte = *to;
        }
    }
    open(&packed, As::Detected);
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(bytes).expect("a vector takes all");
    packer.finish().expect("a vector takes all")
}

/// Members are separated by a byte 0xfe; the first line of each is its name.
fn zipped(bytes: &[u8], method: CompressionMethod) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for member in bytes.split(|byte| *byte == 0xfe).take(20) {
        let end = member.iter().position(|byte| *byte == b'\n').unwrap_or(member.len());
        let name = String::from_utf8_lossy(&member[..end]);
        let options = SimpleFileOptions::default().compression_method(method);
        // A name that was there before is refused by the packer; not its reader's business.
        if writer.start_file(name, options).is_ok() {
            writer.write_all(member.get(end + 1..).unwrap_or(&[])).expect("a vector takes all");
        }
    }
    writer.finish().map(Cursor::into_inner).unwrap_or_default()
}

fn plan_of(text: &str) -> Result<Plan, PlanError> {
    let find = |pattern: &str| match pattern.len() % 2 {
        0 => Ok(vec![PathBuf::from(pattern)]),
        _ => Err(format!("nothing is named {pattern}")),
    };
    plan::read(text, Path::new("plan.toml"), Path::new("."), &find)
}

/// A plan. One without a stop is assessed and printed as well: that opens no file.
pub fn plan(bytes: &[u8]) {
    let plan = match plan_of(&String::from_utf8_lossy(bytes)) {
        Ok(plan) => plan,
        Err(error) => {
            let message = error.to_string();
            assert!(is_clean(&message), "{message:?}");
            assert!(message.len() < 400_000, "a message of {} bytes", message.len());
            return;
        }
    };
    assert!(!plan.arrays.is_empty() && plan.arrays.iter().all(|array| !array.groups.is_empty()));
    for label in plan.arrays.iter().flat_map(|array| &array.groups).flat_map(|group| &group.modules).take(40)
    {
        volts_are_numbers(label);
    }
    if plan.stops.is_empty()
        && let Ok(assessment) = study::assess(&plan, &Choice::default())
    {
        let options = report::text::TextOptions::default();
        for text in [
            report::text::assess(&assessment, &options),
            report::text::assess_in_brief(&assessment, &options),
        ] {
            assert!(is_clean(&text), "{text:?}");
        }
        let json = report::json(&assessment);
        assert!(serde_json::from_str::<serde_json::Value>(&json).is_ok());
    }
}

fn volts_are_numbers(label: &Label) {
    let string = std::slice::from_ref(label);
    for cell in [-60.0, 25.0, 90.0] {
        for light in [10.0, 200.0, 1000.0, 1500.0] {
            let volts = |curve: StringCurve| curve.volts(light, Celsius(cell)).expect("10 W/m2 or more").0;
            let (central, worst) = (volts(StringCurve::central(string)), volts(StringCurve::worst(string)));
            assert!(central.is_finite() && worst.is_finite(), "{label:?}");
        }
    }
    assert!(code_sum(string, Celsius(-20.0)).volts.0.is_finite());
}

/// A label: eleven numbers of the plan by their bits or as small decimals, then its two coefficients as text.
pub fn label(bytes: &[u8]) {
    let [kind, shape, rest @ ..] = bytes else { return };
    let mut rest = rest;
    let mut number = |plain: bool| {
        let (head, tail) = rest.split_at_checked(if plain { 2 } else { 8 })?;
        rest = tail;
        Some(if plain {
            f64::from(u16::from_le_bytes(head.try_into().expect("two bytes"))) / 100.0
        } else {
            f64::from_bits(u64::from_le_bytes(head.try_into().expect("eight bytes")))
        })
    };
    let plain = kind & 0x80 == 0;
    let (Some(voc_v), Some(isc_a)) = (number(plain), number(plain)) else { return };
    let mut maybe = |bit: u8| if shape & (1 << bit) == 0 { None } else { number(plain) };
    let (vmp_v, imp_a) = (maybe(0), maybe(0));
    let (max_series_fuse_a, max_system_v) = (maybe(1), maybe(2));
    let (voc_tolerance_percent, bifacial) = (maybe(3), maybe(4));
    let cells_in_series = maybe(5).map(|cells| (cells * 100.0) as u32);
    let text = String::from_utf8_lossy(rest);
    let mut lines = text.split('\n').map(str::to_owned);
    let raw = RawLabel {
        id: "fuzzed".into(),
        voc_v,
        isc_a,
        vmp_v,
        imp_a,
        cells_in_series,
        technology: Technology::ALL.get(usize::from(kind & 7)).copied(),
        voc_temp_coeff: lines.next().filter(|_| shape & 0x40 != 0),
        isc_temp_coeff: lines.next().filter(|_| shape & 0x80 != 0),
        max_series_fuse_a,
        max_system_v,
        voc_tolerance_percent,
        bifacial,
    };
    let Ok(label) = Label::read(raw) else { return };
    assert!(label.voc_coefficient.per_k() < 0.0 && label.tolerance >= 0.0, "{label:?}");
    assert!(label.cells.bound > 0.0 && label.cells.bound <= label.cells.central, "{label:?}");
    volts_are_numbers(&label);
    if label.vmp.is_some() && label.imp.is_some() {
        let top = Curve::fit(&label).curve.diode(1000.0, Celsius(25.0)).max_power();
        assert!(
            top.vmp_v.is_finite() && top.imp_a.is_finite() && top.vmp_v <= top.voc_v,
            "{label:?}: {top:?}"
        );
    }
}

/// A table of readings for `meter`, held against a string of three invented panels.
pub fn meter(bytes: &[u8]) {
    static PLAN: LazyLock<Plan> = LazyLock::new(|| {
        plan_of(
            "[[module]]\nid = \"roof100\"\nvoc_v = 22.5\nisc_a = 5.8\nvmp_v = 18.6\nimp_a = 5.38\n\
             [[string]]\nmodules = \"roof100\"\nin_series = 3\nmount = \"roof\"\n",
        )
        .expect("a plan that holds")
    });
    let text = String::from_utf8_lossy(bytes);
    match meter::rows(&PLAN, &Choice::default(), "fuzzed.csv", &text) {
        Err(error) => is_shown_well(&error),
        Ok(rows) => {
            for row in &rows.rows {
                let MeterRow { voc_v, voc_worst_case_v, isc_a, vmp_v, imp_a, .. } = row;
                for value in [voc_v, voc_worst_case_v, isc_a, vmp_v, imp_a].into_iter().flatten() {
                    assert!(value.is_finite(), "{row:?}");
                }
            }
            let csv = report::meter_csv(&rows);
            assert_eq!(
                csv::ReaderBuilder::new().from_reader(csv.as_bytes()).records().count(),
                rows.rows.len()
            );
        }
    }
}
