//! The page as a browser shows it: nothing goes wrong, nothing is fetched, choosing, turning and sorting work, drawing
//! order in space is right from every side, words stand out from what is behind them.
//!
//! Screenshots are left in the folder for temporary files of the build (`target/tmp/page`).
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::program::{backhold, ran};
use serde_json::Value;
use tempfile::tempdir;

/// Names under which Debian and others install the browser.
const BROWSERS: [&str; 2] = ["chromium", "chromium-browser"];

/// `None`, with a line that says so, where no browser is installed. A set `BACKHOLD_BROWSER` must be there.
fn browser() -> Option<String> {
    let works = |name: &str| Command::new(name).arg("--version").output().is_ok_and(|o| o.status.success());
    if let Ok(name) = std::env::var("BACKHOLD_BROWSER") {
        assert!(works(&name), "BACKHOLD_BROWSER={name} does not run");
        return Some(name);
    }
    let found = BROWSERS.into_iter().find(|name| works(name)).map(str::to_owned);
    if found.is_none() {
        println!("no chromium is installed: the page was not opened");
    }
    found
}

/// What the browser says of a file with these switches: standard output and error.
fn opened(browser: &str, switches: &[&str], file: &Path) -> (String, String) {
    let profile = tempdir().unwrap();
    let output = Command::new(browser)
        .args([
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            "--disable-dev-shm-usage",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(["--virtual-time-budget=4000", "--enable-logging=stderr"])
        .args(switches)
        .arg(format!("file://{}", file.display()))
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(output.status.success(), "{}", text(&output.stderr));
    (text(&output.stdout), text(&output.stderr))
}

/// Opens a page with a script of the test beside its own, and gives what that found.
fn probed(browser: &str, switches: &[&str], page: &str, probe: &str) -> Value {
    probed_in(browser, switches, page, probe, None)
}

/// The same in a frame so many pixels wide: a window of the browser is never narrower than 500.
fn probed_in(browser: &str, switches: &[&str], page: &str, probe: &str, width: Option<u32>) -> Value {
    const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\"";
    let (before, after) = page.split_once(POLICY).unwrap();
    let after = after.split_once('>').unwrap().1;
    // Where only the document is asked for the browser draws no frames: time gives them.
    let errors = "<script>window.wrong=[];addEventListener('error',e=>wrong.push(e.message));console.error=(...a)=>wrong.push(a.join(' '));window.requestAnimationFrame=f=>setTimeout(f,1);</script>";
    let own = format!("<script>{probe}</script></body>");
    let dir = tempdir().unwrap();
    let mut file = dir.path().join("page.html");
    fs::write(&file, format!("{before}{errors}{after}").replacen("</body>", &own, 1)).unwrap();
    if let Some(width) = width {
        file = dir.path().join("frame.html");
        let frame = format!("<iframe src=page.html width={width} height=800 style=border:0></iframe>");
        fs::write(&file, format!("<!DOCTYPE html><body>{frame}</body>")).unwrap();
    }
    let (dom, said) = opened(browser, &[switches, &["--dump-dom"]].concat(), &file);
    let found =
        dom.split("<pre id=\"found\">").nth(1).unwrap_or_else(|| panic!("the probe ended early: {said}"));
    let found = found.split("</pre>").next().unwrap();
    let found = found.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&");
    serde_json::from_str(&found).unwrap()
}

/// Runs after the page's own scripts: does what a reader does and writes down what came of it.
const ACTIONS: &str = include_str!("page/actions.js");

fn page_of_haulage() -> &'static str {
    ran(&["check", "samples/haulage.toml"]).text("report.html")
}

#[test]
fn choosing_turning_and_sorting_work_and_nothing_is_fetched() {
    let Some(browser) = browser() else { return };
    let found = probed(&browser, &["--window-size=1280,900"], page_of_haulage(), ACTIONS);
    let all = found.to_string();
    assert_eq!(found["wrong"], serde_json::json!([]), "{all}");
    assert_eq!(found["resources"], 0, "{all}");
    // The one that lacks most is chosen first.
    assert_eq!(found["first"], "A-B-C.101", "{all}");
    assert_eq!(found["by_row"], serde_json::json!(["A-B-C.111", true, true]), "{all}");
    assert_eq!(found["by_list"], serde_json::json!(["A-B-C.010"]), "{all}");
    assert_eq!(found["by_drawing"], serde_json::json!(["A-B-C.101"]), "{all}");
    for turned in ["by_key", "by_pointer", "by_button", "by_click"] {
        assert_eq!(found[turned], true, "{turned}: {all}");
    }
    // Sizes rise along the slider, and each says what carries it.
    let sizes: Vec<f64> =
        found["sizes"].as_array().unwrap().iter().map(|s| s.as_str().unwrap().parse().unwrap()).collect();
    assert!(sizes.len() >= 5 && sizes.windows(2).all(|w| w[0] <= w[1]), "{all}");
    assert!(
        found["said"]
            .as_array()
            .unwrap()
            .iter()
            .any(|s| s.as_str().unwrap().contains("slips between the bolts"))
    );
    // Sorted by weight both ways; what has no weight comes last.
    let sorted: Vec<Vec<Option<f64>>> = found["sorted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| s.as_array().unwrap().iter().map(Value::as_f64).collect())
        .collect();
    for (column, way) in sorted.iter().zip([1.0, -1.0]) {
        let there: Vec<f64> = column.iter().flatten().map(|x| x * way).collect();
        assert!(there.len() >= 4 && there.windows(2).all(|w| w[0] <= w[1]), "{column:?}");
        assert!(column.iter().skip_while(|x| x.is_some()).all(Option::is_none), "{column:?}");
    }
    // Every pair of areas that lie over each other, seen from many sides, is drawn far before near.
    assert!(found["over"].as_u64().unwrap() > 1000, "{}", found["over"]);
    assert_eq!(found["out_of_order"], 0, "{all}");
}

#[test]
fn the_page_as_it_is_says_nothing_on_the_console() {
    let Some(browser) = browser() else { return };
    let dir = tempdir().unwrap();
    let file = dir.path().join("report.html");
    fs::write(&file, page_of_haulage()).unwrap();
    let (dom, said) = opened(&browser, &["--dump-dom", "--window-size=1280,900"], &file);
    assert!(!said.contains("CONSOLE"), "{said}");
    // Its policy let its own scripts run.
    assert!(dom.contains("class=\"js\"") && dom.contains("<canvas class=\"space\""));
    assert!(page_of_haulage().len() < 1_000_000, "{}", page_of_haulage().len());
}

/// Contrast of each piece of text with what lies behind it, after the Web Content Accessibility Guidelines 2.
const CONTRAST: &str = include_str!("page/contrast.js");

#[test]
fn words_stand_out_in_light_and_dark_and_nothing_is_cut() {
    let Some(browser) = browser() else { return };
    for (dark, width) in [(false, 390), (true, 1024), (false, 1600)] {
        let scheme = format!("--blink-settings=preferredColorScheme={}", u8::from(!dark));
        let switches = [scheme.as_str(), "--window-size=1600,900", "--allow-file-access-from-files"];
        let found = probed_in(&browser, &switches, page_of_haulage(), CONTRAST, Some(width));
        assert_eq!((&found["dark"], &found["window"]), (&dark.into(), &width.into()), "{found}");
        assert!(found["texts"].as_u64().unwrap() > 300, "{found}");
        can_be_read(&found, "haulage", width);
    }
}

/// No word is pale, cut, over another or off its drawing.
#[track_caller]
fn can_be_read(found: &Value, page: &str, width: u32) {
    assert!(found["drawings"].as_u64().unwrap() > 0, "{page}");
    for fault in ["pale", "crossing", "outside"] {
        assert_eq!(found[fault], serde_json::json!([]), "{page}, {width} pixels, {fault}");
    }
    assert_eq!(found["cut"], false, "{page}, {width} pixels: {found}");
}

/// Each command's page on a sample, at the width of a phone, of a tablet or of a desk.
#[test]
fn the_pages_of_every_command_can_be_read() {
    let Some(browser) = browser() else { return };
    let survey = ["map", "samples/survey_scanline.csv", "--lines", "samples/survey_lines.csv"];
    let chance = ["chance", "samples/scattered_haulage.toml", "--draws", "1500", "--seed", "3", "--samples"];
    let pages: [(&[&str], &str, bool, u32); 8] = [
        (&survey, "report.html", true, 390),
        (&survey, "report.html", false, 1024),
        (&["plan", "samples/haulage.toml", "--length-m", "60"], "plan.html", false, 390),
        (&["compare", "samples/options.toml"], "compare.html", true, 1024),
        (&["fit", "samples/options.toml"], "fit.html", false, 390),
        (&["turn", "samples/mine_plan.toml"], "turn.html", true, 390),
        (&chance, "chance.html", false, 1600),
        (&["check", "samples/structures.toml"], "report.html", false, 390),
    ];
    for (arguments, page, dark, width) in pages {
        let scheme = format!("--blink-settings=preferredColorScheme={}", u8::from(!dark));
        let switches = [scheme.as_str(), "--window-size=1600,900", "--allow-file-access-from-files"];
        let found = probed_in(&browser, &switches, ran(arguments).text(page), CONTRAST, Some(width));
        assert_eq!((&found["dark"], &found["window"]), (&dark.into(), &width.into()), "{found}");
        can_be_read(&found, arguments[0], width);
    }
}

/// Markup in a title, a name or a note is shown, wherever it turns up.
#[test]
fn markup_in_names_is_shown_by_the_browser() {
    const MARKUP: &str = "<script>wrong.push(1)</script><img src=x onerror=wrong.push(2)>";
    let dir = tempdir().unwrap();
    let case = fs::read_to_string("samples/haulage.toml").unwrap();
    let typed = |text: &str, key: &str| {
        let at = text.find(&format!("\n{key} = \"")).unwrap() + key.len() + 5;
        let end = at + text[at..].find('"').unwrap();
        format!("{}{MARKUP} & 'it'{}", &text[..at], &text[end..])
    };
    let case = typed(&typed(&typed(&case, "title"), "north"), "source");
    let path = dir.path().join("case.toml");
    fs::write(&path, case).unwrap();
    let out = dir.path().join("out");
    backhold()
        .arg("check")
        .arg(&path)
        .args(["--dated", "2026-11-25", "--prepared", MARKUP, "--out"])
        .arg(&out)
        .assert()
        .success();
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    let escaped = "&lt;script&gt;wrong.push(1)&lt;/script&gt;&lt;img src=x onerror=wrong.push(2)&gt;";
    assert!(
        page.matches(escaped).count() >= 4 && !page.contains("<script>wrong") && !page.contains("<img src=x")
    );
    let svg = fs::read_to_string(out.join("plots/section.svg")).unwrap();
    assert!(!svg.contains("<script") && !svg.contains("<img"));
    let Some(browser) = browser() else { return };
    let heading = "onload=()=>{const p=document.createElement('pre');p.id='found';p.textContent=JSON.stringify({wrong,title:document.querySelector('h1').textContent});document.body.append(p)}";
    let found = probed(&browser, &[], &page, heading);
    assert_eq!(found["title"], format!("{MARKUP} & 'it'"));
    assert_eq!(found["wrong"], serde_json::json!([]));
}

/// Pictures for people to look at.
#[test]
fn pictures_of_the_page_are_left_beside_the_build() {
    let Some(browser) = browser() else { return };
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("page");
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join("report.html");
    fs::write(&file, page_of_haulage()).unwrap();
    for (width, height) in [(390, 3000), (1024, 2600), (1600, 2600)] {
        let picture = folder.join(format!("report_{width}.png"));
        let to = format!("--screenshot={}", picture.display());
        opened(&browser, &[&to, &format!("--window-size={width},{height}")], &file);
        assert!(fs::metadata(&picture).unwrap().len() > 30_000);
    }
    let paper = folder.join("report.pdf");
    opened(&browser, &[&format!("--print-to-pdf={}", paper.display()), "--no-pdf-header-footer"], &file);
    assert!(fs::metadata(&paper).unwrap().len() > 50_000);
    println!("pictures: {}", folder.display());
}
