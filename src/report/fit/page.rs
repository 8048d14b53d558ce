//! fit.html: the pattern to choose from the stock, and why no cheaper one does.

use super::outputs::FitOutputs;
use super::words::met_line;
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::table::Grid;
use crate::report::record::Asked;
use crate::report::words::{BY_THE_METRE, CAUTIONS, NOT_ASKED, NOT_COVERED, PLAN_CAUTION, SCREEN_ORDERED};

pub(super) fn page(
    outputs: &FitOutputs<'_>,
    patterns: &Grid,
    lacking: &[(&str, Vec<String>)],
    figures: &[Figure],
) -> String {
    let mut body = Html::default();
    body.answer(&outputs.answer());
    body.head(
        &outputs.case.title,
        &format!("What fits, of what is on stock. North: {}.", outputs.case.north),
        outputs.dated,
    );
    body.list(outputs.below_the_answer().into_iter().chain(outputs.notes.iter().cloned()));
    body.table(patterns);
    for (which, lacks) in lacking {
        body.details(&format!("What the row \"{which}\" lacks"), |body| body.list(lacks.iter().cloned()));
    }
    body.figure(figures, "efficient");
    body.heading("How it was searched");
    let t = &outputs.fit.tally;
    let refused = [
        (t.no_collar, "lay no collar on what they cover"),
        (t.alike, "lay the same collars of the same bolts as another one"),
        (t.pieces, "leave some piece of a wedge short"),
        (t.whole, "leave a wedge not judged, or short at a stage of the cycle"),
        (
            t.undercut,
            "were not looked at: one that holds is as cheap and as quick, and five that hold are no dearer",
        ),
    ];
    let counts = refused.into_iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}"));
    let counts: Vec<String> = counts.collect();
    body.list(
        [
            format!(
                "{} combinations: {}. What is counted under which reason follows the order of the search: a candidate may fail by more than one.",
                t.combinations,
                counts.join("; ")
            ),
            met_line(outputs).unwrap_or_default(),
            "Every combination stands in place of all patterns of the case, bolts square to the surface.".to_owned(),
            format!("{BY_THE_METRE} {PLAN_CAUTION}"),
            SCREEN_ORDERED.to_owned(),
            outputs.as_drawn_line().unwrap_or_default(),
            outputs.doubled_line().unwrap_or_default(),
            NOT_ASKED.to_owned(),
            format!("Not covered: {}.", NOT_COVERED.join(", ")),
        ]
        .into_iter()
        .filter(|line| !line.is_empty()),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.write(&mut body, &Asked::Fit, outputs.dated);
    document(&outputs.case.title, &body)
}
