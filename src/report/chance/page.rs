//! chance.html.

use super::charts::strongest_first;
use super::outputs::ChanceOutputs;
use super::places::{PlaceRow, place_table};
use super::pyramids::{PyramidRow, driver_table, pyramid_table};
use crate::case::{Law, OrientationScatter};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{fixed, shortest, thousands};
use crate::report::words::{CAUTIONS, CHANCE_CAUTION, NOT_COVERED, assumptions};
use crate::study::chance::{Driver, Spread};

pub(super) fn page(
    outputs: &ChanceOutputs<'_>,
    places: &[PlaceRow<'_>],
    pyramids: &[PyramidRow<'_>],
    drivers: &[Driver],
    figures: &[Figure],
) -> String {
    let mut body = Html::default();
    let case = outputs.case;
    body.head(&case.title, &format!("How likely, how big. North: {}.", case.north), outputs.dated);
    body.answer(&outputs.answer());
    body.paragraph(CHANCE_CAUTION);
    body.list(outputs.below().into_iter());
    body.figure(figures, "exceedance");
    body.heading("Where");
    body.table(&place_table().page_of_all(places).without_empty());
    body.paragraph("Of each draw the worst wedge on a surface; a wedge over two surfaces counts on both. Sizes and demands are those that so many of all draws do not exceed, 0 where nothing can move; the pressure that covers is the force that the criterion asks over the wedge's face.");
    body.figure(figures, "exceedance_pressure");
    body.figure(figures, "factors");
    body.heading("Which wedge");
    body.table(&pyramid_table().page_of_all(pyramids));
    body.paragraph("Sizes and factors are of the draws in which the wedge can move. Wedges below a litre, and those that cannot move under their weight, are left out of every count. Its sets meet: of all triples, how likely this one makes a block, by spacings and orientations (Hatzor & Feintuch 2005); it ranks and multiplies nothing here.");
    body.heading("What drives it");
    if drivers.is_empty() {
        body.paragraph("Nothing scatters, or too few draws to tell.");
    } else {
        body.figure(figures, "drivers");
        body.table(&driver_table().page_of_all(strongest_first(drivers)));
        body.paragraph(&format!(
            "From the first {} draws: rank correlation (Spearman 1904), and first-order shares by the correlation ratio of classes (Pearson 1905; McKay 1995), less what chance shows (Kelley 1935). steeper_deg and turned_deg are how far a set's pole was drawn off its mean, towards a steeper dip and a dip direction further clockwise.",
            thousands(outputs.found.driver_draws.len() as u64)
        ));
    }
    body.heading("What scatters");
    body.figure(figures, "poles");
    body.list(scatter_words(outputs).into_iter());
    body.heading("What is taken for granted");
    body.list(assumptions(case).iter().map(ToString::to_string));
    body.paragraph(&format!("Not covered: {}.", NOT_COVERED.join("; ")));
    body.heading("Cautions");
    body.list(outputs.notes.iter().cloned().chain(CAUTIONS.iter().map(ToString::to_string)));
    outputs.sign_off.write(&mut body, &outputs.asked(), outputs.dated);
    document(&case.title, &body)
}

/// Each number that scatters, in words.
pub(super) fn scatter_words(outputs: &ChanceOutputs<'_>) -> Vec<String> {
    let case = outputs.case;
    let mut said: Vec<String> = case
        .joints
        .iter()
        .enumerate()
        .map(|(at, joint)| match outputs.scatter.orientation(case, at) {
            OrientationScatter::Fisher(k) => {
                format!("{}: poles by Fisher (1953) round the mean, K {}.", joint.name, shortest(k))
            }
            OrientationScatter::Resampled(readings) => format!(
                "{}: one of {} readings of {} in {}, as it was read, each as often as its weight.",
                joint.name,
                readings.planes().len(),
                readings.set,
                readings.file
            ),
            OrientationScatter::Fixed => {
                format!("{}: orientation does not scatter (no fisher_k, no orientation).", joint.name)
            }
        })
        .collect();
    for input in &outputs.scatter.inputs {
        let law = match input.scattered.law() {
            Law::Normal { mean, sd } => format!("normal, mean {}, sd {}", shortest(*mean), shortest(*sd)),
            Law::Lognormal { mean, sd } => {
                format!("lognormal, mean {}, sd {}", shortest(*mean), shortest(*sd))
            }
            Law::Triangular { min, mode, max } => {
                format!("triangular, {} to {}, likeliest {}", shortest(*min), shortest(*max), shortest(*mode))
            }
            Law::Uniform { min, max } => format!("uniform, {} to {}", shortest(*min), shortest(*max)),
            Law::Data(values) => format!("one of {} values", values.len()),
        };
        let [least, most] = input.scattered.ends();
        let cut = match (least.is_finite(), most.is_finite()) {
            (false, false) => String::new(),
            _ => format!(
                "; nothing beyond {} to {} is drawn, which leaves out {} % of the law",
                // What has to be above 0 is drawn down to the least number there is.
                shortest(if (0.0..=f64::EPSILON).contains(&least) { 0.0 } else { least }),
                shortest(most),
                fixed(100.0 * input.scattered.cut_off(), 2)
            ),
        };
        let left = if input.factor == 1.0 {
            String::new()
        } else {
            format!("; times {}, what is left of it", shortest(input.factor))
        };
        said.push(format!("{}: {law}{cut}{left}.", input.key));
    }
    for (joint, rho) in &outputs.scatter.friction_cohesion {
        said.push(format!(
            "{}: friction and cohesion correlate by {} between the normal numbers that both are drawn by.",
            case.joints[*joint].name,
            shortest(*rho)
        ));
    }
    said.push(format!(
        "All else does not scatter. One draw has one value for every joint of a set and every bolt of a kind. Seed {}, {}.",
        outputs.ask.seed,
        match outputs.ask.spread {
            Spread::Plain => "each draw by itself",
            Spread::LatinHypercube => "Latin hypercube sampling in lots of 1,000 (McKay, Beckman & Conover 1979)",
        }
    ));
    said
}
