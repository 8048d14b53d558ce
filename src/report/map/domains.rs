//! Where the sets change along the drive: domains.csv, domain_sets.csv, the drawing and the page's section.

use super::outputs::SurveyOutputs;
use super::sets::set_table;
use crate::report::paper::cell::Format;
use crate::report::paper::chart::{Across, Axis, Chart, Layer};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style;
use crate::report::paper::table::{Table, TableError};
use crate::survey::{AlongDrive, BORDER_LEVEL, Border, Domain, Domains, Survey};

/// The columns of domains.csv; the README says what each means.
pub(super) fn border_table() -> Table<Border> {
    use Format::Fixed;
    Table::<Border>::new()
        .column("border_m", |b| b.at_m.into())
        .on_page("border m", Fixed(1))
        .column("before_m", |b| b.between_m[0].into())
        .on_page("last reading before m", Fixed(2))
        .column("after_m", |b| b.between_m[1].into())
        .on_page("first reading after m", Fixed(2))
        .column("chance", |b| b.chance.into())
        .on_page("chance of it where nothing changes", Fixed(3))
}

/// The borders that were found.
pub(super) fn borders<'a>(outputs: &SurveyOutputs<'a>) -> &'a [Border] {
    outputs.mapped.domains.as_ref().map_or(&[], |d| &d.borders)
}

/// domain_sets.csv: the sets of each domain that was asked for, with where it lies before them.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub(super) fn domain_sets_csv(domains: &[Domain]) -> Result<String, TableError> {
    let mut text = String::new();
    for domain in domains {
        let sets = set_table().csv(&domain.mapped.sets)?;
        let end = |end: Option<f64>| end.map(shortest).unwrap_or_default();
        for (at, line) in sets.lines().enumerate() {
            if at > 0 {
                text.push_str(&format!(
                    "{},{},{},{line}\n",
                    domain.number,
                    end(domain.from_m),
                    end(domain.to_m)
                ));
            } else if text.is_empty() {
                text.push_str(&format!("domain,from_m,to_m,{line}\n"));
            }
        }
    }
    Ok(text)
}

/// Where a domain lies, in words.
pub(super) fn extent(domain: &Domain) -> String {
    match (domain.from_m, domain.to_m) {
        (None, Some(to)) => format!("before {} m", fixed(to, 1)),
        (Some(from), None) => format!("from {} m on", fixed(from, 1)),
        (Some(from), Some(to)) => format!("from {} to {} m", fixed(from, 1), fixed(to, 1)),
        (None, None) => "all along".to_owned(),
    }
}

fn along_words(survey: &Survey, along: AlongDrive) -> String {
    match along {
        AlongDrive::Chainage => "chainage".to_owned(),
        AlongDrive::Distance(line) => format!("distance on line {}", survey.lines[line].id),
    }
}

/// The statistic along the drive, its limit, and the borders.
pub(super) fn drawing(outputs: &SurveyOutputs<'_>) -> Option<Sheet> {
    let domains = outputs.mapped.domains.as_ref()?;
    let title = match domains.borders.as_slice() {
        [] => "Nowhere along the drive do the sets change by more than chance would have it".to_owned(),
        found => {
            let places: Vec<String> = found.iter().map(|b| fixed(b.at_m, 1)).collect();
            format!("The sets change at {} m along the drive", places.join(", "))
        }
    };
    let words = along_words(outputs.survey, domains.along);
    let (first, last) = (domains.curve.first()?[0], domains.curve.last()?[0]);
    let top = domains.curve.iter().map(|point| point[1]).fold(domains.limit, f64::max);
    if first >= last {
        return None;
    }
    let x = Axis::linear(&words, "m").between(first, last);
    let y = Axis::linear("how far poles are apart", "").between(0.0, 1.1 * top);
    let stroke = style::set_style(0).stroke();
    let thin = Stroke { width_mm: style::THIN_MM, ..stroke };
    let mut chart = Chart::new(&title, x, y)
        .with(Layer::Line {
            label: format!("up to {} readings on each side", domains.window),
            points: domains.curve.clone(),
            stroke,
        })
        .with(Layer::Rule {
            label: format!("exceeded by chance once in {:.0}", BORDER_LEVEL.recip()),
            across: Across::Y,
            value: domains.limit,
            stroke: thin,
        });
    for border in &domains.borders {
        let other = style::set_style(1).stroke();
        chart = chart.with(Layer::Rule {
            label: format!("border {}", fixed(border.at_m, 1)),
            across: Across::X,
            value: border.at_m,
            stroke: Stroke { width_mm: style::THIN_MM, ..other },
        });
    }
    chart.frame_height_mm = 50.0;
    Some(chart.draw())
}

/// The page's section; nothing where too few readings have a place.
pub(super) fn section(body: &mut Html, outputs: &SurveyOutputs<'_>, figures: &[Figure]) {
    let Some(domains) = &outputs.mapped.domains else { return };
    body.heading("Where the sets change");
    body.figure(figures, "domains");
    if !domains.borders.is_empty() {
        body.table(&border_table().page_of_all(&domains.borders));
    }
    body.paragraph(&how(outputs.survey, domains));
    for domain in outputs.domains {
        let names: Vec<String> = domain
            .mapped
            .sets
            .iter()
            .map(|s| format!("{} {}", s.name, super::answer::dip_and_direction(s)))
            .collect();
        body.paragraph(&format!(
            "Domain {}, {}: {} readings; {}. In joint_sets_{}.toml.",
            domain.number,
            extent(domain),
            domain.survey.readings.len(),
            if names.is_empty() { "no sets".to_owned() } else { names.join(", ") },
            domain.number
        ));
    }
}

fn how(survey: &Survey, domains: &Domains) -> String {
    format!(
        "By {}, {} readings: poles counted on a net in windows of up to {} readings before and after each place, the \
         greatest difference held against the same readings in random order, at a level of {:.0} %. Nothing else rests on it: \
         sets are of the whole survey unless borders are asked for. Joints in swarms and lines of another direction \
         can look like a border.",
        along_words(survey, domains.along),
        domains.readings,
        domains.window,
        BORDER_LEVEL * 100.0
    )
}
