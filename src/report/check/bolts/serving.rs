//! The bolts that cross a wedge at its worst placement: bolts.csv and the page's table.

use super::words::near_plate_words;
use crate::case::Case;
use crate::opening::Surface;
use crate::orientation::Line;
use crate::report::check::cells::{plunge_deg, trend_deg};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::study::Check;
use crate::support::{Bolt, Serving};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BoltRow<'a> {
    wedge: &'a str,
    serving: &'a Serving,
    design: &'a Bolt,
    /// Which single bolt it is, from 1; `None` for one of a pattern.
    spot: Option<usize>,
    /// Which pattern, from 1, as the case file has them.
    pattern: Option<usize>,
    /// Into the rock, in the world's directions.
    direction: Line,
}

/// The bolts that serve each wedge at its worst placement.
pub(crate) fn bolt_rows<'a>(case: &'a Case, check: &'a Check) -> Vec<BoltRow<'a>> {
    let mut rows = Vec::new();
    for wedge in check.every() {
        for serving in wedge.serving().unwrap_or_default() {
            rows.push(BoltRow {
                wedge: &wedge.wedge.id,
                serving,
                design: &case.bolts[case.pattern_at(serving.pattern).bolt],
                spot: case.spot_number(serving.pattern),
                pattern: case.pattern_number(serving.pattern),
                direction: Line::from_vector(&check.opening.frame.to_world(&serving.direction)),
            });
        }
    }
    rows
}

/// The columns; the README says what each means.
pub(crate) fn bolt_table<'a>() -> Table<BoltRow<'a>> {
    use Format::{Fixed, Kn, Whole, Words};
    Table::<BoltRow<'a>>::new()
        .column("wedge", |r| r.wedge.into())
        .on_page("wedge", Words)
        .column("pattern", |r| r.pattern.into())
        .on_page("pattern", Whole)
        .column("ring", |r| {
            (r.spot.is_none() && r.serving.surface != Surface::Face).then_some(r.serving.ring).into()
        })
        .on_page("ring", Whole)
        .column("chainage_m", |r| Cell::metres(r.serving.chainage_m))
        .column("u_m", |r| Cell::metres(r.serving.point.x))
        .on_page("u m", Fixed(2))
        .column("v_m", |r| Cell::metres(r.serving.point.y))
        .on_page("v m", Fixed(2))
        .column("trend_deg", |r| trend_deg(r.direction).into())
        .column("plunge_deg", |r| plunge_deg(r.direction).into())
        .column("head_m", |r| r.serving.head_m.into())
        .on_page("head m", Fixed(2))
        .column("toe_m", |r| r.serving.toe_m.into())
        .on_page("toe m", Fixed(2))
        .column("capacity_kn", |r| r.serving.capacity.kn.into())
        .on_page("capacity kN", Kn)
        .column("governed_by", |r| r.serving.capacity.governed_by.name().into())
        .on_page("governed by", Words)
        .column("share_kn", |r| r.serving.share_kn.into())
        .on_page("share kN", Kn)
        .column("bolt", |r| (&r.design.name).into())
        .column("source", |r| r.design.source.as_deref().unwrap_or(NO_SOURCE).into())
        // Whether the joint crosses it within a plate's reach of the collar.
        .column("near_plate", |r| Cell::YesNo(r.serving.near_plate()))
        .on_page("joint near plate", Words)
        .column("bolt_at", |r| r.spot.into())
        .on_page("single bolt", Whole)
}

const ON_PAGE: [&str; 12] = [
    "wedge",
    "pattern",
    "bolt_at",
    "ring",
    "u_m",
    "v_m",
    "head_m",
    "toe_m",
    "capacity_kn",
    "governed_by",
    "share_kn",
    "near_plate",
];

/// The page's section.
pub(crate) fn section(body: &mut Html, rows: &[BoltRow<'_>]) {
    if rows.is_empty() {
        return;
    }
    body.heading("Bolts that cross a wedge at its worst placement");
    let near = rows.iter().filter(|row| row.serving.near_plate()).count();
    body.paragraph(&near_plate_words(near));
    let many = if rows.len() == 1 { "bolt" } else { "bolts" };
    body.details(&format!("{} {many}", rows.len()), |body| body.table(&bolt_table().page(&ON_PAGE, rows)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{TEMPLATE, parse_case};
    use crate::study::check;
    use crate::support::PLATE_REACH_M;

    #[test]
    fn joints_near_plates_are_flagged_in_the_table() {
        let read = parse_case(TEMPLATE, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap();
        let found = check(&read.case).unwrap().check;
        let text = bolt_table().csv(&bolt_rows(&read.case, &found)).unwrap();
        let mut table = csv::Reader::from_reader(text.as_bytes());
        let header = table.headers().unwrap().clone();
        let at = |name: &str| header.iter().position(|h| h == name).unwrap();
        let mut flags = Vec::new();
        for row in table.records().map(Result::unwrap) {
            let near = row[at("head_m")].parse::<f64>().unwrap() < PLATE_REACH_M;
            assert_eq!(&row[at("near_plate")], if near { "yes" } else { "no" }, "{row:?}");
            flags.push(near);
        }
        assert!(flags.contains(&true) && flags.contains(&false), "{flags:?}");
    }
}
