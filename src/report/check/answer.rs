use crate::case::Case;
use crate::report::check::prisms::prism_sentence;
use crate::report::check::stages::words::{at_the_face, unsupported};
use crate::report::check::surface::words::{scaling_sentence, screen_sentence};
use crate::report::paper::numbers::{factor, fixed, kn, volume};
use crate::report::words::{NOT_COVERED, not_judged_of};
use crate::study::{CLOSEST_RINGS_M, Check, CheckedWedge, LONGEST_BOLT_M, Remedy, Verdict, Whole};

/// The answer in words, the same on terminal, page and in summary.json, a line each: what the bolts
/// hold (which wedges are short, the worst of them, what it lacks and what would do); what the screen
/// must hold; what stands unsupported after each round; what else was looked at; what was not judged.
#[must_use]
pub(super) fn answer(case: &Case, whole: &Whole, remedy: Option<&Remedy>) -> String {
    let Whole { check, sizes, stages, beside, .. } = whole;
    let mut bolts = vec![count(check)];
    match remedy {
        Some(remedy) => {
            if let Some(worst) = check.wedges.iter().find(|w| w.wedge.id == remedy.wedge) {
                bolts.push(format!("Worst: {}.", described(worst, check)));
                bolts.push(what_would_do(worst, remedy, check.layouts.len()));
            }
        }
        None => {
            if let Some(nearest) = nearest_to_criterion(check) {
                bolts.push(format!("Nearest to its criterion: {}.", described(nearest, check)));
            }
        }
    }
    let screen: Vec<String> = screen_sentence(case, beside, sizes).into_iter().collect();
    let round: Vec<String> = unsupported(stages).into_iter().chain(at_the_face(check)).collect();
    let besides: Vec<String> =
        scaling_sentence(case, beside, check).into_iter().chain(prism_sentence(beside)).collect();
    let parts = [bolts, screen, round, besides, vec![not_judged(case)]];
    parts.iter().filter(|p| !p.is_empty()).map(|p| p.join(" ")).collect::<Vec<_>>().join("\n")
}

/// What stands outside the answer, in one sentence.
#[must_use]
pub(super) fn not_judged(case: &Case) -> String {
    let list: Vec<&str> = not_judged_of(case).into_iter().chain(NOT_COVERED).collect();
    format!("Not judged: {}.", list.join(", "))
}

fn count(check: &Check) -> String {
    let all = check.wedges.len();
    let short = check.wedges.iter().filter(|w| w.decided.verdict == Verdict::Short).count();
    let bare = if check.layouts.is_empty() { " without bolts" } else { "" };
    let along = if check.face.is_empty() { "" } else { " along the drive" };
    match (all, short) {
        (0, _) => "No removable wedge of a litre or more.".into(),
        (1, 0) => format!("The one wedge is held{bare}."),
        (1, _) => format!("The one wedge is short{bare}."),
        (_, 0) => format!("All {all} wedges{along} are held{bare}."),
        (_, 1) => format!("1 of {all} wedges{along} is short{bare}."),
        _ => format!("{short} of {all} wedges{along} are short{bare}."),
    }
}

/// `A-B-C.111 in the back, 223 kN, FS 1.05 where 2.00 is asked, at its worst placement`
fn described(wedge: &CheckedWedge, check: &Check) -> String {
    let surfaces: Vec<String> = wedge.wedge.surfaces.iter().map(|s| format!("the {}", s.name())).collect();
    // Where a smaller size than the largest decides, its weight stands here and both are named.
    let smaller = wedge.smaller_that_decides();
    let size = match smaller {
        Some(size) => format!(
            "{} kN at {} m³ of up to {} m³",
            kn(size.weight_kn),
            volume(size.volume_m3),
            volume(wedge.wedge.shape.volume_m3)
        ),
        None => format!("{} kN", kn(wedge.wedge.weight_kn)),
    };
    let mut text = format!(
        "{} in {}, {size}, FS {} where {} is asked",
        wedge.wedge.id,
        surfaces.join(" and "),
        factor(wedge.deciding_fs()),
        fixed(wedge.decided.criterion_fs.unwrap_or(f64::NAN), 2),
    );
    if !check.layouts.is_empty() {
        if wedge.rotation_decides() {
            text.push_str(" with moments in balance");
        }
        if wedge.tolerance_decides() {
            text.push_str(" with collars off their place");
        }
        text.push_str(", at its worst placement");
        if wedge.deciding_bolts() == Some(0) {
            text.push_str(", where no bolt crosses it");
        }
        if smaller.is_none() && wedge.placement().is_some_and(crate::support::Placement::none_works) {
            text.push_str(", where the bolts that cross it carry nothing");
        }
    }
    text
}

fn what_would_do(worst: &CheckedWedge, remedy: &Remedy, patterns: usize) -> String {
    let lacking = kn(remedy.force_lacking_kn);
    if remedy.pattern.is_none() {
        let surfaces: Vec<&str> = worst.wedge.surfaces.iter().map(|s| s.name()).collect();
        return format!(
            "It needs {lacking} kN of support; no pattern covers the {}.",
            surfaces.join(" or the ")
        );
    }
    let mut ways = Vec::new();
    let of_pattern = match remedy.pattern {
        Some(index) if patterns > 1 => format!(" of pattern {}", index + 1),
        _ => String::new(),
    };
    if let Some(spacing) = remedy.ring_spacing_m {
        ways.push(format!("rings{of_pattern} at {spacing:.1} m"));
    }
    if let Some(length) = remedy.length_m {
        ways.push(format!("bolts{of_pattern} of {length:.1} m"));
    }
    if ways.is_empty() && worst.placement().is_some() && worst.deciding_bolts() == Some(0) {
        format!(
            "It slips between the bolts even with rings at {CLOSEST_RINGS_M:.1} m: its {} are for the screen and the scaling bar.",
            litres(worst.smaller_that_decides().map_or(worst.wedge.shape.volume_m3, |size| size.volume_m3))
        )
    } else if ways.is_empty() {
        format!(
            "{lacking} kN more would do, but neither rings at {CLOSEST_RINGS_M:.1} m nor bolts of {LONGEST_BOLT_M:.1} m give them."
        )
    } else {
        format!("{lacking} kN more would do: {}.", ways.join(", or "))
    }
}

/// `40 litres` or `1.25 m³`.
fn litres(volume_m3: f64) -> String {
    if volume_m3 < 0.1 {
        format!("{} litres", fixed(volume_m3 * 1000.0, 1))
    } else {
        format!("{} m³", fixed(volume_m3, 2))
    }
}

/// The moving wedge with the least ratio of factor of safety to criterion.
fn nearest_to_criterion(check: &Check) -> Option<&CheckedWedge> {
    let ratio = |w: &CheckedWedge| w.decided.criterion_fs.map(|asked| w.deciding_fs() / asked);
    check
        .wedges
        .iter()
        .filter(|w| w.decided.criterion_fs.is_some())
        .reduce(|a, b| if ratio(b) < ratio(a) { b } else { a })
}
