use crate::case::Case;
use crate::report::check::changes::{change_words, count_words, listed};
use crate::report::check::prisms::prism_sentence;
use crate::report::check::shaking::shaking_sentence;
use crate::report::check::stages::words::{at_the_face, bare_after_a_round, unsupported};
use crate::report::check::stress::stress_sentences;
use crate::report::check::surface::words::{scaling_sentence, screen_sentence};
use crate::report::check::water::water_sentence;
use crate::report::paper::numbers::{factor, fixed, kn, shortest};
use crate::report::words::{MOST_WORDS, NOT_COVERED, fitting, not_judged_of, words_in};
use crate::study::{Changes, Check, CheckedWedge, Lack, LackOf, Unjudged, Verdict, Whole, lacks};
use crate::support::Carrier;

/// The answer in at most 60 words, the same on terminal, page and in summary.json: good enough or not, the
/// wedge that lacks most and what carries it, the change that mends it, what the crew must know, how many
/// things are not judged.
#[must_use]
pub(super) fn answer(case: &Case, whole: &Whole, changes: Option<&Changes>) -> String {
    let bare = bare_after_a_round(&whole.stages);
    let written = |told: Told, with_bare: bool| {
        let (parts, last) = sentences(case, whole, changes, told);
        let bare = bare.iter().filter(|_| with_bare).cloned();
        parts.into_iter().chain(bare).chain([last]).collect::<Vec<_>>().join(" ")
    };
    // What the crew stands under comes before the names of several changes, which the list below has; long
    // names of wedges leave it to the sentences below, which say it too.
    let fits = |answer: &String| words_in(answer) <= MOST_WORDS;
    [Told::Named, Told::Counted]
        .into_iter()
        .map(|told| written(told, true))
        .find(fits)
        .unwrap_or_else(|| written(Told::Named, false))
}

/// How the change that mends most is told.
#[derive(Clone, Copy, PartialEq)]
enum Told {
    /// By what is drilled or hung otherwise.
    Named,
    /// Where it is several things, by its number in the list below.
    Counted,
}

/// The answer where bolts as built come first, `built`, then what the design comes to; and the sentences of
/// the design that such an answer has no room for.
#[must_use]
pub(super) fn answer_as_built(
    case: &Case,
    whole: &Whole,
    changes: Option<&Changes>,
    built: String,
) -> (String, Vec<String>) {
    let (mut parts, last) = sentences(case, whole, changes, Told::Named);
    parts.extend(bare_after_a_round(&whole.stages));
    parts.push(last);
    parts[0] = format!("By design: {}", parts[0]);
    parts.insert(0, built);
    let (answer, below) = fitting(parts);
    (answer.replacen(" By design: ", "\nBy design: ", 1), below)
}

/// The verdict, what lacks most, what mends it; and how much is not judged.
fn sentences(case: &Case, whole: &Whole, changes: Option<&Changes>, told: Told) -> (Vec<String>, String) {
    let check = &whole.check;
    let moving = movers(check);
    let mut parts = vec![at_a_stage(whole, &moving).unwrap_or_else(|| verdict(case, &moving))];
    if let Some(worst) = check.lacks_most() {
        let names: Vec<String> = worst.wedge.surfaces.iter().map(|s| s.name().to_owned()).collect();
        let id = &worst.wedge.id;
        parts.push(format!("{id}, {}, lacks most: {}.", listed(&names), lacking(worst)));
        parts.extend(changes.map(|c| mended(case, c, told)));
    } else if let Some(changes) = changes.filter(|c| !c.tried.is_empty()) {
        parts.push(mended(case, changes, told));
    } else if let Some(nearest) = nearest(&moving) {
        parts.push(format!("Nearest: {}, {}.", nearest.wedge.id, against(nearest)));
    }
    let last = format!("{} things are not judged (below).", not_judged_list(case, check).len());
    (parts, last)
}

/// What else a reader should know besides the answer, a sentence each.
#[must_use]
pub(super) fn besides(case: &Case, whole: &Whole) -> Vec<String> {
    let Whole { check, sizes, stages, beside, .. } = whole;
    water_sentence(case, check)
        .into_iter()
        .chain(shaking_sentence(case, check))
        .chain(stress_sentences(case, check))
        .chain(screen_sentence(case, beside, sizes))
        .chain(unsupported(stages))
        .chain(at_the_face(check))
        .chain(scaling_sentence(case, beside, check))
        .chain(prism_sentence(beside))
        .collect()
}

/// What stands outside the answer, in one sentence.
#[must_use]
pub(super) fn not_judged(case: &Case, check: &Check) -> String {
    format!("Not judged: {}.", not_judged_list(case, check).join("; "))
}

/// The things that are not judged: wedges with why, then what no check of this case speaks of.
#[must_use]
pub(super) fn not_judged_list(case: &Case, check: &Check) -> Vec<String> {
    let mut list = Vec::new();
    for (why, words) in [
        (
            Unjudged::NoSurfaceSupport,
            "whose pieces between the bolts nothing entered would carry: enter [[surface]], or what the scaling bar takes (criteria.scaling_up_to_m3)",
        ),
        (Unjudged::TooLong, "too long to be held against bolts: give limits.max_length_m"),
        (
            Unjudged::BelowJudgedGround,
            "left out, since the whole face lies in the floor or below criteria.judged_down_to_m",
        ),
        (
            Unjudged::Open,
            "on which the search for the least piece did not end: its factor lies on either side of what is asked",
        ),
        (
            Unjudged::StressNotFound,
            "held without stress, while of some piece that was asked no balance was found under it",
        ),
    ] {
        let ids: Vec<&str> = check
            .wedges
            .iter()
            .filter(|w| w.decided.unjudged == Some(why))
            .map(|w| w.wedge.id.as_str())
            .collect();
        if !ids.is_empty() {
            list.push(format!("{} {words}", ids.join(", ")));
        }
    }
    let on_a_line =
        |w: &CheckedWedge| w.decided.criterion_fs.is_some() && w.is_held_across() && !w.is_fixed();
    if check.wedges.iter().any(on_a_line) {
        list.push("how factors of wedges that structures hold on a line go with their size, and what of these slips between bolts".into());
    }
    list.extend(not_judged_of(case).into_iter().map(str::to_owned));
    list.extend(NOT_COVERED.iter().map(ToString::to_string));
    list
}

fn movers(check: &Check) -> Vec<&CheckedWedge> {
    check.wedges.iter().filter(|w| w.decided.counts()).collect()
}

fn with<'a>(moving: &[&'a CheckedWedge], verdict: Verdict) -> Vec<&'a CheckedWedge> {
    moving.iter().filter(|w| w.decided.verdict == verdict).copied().collect()
}

/// The one with the least ratio of factor to criterion, of those of which one is known.
fn nearest<'a>(moving: &[&'a CheckedWedge]) -> Option<&'a CheckedWedge> {
    let known = moving.iter().copied().filter(|w| w.decided.fs.is_some());
    known.reduce(|a, b| if b.decided.margin() < a.decided.margin() { b } else { a })
}

/// Where all wedges are held in the pattern, and yet one is short once bolts are in: across the last ring, or
/// while resin is young.
fn at_a_stage(whole: &Whole, moving: &[&CheckedWedge]) -> Option<String> {
    if moving.iter().any(|w| w.decided.verdict != Verdict::Held) {
        return None;
    }
    let fs = |lack: &Lack| lack.fs.map_or_else(|| "not known".to_owned(), factor);
    lacks(whole).iter().find_map(|lack| short_at_a_stage(lack, &fs(lack)))
}

/// Where all wedges are held in the pattern, and one is short at a stage; `None` of what is asked at none.
pub(in crate::report) fn short_at_a_stage(lack: &Lack, fs: &str) -> Option<String> {
    let LackOf::Stage(stage, place) = lack.of else { return None };
    Some(format!(
        "Not good enough: {} is short {} ({}): FS {fs} where {} is asked; in the pattern every wedge is held.",
        lack.wedge,
        place.name(),
        stage.name(),
        fixed(lack.asked_fs, 2)
    ))
}

fn verdict(case: &Case, moving: &[&CheckedWedge]) -> String {
    let with = |verdict| with(moving, verdict).len();
    verdict_counted(case, (moving.len(), with(Verdict::Short), with(Verdict::NotJudged)), &held_by(moving))
}

/// The verdict on so many wedges that can move, of which so many are short, and so many not judged; `held_by` says what
/// they are held by.
#[must_use]
pub(in crate::report) fn verdict_counted(
    case: &Case,
    (all, short, unjudged): (usize, usize, usize),
    held_by: &str,
) -> String {
    let movers = |n: usize| if n == 1 { "wedge that can move" } else { "wedges that can move" };
    let is = |n: usize| if n == 1 { "is" } else { "are" };
    let shaken = match (case.site.water.is_some(), case.site.shaking.is_some()) {
        (false, false) => "",
        (false, true) => ", shaken",
        (true, false) => ", wet",
        (true, true) => ", wet and shaken",
    };
    if all == 0 {
        return "Nothing to hold as far as it is judged: no wedge of a litre or more can move.".into();
    }
    if short > 0 {
        return format!("Not good enough{shaken}: {short} of {all} {} {} short.", movers(all), is(short));
    }
    if unjudged > 0 {
        return format!("Not judged{shaken}: {unjudged} of {all} {}; no other is short.", movers(all));
    }
    let many = match all {
        1 => "the one wedge that can move is held".to_owned(),
        n => format!("all {n} {} are held", movers(n)),
    };
    format!("Good enough as far as it is judged{shaken}: {many}{held_by}{}.", collars(case))
}

/// `, 4 by bolts, 1 by bolts and screen`: what the pieces of each need, fewest carriers first.
fn held_by(moving: &[&CheckedWedge]) -> String {
    let mut needs: Vec<(&[Carrier], usize)> = Vec::new();
    for wedge in moving {
        let carriers = wedge.decided.held_by.as_slice();
        match needs.iter_mut().find(|(known, _)| *known == carriers) {
            Some((_, count)) => *count += 1,
            None => needs.push((carriers, 1)),
        }
    }
    needs.sort_by(|a, b| a.0.len().cmp(&b.0.len()).then(a.0.cmp(b.0)));
    let words = |carriers: &[Carrier]| {
        let names: Vec<String> = carriers.iter().map(|c| c.name().to_owned()).collect();
        listed(&names)
    };
    match needs.as_slice() {
        [] => String::new(),
        [(carriers, _)] => format!(" by {}", words(carriers)),
        several => {
            several.iter().map(|(carriers, count)| format!(", {count} by {}", words(carriers))).collect()
        }
    }
}

fn collars(case: &Case) -> String {
    match case.installation.judged_tolerance_m() {
        _ if case.patterns.is_empty() => String::new(),
        0.0 => ", with every collar exactly as drawn".into(),
        off_m => format!(", with collars up to {} m off", shortest(off_m)),
    }
}

/// `92.8 kN, FS 0.84 where 1.50 is asked, by bolts`
fn lacking(wedge: &CheckedWedge) -> String {
    format!("{} kN, {}", kn(wedge.force_lacking_kn()), against(wedge))
}

/// `FS 0.84 where 1.50 is asked, by bolts`
pub(super) fn against(wedge: &CheckedWedge) -> String {
    let fs = wedge.decided.fs.map_or_else(|| "not known".to_owned(), factor);
    let asked = wedge.decided.criterion_fs.map_or_else(String::new, |asked| fixed(asked, 2));
    format!("FS {fs} where {asked} is asked{}", carried(wedge))
}

/// `, by bolts` with what bears on it: moments, collars off.
fn carried(wedge: &CheckedWedge) -> String {
    let by = match wedge.deciding_carrier() {
        Some((Carrier::Bolts, _)) => "bolts",
        Some((Carrier::Joints, _)) => "joints alone",
        Some((carrier, _)) => carrier.name(),
        None => return String::new(),
    };
    format!(", by {by}")
}

/// What would mend it, or what was tried in vain.
fn mended(case: &Case, changes: &Changes, told: Told) -> String {
    let Some(best) = changes.tried.first() else {
        return format!("None of {} changes that were tried mends any.", changes.judged);
    };
    let what = match best.edits.len() {
        several @ 2.. if told == Told::Counted => format!("change 1 ({} things)", count_words(several)),
        _ => change_words(case, &best.edits),
    };
    let how_many = match (best.short + best.not_judged, best.mends.len()) {
        (0, 1) => "it is held".to_owned(),
        (0, 2) => "both are held".to_owned(),
        (0, n) => format!("all {} are held", count_words(n)),
        (_, 1) => "one more is held".to_owned(),
        (_, n) => format!("{} more are held", count_words(n)),
    };
    let at_cost = if best.harms.is_empty() { String::new() } else { ", and others are not".into() };
    format!("With {what} {how_many}{at_cost}.")
}
