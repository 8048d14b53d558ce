//! What is said of the stages of the cycle and of the face.

use crate::report::paper::numbers::{fixed, kn};
use crate::study::{Check, FaceScan, Place, Stages, Verdict};

/// `After each round 4.8 m stand unsupported (3.6 m of round, last ring 1.2 m behind the face): up to
/// 26.5 kN can fall from there (A-B-C.111).`
#[must_use]
pub(crate) fn unsupported(stages: &Stages) -> Option<String> {
    let length = fixed(stages.fresh_length_m(), 1);
    let of_pattern = stages.assumed_from.as_ref().filter(|from| from.is_one_of_several);
    let from = format!(
        "{} m of round, last ring {}{} m behind the face{}",
        fixed(stages.round_length_m, 1),
        if stages.assumed_from.is_some() { "assumed " } else { "" },
        fixed(stages.last_ring_m, 1),
        of_pattern
            .map(|p| format!(", a ring spacing of pattern {}, {}", p.pattern + 1, p.bolt))
            .unwrap_or_default(),
    );
    let without_bolts = !stages.rows.iter().any(|r| r.place == Place::InPattern) && stages.last_ring_m == 0.0;
    let from = if without_bolts { "the round alone".to_owned() } else { from };
    Some(match stages.heaviest_fresh() {
        Some(row) => {
            let moves = if row.mode.name() == "falling" { "fall" } else { "slide" };
            let place = if row.place == Place::Face { "at the face" } else { "from there" };
            format!(
                "After each round {length} m stand unsupported ({from}): up to {} kN can {moves} {place} ({}).",
                kn(row.weight_kn),
                row.wedge
            )
        }
        None => format!(
            "After each round {length} m stand unsupported ({from}): no wedge of a litre or more lacks what is asked there."
        ),
    })
}

/// The same in a few words: `After each round 4.5 m stand bare, up to 104 kN.`
#[must_use]
pub(crate) fn bare_after_a_round(stages: &Stages) -> Option<String> {
    let length = fixed(stages.fresh_length_m(), 1);
    stages
        .heaviest_fresh()
        .map(|row| format!("After each round {length} m stand bare, up to {} kN.", kn(row.weight_kn)))
}

/// How wedges at the face of smaller sizes were looked at; `None` where none was.
#[must_use]
pub(crate) fn scanned(check: &Check) -> Option<String> {
    let scans: Vec<&FaceScan> = check.face.iter().filter_map(|w| w.found.at_face.as_deref()).collect();
    let (apexes, walked) = scans.iter().fold((0, 0), |(a, w), s| (a + s.apexes, w + s.walked));
    let planes = scans.iter().map(|s| s.planes).max()?;
    Some(format!(
        "Smaller wedges at the face are scanned, not bracketed as those of the drive are: {apexes} apexes of {} pyramids on up to {planes} planes ahead of the face, and {walked} more on the way down from the least of them. A wedge between these may be carried less.",
        scans.len()
    ))
}

/// `At the face 3 more wedges, 2 short, the heaviest A-B-C.011.face, 33.9 kN.` `None` where the face
/// has no wedge of its own.
#[must_use]
pub(crate) fn at_the_face(check: &Check) -> Option<String> {
    let all = check.face.len();
    let short = check.face.iter().filter(|w| w.decided.verdict == Verdict::Short).count();
    let open = check.face.iter().filter(|w| w.decided.verdict == Verdict::NotJudged).count();
    let heaviest = check
        .face
        .iter()
        .filter(|w| w.decided.verdict == Verdict::Short)
        .reduce(|a, b| if b.wedge.weight_kn > a.wedge.weight_kn { b } else { a });
    match (all, heaviest) {
        (0, _) => None,
        (1, None) if open == 1 => Some("At the face 1 more wedge, not judged.".to_owned()),
        (1, None) => Some("At the face 1 more wedge, held.".to_owned()),
        (_, None) if open > 0 => {
            Some(format!("At the face {all} more wedges, {open} not judged, none short."))
        }
        (_, None) => Some(format!("At the face {all} more wedges, all held.")),
        (1, Some(worst)) => Some(format!(
            "At the face 1 more wedge is short: {}, {} kN.",
            worst.wedge.id,
            kn(worst.wedge.weight_kn)
        )),
        (_, Some(worst)) => Some(format!(
            "At the face {all} more wedges, {short} short, the heaviest {}, {} kN.",
            worst.wedge.id,
            kn(worst.wedge.weight_kn)
        )),
    }
}
