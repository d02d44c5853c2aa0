//! What must hold for any weather and any string.

use dawnvolt::array::{Heading, StringGroup, Tilt};
use dawnvolt::heat::Mount;
use dawnvolt::hourly::{Blocks, Loop, ReadyGroup, Seen, Site, Voltage, each_hour, fold};
use dawnvolt::module::{Label, RawLabel};
use dawnvolt::place::Place;
use dawnvolt::sky::{ClearSky, Light};
use dawnvolt::sun::Nodes;
use dawnvolt::time::{DAY_S, HOUR_S, Hemisphere, Stamp, UtcOffset};
use dawnvolt::weather::{Hour, Origin};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// An invented place with its sun and its sky.
#[derive(Debug)]
struct World {
    site: Site,
    sky: ClearSky,
    nodes: Nodes,
    first: Stamp,
}

impl World {
    fn new(latitude_deg: f64, longitude_deg: f64, elevation_m: f64, day: i64) -> Self {
        let first = Stamp(946_684_800 + day * DAY_S);
        let nodes =
            Nodes::covering(Stamp(first.0 - 400 * DAY_S), Stamp(first.0 + 800 * DAY_S)).expect("usual years");
        Self {
            site: Site {
                place: Place { latitude_deg, longitude_deg, elevation_m },
                above_station_m: 0.0,
                offset: UtcOffset::from_longitude(longitude_deg),
                hemisphere: Hemisphere::of_latitude(latitude_deg),
            },
            sky: ClearSky::at(elevation_m, None),
            nodes,
            first,
        }
    }

    fn seen(&self, group: &StringGroup, hours: &[Hour]) -> Seen {
        let groups = [ReadyGroup::new(group, None)];
        fold(&self.job(&groups), hours)
    }

    fn job<'a>(&'a self, groups: &'a [ReadyGroup<'a>]) -> Loop<'a> {
        Loop {
            site: &self.site,
            sky: &self.sky,
            nodes: &self.nodes,
            groups,
            ratings: &[48.0],
            steady_only: &[],
            blocks: Some(Blocks::Seasons(self.site.hemisphere)),
            only: None,
            step_h: 1,
        }
    }
}

fn group(count: usize, mount: Mount, tilt: Tilt, heading: Heading) -> StringGroup {
    let label = Label::read(RawLabel {
        id: "invented".into(),
        voc_v: 22.5,
        isc_a: 5.8,
        vmp_v: Some(18.6),
        imp_a: Some(5.38),
        cells_in_series: Some(36),
        voc_temp_coeff: Some("-0.30 %/K".into()),
        ..RawLabel::default()
    })
    .expect("a plausible label");
    StringGroup { modules: vec![label; count], in_parallel: 1, mount, tilt, heading, snow_ground: false }
}

fn hour(start: Stamp, air_c: f64, light: Light) -> Hour {
    Hour {
        start,
        air_mean_c: air_c,
        air_low_c: air_c,
        air_high_c: 0.0,
        wind_m_s: Some(2.0),
        light,
        origin: Origin { file: 0, line: 1 },
    }
}

prop_compose! {
    fn weeks()(
        latitude in -70.0..70.0_f64,
        longitude in -179.0..179.0_f64,
        elevation in 0.0..4500.0_f64,
        day in 0..360_i64,
        airs in prop::collection::vec(-45.0..40.0_f64, 96),
        lights in prop::collection::vec((0..4_u8, 0.0..1.0_f64), 96),
    ) -> (World, Vec<Hour>) {
        let world = World::new(latitude, longitude, elevation, day);
        let hours = airs.iter().zip(&lights).enumerate().map(|(index, (&air, &(kind, share)))| {
            #[expect(clippy::cast_possible_truncation, reason = "test data")]
            let share = share as f32;
            let light = match kind {
                0 => Light::Unknown,
                1 => Light::Clouds { oktas: share * 8.0 },
                2 => Light::GlobalOnly { ghi: share * 900.0 },
                _ => Light::Parts { ghi: share * 900.0, dni: share * 700.0, dhi: share * 200.0 },
            };
            hour(world.first.plus_s(index as i64 * HOUR_S), air, light)
        }).collect();
        (world, hours)
    }
}

fn planes() -> impl Strategy<Value = (Mount, Tilt, Heading)> {
    let mounts = prop_oneof![Just(Mount::Roof), Just(Mount::Gap), Just(Mount::Frame)];
    let tilts = prop_oneof![Just(Tilt::Fixed(0.0)), (0.0..80.0_f64).prop_map(Tilt::Fixed), Just(Tilt::Any)];
    let headings = prop_oneof![Just(Heading::Any), (0.0..360.0_f64).prop_map(Heading::Fixed)];
    (mounts, tilts, headings)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_124), ..ProptestConfig::default() })]

    #[test]
    fn steady_never_above_sudden_sun_at_the_same_label_nor_above_worst_case(
        (world, hours) in weeks(), (mount, tilt, heading) in planes(), count in 1..6_usize,
    ) {
        let strings = group(count, mount, tilt, heading);
        let ready = [ReadyGroup::new(&strings, None)];
        let mut fault = None;
        each_hour(&world.job(&ready), &hours, |hour, _, _, lit| {
            let Some((state, _)) = lit else { return };
            if let (Some(steady), Some(worst)) = (state.peak.steady, state.peak.worst_case)
                && steady.volts > worst.volts + 1e-9
            {
                fault = Some(format!("{}: steady {steady:?} above worst case {worst:?}", hour.start));
            }
            if let (Some(sudden), Some(worst)) = (state.peak.sudden_sun, state.peak.worst_case)
                && sudden.volts > worst.volts + 1e-9
            {
                fault = Some(format!("{}: sudden sun {sudden:?} above worst case {worst:?}", hour.start));
            }
            if let (Some(steady), Some(sudden)) = (state.peak.steady, state.peak.sudden_sun)
                && steady.volts > sudden.volts + 1e-9
            {
                fault = Some(format!("{}: steady {steady:?} above sudden sun {sudden:?}", hour.start));
            }
        });
        prop_assert_eq!(fault, None);
    }

    #[test]
    fn more_panels_more_volts_exactly_in_proportion(
        (world, hours) in weeks(), (mount, tilt, heading) in planes(), count in 2..8_usize,
    ) {
        let one = world.seen(&group(1, mount, tilt, heading), &hours);
        let many = world.seen(&group(count, mount, tilt, heading), &hours);
        for voltage in Voltage::ALL {
            match (one.peak.of(voltage), many.peak.of(voltage)) {
                (Some(one), Some(many)) => {
                    let ratio = many.spot.volts / (one.spot.volts * count as f64);
                    prop_assert!((ratio - 1.0).abs() < 1e-12, "{:?}: {}", voltage, ratio);
                    prop_assert_eq!(one.start, many.start);
                }
                (one, many) => prop_assert_eq!(one.is_some(), many.is_some()),
            }
        }
    }

    #[test]
    fn colder_air_at_the_same_sun_never_lowers_a_voltage(
        (world, hours) in weeks(), (mount, tilt, heading) in planes(), colder in 0.1..20.0_f64,
    ) {
        let strings = group(3, mount, tilt, heading);
        let before = world.seen(&strings, &hours);
        let colder_hours: Vec<Hour> = hours.iter().map(|hour| {
            Hour { air_mean_c: hour.air_mean_c - colder, air_low_c: hour.air_low_c - colder, ..*hour }
        }).collect();
        let after = world.seen(&strings, &colder_hours);
        for voltage in Voltage::ALL {
            if let (Some(before), Some(after)) = (before.peak.of(voltage), after.peak.of(voltage)) {
                prop_assert!(after.spot.volts >= before.spot.volts, "{:?}", voltage);
            }
        }
        for (before, after) in before.over[0].blocks.values().zip(after.over[0].blocks.values()) {
            prop_assert!(after.worst_case.hours >= before.worst_case.hours);
        }
    }

    #[test]
    fn adding_weather_never_lowers_an_observed_maximum_or_raises_a_low(
        (world, hours) in weeks(), cut in 24..72_usize,
    ) {
        let strings = group(2, Mount::Roof, Tilt::Fixed(0.0), Heading::Any);
        let part = world.seen(&strings, &hours[..cut]);
        let whole = world.seen(&strings, &hours);
        for voltage in Voltage::ALL {
            if let Some(part) = part.peak.of(voltage) {
                let whole = whole.peak.of(voltage).expect("what was seen stays seen");
                prop_assert!(whole.spot.volts >= part.spot.volts);
            }
        }
        prop_assert!(whole.air_low.map(|low| low.0) <= part.air_low.map(|low| low.0));
    }

    #[test]
    fn zero_volts_only_in_the_dark(
        (world, hours) in weeks(), (mount, tilt, heading) in planes(),
    ) {
        let strings = group(2, mount, tilt, heading);
        let ready = [ReadyGroup::new(&strings, None)];
        let mut fault = None;
        each_hour(&world.job(&ready), &hours, |hour, sun, _, lit| {
            match lit {
                None if sun.lit != 0 => fault = Some(format!("{}: lit but called dark", hour.start)),
                Some((state, _)) => {
                    for voltage in Voltage::ALL {
                        if let Some(spot) = state.peak.of(voltage)
                            && !(spot.volts > 1.0 && spot.volts.is_finite() && spot.irradiance_w_m2 >= 10.0)
                        {
                            fault = Some(format!("{}: {voltage:?} {spot:?}", hour.start));
                        }
                    }
                }
                None => {}
            }
        });
        prop_assert_eq!(fault, None);
    }
}
