//! report.html: one page in one file, from the answer down to the proof. Nothing is fetched.

use super::answer::{besides, not_judged_list};
use super::outputs::Outputs;
use super::tables::Tables;
use super::{
    acts, advice, as_built, bolts,
    calculation::{Followed, calculation_sheet},
    changes, demand, inputs, installed, prisms, scan_along, shaking, sizes, stages, stress, surface, view,
    water, wedges,
};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::words::{CAUTIONS, assumptions, change_list};
use crate::study::{Check, CheckedWedge, Verdict, Whole};

/// The page, with drawings in the order in which they stand.
pub(super) fn page(outputs: &Outputs<'_>, tables: &Tables<'_>, figures: &[Figure], answer: &str) -> String {
    let mut body = Html::default();
    let case = outputs.case;
    let Whole { check, sizes: curves, stages: found_in_stages, beside, as_built: built, scan_along: cuts } =
        outputs.whole;
    let option = outputs.option().map(|name| format!("Option \"{name}\". ")).unwrap_or_default();
    let what = format!("Removable wedges and bolts. {option}North: {}.", case.north);
    // Two sheets of paper are what is signed; all that follows is their appendix.
    body.front(|body| {
        body.head(&case.title, &what, outputs.dated);
        body.answer(answer);
        body.list(outputs.below_the_answer().into_iter().chain(outputs.notes.iter().cloned()));
        view::section(body, outputs);
        if built.is_some() {
            body.paragraph("Drawings and tables show the design, but for the section As built.");
        }
        body.figure(figures, "section");
        wedges::section(body, check, &tables.wedges);
    });
    body.front(|body| {
        body.figure(figures, "unrolled");
        changes::section(body, case, outputs.mending);
        let caution = beside_the_signature(check);
        outputs.sign_off.lines_to_sign(body, outputs.asked, outputs.dated, caution.as_deref());
    });
    body.heading("What else to know");
    body.list(besides(case, outputs.whole).into_iter());
    wedges::remarks_section(&mut body, check, &tables.wedges);
    body.heading("Joints, movement, place");
    body.still_view(figures, "space");
    body.figure(figures, "stereonet");
    body.figure(figures, "plan");
    sizes::page::section(&mut body, case, check, curves, beside, figures);
    installed::section(&mut body, case, check);
    as_built::page::section(&mut body, case, built.as_ref());
    scan_along::section(&mut body, cuts, figures);
    stages::page::section(&mut body, check, found_in_stages, figures);
    surface::duty::section(&mut body, &tables.screen_duty);
    surface::shared::section(&mut body, &beside.surface.shared);
    surface::scaling::section(&mut body, case, &beside.surface.scaling);
    prisms::section(&mut body, &tables.prisms);
    acts::section(&mut body, case, &tables.acts);
    shaking::section(&mut body, case, &tables.shaken);
    water::section(&mut body, case, &tables.wet);
    stress::section(&mut body, case, &tables.stressed);
    demand::section(&mut body, &tables.bolt_demand);
    bolts::serving::section(&mut body, &tables.bolts);
    advice::section(&mut body, &beside.advice);
    body.heading("Calculation sheets");
    let mut still: Vec<&str> = Vec::new();
    for wedge in check.every() {
        let curve = curves.iter().find(|c| c.wedge == wedge.wedge.id);
        let sheet = calculation_sheet(case, check, wedge, curve, Followed::Deciding);
        if wedge.decided.criterion_fs.is_some() {
            body.details(&wedge.wedge.id, |body| body.markdown(&sheet));
        } else {
            still.push(wedge.wedge.id.as_str());
            body.details_on_screen(&wedge.wedge.id, |body| body.markdown(&sheet));
        }
    }
    if !still.is_empty() {
        body.on_paper(&format!(
            "Without a sheet on paper, since they do not move: {}; backhold explain writes them.",
            still.join(", ")
        ));
    }
    inputs::page::section(&mut body, case, check, outputs.bond_tests, figures);
    if outputs.option().is_some() {
        body.paragraph("What the option changes in the case as it stands:");
        body.list(change_list(outputs.changes).into_iter());
    }
    body.heading("What is not covered");
    body.list(not_judged_list(case, check).iter().map(|what| format!("Not judged: {what}.")));
    body.heading("Assumptions and cautions");
    body.list(assumptions(case).iter().map(ToString::to_string));
    body.list(check.warnings.iter().map(|w| format!("{w}.")));
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.inputs(&mut body);
    document(&case.title, &body)
}

/// What whoever signs has to have read: what is short, in the drive and at the face, and what nobody judged.
fn beside_the_signature(check: &Check) -> Option<String> {
    let with = |wedges: &[CheckedWedge], verdict: Verdict| -> Vec<String> {
        let found = wedges.iter().filter(|w| w.decided.verdict == verdict && !w.decided.is_left_out());
        found.map(|w| w.wedge.id.clone()).collect()
    };
    let lists = [
        ("Short along the drive", with(&check.wedges, Verdict::Short)),
        ("Short at the face", with(&check.face, Verdict::Short)),
        (
            "Not judged",
            check
                .every()
                .map(|w| with(std::slice::from_ref(w), Verdict::NotJudged))
                .collect::<Vec<_>>()
                .concat(),
        ),
    ];
    let said: Vec<String> = lists
        .iter()
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(what, ids)| format!(" {what}: {}.", ids.join(", ")))
        .collect();
    let short = !lists[0].1.is_empty() || !lists[1].1.is_empty();
    let what = match (short, lists[2].1.is_empty()) {
        (false, true) => return None,
        (true, true) => "that are short",
        (false, false) => "that are not judged",
        (true, false) => "that are short or not judged",
    };
    Some(format!("Whoever signs here signs with wedges {what}.{}", said.concat()))
}
