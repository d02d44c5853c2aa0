//! Text that others wrote (titles, names, file names) made safe for each sink.

/// Whether a character steers a terminal, a line or the direction of text instead of being seen.
fn is_steering(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{061C}'                  // arabic letter mark
            | '\u{200B}'..='\u{200F}'   // zero widths and direction marks; no joiner is needed in names
            | '\u{2028}'..='\u{202E}'   // line and paragraph separators, embeddings and overrides
            | '\u{2060}'..='\u{206F}'   // invisible operators and isolates
            | '\u{FEFF}'
            | '\u{FFF9}'..='\u{FFFB}')
}

/// One line without characters that steer: blanks for line breaks and tabs, nothing for the rest.
pub(crate) fn line(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}') {
            out.push(' ');
        } else if !is_steering(c) {
            out.push(c);
        }
    }
    out
}

/// The same with its line breaks and tabs kept, for text that is shown as typed.
#[must_use]
pub fn block(text: &str) -> String {
    text.replace("\r\n", "\n").chars().filter(|&c| matches!(c, '\n' | '\t') || !is_steering(c)).collect()
}

/// A JSON document with steering characters written as escapes, so that they read the same and steer nothing. The
/// format itself asks for that below U+0020 only; line breaks between its parts stay.
pub(crate) fn json(text: String) -> String {
    let steers = |c: char| is_steering(c) && c != '\n';
    if !text.contains(steers) {
        return text;
    }
    let mut out = String::with_capacity(text.len() + 64);
    for c in text.chars() {
        if steers(c) {
            let mut units = [0_u16; 2];
            for unit in c.encode_utf16(&mut units) {
                out.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            out.push(c);
        }
    }
    out
}

/// A cell of text for a CSV: [`line`], and an apostrophe before what a spreadsheet would take for a formula.
pub(crate) fn cell(text: &str) -> String {
    let mut clean = line(text);
    // A full-width sign counts too: some spreadsheets fold it to the plain one.
    if clean.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        clean.insert(0, '\'');
    }
    clean
}

/// At most `most` characters, with an ellipsis where something was cut.
pub(crate) fn short(text: &str, most: usize) -> String {
    let clean = line(text);
    if clean.chars().count() <= most {
        return clean;
    }
    let mut cut: String = clean.chars().take(most.saturating_sub(1)).collect();
    cut.truncate(cut.trim_end().len());
    cut.push('…');
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_is_gone_and_what_reads_stays() {
        assert_eq!(line("a\u{1b}[31mb\u{7}\r\nc\td"), "a[31mb  c d");
        assert_eq!(block("a = 1\r\n\tb\u{0}"), "a = 1\n\tb");
        assert_eq!(line("Añasco \u{202E}evil\u{2066} 🚐 שלום"), "Añasco evil 🚐 שלום");
    }

    #[test]
    fn json_reads_the_same_and_steers_nothing() {
        let text = serde_json::to_string_pretty(&["a\u{1b}[2J\u{9b}31m\u{202e}b\n", "c"]).unwrap_or_default();
        let safe = json(text.clone());
        assert!(!safe.contains(['\u{1b}', '\u{9b}', '\u{202e}']), "{safe}");
        let read = |text: &str| serde_json::from_str::<Vec<String>>(text).ok();
        assert_eq!(read(&safe), read(&text));
        assert!(read(&safe).is_some());
    }

    #[test]
    fn messages_keep_their_lines() {
        assert_eq!(block("a\u{1b}]0;x\u{7}\r\n\tb\u{9b}1m\n"), "a]0;x\n\tb1m\n");
    }

    #[test]
    fn no_cell_is_a_formula() {
        for text in ["=1+1", "+1", "-1", "@x", "  =x", "\t=x", "＝x"] {
            assert!(cell(text).starts_with('\''), "{text:?}");
        }
        assert_eq!(cell("roof = 3"), "roof = 3");
    }

    #[test]
    fn long_names_end_in_an_ellipsis() {
        assert_eq!(short("Juniper Flat", 20), "Juniper Flat");
        assert_eq!(short("Juniper Flat", 9), "Juniper…");
    }
}
