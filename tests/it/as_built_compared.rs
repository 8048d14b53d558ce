//! Two surveys of one stretch: what became of each bolt, by hand, and verdicts that are those of each list by itself.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use crate::program::backhold;
use backhold::case::{AsBuilt, Case, TEMPLATE, parse_case};
use backhold::study::{BoltChange, as_built, bolt_changes, decided, forces_alone, judge, judgement};

const HEADER: &str = "chainage_m,arc_m,length_m,outside_hole_m,bolt,state\n";

/// The template with a list and an earlier one, rows without lengths and bolt.
fn read(now: &[(f64, f64, &str)], before: &[(f64, f64, &str)]) -> Case {
    let list = |rows: &[(f64, f64, &str)]| {
        let row =
            |(m, arc_m, state): &(f64, f64, &str)| format!("{m},{arc_m},2.4,0.1,resin rebar 20 mm,{state}\n");
        HEADER.to_owned() + &rows.iter().map(row).collect::<String>()
    };
    let text = format!(
        "{TEMPLATE}\n[as_built]\nfile = \"now.csv\"\ncompared_with = \"before.csv\"\nmode = \"replaces\"\nfrom_m = 40.0\nto_m = 52.0\n"
    );
    parse_case(&text, "case.toml", &|name| match name {
        "now.csv" => Ok(list(now)),
        "before.csv" => Ok(list(before)),
        _ => Err(std::io::ErrorKind::NotFound.into()),
    })
    .unwrap()
    .case
}

#[test]
fn each_bolt_is_lost_added_changed_or_as_it_was() {
    let before = [
        (41.0, 0.0, "good"),
        (42.0, 0.0, "good"),
        (43.0, 0.0, "good"),
        (44.0, 0.0, "broken"),
        (45.0, 0.0, "missing"),
        (46.0, 0.0, "missing"),
        (47.0, 0.0, "no plate"),
        (48.0, 0.0, "good"),
        (60.0, 0.0, "good"),
    ];
    let now = [
        (41.1, 0.1, "good"),         // as it was, measured a little off
        (43.0, 0.05, "missing"),     // lost, and listed so; that at 42 is in no row
        (44.0, 0.0, "good"),         // replaced in its hole
        (45.0, 0.0, "missing"),      // as it was
        (46.0, 0.1, "good"),         // added
        (47.0, 0.0, "no plate"),     // as it was
        (48.0, 0.25, "good"),        // another one beside the old place, which is nearer to the next row
        (48.0, 0.0, "broken"),       // changed
        (49.0, -1.0, "not grouted"), // added
        (61.0, 0.0, "good"),         // outside of the stretch
    ];
    let case = read(&now, &before);
    let perimeter_m = case.opening().unwrap().section.perimeter_m();
    let changes = bolt_changes(case.site.as_built.as_ref().unwrap(), perimeter_m);
    let told: Vec<(BoltChange, f64, f64)> = changes
        .iter()
        .map(|c| (c.change, c.row().unwrap().set.chainage_m, c.row().unwrap().set.collar.arc_m))
        .map(|(change, m, arc_m)| (change, m, (arc_m * 100.0).round() / 100.0))
        .collect();
    use BoltChange::{Added, Changed, Lost};
    let expected = [
        (Lost, 42.0, 0.0),
        (Lost, 43.0, 0.05),
        (Changed, 44.0, 0.0),
        (Added, 46.0, 0.1),
        (Changed, 48.0, 0.0),
        (Added, 48.0, 0.25),
        (Added, 49.0, -1.0),
    ];
    assert_eq!(told, expected);
    assert!(changes[0].now.is_none() && changes[1].now.is_some());
    assert_eq!(bolt_changes(read(&now, &now).site.as_built.as_ref().unwrap(), perimeter_m), []);
}

/// With each list alone the stretch comes to the same verdicts and factors as they are told beside each other.
#[test]
fn verdicts_before_and_now_are_those_of_each_list() {
    let all: Vec<(f64, f64, &str)> =
        (0..14).flat_map(|r| (-4i32..=4).map(move |k| (39.0 + f64::from(r), f64::from(k), "good"))).collect();
    // Nothing overhead for four metres.
    let now: Vec<(f64, f64, &str)> =
        all.iter().copied().filter(|b| b.1.abs() > 2.0 || !(43.5..47.5).contains(&b.0)).collect();
    let case = read(&now, &all);
    let check = forces_alone(&case).unwrap();
    let found = judgement(&case, &check);
    let check = decided(&case, judge(&case, check, found));
    let both = as_built(&case, &check).unwrap();
    let lost = both.changed_bolts.iter().filter(|b| b.change == BoltChange::Lost).count();
    assert_eq!((lost, both.changed_bolts.len()), (20, 20));
    let alone = |built: AsBuilt| {
        let mut one = case.clone();
        one.site.as_built = Some(AsBuilt { earlier: None, ..built });
        as_built(&one, &check).unwrap()
    };
    let built = case.site.as_built.clone().unwrap();
    let before = alone((**built.earlier.as_ref().unwrap()).clone());
    let now = alone(built);
    assert!(now.wedges.iter().all(|w| w.before.is_none() && !w.turned()) && now.changed_bolts.is_empty());
    let mut fell = 0;
    for ((told, then), here) in both.wedges.iter().zip(&before.wedges).zip(&now.wedges) {
        assert_eq!(told.before.as_ref(), Some(&then.found.decided));
        assert_eq!(told.found, here.found);
        fell += usize::from(told.found.decided.fs < then.found.decided.fs);
    }
    assert!(fell > 0);
}

#[test]
fn tables_page_and_drawing_say_what_changed() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let folder = tempfile::tempdir().unwrap();
    let list = std::fs::read_to_string(samples.join("as_built_bolts.csv")).unwrap();
    std::fs::write(folder.path().join("march.csv"), &list).unwrap();
    let mut rows: Vec<&str> = list.lines().collect();
    let at = rows.iter().position(|row| row.starts_with("40.00,-1.15")).unwrap();
    rows.remove(at);
    let at = rows.iter().position(|row| row.starts_with("40.01,1.17")).unwrap();
    let broken = rows[at].replace(",good,", ",broken,");
    rows[at] = &broken;
    std::fs::write(folder.path().join("as_built_bolts.csv"), rows.join("\n")).unwrap();
    let text = std::fs::read_to_string(samples.join("as_built.toml")).unwrap();
    let text = text.replace("off_by_m = 0.3", "off_by_m = 0.3\ncompared_with = \"march.csv\"");
    let text = text.replace("to_m = 64.0", "to_m = 46.0");
    let case = folder.path().join("case.toml");
    std::fs::write(&case, text).unwrap();
    let out = folder.path().join("out");
    let run = backhold().arg("check").arg(&case).arg("--out").arg(&out).assert().success();
    let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let since = "Since march.csv: of the bolts 1 lost, 1 changed (bolt_changes.csv);";
    assert!(said.contains(since), "{said}");
    let table = std::fs::read_to_string(out.join("bolt_changes.csv")).unwrap();
    let rows: Vec<&str> = table.lines().collect();
    assert_eq!(rows.len(), 3, "{table}");
    assert!(rows[1].starts_with("lost,40,-1.15,good,,resin rebar 20 mm,,2.3,,"), "{table}");
    assert!(rows[2].starts_with("changed,40.01,1.17,good,broken,resin"), "{table}");
    let page = std::fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("2 bolts are not as march.csv found them") && page.contains(since));
    let drawing = std::fs::read_to_string(out.join("plots/unrolled.svg")).unwrap();
    assert!(drawing.contains("ringed: lost, added or changed since march.csv"));
    let wedges = std::fs::read_to_string(out.join("as_built_wedges.csv")).unwrap();
    assert!(wedges.lines().next().unwrap().contains(",fs_before,verdict_before,"), "{wedges}");
    // The list of rejects says of which survey a row is.
    let rejected = std::fs::read_to_string(out.join("bolts_rejected.csv")).unwrap();
    assert!(rejected.contains(",march.csv") && rejected.contains(",as_built_bolts.csv"), "{rejected}");
    backhold().arg("check").arg("--again").arg(out.join("summary.json")).assert().code(0);
}
