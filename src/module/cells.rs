//! How many cells stand in series behind a label.

use crate::module::{Cells, Technology};

/// Open-circuit volts of one cell at 1000 W/m2 and 25 C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CellVolts {
    /// A printed count must give volts in this range.
    pub lowest: f64,
    pub highest: f64,
    /// Where no count is printed: for the central figures, and for the bound, which wants few cells.
    pub central: f64,
    pub bound: f64,
}

/// Volts per cell by technology. Published ranges are 0.57 to 0.74 (crystalline), 0.70 to 0.76 (heterojunction),
/// 0.7 to 0.9 (CdTe), 0.55 to 0.72 (CIGS), 0.8 to 0.95 a junction and about 2.1 in three (a-Si); the ranges here
/// are a little wider, chosen because labels are rounded and carry their tolerance.
pub(super) fn cell_volts(technology: Technology) -> CellVolts {
    let (lowest, highest, central, bound) = match technology {
        Technology::Mono => (0.54, 0.78, 0.64, 0.74),
        Technology::Poly => (0.54, 0.70, 0.64, 0.74),
        Technology::Hjt => (0.66, 0.78, 0.64, 0.74),
        Technology::Cdte => (0.65, 0.95, 0.80, 0.90),
        Technology::Cigs => (0.45, 0.75, 0.62, 0.72),
        Technology::ASi => (0.75, 2.50, 0.88, 2.10),
    };
    CellVolts { lowest, highest, central, bound }
}

/// Half cells come in twos, shingled strips in threes to sixes; both are wired in parallel groups.
const DIVISORS: std::ops::RangeInclusive<u32> = 1..=6;

/// Cells in series, or `None` where a printed count fits no way.
pub(super) fn resolve(voc_v: f64, printed: Option<u32>, technology: Technology) -> Option<Cells> {
    let volts = cell_volts(technology);
    let Some(count) = printed else {
        return Some(Cells { printed, central: voc_v / volts.central, bound: voc_v / volts.bound });
    };
    let fits = |divisor: u32| {
        let cells = f64::from(count) / f64::from(divisor);
        (count % divisor == 0 && (volts.lowest..=volts.highest).contains(&(voc_v / cells))).then_some(cells)
    };
    let central = DIVISORS.filter_map(fits).next()?;
    // A count that fits undivided is taken at its word; of several ways to divide, the bound takes the fewest.
    let bound = if fits(1).is_some() { central } else { DIVISORS.filter_map(fits).fold(central, f64::min) };
    Some(Cells { printed, central, bound })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn central(voc: f64, printed: u32, technology: Technology) -> Option<f64> {
        resolve(voc, Some(printed), technology).map(|cells| cells.central)
    }

    #[test]
    fn half_cells_and_shingles_are_seen_by_their_volts() {
        assert_eq!(central(22.5, 36, Technology::Mono), Some(36.0));
        // 144 half cells: 72 in series, twice (common practice).
        assert_eq!(central(49.5, 144, Technology::Mono), Some(72.0));
        assert_eq!(central(41.0, 120, Technology::Mono), Some(60.0));
        assert_eq!(central(24.0, 175, Technology::Mono), Some(35.0));
        assert_eq!(central(45.2, 36, Technology::Mono), None);
        assert_eq!(central(22.5, 7, Technology::Mono), None);
    }

    #[test]
    fn an_unknown_count_is_never_too_high_for_the_bound() {
        for technology in Technology::ALL {
            let volts = cell_volts(technology);
            if let Some(cells) = resolve(22.0, None, technology) {
                assert!(cells.bound < cells.central && volts.central >= volts.lowest - 0.03);
            }
        }
    }
}
