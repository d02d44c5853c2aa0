//! The three weather-driven voltages, and values kept side by side for them.

use serde::Serialize;

/// Which of the three.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Voltage {
    /// Parked, warmed by that hour's sun.
    Steady,
    /// At air temperature in that moment's sun.
    SuddenSun,
    /// The strongest panel after a clear night, in clear sky.
    WorstCase,
}

impl Voltage {
    /// All three, in the order in which they are printed.
    pub const ALL: [Self; 3] = [Self::Steady, Self::SuddenSun, Self::WorstCase];
}

/// One value for each of the three voltages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct ByVoltage<T> {
    /// Parked in the hour's sun.
    pub steady: T,
    /// Sudden sun.
    pub sudden_sun: T,
    /// Worst case.
    pub worst_case: T,
}

impl<T> ByVoltage<T> {
    /// The value of one voltage.
    pub fn of(&self, voltage: Voltage) -> &T {
        match voltage {
            Voltage::Steady => &self.steady,
            Voltage::SuddenSun => &self.sudden_sun,
            Voltage::WorstCase => &self.worst_case,
        }
    }

    /// The value of one voltage, to change it.
    pub fn of_mut(&mut self, voltage: Voltage) -> &mut T {
        match voltage {
            Voltage::Steady => &mut self.steady,
            Voltage::SuddenSun => &mut self.sudden_sun,
            Voltage::WorstCase => &mut self.worst_case,
        }
    }

    /// The same function of each.
    pub fn map<U>(&self, change: impl Fn(&T) -> U) -> ByVoltage<U> {
        ByVoltage {
            steady: change(&self.steady),
            sudden_sun: change(&self.sudden_sun),
            worst_case: change(&self.worst_case),
        }
    }
}
