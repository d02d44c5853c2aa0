//! Tables and lists of the document.

use super::client;
use super::document::{list, verdict};
use super::places::optional;
use crate::limits::Verdict;
use crate::note::Note;
use crate::report::asides;
use crate::report::clean::line;
use crate::report::glance;
use crate::report::show::{self, Units};
use crate::report::view::{self, Judged};
use crate::study::results::{Assessment, LimitLine, NotGiven, TripOdds};
use maud::{Markup, html};

/// Remarks that are to be known; those that ask for something stand under what to change.
pub(super) fn notes(notes: &[Note]) -> Markup {
    let texts: Vec<String> = view::told(notes).map(|note| client::words(&view::note_text(note))).collect();
    html! {
        @if !texts.is_empty() {
            div.notes {
                p { b { "Notes" } }
                (list(texts.iter().map(String::as_str)).unwrap_or_default())
            }
        }
    }
}

pub(super) fn limits(assessment: &Assessment) -> Option<Markup> {
    let lines = view::worst_of_each(assessment);
    let lacking = |unit: &str| -> Vec<(&str, &NotGiven)> {
        let of_arrays = assessment.arrays.iter().filter(|_| !assessment.stops.is_empty());
        let all = of_arrays.flat_map(|facts| facts.not_given.iter().map(|row| (facts.name.as_str(), row)));
        all.filter(|(_, row)| row.unit == unit).collect()
    };
    let (no_volts, no_amps) = (lacking("V"), lacking("A"));
    if lines.is_empty() && no_volts.is_empty() && no_amps.is_empty() {
        return None;
    }
    let (volts, others): (Vec<_>, Vec<_>) =
        lines.iter().partition(|judged| judged.limit.unit == "V" && judged.limit.rating.is_some());
    Some(html! {
        @if !volts.is_empty() || !no_volts.is_empty() { (volt_limits(assessment, &volts, &no_volts)) }
        @if !others.is_empty() || !no_amps.is_empty() { (other_limits(assessment, &others, &no_amps)) }
        @if !no_volts.is_empty() || !no_amps.is_empty() { p.small { (view::WHY_NOT_JUDGED) } }
        p.small.screen { "The rule and the sentence of each limit: " a href="#often" { "How often and why" } "." }
        // On paper each place says it.
        @if let Some(tables) = asides::table_factor_sentence(assessment) { p.small.screen dir="auto" { (line(&tables)) } }
        @if let Some(counts) = asides::counts_sentence(assessment) { p.small dir="auto" { "Counts: " (line(&counts)) } }
    })
}

fn volt_limits(assessment: &Assessment, lines: &[&Judged<'_>], lacking: &[(&str, &NotGiven)]) -> Markup {
    let several = assessment.arrays.len() > 1;
    let dated = lines.iter().any(|judged| judged.stop.window.is_some());
    let span = if dated { "a stay" } else { "a year" };
    html! {
        div.scroll role="region" tabindex="0" aria-label="Table of voltage limits" {
            table.stacked {
                caption { "Volts with nothing connected, which must stay below what each part is made for; at the stop with the least room" }
                thead { tr {
                    th scope="col" { "Component" }
                    th scope="col" { "Verdict" }
                    @if several { th scope="col" { "Array" } }
                    th.number scope="col" { "Rating" }
                    th.number scope="col" { "Decides" }
                    th scope="col" { "Margin" }
                    th.number scope="col" { "Code sum (rule)" }
                    th.number scope="col" { "Worst case (bound)" }
                    th.number scope="col" { "Sudden sun (seen)" }
                    th.number scope="col" { "Steady (seen)" }
                    th.number scope="col" { "Hours over* (seen)" }
                    th scope="col" { "Place" }
                } }
                tbody {
                    @for judged in lines { (volt_row(assessment, judged)) }
                    @for (array, lacking) in lacking { (not_given_row(assessment, array, lacking, 7)) }
                }
            }
        }
        p.small { "Each rating has to hold the code sum and the worst case; “Decides” names the one by which the verdict goes, and parts are bought by the larger." }
        p.small { "* Hours " (span) " in which " (view::rolling(lines.iter().map(|judged| judged.limit))) ". Steady: parked, nothing connected. Per cent: of the rating." }
    }
}

/// The name of a limit's component as people read it.
fn named(assessment: &Assessment, judged: &Judged<'_>) -> String {
    view::shown_name(assessment, &judged.array.name, &judged.limit.component)
}

fn volt_row(assessment: &Assessment, judged: &Judged<'_>) -> Markup {
    let several = assessment.arrays.len() > 1;
    let limit = judged.limit;
    let four = &judged.array.voltage_v;
    let hours = limit.hours_per_year.map(|hours| hours.sudden_sun);
    html! {
        tr {
            th scope="row" { bdi { (line(&named(assessment, judged))) } }
            td data-label="Verdict" { (verdict(view::counting_verdict(limit))) }
            @if several { td data-label="Array" { bdi { (line(&judged.array.name)) } } }
            td.number data-label="Rating" { (optional(limit.rating, |rating| show::rating(rating, &limit.unit))) }
            td.number data-label="Decides" { (decides(limit)) }
            td.none[limit.margin_percent.is_none()] data-label="Margin" { (optional(limit.margin_percent, show::margin)) }
            @for (name, value) in [
                ("Code sum", four.code),
                ("Worst case (bound)", four.worst_case.max),
                ("Sudden sun", four.sudden_sun.max),
                ("Steady", four.steady.max),
            ] {
                td.number.none[value.is_none()] data-label=(name) { (share(value, limit.rating)) }
            }
            td.number.none[hours.is_none()] data-label="Hours over" { (optional(hours, show::count)) }
            td data-label="Place" { (place(judged)) }
        }
    }
}

/// A rating that the plan does not give: what the part must stand, and `more` cells behind it.
fn not_given_row(assessment: &Assessment, array: &str, lacking: &NotGiven, more: usize) -> Markup {
    let several = assessment.arrays.len() > 1;
    html! {
        tr {
            th scope="row" { bdi { (line(&view::shown_name(assessment, array, &lacking.component))) } }
            td data-label="Verdict" { (view::NOT_GIVEN) }
            @if several { td data-label="Array" { bdi { (line(array)) } } }
            td.number data-label="Rating" { "not in the plan" }
            td.number data-label="Must hold" { (view::must_stand(lacking)) }
            @for _ in 0..more { td.none { "–" } }
        }
    }
}

fn decides(limit: &LimitLine) -> Markup {
    html! {
        (optional(limit.worst, |worst| show::demand(worst, &limit.unit)))
        @if let Some(by) = limit.decided_by { br; span.small { (show::decided_by(by)) } }
    }
}

fn place(judged: &Judged<'_>) -> Markup {
    html! { a href={ "#stop-" (judged.stop_index + 1) } { bdi { (line(&judged.stop.place)) } } }
}

fn other_limits(assessment: &Assessment, lines: &[&Judged<'_>], lacking: &[(&str, &NotGiven)]) -> Markup {
    let several = assessment.arrays.len() > 1;
    html! {
        div.scroll role="region" tabindex="0" aria-label="Table of current limits and rules" {
            table.stacked {
                caption { "Amps and other rules (each figure is a rule): they rest on the labels, so they are the same at every stop" }
                thead { tr {
                    th scope="col" { "Component" }
                    th scope="col" { "Verdict" }
                    @if several { th scope="col" { "Array" } }
                    th.number scope="col" { "Rating" }
                    th.number scope="col" { "Must hold" }
                    th scope="col" { "Margin" }
                    th scope="col" { "Rule" }
                } }
                tbody { @for judged in lines {
                    @let limit = judged.limit;
                    tr {
                        th scope="row" { bdi { (line(&named(assessment, judged))) } }
                        td data-label="Verdict" { (verdict(view::counting_verdict(limit))) }
                        @if several { td data-label="Array" { bdi { (line(&judged.array.name)) } } }
                        td.number.none[limit.rating.is_none()] data-label="Rating" { (optional(limit.rating, |rating| show::rating(rating, &limit.unit))) }
                        td.number.none[limit.worst.is_none()] data-label="Must hold" { (optional(limit.worst, |worst| show::demand(worst, &limit.unit))) }
                        td.none[limit.margin_percent.is_none()] data-label="Margin" { (optional(limit.margin_percent, show::margin)) }
                        td data-label="Rule" { (line(glance::rule(limit))) }
                    }
                } @for (array, lacking) in lacking { (not_given_row(assessment, array, lacking, 2)) } }
            }
        }
    }
}

/// Volts with their share of the rating.
fn share(volts: Option<f64>, rating: Option<f64>) -> Markup {
    html! {
        @match (volts, rating) {
            (Some(volts), Some(rating)) if rating > 0.0 => {
                (show::volts(volts)) br;
                span.small { (show::fixed(volts / rating * 100.0, 0)) " %" }
            }
            (Some(volts), _) => (show::volts(volts)),
            _ => "–",
        }
    }
}

/// Limit by limit: in full what is broken, close or decides; in a line or two what holds.
pub(super) fn how_often(assessment: &Assessment) -> Option<Markup> {
    let lines = view::worst_of_each(assessment);
    let decider = view::decider(assessment);
    let in_full = |judged: &&Judged<'_>| {
        view::counting_verdict(judged.limit) != Verdict::Within
            || decider.is_some_and(|decider| std::ptr::eq(decider.limit, judged.limit))
    };
    let (told, holding): (Vec<&Judged<'_>>, Vec<_>) = lines.iter().partition(in_full);
    (!lines.is_empty()).then(|| {
        html! {
            @for judged in told { (details(assessment, judged)) }
            @if !holding.is_empty() {
                h3 { "Limits that hold" }
                ul.holds {
                    @for (index, judged) in holding.iter().enumerate() {
                        li { (holds(assessment, judged, holding[..index].iter().any(|before| before.limit.out_of_reach.is_some()))) }
                    }
                }
            }
            @if lines.iter().any(|judged| judged.limit.hours_per_year.is_some_and(|hours| hours.worst_case > 0.0)) {
                p.small { "Worst-case hours: " (view::worst_case_hours(lines.iter().map(|judged| judged.limit)).trim_start_matches("* ")) }
            }
        }
    })
}

/// A text up to its first semicolon.
fn first_clause(text: &str) -> &str {
    text.split_once("; ").map_or(text, |(clause, _)| clause)
}

/// One that holds. Why a rating is out of reach takes a long sentence, which differs little from one to the next.
fn holds(assessment: &Assessment, judged: &Judged<'_>, is_told: bool) -> Markup {
    let limit = judged.limit;
    let reach = limit.out_of_reach.as_deref().map(|text| if is_told { first_clause(text) } else { text });
    html! {
        b { bdi { (line(&named(assessment, judged))) } @if let Some(rating) = limit.rating { ", " (show::rating(rating, &limit.unit)) } }
        " " (verdict(view::counting_verdict(limit))) " "
        span.small { (line(&limit.rule)) }
        p dir="auto" {
            (line(&client::words(&view::sentence(&limit.reason))))
            @for more in reach.iter().copied().chain([limit.how_often.as_str()]).filter(|text| !text.is_empty()) {
                " " (line(&view::sentence(more)))
            }
        }
    }
}

fn details(assessment: &Assessment, judged: &Judged<'_>) -> Markup {
    let limit = judged.limit;
    html! {
        div.detail {
            h3 {
                bdi { (line(&named(assessment, judged))) }
                @if let Some(rating) = limit.rating { ", " (show::rating(rating, &limit.unit)) }
                " " (verdict(view::counting_verdict(limit)))
            }
            p.small { (line(&limit.rule)) }
            p dir="auto" { (line(&client::words(&view::sentence(&limit.reason)))) }
            @if let Some(sentence) = &limit.out_of_reach { p { (line(&view::sentence(sentence))) } }
            @if !limit.how_often.is_empty() { p { (line(&view::sentence(&limit.how_often))) } }
            @if let Some(dated) = limit.code_verdict.filter(|code| *code != limit.verdict) {
                p {
                    "For these dates, by the weather: " (verdict(limit.verdict)) ". By the code sum, whole years: "
                    (verdict(dated)) ". The worse one counts."
                }
            }
            @if !limit.steps.is_empty() { (steps(limit)) }
            @if limit.seasons < limit.seasons_seen && limit.hours_per_year.is_some() {
                p.small {
                    (limit.seasons) " of the " (limit.seasons_seen) " seasons are complete: hours are means over these alone, and \
                     an incomplete one counts in the chance only where it broke."
                }
            }
            @if let Some(run) = view::run_sentence(limit, judged.stop.utc_offset) { p { (view::sentence(&run)) } }
        }
    }
}

fn steps(limit: &LimitLine) -> Markup {
    html! {
        ol.steps {
            @for step in &limit.steps {
                li { span.what { (line(&step.what)) } " " b { (show::step(step.value, &step.unit)) } " " span.small { (line(&step.text)) } }
            }
        }
    }
}

pub(super) fn trip(assessment: &Assessment, odds: &TripOdds) -> Markup {
    html! {
        p { (line(&view::trip_sentence(assessment, odds))) }
        @if let (Some(stop), Some(component)) = (&odds.deciding_stop, &odds.deciding_component) {
            p { "Least room in volts: " bdi { (line(component)) } " at " bdi { (line(stop)) } "." }
        }
        @for remark in view::trip_remarks(assessment, odds) { p { bdi { (line(&remark)) } } }
        @let departures = view::departures(assessment, odds);
        @if !departures.is_empty() {
            p {
                "Share of the seasons broken, had the same trip begun on another day: "
                @for (index, departure) in departures.iter().enumerate() {
                    @if index > 0 { "; " }
                    (view::shift_words(departure.shift_days)) " " b { (show::chance(departure.chance)) }
                }
                "."
            }
        }
        @let counted = view::departures_seen(assessment, odds);
        @if !counted.is_empty() {
            p {
                (view::DEPARTURES_SEEN) ": "
                @for (index, departure) in counted.iter().enumerate() {
                    @if index > 0 { "; " }
                    (view::shift_words(departure.shift_days)) " " b { (view::seen_words(departure)) }
                }
                ". " (view::DEPARTURES_SEEN_SAY_LITTLE)
            }
        }
    }
}

pub(super) fn needs(assessment: &Assessment) -> Option<Markup> {
    (!assessment.arrays.is_empty()).then(|| html! {
        @for facts in &assessment.arrays {
            div.detail {
                @if assessment.arrays.len() > 1 { h3 { "Array " bdi { (line(&facts.name)) } } }
                @for layout in &facts.layout { p dir="auto" { (line(layout)) } }
                p {
                    "By the labels the array gives " (show::volts(facts.stc_v)) " with nothing connected and " (show::amps(facts.isc_a))
                    " short-circuited. Rules ask for more amps: 1.25 times, for skies brighter than the label's, makes "
                    (show::exact_amps(facts.max_circuit_a)) "; 1.25 times once more, for hours on end, " (show::exact_amps(facts.conductor_a)) "."
                }
                table.stacked {
                    caption { "Smallest ratings that hold, rounded up: volts by the largest figure of all, amps by rule. To buy by them is what breaks or is lacking; what the plan has and holds may stay" }
                    thead { tr {
                        th scope="col" { "Component" }
                        th.number scope="col" { "Volts" }
                        th.number scope="col" { "Amps" }
                        th scope="col" { "In the plan" }
                        th scope="col" { "Next size commonly sold" }
                        th scope="col" { "Remark" }
                    } }
                    tbody { @for need in view::needs(&facts.needs) {
                        tr {
                            th scope="row" { (need.component) }
                            td.number data-label="Volts" { (need.volts) }
                            td.number data-label="Amps" { (need.amps) }
                            td data-label="In the plan" { (line(&view::served(assessment, facts, &need))) }
                            @let class = view::class_to_buy(assessment, facts, &need);
                            td.none[class == "-"] data-label="Next size commonly sold" { (line(&class)) }
                            td.none[need.remark == "-"] data-label="Remark" { (line(&client::words(need.remark))) }
                        }
                    } }
                }
                @let other = view::other_way(assessment, facts);
                @if !facts.needs.volts_from.is_empty() || other.is_some() {
                    p {
                        @if !facts.needs.volts_from.is_empty() { "These volts: " (line(&facts.needs.volts_from)) ". " }
                        @if let Some(other) = other { (other) }
                    }
                }
                @for remark in &facts.needs.remarks { p dir="auto" { (line(&client::words(remark))) "." } }
                (notes(&facts.notes))
            }
        }
    })
}

pub(super) fn assumptions(assessment: &Assessment) -> Option<Markup> {
    (!assessment.assumptions.is_empty()).then(|| html! {
        div.scroll role="region" tabindex="0" aria-label="Table of assumptions" {
            table.stacked {
                thead { tr { th scope="col" { "What" } th scope="col" { "Value" } th scope="col" { "Why" } } }
                tbody { @for assumption in &assessment.assumptions {
                    tr {
                        th scope="row" { (line(&assumption.name)) }
                        td data-label="Value" { (line(&assumption.value)) " " (line(&assumption.unit)) }
                        td data-label="Why" { (line(&assumption.why)) }
                    }
                } }
            }
        }
    })
}

/// The notes on how far the statistics of the records go, stop by stop; what they share is explained at the first alone.
fn method_notes(assessment: &Assessment) -> Vec<Vec<String>> {
    const NORMAL: &str = ": normal, ";
    const PASSES: &str = "; one in twenty true records of this length passes ";
    let mut told: Vec<String> = Vec::new();
    let mut once = |text: String| {
        let mut text = text;
        if let Some((head, tail)) = text.split_once(NORMAL) {
            let (head, tail) = (head.to_owned(), tail.to_owned());
            if told.contains(&tail) {
                text = format!("{head}: normal");
            } else {
                told.push(tail);
            }
        }
        if told.iter().any(|text| text == PASSES) {
            text = text.replace(PASSES, " against ");
        } else if text.contains(PASSES) {
            told.push(PASSES.to_owned());
        }
        view::sentence(&text)
    };
    let notes =
        assessment.stops.iter().map(|stop| stop.notes.iter().filter(|note| view::is_about_method(note)));
    notes.map(|notes| notes.map(|note| once(view::note_text(note))).collect()).collect()
}

pub(super) fn records(assessment: &Assessment) -> Option<Markup> {
    (!assessment.stops.is_empty()).then(|| {
        html! {
            dl.terms {
                @for (stop, method) in assessment.stops.iter().zip(method_notes(assessment)) {
                    dt { bdi { (line(&stop.place)) } }
                    dd { bdi { (line(&view::station_sentence(stop, Units::Us))) } "." }
                    dd { (line(&view::record_sentence(&stop.record, Units::Us))) "." }
                    @if let Some(lit) = view::lit_hours(stop) {
                        dd { "Of its " (stop.record.hours) " hours " (lit) " have light enough to compute." }
                    }
                    @for array in &stop.arrays {
                        @if let Some(source) = &array.voltage_v.worst_case.source {
                            dd { "The largest worst case" @if stop.window.is_some() { " in the days of the stay" } " comes from line " (line(source)) "." }
                        }
                    }
                    @if stop.record.files.len() > 1 {
                        dd { "Files: " (line(&stop.record.files.join(", "))) "." }
                    }
                    @for note in &method { dd.small { (line(note)) } }
                }
            }
        }
    })
}
