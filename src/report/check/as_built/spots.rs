//! Spot bolts that mend a stretch: spot_bolts.csv, in the columns of a list of bolts as built, and the page's table.

use crate::case::Case;
use crate::orientation::Line;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::study::{AsBuiltCheck, SpotBolt, SpotBolts, Verdict};

/// What a drilled bolt is listed as.
const STATE: &str = "good";

/// A row of spot_bolts.csv.
#[derive(Debug, Clone)]
pub(crate) struct SpotRow<'a> {
    spot: &'a SpotBolt,
    bolt: &'a str,
    line: Line,
}

/// The spot bolts of a stretch; none where nothing was looked for.
pub(crate) fn spot_rows<'a>(case: &'a Case, found: &'a AsBuiltCheck) -> Vec<SpotRow<'a>> {
    let spots = found.spot_bolts.iter().flat_map(|spots| &spots.bolts);
    spots.map(|spot| SpotRow { spot, bolt: &case.bolts[spot.bolt].name, line: spot.line }).collect()
}

/// The columns: those that a list of bolts as built has, so that its rows go below the others once they are drilled.
pub(crate) fn spot_table<'a>() -> Table<SpotRow<'a>> {
    use Format::{Fixed, Words};
    Table::<SpotRow<'a>>::new()
        .column("chainage_m", |r| Cell::metres(r.spot.set.chainage_m))
        .on_page("chainage m", Fixed(2))
        .column("arc_m", |r| Cell::metres(r.spot.arc_m))
        .on_page("from the crown m", Fixed(2))
        .column("trend_deg", |r| r.line.trend_deg.into())
        .on_page("trend °", Fixed(0))
        .column("plunge_deg", |r| r.line.plunge_deg.into())
        .on_page("plunge °", Fixed(0))
        .column("length_m", |r| r.spot.length_m.into())
        .on_page("length m", Format::Quantity)
        .column("outside_hole_m", |r| r.spot.outside_hole_m.into())
        .column("bolt", |r| r.bolt.into())
        .on_page("bolt", Words)
        .column("state", |_| STATE.into())
        .column("note", |r| format!("for {}", r.spot.wedge).into())
        .on_page("why", Words)
}

/// `3 spot bolts (spot_bolts.csv) hold all of it.`; nothing where none was looked for.
pub(super) fn spot_sentence(found: &AsBuiltCheck) -> Option<String> {
    let spots = found.spot_bolts.as_ref()?;
    let still: Vec<&str> = spots.still_short().collect();
    let count = spots.bolts.len();
    let bolts = if count == 1 { "1 spot bolt".to_owned() } else { format!("{count} spot bolts") };
    Some(match (count, still.len()) {
        (0, _) => "No spot bolt of the pattern's kind was found that mends it.".to_owned(),
        (_, 0) if holds_all(spots) => format!("{bolts} (spot_bolts.csv): all held."),
        (_, 0) => format!("{bolts} (spot_bolts.csv): none short."),
        (_, n) => format!("{bolts} (spot_bolts.csv): {n} still short ({}).", still.join(", ")),
    })
}

fn holds_all(spots: &SpotBolts) -> bool {
    spots.promised.iter().all(|p| p.1 == Verdict::Held)
}

/// How they were found.
pub(super) fn spot_lines(found: &AsBuiltCheck) -> Vec<String> {
    let Some(spots) = found.spot_bolts.as_ref().filter(|spots| !spots.bolts.is_empty()) else {
        return Vec::new();
    };
    let promised: Vec<String> =
        spots.promised.iter().map(|(id, verdict)| format!("{id} {}", verdict.name())).collect();
    vec![format!(
        "Spot bolts: the pattern's bolt and length, square to the surface to a whole degree, collars to 5 cm and 0.3 m or more from others, one more in the face of a short piece until none is short. The stretch was judged again with all of them, collars off their place by the case's tolerance: {}. Resin, reach of the boom and other holes are not asked.",
        promised.join(", ")
    )]
}

/// The page's list of spot bolts; nothing without any.
pub(super) fn section(body: &mut Html, case: &Case, found: &AsBuiltCheck) {
    let rows = spot_rows(case, found);
    if !rows.is_empty() {
        body.open_details(&format!("{} spot bolts to drill", rows.len()), |body| {
            body.table(&spot_table().page_of_all(&rows));
        });
    }
}
