use crate::report::paper::chart::{Across, Axis, Chart, Layer, Mark};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style::{GREY, INK, LINE_MM, THIN_MM};
use crate::study::{Compared, Comparison};

/// The chart reaches this margin; an option beyond it stands at the top.
const HIGHEST_MARGIN: f64 = 3.0;

/// Factor of safety over what is asked against cost (against minutes where prices are missing): held
/// filled, short hollow, the efficient ones of those held joined.
#[must_use]
pub(super) fn margin_chart(comparison: &Comparison, currency: Option<&str>) -> Sheet {
    let cost = comparison.costs_known;
    let across = |o: &Compared| if cost { o.cost_per_m() } else { o.minutes_per_m() }.unwrap_or(0.0);
    let highest = comparison.options.iter().map(|o| o.margin).filter(|m| m.is_finite()).fold(1.2, f64::max);
    let top = (1.1 * highest).min(HIGHEST_MARGIN);
    let place = |o: &Compared| [across(o), o.margin.min(top)];
    let of = |held: bool| -> Vec<[f64; 2]> {
        comparison.options.iter().filter(|o| o.holds() == held).map(place).collect()
    };
    let mut efficient: Vec<[f64; 2]> =
        comparison.options.iter().filter(|o| o.is_efficient()).map(place).collect();
    efficient.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let unit = match (cost, currency) {
        (true, Some(currency)) => format!("{currency} a metre"),
        (true, None) => "a metre".to_owned(),
        (false, _) => "min a metre".to_owned(),
    };
    let mut chart = Chart::new(
        &title(comparison),
        if cost { Axis::linear("Cost", &unit) } else { Axis::linear("Time", &unit) },
        Axis::linear("FS over what is asked", "").between(0.0, top),
    );
    if efficient.len() > 1 {
        chart = chart.with(Layer::Line {
            label: "efficient: none as good in FS, time and cost".into(),
            points: efficient.clone(),
            stroke: Stroke { colour: GREY, width_mm: LINE_MM, dash_mm: &[2.0, 1.2] },
        });
    }
    chart = chart.with(Layer::Rule {
        label: "asked".into(),
        across: Across::Y,
        value: 1.0,
        stroke: Stroke::solid(INK, THIN_MM),
    });
    for (label, held, mark) in [("held", true, Mark::Held), ("short", false, Mark::Short)] {
        let points = of(held);
        if !points.is_empty() {
            chart = chart.with(Layer::Marks { label: label.into(), points, mark });
        }
    }
    let numbered = comparison.options.iter().enumerate();
    chart = chart.with(Layer::Names {
        points: numbered.map(|(i, o)| (place(o), format!("{} {}", i + 1, o.name))).collect(),
    });
    chart.draw()
}

fn title(comparison: &Comparison) -> String {
    let holds = comparison.options.iter().filter(|o| o.holds()).count();
    let efficient = comparison.options.iter().filter(|o| o.is_efficient()).count();
    let all = comparison.options.len();
    match (holds, efficient) {
        (0, _) => format!("None of {all} options reaches what is asked"),
        (1, _) => format!("1 of {all} options reaches what is asked"),
        (n, 1) => format!("{n} of {all} options reach what is asked; of them one is efficient"),
        (n, e) => format!("{n} of {all} options reach what is asked; of them {e} are efficient"),
    }
}
