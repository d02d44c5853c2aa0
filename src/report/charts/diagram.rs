//! How the array is wired: panels, what the current meets, battery, with volts and amps written on it.

use super::drawing::{Across, Drawing, Stroke, fitting, text_width};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::array::Carries;
use crate::report::{clean, show};
use crate::study::pictures::{ComponentFacts, StringFacts};
use crate::study::results::{ArrayFacts, Assessment};

/// Width of a component's box, page units.
const BOX: f64 = 124.0;
/// Narrowest box: with so many components that even these do not fit in one row, the chain goes on in a second one.
const NARROWEST: f64 = 104.0;
/// Gap between boxes, for the conductors.
const GAP: f64 = 22.0;
/// The same between narrow boxes.
const NARROW_GAP: f64 = 13.0;
/// Width of a box of strings.
const STRINGS: f64 = 204.0;
/// Left edge of all rows.
const LEFT: f64 = 14.0;
/// Heights of the two conductors below a box's top edge.
const CONDUCTORS: (f64, f64) = (22.0, 40.0);
/// Top edge of the first row.
const TOP: f64 = 62.0;
/// Strings that are drawn of a group; the others are counted in words.
const DRAWN: u32 = 3;
/// From one string of a group to the next.
const PITCH: f64 = 50.0;
/// Lines of text that every box has room for, and at most: a long name makes all boxes higher.
const LINES: (usize, usize) = (5, 9);
/// Controllers to choose from that one box names.
const RIVALS: usize = 2;
/// Height of the first of them below the box's top edge, and from line to line.
const TEXT: (f64, f64) = (66.0, 14.0);

/// The diagram of one array, or `None` where the results do not say how it is wired.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn diagram(assessment: &Assessment, array_index: usize) -> Result<Option<Chart>, ChartError> {
    let Some(facts) = assessment.arrays.get(array_index) else { return Ok(None) };
    if facts.wiring.strings.is_empty() {
        return Ok(None);
    }
    let title = if assessment.arrays.len() > 1 {
        format!("Wiring of array {}", clean::short(&facts.name, 40))
    } else {
        "Wiring of the array".to_owned()
    };
    let chain = chain(facts);
    let sizes = Sizes::of(&chain);
    let rows = Rows::of(&facts.wiring.strings, sizes.height);
    let first_row = sizes.per_row(LEFT + STRINGS + sizes.gap).min(chain.len());
    let chain_rows = 1 + (chain.len() - first_row).div_ceil(sizes.per_row(LEFT));
    // A second row stands below the strings, however many groups they have.
    #[expect(clippy::cast_precision_loss, reason = "a few boxes")]
    let height = TOP + rows.height + (chain_rows - 1) as f64 * (sizes.height + 30.0);
    let mut drawing = Drawing::new(height, &title);
    let largest = largest(facts);
    drawing.text((LEFT, 42.0), &largest, Ink::Text, style::NORMAL, Across::Start);
    drawing.explain(&largest);

    strings(&mut drawing, &facts.wiring.strings, &rows, chain.is_empty());
    let mut pen = Pen { sizes, x: LEFT + STRINGS, y: TOP, below: TOP + rows.height.max(sizes.height + 14.0) };
    // What stands in each string, as far as it fits beside the strings; then all strings become one pair of conductors.
    let in_each = chain.iter().take_while(|part| part.is_in_each_string()).count().min(first_row);
    for (index, part) in chain.iter().enumerate() {
        if index < in_each {
            pen.x += rows.wires(&mut drawing, pen.x, sizes.gap);
            part.draw_in_each(&mut drawing, pen.x, sizes, &rows);
        } else {
            if index == in_each {
                rows.join(&mut drawing, pen.x, sizes.gap);
            }
            pen.advance(&mut drawing);
            part.draw(&mut drawing, (pen.x, pen.y), sizes);
        }
        pen.x += sizes.width;
    }
    if in_each == chain.len() && !chain.is_empty() {
        rows.join(&mut drawing, pen.x, sizes.gap);
    }
    let id = format!("diagram-{}", array_index + 1);
    let alt = description(facts, &chain, &largest);
    paint::chart(&id, &title, &alt, Role::Wiring, &drawing.signed(assessment)).map(Some)
}

/// Where the strings lie, one below the other.
struct Rows {
    /// Upper edges of the drawn strings of each group.
    groups: Vec<Vec<f64>>,
    /// Height of a box that holds one string.
    one: f64,
    /// Of all groups together, with the room below each.
    height: f64,
}

impl Rows {
    fn of(groups: &[StringFacts], one: f64) -> Self {
        let mut rows = Self { groups: Vec::new(), one, height: 0.0 };
        for group in groups {
            let drawn = group.in_parallel.clamp(1, DRAWN);
            let top = TOP + rows.height;
            rows.groups.push((0..drawn).map(|row| top + f64::from(row) * PITCH).collect());
            rows.height += f64::from(drawn - 1) * PITCH + one + 14.0;
        }
        rows
    }

    fn all(&self) -> impl Iterator<Item = f64> {
        self.groups.iter().flatten().copied()
    }

    /// Bottom edge of a group's box.
    fn bottom(&self, group: usize) -> f64 {
        self.groups[group].last().map_or(TOP, |row| row + self.one)
    }

    /// Both conductors of every string across a gap; returns its width.
    fn wires(&self, drawing: &mut Drawing, x: f64, gap: f64) -> f64 {
        for height in self.all().flat_map(|row| [row + CONDUCTORS.0, row + CONDUCTORS.1]) {
            drawing.line(vec![(x, height), (x + gap, height)], Ink::Text, 1.4, Stroke::Solid);
        }
        gap
    }

    /// All strings to the conductors of the first, in the gap to the right of `x`. A dot is a joint; lines that cross
    /// without one are not joined.
    fn join(&self, drawing: &mut Drawing, x: f64, gap: f64) {
        for (conductor, share) in [(CONDUCTORS.0, 0.7), (CONDUCTORS.1, 0.35)] {
            let bar = x + gap * share;
            let mut above: Option<f64> = None;
            for height in self.all().map(|row| row + conductor) {
                if let Some(above) = above {
                    let path = vec![(x, height), (bar, height), (bar, above)];
                    drawing.line(path, Ink::Text, 1.4, Stroke::Solid);
                    drawing.dot((bar, above), 2.4, Ink::Text);
                }
                above = Some(height);
            }
        }
    }
}

/// Size of the boxes and of the gaps between them.
#[derive(Clone, Copy)]
struct Sizes {
    width: f64,
    height: f64,
    gap: f64,
}

impl Sizes {
    /// So that all boxes stand in one row beside the strings, where narrow ones do, and hold their texts.
    fn of(chain: &[Part<'_>]) -> Self {
        let mut sizes = Self { width: BOX, height: 0.0, gap: GAP };
        #[expect(clippy::cast_precision_loss, reason = "a few boxes")]
        let each = (style::WIDTH - 14.0 - LEFT - STRINGS) / chain.len().max(1) as f64;
        if sizes.per_row(LEFT + STRINGS + GAP) < chain.len() && each - NARROW_GAP >= NARROWEST {
            sizes = Self { width: each - NARROW_GAP, gap: NARROW_GAP, ..sizes };
        }
        let lines = chain.iter().map(|part| part.shown(sizes.width).len()).fold(LINES.0, usize::max);
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let below_first = (lines - 1) as f64 * TEXT.1;
        Self { height: TEXT.0 + below_first + 10.0, ..sizes }
    }

    /// Boxes that fit in a row that begins at `left`.
    fn per_row(self, left: f64) -> usize {
        // A hair of room against rounding.
        let fit = ((style::WIDTH - 14.0 - left + self.gap + 1e-6) / (self.width + self.gap)).floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a handful")]
        {
            fit as usize
        }
    }
}

fn largest(facts: &ArrayFacts) -> String {
    let volts = facts.needs.disconnect_v.into_iter().chain(facts.needs.controller_v).reduce(f64::max);
    let volts = volts.map_or_else(
        || "volts not assessed".to_owned(),
        |volts| format!("largest {} dc", show::volts(volts)),
    );
    format!(
        "label {}; {volts}; {} short circuit, x 1.25 = {}",
        show::volts(facts.stc_v),
        show::amps(facts.isc_a),
        show::exact_amps(facts.max_circuit_a)
    )
}

/// Where the next box goes.
struct Pen {
    sizes: Sizes,
    /// Right edge of the last box.
    x: f64,
    /// Top of the row.
    y: f64,
    /// Top of the next row.
    below: f64,
}

impl Pen {
    /// Draws the conductors to the next box and moves to its left edge.
    fn advance(&mut self, drawing: &mut Drawing) {
        if self.x + self.sizes.gap + self.sizes.width <= style::WIDTH - 14.0 + 1e-6 {
            for height in [CONDUCTORS.0, CONDUCTORS.1] {
                let ends = [(self.x, self.y + height), (self.x + self.sizes.gap, self.y + height)];
                drawing.line(ends.to_vec(), Ink::Text, 1.4, Stroke::Solid);
            }
            self.x += self.sizes.gap;
            return;
        }
        // Around the corner: out at the right, back under the row, in at the left.
        for (height, out) in [(CONDUCTORS.0, 12.0), (CONDUCTORS.1, 7.0)] {
            let (right, turn) = (self.x + out, self.below + 12.0 - out);
            let left = LEFT - out + 4.0;
            drawing.line(
                vec![
                    (self.x, self.y + height),
                    (right, self.y + height),
                    (right, turn),
                    (left, turn),
                    (left, self.below + 16.0 + height),
                    (LEFT + 4.0, self.below + 16.0 + height),
                ],
                Ink::Text,
                1.4,
                Stroke::Solid,
            );
        }
        self.x = LEFT + 4.0;
        self.y = self.below + 16.0;
        self.below = self.y + self.sizes.height + 14.0;
    }
}

/// A box of the chain.
enum Part<'a> {
    Component(&'a ComponentFacts),
    /// Controllers of which one is to be chosen: one box, since they do not stand on the same wires one behind the other.
    Rivals(Vec<&'a ComponentFacts>),
    Battery(&'a str),
}

/// From the panels on: what a string carries, what the array carries, the controller, the battery.
fn chain(facts: &ArrayFacts) -> Vec<Part<'_>> {
    let wiring = &facts.wiring;
    let rank = |component: &ComponentFacts| match (component.kind.as_str(), component.carries) {
        ("controller", _) => 2,
        (_, Carries::Array) => 1,
        (_, Carries::String) => 0,
    };
    let mut components: Vec<&ComponentFacts> = wiring.components.iter().collect();
    components.sort_by_key(|component| rank(component));
    let is_rival =
        |component: &ComponentFacts| component.kind == "controller" && facts.rival_controllers.len() > 1;
    let (rivals, single): (Vec<&ComponentFacts>, Vec<_>) =
        components.into_iter().partition(|component| is_rival(component));
    let mut chain: Vec<Part<'_>> = single.into_iter().map(Part::Component).collect();
    if !rivals.is_empty() {
        chain.push(Part::Rivals(rivals));
    }
    chain.extend(wiring.battery.as_deref().map(Part::Battery));
    chain
}

impl Part<'_> {
    /// Heading, name and ratings.
    fn lines(&self) -> Vec<String> {
        match self {
            Self::Battery(text) => {
                let mut lines = vec!["battery".to_owned()];
                lines.extend(text.split(", ").map(str::to_owned));
                lines
            }
            Self::Rivals(rivals) => {
                let mut lines = vec!["controller".to_owned()];
                for (index, component) in rivals.iter().take(RIVALS).enumerate() {
                    let or = if index > 0 { "or " } else { "" };
                    let volts = component.max_v.map(|volts| format!("{} dc", show::rating(volts, "V")));
                    let amps = component.rated_a.map(|amps| show::rating(amps, "A"));
                    let ratings: Vec<String> = volts.into_iter().chain(amps).collect();
                    lines.push(format!("{or}{}", component.name));
                    lines.extend((!ratings.is_empty()).then(|| ratings.join(", ")));
                }
                lines.extend((rivals.len() > RIVALS).then(|| format!("or {} more", rivals.len() - RIVALS)));
                lines
            }
            Self::Component(component) => {
                let mut lines = vec![component.kind.clone()];
                if component.name != component.kind {
                    lines.push(component.name.clone());
                }
                let volts = component.max_v.map(|volts| format!("{} dc", show::rating(volts, "V")));
                let amps = component.rated_a.map(|amps| show::rating(amps, "A"));
                let ratings: Vec<String> = volts.into_iter().chain(amps).collect();
                if !ratings.is_empty() {
                    lines.push(ratings.join(", "));
                }
                let switches = matches!(component.kind.as_str(), "disconnect" | "breaker" | "switch");
                match component.poles_opened {
                    Some(poles) => lines.push(format!("opens {poles} of 2")),
                    None if switches => lines.push("poles not given".to_owned()),
                    None => {}
                }
                lines.extend(component.detail.clone());
                if component.carries == Carries::String {
                    lines.push("in each string".to_owned());
                }
                lines
            }
        }
    }

    /// The same, broken to the width of a box. A name keeps as many lines as the ratings leave it.
    fn shown(&self, width: f64) -> Vec<String> {
        let mut lines: Vec<Vec<String>> =
            self.lines().iter().map(|line| wrapped(line, width - 14.0)).collect();
        let over = lines.iter().map(Vec::len).sum::<usize>().saturating_sub(LINES.1);
        if let Some(name) = lines.get_mut(1) {
            let kept = name.len().saturating_sub(over).max(1);
            if kept < name.len() {
                let cut = format!("{}…", name[kept - 1]);
                name.truncate(kept - 1);
                name.push(fitting(&cut, style::SMALL, width - 14.0));
            }
        }
        lines.into_iter().flatten().take(LINES.1).collect()
    }

    /// Whether every string has one of its own.
    fn is_in_each_string(&self) -> bool {
        matches!(self, Self::Component(component)
            if component.carries == Carries::String && component.kind != "controller")
    }

    fn draw(&self, drawing: &mut Drawing, (x, y): (f64, f64), sizes: Sizes) {
        outline(drawing, (x, y), (sizes.width, sizes.height));
        self.symbol(drawing, (x, y), sizes.width);
        self.write(drawing, (x, y + TEXT.0), sizes.width);
    }

    /// A box over all strings, with the symbol in each.
    fn draw_in_each(&self, drawing: &mut Drawing, x: f64, sizes: Sizes, rows: &Rows) {
        let bottom = rows.bottom(rows.groups.len() - 1);
        outline(drawing, (x, TOP), (sizes.width, bottom - TOP));
        for row in rows.all() {
            self.symbol(drawing, (x, row), sizes.width);
        }
        let text = rows.bottom(0) - rows.one + TEXT.0;
        self.write(drawing, (x, text), sizes.width);
    }

    fn write(&self, drawing: &mut Drawing, (x, mut height): (f64, f64), width: f64) {
        for (index, line) in self.shown(width).into_iter().enumerate() {
            let ink = if index == 0 { Ink::Faint } else { Ink::Text };
            drawing.text((x + 8.0, height), &line, ink, style::SMALL, Across::Start);
            height += TEXT.1;
        }
    }

    fn symbol(&self, drawing: &mut Drawing, (x, y): (f64, f64), width: f64) {
        let (left, right, middle) = (x, x + width, x + width / 2.0);
        let (plus, minus) = (y + CONDUCTORS.0, y + CONDUCTORS.1);
        match self {
            Self::Battery(_) => {
                // The long plate at one end is plus, the short one at the other minus; each conductor meets its own.
                let centre = f64::midpoint(plus, minus);
                let (first, last) = (middle - 8.0, middle + 10.0);
                for path in [
                    vec![(left, plus), (first - 10.0, plus), (first - 10.0, centre), (first, centre)],
                    vec![(left, minus), (last + 10.0, minus), (last + 10.0, centre), (last, centre)],
                ] {
                    drawing.line(path, Ink::Text, 1.4, Stroke::Solid);
                }
                for (x, half) in [(first, 7.0), (first + 6.0, 3.5), (first + 12.0, 7.0), (last, 3.5)] {
                    let ends = [(x, centre - half), (x, centre + half)];
                    drawing.line(ends.to_vec(), Ink::Text, 1.8, Stroke::Solid);
                }
                sign(drawing, "+", (first - 17.0, plus - 9.0));
                sign(drawing, "\u{2212}", (last + 17.0, minus + 9.0));
            }
            Self::Component(_) | Self::Rivals(_) => {
                let (kind, poles) = match self {
                    Self::Component(component) => (component.kind.as_str(), component.poles_opened),
                    _ => ("controller", None),
                };
                let mut wire = |from: f64, to: f64, height: f64| {
                    drawing.line(vec![(from, height), (to, height)], Ink::Text, 1.4, Stroke::Solid);
                };
                match kind {
                    "controller" => {
                        wire(left, middle - 22.0, plus);
                        wire(left, middle - 22.0, minus);
                        wire(middle + 22.0, right, plus);
                        wire(middle + 22.0, right, minus);
                        let (top, bottom) = (plus - 10.0, minus + 10.0);
                        let corners = [
                            (-22.0, top),
                            (22.0, top),
                            (22.0, bottom),
                            (-22.0, bottom),
                            (-22.0, top),
                            (22.0, bottom),
                        ];
                        // The diagonal parts input from output; both sides are direct current.
                        let path = corners.map(|(dx, y)| (middle + dx, y));
                        drawing.line(path[..5].to_vec(), Ink::Text, 1.4, Stroke::Solid);
                        drawing.line(path[4..].to_vec(), Ink::Text, 1.4, Stroke::Solid);
                        drawing.text(
                            (middle + 10.0, top + 9.0),
                            "=",
                            Ink::Text,
                            style::SMALL,
                            Across::Middle,
                        );
                        drawing.text(
                            (middle - 10.0, bottom - 9.0),
                            "=",
                            Ink::Text,
                            style::SMALL,
                            Across::Middle,
                        );
                    }
                    "fuse" => {
                        wire(left, right, plus);
                        wire(left, right, minus);
                        let (half, top, bottom) = (16.0, plus - 5.0, plus + 5.0);
                        let corners =
                            [(-half, top), (half, top), (half, bottom), (-half, bottom), (-half, top)];
                        let path = corners.map(|(dx, y)| (middle + dx, y));
                        drawing.line(path.to_vec(), Ink::Text, 1.4, Stroke::Solid);
                    }
                    "connector" => {
                        for height in [plus, minus] {
                            wire(left, middle - 3.0, height);
                            wire(middle + 4.0, right, height);
                        }
                        for height in [plus, minus] {
                            for shift in [-8.0, -1.0] {
                                let tip = middle + shift + 5.0;
                                let path =
                                    [(tip - 6.0, height - 6.0), (tip, height), (tip - 6.0, height + 6.0)];
                                drawing.line(path.to_vec(), Ink::Text, 1.4, Stroke::Solid);
                            }
                        }
                    }
                    "cable" => {
                        wire(left, right, plus);
                        wire(left, right, minus);
                        let ends = [(middle - 8.0, minus + 8.0), (middle + 8.0, plus - 8.0)];
                        drawing.line(ends.to_vec(), Ink::Text, 1.4, Stroke::Solid);
                    }
                    _ => {
                        // A switching device: a blade in each conductor that it opens.
                        let opened = poles.unwrap_or(1);
                        for (index, height) in [(1, plus), (2, minus)] {
                            if index > opened {
                                wire(left, right, height);
                                continue;
                            }
                            wire(left, middle - 14.0, height);
                            wire(middle + 14.0, right, height);
                        }
                        for (index, height) in [(1, plus), (2, minus)] {
                            if index <= opened {
                                let blade = [(middle - 14.0, height), (middle + 11.0, height - 9.0)];
                                drawing.line(blade.to_vec(), Ink::Text, 1.8, Stroke::Solid);
                                drawing.dot((middle + 14.0, height), 1.8, Ink::Text);
                                if kind == "breaker" {
                                    let box_at = (middle - 3.0, height - 8.0);
                                    drawing.rect(box_at, (box_at.0 + 6.0, box_at.1 + 6.0), Ink::Text, 1.0);
                                }
                            }
                        }
                        if opened > 1 {
                            let link = [(middle, plus - 5.0), (middle, minus - 5.0)];
                            drawing.line(link.to_vec(), Ink::Faint, 1.0, Stroke::Dotted);
                        }
                    }
                }
            }
        }
    }
}

/// The groups of strings, one box below the other.
fn strings(drawing: &mut Drawing, groups: &[StringFacts], rows: &Rows, alone: bool) {
    let (left, right) = (LEFT, LEFT + STRINGS);
    for (index, group) in groups.iter().enumerate() {
        let (tops, bottom) = (&rows.groups[index], rows.bottom(index));
        outline(drawing, (left, tops[0]), (STRINGS, bottom - tops[0]));
        let count = group.panels.len();
        for row in tops {
            panels(drawing, (left + 10.0, row + 18.0), count);
            if !alone {
                leads(drawing, (left + 10.0, *row), right, count);
            }
        }
        let mut height = bottom - rows.one + TEXT.0 + 4.0;
        for text in group_lines(group).iter().flat_map(|text| two_lines(text, STRINGS - 18.0)) {
            drawing.text((left + 10.0, height), &text, Ink::Text, style::SMALL, Across::Start);
            height += TEXT.1;
        }
    }
}

/// From the panels to the right edge: plus from the last panel, minus back under them from the first.
fn leads(drawing: &mut Drawing, (x, y): (f64, f64), right: f64, count: usize) {
    let end = x + panels_width(count);
    let (plus, minus) = (y + CONDUCTORS.0, y + CONDUCTORS.1);
    for path in [
        vec![(end - 6.0, plus), (right, plus)],
        vec![
            (x + 10.0, y + 48.0),
            (x + 10.0, y + 54.0),
            (end + 4.0, y + 54.0),
            (end + 4.0, minus),
            (right, minus),
        ],
    ] {
        drawing.line(path, Ink::Text, 1.4, Stroke::Solid);
    }
    sign(drawing, "+", (right - 10.0, plus - 9.0));
    sign(drawing, "\u{2212}", (right - 10.0, minus + 9.0));
}

/// Which conductor is which.
fn sign(drawing: &mut Drawing, text: &str, at: (f64, f64)) {
    drawing.text(at, text, Ink::Text, style::NORMAL, Across::Middle);
}

fn group_lines(group: &StringFacts) -> [String; 3] {
    let first = group.panels.first().map_or("", String::as_str);
    let panels = if group.panels.iter().all(|panel| panel == first) {
        format!("{} x {first} in series", group.panels.len())
    } else {
        group.panels.join(" + ")
    };
    let strings = match group.in_parallel {
        1 => "one string".to_owned(),
        strings if strings > DRAWN => format!("{strings} strings in parallel ({DRAWN} drawn)"),
        strings => format!("{strings} strings in parallel"),
    };
    [
        clean::line(&panels),
        format!("{strings}, {}", clean::line(&group.mount)),
        format!("{}, {} each", show::volts(group.voc_v), show::amps(group.isc_a)),
    ]
}

/// Panels drawn side by side; more than five become four and an ellipsis.
const PANELS: usize = 5;

fn panels_width(count: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most five")]
    {
        count.min(PANELS) as f64 * 26.0
    }
}

fn panels(drawing: &mut Drawing, (x, y): (f64, f64), count: usize) {
    for index in 0..count.min(PANELS) {
        #[expect(clippy::cast_precision_loss, reason = "at most five")]
        let left = x + index as f64 * 26.0;
        if count > PANELS && index == PANELS - 1 {
            drawing.text((left + 10.0, y + 15.0), "…", Ink::Text, style::NORMAL, Across::Middle);
            continue;
        }
        if index > 0 {
            // In series: each joined to the one before it.
            drawing.line(vec![(left - 6.0, y + 15.0), (left, y + 15.0)], Ink::Text, 1.4, Stroke::Solid);
        }
        drawing.rect((left, y), (left + 20.0, y + 30.0), Ink::Step4, 1.0);
        drawing.rect((left + 1.5, y + 1.5), (left + 18.5, y + 28.5), Ink::Step1, 1.0);
        let chevron = [(left + 1.5, y + 1.5), (left + 10.0, y + 12.0), (left + 18.5, y + 1.5)];
        drawing.line(chevron.to_vec(), Ink::Step4, 1.4, Stroke::Solid);
    }
}

fn outline(drawing: &mut Drawing, (x, y): (f64, f64), (width, height): (f64, f64)) {
    let corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)];
    drawing.line(corners.to_vec(), Ink::Axis, 1.0, Stroke::Solid);
}

/// The text in lines of a width, broken between words; a word that is too long is cut.
fn wrapped(text: &str, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in whole_words(text) {
        let word = word.as_str();
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match longer.filter(|longer| text_width(longer, style::SMALL) <= width) {
            Some(longer) => {
                lines.pop();
                lines.push(longer);
            }
            None => lines.push(fitting(word, style::SMALL, width)),
        }
    }
    lines
}

/// The same in two lines at most.
fn two_lines(text: &str, width: f64) -> Vec<String> {
    let mut lines = wrapped(text, width);
    if lines.len() > 2 {
        let rest = lines[1..].join(" ");
        lines.truncate(1);
        lines.push(fitting(&rest, style::SMALL, width));
    }
    lines
}

/// Words, a number kept with its unit.
fn whole_words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in clean::line(text).split_whitespace() {
        let unit = word.trim_end_matches([',', '.', ';']);
        match words.last_mut() {
            Some(number)
                if matches!(unit, "V" | "A" | "mm2" | "AWG" | "°C")
                    && number.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                number.push(' ');
                number.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

fn description(facts: &ArrayFacts, chain: &[Part<'_>], largest: &str) -> String {
    let groups: Vec<String> =
        facts.wiring.strings.iter().map(|group| group_lines(group).join(", ")).collect();
    let parts: Vec<String> = chain
        .iter()
        .map(|part| {
            let lines = part.lines();
            let (kind, rest) =
                lines.split_first().map_or(("", [].as_slice()), |(kind, rest)| (kind.as_str(), rest));
            if rest.is_empty() { kind.to_owned() } else { format!("{kind} ({})", rest.join(", ")) }
        })
        .collect();
    let onward = if parts.is_empty() { String::new() } else { format!("; then {}", parts.join(", ")) };
    format!("Panels: {}{onward}. At the array: {largest}.", groups.join("; "))
}
