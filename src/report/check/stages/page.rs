//! The page's section on stages.

use super::table::{ON_PAGE, stage_table};
use super::words::{at_the_face, scanned, unsupported};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::numbers::fixed;
use crate::study::{Check, Stages};

/// The page's section.
pub(crate) fn section(body: &mut Html, check: &Check, stages: &Stages, figures: &[Figure]) {
    body.heading("Stages: what stands from round to round");
    body.list(unsupported(stages).into_iter().chain(at_the_face(check)).chain(scanned(check)));
    body.figure(figures, "stages");
    body.figure(figures, "face");
    body.details(&format!("{} rows", stages.rows.len()), |body| {
        body.table(&stage_table().page(&ON_PAGE, &stages.rows));
    });
    let mut notes = vec![
        "Ahead of last ring: the largest wedge that fits between the last ring and the face, which no bolt can meet. Face: with the bolts behind the last ring that reach it. Across last ring: the largest wedge, where it does not fit ahead, with its front anywhere up to the face. In pattern: as in the table of wedges, forces alone and the largest size.".to_owned(),
        "Each stage counts force alone; moments are not balanced in it. Screen and shotcrete are not counted.".to_owned(),
    ];
    if !check.face_bolts.is_empty() {
        notes.push("Face bolted: the rings and the bolts in the face, with the screen or shotcrete that covers it; of each pyramid the wedge at the face that is carried least. The next round blasts the bolts in the face away, so the stages before count none of them.".into());
    }
    if let Some(from) = &stages.assumed_from {
        notes.push(format!(
            "The case does not say where the last ring stands (last_ring_from_face_m); {} m, the ring spacing of pattern {} ({}), were assumed here: of the patterns that cover the back the one whose rings are closest, since it goes up to the face with the round. The table of wedges takes the worst distance up to the widest ring spacing of any pattern for wedges at the face.",
            fixed(stages.last_ring_m, 2),
            from.pattern + 1,
            from.bolt
        ));
    }
    notes.push(if stages.young {
        "Young resin: bond over the fast length at the toe and the plate at the head; every bolt counts so, also those of rounds before. Resin without fast_length_m and grouted cables count nothing yet; friction bolts and mechanical anchors count fully.".into()
    } else {
        "No bolt of a pattern says how much of it is set in fast resin (fast_length_m): the stage with young resin is left out.".into()
    });
    body.list(notes.into_iter());
}
