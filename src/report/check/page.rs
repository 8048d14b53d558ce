//! report.html: one page in one file, from the answer down to the proof. Nothing is fetched.

use super::answer::{besides, not_judged_list};
use super::outputs::Outputs;
use super::tables::Tables;
use super::{
    advice, as_built, bolts,
    calculation::{Followed, calculation_sheet},
    changes, demand, inputs, installed, prisms, sizes, stages, surface, wedges,
};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::words::{ASSUMPTIONS, CAUTIONS, change_list};
use crate::study::{Check, CheckedWedge, Verdict, Whole};

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
    changes::section(&mut body, case, outputs.mending);
    let caution = beside_the_signature(check);
    outputs.sign_off.lines_to_sign(&mut body, outputs.asked, outputs.dated, caution.as_deref());
    body.raw("<div class=\"appendix\"></div>");
    body.heading("What else to know");
    body.list(besides(case, outputs.whole).into_iter());
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
        let sheet = calculation_sheet(case, check, wedge, curve, Followed::Deciding);
        body.details(&wedge.wedge.id, |body| body.markdown(&sheet));
    }
    inputs::page::section(&mut body, case, check, outputs.bond_tests, figures);
    if outputs.option().is_some() {
        body.paragraph("What the option changes in the case as it stands:");
        body.list(change_list(outputs.changes).into_iter());
    }
    body.heading("What is not covered");
    body.list(not_judged_list(case, check).iter().map(|what| format!("Not judged: {what}.")));
    body.heading("Assumptions and cautions");
    body.list(ASSUMPTIONS.iter().map(ToString::to_string));
    body.list(check.warnings.iter().map(|w| format!("{w}.")));
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.inputs(&mut body);
    document(&case.title, &body)
}

/// What whoever signs has to have read: what is short, in the drive and at the face.
fn beside_the_signature(check: &Check) -> Option<String> {
    let short = |wedges: &[CheckedWedge]| -> Vec<String> {
        let short = wedges.iter().filter(|w| w.decided.verdict == Verdict::Short);
        short.map(|w| w.wedge.id.clone()).collect()
    };
    let (drive, face) = (short(&check.wedges), short(&check.face));
    if drive.is_empty() && face.is_empty() {
        return None;
    }
    let along =
        if drive.is_empty() { String::new() } else { format!(" Along the drive: {}.", drive.join(", ")) };
    let at = if face.is_empty() { String::new() } else { format!(" At the face: {}.", face.join(", ")) };
    Some(format!("Whoever signs here signs with wedges that are short.{along}{at}"))
}
