//! turn.html: which direction meets the joints best.

use super::directions::{DirectionRow, ON_PAGE, chance_names};
use super::outputs::TurnOutputs;
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::table::Table;
use crate::report::words::{CAUTIONS, CHANCE_CAUTION, NOT_ASKED, NOT_COVERED};

/// What the study takes for granted, a sentence each.
const HOW: [&str; 4] = [
    "Each direction is judged as a check judges the drive as it lies: every piece of its wedges, each by the best of what carries it, and stages; section, patterns, criteria and joints stay as the case has them.",
    "Directions are ranked by whether they hold everything, then by the least FS over what is asked, then by the pressure that back and walls need.",
    "Joints are taken to be the same wherever the drive goes: a direction is a question about this ground, and says nothing of ground further on.",
    "A drive that is walked the other way has its left and right wall, and its face, changed over; wedges at the face are not asked for here.",
];

/// The same of draws that were judged.
const HOW_JUDGED: &str = "Short as judged is the share of the first draws with a wedge that is short as a check judges: every piece, collars off their place, and what carries pieces between bolts; the interval is then that of this share.";

/// The same of chances.
const HOW_CHANCES: &str = "Short bare and short bolted are shares of draws with a wedge that is short by the sum of forces, at the worst place along the drive, as the chances of a case are; the same draws of the ground in every direction, so directions differ by less than their 95 % intervals (Wilson 1927) say. They do not rank.";

pub(super) fn page<'a>(
    outputs: &TurnOutputs<'_>,
    table: &Table<DirectionRow<'a>>,
    rows: &[DirectionRow<'a>],
    figures: &[Figure],
) -> String {
    let case = outputs.case;
    let mut body = Html::default();
    body.answer(&outputs.answer());
    body.head(&case.title, &format!("The drive in other directions. North: {}.", case.north), outputs.dated);
    body.list(outputs.below_the_answer().into_iter().chain(outputs.notes.iter().cloned()));
    body.figure(figures, "margin");
    let names = [&ON_PAGE[..], chance_names(outputs.turn)].concat();
    body.table(&table.page(&names, rows));
    body.figure(figures, "chance");
    body.figure(figures, "weight");
    body.heading("How it was judged");
    let not_covered = format!("Not covered: {}.", NOT_COVERED.join(", "));
    let of_chances = outputs.turn.own.chance.map(|chance| {
        let of_judged = chance.judged.map(|_| HOW_JUDGED);
        [HOW_CHANCES].into_iter().chain(of_judged).chain([CHANCE_CAUTION]).map(ToString::to_string)
    });
    body.list(
        HOW.iter()
            .map(ToString::to_string)
            .chain(of_chances.into_iter().flatten())
            .chain([NOT_ASKED.to_owned(), not_covered]),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.write(&mut body, outputs.asked, outputs.dated);
    document(&case.title, &body)
}
