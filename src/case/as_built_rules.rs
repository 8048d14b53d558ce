//! As-built bolts of a case file: what their keys ask of the rest of the case.

use super::as_built::{AsBuilt, OFF_BY_M};
use super::as_built_file::FoundBolts;
use super::bounds_rules::{LONGEST_AS_BUILT_M, too_long};
use super::face_bolting::is_on_face;
use super::file::{AsBuiltTable, AsBuiltWord};
use super::local::check_stretch;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};

/// Checks the table against the patterns: spot bolts have chainages, so the patterns that they stand
/// between need them too.
pub(super) fn check_as_built(table: &Table, patterns: &[Node], problems: &mut Collector) {
    check_stretch(table, "give the first chainage as from_m, the last as to_m", problems);
    if table.text("mode") != Some("adds") {
        return;
    }
    for node in patterns {
        let Some(pattern) = node.table() else { continue };
        if !pattern.mentions("offset_m") && !pattern.mentions("from_m") && !is_on_face(pattern) {
            let says = Says::new(
                "nothing, though as-built bolts stand between its rings",
                "the chainage of ring 0, metres",
                "add offset_m: bolts that have chainages count with rings that have them",
            );
            let key = format!("{}.offset_m", node.path);
            problems.add(ProblemKind::MissingKey, node.place, &key, says);
        }
    }
}

/// The plain value; `None` where the stretch is none, which is reported.
pub(super) fn as_built_of(
    table: &AsBuiltTable,
    found: FoundBolts,
    at: &Node,
    problems: &mut Collector,
) -> Option<AsBuilt> {
    let chainage = |bolt: Option<&super::FoundBolt>| bolt.map(|b| b.set.chainage_m);
    let from_m = table.from_m.or(chainage(found.bolts.first()))?;
    let to_m = table.to_m.or(chainage(found.bolts.last()))?;
    if to_m <= from_m {
        let says = Says::new(
            format!("a stretch from chainage {from_m} to {to_m}"),
            "a stretch with some length",
            "add from_m and to_m: the chainages between which every bolt was looked for",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        return None;
    }
    if to_m - from_m > LONGEST_AS_BUILT_M {
        problems.add(ProblemKind::Conflict, at.place, &at.path, too_long(to_m - from_m));
        return None;
    }
    Some(AsBuilt {
        file: table.file.clone(),
        replaces: table.mode == AsBuiltWord::Replaces,
        from_m,
        to_m,
        off_by_m: table.off_by_m.unwrap_or(OFF_BY_M),
        survey_error_m: table.survey_error_m.unwrap_or(0.0),
        kinds: found.kinds,
        bolts: found.bolts,
        rejected: found.rejected,
        earlier: None,
    })
}

/// The stretch as an earlier list of the same columns has it.
pub(super) fn earlier_of(built: &AsBuilt, file: &str, found: FoundBolts) -> AsBuilt {
    AsBuilt {
        file: file.to_owned(),
        kinds: found.kinds,
        bolts: found.bolts,
        rejected: found.rejected,
        ..built.clone()
    }
}
