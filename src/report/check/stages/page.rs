//! The page's section on stages.

use super::words::{at_the_face, unsupported};
use crate::report::check::page::{Page, marked};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed, kn, volume};

pub(crate) fn stages(body: &mut Html, page: &Page) {
    let stages = page.stages;
    body.heading("Stages: what stands from round to round");
    body.list(unsupported(stages).into_iter().chain(at_the_face(page.check)));
    body.figure(page.figures, "stages");
    body.figure(page.figures, "face");
    let header = [
        ("stage", false),
        ("place", false),
        ("wedge", false),
        ("verdict", false),
        ("mode", false),
        ("unsupported m", true),
        ("length m", true),
        ("volume m³", true),
        ("weight kN", true),
        ("FS", true),
        ("asked", true),
        ("bolts", true),
    ];
    let rows: Vec<Vec<String>> = stages
        .rows
        .iter()
        .map(|row| {
            vec![
                row.stage.name().into(),
                row.place.name().into(),
                row.wedge.clone(),
                marked(row.verdict),
                row.mode.name().into(),
                fixed(row.unsupported_length_m, 2),
                fixed(row.length_m, 2),
                volume(row.volume_m3),
                kn(row.weight_kn),
                factor(row.fs),
                row.criterion_fs.map(|fs| fixed(fs, 2)).unwrap_or_default(),
                row.bolts_serving.to_string(),
            ]
        })
        .collect();
    body.raw("<details><summary>").text(&format!("{} rows", rows.len())).raw("</summary>");
    body.table(&header, &rows);
    body.raw("</details>");
    let mut notes = vec![
        "Ahead of last ring: the largest wedge that fits between the last ring and the face, which no bolt can meet. Face: with the bolts behind the last ring that reach it. Across last ring: the largest wedge, where it does not fit ahead, with its front anywhere up to the face. In pattern: as in the table of wedges, forces alone and the largest size.".to_owned(),
        "Each stage counts force alone; moments are not balanced in it. Screen and shotcrete are not counted.".to_owned(),
    ];
    if stages.assumed {
        notes.push(format!(
            "The case does not say where the last ring stands (last_ring_from_face_m); {} m, the widest ring spacing, were assumed here. The table of wedges takes the worst distance up to that for wedges at the face.",
            fixed(stages.last_ring_m, 2)
        ));
    }
    notes.push(if stages.young {
        "Young resin: bond over the fast length at the toe and the plate at the head; every bolt counts so, also those of rounds before. Resin without fast_length_m and grouted cables count nothing yet; friction bolts and mechanical anchors count fully.".into()
    } else {
        "No bolt of a pattern says how much of it is set in fast resin (fast_length_m): the stage with young resin is left out.".into()
    });
    body.list(notes.into_iter());
}
