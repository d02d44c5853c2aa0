//! One file a command: arguments to a run, its result to a stream or a folder.

pub(super) mod assess;
pub(super) mod explain;
pub(super) mod hours;
pub(super) mod manual;
pub(super) mod meter;
mod named_weather;
pub(super) mod new;
mod plan_args;
pub(super) mod report;
pub(super) mod series;
pub(super) mod survey;
pub(super) mod weather;
