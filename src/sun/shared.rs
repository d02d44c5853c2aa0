//! Nodes that threads share and that grow as records ask for more.

use crate::sun::{Nodes, SunError};
use crate::time::Stamp;
use std::sync::{Arc, PoisonError, RwLock};

/// Nodes over all spans asked for so far. Since a moment's position does not depend on the span, it makes no difference
/// to any result in which order threads ask.
#[derive(Debug, Default)]
pub struct SharedNodes {
    held: RwLock<Option<Arc<Nodes>>>,
}

impl SharedNodes {
    /// Nodes that cover the span.
    ///
    /// # Errors
    /// Stamps in years that no record covers.
    pub fn covering(&self, first: Stamp, last: Stamp) -> Result<Arc<Nodes>, SunError> {
        // A thread that panicked left either the old nodes or the new ones, both whole.
        let held = self.held.read().unwrap_or_else(PoisonError::into_inner).clone();
        if let Some(nodes) = &held
            && nodes.covers(first, last)
        {
            return Ok(Arc::clone(nodes));
        }
        let mut held = self.held.write().unwrap_or_else(PoisonError::into_inner);
        let (mut from, mut until) = (first, last);
        if let Some(nodes) = &*held {
            if nodes.covers(first, last) {
                return Ok(Arc::clone(nodes));
            }
            let span = nodes.span();
            (from, until) = (from.min(span.0), until.max(span.1));
        }
        let nodes = Arc::new(Nodes::covering(from, until)?);
        *held = Some(Arc::clone(&nodes));
        Ok(nodes)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::time::DAY_S;

    #[test]
    fn spans_grow_and_positions_stay() {
        let shared = SharedNodes::default();
        let day = |day: i64| Stamp(day * DAY_S);
        let short = shared.covering(day(100), day(120)).unwrap();
        let before = short.at(110.5 * DAY_S as f64);
        let wide = shared.covering(day(-4000), day(-3990)).unwrap();
        assert!(wide.covers(day(-4000), day(120)));
        let after = wide.at(110.5 * DAY_S as f64);
        assert_eq!(before.greenwich_hour_angle_rad.to_bits(), after.greenwich_hour_angle_rad.to_bits());
        assert!(Arc::ptr_eq(&wide, &shared.covering(day(0), day(1)).unwrap()));
    }
}
