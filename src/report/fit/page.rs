//! fit.html: the pattern to choose from the stock, and why no cheaper one does.

use super::{FitOutputs, fit_answer, fit_rows};
use crate::case::inputs_sha256;
use crate::report::PLAN_CAUTION;
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{factor, fixed};
use crate::report::words::{CAUTIONS, NOT_COVERED};
use crate::study::PER_METRE_OVER_M;

pub(super) fn page(outputs: &FitOutputs, figures: &[Figure]) -> String {
    let mut body = Html::default();
    body.raw("<p class=\"answer\">").text(&fit_answer(outputs)).raw("</p>");
    body.head(
        &outputs.case.title,
        &format!("What fits, of what is on stock. North: {}.", outputs.case.north),
        outputs.dated,
    );
    table(&mut body, outputs);
    body.figure(figures, "efficient");
    body.heading("How it was searched");
    let t = &outputs.fit.tally;
    let refused = [
        (t.no_collar, "lay no collar on what they cover"),
        (t.one_placement + t.forces, "leave a largest wedge short by forces alone"),
        (t.screen, "leave the surface support too much between the bolts"),
        (t.rotation, "leave a falling wedge short with moments in balance"),
        (t.one_size + t.sizes, "leave a smaller wedge short"),
        (t.whole, "are short at a stage of the cycle or with collars off their place"),
        (t.undercut, "were not looked at: one that holds is as cheap and as quick"),
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
            "Every combination stands in place of all patterns of the case, bolts square to the surface.".to_owned(),
            format!("Cost and minutes from a plan of {PER_METRE_OVER_M} m, by the metre. {PLAN_CAUTION}"),
            format!("Not covered: {}.", NOT_COVERED.join(", ")),
            format!("Inputs, SHA-256: {}.", inputs_sha256(outputs.files)),
        ]
        .into_iter(),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    document(&outputs.case.title, &body)
}

fn table(body: &mut Html, outputs: &FitOutputs) {
    let header = [
        ("what", false),
        ("everything asked", false),
        ("bolt", false),
        ("length m", true),
        ("rings m", true),
        ("collars m", true),
        ("staggered", false),
        ("covers", false),
        ("surface support", false),
        ("cost a metre", true),
        ("min a metre", true),
        ("bolts a metre", true),
        ("FS over asked", true),
        ("lacks", false),
    ];
    let rows: Vec<Vec<String>> = fit_rows(outputs)
        .into_iter()
        .map(|r| {
            vec![
                r.what,
                r.verdict,
                r.bolt,
                fixed(r.length_m.0, 2),
                fixed(r.ring_spacing_m.0, 2),
                fixed(r.spacing_m.0, 2),
                if r.stagger { "yes" } else { "no" }.to_owned(),
                r.covers.replace('|', ", "),
                r.surface.unwrap_or_else(|| "as in the case".into()),
                fixed(r.cost_per_m.0, 2),
                fixed(r.minutes_per_m.0, 2),
                fixed(r.bolts_per_m.0, 2),
                factor(r.margin.0),
                r.lacks,
            ]
        })
        .collect();
    body.table(&header, &rows);
}
