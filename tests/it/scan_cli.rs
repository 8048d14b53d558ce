//! A scanned section as a user runs it: terminal, summary, drawing, page.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

#[test]
fn the_cut_its_section_and_its_overbreak_stand_in_every_output() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let run = Command::new(env!("CARGO_BIN_EXE_backhold"))
        .current_dir(root)
        .args(["check", "samples/scan.toml", "--out"])
        .arg(&out)
        .output()
        .unwrap();
    let said = String::from_utf8(run.stdout).unwrap().replace('\n', " ");
    assert!(run.status.success(), "{said}");
    assert!(said.contains("Scan scan_heading.stl, cut at chainage 8 m:"), "{said}");
    assert!(said.contains("Against the design of 21.74 m²: overbreak"), "{said}");

    let summary: Value =
        serde_json::from_str(&std::fs::read_to_string(out.join("summary.json")).unwrap()).unwrap();
    let scan = &summary["scan"];
    let number = |key: &str| scan[key].as_f64().unwrap_or_else(|| panic!("{key} in {scan}"));
    // Cut less overbreak is what cut and design share; so is design less underbreak.
    let shared = number("cut_area_m2") - number("overbreak_m2");
    assert!((shared - (number("design_area_m2") - number("underbreak_m2"))).abs() < 1e-9);
    assert!((number("section_area_m2") - number("cut_area_m2") - number("added_m2")).abs() < 1e-9);
    assert!(number("hull_area_m2") <= number("section_area_m2") && number("close_gaps_m") == 0.25);
    let section = &summary["inputs"]["drive"]["section"];
    assert_eq!(
        (section["shape"].as_str(), section["file"].as_str()),
        (Some("scan"), Some("scan_heading.stl"))
    );
    assert_eq!(section["origin_up_m"].as_f64(), Some(-520.0));
    assert_eq!(section["points_m"], scan["section_m"]);
    let added = format!("facets, {:.2} m² (", number("added_m2"));
    assert!(said.contains(&added), "{said}");

    let page = std::fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("Scan scan_heading.stl, cut at chainage 8 m:"));
    let drawing = std::fs::read_to_string(out.join("plots/scan.svg")).unwrap();
    assert!(drawing.contains("broke beyond the design") && out.join("plots/scan.png").exists());
    assert!(page.contains("broke beyond the design"));
}
