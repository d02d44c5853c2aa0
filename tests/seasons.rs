//! Seasons, windows and trips counted by hand on invented weather: what a break is, which block it falls in, what a gap
//! does. Intervals are from scipy 1.17 (`scipy.stats.beta.ppf`), the rest is arithmetic shown beside the check.
#![expect(clippy::unwrap_used)]

#[path = "seasons/invented_weather.rs"]
mod invented_weather;

use dawnvolt::limits::Verdict;
use dawnvolt::study::results::{Assessment, LimitLine, RangeKind};
use invented_weather::{Day, Place, assessed, assessed_against, assessed_four_in_series, stamp};

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} instead of {expected}");
}

/// The voltage line of the only rating at a stop.
fn volts(found: &Assessment, stop: usize) -> &LimitLine {
    found.stops[stop].arrays[0].limits.iter().find(|line| line.unit == "V").unwrap()
}

/// One day a year, so many years.
fn yearly(years: std::ops::Range<i32>, month: u32, day: u32) -> Vec<Day> {
    years.map(|year| (year, month, day)).collect()
}

const COLD: [Day; 4] = [(2001, 12, 24), (2003, 1, 10), (2003, 1, 11), (2003, 2, 5)];

/// Six winters, four cold days in two of them: 2 + 6 = 8 hours in six seasons of 8760 hours (that of 2004 has 8784).
#[test]
fn six_whole_seasons() {
    let found = assessed(&[Place::north("Six Winters", 2001, 2007).cold(&COLD)]);
    let line = volts(&found, 0);
    let scale = 8766.0 / 8760.0;
    assert_eq!((line.seasons, line.seasons_counted), (6, 6));
    let broken = line.seasons_broken.unwrap();
    assert_eq!((broken.steady, broken.sudden_sun), (0, 2));
    near(line.hours_per_year.unwrap().sudden_sun, 8.0 / 6.0 * scale, 1e-9);
    near(line.hours_per_year.unwrap().steady, 0.0, 0.0);
    near(line.days_per_year.unwrap().sudden_sun, 4.0 / 6.0 * scale, 1e-9);
    let range = line.hours_range.unwrap().sudden_sun;
    assert_eq!(range.kind, RangeKind::Observed);
    near(range.low, 0.0, 0.0);
    near(range.high, 6.0 * scale, 1e-9);
    let months = line.hours_by_month.unwrap();
    for (month, hours) in months.iter().enumerate() {
        let expected = match month + 1 {
            12 => 2.0,
            1 => 4.0,
            2 => 2.0,
            _ => 0.0,
        };
        near(*hours, expected / 6.0 * scale, 1e-9);
    }
    let clock = line.hours_by_hour_of_day.unwrap();
    near(clock[11], 4.0 / 6.0 * scale, 1e-9);
    near(clock[12], 4.0 / 6.0 * scale, 1e-9);
    near(clock.iter().sum(), 8.0 / 6.0 * scale, 1e-9);
    let chance = line.chance_per_season.unwrap();
    near(chance.low, 0.062_850, 1e-6);
    near(chance.best, 2.0 / 6.0, 1e-12);
    near(chance.high, 0.728_662, 1e-6);
    let period = line.return_period_seasons.unwrap();
    near(period.best.unwrap(), 3.0, 1e-12);
    near(period.shortest, 1.0 / 0.728_662, 1e-4);
    near(period.longest.unwrap(), 1.0 / 0.062_850, 1e-3);
    near(line.longest_run_h.unwrap(), 2.0, 1e-12);
    assert_eq!(line.first_broken, Some(stamp((2001, 12, 24), 11)));
    assert_eq!(line.last_broken, Some(stamp((2003, 2, 5), 12)));
    // Lows: -30 twice, 20 four times. Mean 20 / 6; squares 2 * 33.33^2 + 4 * 16.67^2 = 3333.3, over five.
    let design = &found.stops[0].design_temperature_c;
    near(design.mean_annual_low.unwrap(), 20.0 / 6.0, 1e-9);
    near(design.sd.unwrap(), (3_333.333_333_f64 / 5.0).sqrt(), 1e-6);
    near(design.record_low.unwrap(), -30.0, 0.0);
    near(design.daylight_record_low.unwrap(), -30.0, 0.0);
    assert_eq!(design.low_20_year, None, "six winters carry no n-year low");
    assert!(line.how_often.contains("two seasons in six reached it"), "{}", line.how_often);
}

/// Cold days of January 2003, in a whole season, and of March 2004, in one without its January: no stay in either month is
/// offered, though no whole season was seen over the rating in March. The code sum of 0 C is 20 x 1.075 = 21.5 V and holds; where
/// it is that of -30 C, 23.3 V, no dates are offered at all.
#[test]
fn months_are_offered_over_every_season_seen() {
    let place = |code_temperature: i32| {
        let cold = [(2003, 1, 10), (2004, 3, 5)];
        let place = Place::north("Gap", 2001, 2007).cold(&cold).hole((2004, 1, 1), (2004, 1, 31));
        Place { code_temperature: Some(code_temperature), ..place }
    };
    let found = assessed(&[place(0)]);
    let line = volts(&found, 0);
    assert_eq!((line.verdict, line.code_verdict), (Verdict::Exceeded, Some(Verdict::Close)));
    assert_eq!(line.hours_by_month.unwrap()[2], 0.0, "no whole season broke it in March");
    let months = found.changes.iter().find(|change| change.contains("stays in ")).unwrap();
    assert!(months.contains("at Gap stays in February (arrive = \"02-01\", leave = \"02-28\""), "{months}");
    assert!(months.contains("or April to December (arrive = \"04-01\", leave = \"12-31\""), "{months}");
    let found = assessed(&[place(-30)]);
    assert!(found.changes.iter().all(|change| !change.contains("stays in ")), "{:#?}", found.changes);
}

/// January 2004 is missing, and 5 December 2003 was cold. The season is incomplete (31 of 183 cold-half days are gone), so
/// its break joins the odds, three of six, and the hours rest on the other five. Its low lies below the mean of the complete
/// (10, two of -30 and three of 20 give 0) and enters the moments.
#[test]
fn an_incomplete_season_adds_its_break() {
    let cold = [COLD.as_slice(), &[(2003, 12, 5)]].concat();
    let place = Place::north("Gap", 2001, 2007).cold(&cold).hole((2004, 1, 1), (2004, 1, 31));
    let found = assessed(&[place]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_counted), (5, 6));
    assert_eq!(line.seasons_broken.unwrap().sudden_sun, 3);
    near(line.chance_per_season.unwrap().best, 0.5, 1e-12);
    assert!(line.how_often.contains("one of these is incomplete"), "{}", line.how_often);
    near(line.chance_per_season.unwrap().low, 0.153_161, 1e-6);
    near(line.hours_per_year.unwrap().sudden_sun, 8.0 / 5.0 * 8766.0 / 8760.0, 1e-9);
    assert_eq!(found.stops[0].record.complete_winters, 5);
    near(
        found.stops[0].design_temperature_c.mean_annual_low.unwrap(),
        (3.0 * -30.0 + 3.0 * 20.0) / 6.0,
        1e-9,
    );
}

/// The same gap in a winter that showed no cold: it is left out everywhere, never counted as mild.
#[test]
fn a_missing_january_is_not_mild() {
    let found = assessed(&[Place::north("Gap", 2001, 2007).cold(&COLD).hole((2004, 1, 1), (2004, 1, 31))]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_counted), (5, 5));
    near(line.chance_per_season.unwrap().best, 0.4, 1e-12);
    near(line.chance_per_season.unwrap().low, 0.076_440, 1e-6);
    near(line.hours_per_year.unwrap().sudden_sun, 8.0 / 5.0 * 8766.0 / 8760.0, 1e-9);
    near(
        found.stops[0].design_temperature_c.mean_annual_low.unwrap(),
        (2.0 * -30.0 + 3.0 * 20.0) / 5.0,
        1e-9,
    );
    let said =
        found.stops[0].notes.iter().any(|note| note.text.contains("2003/04") && note.text.contains("mild"));
    assert!(said, "{:?}", found.stops[0].notes);
}

/// A winter that is missing altogether leaves the same odds as one that was never there.
#[test]
fn a_missing_winter_is_not_mild() {
    let found = assessed(&[Place::north("Gap", 2001, 2007).cold(&COLD).hole((2004, 10, 1), (2005, 4, 15))]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_counted), (5, 5));
    near(line.chance_per_season.unwrap().best, 0.4, 1e-12);
    assert_eq!(found.stops[0].record.complete_winters, 5);
}

/// Reports every three hours meet the sun of 12 o'clock alone: one hour a cold day, scaled by 8766 / 2920 observed hours.
/// A day is a day: four in six seasons, scaled by 8766 / 8760.
#[test]
fn three_hourly_reports_are_scaled() {
    let found = assessed(&[Place::north("Sparse", 2001, 2007).cold(&COLD).every(3)]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (6, 2));
    near(line.hours_per_year.unwrap().sudden_sun, 4.0 / 6.0 * 8766.0 / 2920.0, 1e-9);
    near(line.days_per_year.unwrap().sudden_sun, 4.0 / 6.0 * 8766.0 / 8760.0, 1e-9);
    near(line.longest_run_h.unwrap(), 1.0, 1e-12);
}

/// Six winters with a report every three hours, then six with one every hour: twelve complete winters, though the early ones
/// hold a third of the hours that the record's commonest interval promises. In the early ones a cold day's report at 12
/// stands for three hours, in the late ones those at 11 and 12 for one each.
#[test]
fn each_winter_is_held_against_its_own_interval() {
    let early_and_late = Place {
        hourly: Some(((1997, 4, 1), (2003, 6, 30))),
        ..Place::north("Growing dense", 1991, 2003).cold(&[(1993, 1, 5), (2001, 1, 5)]).every(3)
    };
    let found = assessed(&[early_and_late]);
    let (stop, line) = (&found.stops[0], volts(&found, 0));
    assert_eq!((stop.record.winters, stop.record.complete_winters), (12, 12));
    near(stop.record.coverage, 1.0, 1e-9);
    let intervals: Vec<u32> = stop.annual_low_c.iter().map(|low| low.step_h).collect();
    assert_eq!(intervals, [3, 3, 3, 3, 3, 3, 1, 1, 1, 1, 1, 1]);
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (12, 2));
    near(line.hours_per_year.unwrap().sudden_sun, (3.0 + 2.0) / 12.0 * 8766.0 / 8760.0, 1e-9);
    near(line.days_per_year.unwrap().sudden_sun, 2.0 / 12.0 * 8766.0 / 8760.0, 1e-9);
    let notes: Vec<&str> = stop.notes.iter().map(|note| note.text.as_str()).collect();
    assert!(
        notes.iter().any(|text| text.contains("those of 6 of 12 winters, every 3 h, by 0.5 to 2 K")),
        "{notes:?}"
    );
    assert!(
        notes.iter().any(|text| text.starts_with("6 of 12 winters report every 3 h: the sun")),
        "{notes:?}"
    );
}

/// A winter between two denser summers counts three hours for each report, so that its hours are not taken for a third.
#[test]
fn a_sparse_winter_between_dense_summers_is_not_taken_for_a_third() {
    let place = Place {
        hourly: Some(((2001, 4, 1), (2001, 9, 30))),
        ..Place::north("Dense summer", 2000, 2002).cold(&[(2001, 1, 5)]).every(3)
    };
    let found = assessed(&[place]);
    let line = volts(&found, 0);
    assert_eq!(line.seasons, 2);
    near(line.hours_per_year.unwrap().sudden_sun, 3.0 / 2.0 * 8766.0 / 8760.0, 1e-9);
}

/// January reports every hour, the other months every three. A cold day's report at 12 stands for three hours in December
/// and February; in January those at 11 and 12 stand for one each: 3 + 2 + 2 + 3 = 10 hours and four days in six seasons
/// of 8760 hours. Were each reading to stand for three, a season would hold 334 * 24 + 31 * 72 = 10248 hours.
#[test]
fn readings_between_reports_share_their_hours() {
    let place = Place { hourly_months: &[1], ..Place::north("Dense month", 2001, 2007).cold(&COLD).every(3) };
    let found = assessed(&[place]);
    let line = volts(&found, 0);
    assert_eq!(found.stops[0].annual_low_c[0].step_h, 3);
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (6, 2));
    near(line.hours_per_year.unwrap().sudden_sun, 10.0 / 6.0 * 8766.0 / 8760.0, 1e-9);
    near(line.days_per_year.unwrap().sudden_sun, 4.0 / 6.0 * 8766.0 / 8760.0, 1e-9);
}

/// Four panels give 77 V in 600 W/m2 at 20 °C: 20 (1 - 0.003 * 12) * 4 with the cell some 17 K warmer. Light from 9 to 15 UTC,
/// long after sunrise, makes six hours a day whether a report comes every hour, every two (light from 10 to 16), every three, or
/// every three with a month of hours: 6 * 365.25 a year, leap seasons scaled like the others.
#[test]
fn touch_hours_do_not_hang_on_the_interval() {
    let place = |name, step_h| Place { light: 9..15, ..Place::north(name, 2001, 2007).every(step_h) };
    let found = assessed_four_in_series(&[
        place("Hourly", 1),
        place("Every three", 3),
        Place { hourly_months: &[1], ..place("Dense month", 3) },
        Place { light: 10..16, ..place("Every two", 2) },
    ]);
    for stop in &found.stops {
        let touch = &stop.arrays[0].touch;
        near(touch.hours_per_year_above_30_v.unwrap(), 6.0 * 365.25, 1e-6);
        near(touch.hours_per_year_above_60_v.unwrap(), 6.0 * 365.25, 1e-6);
        near(touch.hours_per_year_above_120_v.unwrap(), 0.0, 0.0);
    }
}

/// Four months of summer and nothing else: the verdict stands on the figures, and the first sentence says what they are
/// worth. A winter beside it, dates, or a week of December say no such thing.
#[test]
fn a_record_without_a_winter_is_said_to_be_one() {
    let summer = || Place { span: ((2001, 5, 1), (2001, 9, 1)), ..Place::north("Summer camp", 2001, 2002) };
    let said = "holds no winter: its low is that of its milder months, and neither the code sum nor the 10 K allowance \
                reaches a winter's";
    let noted = |found: &Assessment, stop: usize| {
        found.stops[stop].notes.iter().any(|note| note.text.contains("holds no winter"))
    };
    let found = assessed_against(&[summer()], 50);
    assert_eq!(found.verdict, Verdict::Within);
    let first = "no all-clear before this is settled: ";
    assert!(
        found.summary.starts_with(&format!("{first}this record {said}. Until then")),
        "{}",
        found.summary
    );
    assert!(noted(&found, 0));
    // From October to March on the south side.
    let south = Place { span: ((2001, 10, 1), (2002, 4, 1)), latitude_deg: -45.0, ..summer() };
    let two = assessed_against(&[Place::north("Whole year", 2001, 2002), south], 50);
    assert!(two.summary.starts_with(&format!("{first}the record of Summer camp {said}")), "{}", two.summary);
    assert_eq!((noted(&two, 0), noted(&two, 1)), (false, true));
    for other in
        [summer().window("06-01", "06-20"), Place { span: ((2001, 5, 1), (2001, 12, 8)), ..summer() }]
    {
        let other = assessed_against(&[other], 50);
        assert!(!other.summary.contains("winter's") && !noted(&other, 0), "{}", other.summary);
    }
    // A code temperature that is given may know winters: of the code sum nothing is said.
    let given = assessed_against(&[Place { code_temperature: Some(-20), ..summer() }], 50);
    assert!(
        given.summary.contains("and the 10 K allowance does not make it a winter's. Until then"),
        "{}",
        given.summary
    );
}

/// Rarer reports than every three hours make no winter complete, and a sparse winter with a hole stays incomplete: its own
/// interval is no excuse.
#[test]
fn a_long_interval_is_no_excuse() {
    let six_then_one = Place {
        hourly: Some(((2001, 4, 1), (2007, 7, 1))),
        ..Place::north("Six then one", 2000, 2007).every(6)
    };
    let holed = Place {
        hourly: Some(((2001, 4, 1), (2007, 7, 1))),
        ..Place::north("Three with a hole", 2000, 2007)
            .every(3)
            .cold(&[(2002, 1, 21)])
            .hole((2001, 1, 10), (2001, 1, 20))
    };
    let assessment = assessed(&[
        six_then_one,
        holed,
        Place::north("Six", 2000, 2007).every(6),
        Place::north("Two", 2000, 2007).every(2),
    ]);
    for (stop, complete, step_h) in [(0, 6, 3), (1, 6, 3), (2, 0, 3), (3, 7, 2)] {
        let found = &assessment.stops[stop];
        assert_eq!(found.record.complete_winters, complete, "{}", found.place);
        assert_eq!(found.annual_low_c[0].step_h, if stop == 0 { 1 } else { step_h }, "{}", found.place);
        assert_eq!(volts(&assessment, stop).seasons, complete, "{}", found.place);
    }
    let seldom = &assessment.stops[2].notes;
    assert!(
        seldom.iter().any(|note| note.text.starts_with("readings every 6 h or more seldom")),
        "{seldom:?}"
    );
}

/// A dense autumn does not make up for a missing second half of the winter: of reports every three hours those that the
/// interval promises count, however many stand between them.
#[test]
fn denser_readings_do_not_fill_a_gap() {
    let place = Place {
        hourly: Some(((2003, 10, 1), (2003, 12, 31))),
        ..Place::north("Dense", 2001, 2007).cold(&COLD).every(3).hole((2004, 1, 1), (2004, 3, 31))
    };
    let found = assessed(&[place]);
    assert_eq!(volts(&found, 0).seasons, 5);
    assert_eq!(found.stops[0].record.complete_winters, 5);
}

/// What a record supports: the mean from 5, n-year levels from 10 complete seasons, for air and volts alike.
#[test]
fn levels_need_their_seasons() {
    for (seasons, mean, level) in [(4, false, false), (5, true, false), (9, true, false), (10, true, true)] {
        let place =
            Place::north("Growing", 2000, 2000 + seasons).cold(&[(2001, 1, 5), (2003, 12, 30)]).every(3);
        let found = assessed(&[place]);
        let design = &found.stops[0].design_temperature_c;
        let voltage = &found.stops[0].arrays[0].voltage_v;
        assert_eq!(found.stops[0].record.complete_winters, seasons as usize);
        assert_eq!(volts(&found, 0).seasons, seasons as usize);
        assert_eq!(design.mean_annual_low.is_some(), mean, "{seasons}");
        assert_eq!(design.predictive_low.is_some(), mean, "{seasons}");
        assert_eq!(voltage.worst_case.predictive_level.is_some(), mean, "{seasons}");
        assert_eq!(voltage.allowance.is_some(), !mean, "{seasons}");
        assert_eq!(design.low_20_year.is_some(), level, "{seasons}");
        assert_eq!(voltage.worst_case.level_20_year.is_some(), level, "{seasons}");
        assert_eq!(voltage.sudden_sun.standard_errors.is_some(), level, "{seasons}");
        assert_eq!(voltage.steady.level_20_year, None);
        if level {
            // Two lows of -30 and eight of 20: mean 10, squares 2 * 40^2 + 8 * 10^2 = 4000, over nine. F(20) = 1.86581.
            let sd = (4000.0_f64 / 9.0).sqrt();
            near(design.low_20_year.unwrap(), 10.0 - 1.865_81 * sd, 1e-3);
            // Kite: s sqrt((1 + 1.1396 F + 1.1 F^2) / N) = s * sqrt(6.95559 / 10).
            near(design.standard_errors.unwrap()[2], sd * 0.695_559_f64.sqrt(), 1e-3);
            near(
                design.bounds_90.unwrap()[2],
                10.0 - 1.865_81 * sd - 1.945 * sd * 0.695_559_f64.sqrt(),
                0.02,
            );
        }
    }
}

/// Twenty seasons, five of them broken for two hours: the interval of hours a year is printed; with four it is not.
#[test]
fn an_interval_needs_twenty_seasons_and_five_breaks() {
    for (broken, kind) in [(4, RangeKind::Observed), (5, RangeKind::Interval90)] {
        let cold = yearly(1990..1990 + broken, 12, 30);
        let found = assessed(&[Place::north("Long", 1985, 2005).cold(&cold).every(3)]);
        let line = volts(&found, 0);
        assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (20, broken as u32));
        let range = line.hours_range.unwrap().sudden_sun;
        assert_eq!(range.kind, kind);
        let mean = line.hours_per_year.unwrap().sudden_sun;
        assert!(range.low <= mean && mean <= range.high);
    }
}

/// 20 December to 15 January, in eleven years. Cold days at both ends count, the days just outside do not, a hole in one
/// window leaves that window out, and one that begins before the record ends is not covered.
#[test]
fn a_window_across_new_year() {
    let cold = [
        (2001, 12, 20),
        (2003, 1, 15),
        (2003, 12, 19),
        (2005, 1, 16),
        (2005, 12, 31),
        (2006, 1, 1),
        (2008, 7, 1),
    ];
    let place = Place {
        span: ((2001, 7, 1), (2012, 1, 1)),
        ..Place::north("New Year", 2001, 2012)
            .cold(&cold)
            .hole((2007, 12, 24), (2007, 12, 30))
            .window("12-20", "01-15")
    };
    let found = assessed(&[place]);
    let line = volts(&found, 0);
    // Windows of 2001 to 2010, that of 2007 lacks 7 of 27 days; that of 2011 ends after the record.
    assert_eq!((line.seasons, line.seasons_counted), (9, 9));
    assert_eq!(line.seasons_broken.unwrap().sudden_sun, 3);
    near(line.hours_per_year.unwrap().sudden_sun, 8.0 / 9.0, 1e-9);
    near(line.days_per_year.unwrap().sudden_sun, 4.0 / 9.0, 1e-9);
    assert_eq!(line.first_broken, Some(stamp((2001, 12, 20), 11)));
    assert_eq!(line.last_broken, Some(stamp((2006, 1, 1), 12)));
    near(found.stops[0].design_temperature_c.window_low.unwrap(), -30.0, 0.0);
    assert!(line.how_often.contains("three stays in nine seasons reached it"), "{}", line.how_often);
    let maxima = &found.stops[0].arrays[0].season_maxima_v;
    assert_eq!(maxima[0].season.to_string(), "2001/02");
    assert_eq!(maxima.iter().filter(|season| season.counted).count(), 9);
    let trip = found.trip.unwrap();
    assert_eq!((trip.common_seasons, trip.seasons_broken), (9, 3));
    // Under ten seasons bounds alone, from the largest single chance to their sum: one stop, so 3/9 twice. What nine seasons leave
    // open stands beside them: the chance at which three or fewer of nine break one time in twenty (the binomial sum solved by
    // bisection: 0.655059).
    let chance = trip.chance_per_season.unwrap();
    assert_eq!(chance.best, None);
    near(chance.low, 3.0 / 9.0, 1e-12);
    near(chance.high, 3.0 / 9.0, 1e-12);
    near(trip.at_most.unwrap(), 0.655_059, 1e-6);
}

/// Six winters in which nothing broke at either stop: a chance c leaves them all whole with (1 - c)^6, which is one in twenty at
/// c = 1 - 0.05^(1/6) = 0.393. The sum of the chances seen is 0, and no bound.
#[test]
fn six_quiet_seasons_promise_nothing() {
    let found = assessed(&[
        Place::north("Alder Halt", 2001, 2007).window("12-10", "12-20"),
        Place::north("Birch Halt", 2001, 2007).window("12-28", "01-05"),
    ]);
    let trip = found.trip.unwrap();
    assert_eq!((trip.common_seasons, trip.seasons_broken), (6, 0));
    let chance = trip.chance_per_season.unwrap();
    assert_eq!((chance.low, chance.best), (0.0, None));
    near(chance.high, 1.0 - 0.05_f64.powf(1.0 / 6.0), 1e-9);
    near(trip.padded_chance.unwrap().high, 1.0 - 0.05_f64.powf(1.0 / 6.0), 1e-9);
    assert!(trip.in_words.contains("up to 39 %"), "{}", trip.in_words);
}

/// One day, 29 February: 28 February stands in for it in common years.
#[test]
fn a_stop_of_one_leap_day() {
    let place = Place::north("Leap", 2001, 2007)
        .cold(&[(2002, 2, 28), (2004, 2, 28), (2004, 2, 29), (2006, 2, 27)])
        .window("02-29", "02-29");
    let found = assessed(&[place]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (6, 2));
    near(line.hours_per_year.unwrap().sudden_sun, 4.0 / 6.0, 1e-9);
    // A record of common years alone still holds the window.
    let place = Place { span: ((2001, 1, 1), (2001, 4, 1)), ..Place::north("Common", 2001, 2002) };
    let found = assessed(&[place.cold(&[(2001, 2, 28)]).window("02-29", "02-29")]);
    assert_eq!(volts(&found, 0).seasons_broken.unwrap().sudden_sun, 1);
}

/// South of the equator winter falls within a calendar year, and so do seasons; a trip over New Year is one window there too.
#[test]
fn south_of_the_equator() {
    let south = |window: Option<(&'static str, &'static str)>| Place {
        span: ((2001, 1, 1), (2007, 1, 1)),
        latitude_deg: -40.0,
        window,
        ..Place::north("South", 2001, 2007).cold(&[(2002, 7, 14), (2002, 12, 28), (2003, 1, 3), (2005, 8, 1)])
    };
    let found = assessed(&[south(None)]);
    let line = volts(&found, 0);
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (6, 3));
    let maxima = &found.stops[0].arrays[0].season_maxima_v;
    assert_eq!(maxima[1].season.to_string(), "2002");
    assert_eq!(found.stops[0].record.complete_winters, 6);
    let found = assessed(&[south(Some(("12-20", "01-05")))]);
    let line = volts(&found, 0);
    // Windows that begin in 2001 to 2005; those of 2000 and 2006 are cut by the ends of the record.
    assert_eq!((line.seasons, line.seasons_broken.unwrap().sudden_sun), (5, 1));
    near(line.hours_per_year.unwrap().sudden_sun, 4.0 / 5.0, 1e-9);
}

/// Worked by hand. Three stops (10 to 20 December, 28 December to 5 January, 10 January alone) in six seasons.
///
/// | trip begins | A | B | C | trip |
/// |---|---|---|---|---|
/// | 2001 | broken 12 Dec | (record begins in July 2002) | held | not common |
/// | 2002 | held | held | held | held |
/// | 2003 | broken 20 Dec | broken 28 Dec | held | broken, one spell at two stops |
/// | 2004 | held | broken 5 Jan 2005 | (hole 9 to 11 Jan 2005) | not common |
/// | 2005 | held | held | broken 10 Jan 2006 | broken |
/// | 2006 | held | held | held | held |
///
/// Common: 2002, 2003, 2005, 2006; broken 2 of 4. Under ten, so bounds: singles 2/6, 2/5, 1/5.
#[test]
fn three_stops_and_six_seasons() {
    let found = assessed(&[
        Place::north("Alder Halt", 2001, 2007)
            .cold(&[(2001, 12, 12), (2003, 12, 20), (2003, 12, 21), (2006, 1, 10)])
            .window("12-10", "12-20"),
        Place::north("Birch Halt", 2002, 2007)
            .cold(&[(2003, 12, 28), (2005, 1, 5), (2005, 1, 6)])
            .window("12-28", "01-05"),
        Place::north("Cedar Halt", 2001, 2007)
            .cold(&[(2006, 1, 10), (2004, 12, 28), (2007, 1, 11)])
            .hole((2005, 1, 9), (2005, 1, 11))
            .window("01-10", "01-10"),
    ]);
    let broken: Vec<u32> =
        (0..3).map(|stop| volts(&found, stop).seasons_broken.unwrap().sudden_sun).collect();
    assert_eq!(broken, [2, 2, 1]);
    let seasons: Vec<usize> = (0..3).map(|stop| volts(&found, stop).seasons).collect();
    assert_eq!(seasons, [6, 5, 5]);
    let trip = found.trip.unwrap();
    assert_eq!((trip.common_seasons, trip.seasons_broken), (4, 2));
    let chance = trip.chance_per_season.unwrap();
    assert_eq!(chance.best, None);
    near(chance.low, 0.4, 1e-12);
    near(chance.high, 14.0 / 15.0, 1e-12);
    assert!(trip.by_departure.is_empty(), "no chance for the planned dates, none for others");
    // Counts stand all the same: as planned the two of four of the table.
    let planned = trip.by_departure_seen.iter().find(|seen| seen.shift_days == 0).unwrap();
    assert_eq!((planned.seasons_broken, planned.common_seasons), (2, 4));
    let told = "too few for a single figure: counted stop by stop, 2 of 6 at Alder Halt, 2 of 5 at Birch Halt and 1 of 5 at Cedar Halt \
                broke a limit; the chance for the whole trip lies between 40 % (the largest single chance) and 93 % (their sum)";
    assert!(trip.in_words.contains(told), "{}", trip.in_words);
}

/// A stop that breaks in every season hides no other: the sum of chances ends at 1, so that alone does not tell how many break.
#[test]
fn a_certain_stop_beside_another() {
    let found = assessed(&[
        Place::north("Alder Halt", 2001, 2005)
            .cold(&[(2001, 12, 12), (2002, 12, 12), (2003, 12, 12), (2004, 12, 12)])
            .window("12-10", "12-20"),
        Place::north("Birch Halt", 2001, 2005).cold(&[(2003, 12, 28)]).window("12-28", "01-05"),
    ]);
    let trip = found.trip.unwrap();
    assert!(
        trip.in_words.contains("4 of 4 at Alder Halt and 1 of 4 at Birch Halt broke a limit"),
        "{}",
        trip.in_words
    );
    assert!(!trip.in_words.contains("up to 100 %"), "{}", trip.in_words);
}

/// Two stops in twelve years, the second after New Year. A cold 20 January in 1996, 2000 and 2003 lies outside the dates as
/// planned and inside when the trip begins one week later; widened by a week it is inside too.
#[test]
fn a_shifted_departure() {
    let first = Place::north("Early", 1993, 2005).every(3).window("12-20", "12-30");
    let second = || Place::north("Late", 1993, 2005).every(3).window("01-10", "01-15");
    let cold = [(1996, 1, 20), (2000, 1, 20), (2003, 1, 20)];
    let chances = |found: &Assessment| -> Vec<(i32, f64)> {
        let trip = found.trip.as_ref().unwrap();
        trip.by_departure.iter().map(|shift| (shift.shift_days, shift.chance)).collect()
    };
    let found = assessed(&[first, second().cold(&cold)]);
    for (shift, chance) in chances(&found) {
        near(chance, if shift == 7 { 3.0 / 12.0 } else { 0.0 }, 1e-12);
    }
    assert_eq!(chances(&found).len(), 9);
    // The counts behind the chances.
    for seen in &found.trip.as_ref().unwrap().by_departure_seen {
        assert_eq!(
            (seen.seasons_broken, seen.common_seasons),
            (if seen.shift_days == 7 { 3 } else { 0 }, 12)
        );
    }
    let trip = found.trip.unwrap();
    assert_eq!((trip.common_seasons, trip.seasons_broken), (12, 0));
    let padded = trip.padded_chance.unwrap();
    near(padded.best.unwrap(), 0.25, 1e-12);
    near(padded.low, 0.071_870, 1e-6);
    near(padded.high, 0.527_327, 1e-6);

    // The nights alone of 17 to 22 January 1998 are there: a week later that year is not covered, and not mild.
    let found = assessed(&[
        Place::north("Early", 1993, 2005).every(3).window("12-20", "12-30"),
        Place { nights_alone: Some(((1998, 1, 17), (1998, 1, 22))), ..second().cold(&cold) },
    ]);
    for (shift, chance) in chances(&found) {
        near(chance, if shift == 7 { 3.0 / 11.0 } else { 0.0 }, 1e-12);
    }
}

/// One place twice: two stops with windows of their own, and the dates of the one that decides.
#[test]
fn one_place_twice() {
    let cold = yearly(1996..1999, 1, 3);
    let found = assessed(&[
        Place::north("Alder Halt", 1994, 2005).every(3).cold(&cold).window("12-10", "12-20"),
        Place::north("Birch Halt", 1994, 2005).every(3).window("12-20", "01-02"),
        Place::north("Alder Halt", 1994, 2005).every(3).cold(&cold).window("01-02", "01-10"),
    ]);
    let broken: Vec<u32> =
        (0..3).map(|stop| volts(&found, stop).seasons_broken.unwrap().sudden_sun).collect();
    assert_eq!(broken, [0, 0, 3]);
    let trip = found.trip.unwrap();
    assert_eq!((trip.common_seasons, trip.seasons_broken), (11, 3));
    near(trip.chance_per_season.unwrap().low, 0.078_820, 1e-6);
    assert_eq!(trip.deciding_stop.as_deref(), Some("Alder Halt"));
    assert_eq!(trip.deciding_window.as_deref(), Some("01-02 to 01-10"));
    assert_eq!(trip.deciding_component.as_deref(), Some("switch"));
    assert_eq!(trip.deciding_at.map(|at| invented_weather::month_day(at).day), Some(3));
}
