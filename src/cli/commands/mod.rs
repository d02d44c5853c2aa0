//! One file a command: arguments to a run, its result to a stream or a folder.

pub(super) mod assess;
pub(super) mod hours;
mod plan_args;
pub(super) mod report;
pub(super) mod weather;
