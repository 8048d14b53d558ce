//! Cost against minutes.

use super::outputs::FitOutputs;
use super::words::short_name;
use crate::report::paper::chart::{Axis, Chart, Layer, Mark};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style::{GREY, LINE_MM};
use crate::study::Costed;

/// Cost against minutes: those that hold and that nothing undercuts, and the next ones, which do
/// not do.
pub(super) fn chart(outputs: &FitOutputs<'_>) -> Sheet {
    let place = |c: &Costed| [c.minutes_per_m, c.cost_per_m];
    let held: Vec<[f64; 2]> = outputs.fit.efficient.iter().map(|f| place(&f.costed)).collect();
    let undercut = outputs.fit.undercut.iter().map(|f| &f.costed);
    let stop = outputs.fit.stop.as_ref();
    let failing: Vec<&Costed> = [outputs.fit.next_cheaper.as_ref(), outputs.fit.next_quicker.as_ref(), stop]
        .into_iter()
        .flatten()
        .map(|f| &f.costed)
        .collect();
    let short: Vec<[f64; 2]> = failing.iter().map(|c| place(c)).collect();
    let unit = outputs.currency.map_or_else(|| "a metre".to_owned(), |c| format!("{c} a metre"));
    let title = match held.len() {
        0 => "Nothing on stock holds everything".to_owned(),
        1 => "One pattern is both the cheapest and the quickest that holds everything".to_owned(),
        n => format!("{n} patterns hold everything and are undercut by none, from cheap to quick"),
    };
    let mut chart = Chart::new(&title, Axis::linear("Time", "min a metre"), Axis::linear("Cost", &unit));
    if held.len() > 1 {
        let stroke = Stroke { colour: GREY, width_mm: LINE_MM, dash_mm: &[2.0, 1.2] };
        chart = chart.with(Layer::Line { label: String::new(), points: held.clone(), stroke });
    }
    let named = |costed: &Costed| short_name(outputs, costed);
    let mut names: Vec<([f64; 2], String)> =
        outputs.fit.efficient.iter().map(|f| (place(&f.costed), named(&f.costed))).collect();
    names.extend(undercut.clone().chain(failing.iter().copied()).map(|c| (place(c), named(c))));
    let held: Vec<[f64; 2]> = held.into_iter().chain(undercut.map(place)).collect();
    if !held.is_empty() {
        chart = chart.with(Layer::Marks { label: "held".into(), points: held, mark: Mark::Held });
    }
    if !short.is_empty() {
        let label = "short: the next cheaper, the next quicker".into();
        chart = chart.with(Layer::Marks { label, points: short, mark: Mark::Short });
    }
    chart.with(Layer::Names { points: names }).draw()
}
