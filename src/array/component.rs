//! What the current meets between the panels and the battery, with the ratings that its maker prints.

use crate::units::{Amps, Volts};

/// Which current flows through a component.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carries {
    /// One string's.
    String,
    /// The whole array's.
    Array,
}

/// How a switching device is built and wired.
#[derive(Clone, Debug, PartialEq)]
pub struct Poles {
    /// Conductors opened at once; `None` where the plan does not say.
    pub opened: Option<u32>,
    /// Whether line and load may not be exchanged.
    pub polarised: Option<bool>,
    /// Whether it may be opened under load.
    pub load_break: Option<bool>,
    /// Volts of one pole and poles wired in series, where the plan gives these instead of `max_v`.
    pub max_v_per_pole: Option<(Volts, u32)>,
    /// An ac rating printed on it. Alone it is no dc rating.
    pub max_v_ac: Option<Volts>,
    /// Listed for continuous use at 100 % of its rating.
    pub continuous_100_percent: bool,
}

/// Type of charge controller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ControllerType {
    /// Tracks the maximum power point.
    Mppt,
    /// Connects the array to the battery in pulses.
    Pwm,
}

/// Size of a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conductor {
    /// Cross-section, mm2.
    Mm2(f64),
    /// American wire gauge.
    Awg(u32),
}

/// The kind of a component with the ratings that only it has.
#[derive(Clone, Debug, PartialEq)]
pub enum ComponentKind {
    /// The device that isolates the array.
    Disconnect(Poles),
    /// A circuit breaker.
    Breaker(Poles),
    /// A plain switch.
    Switch(Poles),
    /// A charge controller.
    Controller {
        /// Largest operating volts, below the absolute limit.
        max_operating: Option<Volts>,
        /// Largest short-circuit current of the array.
        max_isc: Option<Amps>,
        /// Largest charge current.
        max_charge: Option<Amps>,
        /// Volts over the battery at which it starts.
        start_above_battery: Volts,
        /// Volts over the battery at which it keeps running.
        run_above_battery: Volts,
        /// Its type; MPPT where the plan does not say.
        kind: ControllerType,
    },
    /// A plug connector.
    Connector,
    /// A cable.
    Cable {
        /// Its size.
        conductor: Conductor,
        /// Temperature class of its insulation, C; its amps are judged only where this and the air around it are known.
        insulation_c: Option<f64>,
        /// Where it runs hottest, C.
        ambient_c: Option<f64>,
    },
    /// A fuse.
    Fuse,
}

impl ComponentKind {
    /// The plan's word for it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Disconnect(_) => "disconnect",
            Self::Breaker(_) => "breaker",
            Self::Switch(_) => "switch",
            Self::Controller { .. } => "controller",
            Self::Connector => "connector",
            Self::Cable { .. } => "cable",
            Self::Fuse => "fuse",
        }
    }

    /// The poles of a switching device.
    #[must_use]
    pub fn poles(&self) -> Option<&Poles> {
        match self {
            Self::Disconnect(poles) | Self::Breaker(poles) | Self::Switch(poles) => Some(poles),
            _ => None,
        }
    }
}

/// One component of an array.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Its name in the plan, or its kind.
    pub name: String,
    /// What it is.
    pub kind: ComponentKind,
    /// Which current flows through it.
    pub carries: Carries,
    /// Volts (dc) that it stands, as printed for the way it is wired.
    pub max_v: Option<Volts>,
    /// Rated current.
    pub rated_a: Option<Amps>,
}

impl Component {
    /// The keys of the plan without which the amps of a cable cannot be judged; `None` for a cable that has them, and for other parts.
    #[must_use]
    pub fn cable_lacks(&self) -> Option<&'static str> {
        let ComponentKind::Cable { insulation_c, ambient_c, .. } = self.kind else { return None };
        match (insulation_c, ambient_c) {
            (None, None) => Some("insulation_c and ambient_c"),
            (None, Some(_)) => Some("insulation_c"),
            (Some(_), None) => Some("ambient_c"),
            (Some(_), Some(_)) => None,
        }
    }
}
