//! What is said of shaking: each wedge at rest and shaken, the forces that add up, shaking.csv.

use super::loads::{HasLoads, Loads, with_loads};
use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::stability::{Mode, Shaking};
use crate::study::{AtRest, Check, CheckedWedge, Shaken};

/// A wedge at rest and shaken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ShakenRow<'a> {
    wedge: &'a CheckedWedge,
    shaken: Shaken,
    at_rest: AtRest,
    /// True down, local.
    down: Vec3,
}

impl ShakenRow<'_> {
    /// Where no direction asks more than another, since it falls or stays whichever it is, none is told.
    fn towards(&self) -> String {
        let alike = matches!(self.wedge.wedge.stability.motion.mode, Mode::Falling | Mode::NoMotion);
        if alike && self.shaken.is_worst { "any".to_owned() } else { fixed(self.shaken.trend_deg, 1) }
    }
}

impl HasLoads for ShakenRow<'_> {
    fn loads(&self) -> Loads {
        Loads::of(self.wedge, &self.down)
    }
}

/// A row a wedge, those at the face last; none without shaking.
pub(super) fn shaken_rows(check: &Check) -> Vec<ShakenRow<'_>> {
    let down = -check.opening.frame.to_local(&Vec3::z());
    let of = |wedge| row(wedge, down);
    check.every().filter_map(of).collect()
}

fn row(wedge: &CheckedWedge, down: Vec3) -> Option<ShakenRow<'_>> {
    Some(ShakenRow { wedge, shaken: wedge.found.shaken?, at_rest: wedge.found.at_rest?, down })
}

/// The columns; the README says what each means. What water presses stands there where a case has some.
pub(super) fn shaken_table<'a>(case: &Case) -> Table<ShakenRow<'a>> {
    use Format::{Factor, Kn, Words};
    let table = Table::<ShakenRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .column("pushed_towards_deg", |r| r.shaken.trend_deg.into())
        .on_page_as("pushed towards °", Words, |r| r.towards().into())
        .column("mode_at_rest", |r| r.at_rest.mode.name().into())
        .on_page("at rest", Words)
        .column("fs_bare_at_rest", |r| r.at_rest.fs_bare.into())
        .on_page("FS bare at rest", Factor)
        .column("mode", |r| r.wedge.wedge.stability.motion.mode.name().into())
        .on_page("shaken", Words)
        .column("fs_bare", |r| r.wedge.found.fs_bare.into())
        .on_page("FS bare shaken", Factor)
        .column("fs_deciding", |r| r.wedge.decided.fs.into())
        .on_page("FS that decides, shaken", Factor);
    with_loads(table, case.site.water.is_some())
        .only_shown("active_kn", |r| r.loads().active().norm().into())
        .on_page("active kN", Kn)
}

/// What was entered, in words: `0.15 of the weight, level, and 0.05 down`.
fn strength_words(shaking: &Shaking) -> String {
    let mut words = format!("{} of the weight, level", fixed(shaking.horizontal, 3));
    if shaking.vertical != 0.0 {
        let way = if shaking.vertical > 0.0 { "down" } else { "up" };
        words.push_str(&format!(", and {} {way}", fixed(shaking.vertical.abs(), 3)));
    }
    words
}

fn direction_words(shaking: &Shaking) -> String {
    match shaking.trend_deg {
        Some(trend_deg) => format!("towards {}°", shortest(trend_deg)),
        None => "in the direction that asks most of support, wedge by wedge".to_owned(),
    }
}

/// What the first screen says of it; `None` without shaking.
#[must_use]
pub(super) fn shaking_sentence(case: &Case, check: &Check) -> Option<String> {
    let shaking = case.site.shaking.as_ref()?;
    let mut text = format!(
        "Shaken with {}, {}, as a steady force (shaking.csv)",
        strength_words(shaking),
        direction_words(shaking)
    );
    let moved: Vec<&str> = check
        .every()
        .filter(|w| {
            let rests = w.found.at_rest.is_some_and(|r| r.fs_bare.is_infinite());
            rests && w.found.fs_bare.is_finite()
        })
        .map(|w| w.wedge.id.as_str())
        .collect();
    match moved.len() {
        0 => {}
        1 => text.push_str(&format!(": {} moves that stays at rest without it", moved[0])),
        n => text.push_str(&format!(": {n} wedges move that stay without it")),
    }
    text.push('.');
    Some(text)
}

/// What was entered and how it is counted; nothing without shaking.
#[must_use]
pub(super) fn shaking_lines(case: &Case) -> Vec<String> {
    let Some(shaking) = &case.site.shaking else { return Vec::new() };
    let mut lines = vec![format!(
        "Shaking: {}, {}. Source: {}.",
        strength_words(shaking),
        direction_words(shaking),
        shaking.source.as_deref().unwrap_or(NO_SOURCE)
    )];
    if let Some(velocity) = shaking.velocity {
        lines.push(format!(
            "Its level coefficient is 2π × {} Hz × {} mm/s over 9.80665 m/s² = {}: the greatest acceleration of a harmonic motion (kinematics). A real record is no sine.",
            shortest(velocity.frequency_hz),
            shortest(velocity.ppv_mm_s),
            fixed(shaking.horizontal, 4)
        ));
    }
    lines.push("It acts on the weight of a wedge and on what hangs from it, as a force that lasts: every verdict, stage, piece for the screen and prism is judged with it. How long it lasts, how often it comes, what it loosens, and what it does to bolts and grout are not judged; what factor of safety a site asks while it is shaken is the site's to say (criteria). The direction is found at whole degrees and refined: the one that asks most of support for friction alone, criterion × driving force − friction. Bolts are not asked for it, so that they may hold a wedge a little less in another one; a wedge that falls is asked the same by all and pushed north.".to_owned());
    if case.site.water.is_some() && shaking.trend_deg.is_none() {
        lines.push("With water the direction is that of the largest wedge of each pyramid as it is wet; smaller pieces are pushed the same way.".to_owned());
    }
    lines
}

/// The page's section; nothing without shaking.
pub(super) fn section(body: &mut Html, case: &Case, rows: &[ShakenRow]) {
    if rows.is_empty() {
        return;
    }
    body.heading("At rest and shaken");
    body.table(&shaken_table(case).page_of_all(rows));
    body.list(shaking_lines(case).into_iter());
}
