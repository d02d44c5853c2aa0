//! Nodes of the years in which nearly every record lies, computed once and kept beside the program: the full algorithm
//! takes 6 microseconds a node, which for one station of thirty years is a seventh of the whole run.

/// Index of the first node kept: four-day steps from 1970, so about the middle of 1968.
pub(super) const FIRST: i64 = -140;
/// Number of nodes kept: to about the middle of 2042.
pub(super) const COUNT: usize = 6760;
/// Bytes of a node: three 64-bit numbers.
const WIDTH: usize = 24;

const BYTES: &[u8] = include_bytes!("../../data/sun/nodes.bin");

/// Right ascension, declination and distance of node `index`; `None` outside the table.
pub(super) fn node(index: i64) -> Option<[f64; 3]> {
    let at = usize::try_from(index - FIRST).ok().filter(|&at| at < COUNT)?;
    let bytes = BYTES.get(at * WIDTH..(at + 1) * WIDTH)?;
    let number = |part: usize| {
        let bytes = bytes.get(part * 8..part * 8 + 8)?;
        bytes.try_into().ok().map(f64::from_le_bytes)
    };
    Some([number(0)?, number(1)?, number(2)?])
}
