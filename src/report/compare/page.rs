//! compare.html: which option to approve, why, and what it costs.

use super::options::{BETWEEN, ON_PAGE, OptionRow};
use super::outputs::CompareOutputs;
use super::surfaces;
use crate::report::lacks::{first_lacks, lack_words};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::table::Table;
use crate::report::record::Asked;
use crate::report::words::{
    BY_THE_METRE, CAUTIONS, NOT_ASKED, NOT_COVERED, PLAN_CAUTION, SCREEN_ORDERED, change_list,
};
use crate::study::Compared;

pub(super) fn page<'a>(
    outputs: &CompareOutputs<'_>,
    table: &Table<OptionRow<'a>>,
    rows: &[OptionRow<'a>],
    figures: &[Figure],
) -> String {
    let comparison = outputs.comparison;
    let mut body = Html::default();
    body.answer(&outputs.answer());
    body.head(
        &outputs.case.title,
        &format!("Options side by side. North: {}.", outputs.case.north),
        outputs.dated,
    );
    body.list(outputs.below_the_answer().into_iter().chain(outputs.notes.iter().cloned()));
    body.table(&table.page(&ON_PAGE, rows));
    body.figure(figures, "margin");
    body.figure(figures, "use");
    changes(&mut body, &comparison.options);
    lacking(&mut body, &comparison.options);
    surfaces::section(&mut body, rows);
    body.heading("Between the bolts, at stages, at the face");
    body.table(&table.page(&BETWEEN, rows));
    body.heading("How it was counted");
    body.list(
        [
            format!("{BY_THE_METRE} {PLAN_CAUTION}"),
            SCREEN_ORDERED.to_owned(),
            "FS over what is asked is the least over all pieces of the wedges of the drive, each by the best of what carries it, and over stages once bolts are in.".to_owned(),
            "An option is efficient where it holds everything and no other one is as good in that, in minutes and in cost, and better in one; the chart joins those.".to_owned(),
            if comparison.costs_known { String::new() } else { "Cost is left out of that: prices are missing.".to_owned() },
            outputs.as_drawn_line().unwrap_or_default(),
            NOT_ASKED.to_owned(),
            format!("Not covered: {}.", NOT_COVERED.join(", ")),
        ]
        .into_iter()
        .filter(|line| !line.is_empty()),
    );
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    outputs.sign_off.write(&mut body, &Asked::Compare, outputs.dated);
    document(&outputs.case.title, &body)
}

fn changes(body: &mut Html, options: &[Compared]) {
    body.heading("What differs from the case as it stands");
    for (index, option) in options.iter().enumerate() {
        body.paragraph(&format!("{} {}", index + 1, option.name));
        body.list(change_list(&option.changes).into_iter());
    }
}

fn lacking(body: &mut Html, options: &[Compared]) {
    if options.iter().all(Compared::holds) {
        return;
    }
    body.heading("What the others lack");
    for (index, option) in options.iter().enumerate().filter(|(_, o)| !o.holds()) {
        let first = first_lacks(&option.lacks[..1]);
        body.details(&format!("{} {}: {first}", index + 1, option.name), |body| {
            body.list(option.lacks.iter().map(lack_words));
        });
    }
}
