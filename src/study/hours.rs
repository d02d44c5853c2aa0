//! `hours`: the hour-by-hour table of one array at one stop.

use crate::hourly::{Loop, ReadyGroup, ReadyPower, array_power, each_hour, middle_elevation_deg};
use crate::module::DIMMEST_W_M2;
use crate::plan::Plan;
use crate::study::{Choice, HourRow, OpenStop, StudyError};

/// Hands every hour of the record to `sink`, in the record's order. Hours that the files lack are absent.
///
/// # Errors
/// Unreadable weather, missing coordinates, several stops or arrays and none chosen, a sink that fails.
pub fn hours(
    plan: &Plan,
    choice: &Choice,
    mut sink: impl FnMut(&HourRow) -> std::io::Result<()>,
) -> Result<(), StudyError> {
    let stops = choice.stops(plan)?;
    let arrays = choice.arrays(plan)?;
    let known = |names: Vec<String>| names.join(", ");
    let (stop, array) = match (&stops[..], &arrays[..]) {
        ([], _) => return Err(StudyError::NoStops),
        ([(_, stop)], [array]) => (*stop, *array),
        ([_], several) => {
            let names = several.iter().map(|array| format!("\"{}\"", array.name)).collect();
            return Err(StudyError::Several { what: "array", known: known(names) });
        }
        (several, _) => {
            let names = several.iter().map(|(_, stop)| format!("\"{}\"", stop.place)).collect();
            return Err(StudyError::Several { what: "stop", known: known(names) });
        }
    };
    let open = OpenStop::open(stop, &plan.assumptions)?;
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, plan.assumptions.sky_cooling_k)).collect();
    let power: Vec<ReadyPower> = array.groups.iter().map(ReadyPower::new).collect();
    let power_in_the_dark = power.iter().all(ReadyPower::is_printed).then_some(0.0);
    let mut nodes = None;
    let job = Loop {
        site: &open.site,
        sky: &open.sky,
        nodes: open.sun_nodes(&mut nodes)?,
        groups: &groups,
        ratings: &[],
        steady_only: &[],
        blocks: None,
        only: None,
        step_h: open.step_h(),
    };
    let mut outcome = Ok(());
    each_hour(&job, open.opened.record.hours(), |hour, sun, air, lit| {
        if outcome.is_err() {
            return;
        }
        let mut row = HourRow {
            time: hour.start.floor_hour(),
            sun_elevation_deg: middle_elevation_deg(sun),
            ghi_w_m2: Some(0.0),
            plane_w_m2: Some(0.0),
            air_c: air.mean.0,
            cell_steady_c: Some(air.mean.0),
            voc_steady_v: Some(0.0),
            voc_sudden_sun_v: Some(0.0),
            voc_worst_case_v: Some(0.0),
            isc_a: Some(0.0),
            vmp_v: power_in_the_dark,
            imp_a: power_in_the_dark,
        };
        if let Some((state, groups)) = lit {
            row.ghi_w_m2 = Some(state.global_mean_w_m2);
            row.plane_w_m2 = Some(state.plane_mean_w_m2);
            row.cell_steady_c = Some(state.cell_steady_c);
            row.voc_steady_v =
                state.peak.steady.filter(|_| state.plane_mean_w_m2 >= DIMMEST_W_M2).map(|spot| spot.volts);
            row.voc_sudden_sun_v = state.peak.sudden_sun.map(|spot| spot.volts);
            row.voc_worst_case_v = state.peak.worst_case.map(|spot| spot.volts);
            row.isc_a = state.isc_a;
            let most = array_power(&power, groups);
            row.vmp_v = most.map(|power| power.vmp_v);
            row.imp_a = most.map(|power| power.imp_a);
        }
        outcome = sink(&row);
    });
    outcome.map_err(StudyError::Write)
}
