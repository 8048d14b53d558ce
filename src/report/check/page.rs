//! report.html: one page in one file, from the answer down to the proof. Nothing is fetched.

use super::outputs::Outputs;
use super::tables::Tables;
use super::{
    advice, as_built, bolts, calculation::calculation_sheet, demand, inputs, installed, prisms, sizes,
    stages, surface, wedges,
};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::words::{ASSUMPTIONS, CAUTIONS, NOT_COVERED, change_list, not_judged_of};
use crate::study::Whole;

/// The page, with drawings in the order in which they stand.
pub(super) fn page(outputs: &Outputs<'_>, tables: &Tables<'_>, figures: &[Figure], answer: &str) -> String {
    let mut body = Html::default();
    let case = outputs.case;
    let Whole { check, sizes: curves, stages: found_in_stages, beside, as_built: built } = outputs.whole;
    let option = outputs.option().map(|name| format!("Option \"{name}\". ")).unwrap_or_default();
    let what = format!("Removable wedges and bolts. {option}North: {}.", case.north);
    body.head(&case.title, &what, outputs.dated);
    body.raw("<p class=\"answer\">").text(answer).raw("</p>");
    body.list(outputs.notes.iter().cloned());
    if built.is_some() {
        body.paragraph("Drawings and tables show the design, but for the section As built.");
    }
    body.figure(figures, "section");
    body.figure(figures, "unrolled");
    wedges::section(&mut body, check, &tables.wedges);
    body.heading("Joints, movement, place");
    body.figure(figures, "stereonet");
    body.figure(figures, "plan");
    sizes::page::section(&mut body, case, check, curves, beside, figures);
    installed::section(&mut body, case, check);
    as_built::page::section(&mut body, case, built.as_ref());
    stages::page::section(&mut body, check, found_in_stages, figures);
    surface::duty::section(&mut body, &tables.screen_duty);
    surface::shared::section(&mut body, &beside.surface.shared);
    surface::scaling::section(&mut body, case, &beside.surface.scaling);
    prisms::section(&mut body, &tables.prisms);
    demand::section(&mut body, &tables.bolt_demand);
    bolts::serving::section(&mut body, &tables.bolts);
    advice::section(&mut body, &beside.advice);
    body.heading("Calculation sheets");
    for wedge in check.every() {
        let curve = curves.iter().find(|c| c.wedge == wedge.wedge.id);
        let sheet = calculation_sheet(case, check, wedge, curve);
        body.details(&wedge.wedge.id, |body| body.markdown(&sheet));
    }
    inputs::page::section(&mut body, case, check, outputs.bond_tests, figures);
    if outputs.option().is_some() {
        body.paragraph("What the option changes in the case as it stands:");
        body.list(change_list(outputs.changes).into_iter());
    }
    body.heading("What is not covered");
    body.list(not_judged_of(case).iter().map(|what| format!("Not judged: {what}.")));
    body.list(NOT_COVERED.iter().map(|what| format!("Not covered: {what}.")));
    body.heading("Assumptions and cautions");
    body.list(ASSUMPTIONS.iter().map(ToString::to_string));
    body.list(check.warnings.iter().map(|w| format!("{w}.")));
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.write(&mut body, outputs.asked, outputs.dated);
    document(&case.title, &body)
}
