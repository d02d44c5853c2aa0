//! The text of the plan to start from.

use super::answers::{Answers, literal};
use super::asked::at;
use super::stop_questions::AnsweredStop;
use crate::weather::DescribedTable;

/// The weather file that the starter plan names, seen from its folder. It is invented, and says so.
pub const STARTER_WEATHER: &str = "weather/invented-valley.csv.gz";
/// Where the starter plan's invented place lies: degrees north, degrees east, metres above the sea.
pub const STARTER_PLACE: (f64, f64, f64) = (46.0, -110.0, 1450.0);

/// What stands for a figure that only the reader knows: no value of TOML, so that nobody's invented number becomes a
/// fact by the loss of its #.
pub(super) const YOURS: &str = "...";

/// The text of a plan to start from, with remarks that say what each line is and where it comes from. With no
/// answers it is the plan that runs as it is, on the invented weather file [`STARTER_WEATHER`].
#[must_use]
pub fn starter(answers: &Answers) -> String {
    let given = |name: &str, index: usize, remark| row(&format!("{name} = {}", answers.value(index)), remark);
    let maybe = |name: &str, index: usize, remark| line(name, answers.given(index), remark);
    let parts = [
        HEAD.to_owned(),
        given("title", at::TITLE, "for the report"),
        open("prepared_for", "in quotes, like the title: who pays for it; these three stand in the report"),
        open("prepared_by", "you"),
        open("date", "such as \"2031-11-02\": typed, never taken from a clock"),
        open(
            "rules",
            "\"iec\", \"nec-2023\" or \"as-nzs\": whose clauses are cited, what may protect a cable; left out, all",
        ),
        ABOUT_PANELS.to_owned(),
        row("id = \"panel\"", "a name of your own"),
        given("voc_v", at::VOC, "(1) open-circuit voltage, Voc"),
        given("isc_a", at::ISC, "(1) short-circuit current, Isc"),
        maybe(
            "vmp_v",
            at::VMP,
            "(1) voltage at maximum power, Vmp: whether hot panels still charge hangs on it",
        ),
        maybe("imp_a", at::IMP, "(1) current at maximum power, Imp"),
        maybe(
            "voc_temp_coeff",
            at::COEFFICIENT,
            "(1) with its unit, in quotes, like \"-0.30 %/K\"; without it a steep one is taken",
        ),
        open("isc_temp_coeff", "likewise of Isc, like \"0.05 %/K\"; without it a common one is taken"),
        open("voc_tolerance_percent", "how far Voc may lie above the label, in per cent, such as 3"),
        maybe("max_series_fuse_a", at::SERIES_FUSE, "(1) largest series fuse"),
        open("max_system_v", "largest system voltage"),
        open("cells_in_series", "cells, as the label counts them"),
        ABOUT_STRINGS.to_owned(),
        row("modules = \"panel\"", "the id above"),
        given("in_series", at::IN_SERIES, "(2) panels in series: their volts add up"),
        given("in_parallel", at::IN_PARALLEL, "(2) equal strings in parallel: their amps add up"),
        ABOUT_MOUNTS.to_owned(),
        given("mount", at::MOUNT, "(2) roof, gap or frame"),
        open("tilt_deg", "degrees from flat, where the panels do not lie flat; or \"any\""),
        open("heading", "where they look then, degrees clockwise from north; or \"any\""),
        ABOUT_COMPONENTS.to_owned(),
        disconnect(answers),
        "\n".to_owned(),
        controller(answers),
        OTHER_COMPONENTS.to_owned(),
        battery(answers),
        ABOUT_STOPS.to_owned(),
        answers.stops().iter().map(stop).collect::<Vec<_>>().join("\n[[stop]]\n"),
    ];
    parts.concat()
}

/// A line with its remark in a column of its own.
fn row(line: &str, remark: &str) -> String {
    format!("{line:<28} # {remark}\n")
}

/// A line that waits as a remark for the reader's figure.
fn open(name: &str, remark: &str) -> String {
    row(&format!("# {name} = {YOURS}"), remark)
}

/// A line with its value, or one that waits for it.
fn line(name: &str, value: Option<&str>, remark: &str) -> String {
    match value {
        Some(value) => row(&format!("{name} = {value}"), remark),
        None => open(name, remark),
    }
}

const HEAD: &str = "\
# A plan for dawnvolt: your panels, what their current meets, and the places where you will stand.
# Change first what is marked: (1) the panel's label, (2) how the panels are wired, (3) what is printed on your
# disconnect and controller, (4) the place and its weather files.
# A line that begins with # is a remark and does nothing. To use one, take its # away and write your own figure in
# place of the three dots. What you do not know stays a remark: the answer says what it takes, or does not judge.
# Then type, in a terminal in this folder:   dawnvolt assess plan.toml

";

const ABOUT_PANELS: &str = "
# The panel, from the label on its back or its data sheet. One [[module]] for each kind of panel.
[[module]]
";

const ABOUT_STRINGS: &str = "
# How the panels are wired. One [[string]] for each group of equal strings. Arrays with controllers of their own:
# give each [[string]] and each [[component]] a line with the name of its array, such as array = \"left\".
[[string]]
";

const ABOUT_MOUNTS: &str = "\
# mount says how much air cools the panels: \"roof\" is glued or screwed close to the skin (the hottest in the sun, the
# coldest after a clear night), \"gap\" has 20 to 50 mm of air behind, \"frame\" is open: folding, on the ground, on a rack.
";

const ABOUT_COMPONENTS: &str = "
# What the current meets, one [[component]] each. What you have not bought yet: delete its lines, from [[component]]
# to the next empty line, and the answer says what is needed.
";

const ABOUT_STOPS: &str = "
# The places of the trip, one [[stop]] each, in their order. Weather files are public hourly records; many formats
# are known (dawnvolt weather FILE says what is in one). With arrive and leave only these days count, in every year
# of the record; the code sum, which electrical codes ask for, keeps to whole years.
[[stop]]
";

/// What a device needs to be there: with none of these keys its lines wait as remarks.
fn waits(answers: &Answers, questions: &[usize], keys: &[&str]) -> bool {
    answers.was_asked() && keys.iter().all(|key| answers.key(questions, key).is_none())
}

/// The lines as remarks, save those that are remarks already; what stands behind the second # stays in its column.
fn as_remarks(lines: &str) -> String {
    let remark = |line: &str| match line.split_once("   # ") {
        _ if line.starts_with('#') => format!("{line}\n"),
        Some((line, remark)) => format!("# {line} # {remark}\n"),
        None => format!("# {line}\n"),
    };
    lines.lines().map(remark).collect()
}

/// The disconnect; as remarks where someone was asked and has none.
fn disconnect(answers: &Answers) -> String {
    // what was said of its conductors before what its plate says of them
    const ASKED: [usize; 3] = [at::CONDUCTORS, at::DISCONNECT, at::DISCONNECT_AMPS];
    let value = |key: &str, example| match answers.was_asked() {
        true => answers.key(&ASKED, key),
        false => Some(example),
    };
    let (per_pole, ac) = (answers.key(&ASKED, "max_v_per_pole"), answers.key(&ASKED, "max_v_ac"));
    let volts = match (per_pole, ac) {
        (Some(_), _) => [
            line("max_v_per_pole", per_pole, "(3) dc volts printed on it for one pole"),
            line(
                "poles_in_series",
                answers.key(&ASKED, "poles_in_series"),
                "(3) poles wired one behind the other in one conductor: more than 1 only where you see it",
            ),
        ]
        .concat(),
        (None, Some(_)) => [
            line("max_v_ac", ac, "(3) ac volts printed on it, no dc rating"),
            open("max_v", "(3) dc volts, where they are printed too"),
        ]
        .concat(),
        (None, None) => {
            line(
                "max_v",
                value("max_v", "150"),
                "(3) dc volts printed on it, for the way it is wired; where it says \"per pole\":",
            ) + PER_POLE
        }
    };
    let lines = [
        "[[component]]\n".to_owned(),
        row("kind = \"disconnect\"", "what isolates the panels; a breaker that serves as one gets two entries, the other with kind = \"breaker\""),
        volts,
        line("rated_a", value("rated_a", "40"), "(3) amps printed on it"),
        line(
            "poles_opened",
            value("poles_opened", "2"),
            "(3) conductors that it opens at once: 2 where one handle opens plus and minus",
        ),
        open(
            "load_break",
            "true where it may be opened under load: printed on it, or in its manual; else false",
        ),
    ]
    .concat();
    if waits(answers, &ASKED, &["max_v", "max_v_per_pole", "max_v_ac", "rated_a"]) {
        as_remarks(&lines)
    } else {
        lines
    }
}

/// The other way in which volts are printed, below the first.
const PER_POLE: &str = "\
# max_v_per_pole = ...       # delete max_v and use these two: the volts of one pole, and how many poles are wired
# poles_in_series = ...      # one behind the other in one conductor, often 1
";

/// The controller; as remarks where someone was asked and has none.
fn controller(answers: &Answers) -> String {
    const ASKED: [usize; 2] = [at::CONTROLLER, at::CONTROLLER_ISC];
    let volts = match answers.was_asked() {
        true => answers.key(&ASKED, "max_v"),
        false => Some("100"),
    };
    let lines = [
        "[[component]]\n".to_owned(),
        row("kind = \"controller\"", "what charges the battery"),
        line(
            "max_v",
            volts,
            "(3) the largest PV volts in its manual; of a name like 100/30 or 100 | 30 the first",
        ),
        line(
            "max_isc_a",
            answers.key(&ASKED, "max_isc_a"),
            "(3) largest PV short-circuit amps, from its manual",
        ),
        line(
            "max_charge_a",
            answers.key(&ASKED, "max_charge_a"),
            "amps into the battery, the second number of such a name (common practice, no source)",
        ),
    ]
    .concat();
    if waits(answers, &ASKED, &["max_v"]) { as_remarks(&lines) } else { lines }
}

/// The battery; as remarks where nobody named one.
fn battery(answers: &Answers) -> String {
    const ASKED: [usize; 1] = [at::BATTERY];
    let lines = [
        "[battery]\n".to_owned(),
        line(
            "chemistry",
            answers.key(&ASKED, "chemistry"),
            "\"lfp\", \"agm\", \"gel\", \"flooded\" or \"nmc\"",
        ),
        line("nominal_v", answers.key(&ASKED, "nominal_v"), "12, 24, 36 or 48"),
        open("charge_v", "charge volts set at the controller; without it the usual ones of the kind"),
    ]
    .concat();
    let about = "\n# The battery, for the question whether hot panels still charge it.\n".to_owned();
    about + &if answers.given(at::BATTERY).is_some() { lines } else { as_remarks(&lines) }
}

/// Kinds that are often left out of a first plan, to be used by taking the marks away.
const OTHER_COMPONENTS: &str = "
# The plugs between the panels. carries says which current flows there: that of one string, or of the whole array.
# [[component]]
# kind = \"connector\"
# carries = \"string\"
# rated_a = ...              # from its data sheet
# max_v = ...                # dc volts, likewise

# The cable from the roof to the controller, where it runs hottest.
# [[component]]
# kind = \"cable\"
# carries = \"array\"          # \"string\" for the leads of one string
# mm2 = ...                  # its cross-section; or awg = ...
# insulation_c = ...         # printed on its sheath, of solar cables 90 or 120; without it its amps are not judged
# ambient_c = 65             # the air around it, under panels on a roof in the sun; about 50 in a locker; or ambient_f

# A fuse for each string, where strings stand in parallel.
# [[component]]
# kind = \"fuse\"
# carries = \"string\"
# rated_a = ...              # amps printed on it
# max_v = ...                # dc volts printed on it
";

/// A stop: the files that were named, or the invented one with its place.
fn stop(answered: &AnsweredStop) -> String {
    let (latitude, longitude, elevation) = STARTER_PLACE;
    let (latitude, longitude, elevation) =
        (format!("{latitude:.1}"), format!("{longitude:.1}"), elevation.to_string());
    // what is invented belongs to the invented place alone
    let invented = |value| answered.weather.is_none().then_some(value);
    let place = match answered.weather {
        Some(_) => row(&format!("place = {}", literal(&answered.place)), "(4) its name"),
        None => {
            row("place = \"Invented Valley\"", "(4) an invented place with invented weather: replace both")
        }
    };
    let files = answered.weather.clone().unwrap_or_else(|| literal(STARTER_WEATHER));
    let or_invented = |own: &Option<String>, value| own.clone().or_else(|| invented(value));
    [
        place,
        row(&format!("weather = [{files}]"), "(4) its files; * stands for any letters"),
        line("arrive", answered.arrive.as_deref(), "first day there, month-day in quotes: \"12-20\""),
        line("leave", answered.leave.as_deref(), "last day there, likewise"),
        line(
            "elevation_m",
            invented(elevation.clone()).as_deref(),
            "(4) where you stand, metres above the sea; without it as high as the station",
        ),
        line(
            "station_elevation_m",
            or_invented(&answered.station_height, elevation).as_deref(),
            "(4) where the weather was read; only where the file does not say",
        ),
        line(
            "latitude_deg",
            or_invented(&answered.latitude, latitude).as_deref(),
            "(4) only where the file does not say; any map shows it; south is negative",
        ),
        line(
            "longitude_deg",
            or_invented(&answered.longitude, longitude).as_deref(),
            "(4) likewise; west is negative",
        ),
        line(
            "utc_offset",
            answered.utc_offset.as_deref(),
            "your clock there, in quotes: \"-07:00\"; for days and printed times",
        ),
        answered.seen.table.as_ref().map_or_else(String::new, |table| described(table, answered)),
    ]
    .concat()
}

/// How a table of no known format is read, as it was found and told.
fn described(table: &DescribedTable, answered: &AnsweredStop) -> String {
    let clock = match (&answered.stamps, &answered.utc_offset) {
        (Some(stamps), _) => row(&format!("utc_offset = {stamps}"), "the zone of the stamps"),
        // they keep the clock above
        (None, Some(_)) => String::new(),
        (None, None) => table.open_clock.clone().unwrap_or_default(),
    };
    format!("{ABOUT_COLUMNS}{}{clock}", table.columns)
}

const ABOUT_COLUMNS: &str = "
# How the table is read, as far as it tells by itself. Check the lines that are marked with ?.
";

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::plan::keys::{Holds, PLAN, TABLES};
    use crate::plan::{Plan, QUESTIONS, Seen, read};
    use std::path::{Path, PathBuf};

    fn read_plan(text: &str) -> Result<Plan, String> {
        let find = |pattern: &str| Ok(vec![PathBuf::from(pattern)]);
        read(text, Path::new("plan.toml"), Path::new("."), &find).map_err(|error| error.to_string())
    }

    fn plan(text: &str) -> Plan {
        read_plan(text).unwrap_or_else(|error| panic!("{error}\n{text}"))
    }

    /// Any file is there.
    fn unseen(typed: &str) -> Result<Seen, String> {
        Ok(Seen { weather: typed.to_owned(), ..Seen::default() })
    }

    fn answered(typed: &[&str]) -> Answers {
        let mut answers = Answers::default();
        for (index, typed) in typed.iter().enumerate() {
            answers.take(index, typed, &unseen).unwrap_or_else(|error| panic!("{typed}: {error}"));
        }
        answers
    }

    /// The lines that wait as remarks without their mark, each with what `figure` gives for its table's header and key.
    fn used(text: &str, figure: &dyn Fn(&str, &str) -> Option<String>) -> String {
        let mut header = PLAN.header.to_owned();
        let mut out = String::new();
        for line in text.lines() {
            let bare = line.strip_prefix("# ").unwrap_or(line);
            if bare.starts_with('[') {
                header = bare.to_owned();
                out.push_str(&format!("{bare}\n"));
                continue;
            }
            let pair = bare.split_once(" = ").filter(|(key, _)| !key.contains(' '));
            match (pair, bare.len() < line.len()) {
                (Some((key, value)), true) => {
                    let own = figure(&header, key).filter(|_| value.starts_with(YOURS));
                    out.push_str(&own.map_or_else(|| format!("{bare}\n"), |own| format!("{key} = {own}\n")));
                }
                _ => out.push_str(&format!("{line}\n")),
            }
        }
        out
    }

    /// The example that the description of that key has.
    fn example(header: &str, key: &str) -> Option<String> {
        let table = TABLES.iter().find(|table| table.header == header)?;
        let known = table.key(key).unwrap_or_else(|| panic!("{header} has no {key}"));
        // the other way to say the volts, which cannot stand beside the first
        (!key.ends_with("_per_pole") && key != "poles_in_series").then(|| match known.holds {
            Holds::Text if key == "prepared_for" => "\"the client\"".to_owned(),
            _ => known.example.to_owned(),
        })
    }

    #[test]
    fn the_starter_plan_is_a_plan() {
        let plan = plan(&starter(&Answers::default()));
        assert_eq!((plan.arrays[0].modules_in_series(), plan.arrays[0].components.len()), (2, 2));
        assert_eq!(plan.stops[0].files, [PathBuf::from(STARTER_WEATHER)]);
    }

    #[test]
    fn every_line_behind_a_remark_is_good_too() {
        let text = starter(&Answers::default());
        let per_pole = ["# max_v_per_pole = ...", "# poles_in_series = ..."];
        assert!(per_pole.iter().all(|line| text.contains(line)));
        let all = used(&text, &example);
        let all: String = all
            .lines()
            .filter(|line| !line.starts_with("max_v_per_pole") && !line.starts_with("poles_in_series"))
            .map(|line| format!("{line}\n"))
            .collect();
        let whole = plan(&all);
        assert!(whole.arrays[0].battery.is_some() && whole.stops[0].window.is_some());
        assert!(whole.arrays[0].groups[0].modules[0].imp.is_some());
        assert_eq!(whole.arrays[0].components.len(), 5);
        // the other way to say the volts, as its remark tells
        let volts = "max_v = 150 ";
        let per_pole = text
            .replacen(volts, "# max_v = 150 ", 1)
            .replace(per_pole[0], "max_v_per_pole = 60 ")
            .replace(per_pole[1], "poles_in_series = 1 ");
        assert!(plan(&per_pole).arrays[0].components[0].max_v.is_none());
    }

    /// Who takes the marks away and writes nothing is told so at each line, and no invented figure becomes a fact.
    #[test]
    fn no_figure_waits_behind_a_remark() {
        for answers in [Answers::default(), answered(&[""; QUESTIONS.len()])] {
            let text = used(&starter(&answers), &|_, _| None);
            let error = read_plan(&text).unwrap_err();
            assert!(error.contains("found ..., which stands for what you know"), "{error}");
            let figures: Vec<&str> = starter(&answers)
                .lines()
                .filter_map(|line| line.strip_prefix("# ")?.split_once(" = "))
                .filter(|(key, value)| !key.contains(' ') && value.starts_with(|c: char| c.is_ascii_digit()))
                .map(|(key, _)| TABLES.iter().find_map(|table| table.key(key)).unwrap().name)
                .collect();
            // the usual air around a roof's cable is no figure of anybody's device
            assert_eq!(figures, ["ambient_c"]);
        }
    }

    #[test]
    fn answers_are_understood_as_people_type_them() {
        let answers = answered(&[
            "Tom's \"blue\" van",
            "24,3",
            "10.3 A",
            "−0,29 %/°C",
            "3",
            "",
            "Gap",
            "48",
            "",
            r"C:\weather\*.csv",
        ]);
        let plan = plan(&starter(&answers));
        assert_eq!(plan.title, "Tom's \"blue\" van");
        let label = &plan.arrays[0].groups[0].modules[0];
        assert_eq!((label.voc.0, label.isc.0, label.voc_coefficient.per_k()), (24.3, 10.3, -0.0029));
        assert_eq!(plan.arrays[0].components.len(), 1, "no controller was named");
        assert_eq!(plan.stops[0].weather, ["C:/weather/*.csv"]);
        assert_eq!(plan.stops[0].elevation_m, None, "nothing invented beside a file of one's own");
    }

    #[test]
    fn devices_and_battery_stand_as_they_were_answered() {
        let mut typed = vec![""; QUESTIONS.len()];
        typed[at::DISCONNECT] = "60 V per pole";
        typed[at::CONTROLLER] = "100 | 30";
        typed[at::SERIES_FUSE] = "15";
        typed[at::DISCONNECT_AMPS] = "32";
        typed[at::CONDUCTORS] = "2";
        typed[at::CONTROLLER_ISC] = "35";
        typed[at::BATTERY] = "lifepo4 12";
        let text = starter(&answered(&typed));
        let array = &plan(&text).arrays[0];
        let disconnect = &array.components[0];
        let poles = disconnect.kind.poles().unwrap();
        assert_eq!(disconnect.rated_a.map(|amps| amps.0), Some(32.0));
        assert_eq!(poles.opened, Some(2));
        assert_eq!(poles.max_v_per_pole.map(|(volts, count)| (volts.0, count)), Some((60.0, 1)));
        let crate::array::ComponentKind::Controller { max_isc, max_charge, .. } = &array.components[1].kind
        else {
            panic!("{text}")
        };
        assert_eq!(array.components[1].max_v.map(|volts| volts.0), Some(100.0));
        assert_eq!((max_isc.map(|amps| amps.0), max_charge.map(|amps| amps.0)), (Some(35.0), Some(30.0)));
        assert_eq!(array.groups[0].modules[0].max_series_fuse.map(|amps| amps.0), Some(15.0));
        assert_eq!(array.battery.as_ref().map(|battery| battery.nominal.0), Some(12.0));
    }

    /// What the remark above [[string]] says makes two arrays of one.
    #[test]
    fn arrays_have_controllers_of_their_own_where_they_are_named() {
        let text = starter(&Answers::default());
        let (mut head, mut twice) = (String::new(), String::new());
        let mut in_array = false;
        for line in text.lines() {
            in_array = if line.starts_with('[') {
                ["[[string]]", "[[component]]"].contains(&line)
            } else {
                in_array
            };
            let into = if in_array { &mut twice } else { &mut head };
            into.push_str(&format!("{line}\n"));
            if in_array && line.starts_with('[') {
                into.push_str("array = \"left\"\n");
            }
        }
        let plan = plan(&format!("{head}{twice}{}", twice.replace("left", "right")));
        let arrays: Vec<(&str, usize)> =
            plan.arrays.iter().map(|array| (array.name.as_str(), array.components.len())).collect();
        assert_eq!(arrays, [("left", 2), ("right", 2)]);
    }

    #[test]
    fn an_ac_figure_becomes_no_dc_rating() {
        let mut typed = vec![""; QUESTIONS.len()];
        typed[at::DISCONNECT] = "250 V AC";
        let text = starter(&answered(&typed));
        let disconnect = &plan(&text).arrays[0].components[0];
        assert_eq!(disconnect.max_v, None);
        assert_eq!(disconnect.kind.poles().unwrap().max_v_ac.map(|volts| volts.0), Some(250.0));
    }

    /// A pipe may answer about devices that it does not name.
    #[test]
    fn amps_without_volts_leave_a_plan_that_runs() {
        let mut typed = vec![""; QUESTIONS.len()];
        typed[at::DISCONNECT_AMPS] = "40";
        typed[at::CONTROLLER_ISC] = "35";
        let text = starter(&answered(&typed));
        let plan = plan(&text);
        // a disconnect may have amps alone; of a controller the volts come first
        assert_eq!(plan.arrays[0].components.len(), 1, "{text}");
        assert!(text.contains("# max_isc_a = 35"), "{text}");
        typed[at::DISCONNECT_AMPS] = "";
        typed[at::CONDUCTORS] = "2";
        let text = starter(&answered(&typed));
        assert!(read_plan(&text).unwrap().arrays[0].components.is_empty(), "{text}");
    }
}
