//! Invented wiring and summaries of hours.

use dawnvolt::array::Carries;
use dawnvolt::limits::Verdict;
use dawnvolt::study::pictures::*;
use dawnvolt::study::results::ByVoltage;

pub fn wiring(components: usize) -> Wiring {
    let part =
        |name: &str, kind: &str, max_v: Option<f64>, rated_a: Option<f64>, poles_opened: Option<u32>| {
            ComponentFacts {
                name: name.into(),
                kind: kind.into(),
                carries: if kind == "connector" { Carries::String } else { Carries::Array },
                max_v,
                rated_a,
                poles_opened,
                detail: (kind == "cable").then(|| "6 mm2, 90 °C, at 65 °C".into()),
            }
        };
    let all = vec![
        part("string plug", "connector", Some(1000.0), Some(22.0), None),
        part("roof cable", "cable", Some(600.0), None, None),
        part("roof disconnect", "disconnect", Some(75.0), Some(40.0), Some(2)),
        part("charge controller", "controller", Some(80.0), Some(35.0), None),
        part("string fuse", "fuse", Some(150.0), Some(15.0), None),
        part("galley switch", "switch", None, Some(10.0), Some(1)),
    ];
    Wiring {
        strings: vec![
            StringFacts {
                panels: vec!["roof100".into(); 3],
                in_parallel: 1,
                mount: "roof, flat".into(),
                voc_v: 67.5,
                isc_a: 5.8,
            };
            if components > 4 { 2 } else { 1 }
        ],
        components: all.into_iter().take(components).collect(),
        battery: Some("12 V lfp, charged at 14.2 V".into()),
        expected: vec![ExpectedVolts {
            string: "3 x roof100".into(),
            readings: [-10.0, 10.0, 25.0, 45.0]
                .iter()
                .flat_map(|&cell_c| {
                    [200.0, 500.0, 1000.0].map(|light: f64| ExpectedReading {
                        irradiance_w_m2: light,
                        cell_c,
                        voc_v: 67.5 * (1.0 - 0.003 * (cell_c - 25.0)) + 2.9 * (light / 1000.0).ln(),
                    })
                })
                .collect(),
        }],
    }
}

/// Counts in series: a few, or so many that some are left out.
pub fn ladder(limits: usize) -> Ladder {
    let count = if limits > 4 { 20 } else { 6 };
    Ladder {
        start_v: Some(19.2),
        run_v: Some(15.2),
        rungs: (1..=count)
            .map(|in_series| {
                let each = in_series as f64;
                let verdict = if in_series <= 2 { Verdict::Within } else { Verdict::Exceeded };
                Rung {
                    in_series,
                    is_planned: in_series == 3,
                    hot_v: Some(15.6 * each),
                    cold_v: Some(27.1 * each),
                    verdict: Some(verdict),
                    too_small_in_amps: if in_series == 1 {
                        vec!["roof cable".to_owned()]
                    } else {
                        Vec::new()
                    },
                    starving: None,
                }
            })
            .collect(),
    }
}

/// Summaries in which sudden sun reaches about 74 V plus `lift`.
pub fn pictures(lift: f64) -> Pictures {
    let days = (0..366)
        .map(|day| {
            let turn = (f64::from(day) - 15.0) / 366.0 * std::f64::consts::TAU;
            let half_day = 6.0 - 1.6 * turn.cos();
            std::array::from_fn(|hour| {
                let away = (hour as f64 + 0.5 - 12.3).abs();
                let lit = half_day - away;
                let jitter = f64::from((day * 7919 + hour as i32 * 104_729) % 97) / 97.0;
                (lit > 0.0).then(|| {
                    (66.0 + lift + 6.5 * turn.cos() + 3.0 * (lit / 6.0).min(1.0) + 2.0 * jitter) as f32
                })
            })
        })
        .collect();
    let hours_per_year = (0..120)
        .map(|step| {
            let volts = 55.0 + f64::from(step) * 0.25;
            let above = |top: f64| (4380.0 * (1.0 - ((volts - 40.0) / (top - 40.0)).powi(6))).max(0.0);
            ByVoltage {
                steady: above(71.5 + lift),
                sudden_sun: above(74.3 + lift),
                worst_case: above(77.6 + lift),
            }
        })
        .collect();
    let hours = (0..50)
        .map(|row| {
            let air = -28.0 + f64::from(row);
            (0..25)
                .map(|column| {
                    let light = f64::from(column) * 40.0 + 20.0;
                    let likely =
                        (-((air - 2.0 - light / 40.0) / 14.0).powi(2)).exp() * (1.0 - light / 1050.0);
                    (likely * 900.0) as u32
                })
                .collect()
        })
        .collect();
    let curve = |component: &str, rating_v: f64, shift: f64| LimitCurve {
        component: component.into(),
        rating_v,
        points: (1..=50)
            .map(|i| {
                let light = f64::from(i) * 20.0;
                (light, shift + 14.0 * (light / 1000.0).ln())
            })
            .collect(),
    };
    Pictures {
        calendar: Some(Calendar { days }),
        exceedance: Some(Exceedance { from_v: 55.0, step_v: 0.25, hours_per_year }),
        light_and_air: Some(LightAndAir {
            air_from_c: -28.0,
            coldest_c: -27.6,
            air_step_k: 1.0,
            light_step_w_m2: 40.0,
            hours,
            curves: vec![curve("roof disconnect", 75.0, -12.0), curve("charge controller", 80.0, -36.0)],
        }),
        current: Some(CurrentDuration {
            step_a: 0.1,
            hours_per_year: (0..70)
                .map(|i| (4300.0 * (1.0 - f64::from(i) * 0.1 / 5.3)).max(0.0).powf(1.1) / 2.3)
                .collect(),
        }),
        lost_start_h: Some([0.0, 0.0, 0.2, 1.5, 6.0, 21.0, 44.0, 38.0, 9.0, 1.0, 0.0, 0.0]),
    }
}
