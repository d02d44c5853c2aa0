//! The report in a real browser: no console message, prints without splitting a chart, no accessibility violation.
//!
//! Needs Chromium; the test of printing needs pdftotext (poppler) besides, the one of accessibility a copy of
//! axe-core's `axe.min.js` (from the npm registry) named by the variable AXE_CORE_JS. Where one is missing the test
//! says so and is skipped.
#![expect(clippy::unwrap_used)]

mod invented;

use dawnvolt::report::{self, charts};
use invented::{Size, assessment};
use std::path::Path;
use std::process::{Command, Output};

/// The browser's name where it is installed.
fn browser() -> Option<&'static str> {
    let found = ["chromium", "chromium-browser"].into_iter().find(|name| {
        Command::new(name).arg("--version").output().is_ok_and(|output| output.status.success())
    });
    if found.is_none() {
        eprintln!("skipped: no chromium on the path");
    }
    found
}

/// Runs the browser without a window and without a network.
fn run(browser: &str, folder: &Path, arguments: &[&str], page: &str) -> Output {
    std::fs::write(folder.join("page.html"), page).unwrap();
    Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"])
        .args(["--disable-background-networking", "--disable-component-update", "--enable-logging=stderr"])
        .args(["--host-resolver-rules=MAP * ~NOTFOUND", "--virtual-time-budget=20000"])
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .args(arguments)
        .arg(format!("file://{}", folder.join("page.html").display()))
        .output()
        .unwrap()
}

fn console(output: &Output) -> Vec<String> {
    let text = String::from_utf8_lossy(&output.stderr);
    text.lines().filter(|line| line.contains("CONSOLE")).map(str::to_owned).collect()
}

fn page(size: Size) -> String {
    let results = assessment(size);
    report::html(&results, &charts::all(&results).unwrap())
}

#[test]
fn the_report_opens_without_a_console_message() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let html = page(Size::default());
    let output = run(browser, folder.path(), &["--dump-dom"], &html);
    assert_eq!(console(&output), Vec::<String>::new());
    let dom = String::from_utf8_lossy(&output.stdout);
    assert!(dom.contains("Winter loop of the library van") && dom.contains("id=\"cautions\""));
    // The same check notices a page that asks for something from outside.
    let asking = html.replace("</main>", "<img src=\"https://example.invalid/x.png\" alt=\"\"></main>");
    assert!(!console(&run(browser, folder.path(), &["--dump-dom"], &asking)).is_empty());
}

/// The browser, and the committed report of the demo to print; `None` where a print cannot be read.
fn printer() -> Option<(&'static str, String)> {
    let browser = browser()?;
    if Command::new("pdftotext").arg("-v").output().is_err() {
        eprintln!("skipped: no pdftotext on the path");
        return None;
    }
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/demo/report.html");
    Some((browser, std::fs::read_to_string(demo).unwrap()))
}

#[test]
fn printing_splits_no_chart() {
    let Some((browser, demo)) = printer() else { return };
    let invented = page(Size::default());
    for (paper, html, most) in [("A4", &demo, 11), ("letter", &demo, 11), ("A4", &invented, 16)] {
        let folder = tempfile::tempdir().unwrap();
        let sized = html.replace("@page{", &format!("@page{{size:{paper};"));
        let pdf = folder.path().join("report.pdf");
        let print = format!("--print-to-pdf={}", pdf.display());
        run(browser, folder.path(), &["--no-pdf-header-footer", &print], &sized);
        let text = Command::new("pdftotext").arg("-layout").arg(&pdf).arg("-").output().unwrap();
        let text = String::from_utf8_lossy(&text.stdout).into_owned();
        let pages: Vec<&str> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
        // What a client reads: with three stops no more than this.
        assert!((6..=most).contains(&pages.len()), "{paper}: {} pages", pages.len());
        for heading in
            ["Label for the box", "Commissioning card", "To check by hand", "Cautions", "Inputs as typed"]
        {
            assert!(text.lines().any(|line| line.trim() == heading), "{paper}: {heading}");
        }
        // A heading stands with its table, and a chart that is not printed is named in words.
        let with = |heading: &str, row: &str| {
            pages.iter().any(|page| page.lines().any(|line| line.trim() == heading) && page.contains(row))
        };
        assert!(with("Limits", "Decides"), "{paper}: Limits without its table");
        let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            one_line.contains("in the folder charts: Worst week at")
                && !one_line.contains("or the files in charts/"),
            "{paper}"
        );
        assert!(
            one_line.contains("(not printed: see report.html on a screen, or charts/departure.png)"),
            "{paper}"
        );
        // A box that says how a part breaks stands whole on one page: from its name to the longest run.
        if html.contains("Winter loop of the Tin Heron") {
            let first = pages.iter().find(|page| page.contains("Exceeded by the code sum: 52.7 V")).unwrap();
            assert!(first.contains("Longest in one go, in sudden sun"), "{paper}: the first box is split");
        }
        // The top line and the bottom line of a chart stand on one page, and so does the text below it.
        for (top, bottom) in [
            ("Worst week at", "local time of the place, UTC"),
            ("Sudden sun through the year", "largest of the whole record in five days"),
            ("How many in series", "volts of one string, V"),
            ("Lowest air temperature of each season", "season"),
        ] {
            // A title begins its line; the same words in a link do not.
            let on = |text: &str| -> Vec<usize> {
                let begins = |page: &&str| page.lines().any(|line| line.trim_start().starts_with(text));
                (0..pages.len()).filter(|&page| begins(&pages[page])).collect()
            };
            let (tops, bottoms) = (on(top), on(bottom));
            assert!(!tops.is_empty(), "{paper}: no page holds {top}");
            assert!(
                tops.iter().all(|page| bottoms.contains(page)),
                "{paper}: {top} on {tops:?}, its foot on {bottoms:?}"
            );
        }
    }
}

/// The charts of a page without what stands around them, and a word in letters of 7.5 points.
fn charts_alone(page: &str) -> String {
    let head = page.split("<body").next().unwrap();
    let figures: Vec<String> = page
        .split("<figure")
        .skip(1)
        .map(|part| {
            format!(
                "<figure{}</figure>",
                part.split("<figcaption").next().unwrap().split("</figure>").next().unwrap()
            )
        })
        .map(|figure| figure.replacen("chart aside", "chart", 1))
        .collect();
    assert!(figures.len() > 8, "{} charts", figures.len());
    format!(
        "{head}<body><p style=\"font:7.5pt/1.2 sans-serif\">Yardstick</p>{}</body></html>",
        figures.join("\n")
    )
}

/// Every word of the PDF with the height of its box: that of its letters from the deepest to the highest, whatever they are.
fn word_heights(pdf: &Path) -> Vec<(String, f64)> {
    let boxes = Command::new("pdftotext").arg("-bbox").arg(pdf).arg("-").output().unwrap();
    let boxes = String::from_utf8_lossy(&boxes.stdout).into_owned();
    let number = |line: &str, name: &str| -> f64 {
        let rest = line.split_once(&format!("{name}=\"")).unwrap().1;
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let words = boxes.lines().filter(|line| line.trim_start().starts_with("<word"));
    words
        .map(|line| {
            let word = line.split_once('>').unwrap().1.split("</word>").next().unwrap();
            (word.to_owned(), number(line, "yMax") - number(line, "yMin"))
        })
        .collect()
}

/// The smallest letters that read well on paper: 7.5 points (common practice, no source).
#[test]
fn chart_letters_are_large_enough_on_paper() {
    let Some((browser, demo)) = printer() else { return };
    let invented = page(Size { stops: 12, seasons: 60, limits: 6 });
    for (paper, html) in [("A4", &demo), ("letter", &demo), ("A4", &invented)] {
        let charts = charts_alone(html);
        // The box of a turned word lies on its side.
        let turned: Vec<&str> = charts
            .split("<text")
            .filter(|part| part.split('>').next().unwrap().contains("transform="))
            .flat_map(|part| part.split_once('>').unwrap().1.split('<').next().unwrap().split_whitespace())
            .collect();
        let folder = tempfile::tempdir().unwrap();
        let sized = charts.replace("@page{", &format!("@page{{size:{paper};"));
        let pdf = folder.path().join("charts.pdf");
        run(
            browser,
            folder.path(),
            &["--no-pdf-header-footer", &format!("--print-to-pdf={}", pdf.display())],
            &sized,
        );
        let words = word_heights(&pdf);
        let yardstick = words.iter().find(|(word, _)| word == "Yardstick").unwrap().1;
        let level = || words.iter().filter(|(word, _)| !turned.contains(&word.as_str()));
        assert!(level().count() > 200, "{paper}: {} words", level().count());
        for (word, height) in level() {
            assert!(
                *height >= yardstick - 0.01,
                "{paper}: '{word}' is {height:.2} high, 7.5 points are {yardstick:.2}"
            );
        }
    }
}

#[test]
fn no_accessibility_violation() {
    let Some(browser) = browser() else { return };
    let Some(script) = std::env::var_os("AXE_CORE_JS").and_then(|path| std::fs::read_to_string(path).ok())
    else {
        eprintln!("skipped: AXE_CORE_JS names no readable copy of axe-core's axe.min.js");
        return;
    };
    let html = page(Size { stops: 3, seasons: 25, limits: 6 });
    let policy = html.find("<meta http-equiv=\"Content-Security-Policy\"").unwrap();
    let end = policy + html[policy..].find('>').unwrap() + 1;
    let open = format!("{}{}", &html[..policy], &html[end..]);
    let script = script.replace("</script", "<\\/script");
    let violations = |page: &str, arguments: &[&str]| -> String {
        let folder = tempfile::tempdir().unwrap();
        let ask = "axe.run().then(r=>{document.title='AXE['+r.violations.map(v=>v.impact+' '+v.id).join('|')+']AXE'})";
        let page =
            page.replace("</body>", &format!("<script>{script}</script><script>{ask}</script></body>"));
        let output = run(browser, folder.path(), arguments, &page);
        let dom = String::from_utf8_lossy(&output.stdout).into_owned();
        let start = dom.find("<title>AXE[").expect("the checker ran") + 11;
        dom[start..start + dom[start..].find("]AXE").unwrap()].to_owned()
    };
    for arguments in [
        &["--dump-dom", "--window-size=1280,1000"][..],
        &["--dump-dom", "--window-size=500,1000"],
        &["--dump-dom", "--blink-settings=preferredColorScheme=0"],
    ] {
        assert_eq!(violations(&open, arguments), "", "{arguments:?}");
    }
    // The same check notices a picture without a text.
    let broken = open.replace("</main>", "<img src=\"data:,\"></main>");
    assert!(violations(&broken, &["--dump-dom"]).contains("image-alt"));
}
