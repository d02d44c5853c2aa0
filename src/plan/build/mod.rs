//! From the tables of a plan to validated arrays, stops and assumptions.

mod arrays;
mod columns;
mod components;
mod labels;
mod settings;
mod stops;

pub(super) use arrays::arrays;
pub(super) use components::{RUN_ABOVE_BATTERY_V, START_ABOVE_BATTERY_V};
pub(super) use labels::labels;
pub(super) use settings::{assumptions, rules};
pub(super) use stops::stops;

use super::draft::{Draft, Owner};
use super::given::Given;
use super::keys::Table;
use std::ops::Range;

/// The owner of a repeated table, by the text of one of its keys, else by its number.
fn owner(table: &'static Table, name: Option<&Given<String>>, index: usize, span: Range<usize>) -> Owner {
    let name = match name.and_then(|given| given.read.as_ref().ok()) {
        Some(name) => format!("{} {}", table.header, super::fault::quoted(name)),
        None => format!("{} number {}", table.header, index + 1),
    };
    Owner { table, name, span }
}

/// A fault where two keys exclude each other and both are given.
fn not_both<A, B>(
    first: (&str, Option<&Given<A>>),
    second: (&str, Option<&Given<B>>),
    why: &str,
    owner: &Owner,
    draft: &mut Draft<'_>,
) {
    if let (Some(_), Some(other)) = (first.1, second.1) {
        draft.fault(
            other.span.clone(),
            format!("{} has `{}` and `{}`; {why}: leave one out", owner.name, first.0, second.0),
        );
    }
}
