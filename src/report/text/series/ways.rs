//! Two ways by other parts, recommended and runner-up: the lower class of touch voltage goes first, then what takes fewer parts.

use super::Page;
use super::answer::{asks, it_has, uses, with_the_plans_controller, words};
use super::table::lost_band;
use crate::extreme::number_in_words;
use crate::limits::rules::touch::TouchClass;
use crate::study::series::{Exchange, SeriesResult};
use crate::units::at_least;

/// How a way by other parts is named: recommended, or what stands in its place while the weather is in doubt.
pub(super) struct Word<'a> {
    /// "Recommended".
    pub(super) word: &'a str,
    /// ", by volts and amps alone, harvest not judged".
    pub(super) alone: &'a str,
}

/// Both ways, in the order of `series` itself: the lower class of touch voltage, then what is to buy. Each with what makes it easier.
pub(super) fn both(
    page: &mut Page,
    result: &SeriesResult,
    one: &Exchange,
    other: &Exchange,
    word: &Word<'_>,
) {
    let (first, second) = if rank(one) <= rank(other) { (one, other) } else { (other, one) };
    let are_alike = first.remarks == second.remarks;
    for (is_first, this, than) in [(true, first, second), (false, second, first)] {
        let remarks = if are_alike { "" } else { &this.remarks };
        let (layout, figures, by_string) = (layout(result, this), figures(this), by_string(this));
        let name = if is_first {
            format!("{}{}, for {}", word.word, word.alone, uses(result, &this.arrangement))
        } else {
            "Runner-up".to_owned()
        };
        page.paragraph(
            0,
            &format!(
                "{name}, {} ({}): {layout}: {figures}. To buy: {}{remarks}.{by_string}",
                to_buy(this),
                easier(this, than),
                this.with
            ),
        );
    }
    if let Some(remarks) = first.remarks.strip_prefix("; ").filter(|_| are_alike) {
        page.paragraph(0, &format!("Of both: {remarks}."));
    }
    for this in [first, second] {
        if let Some(asks) = &this.arrangement.asks {
            page.paragraph(0, &format!("With {} in series {asks}.", this.arrangement.in_series));
        }
    }
}

/// What goes first of two ways.
fn rank(this: &Exchange) -> (u8, usize, usize) {
    (touch(this), this.to_buy, this.arrangement.in_series)
}

fn touch(this: &Exchange) -> u8 {
    this.most_v.map_or(0, |volts| TouchClass::of(volts) as u8)
}

/// "with one part to buy", "with one part and string fuses to buy".
fn to_buy(this: &Exchange) -> String {
    let parts = if this.parts == 1 { "part" } else { "parts" };
    let fuses = if this.to_buy > this.parts { " and string fuses" } else { "" };
    format!("with {} {parts}{fuses} to buy", number_in_words(this.parts as u64))
}

/// What speaks for one of two ways.
fn easier(this: &Exchange, than: &Exchange) -> String {
    let by = match (touch(this) < touch(than), this.arrangement.in_series < than.arrangement.in_series) {
        (true, _) => "easier by volts",
        (false, true) => "fewer volts",
        (false, false) => "fewer amps",
    };
    if this.to_buy < than.to_buy { format!("{by}, and easier by parts") } else { by.to_owned() }
}

/// The only way to use more of the panels than hold with the parts as planned.
pub(super) fn only(result: &SeriesResult, this: &Exchange, word: &Word<'_>) -> String {
    let (uses, layout, figures) = (uses(result, &this.arrangement), layout(result, this), figures(this));
    let asks = asks(&this.arrangement);
    format!(
        "{}{}, for {uses}, {}: {layout}: {figures}. To buy: {}{}.{}{asks}",
        word.word,
        word.alone,
        to_buy(this),
        this.with,
        this.remarks,
        by_string(this)
    )
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
