//! What could be drilled or hung otherwise: changes.csv, the page's table, the terminal's lines.

use crate::case::{Case, Change};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{fixed, kn, shortest};
use crate::report::paper::table::Table;
use crate::study::{Changes, Edit, Tried};
use crate::support::{Aim, Covered};

/// Changes that the terminal lists; the page on a screen and changes.csv have all.
const ON_TERMINAL: usize = 5;
/// Changes that a sheet of paper has room for.
const ON_PAPER: usize = 6;

/// A row of changes.csv: a key of a change.
#[derive(Debug, Clone, Copy)]
pub(super) struct ChangeRow<'a> {
    number: usize,
    tried: &'a Tried,
    key: &'a Change,
}

/// The rows, best change first.
pub(super) fn change_rows(changes: &Changes) -> Vec<ChangeRow<'_>> {
    let numbered = changes.tried.iter().enumerate();
    numbered
        .flat_map(|(at, tried)| tried.keys.iter().map(move |key| ChangeRow { number: at + 1, tried, key }))
        .collect()
}

/// The columns; the README says what each means.
pub(super) fn change_table<'a>() -> Table<ChangeRow<'a>> {
    Table::<ChangeRow<'a>>::new()
        .column("change", |r| r.number.into())
        .column("key", |r| (&r.key.key).into())
        .column("from", |r| r.key.from.as_deref().into())
        .column("to", |r| r.key.to.as_deref().into())
        .column("short", |r| r.tried.short.into())
        .column("not_judged", |r| r.tried.not_judged.into())
        .column("holds_everything", |r| Cell::YesNo(r.tried.holds_everything))
        .column("margin", |r| r.tried.margin.into())
        .column("minutes_per_m", |r| r.tried.minutes_per_m().into())
        .column("cost_per_m", |r| r.tried.cost_per_m().into())
        .column("mends", |r| Cell::list(r.tried.mends.iter().map(String::as_str)))
        .column("harms", |r| Cell::list(r.tried.harms.iter().map(String::as_str)))
        .column("note", |r| uneven(r.tried).into())
}

/// A row of the page's table: a change.
#[derive(Debug, Clone, Copy)]
struct PageRow<'a> {
    number: usize,
    case: &'a Case,
    tried: &'a Tried,
}

fn page_table<'a>() -> Table<PageRow<'a>> {
    use Format::{Fixed, Whole, Words};
    Table::<PageRow<'a>>::new()
        .only_shown("change", |r| r.number.into())
        .on_page("", Whole)
        .only_shown("what", |r| capital(&change_words(r.case, &r.tried.edits)).into())
        .on_page("change", Words)
        .only_shown("mends", |r| Cell::list(r.tried.mends.iter().map(String::as_str)))
        .on_page("mends", Words)
        .only_shown("harms", |r| Cell::list(r.tried.harms.iter().map(String::as_str)))
        .on_page("harms", Words)
        .only_shown("short", |r| r.tried.short.into())
        .on_page("short after it", Whole)
        .only_shown("margin", |r| r.tried.margin.into())
        .on_page("least FS over asked", Format::Factor)
        .only_shown("minutes_per_m", |r| r.tried.minutes_per_m().into())
        .on_page("min/m", Fixed(1))
        .only_shown("cost_per_m", |r| r.tried.cost_per_m().into())
        .on_page("cost/m", Fixed(1))
}

/// The page's section; nothing where nothing is short.
pub(super) fn section(body: &mut Html, case: &Case, changes: Option<&Changes>) {
    let Some(changes) = changes.filter(|c| c.judged > 0) else { return };
    body.heading("What would mend it");
    let rows: Vec<PageRow> =
        changes.tried.iter().enumerate().map(|(at, tried)| PageRow { number: at + 1, case, tried }).collect();
    if !rows.is_empty() {
        body.table_on_paper(&page_table().page_of_all(&rows), &|index| index < ON_PAPER, &|_| true);
        if rows.len() > ON_PAPER {
            body.on_paper(&format!(
                "The best {ON_PAPER} of {} changes stand here; all stand in changes.csv and on the screen.",
                rows.len()
            ));
        }
    }
    body.list(notes(case, changes).into_iter());
}

/// What the terminal says of changes, a line each.
pub(super) fn change_lines(case: &Case, changes: &Changes) -> Vec<String> {
    let mut lines: Vec<String> = changes
        .tried
        .iter()
        .take(ON_TERMINAL)
        .enumerate()
        .map(|(at, tried)| format!("Change {}: {}.", at + 1, said(case, tried)))
        .collect();
    if changes.tried.len() > ON_TERMINAL {
        lines.push(format!("{} more changes in changes.csv.", changes.tried.len() - ON_TERMINAL));
    }
    lines.extend(stays_short(changes));
    lines
}

fn notes(case: &Case, changes: &Changes) -> Vec<String> {
    let mut notes: Vec<String> = changes
        .tried
        .iter()
        .filter_map(|t| Some(format!("{}: {}.", capital(&change_words(case, &t.edits)), uneven(t)?)))
        .collect();
    notes.extend(stays_short(changes));
    if changes.unasked > 0 {
        notes.push(format!(
            "{} pairs of changes were not asked: too many before them ended without an answer. A cheaper one may be among them.",
            changes.unasked
        ));
    }
    notes.push(format!(
        "{} changes were judged on the whole case, each as if it had been typed; of each key the best stands here. Between two steps that were tried nothing is said. A bolt of another length or kind has no price but from [stock]; which mesh carries more has to be found and tested.",
        changes.judged
    ));
    notes
}

/// What is left where nothing mends everything.
fn stays_short(changes: &Changes) -> Option<String> {
    let left = changes.still_short.as_ref()?;
    let none = if changes.none_can {
        "Nothing that was tried holds everything, not even the strongest of every key together"
    } else {
        "Nothing that was tried holds everything, one change, two or a few together"
    };
    Some(format!(
        "{none} ({} judged): after the best {} still lacks {} of {} kN.",
        changes.judged,
        left.wedge,
        kn(left.lacking_kn),
        kn(left.asked_kn)
    ))
}

fn said(case: &Case, tried: &Tried) -> String {
    let mut text = change_words(case, &tried.edits);
    text.push_str(&format!(": mends {}", tried.mends.join(", ")));
    if !tried.harms.is_empty() {
        text.push_str(&format!(", harms {}", tried.harms.join(", ")));
    }
    match tried.short {
        0 if tried.not_judged == 0 && !tried.holds_everything => {
            text.push_str(
                "; every wedge is held in the pattern, not yet across the last ring or in young resin",
            );
        }
        0 if tried.not_judged > 0 => {
            text.push_str(&format!("; none short, {} not judged", tried.not_judged));
        }
        0 => text.push_str("; nothing short"),
        n => text.push_str(&format!("; {n} short")),
    }
    if let Some(minutes) = tried.minutes_per_m() {
        text.push_str(&format!("; {} min/m", fixed(minutes, 1)));
    }
    if let Some(cost) = tried.cost_per_m() {
        text.push_str(&format!(", cost {}/m", fixed(cost, 1)));
    }
    if let Some(uneven) = uneven(tried) {
        text.push_str(&format!("; {uneven}"));
    }
    text
}

/// `1.1 and 1.2 do as much, 1.0 does not`
fn uneven(tried: &Tried) -> Option<String> {
    let uneven = tried.uneven.as_ref()?;
    let does = |list: &[String]| if list.len() == 1 { "does" } else { "do" };
    Some(format!(
        "{} {} as much, {} {} not",
        listed(&uneven.do_as_much),
        does(&uneven.do_as_much),
        listed(&uneven.do_less),
        does(&uneven.do_less)
    ))
}

/// `a, b and c`
pub(super) fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// `two`, up to ten; digits beyond.
pub(super) fn count_words(count: usize) -> String {
    const WORDS: [&str; 11] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    WORDS.get(count).map_or_else(|| count.to_string(), ToString::to_string)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A change in words: `wall rings at 0.8 m and mesh down to 0.3 m`.
#[must_use]
pub(super) fn change_words(case: &Case, edits: &[Edit]) -> String {
    let words: Vec<String> = edits.iter().map(|edit| edit_words(case, edit)).collect();
    listed(&words)
}

fn edit_words(case: &Case, edit: &Edit) -> String {
    let of = edit.pattern().map(|at| of_pattern(case, at)).unwrap_or_default();
    match edit {
        Edit::Rings(_, m) => format!("{of}rings at {} m", shortest(*m)),
        Edit::Spacing(_, m) => format!("{of}collars {} m apart", shortest(*m)),
        Edit::Stagger(_, true) => format!("{of}rings staggered"),
        Edit::Stagger(_, false) => format!("{of}rings not staggered"),
        Edit::Length(_, m) => format!("{of}bolts of {} m", shortest(*m)),
        Edit::Row(_, m) => format!("a {of}row {} m above the floor", shortest(*m)),
        Edit::LowestCollar(_, m) => format!("{of}collars down to {} m", shortest(*m)),
        Edit::Covers(at, covers, down_m) => {
            let before = case.patterns.get(*at).map(|p| p.covers.as_slice());
            format!("{of}bolts in {} too{}", added(before, covers), down_to(*down_m))
        }
        Edit::Aim(_, Aim::Normal) => format!("{of}holes square to the surface"),
        Edit::Aim(_, Aim::Vertical) => format!("{of}holes upright"),
        Edit::Aim(_, Aim::Fan { origin }) => {
            format!("{of}holes fanned from {} m above the floor", shortest(origin.y))
        }
        Edit::Aim(_, Aim::Boom(_)) => format!("{of}holes as a boom reaches"),
        Edit::Bolt(_, bolt) => {
            format!("{} for {of}bolts", case.bolts.get(*bolt).map_or("another bolt", |b| b.name.as_str()))
        }
        Edit::SurfaceDown(at, m) => format!("{} down to {} m", support(case, *at), shortest(*m)),
        Edit::SurfaceCovers(at, covers, down_m) => {
            let before = case.surface_support.get(*at).map(|s| s.covers.as_slice());
            format!("{} on {} too{}", support(case, *at), added(before, covers), down_to(*down_m))
        }
        Edit::Hang(kn) => format!("a screen of {} kN a bay (back, walls)", shortest(*kn)),
        Edit::Bay(at, kn) => format!("{} of {} kN a bay", support(case, *at), shortest(*kn)),
    }
}

/// ` down to 0.6 m`
fn down_to(lowest_m: Option<f64>) -> String {
    lowest_m.map_or_else(String::new, |m| format!(" down to {} m", shortest(m)))
}

/// Which pattern, where there are several: by what it covers where that tells them apart.
fn of_pattern(case: &Case, at: usize) -> String {
    if case.patterns.len() < 2 {
        return String::new();
    }
    let covers = |at: usize| {
        let covers = &case.patterns[at].covers;
        match (covers.contains(&Covered::Back), covers.iter().any(|c| c.is_wall())) {
            (true, false) => "back ",
            (false, true) => "wall ",
            _ => "",
        }
    };
    let own = covers(at);
    let alone = (0..case.patterns.len()).filter(|&other| covers(other) == own).count() == 1;
    if alone && !own.is_empty() {
        return own.to_owned();
    }
    format!("{} ", case.bolts.get(case.patterns[at].bolt).map_or("", |b| b.name.as_str()))
}

fn support(case: &Case, at: usize) -> &str {
    case.surface_support.get(at).map_or("surface support", |s| s.name.as_str())
}

fn added(before: Option<&[Covered]>, after: &[Covered]) -> String {
    let before = before.unwrap_or_default();
    let more: Vec<String> =
        after.iter().filter(|c| !before.contains(c)).map(|c| format!("the {}", c.name())).collect();
    listed(&more)
}
