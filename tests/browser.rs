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

#[test]
fn printing_splits_no_chart() {
    let Some(browser) = browser() else { return };
    if Command::new("pdftotext").arg("-v").output().is_err() {
        eprintln!("skipped: no pdftotext on the path");
        return;
    }
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/demo/report.html");
    let demo = std::fs::read_to_string(demo).unwrap();
    let invented = page(Size::default());
    for (paper, html) in [("A4", &demo), ("letter", &demo), ("A4", &invented)] {
        let folder = tempfile::tempdir().unwrap();
        let sized = html.replace("@page{", &format!("@page{{size:{paper};"));
        let pdf = folder.path().join("report.pdf");
        let print = format!("--print-to-pdf={}", pdf.display());
        run(browser, folder.path(), &["--no-pdf-header-footer", &print], &sized);
        let text = Command::new("pdftotext").arg("-layout").arg(&pdf).arg("-").output().unwrap();
        let text = String::from_utf8_lossy(&text.stdout).into_owned();
        let pages: Vec<&str> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
        // What a client reads: with three stops no more than this.
        assert!((6..=16).contains(&pages.len()), "{paper}: {} pages", pages.len());
        // The top line and the bottom line of a chart stand on one page, and so does the text below it.
        for (top, bottom) in [
            ("Worst week at", "local time of the place, UTC"),
            ("Hours a year above a voltage", "string volts, V"),
            ("Every lit hour at", "light on the plane in sudden sun"),
            ("Sudden sun through the year", "largest of the whole record in five days"),
            ("Largest voltage of each season", "reached or passed once in so many years"),
            ("How many in series", "volts of one string, V"),
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
