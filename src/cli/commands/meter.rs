//! `meter`: what a meter should read now, from a light meter, from the sky, or for many rows of a file.

use super::plan_args::load;
use crate::cli::args::{ColorChoice, MeterArgs, SkyChoice};
use crate::cli::terminal::{print, text_options};
use crate::cli::{CliError, Status};
use crate::report;
use crate::study::StudyError;
use crate::study::meter::{self, Moment, Outdoors, Reading, SkyWord};
use std::io::Read;
use std::path::Path;

/// Largest table that is read, bytes. Chosen because as many rows as a table may have take half of it.
const LARGEST_TABLE: u64 = 64 << 20;

/// Runs it.
pub(in crate::cli) fn run(args: &MeterArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    if let Some(path) = &args.from {
        let text = table(path)?;
        let rows = meter::rows(&plan, &choice, &path.display().to_string(), &text)?;
        print(&if args.json { report::json(&rows) } else { report::meter_csv(&rows) })?;
        return Ok(Status::Done);
    }
    let reading = Reading { volts: args.read_v, amps: args.read_a };
    let answer = match (args.irradiance, args.cell, args.air, args.at.as_deref(), args.sky) {
        (Some(irradiance_w_m2), Some(cell_c), None, None, None) => {
            meter::meter(&plan, &choice, Moment::Measured { irradiance_w_m2, cell_c }, reading)?
        }
        (Some(irradiance_w_m2), None, Some(air_c), None, None) => {
            meter::meter(&plan, &choice, Moment::AirMeasured { irradiance_w_m2, air_c }, reading)?
        }
        (None, None, Some(air_c), Some(at), Some(sky)) => {
            let sky = match sky {
                SkyChoice::Clear => SkyWord::Clear,
                SkyChoice::Hazy => SkyWord::Hazy,
                SkyChoice::Overcast => SkyWord::Overcast,
            };
            meter::meter_outdoors(&plan, &choice, &Outdoors { at, air_c, sky }, reading)?
        }
        (Some(_), ..) => return Err(StudyError::MeterNeedsCell.into()),
        _ => return Err(StudyError::MeterNeeds.into()),
    };
    print(&if args.json {
        report::json(&answer)
    } else {
        report::meter(&answer, &text_options(color, args.units))
    })?;
    Ok(Status::Done)
}

fn table(path: &Path) -> Result<String, CliError> {
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().take(LARGEST_TABLE + 1).read_to_end(&mut bytes).map_err(CliError::Stdin)?;
    } else {
        std::fs::File::open(path)
            .and_then(|file| file.take(LARGEST_TABLE + 1).read_to_end(&mut bytes))
            .map_err(|source| CliError::Table { path: path.into(), source })?;
    }
    if bytes.len() as u64 > LARGEST_TABLE {
        return Err(CliError::LargeTable { path: path.into(), most_mib: LARGEST_TABLE >> 20 });
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
