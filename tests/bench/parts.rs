//! The parts of an hour: `cargo bench --bench parts`. Each number is for one hour, or says otherwise.

use dawnvolt::module::{Label, RawLabel, StringCurve, StringPower};
use dawnvolt::sky::ClearSky;
use dawnvolt::sun::{Nodes, Track};
use dawnvolt::time::Stamp;
use dawnvolt::units::Celsius;
use divan::counter::ItemsCount;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Hours of a year.
const HOURS: usize = 8760;

fn moment(year: i32) -> Stamp {
    Stamp::from_utc(year, 1, 1, 0, 0, 0).unwrap_or(Stamp(0))
}

fn panel() -> Vec<Label> {
    let raw = RawLabel {
        id: "invented".into(),
        voc_v: 22.5,
        isc_a: 5.8,
        vmp_v: Some(18.6),
        imp_a: Some(5.38),
        cells_in_series: Some(36),
        voc_temp_coeff: Some("-0.30 %/K".into()),
        ..RawLabel::default()
    };
    Label::read(raw).into_iter().collect()
}

/// The exact nodes of thirty years.
#[divan::bench(sample_count = 10)]
fn sun_nodes_30_years(bencher: Bencher) {
    bencher.bench(|| Nodes::covering(moment(1991), moment(2021)).is_ok());
}

/// Twelve midpoints of every hour, night and day.
#[divan::bench(sample_count = 20)]
fn sun_hour(bencher: Bencher) {
    let Ok(nodes) = Nodes::covering(moment(2001), moment(2002)) else { return };
    let track = Track::new(&nodes, 39.74, -104.98);
    bencher.counter(ItemsCount::new(HOURS)).bench(|| {
        (0..HOURS as i64)
            .map(|hour| track.hour(moment(2001).plus_s(hour * 3600), 3600).lit_steps())
            .sum::<u32>()
    });
}

/// Whether an hour is lit at all.
#[divan::bench(sample_count = 20)]
fn sun_is_lit(bencher: Bencher) {
    let Ok(nodes) = Nodes::covering(moment(2001), moment(2002)) else { return };
    let track = Track::new(&nodes, 39.74, -104.98);
    bencher.counter(ItemsCount::new(HOURS)).bench(|| {
        (0..HOURS as i64).filter(|hour| track.is_lit(moment(2001).plus_s(hour * 3600), 3600)).count()
    });
}

/// Clear sky at one moment, from the table and by the plain form.
#[divan::bench(args = ["table", "plain"])]
fn sky(bencher: Bencher, form: &str) {
    let sky = ClearSky::at(1610.0, None);
    bencher.counter(ItemsCount::new(1000_usize)).bench(|| {
        (0..1000_u32)
            .map(|step| {
                let cos_zenith = f64::from(step) * 1.0e-3;
                if form == "table" {
                    sky.global(cos_zenith, 1361.0)
                } else {
                    sky.exact(cos_zenith, 1361.0).ghi
                }
            })
            .sum::<f64>()
    });
}

/// The table of a place.
#[divan::bench]
fn sky_table() -> ClearSky {
    ClearSky::at(black_box(1610.0), None)
}

/// Open-circuit volts in closed form.
#[divan::bench]
fn curve_open_circuit(bencher: Bencher) {
    let curve = StringCurve::central(&panel());
    bencher.counter(ItemsCount::new(1000_usize)).bench(|| {
        (10..1010_u32)
            .filter_map(|light| curve.volts(f64::from(light), Celsius(-10.0)))
            .map(|volts| volts.0)
            .sum::<f64>()
    });
}

/// Volts and amps at maximum power.
#[divan::bench]
fn curve_maximum_power(bencher: Bencher) {
    let power = StringPower::fit(&panel());
    bencher.counter(ItemsCount::new(1000_usize)).bench(|| {
        (10..1010_u32)
            .filter_map(|light| power.at(f64::from(light), Celsius(40.0)))
            .map(|power| power.vmp.0)
            .sum::<f64>()
    });
}
