//! What larger classes of volts would allow, class by class.

use super::choose::{arrangement, in_order, is_device, is_raised, smallest_class};
use super::exchange::{another_controller, uses, with_its_controller};
use super::results::{Arrangement, LargerClass, SeriesOption};
use crate::study::classes::{class_v_words, device_classes_v};

/// What larger classes would allow: for each common class at which the recommendation changes if no device stood below
/// it, that recommendation and what it needs.
pub(super) fn with_larger_classes(
    options: &[SeriesOption],
    recommended: Option<&Arrangement>,
) -> Vec<LargerClass> {
    let layout = |in_series: usize, in_parallel: usize, battery_v: Option<f64>| {
        (in_series, in_parallel, battery_v.map(f64::to_bits))
    };
    let mut last = recommended.map(|best| layout(best.in_series, best.in_parallel, best.battery_v));
    let ratings = options.iter().flat_map(|option| &option.limits).filter(|line| is_device(line));
    let smallest = ratings.filter_map(|line| line.rating).fold(f64::INFINITY, f64::min);
    let mut found = Vec::new();
    for class_v in device_classes_v().filter(|&class| class > smallest) {
        let order = in_order(options, Some(class_v));
        let Some(best) = order.first().filter(|best| best.holds()) else { continue };
        let this = layout(best.option.in_series, best.option.in_parallel, best.option.battery_v);
        if last == Some(this) {
            continue;
        }
        last = Some(this);
        let why = uses(best.option);
        found.push(LargerClass {
            class_v,
            with: with_devices(best.option, class_v),
            arrangement: Arrangement {
                step: why.clone(),
                ..arrangement(&with_its_controller(best.option), why, true)
            },
        });
    }
    found
}

/// The devices that must be of a larger class, each with the class to buy.
fn with_devices(option: &SeriesOption, class_v: f64) -> Option<String> {
    let mut devices: Vec<String> = Vec::new();
    for line in option.broken().filter(|line| is_raised(option, line, Some(class_v))) {
        let Some(rating) = line.rating else { continue };
        // Connectors and cables are sold in classes of their own.
        let buy_v = smallest_class(&line.kind, option).unwrap_or(class_v);
        let device = match line.kind.as_str() {
            "controller" => another_controller(option, &line.component, &format!("{buy_v} V")),
            _ => {
                let buy = class_v_words(&line.kind, buy_v);
                format!("{} of {buy} instead of {rating} V", line.component)
            }
        };
        if !devices.contains(&device) {
            devices.push(device);
        }
    }
    (!devices.is_empty()).then(|| devices.join(" and "))
}
