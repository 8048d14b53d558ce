//! The sentences that every output carries.

use crate::case::practice::COMMON_PRACTICE;
use crate::case::{Case, Change};
use crate::opening::Surface;
use crate::report::paper::numbers::shortest;
use crate::study::AsDrawn;

const AT_REST: &str =
    "Limit equilibrium of forces: no stress in the rock clamps or loosens a wedge, no water, no shaking.";

const UNDER_SHAKING: &str = "Limit equilibrium of forces: no stress in the rock clamps or loosens a wedge, no water; shaking is a steady force.";

const BESIDE_STRESS: &str = "Limit equilibrium of forces: stress in the rock clamps no wedge in a verdict, and takes from what holds one where it harms; no water, no shaking.";

const BOTH: &str = "Limit equilibrium of forces: stress in the rock clamps no wedge in a verdict, and takes from what holds one where it harms; no water; shaking is a steady force.";

const WET: &str = "Limit equilibrium of forces: no stress in the rock clamps or loosens a wedge, no shaking; water presses on joints with a steady pressure that does not change as a wedge moves.";

const WET_UNDER_SHAKING: &str = "Limit equilibrium of forces: no stress in the rock clamps or loosens a wedge; water presses on joints with a steady pressure that does not change as a wedge moves; shaking is a steady force.";

const WET_BESIDE_STRESS: &str = "Limit equilibrium of forces: stress in the rock clamps no wedge in a verdict, and takes from what holds one where it harms; no shaking; water presses on joints with a steady pressure that does not change as a wedge moves.";

const ALL: &str = "Limit equilibrium of forces: stress in the rock clamps no wedge in a verdict, and takes from what holds one where it harms; water presses on joints with a steady pressure that does not change as a wedge moves; shaking is a steady force.";

/// What the method takes for granted of this case.
#[must_use]
pub(super) fn assumptions(case: &Case) -> [&'static str; 4] {
    let site = &case.site;
    let forces = match (site.water.is_some(), site.shaking.is_some(), site.stress.is_some()) {
        (false, false, false) => AT_REST,
        (false, true, false) => UNDER_SHAKING,
        (false, false, true) => BESIDE_STRESS,
        (false, true, true) => BOTH,
        (true, false, false) => WET,
        (true, true, false) => WET_UNDER_SHAKING,
        (true, false, true) => WET_BESIDE_STRESS,
        (true, true, true) => ALL,
    };
    ASSUMPTIONS.map(|sentence| if sentence == AT_REST { forces } else { sentence })
}

/// The same of a case at rest.
const ASSUMPTIONS: [&str; 4] = [
    "Rigid blocks between plane joints that run on as far as the wedge does, at any place along the drive, unless a limit caps them.",
    AT_REST,
    "Bolts are resistance that the movement calls on, along their axes, at the capacities the user gives; they are installed as drawn.",
    "Each wedge is judged alone; a bolt that crosses several counts fully for each.",
];

/// What no output of a check speaks of.
pub(super) const NOT_COVERED: [&str; 5] = [
    "slabs and beams between parallel joints",
    "blocks of more than three joint planes",
    "failure of intact rock",
    "openings that are not convex (at an intersection use a wider section)",
    "joints that are not plane",
];

const SCREEN_NOT_JUDGED: &str = "what the screen can carry";

const SHAKING_NOT_JUDGED: &str = "how long shaking lasts, what it loosens, and what it does to bolts and grout (it is a steady force here)";

const WATER_NOT_JUDGED: &str = "how the pressure of water falls or rises as joints open, as the rock drains or with the season, drain holes, flow, ice, and what water does to joints, rock, bolts and grout (it is a steady pressure here)";

const STRESS_NOT_JUDGED: &str = "what stress does to wedges at the face and ahead of the last ring, to prisms of two sets, to wedges that do not move without it and to pieces between those that are asked, slabbing and yield under it, and how long it lasts";

/// What a check does not judge yet.
pub(super) const NOT_JUDGED: [&str; 3] = [
    SCREEN_NOT_JUDGED,
    "wedges at the face between those that were scanned, and smaller ones across the last ring than the largest",
    "the face as it stands while it is drilled and loaded, and damage from the blast",
];

/// What a check does not judge yet of this case: what the screen can carry is judged where surface
/// support is entered.
#[must_use]
pub(super) fn not_judged_of(case: &Case) -> Vec<&'static str> {
    let entered = !case.surface_support.is_empty();
    let shaken = case.site.shaking.is_some().then_some(SHAKING_NOT_JUDGED);
    let wet = case.site.water.is_some().then_some(WATER_NOT_JUDGED);
    let stressed = case.site.stress.is_some().then_some(STRESS_NOT_JUDGED);
    let all = NOT_JUDGED.into_iter().filter(|&what| !(entered && what == SCREEN_NOT_JUDGED));
    all.chain(wet).chain(shaken).chain(stressed).collect()
}

/// What a reader must not forget.
pub(super) const CAUTIONS: [&str; 5] = [
    "These numbers need the judgement of a competent person who knows the site.",
    "Examine and scale the ground before work, after blasting and whenever it changes; what is seen there comes before anything printed here.",
    "The mine's own standards, local codes and licensed practice come first.",
    "No factor of safety guarantees that rock stays up.",
    "Bolt capacities are the user's, from pull tests; none is a default.",
];

/// The cautions in one line, for the terminal.
pub(crate) const CAUTION_LINE: &str = "Needs a competent person's judgement. Examine and scale the ground; mine standards, local codes and licensed practice come first. No factor of safety guarantees that rock stays up.";

/// What stands where a bolt's source would.
pub(super) const NO_SOURCE: &str = "no source given";

/// What must stand beside every plan.
pub(crate) const PLAN_CAUTION: &str = "A plan of quantities and minutes: it says nothing of whether the pattern holds the ground. Numbers marked common practice have no source; put in your own.";

/// What must stand beside every chance.
pub(crate) const CHANCE_CAUTION: &str = "A chance holds for the laws that are typed and for nothing else: a law that is guessed gives a guess. It is the share of draws of the whole drive, each joint set with one orientation and one strength, in which the largest wedge of a pyramid is short, wherever along the drive the joints make it; it is no chance per metre or per year.";

/// Most words of an answer: what is read before anything else has to be read whole.
pub(super) const MOST_WORDS: usize = 60;

/// How many words a text has.
#[must_use]
pub(super) fn words_in(text: &str) -> usize {
    text.split_whitespace().count()
}

/// The sentences that an answer has room for, in their order, and those that have to stand below it: the
/// first that has no room and all behind it.
#[must_use]
pub(super) fn fitting(sentences: Vec<String>) -> (String, Vec<String>) {
    let mut words = 0;
    let has_room = |sentence: &&String| {
        words += words_in(sentence);
        words <= MOST_WORDS
    };
    let fit = sentences.iter().take_while(has_room).count();
    let mut answer = sentences;
    let below = answer.split_off(fit);
    (answer.join(" "), below)
}

/// `the back and the left wall`
#[must_use]
pub(super) fn surface_words(surfaces: &[Surface]) -> String {
    surfaces.iter().map(|s| format!("the {}", s.name())).collect::<Vec<_>>().join(" and ")
}

/// How quantities by the metre are counted, said beside every comparison and every fit.
pub(crate) const BY_THE_METRE: &str = "Quantities, minutes and cost a metre are those of a drive without ends: one ring a ring spacing, sheets by the length that each adds, cartridges and set-ups by their shares. A plan of a stated length has whole ones and comes to a little more.";

/// Which screen is counted, said there too.
pub(crate) const SCREEN_ORDERED: &str = "Screen is ordered as far round the perimeter as [[surface]] of kind screen covers it, which is the screen that the verdict counts on; where there is none, from the outermost collar on one side to that on the other and a little beyond.";

/// What "holds everything" leaves out, said beside every comparison and every fit.
pub(crate) const NOT_ASKED: &str = "Not asked of a pattern: the bare round, ground wholly ahead of the last ring, wedges at the face, prisms of two sets; the check of a case tells of them. Collars are taken up to 0.1 m off their drawn place (common practice, no source) unless [installation] gives another tolerance. What one bay of screen carries is taken as typed at any spacing of bolts: it was tested at one.";

/// `pattern[1].ring_spacing_m: 1.2 -> 1.5`
#[must_use]
pub(super) fn change_words(change: &Change) -> String {
    let or_none = |value: &Option<String>| value.clone().unwrap_or_else(|| "none".to_owned());
    format!("{}: {} -> {}", change.key, or_none(&change.from), or_none(&change.to))
}

/// What an option changes, a line each.
#[must_use]
pub(crate) fn change_list(changes: &[Change]) -> Vec<String> {
    if changes.is_empty() { vec!["nothing".to_owned()] } else { changes.iter().map(change_words).collect() }
}

/// What the column of collars as drawn says, beside every comparison and every fit.
#[must_use]
pub(super) fn as_drawn_words(drawn: &AsDrawn) -> String {
    let by = shortest(drawn.tolerance_m);
    let whose = if drawn.given {
        format!("the {by} m of [installation]")
    } else {
        format!("{by} m ({COMMON_PRACTICE}; [installation] gives none)")
    };
    format!(
        "As drawn: FS over what is asked with every collar exactly in its place; verdicts count with collars off it by {whose}."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_answer_has_no_room_for_stands_below_it_in_order() {
        let of = |words: usize| vec!["word"; words].join(" ");
        let (answer, below) = fitting(vec![of(40), of(20), of(1), of(2)]);
        assert_eq!((words_in(&answer), below), (60, vec![of(1), of(2)]));
        let (answer, below) = fitting(vec![of(40), of(21), of(1)]);
        assert_eq!((words_in(&answer), below), (40, vec![of(21), of(1)]));
        assert_eq!(fitting(vec![of(3)]), (of(3), Vec::new()));
    }
}
