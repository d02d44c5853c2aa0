//! The short search against the exhaustive one, and what must hold over whole records when the place is mirrored, the
//! panel turned, the string doubled, the step halved. The exhaustive form is plain code of this file: light and volts at
//! every step of every hour, with the exact sun and the clear sky without its table.

use dawnvolt::array::{Heading, StringGroup, Tilt};
use dawnvolt::assumptions::Assumptions;
use dawnvolt::heat::Mount;
use dawnvolt::hourly::{Air, Blocks, GroupHour, Loop, ReadyGroup, Seen, Site, Voltage, each_hour, fold};
use dawnvolt::module::{Label, RawLabel};
use dawnvolt::place::Place;
use dawnvolt::plan;
use dawnvolt::sky::{ClearSky, Clearness, Light, Parts, cloud_factor, erbs};
use dawnvolt::study::OpenStop;
use dawnvolt::sun::{Nodes, Refraction, Track, apparent_zenith_deg};
use dawnvolt::time::{DAY_S, HOUR_S, Hemisphere, Stamp, UtcOffset};
use dawnvolt::weather::{Hour, Origin};
use std::path::Path;

const ALBEDO: f64 = 0.2;
const SNOW: f64 = 0.8;

fn group(panels: usize, mount: Mount, tilt: Tilt, heading: Heading, snow_ground: bool) -> StringGroup {
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
    StringGroup { modules: vec![label; panels], in_parallel: 1, mount, tilt, heading, snow_ground }
}

/// A way to stand, and a name for messages.
fn stands() -> Vec<(&'static str, StringGroup)> {
    use Mount::{Frame, Gap, Roof};
    let fixed = Tilt::Fixed;
    vec![
        ("flat", group(2, Roof, fixed(0.0), Heading::Any, false)),
        ("30 deg, any heading", group(2, Frame, fixed(30.0), Heading::Any, false)),
        ("60 deg, any heading, snow", group(3, Frame, fixed(60.0), Heading::Any, true)),
        ("45 deg, south", group(2, Gap, fixed(45.0), Heading::Fixed(180.0), false)),
        ("70 deg, east, snow", group(2, Frame, fixed(70.0), Heading::Fixed(95.0), true)),
        ("any tilt", group(2, Frame, Tilt::Any, Heading::Any, true)),
        ("any tilt, heading given", group(2, Frame, Tilt::Any, Heading::Fixed(40.0), false)),
    ]
}

/// A place, its sky and its sun.
struct World {
    site: Site,
    sky: ClearSky,
    nodes: Nodes,
}

impl World {
    fn new(place: Place, above_station_m: f64, first: Stamp, last: Stamp) -> Self {
        Self {
            site: Site {
                place,
                above_station_m,
                offset: UtcOffset::from_longitude(place.longitude_deg),
                hemisphere: Hemisphere::of_latitude(place.latitude_deg),
            },
            sky: ClearSky::at(place.elevation_m, None),
            nodes: Nodes::covering(Stamp(first.0 - 400 * DAY_S), Stamp(last.0 + 400 * DAY_S))
                .expect("usual years"),
        }
    }

    fn job<'a>(&'a self, groups: &'a [ReadyGroup<'a>]) -> Loop<'a> {
        Loop {
            site: &self.site,
            sky: &self.sky,
            nodes: &self.nodes,
            groups,
            ratings: &[],
            steady_only: &[],
            blocks: Some(Blocks::Seasons(self.site.hemisphere)),
            only: None,
            step_h: 1,
        }
    }

    fn seen(&self, group: &StringGroup, hours: &[Hour]) -> Seen {
        let groups = [ReadyGroup::new(group, None)];
        fold(&self.job(&groups), hours)
    }
}

/// What the plain form finds in one hour: the largest light of sudden sun and of the worst case.
struct Plain {
    own: f64,
    bound: f64,
}

/// Light on a plane, written out: direct, sky after Hay and Davies, ground.
fn on_plane(group: &StringGroup, albedo: f64, parts: Parts, e0: f64, cos_z: f64, azimuth_rad: f64) -> f64 {
    let sin_z = (1.0 - cos_z * cos_z).max(0.0).sqrt();
    let (cos_tilt, cos_incidence) = match (group.tilt, group.heading) {
        (Tilt::Any, _) => (cos_z.max(0.0), 1.0),
        (Tilt::Fixed(tilt), heading) => {
            let (sin, cos) = tilt.to_radians().sin_cos();
            let turned = match heading {
                Heading::Any => 1.0,
                Heading::Fixed(heading) => (azimuth_rad - heading.to_radians()).cos(),
            };
            (cos, (cos * cos_z + sin * sin_z * turned).max(0.0))
        }
    };
    let direct = if cos_z > 0.0 { parts.dni * cos_incidence } else { 0.0 };
    let share = parts.dni / e0;
    let mut sky =
        parts.dhi * (share * cos_incidence / cos_z.max(0.017_45) + (1.0 - share) * (1.0 + cos_tilt) / 2.0);
    if cos_z < 85.0_f64.to_radians().cos() {
        sky = sky.min(2.5 * parts.dhi);
    }
    direct + sky.max(0.0) + parts.ghi * albedo * (1.0 - cos_tilt) / 2.0
}

/// The exhaustive search of one hour in `steps` steps; `None` where none is lit.
fn exhaustive(world: &World, group: &StringGroup, hour: &Hour, steps: usize) -> Option<Plain> {
    let place = world.site.place;
    let track = Track::new(&world.nodes, place.latitude_deg, place.longitude_deg);
    let flat = group.tilt == Tilt::Fixed(0.0);
    let mut lit = Vec::new();
    for step in 0..steps {
        let at = hour.start.0 as f64 + (step as f64 + 0.5) * HOUR_S as f64 / steps as f64;
        let sun = track.moment(at);
        if sun.cos_zenith > (-0.83_f64).to_radians().sin() {
            let e0 = world.nodes.at(at).extraterrestrial_w_m2();
            lit.push((sun, e0, world.sky.exact(sun.cos_zenith, e0)));
        }
    }
    if lit.is_empty() {
        return None;
    }
    let clear_mean = lit.iter().map(|(_, _, clear)| clear.ghi).sum::<f64>() / steps as f64;
    let mut most = Plain { own: 0.0, bound: 0.0 };
    for (sun, e0, clear) in lit {
        let ghi = match hour.light {
            Light::Parts { ghi, .. } | Light::GlobalOnly { ghi } => {
                let mean = f64::from(ghi);
                let index = if clear_mean > 0.0 { mean / clear_mean } else { 0.0 };
                (index * clear.ghi).min((1.5 * clear.ghi).max(mean))
            }
            Light::Clouds { oktas } => cloud_factor(oktas.into()) * clear.ghi,
            Light::Unknown => clear.ghi,
        };
        let (own, bound) = if flat {
            (ghi, clear.ghi.max(ghi))
        } else {
            let cos_z = sun.cos_zenith;
            let parts = match hour.light {
                Light::Unknown => clear,
                Light::Parts { ghi: hour_ghi, dhi, .. } if hour_ghi > 0.0 => {
                    let dhi = ghi * f64::from((dhi / hour_ghi).min(1.0));
                    Parts { ghi, dhi, dni: if cos_z > 0.0 { ((ghi - dhi) / cos_z).min(e0) } else { 0.0 } }
                }
                _ if ghi >= 0.9 * clear.ghi => {
                    Parts { ghi, dni: clear.dni, dhi: (ghi - clear.dni * cos_z.max(0.0)).max(0.0) }
                }
                _ => {
                    let split =
                        erbs(Clearness { ghi_w_m2: ghi, cos_zenith: cos_z, extraterrestrial_w_m2: e0 });
                    Parts { dni: split.dni.min(e0), ..split }
                }
            };
            let air = Refraction::at_elevation(place.elevation_m);
            let apparent = apparent_zenith_deg(cos_z.acos().to_degrees(), air).to_radians().cos();
            let azimuth = sun.east.atan2(sun.north);
            let ground = if group.snow_ground { SNOW } else { ALBEDO };
            let light = |albedo: f64, parts: Parts| on_plane(group, albedo, parts, e0, apparent, azimuth);
            // The file's irradiance puts at most 1.5 times clear sky on a plane, unless it is itself more.
            let own = |albedo: f64| match hour.light {
                Light::Parts { ghi: mean, .. } | Light::GlobalOnly { ghi: mean } => {
                    let most = (1.5 * light(albedo, clear)).max(ghi).max(mean.into());
                    light(albedo, parts).min(most)
                }
                Light::Clouds { .. } | Light::Unknown => light(albedo, parts),
            };
            (own(ALBEDO), light(ground, clear).max(own(ground)))
        };
        most.own = most.own.max(own);
        most.bound = most.bound.max(bound);
    }
    Some(most)
}

/// Volts of a string of equal panels, written out; `None` below 10 W/m2.
fn volts(
    group: &StringGroup,
    tolerance: f64,
    ideality: impl Fn(f64) -> f64,
    light: f64,
    cell: f64,
) -> Option<f64> {
    let kelvin = cell + 273.15;
    let one = 22.5 * (1.0 + tolerance) * (1.0 - 0.003 * (cell - 25.0))
        + 36.0 * ideality(light) * 8.617_333_262e-5 * kelvin * (light / 1000.0).ln();
    (light >= 10.0).then_some(one * group.modules.len() as f64)
}

fn worst_ideality(light: f64) -> f64 {
    if light > 1000.0 { 1.5 } else { 1.0 }
}

/// Volts by which the table of the clear sky (0.0001 of its light) and the turned sun of an hour may differ.
const APART_V: f64 = 0.002;

/// Holds every hour's short search against the exhaustive one; gives how many were held.
fn assert_short_is_exhaustive(world: &World, hours: &[Hour], name: &str, group: &StringGroup) -> usize {
    let ready = [ReadyGroup::new(group, None)];
    let mut held = 0;
    let job = world.job(&ready);
    each_hour(&job, hours, |hour, _, air, lit| {
        let plain = exhaustive(world, group, hour, 12);
        let Some((_, groups)) = lit else {
            assert!(plain.is_none(), "{name} {}: lit by the plain form alone", hour.start);
            return;
        };
        let found: &GroupHour = &groups[0];
        // First: all twelve steps with the run's own light.
        let (worst, central) = (&ready[0].worst, &ready[0].central);
        let cell = ready[0].cell_worst(air);
        let every = |curve: &dawnvolt::module::StringCurve, steps: &[f64], cell| {
            let all = steps.iter().copied().chain([found.light.mean]);
            all.filter_map(|light| curve.volts(light, cell)).map(|volts| volts.0).fold(0.0, f64::max)
        };
        let sudden = found.peak.sudden_sun.map_or(0.0, |spot| spot.volts);
        let most = found.peak.worst_case.map_or(0.0, |spot| spot.volts);
        assert!(sudden == every(central, &found.light.own, air.mean), "{name} {}: sudden sun", hour.start);
        let bound = every(worst, &found.light.bound, cell).max(every(worst, &found.light.own, cell));
        assert!(most == bound, "{name} {}: worst case", hour.start);
        // Second: light, cell and volts by the plain form.
        let plain = plain.unwrap_or_else(|| panic!("{name} {}: dark by the plain form", hour.start));
        let mean = found.light.mean;
        for (what, found, light, tolerance, cell_c) in [
            ("sudden sun", sudden, plain.own.max(mean), 0.0, air.mean.0),
            ("worst case", most, plain.bound.max(plain.own).max(mean), 0.03, cell_plain(world, group, hour)),
        ] {
            if (light - 10.0).abs() < 0.05 {
                continue;
            }
            let ideality = |light| if tolerance > 0.0 { worst_ideality(light) } else { 1.1 };
            let expected = volts(group, tolerance, ideality, light, cell_c).unwrap_or(0.0);
            assert!((found - expected).abs() < APART_V, "{name} {} {what}: {found} {expected}", hour.start);
            held += 1;
        }
    });
    held
}

/// Cell of the worst case, written out.
fn cell_plain(world: &World, group: &StringGroup, hour: &Hour) -> f64 {
    let cooling = match group.mount {
        Mount::Frame => 3.0,
        Mount::Gap => 4.0,
        Mount::Roof => 5.0,
    };
    hour.air_low_c - 0.0098 * world.site.above_station_m.max(0.0) - cooling
}

/// A real record of tests/formats with its place.
fn real(stop: &str) -> (World, Vec<Hour>) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans");
    let text = format!(
        "[[module]]\nid = \"invented\"\nvoc_v = 22.5\nisc_a = 5.8\n[[string]]\nmodules = \"invented\"\nin_series = 2\nmount = \"roof\"\n\
         [[stop]]\n{stop}\n"
    );
    let plan = plan::from_text(text.as_bytes(), Path::new("plan.toml"), &folder)
        .unwrap_or_else(|error| panic!("{error}"));
    let open =
        OpenStop::open(&plan.stops[0], &Assumptions::default()).unwrap_or_else(|error| panic!("{error}"));
    let hours = open.opened.record.hours().to_vec();
    (World::new(open.site.place, open.site.above_station_m, open.span.0, open.span.1), hours)
}

fn chicago() -> (World, Vec<Hour>) {
    real(
        "place = \"Chicago\"\nweather = [\"../formats/isd_lite/725300-*.gz\"]\nlatitude_deg = 41.995\nlongitude_deg = \
         -87.934\nstation_elevation_m = 205",
    )
}

fn northway() -> (World, Vec<Hour>) {
    real(
        "place = \"Northway\"\nweather = [\"../formats/isd_lite/702910-*.gz\"]\nlatitude_deg = 62.96\nlongitude_deg = \
         -141.93\nstation_elevation_m = 522\nelevation_m = 900",
    )
}

fn greensboro() -> (World, Vec<Hour>) {
    real("place = \"Greensboro\"\nweather = [\"../formats/tmy3/723170TYA.CSV.gz\"]")
}

#[test]
fn the_short_search_finds_what_the_exhaustive_one_finds_on_real_records() {
    for (name, (world, hours)) in
        [("Chicago", chicago()), ("Northway", northway()), ("Greensboro", greensboro())]
    {
        // Whole records for the panel that lies flat; for the others every seventh day, all hours of it.
        for (stand, group) in stands() {
            let flat = stand == "flat";
            let some: Vec<Hour> = hours
                .iter()
                .copied()
                .filter(|hour| flat || hour.start.0.div_euclid(DAY_S) % 7 == 0)
                .collect();
            let held = assert_short_is_exhaustive(&world, &some, &format!("{name}, {stand}"), &group);
            assert!(held > some.len() / 2, "{name}, {stand}: {held} of {}", some.len());
        }
    }
}

/// Numbers from 0 to 1, the same on every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }
}

/// Light as a file may have it: anything, also more than a clear sky, also parts that do not add up.
#[expect(clippy::cast_possible_truncation, reason = "made up numbers")]
fn any_light(dice: &mut Dice) -> Light {
    let ghi = (dice.between(-0.3, 1.0).max(0.0) * 1100.0) as f32;
    match (dice.roll() * 4.0) as u32 {
        0 => Light::Parts {
            ghi,
            dni: (dice.roll() * 1000.0) as f32,
            dhi: ghi * dice.between(0.05, 1.1) as f32,
        },
        1 => Light::GlobalOnly { ghi },
        2 => Light::Clouds { oktas: (dice.roll() * 8.0) as f32 },
        _ => Light::Unknown,
    }
}

#[test]
fn the_short_search_finds_what_the_exhaustive_one_finds_in_200_random_weeks() {
    let mut dice = Dice(20_311_102);
    let stands = stands();
    for week in 0..200 {
        let place = Place {
            latitude_deg: dice.between(-75.0, 75.0),
            longitude_deg: dice.between(-180.0, 180.0),
            elevation_m: dice.between(0.0, 4000.0),
        };
        #[expect(clippy::cast_possible_truncation, reason = "made up numbers")]
        let first = Stamp(946_684_800 + dice.between(0.0, 7000.0) as i64 * DAY_S);
        let world = World::new(place, dice.between(-500.0, 1500.0), first, first.plus_s(7 * DAY_S));
        let mut air = dice.between(-40.0, 30.0);
        let hours: Vec<Hour> = (0..168)
            .map(|count| {
                air += dice.between(-2.0, 2.0);
                #[expect(clippy::cast_possible_truncation, reason = "made up numbers")]
                Hour {
                    start: first.plus_s(count * HOUR_S),
                    air_mean_c: air,
                    air_low_c: air - dice.roll(),
                    air_high_c: (air + 1.0) as f32,
                    wind_m_s: Some(dice.between(0.0, 12.0) as f32),
                    light: any_light(&mut dice),
                    origin: Origin { file: 0, line: 1 },
                }
            })
            .collect();
        let (stand, group) = &stands[week % stands.len()];
        assert_short_is_exhaustive(&world, &hours, &format!("week {week}, {stand}"), group);
    }
}

fn largest(seen: &Seen, voltage: Voltage) -> f64 {
    seen.peak.of(voltage).map_or(0.0, |peak| peak.spot.volts)
}

#[test]
fn halving_the_step_changes_the_worst_case_by_less_than_a_thousandth() {
    let (world, hours) = chicago();
    for (stand, group) in stands() {
        let seen = world.seen(&group, &hours);
        let found = largest(&seen, Voltage::WorstCase);
        // Hours that could hold the largest: as cold as the coldest tenth.
        let mut airs: Vec<f64> = hours.iter().map(|hour| hour.air_low_c).collect();
        airs.sort_by(f64::total_cmp);
        let cold = airs[airs.len() / 10];
        let most = |steps: usize| {
            let cold = hours.iter().filter(|hour| hour.air_low_c <= cold);
            cold.filter_map(|hour| {
                let light = exhaustive(&world, &group, hour, steps)?.bound;
                volts(&group, 0.03, worst_ideality, light, cell_plain(&world, &group, hour))
            })
            .fold(0.0, f64::max)
        };
        let (twelve, twenty_four) = (most(12), most(24));
        assert!((found - twelve).abs() < APART_V, "{stand}: {found} {twelve}");
        assert!((twenty_four / found - 1.0).abs() < 1e-3, "{stand}: {found} {twenty_four}");
    }
}

/// Half a year, to the hour of the day: the sun stands on the other side of the equator.
const HALF_A_YEAR_S: i64 = 183 * DAY_S;

#[test]
fn a_mirrored_place_half_a_year_later_has_the_same_volts() {
    let (world, hours) = chicago();
    let place = world.site.place;
    let south = Place { latitude_deg: -place.latitude_deg, ..place };
    let moved: Vec<Hour> =
        hours.iter().map(|hour| Hour { start: hour.start.plus_s(HALF_A_YEAR_S), ..*hour }).collect();
    let (first, last) = (moved[0].start, moved[moved.len() - 1].start);
    let mirrored = World::new(south, world.site.above_station_m, first, last);
    for (stand, mut group) in stands() {
        let here = world.seen(&group, &hours);
        if let Heading::Fixed(heading) = group.heading {
            group.heading = Heading::Fixed((180.0 - heading).rem_euclid(360.0));
        }
        let there = mirrored.seen(&group, &moved);
        for voltage in Voltage::ALL {
            let (a, b) = (largest(&here, voltage), largest(&there, voltage));
            // The earth is nearest to the sun in January: 7 % of light, 0.2 % of volts; the equation of time the rest.
            assert!((a / b - 1.0).abs() < 0.005, "{stand} {voltage:?}: {a} {b}");
        }
    }
}

#[test]
fn turning_a_flat_panel_changes_nothing_and_doubling_a_string_doubles_it() {
    let (world, hours) = northway();
    let flat = |heading| group(2, Mount::Roof, Tilt::Fixed(0.0), heading, false);
    let any = world.seen(&flat(Heading::Any), &hours);
    for heading in [0.0, 77.0, 180.0, 301.5] {
        let turned = world.seen(&flat(Heading::Fixed(heading)), &hours);
        for voltage in Voltage::ALL {
            assert!(turned.peak.of(voltage) == any.peak.of(voltage), "{heading} {voltage:?}");
        }
        assert!(turned.current.max_hour == any.current.max_hour);
    }
    for (stand, mut group) in stands() {
        let single = world.seen(&group, &hours);
        group.modules.extend(group.modules.clone());
        let double = world.seen(&group, &hours);
        for voltage in Voltage::ALL {
            let (a, b) = (largest(&single, voltage), largest(&double, voltage));
            assert!((b / a - 2.0).abs() < 1e-12, "{stand} {voltage:?}: {a} {b}");
        }
        assert!(single.current.max_hour == double.current.max_hour, "{stand}: amps");
    }
}

/// The air of an hour as the run has it, against the plain form above.
#[test]
fn the_cell_of_the_worst_case_is_the_cold_one() {
    let (world, hours) = northway();
    let group = group(2, Mount::Gap, Tilt::Fixed(0.0), Heading::Any, false);
    let ready = ReadyGroup::new(&group, None);
    for hour in hours.iter().step_by(97) {
        let found = ready.cell_worst(&Air::at(&world.site, hour)).0;
        assert!((found - cell_plain(&world, &group, hour)).abs() < 1e-9);
    }
}
