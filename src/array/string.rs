//! Groups of equal strings, and the array that they make at one controller.

use crate::array::{Battery, Carries, Component};
use crate::heat::Mount;
use crate::module::Label;

/// How steep the panels stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tilt {
    /// Degrees from horizontal, 0 to 90.
    Fixed(f64),
    /// Anything: the sun-normal plane is the bound.
    Any,
}

/// Where the panels look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// Degrees clockwise from north.
    Fixed(f64),
    /// Anything: the sun-facing azimuth is the bound.
    Any,
}

/// Equal strings in parallel.
#[derive(Clone, Debug, PartialEq)]
pub struct StringGroup {
    /// The panels of one string, in series, one entry a panel.
    pub modules: Vec<Label>,
    /// Equal strings in parallel, at least 1.
    pub in_parallel: u32,
    /// How the panels are mounted.
    pub mount: Mount,
    /// Tilt.
    pub tilt: Tilt,
    /// Heading.
    pub heading: Heading,
    /// Snow on the ground in front of tilted panels.
    pub snow_ground: bool,
}

impl StringGroup {
    /// Sum of the labels' open-circuit voltages of one string, V.
    #[must_use]
    pub fn label_voc_v(&self) -> f64 {
        self.modules.iter().map(|label| label.voc.0).sum()
    }

    /// Largest short-circuit current of its panels' labels, A: with bypass diodes a mixed string can carry it.
    #[must_use]
    pub fn label_isc_a(&self) -> f64 {
        self.modules.iter().map(|label| label.isc.0).fold(0.0, f64::max)
    }

    /// Smallest of the series fuses that its panels' labels allow, A; `None` where no label says.
    #[must_use]
    pub fn label_fuse_a(&self) -> Option<f64> {
        self.modules.iter().filter_map(|label| label.max_series_fuse).map(|amps| amps.0).reduce(f64::min)
    }
}

/// All strings that meet at one controller, with what they meet on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Array {
    /// Its name in the plan.
    pub name: String,
    /// Groups of equal strings.
    pub groups: Vec<StringGroup>,
    /// Components in the order of the plan.
    pub components: Vec<Component>,
    /// The battery behind its controller, where the plan names one.
    pub battery: Option<Battery>,
}

impl Array {
    /// Most panels in series in any of its strings.
    #[must_use]
    pub fn modules_in_series(&self) -> usize {
        self.groups.iter().map(|group| group.modules.len()).max().unwrap_or(0)
    }

    /// Strings in parallel.
    #[must_use]
    pub fn strings(&self) -> u32 {
        self.groups.iter().map(|group| group.in_parallel).sum()
    }

    /// Label volts of its highest string, V.
    #[must_use]
    pub fn label_voc_v(&self) -> f64 {
        self.groups.iter().map(StringGroup::label_voc_v).fold(0.0, f64::max)
    }

    /// Label short-circuit current of all its strings together, A.
    #[must_use]
    pub fn label_isc_a(&self) -> f64 {
        self.groups.iter().map(|group| group.label_isc_a() * f64::from(group.in_parallel)).sum()
    }

    /// Label short-circuit current that flows through what carries `carries`, A.
    #[must_use]
    pub fn carried_isc_a(&self, carries: Carries) -> f64 {
        match carries {
            Carries::String => self.groups.iter().map(StringGroup::label_isc_a).fold(0.0, f64::max),
            Carries::Array => self.label_isc_a(),
        }
    }
}
