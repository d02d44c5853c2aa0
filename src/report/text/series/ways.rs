//! Two ways by other parts side by side: the one of fewer volts, and the one of fewer parts.

use super::Page;
use super::answer::{asks, it_has, uses, with_the_plans_controller, words};
use super::table::lost_band;
use crate::report::view::capital;
use crate::study::series::{Exchange, SeriesResult};
use crate::units::at_least;

/// Both ways, the one of fewer volts first, each with what is to buy and what makes it easier.
pub(super) fn both(page: &mut Page, result: &SeriesResult, one: &Exchange, other: &Exchange) {
    let (low, high) =
        if one.arrangement.in_series < other.arrangement.in_series { (one, other) } else { (other, one) };
    page.paragraph(0, &format!("Two ways to use {}, each by other parts:", uses(result, &one.arrangement)));
    let by_volts = if low.touch_class == high.touch_class { "Fewer volts" } else { "Easier by volts" };
    let by_parts = |this: &Exchange, than: &Exchange| {
        let kinds = if this.to_buy == 1 { "kind" } else { "kinds" };
        (this.to_buy < than.to_buy)
            .then(|| format!("by parts ({} {kinds} to buy, not {})", this.to_buy, than.to_buy))
    };
    let of_low = match by_parts(low, high) {
        Some(fewer) => format!("{by_volts}, and easier {fewer}"),
        None if low.to_buy == high.to_buy => format!("{by_volts}, as many kinds to buy"),
        None => by_volts.to_owned(),
    };
    let of_high =
        by_parts(high, low).map_or_else(|| "Fewer amps".to_owned(), |fewer| format!("Easier {fewer}"));
    let are_alike = low.remarks == high.remarks;
    for (label, this) in [(of_low, low), (of_high, high)] {
        let remarks = if are_alike { "" } else { &this.remarks };
        let (layout, figures) = (layout(result, this), figures(this));
        let by_string = by_string(this);
        page.bullet(0, &format!("{label}: {layout}: {figures}. To buy: {}{remarks}.{by_string}", this.with));
    }
    if let Some(remarks) = low.remarks.strip_prefix("; ").filter(|_| are_alike) {
        page.paragraph(1, &format!("Of both: {remarks}."));
    }
    for this in [low, high] {
        if let Some(asks) = &this.arrangement.asks {
            page.paragraph(0, &format!("With {} in series {asks}.", this.arrangement.in_series));
        }
    }
}

/// The only way to use more of the panels than hold with the parts as planned.
pub(super) fn only(result: &SeriesResult, this: &Exchange) -> String {
    let (uses, layout, figures) =
        (capital(&uses(result, &this.arrangement)), layout(result, this), figures(this));
    let asks = asks(&this.arrangement);
    format!("{uses}: {layout}: {figures}. To buy: {}{}.{}{asks}", this.with, this.remarks, by_string(this))
}

/// What may be done in place of buying a larger disconnect.
pub(super) fn by_string(this: &Exchange) -> String {
    this.string_disconnects.as_ref().map_or_else(String::new, |way| format!(" Or {way}."))
}

/// That parts would bring fewer volts to touch than the recommended arrangement, which needs none.
pub(super) fn lower_volts(result: &SeriesResult, this: &Exchange) -> String {
    let beside = this.arrangement.beside_recommended.as_deref().map_or_else(|| figures(this), it_has);
    let class = this.touch_class.unwrap_or("not known");
    format!(
        "Another way, easier by volts ({class}) but not by parts: {}, {}. To buy: {}{}.{} {}.{}",
        layout(result, this),
        harvest(this),
        this.with,
        this.remarks,
        by_string(this),
        beside,
        asks(&this.arrangement)
    )
}

fn layout(result: &SeriesResult, this: &Exchange) -> String {
    words(&with_the_plans_controller(result, &this.arrangement))
}

/// "56.3 V at most (class 30 to 60 V), 48.8 A (1.5625 x Isc), 0 % of the harvest lost to low volts".
fn figures(this: &Exchange) -> String {
    let class = this.touch_class.map_or_else(String::new, |class| format!(" (class {class})"));
    let volts =
        this.most_v.map_or_else(String::new, |volts| format!("{:.1} V at most{class}, ", at_least(volts)));
    format!("{volts}{:.1} A (1.5625 x Isc), {}", this.amps_a, harvest(this))
}

fn harvest(this: &Exchange) -> String {
    let lost = match (this.harvest_lost_percent_cool, this.harvest_lost_percent) {
        (Some(low), Some(high)) => format!("{} % of the harvest lost to low volts", lost_band(low, high)),
        _ => return "harvest not judged".to_owned(),
    };
    let clipped = this.clipped_percent.map_or_else(String::new, |percent| {
        format!(", {} % clipped by its controller", lost_band(percent, percent))
    });
    format!("{lost}{clipped}")
}
