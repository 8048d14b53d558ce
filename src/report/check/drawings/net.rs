//! The stereonet of a case: its planes, the ways its wedges move, its drive.

use crate::case::Case;
use crate::orientation::angle_between_deg;
use crate::report::paper::sheet::Sheet;
use crate::report::paper::stereonet::{NetLine, NetPlane, Stereonet};
use crate::stability::Mode;
use crate::study::{Check, CheckedWedge};

use super::order::{by_importance, moves, some_of};

/// Directions nearer than this are one arrow.
const SAME_DIRECTION_DEG: f64 = 0.5;

/// Names listed at one arrow; the rest are counted.
const MOST_NAMES: usize = 2;

/// Joint planes by set, the direction in which each wedge moves, and the drive's axis, on an
/// equal-area lower hemisphere. Wedges that move alike share an arrow.
#[must_use]
pub(crate) fn net(case: &Case, check: &Check) -> Sheet {
    Stereonet {
        title: title(check),
        north: case.north.clone(),
        planes: case
            .joints
            .iter()
            .enumerate()
            .map(|(set, joint)| NetPlane { label: joint.name.clone(), plane: joint.plane, set })
            .collect(),
        slides: slides(check),
        drive: Some(case.advance),
        ..Stereonet::default()
    }
    .draw()
}

fn slides(check: &Check) -> Vec<NetLine> {
    let mut groups: Vec<(crate::orientation::Line, Vec<&str>)> = Vec::new();
    for wedge in by_importance(check) {
        let Some(line) = wedge.slide else { continue };
        let here = line.to_vector();
        let known =
            groups.iter_mut().find(|g| angle_between_deg(&g.0.to_vector(), &here) < SAME_DIRECTION_DEG);
        match known {
            Some((_, names)) => names.push(&wedge.id),
            None => groups.push((line, vec![&wedge.id])),
        }
    }
    let mut slides = Vec::new();
    for (line, names) in groups {
        let shown = if names.len() == MOST_NAMES + 1 { MOST_NAMES + 1 } else { MOST_NAMES };
        slides.extend(names.iter().take(shown).map(|name| NetLine { label: (*name).to_owned(), line }));
        if names.len() > shown {
            slides.push(NetLine { label: format!("and {} more", names.len() - shown), line });
        }
    }
    slides
}

fn title(check: &Check) -> String {
    let ids = |wanted: fn(&CheckedWedge) -> bool| -> Vec<&str> {
        by_importance(check).into_iter().filter(|w| wanted(w)).map(|w| w.id.as_str()).collect()
    };
    let falling = ids(|w| w.stability.motion.mode == Mode::Falling);
    let sliding = ids(|w| moves(w) && w.stability.motion.mode != Mode::Falling);
    let verb = |ids: &[&str], one: &str, several: &str| -> String {
        format!("{} {}", some_of(ids), if ids.len() == 1 { one } else { several })
    };
    match (falling.is_empty(), sliding.is_empty()) {
        (true, true) if check.wedges.is_empty() => "These joints release no wedge of a litre or more".into(),
        (true, true) => "No wedge moves under its own weight".into(),
        (false, true) => format!("{}; none slides", verb(&falling, "falls", "fall")),
        (true, false) => format!("{}; none falls", verb(&sliding, "slides", "slide")),
        (false, false) => {
            format!("{}; {}", verb(&falling, "falls", "fall"), verb(&sliding, "slides", "slide"))
        }
    }
}
