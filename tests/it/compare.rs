//! Options: read as strictly as a case, judged and counted side by side.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io;

use assert_cmd::Command;
use backhold::case::{Change, Problem, ReadCase, parse_case};
use backhold::report::{CompareOutputs, SignOff};
use backhold::study::{Compared, Comparison, Variant, compare};
use tempfile::tempdir;

fn sample() -> String {
    fs::read_to_string("samples/options.toml").unwrap()
}

fn parse(text: &str) -> Result<ReadCase, Vec<Problem>> {
    parse_case(text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into())).map_err(|p| p.list().to_vec())
}

fn read(text: &str) -> ReadCase {
    parse(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn variants(read: &ReadCase) -> Vec<Variant<'_>> {
    let mut all = vec![Variant { name: &read.base_option, case: &read.case, plan: &read.plan, changes: &[] }];
    all.extend(read.options.iter().map(|o| Variant {
        name: &o.name,
        case: &o.case,
        plan: &o.plan,
        changes: &o.changes,
    }));
    all
}

/// Without the limits that make a check slow.
fn quick() -> String {
    sample().replace("max_trace_m", "trace_length_m")
}

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert_eq!(text.matches(from).count(), 1, "{from}");
    text.replacen(from, to, 1)
}

fn line_of(text: &str, piece: &str) -> usize {
    1 + text[..text.find(piece).unwrap()].matches('\n').count()
}

/// The one problem of a text: its file, line and key.
fn one_problem(text: &str, line: usize, key: &str) -> Problem {
    let problems = parse(text).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let problem = problems[0].clone();
    assert_eq!((problem.file.as_str(), problem.line, problem.key.as_str()), ("case.toml", Some(line), key));
    problem
}

#[test]
fn an_option_is_the_case_with_its_difference_typed_in() {
    let text = sample();
    let with = read(&text);
    let plain = &text[..text.find("[[option]]").unwrap()];
    let typed = read(&replaced(plain, "ring_spacing_m = 1.2", "ring_spacing_m = 1.5"));
    assert_eq!(with.options[0].case, typed.case);
    assert_eq!(with.options[0].plan, typed.plan);
    let cheap =
        plain.replace("bay_kn = 57.0", "bay_kn = 48.0").replace("screen_sheet = 48.0", "screen_sheet = 39.0");
    let cheap = cheap.replace("spacing_m = 1.2", "spacing_m = 1.1");
    let typed = read(&cheap);
    assert_eq!(with.options[3].case, typed.case);
    assert_eq!(with.options[3].plan, typed.plan);
    // The case itself is not touched by its options.
    assert_eq!(with.case, read(plain).case);
}

#[test]
fn what_changed_is_listed_key_by_key() {
    let read = read(&sample());
    let change = |key: &str, from: &str, to: &str| Change {
        key: key.into(),
        from: Some(from.into()),
        to: Some(to.into()),
    };
    assert_eq!(read.options[0].changes, [change("pattern[1].ring_spacing_m", "1.2", "1.5")]);
    assert_eq!(
        read.options[3].changes,
        [
            change("surface[1].bay_kn", "57", "48"),
            change("pattern[1].ring_spacing_m", "1.2", "1.1"),
            change("pattern[1].spacing_m", "1.2", "1.1"),
            change("plan.price.screen_sheet", "48", "39"),
        ]
    );
}

#[test]
fn lists_are_dropped_and_sections_replaced() {
    let text = sample()
        + "\n[[option]]\nname = \"bare\"\ndrops = [\"pattern\", \"surface\", \"plan.screen\"]\n\
           \n[[option]]\nname = \"lower\"\n[option.drive]\nround_length_m = 3.0\nsection = { shape = \"flat\", width_m = 5.0, height_m = 4.5 }\n\
           \n[[option]]\nname = \"cables too\"\n[[option.bolt]]\nname = \"cable\"\nkind = \"cable\"\nsteel_kn = 250.0\nbond_kn_per_m = 200.0\nplate_kn = 150.0\n\
           [[option.pattern]]\n[[option.pattern]]\nbolt = \"cable\"\nlength_m = 6.0\noutside_hole_m = 0.3\nring_spacing_m = 2.4\nspacing_m = 2.0\ncovers = [\"back\"]\n";
    let read = read(&text);
    let bare = &read.options[4];
    assert!(
        bare.case.patterns.is_empty() && bare.case.surface_support.is_empty() && bare.plan.screen.is_none()
    );
    let removed: Vec<&str> = bare.changes.iter().filter(|c| c.to.is_none()).map(|c| c.key.as_str()).collect();
    assert_eq!(removed, ["surface[1]", "pattern[1]", "plan.screen"]);
    assert_eq!(read.options[5].case.round_length_m, 3.0);
    let cables = &read.options[6].case;
    assert_eq!(cables.patterns.len(), 2);
    assert_eq!(cables.bolts[cables.patterns[1].bolt].name, "cable");
    assert_eq!(cables.patterns[0], read.case.patterns[0]);
    // A bare option is judged and costs nothing.
    let found = compare(&variants(&read)).unwrap();
    assert!(found.options[5].per_metre.is_none() && !found.options[5].holds());
    assert_eq!(found.options[5].bolts_per_m(), 0.0);
}

#[test]
fn an_identical_option_gives_identical_numbers() {
    let text = quick();
    let text =
        text[..text.find("[[option]]").unwrap()].to_owned() + "[[option]]\nname = \"the same again\"\n";
    let read = read(&text);
    assert!(read.options[0].changes.is_empty());
    let found = compare(&variants(&read)).unwrap();
    let again = Compared { name: found.options[0].name.clone(), ..found.options[1].clone() };
    assert_eq!(found.options[0], again);
    // Neither dominates the other.
    assert!(found.options.iter().all(|o| o.dominated_by.is_empty()));
}

/// A drive without bolts costs nothing and takes no minute, so nothing dominates it: it is no choice all
/// the same, and page, terminal and chart say of the same options that they are efficient.
#[test]
fn what_is_short_is_efficient_nowhere() {
    let text = quick();
    let text = text[..text.find("[[option]]").unwrap()].to_owned()
        + "[[option]]\nname = \"bare\"\ndrops = [\"pattern\", \"surface\", \"plan.screen\"]\n";
    let with = read(&text);
    let found = compare(&variants(&with)).unwrap();
    let bare = &found.options[1];
    assert!(!bare.holds() && bare.dominated_by.is_empty() && !bare.is_efficient());
    let efficient = found.options.iter().filter(|o| o.is_efficient()).count();
    let holding = found.options.iter().filter(|o| o.holds()).count();
    let dir = tempdir().unwrap();
    fs::write(dir.path().join("case.toml"), &text).unwrap();
    let mut run = Command::cargo_bin("backhold").unwrap();
    let done = run.current_dir(&dir).args(["compare", "case.toml", "--out", "out"]).assert().success();
    let said = String::from_utf8(done.get_output().stdout.clone()).unwrap();
    let row = said.lines().find(|l| l.trim_start().starts_with("bare")).unwrap();
    assert!(row.trim_end().ends_with("no"), "{said}");
    let page = fs::read_to_string(dir.path().join("out/compare.html")).unwrap();
    assert_eq!(page.matches("none: efficient").count(), efficient);
    assert_eq!(page.matches("none, but short").count(), 1);
    let title = match holding {
        0 => "None of 2 options reaches what is asked".to_owned(),
        _ => "1 of 2 options reaches what is asked".to_owned(),
    };
    assert!(page.contains(&title), "{title}");
}

fn outputs<'a>(read: &'a ReadCase, comparison: &'a Comparison) -> CompareOutputs<'a> {
    let sign_off = SignOff { files: &read.files, ..SignOff::default() };
    let case = &read.case;
    CompareOutputs { case, comparison, currency: Some("EUR"), notes: &[], sign_off, dated: None }
}

#[test]
fn the_order_of_options_changes_nothing_but_rows() {
    let read = read(&quick());
    let mut all = variants(&read);
    let forward = compare(&all).unwrap();
    all.reverse();
    let mut backward = compare(&all).unwrap();
    backward.options.reverse();
    assert_eq!(forward, backward);
    let table = |c: &Comparison| {
        let files = outputs(&read, c).files().unwrap();
        files.into_iter().find(|f| f.name == "compare.csv").unwrap().content
    };
    assert_eq!(table(&forward), table(&backward));
}

#[test]
fn one_dominates_another_by_the_definition() {
    let read = read(&quick());
    let found = compare(&variants(&read)).unwrap();
    assert!(found.costs_known);
    for a in &found.options {
        for b in &found.options {
            let pairs = [
                (b.margin, a.margin),
                (a.minutes_per_m().unwrap(), b.minutes_per_m().unwrap()),
                (a.cost_per_m().unwrap(), b.cost_per_m().unwrap()),
            ];
            let asked = pairs.iter().all(|(x, y)| x <= y) && pairs.iter().any(|(x, y)| x < y);
            assert_eq!(b.dominated_by.contains(&a.name), asked, "{} {}", a.name, b.name);
        }
        // A margin of 1 is all that is asked.
        assert_eq!(a.holds(), a.margin >= 1.0, "{}: {} {:?}", a.name, a.margin, a.lacks);
    }
    assert!(found.options.iter().any(|o| !o.is_efficient()), "nothing was compared");
    // What the answer has no room for stands below it: no option that is short goes untold.
    let outputs = outputs(&read, &found);
    let told = [outputs.answer(), outputs.below_the_answer().join(" ")].join(" ");
    for option in &found.options {
        assert!(option.holds() || told.contains(&format!("\"{}\" is short", option.name)), "{told}");
    }
}

/// What an option would come to as drawn is what it comes to where the case types no tolerance.
#[test]
fn as_drawn_is_what_a_typed_tolerance_of_nothing_makes_of_them() {
    let typed_to = |m: &str| {
        read(
            &quick()
                .replace("[criteria]", &format!("[installation]\ncollar_tolerance_m = {m}\n\n[criteria]")),
        )
    };
    let (plain, typed, drawn) = (read(&quick()), typed_to("0.1"), typed_to("0"));
    let found = |read: &ReadCase| compare(&variants(read)).unwrap();
    let (plain, typed_found, drawn) = (found(&plain), found(&typed), found(&drawn));
    for ((plain, typed), drawn) in plain.options.iter().zip(&typed_found.options).zip(&drawn.options) {
        assert_eq!((plain.as_drawn.tolerance_m, plain.as_drawn.given), (0.1, false));
        assert!(typed.as_drawn.given && drawn.as_drawn.given);
        assert_eq!((plain.margin, plain.as_drawn.margin), (typed.margin, typed.as_drawn.margin));
        assert_eq!(drawn.as_drawn.tolerance_m, 0.0);
        // Collars off their place never hold better.
        assert!(plain.margin <= drawn.margin * (1.0 + 2e-3), "{}", plain.name);
        let least = |whole: &backhold::study::Whole| {
            whole.check.wedges.iter().map(|w| w.decided.margin()).fold(f64::INFINITY, f64::min)
        };
        let apart = plain.as_drawn.margin / least(&drawn.whole) - 1.0;
        assert!(apart.abs() < 2e-3, "{}: {apart}", plain.name);
    }
    // Every output says what is meant, and whose tolerance it is.
    let of = |read: &ReadCase, found: &Comparison| -> String {
        let files = outputs(read, found).files().unwrap();
        let page = files.into_iter().find(|f| f.name == "compare.html").unwrap();
        String::from_utf8(page.content).unwrap()
    };
    let page = of(&read(&quick()), &plain);
    assert!(page.contains("0.1 m (common practice, no source;") && page.contains("data-h=\"as drawn\""));
    assert!(of(&typed, &typed_found).contains("by the 0.1 m of [installation]"));
}

#[test]
fn what_an_option_names_wrongly_is_refused_with_file_line_and_key() {
    let text = sample();
    let wrong = replaced(
        &text,
        "[[option.pattern]]\nbolt = \"friction 46 mm\"",
        "[[option.pattern]]\nbolt = \"friction 47 mm\"",
    );
    let problem =
        one_problem(&wrong, line_of(&wrong, "bolt = \"friction 47 mm\""), "option[3].pattern[1].bolt");
    assert!(problem.advice.contains("friction 46 mm"), "{problem}");

    let first = "[[option.pattern]]\nring_spacing_m = 1.5";
    let wrong = replaced(&text, first, "[[option.pattern]]\nring_spacin_m = 1.5");
    let problem = one_problem(&wrong, line_of(&wrong, "ring_spacin_m"), "option[1].pattern[1].ring_spacin_m");
    assert!(problem.advice.contains("ring_spacing_m"), "{problem}");

    let wrong = replaced(&text, first, "[[option.pattern]]\nring_spacing_m = -1.5");
    one_problem(&wrong, line_of(&wrong, "ring_spacing_m = -1.5"), "option[1].pattern[1].ring_spacing_m");

    let wrong =
        replaced(&text, first, "[option.drive]\ntrend_deg = 20.0\n[[option.pattern]]\nring_spacing_m = 1.5");
    one_problem(&wrong, line_of(&wrong, "trend_deg = 20.0"), "option[1].drive.trend_deg");

    // A second pattern is a new one and has to be complete; all that it lacks is said at once.
    let wrong = replaced(&text, first, &format!("{first}\n[[option.pattern]]\nspacing_m = 1.0"));
    let problems = parse(&wrong).unwrap_err();
    let keys: Vec<&str> = problems.iter().map(|p| p.key.as_str()).collect();
    for key in ["bolt", "length_m", "outside_hole_m", "ring_spacing_m", "covers"] {
        assert!(keys.contains(&format!("option[1].pattern[2].{key}").as_str()), "{keys:?}");
    }

    let wrong = replaced(&text, "name = \"rings at 1.5 m\"", "name = \"resin 2.4 m, as now\"");
    let line = line_of(&wrong, "[[option]]") + 1;
    one_problem(&wrong, line, "option[1].name");

    // Across keys, as in a case: a fast length that the shorter hole does not take.
    let wrong = replaced(&text, first, &format!("{first}\nlength_m = 0.5"));
    one_problem(&wrong, 1 + line_of(&wrong, "\nlength_m = 0.5"), "option[1].pattern[1].length_m");
}

#[test]
fn prices_below_zero_and_no_minutes_are_refused() {
    let text = sample();
    let wrong = replaced(&text, "screen_sheet = 39.0", "screen_sheet = -39.0");
    one_problem(&wrong, line_of(&wrong, "screen_sheet = -39.0"), "option[4].plan.price.screen_sheet");
    let wrong =
        replaced(&text, "[option.plan.price]", "[option.plan.minutes]\nspin_min = 0.0\n[option.plan.price]");
    one_problem(&wrong, line_of(&wrong, "spin_min"), "option[4].plan.minutes.spin_min");
    let wrong = replaced(&text, "prices = [8.5, 11.0]", "prices = [8.5, -11.0]");
    one_problem(&wrong, line_of(&wrong, "prices = [8.5, -11.0]"), "stock.bolt[2].prices[2]");
}

#[test]
fn a_stock_without_bolts_or_with_unknown_ones_is_refused() {
    let text = sample();
    let from = text.find("[[stock.bolt]]").unwrap();
    let to = text.find("[[stock.coverage]]").unwrap();
    let without = format!("{}{}", &text[..from], &text[to..]);
    let problem = one_problem(&without, line_of(&without, "[stock]"), "stock.bolt");
    assert!(problem.found == "nothing", "{problem}");
    let empty = replaced(&without, "[stock] ", "[stock]\nbolt = []\n");
    one_problem(&empty, line_of(&empty, "bolt = []"), "stock.bolt");
    let wrong = replaced(
        &text,
        "[[stock.bolt]]\nbolt = \"friction 46 mm\"",
        "[[stock.bolt]]\nbolt = \"friktion 46 mm\"",
    );
    let problem = one_problem(&wrong, line_of(&wrong, "friktion"), "stock.bolt[2].bolt");
    assert!(problem.advice.contains("friction 46 mm"), "{problem}");
    let wrong = replaced(&text, "prices = [8.5, 11.0]", "prices = [8.5]");
    one_problem(&wrong, line_of(&wrong, "prices = [8.5]"), "stock.bolt[2].prices");
    let wrong = replaced(
        &text,
        "covers = [\"back\", \"walls\"]\nlowest_collar_m = 1.2\nstagger",
        "covers = [\"back\"]\nstagger",
    );
    read(&wrong); // the pattern covers no wall; the stock's coverage is its own
    let wrong = text.trim_end().rsplit_once("lowest_collar_m = 1.2").unwrap().0.to_owned();
    one_problem(
        &wrong,
        line_of(&wrong, "[[stock.coverage]]\ncovers = [\"back\", \"walls\"]"),
        "stock.coverage[2].lowest_collar_m",
    );
}

/// What a stock of several patterns may not say; everything is said at once.
#[test]
fn patterns_of_a_stock_are_checked_key_by_key() {
    let text = fs::read_to_string("samples/stock_by_surface.toml").unwrap();
    assert_eq!(read(&text).stock.unwrap().candidates(), 96 * 72 * 3);
    let wrong = replaced(&text, "lowest_collars_m = [1.2, 1.6]\n", "");
    let walls = line_of(&wrong, "[[stock.pattern]]       # the walls");
    let problem = one_problem(&wrong, walls, "stock.pattern[2].lowest_collars_m");
    assert!(problem.found.starts_with("nothing"), "{problem}");
    let wrong = replaced(&text, "lowest_collars_m = [1.2, 1.6]", "lowest_collars_m = [1.2, 5.1]");
    one_problem(&wrong, line_of(&wrong, "[1.2, 5.1]"), "stock.pattern[2].lowest_collars_m[2]");
    let wrong = replaced(&text, "bolts = [\"plated strand\"]", "bolts = [\"plated strnd\"]");
    let problem = one_problem(&wrong, line_of(&wrong, "plated strnd"), "stock.pattern[3].bolts[1]");
    assert!(problem.advice.contains("plated strand"), "{problem}");
    let wrong = replaced(&text, "lengths_m = [1.8, 2.4]\nlowest", "lengths_m = [1.8, 2.5]\nlowest");
    let problem = one_problem(&wrong, line_of(&wrong, "[1.8, 2.5]"), "stock.pattern[2].lengths_m[2]");
    assert!(problem.allowed == "1.8, 2.4, 3 metres", "{problem}");
    let wrong = replaced(&text, "may_be_left_out = true", "may_be_leftout = true");
    let problem = one_problem(&wrong, line_of(&wrong, "may_be_leftout"), "stock.pattern[3].may_be_leftout");
    assert!(problem.advice.contains("may_be_left_out"), "{problem}");
    // Keys of a stock of one pattern beside several, each with what to do; and neither of the two.
    let wrong = replaced(&text, "[stock]  ", "[stock]\nspacings_m = [1.0]\nstagger = [true]\n");
    let keys: Vec<String> = parse(&wrong).unwrap_err().iter().map(|p| p.key.clone()).collect();
    assert_eq!(keys, ["stock.spacings_m", "stock.stagger"]);
    let none = text[..text.find("[[stock.pattern]]").unwrap()].to_owned();
    let keys: Vec<String> = parse(&none).unwrap_err().iter().map(|p| p.key.clone()).collect();
    assert_eq!(keys, ["stock.spacings_m", "stock.ring_spacings_m", "stock.coverage"]);
    let many = replaced(
        &text,
        "spacings_m = [1.0, 1.2, 1.4]\n",
        "spacings_m = [1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.1, 2.2, 2.3, 2.4]\n",
    );
    let problem = one_problem(&many, line_of(&many, "[stock]"), "stock");
    assert_eq!(problem.found, format!("{} combinations", 96 * 360 * 3));
}

#[test]
fn the_commands_write_their_folders_and_fit_the_terminal() {
    let dir = tempdir().unwrap();
    fs::write(dir.path().join("case.toml"), quick()).unwrap();
    let run = |command: &str| {
        let mut run = Command::cargo_bin("backhold").unwrap();
        let done = run.current_dir(&dir).args([command, "case.toml", "--out", command]).assert().success();
        String::from_utf8(done.get_output().stdout.clone()).unwrap()
    };
    for (command, table) in [("compare", "compare.csv"), ("fit", "fit.csv")] {
        let said = run(command);
        assert!(said.lines().all(|l| l.chars().count() <= 100), "{said}");
        let folder = dir.path().join(command);
        assert!(fs::read_to_string(folder.join(table)).unwrap().lines().count() > 1);
        let page = fs::read_to_string(folder.join(format!("{command}.html"))).unwrap();
        let body = page.split("<body>").nth(1).unwrap().trim_start();
        assert!(body.starts_with("<p class=\"answer\">"), "the page begins with its answer");
        // The same answer on terminal and page.
        let first = said.split_whitespace().take(6).collect::<Vec<_>>().join(" ");
        assert!(body.contains(&first), "{first}");
        for word in ["unsafe", "safe ", "passes", "fails"] {
            assert!(!said.contains(word) && !body.contains(word), "{word}");
        }
        // The same bytes again.
        let before = fs::read(folder.join(table)).unwrap();
        run(command);
        assert_eq!(before, fs::read(folder.join(table)).unwrap());
    }
}

#[test]
fn a_case_without_options_or_stock_is_told_what_to_add() {
    let dir = tempdir().unwrap();
    let text = sample();
    fs::write(dir.path().join("case.toml"), &text[..text.find("[[option]]").unwrap()]).unwrap();
    for (command, table) in [("compare", "[[option]]"), ("fit", "[stock]")] {
        let mut run = Command::cargo_bin("backhold").unwrap();
        let done = run.current_dir(&dir).args([command, "case.toml", "--out", "out"]).assert().code(2);
        let said = String::from_utf8(done.get_output().stderr.clone()).unwrap();
        assert!(said.contains(table), "{said}");
        assert!(!dir.path().join("out").exists());
    }
}
