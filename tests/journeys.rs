//! Whole commands as a user types them: standard output, standard error, exit status, and the files that they leave.
//!
//! Exact texts are snapshots that were read before they were kept. Every journey runs the built command in a process of
//! its own, from the folder of this repository or from an empty one.

#![expect(clippy::unwrap_used)]

mod journeys {
    mod assess;
    mod faults;
    mod help;
    mod links;
    mod new;
    mod report;
    mod ride;
    mod steering;
    mod strangers;
    mod streams;
    mod weather;
}
