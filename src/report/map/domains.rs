//! Where the sets change along the drive: domains.csv, domain_sets.csv, the drawing and the page's section.

use super::outputs::SurveyOutputs;
use super::sets::set_table;
use super::words::counted;
use crate::report::paper::cell::Format;
use crate::report::paper::chart::{Across, Axis, Chart, Layer};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style;
use crate::report::paper::table::{Grid, Table, TableError};
use crate::survey::{AlongDrive, BORDER_LEVEL, Border, Domain, Domains, JointSet, NearestSet, Survey};

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

/// A set of a domain.
#[derive(Debug, Clone, Copy)]
pub(super) struct DomainSet<'a> {
    domain: &'a Domain,
    set: &'a JointSet,
    nearest: Option<&'a NearestSet>,
}

/// The sets of all domains that were asked for.
pub(super) fn domain_sets(domains: &[Domain]) -> Vec<DomainSet<'_>> {
    let of = |domain| move |(set, nearest)| DomainSet { domain, set, nearest };
    domains
        .iter()
        .flat_map(|d| d.mapped.sets.iter().zip(d.nearest.iter().map(Option::as_ref)).map(of(d)))
        .collect()
}

/// What people see of domain_sets.csv.
fn shown_table<'a>() -> Table<DomainSet<'a>> {
    use Format::{Fixed, Whole, Words};
    Table::<DomainSet<'a>>::new()
        .only_shown("domain", |r| r.domain.number.into())
        .on_page("domain", Whole)
        .on_terminal("domain", Whole)
        .only_shown("where", |r| extent(r.domain).into())
        .on_page("where", Words)
        .on_terminal("where", Words)
        .only_shown("set", |r| (&r.set.name).into())
        .on_page("set", Words)
        .on_terminal("set", Words)
        .only_shown("readings", |r| r.set.readings.into())
        .on_page("readings", Whole)
        .on_terminal("readings", Whole)
        .only_shown("dip_deg", |r| r.set.mean.dip_deg.into())
        .on_page("dip °", Fixed(1))
        .on_terminal("dip", Fixed(1))
        .only_shown("dip_direction_deg", |r| r.set.mean.dip_direction_deg.into())
        .on_page("dip direction °", Fixed(1))
        .on_terminal("dip dir", Fixed(1))
        .only_shown("fisher_k", |r| r.set.fisher_k.into())
        .on_page("K", Fixed(1))
        .on_terminal("K", Fixed(1))
        .only_shown("spacing_m", |r| r.set.spacing.map(|s| s.mean_m).into())
        .on_page("spacing m", Fixed(2))
        .on_terminal("spacing m", Fixed(2))
        .only_shown("trace_length_m", |r| r.set.trace_length.map(|t| t.mean_m).into())
        .on_page("trace m", Fixed(2))
        .on_terminal("trace m", Fixed(2))
        .only_shown("nearest_before", |r| r.nearest.map(nearest_words).into())
        .on_page("nearest set before", Words)
        .on_terminal("nearest set before", Words)
}

const SHOWN: [&str; 10] = [
    "domain",
    "where",
    "set",
    "readings",
    "dip_deg",
    "dip_direction_deg",
    "fisher_k",
    "spacing_m",
    "trace_length_m",
    "nearest_before",
];

/// The terminal's table of domains; `None` without sets in any.
pub(super) fn on_terminal(domains: &[Domain]) -> Option<Grid> {
    let sets = domain_sets(domains);
    (!sets.is_empty()).then(|| shown_table().terminal(&SHOWN, &sets))
}

/// The nearest set of the domain before, in words.
pub(super) fn nearest_words(nearest: &NearestSet) -> String {
    format!("{}, {}° off", nearest.name, fixed(nearest.angle_deg, 0))
}

/// The page's section where domains were asked for; it stands before that of the whole.
pub(super) fn sets_section(body: &mut Html, domains: &[Domain]) {
    if domains.is_empty() {
        return;
    }
    body.heading("Sets of each domain");
    body.table(&shown_table().page(&SHOWN, &domain_sets(domains)));
    body.paragraph(
        "Each domain is mapped by itself, its sets in a file of its own (joint_sets_1.toml and so on). Sets that were found \
         are called as those that they go on from in the domain before. What follows is of the whole survey, \
         whose sets are mixed.",
    );
}

/// domain_sets.csv: the sets of each domain that was asked for, with where it lies before them and the nearest set of
/// the domain before behind.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub(super) fn domain_sets_csv(domains: &[Domain]) -> Result<String, TableError> {
    let mut text = String::new();
    for domain in domains {
        let sets = set_table().csv(&domain.mapped.sets)?;
        let end = |end: Option<f64>| end.map(shortest).unwrap_or_default();
        let place = format!("{},{},{}", domain.number, end(domain.from_m), end(domain.to_m));
        for (at, line) in sets.lines().enumerate() {
            if at > 0 {
                let nearest = domain.nearest.get(at - 1).and_then(Option::as_ref);
                let nearest = nearest.map(|n| format!("{},{}", n.name, shortest(n.angle_deg)));
                text.push_str(&format!("{place},{line},{}\n", nearest.as_deref().unwrap_or(",")));
            } else if text.is_empty() {
                text.push_str(&format!("domain,from_m,to_m,{line},nearest_before,nearest_before_deg\n"));
            }
        }
    }
    Ok(text)
}

/// The file of a domain's sets; `None` without any.
pub(super) fn file_of(domain: &Domain) -> Option<String> {
    (!domain.mapped.sets.is_empty()).then(|| format!("joint_sets_{}.toml", domain.number))
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
    let y = Axis::linear("How far poles are apart", "").between(0.0, 1.1 * top);
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
    chart.frame_height_mm = 60.0;
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
        body.paragraph(&format!(
            "Domain {}, {}: {}; {}.{}",
            domain.number,
            extent(domain),
            counted(domain.survey.readings.len(), "reading", "readings"),
            if domain.mapped.sets.is_empty() { "no sets".to_owned() } else { means(&domain.mapped.sets) },
            file_of(domain).map(|file| format!(" In {file}.")).unwrap_or_default()
        ));
    }
}

/// Each set with its mean.
pub(super) fn means(sets: &[JointSet]) -> String {
    let names: Vec<String> =
        sets.iter().map(|s| format!("{} {}", s.name, super::answer::dip_and_direction(s))).collect();
    names.join(", ")
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
