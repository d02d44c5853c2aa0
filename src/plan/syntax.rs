//! What is meant where a plan is no TOML: the slips of people who type one twice a year.

use super::draft::{Draft, MOST_FAULTS};
use super::fault::quoted;
use super::given::number_meant;
use super::keys::{Holds, PLAN, TABLES};
use super::printed::Printed;
use super::starter::YOURS;
use std::ops::Range;

/// What a text without any plan in it looks like, with advice; `None` where it may be a plan with slips.
pub(super) fn other_document(text: &str) -> Option<(&'static str, &'static str)> {
    const WEATHER: &str =
        "to see what is in a weather file: dawnvolt weather FILE; a plan names it with: weather = \"FILE\"";
    let text = text.trim_start_matches('\u{feff}');
    let mut lines =
        text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#')).peekable();
    let Some(first) = lines.peek() else {
        return Some(("the file is empty", "to write a starter plan: dawnvolt new DIR"));
    };
    if first.starts_with('{') {
        return Some((
            "this looks like JSON",
            "rewrite it as TOML; dawnvolt new DIR writes a plan to start from",
        ));
    }
    if first.starts_with('<') {
        return Some((
            "this looks like a web page",
            "the download may have saved an error page; name the plan itself",
        ));
    }
    let separators = first.matches([',', ';', '\t']).count();
    let is_rows_of_numbers = first.split_whitespace().filter(|part| part.parse::<f64>().is_ok()).count() >= 5;
    let has_equals_sign = lines.take(40).any(|line| line.contains('='));
    match (has_equals_sign, separators >= 2 || is_rows_of_numbers) {
        (true, _) => None,
        (false, true) => Some(("this looks like a table of weather", WEATHER)),
        (false, false) => {
            Some(("this is a text without any \"key = value\"", "to write a starter plan: dawnvolt new DIR"))
        }
    }
}

/// Adds a fault for each line that the parser could not read. A slip may make later lines unreadable too, so only
/// the first is told unless the others are slips of a known kind themselves.
pub(super) fn explain(text: &str, errors: &[toml::de::Error], draft: &mut Draft<'_>) {
    let mut lines_told: Vec<usize> = Vec::new();
    // the header of a second table of that name has been told: its keys are twins for that reason alone
    let mut in_twin = false;
    for (index, error) in errors.iter().take(MOST_FAULTS).enumerate() {
        let span = error.span().unwrap_or(0..0);
        let line = Line::at(text, span.start);
        let is_duplicate = error.message().contains("duplicate key");
        let is_header = line.text.trim_start().starts_with('[');
        if lines_told.contains(&line.start) || (in_twin && is_duplicate && !is_header) {
            continue;
        }
        in_twin = is_duplicate && (is_header || in_twin);
        let slip = slip(&line, text, &span, error.message());
        if index > 0 && slip.is_none() {
            continue;
        }
        lines_told.push(line.start);
        let (span, message) = slip.unwrap_or_else(|| {
            (span, format!("this line cannot be read as TOML: {}; compare it with a line of the starter plan (dawnvolt new DIR)", error.message()))
        });
        draft.fault(span, message);
    }
}

/// One line of the text, around a fault.
struct Line<'t> {
    /// Byte at which it starts.
    start: usize,
    /// Its text, without the end of line and without a comment.
    text: &'t str,
}

impl<'t> Line<'t> {
    fn at(text: &'t str, byte: usize) -> Self {
        let mut byte = byte.min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        // an error "at the end of the line" may point behind its line break
        if byte > 0 && byte == text.len() && text.ends_with('\n') {
            byte -= 1;
        }
        let start = text[..byte].rfind('\n').map_or(0, |i| i + 1);
        let end = text[byte..].find('\n').map_or(text.len(), |i| byte + i);
        Self { start, text: without_comment(text[start..end].trim_end_matches('\r')) }
    }

    /// The key and the bytes of the value's text, where the line has the form `key = value`.
    fn pair(&self) -> Option<(&'t str, &'t str, Range<usize>)> {
        let (key, value) = self.text.split_once('=')?;
        let from = self.start + key.len() + 1 + (value.len() - value.trim_start().len());
        let value = value.trim();
        Some((key.trim(), value, from..from + value.len()))
    }

    fn whole(&self) -> Range<usize> {
        let lead = self.text.len() - self.text.trim_start().len();
        self.start + lead..self.start + self.text.trim_end().len().max(lead)
    }

    fn find(&self, wanted: impl Fn(char) -> bool) -> Option<Range<usize>> {
        let (at, c) = self.text.char_indices().find(|(_, c)| wanted(*c))?;
        Some(self.start + at..self.start + at + c.len_utf8())
    }
}

/// The line up to a # that stands outside straight quotes.
fn without_comment(line: &str) -> &str {
    let mut open: Option<char> = None;
    for (at, c) in line.char_indices() {
        match (open, c) {
            (None, '"' | '\'') => open = Some(c),
            (Some(quote), _) if quote == c => open = None,
            (None, '#') => return line[..at].trim_end(),
            _ => {}
        }
    }
    line
}

const CURLY: [char; 8] = ['“', '”', '„', '‟', '‘', '’', '«', '»'];

fn slip(line: &Line<'_>, text: &str, span: &Range<usize>, message: &str) -> Option<(Range<usize>, String)> {
    letters(line)
        .or_else(|| list_above(line, text, message))
        .or_else(|| header(line, text, message))
        .or_else(|| duplicate(text, span, message))
        .or_else(|| match line.pair() {
            Some((key, value, at)) => value_slip(key, value, at, message),
            None => no_pair(line),
        })
}

/// Letters that look like those of TOML and are not.
fn letters(line: &Line<'_>) -> Option<(Range<usize>, String)> {
    if let Some(at) = line.find(|c| CURLY.contains(&c)) {
        let straight: String =
            line.text.trim().chars().map(|c| if CURLY.contains(&c) { '"' } else { c }).collect();
        return Some((
            at,
            format!(
                "found a curly quote, as word processors and phones make them; expected straight quotes; write: {straight}"
            ),
        ));
    }
    let outside_of_quotes = line.text.split('"').next().unwrap_or_default();
    if let Some(at) = line
        .find(|c| matches!(c, '\u{2212}' | '\u{2013}' | '\u{2014}'))
        .filter(|at| at.start < line.start + outside_of_quotes.len())
    {
        return Some((
            at,
            "found a long dash or a printed minus sign; expected the minus of the keyboard: -".to_owned(),
        ));
    }
    if let Some(at) = line
        .find(|c| c.is_whitespace() && !matches!(c, ' ' | '\t' | '\r'))
        .filter(|at| at.start < line.start + outside_of_quotes.len())
    {
        return Some((
            at,
            "found a blank that is no ordinary space, as web pages hold them; delete it and type a space"
                .to_owned(),
        ));
    }
    if let Some(at) = line.find(|c| c == '\r') {
        return Some((at, "found a line end of an old kind (CR alone); in your editor, save the file with the line ends of Windows or Unix".to_owned()));
    }
    line.find(|c| c.is_control() && c != '\t').map(|at| {
        (at, "found a control character that cannot be seen; delete it, or type the line anew".to_owned())
    })
}

/// A list that was begun on a line above and does not end.
fn list_above(line: &Line<'_>, text: &str, message: &str) -> Option<(Range<usize>, String)> {
    if !message.contains("array element") || line.text.contains(']') {
        return None;
    }
    let mut start = line.start;
    let mut found = None;
    while start > 0 {
        let above = Line::at(text, start - 1);
        start = above.start;
        if let Some((key, value, at)) = above.pair() {
            found = (value.starts_with('[') && !value.contains(']')).then_some((key, at));
            break;
        }
    }
    found.map(|(key, at)| {
        (at, format!("the list of `{key}` begins with [ and does not end; expected ] behind its last entry"))
    })
}

/// A table's line with the wrong brackets.
fn header(line: &Line<'_>, text: &str, message: &str) -> Option<(Range<usize>, String)> {
    let trimmed = line.text.trim();
    if !trimmed.starts_with('[') || line.pair().is_some_and(|(key, ..)| !key.starts_with('[')) {
        return None;
    }
    // inside a list that runs over several lines a [ begins another list
    if text[..line.start].trim_end().ends_with([',', '[']) {
        return None;
    }
    let name = trimmed.trim_matches(['[', ']', ' ', '\t']);
    let expected = match PLAN.key(name).map(|key| key.holds) {
        Some(Holds::Inner(table) | Holds::Repeated(table)) => table.header.to_owned(),
        _ if name == "stop.columns" => "[stop.columns]".to_owned(),
        _ => format!("[{name}] or [[{name}]]"),
    };
    if message.contains("duplicate") {
        let why = if expected.starts_with("[[") {
            format!("several are written with two brackets each: {expected}")
        } else {
            "a plan has only one; put its lines together".to_owned()
        };
        return Some((
            line.whole(),
            format!("found {trimmed} a second time, or with other brackets than before; {why}"),
        ));
    }
    Some((
        line.whole(),
        format!(
            "found {}; expected a line of its own with as many brackets at the end as at the beginning; write: {expected}",
            quoted(trimmed)
        ),
    ))
}

/// A key that stands twice.
fn duplicate(text: &str, span: &Range<usize>, message: &str) -> Option<(Range<usize>, String)> {
    if !message.contains("duplicate key") {
        return None;
    }
    let name = text.get(span.clone()).unwrap_or_default();
    let header = text[..span.start].lines().rev().map(str::trim).find(|line| line.starts_with('['));
    let (place, step) = match header {
        Some(header) if header.starts_with("[[") => (
            format!("below one {header}"),
            format!("keep one of the two; if another one begins here, put a line {header} before it"),
        ),
        Some(header) => (format!("below {header}"), "keep one of the two".to_owned()),
        None => ("at the top of the plan".to_owned(), "keep one of the two".to_owned()),
    };
    Some((span.clone(), format!("found `{name}` twice {place}; {step}")))
}

/// A line without an equals sign.
fn no_pair(line: &Line<'_>) -> Option<(Range<usize>, String)> {
    let trimmed = line.text.trim();
    if trimmed.is_empty() {
        return None;
    }
    if trimmed.starts_with("//")
        || trimmed.starts_with(';')
        || trimmed.starts_with("--")
        || trimmed.starts_with("/*")
    {
        return Some((
            line.whole(),
            "found a remark in the form of another language; a remark begins with #".to_owned(),
        ));
    }
    let key_end = trimmed.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '-'));
    let (key, rest) = trimmed.split_at(key_end.unwrap_or(trimmed.len()));
    let value = rest.trim_start_matches([':', ' ', '\t']);
    if !key.is_empty() && !value.is_empty() && rest.starts_with([':', ' ', '\t']) {
        return Some((
            line.whole(),
            format!("found no equals sign; expected key = value; write: {key} = {value}"),
        ));
    }
    let closes_or_opens_a_list = trimmed.starts_with(['[', ']', '"', '\'', '{', '}']);
    (!closes_or_opens_a_list).then(|| {
        (
            line.whole(),
            format!(
                "found {}; expected key = value, a table in brackets, or a remark that begins with #",
                quoted(trimmed)
            ),
        )
    })
}

/// A value that TOML does not know.
fn value_slip(key: &str, value: &str, at: Range<usize>, message: &str) -> Option<(Range<usize>, String)> {
    let simple_key = key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if !simple_key || key.is_empty() {
        let fixed: Vec<&str> = key.split_whitespace().collect();
        return Some((
            at.start.saturating_sub(1)..at.start,
            format!(
                "found {} before the equals sign; expected one name of letters, digits and _, and each key on a line of its own; perhaps {} is meant",
                quoted(key),
                quoted(&fixed.join("_"))
            ),
        ));
    }
    if value.is_empty() {
        return Some((
            at,
            format!("`{key}` has no value; write one behind the equals sign, or put # before the line"),
        ));
    }
    if value.starts_with(['"', '['])
        && value.contains('\\')
        && (message.contains("escape") || message.contains("unicode"))
    {
        let slashes = value.replace("\\\\", "\\").replace('\\', "/");
        return Some((
            at,
            format!(
                "found a backslash inside double quotes, where it begins a special sign; write the path with forward slashes: {key} = {slashes}"
            ),
        ));
    }
    let opens = value.chars().next().filter(|c| matches!(c, '"' | '\''));
    if let Some(quote) = opens {
        let inner = &value[1..];
        return match inner.find(quote) {
            None => Some((
                at,
                format!(
                    "found a text that begins with {quote} and does not end; expected the same sign at its end: {key} = {value}{quote}"
                ),
            )),
            Some(end) => {
                let behind = inner[end + 1..].trim();
                (!behind.is_empty()).then(|| {
                    let start = at.end - behind.len();
                    (start..at.end, behind_value(key, &value[..end + 2], behind))
                })
            }
        };
    }
    if value.starts_with('[') || value.starts_with('{') {
        let (open, close) = if value.starts_with('[') { ('[', ']') } else { ('{', '}') };
        if message.contains("comma") {
            return Some((
                at,
                format!("a comma is missing between two entries of {open}{close}: {key} = {value}"),
            ));
        }
        return (value.matches(open).count() != value.matches(close).count()).then(|| {
            (
                at,
                format!(
                    "found {open} without its {close}; check the brackets, and the commas between the entries"
                ),
            )
        });
    }
    bare_value(key, value, at)
}

/// A value without quotes.
fn bare_value(key: &str, value: &str, at: Range<usize>) -> Option<(Range<usize>, String)> {
    if value == YOURS {
        let known = TABLES.iter().find_map(|table| table.key(key));
        let form =
            known.map_or_else(String::new, |known| format!(", in the form of {key} = {}", known.example));
        return Some((
            at,
            format!(
                "found {YOURS}, which stands for what you know; write yours{form}, or put # before the line again"
            ),
        ));
    }
    if let Some(printed) = Printed::read(value).filter(|_| key == "max_v") {
        return Some((at, format!("found {}; {}", quoted(value), printed.step())));
    }
    let unended = value.trim_end_matches([';', ',']);
    if unended.len() < value.len() && unended.parse::<f64>().is_ok() {
        return Some((
            at,
            format!(
                "found a {} at the end of the line; TOML has none; write: {key} = {unended}",
                &value[unended.len()..]
            ),
        ));
    }
    if value.starts_with(|c: char| c.is_ascii_digit()) {
        let parts: Vec<&str> = value.split(['-', '/', '.']).filter(|part| !part.is_empty()).collect();
        let is_day = (2..=3).contains(&parts.len())
            && parts.iter().all(|part| part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit()))
            && value.contains(['-', '/'])
            || parts.len() == 3 && value.matches('.').count() >= 2;
        if is_day {
            return Some((
                at,
                format!(
                    "found {value}; a day without a year stands in quotes, month first: {key} = \"12-20\" is 20 December"
                ),
            ));
        }
    }
    if let Some(number) = number_meant(value) {
        let what = if value.contains(',') && !value.contains('.') {
            "a comma as the decimal sign; expected a point"
        } else if value.ends_with(|c: char| !c.is_ascii_digit() && c != '.') {
            "a unit behind the number; expected the number alone, since the key says the unit"
        } else {
            "a number in a form that TOML does not have"
        };
        return Some((at, format!("found {what}; write: {key} = {number}")));
    }
    match value.to_lowercase().as_str() {
        "yes" | "on" | "true" => return Some((at, format!("found {value}; write: {key} = true"))),
        "no" | "off" | "false" => return Some((at, format!("found {value}; write: {key} = false"))),
        _ => {}
    }
    let (word, behind) = value.split_once([' ', '\t']).unwrap_or((value, ""));
    if behind.contains('=') && (word.parse::<f64>().is_ok() || matches!(word, "true" | "false")) {
        return Some((
            at,
            format!("found two keys on one line; begin a new line before {}", quoted(behind.trim())),
        ));
    }
    if value.starts_with(|c: char| c.is_alphabetic()) && !value.contains('"') {
        return Some((at, format!("found a text without quotes; write: {key} = \"{value}\"")));
    }
    if value.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.')) {
        return Some((
            at,
            format!(
                "found {}, which is no number of TOML; expected digits with a point and no unit, like 22.5; a text needs straight quotes",
                quoted(value)
            ),
        ));
    }
    None
}

fn behind_value(key: &str, value: &str, behind: &str) -> String {
    if behind == ";" || behind == "," {
        return format!("found a {behind} at the end of the line; TOML has none; write: {key} = {value}");
    }
    if behind.starts_with("//") || behind.starts_with("--") {
        return format!(
            "found a remark in the form of another language; a remark begins with #: {key} = {value}  # ..."
        );
    }
    if behind.contains('=') {
        return format!("found two keys on one line; begin a new line before {}", quoted(behind));
    }
    if behind.starts_with(',') {
        return format!("found several texts; a list stands in square brackets: {key} = [{value}{behind}]");
    }
    format!(
        "found {} behind the text of `{key}`; expected the end of the line; a quote inside a text must differ from those around it",
        quoted(behind)
    )
}
