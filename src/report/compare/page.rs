//! compare.html: which option to approve, why, and what it costs.

use super::rows::{change_words, verdict};
use super::words::{compare_answer, first_lacks, lack_words};
use super::{CompareOutputs, NOT_ASKED};
use crate::case::inputs_sha256;
use crate::opening::Surface;
use crate::report::PLAN_CAUTION;
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{factor, fixed, kn};
use crate::report::words::{CAUTIONS, NOT_COVERED};
use crate::study::{Compared, PER_METRE_OVER_M};

pub(super) fn page(outputs: &CompareOutputs, figures: &[Figure]) -> String {
    let comparison = outputs.comparison;
    let mut body = Html::default();
    body.raw("<p class=\"answer\">").text(&compare_answer(comparison, outputs.currency)).raw("</p>");
    body.head(
        &outputs.case.title,
        &format!("Options side by side. North: {}.", outputs.case.north),
        outputs.dated,
    );
    table(&mut body, outputs);
    body.figure(figures, "margin");
    body.figure(figures, "use");
    changes(&mut body, &comparison.options);
    lacking(&mut body, &comparison.options);
    surfaces(&mut body, &comparison.options);
    between(&mut body, &comparison.options);
    body.heading("How it was counted");
    body.list(
        [
            format!(
                "Quantities, minutes and cost from a plan of {PER_METRE_OVER_M} m of each option, by the metre. {PLAN_CAUTION}"
            ),
            "FS over what is asked is the least over wedges of the drive at their governing sizes, moments of falling wedges, surface support where it is entered, and stages once bolts are in.".to_owned(),
            "An option is efficient where no other one is as good in that, in minutes and in cost, and better in one; the chart joins those that hold.".to_owned(),
            if comparison.costs_known { String::new() } else { "Cost is left out of that: prices are missing.".to_owned() },
            NOT_ASKED.to_owned(),
            format!("Not covered: {}.", NOT_COVERED.join(", ")),
            format!("Inputs, SHA-256: {}.", inputs_sha256(outputs.files)),
        ]
        .into_iter()
        .filter(|line| !line.is_empty()),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    document(&outputs.case.title, &body)
}

fn table(body: &mut Html, outputs: &CompareOutputs) {
    let currency = outputs.currency.map(|c| format!("{c} a metre")).unwrap_or_else(|| "cost a metre".into());
    let header = [
        ("no.", true),
        ("option", false),
        ("everything asked", false),
        ("FS over asked", true),
        ("which is", false),
        ("governing wedge", false),
        ("its FS", true),
        ("least with moments", true),
        ("gap wedge kN", true),
        ("screen", false),
        ("short wedges", true),
        ("bolts a metre", true),
        ("drilled m a metre", true),
        ("min a metre", true),
        (currency.as_str(), true),
        ("dominated by", false),
    ];
    let rows: Vec<Vec<String>> = outputs
        .comparison
        .options
        .iter()
        .enumerate()
        .map(|(index, o)| {
            vec![
                (index + 1).to_string(),
                o.name.clone(),
                verdict(o).to_owned(),
                factor(o.margin),
                o.tightest.as_ref().map(|t| format!("{}, {}", t.wedge, t.of.words())).unwrap_or_default(),
                o.governing.as_ref().map(|g| g.wedge.clone()).unwrap_or_default(),
                o.governing.as_ref().map(|g| factor(g.fs)).unwrap_or_default(),
                o.least_rotation_fs.map(factor).unwrap_or_default(),
                o.gap.as_ref().map(|g| kn(g.2)).unwrap_or_default(),
                o.screen.as_ref().map(|s| s.verdict.name().to_owned()).unwrap_or_default(),
                o.short.to_string(),
                fixed(o.bolts_per_m(), 2),
                fixed(o.drill_m_per_m(), 2),
                o.minutes_per_m().map(|m| fixed(m, 1)).unwrap_or_default(),
                o.cost_per_m().map(|c| fixed(c, 0)).unwrap_or_default(),
                if o.is_efficient() { "none: efficient".into() } else { o.dominated_by.join(", ") },
            ]
        })
        .collect();
    body.table(&header, &rows);
}

fn changes(body: &mut Html, options: &[Compared]) {
    body.heading("What differs from the case as it stands");
    for (index, option) in options.iter().enumerate() {
        body.raw("<p>").text(&format!("{} {}", index + 1, option.name)).raw("</p>");
        if option.changes.is_empty() {
            body.list(["nothing".to_owned()].into_iter());
        } else {
            body.list(option.changes.iter().map(change_words));
        }
    }
}

fn lacking(body: &mut Html, options: &[Compared]) {
    if options.iter().all(Compared::holds) {
        return;
    }
    body.heading("What the others lack");
    for (index, option) in options.iter().enumerate().filter(|(_, o)| !o.holds()) {
        let first = first_lacks(&option.lacks[..1]);
        body.raw("<details><summary>").text(&format!("{} {}: {first}", index + 1, option.name));
        body.raw("</summary>");
        body.list(option.lacks.iter().map(lack_words));
        body.raw("</details>");
    }
}

fn surfaces(body: &mut Html, options: &[Compared]) {
    body.heading("Factors of safety by surface");
    let header = [
        ("no.", true),
        ("surface", false),
        ("wedge", false),
        ("least FS", true),
        ("median of its placements", true),
        ("force needed over provided", true),
    ];
    let mut rows = Vec::new();
    for (index, option) in options.iter().enumerate() {
        for on in &option.surfaces {
            rows.push(vec![
                (index + 1).to_string(),
                on.surface.name().to_owned(),
                on.wedge.clone(),
                factor(on.least_fs),
                on.median_fs.map(factor).unwrap_or_default(),
                on.use_of_capacity.map(|u| fixed(u, 2)).unwrap_or_default(),
            ]);
        }
    }
    body.table(&header, &rows);
}

fn between(body: &mut Html, options: &[Compared]) {
    body.heading("Between the bolts, at stages, at the face");
    let header = [
        ("no.", true),
        ("surface", false),
        ("piece", false),
        ("kN", true),
        ("carried kN", true),
        ("surface support", false),
        ("stages short", true),
        ("wedges at the face short", true),
    ];
    let rows: Vec<Vec<String>> = options
        .iter()
        .enumerate()
        .map(|(index, o)| {
            let screen = o.screen.as_ref();
            vec![
                (index + 1).to_string(),
                screen.map(|s| Surface::name(s.surface).to_owned()).unwrap_or_default(),
                screen.map(|s| s.wedge.clone()).unwrap_or_default(),
                screen.map(|s| kn(s.weight_kn)).unwrap_or_default(),
                screen.and_then(|s| s.capacity_kn).map(kn).unwrap_or_default(),
                screen.map(|s| s.verdict.name().to_owned()).unwrap_or_default(),
                o.short_in_stages.to_string(),
                o.short_at_face.to_string(),
            ]
        })
        .collect();
    body.table(&header, &rows);
}
