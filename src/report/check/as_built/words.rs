//! What is said of a stretch as designed and as built: answer and lines.

use crate::case::{AsBuilt, Case};
use crate::report::paper::numbers::{factor, fixed, shortest};
use crate::study::{AsBuiltCheck, AsBuiltWedge, Verdict};
use crate::support::Condition;

/// Wedges that the answer names; the table has all.
const NAMED: usize = 1;

/// `As built, chainage 40.0 to 64.0 m, forces alone and largest sizes: 1 wedge of 4 that move went from
/// held to short: A-B-C.111 from FS 4.40 to 1.20 where 2.00 is asked, apex at chainage 51.2 m.`
#[must_use]
pub(crate) fn as_built_answer(case: &Case, found: &AsBuiltCheck) -> String {
    let where_m = format!(
        "As built, chainage {} to {} m, forces alone and largest sizes",
        fixed(found.from_m, 1),
        fixed(found.to_m, 1)
    );
    let all = found.wedges.len();
    let went: Vec<&AsBuiltWedge> = found.went_short().collect();
    let short = found.wedges.iter().filter(|w| w.as_built_verdict == Verdict::Short).count();
    let too_long = found.wedges.iter().filter(|w| w.as_built_verdict == Verdict::NotJudged).count();
    let mut text = match (all, went.len()) {
        (0, _) => format!("{where_m}: no wedge moves."),
        (_, 0) if short == 0 && too_long == 0 => {
            format!("{where_m}: the bolts that stand there hold every wedge that moves.")
        }
        (_, 0) if too_long == all => {
            format!("{where_m}: nothing is judged, since no wedge's face fits into the stretch.")
        }
        (_, 0) if short == 0 => format!("{where_m}: no wedge that fits there is short."),
        (_, 0) => format!("{where_m}: {short} of {all} wedges that move are short, as designed too."),
        (_, n) => {
            let mut listed: Vec<String> = went.iter().take(NAMED).filter_map(|w| change(w)).collect();
            if n > NAMED {
                listed.push(format!("{} more in the table", n - NAMED));
            }
            let wedges = if n == 1 { "1 wedge".to_owned() } else { format!("{n} wedges") };
            format!("{where_m}: {wedges} of {all} that move went from held to short: {}.", listed.join("; "))
        }
    };
    if too_long > 0 {
        text.push_str(&format!(" Not judged there: {too_long} whose face is longer than the stretch."));
    }
    if let Some(built) = &case.site.as_built {
        text.push_str(&format!(" {}", used(built)));
    }
    text
}

fn change(wedge: &AsBuiltWedge) -> Option<String> {
    let (drawn, built) = (wedge.designed.as_ref()?, wedge.as_built.as_ref()?);
    Some(format!(
        "{} from FS {} to {} where {} is asked, apex at chainage {} m",
        wedge.wedge,
        factor(drawn.least_fs),
        factor(built.least_fs),
        fixed(wedge.criterion_fs, 2),
        fixed(built.chainage_m, 1)
    ))
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
    let mut lines = vec![format!("{} {}: {}.", used(built), built.file, states.join(", "))];
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
    lines.push(format!(
        "A bolt counts as found where one stands within half a spacing of its drawn place, off its place beyond {} m.",
        shortest(built.off_by_m)
    ));
    lines.push("Both columns are of the largest admissible wedge with its face wholly in the stretch, forces alone. Moments, smaller sizes and the gap wedge are as designed, and so is the ground outside the stretch. Ring by ring: the wedge nearest to its criterion with the middle of its face within half a ring spacing; across the section it is sampled there, so that the least of a ring can lie a little above the wedge's own.".to_owned());
    lines
}
