//! What is said of a stretch as designed and as built: answer and lines.

use super::compared::since_words;
use super::spots::{spot_lines, spot_sentence};
use crate::case::{AsBuilt, Case};
use crate::report::paper::numbers::{factor, fixed, shortest};
use crate::study::{AsBuiltCheck, AsBuiltWedge, Unjudged, Verdict};
use crate::support::Condition;

/// `As built, chainage 40.0 to 64.0 m: 1 of 4 wedges that move is short, 1 of them held by design: A-B-C.111, FS 4.40
/// by design and 1.20 as built where 2.00 is asked, apex at chainage 51.2 m.`
#[must_use]
pub(crate) fn as_built_answer(case: &Case, found: &AsBuiltCheck) -> String {
    let where_m = format!("As built, chainage {} to {} m", fixed(found.from_m, 1), fixed(found.to_m, 1));
    let wedges = &found.wedges;
    let all = wedges.iter().filter(|w| !w.found.decided.is_left_out()).count();
    let short = wedges.iter().filter(|w| w.as_built_verdict() == Verdict::Short).count();
    let mut text = match (all, short) {
        (0, _) => format!("{where_m}: no wedge moves on ground that is judged."),
        (_, 0) if not_judged(found).is_empty() => {
            format!("{where_m}: {} held with the bolts that stand there.", counted(all, all))
        }
        (_, 0) => format!("{where_m}: none of {all} wedges that move is short."),
        _ => format!("{where_m}: {} short{}", counted(short, all), since(found, short)),
    };
    text.extend(spot_sentence(found).map(|said| format!(" {said}")));
    for reason in not_judged(found) {
        text.push_str(&format!(" Not judged there: {reason}."));
    }
    if let Some(built) = &case.site.as_built {
        text.push_str(&format!(" {}", used(built)));
    }
    text
}

/// `1 of 4 wedges that move is`, `all 4 wedges that move are`.
fn counted(count: usize, all: usize) -> String {
    match (count, all) {
        (1, 1) => "the wedge that moves is".to_owned(),
        (n, all) if n == all => format!("all {all} wedges that move are"),
        (1, all) => format!("1 of {all} wedges that move is"),
        (n, all) => format!("{n} of {all} wedges that move are"),
    }
}

/// What the short ones were by design, and the one that has least of what is asked among those that the drawn bolts
/// held; among all where there is none.
fn since(found: &AsBuiltCheck, short: usize) -> String {
    let went: Vec<&AsBuiltWedge> = found.went_short().collect();
    let by_design = found.wedges.iter().filter(|w| w.as_built_verdict() == Verdict::Short);
    let both: Vec<&AsBuiltWedge> = by_design.filter(|w| w.designed_verdict() == Verdict::Short).collect();
    let how = match (went.len(), both.len()) {
        (0, n) if n == short => ", as by design".to_owned(),
        (0, 0) => ", not judged by design".to_owned(),
        (0, n) => format!(", {n} of them by design too"),
        (n, _) if n == short => ", held by design".to_owned(),
        (n, _) => format!(", {n} of them held by design"),
    };
    let named = if went.is_empty() {
        found.wedges.iter().filter(|w| w.as_built_verdict() == Verdict::Short).collect()
    } else {
        went
    };
    let margin = |w: &&AsBuiltWedge| w.found.decided.margin();
    let least = named.into_iter().reduce(|a, b| if margin(&b) < margin(&a) { b } else { a });
    match least.and_then(change) {
        Some(change) => format!("{how}: {change}."),
        None => format!("{how}."),
    }
}

/// How many wedges are not judged, and why.
fn not_judged(found: &AsBuiltCheck) -> Vec<String> {
    let mut reasons = Vec::new();
    for (why, says) in [
        (Unjudged::TooLong, "whose face is longer than the stretch, or lies outside it"),
        (Unjudged::NoSurfaceSupport, "with pieces between the bolts that nothing entered carries"),
        (Unjudged::Open, "where the search ended open"),
        (Unjudged::StressNotFound, "where no balance was found under stress"),
    ] {
        let count = found.wedges.iter().filter(|w| w.found.decided.unjudged == Some(why)).count();
        if count > 0 {
            reasons.push(format!("{count} {says}"));
        }
    }
    reasons
}

fn change(wedge: &AsBuiltWedge) -> Option<String> {
    let built = wedge.found.decided.fs?;
    let designed = match wedge.by_design.fs {
        Some(fs) => format!("FS {} by design and {} as built", factor(fs), factor(built)),
        None => format!("FS {}", factor(built)),
    };
    let at = wedge.apex_m().map_or_else(String::new, |m| format!(", apex at chainage {} m", fixed(m, 1)));
    let asked = fixed(wedge.criterion_fs, 2);
    Some(format!("{}, {designed} where {asked} is asked{at}", wedge.wedge))
}

fn used(built: &AsBuilt) -> String {
    if built.rejected.is_empty() {
        format!("All {} bolts listed are used.", built.rows())
    } else {
        format!(
            "{} of {} bolts listed are used, {} rejected.",
            built.bolts.len(),
            built.rows(),
            built.rejected.len()
        )
    }
}

/// How the bolts were counted: which there are, in which states, where the rings stand.
#[must_use]
pub(crate) fn as_built_lines(case: &Case, found: &AsBuiltCheck) -> Vec<String> {
    let Some(built) = &case.site.as_built else { return Vec::new() };
    let states: Vec<String> = Condition::ALL
        .into_iter()
        .filter_map(|state| {
            let count = built.bolts.iter().filter(|b| b.condition == state).count();
            (count > 0).then(|| format!("{count} {}", state.name()))
        })
        .collect();
    let mut lines: Vec<String> = since_words(case, found).into_iter().collect();
    lines.push(format!("{} {}: {}.", used(built), built.file, states.join(", ")));
    lines.push(if built.replaces {
        "They are taken to be all that stands in the stretch.".to_owned()
    } else {
        "They are taken to stand between the bolts of the patterns, all of which are taken to be there."
            .to_owned()
    });
    for (index, phase) in found.phases.iter().enumerate() {
        let how = if phase.fitted {
            "fitted to the bolts found, since the case gives no offset_m"
        } else {
            "as the case says"
        };
        lines.push(format!(
            "Ring 0 of pattern {} at chainage {} m, {how}.",
            index + 1,
            fixed(phase.offset_m, 3)
        ));
    }
    lines.extend(doubtful_fits(found));
    if found.outside > 0 {
        lines.push(format!(
            "{} outside the stretch, counted at no ring; a list of another stretch, or from_m and to_m are too near.",
            if found.outside == 1 { "1 bolt stands".to_owned() } else { format!("{} bolts stand", found.outside) }
        ));
    }
    lines.push(format!(
        "A bolt counts as found where one stands within half a spacing of its drawn place, off its place beyond {} m.",
        shortest(built.off_by_m)
    ));
    lines.extend(spot_lines(found));
    lines.push(survey_words(built));
    lines.push("Each verdict is that of the same judgement as the drive's, over every piece whose face lies in the stretch; outside it the ground is as designed. fs_largest is of the largest admissible wedge alone, by forces. Ring by ring: that wedge, nearest to its criterion with the middle of its face within half a ring spacing; across the section it is sampled there, so that the least of a ring can lie a little above the wedge's own.".to_owned());
    lines
}

/// Rings that were fitted to bolts that hardly stand where they put them, which the terminal says too.
#[must_use]
pub(crate) fn doubtful_fits(found: &AsBuiltCheck) -> Vec<String> {
    let badly = found.phases.iter().enumerate().filter(|(_, phase)| phase.fits_badly());
    badly
        .map(|(index, phase)| {
            let drawn = counted_bolts(phase.drawn);
            let how = match phase.found {
                0 => format!("nothing to be fitted to: of {drawn} none has a bolt within half a spacing"),
                found => format!("a bad fit: {found} of {drawn} have a bolt within half a spacing"),
            };
            format!(
                "The rings of pattern {} have {how}, so missing, off place and extra may be of other rings. Give offset_m.",
                index + 1
            )
        })
        .collect()
}

fn counted_bolts(count: usize) -> String {
    if count == 1 { "1 drawn bolt".to_owned() } else { format!("{count} drawn bolts") }
}

/// What is taken of where collars stand.
fn survey_words(built: &AsBuilt) -> String {
    if built.survey_error_m > 0.0 {
        format!(
            "Collars may stand up to {} m from where the list puts them (survey_error_m): a bolt counts where its collar is sure to be on the face.",
            shortest(built.survey_error_m)
        )
    } else {
        "Collars stand exactly where the list puts them (no survey_error_m).".to_owned()
    }
}
