//! The page of a survey: answer, drawings, tables, warnings, inputs, what is not covered.

use super::SurveyOutputs;
use super::answer::{counted, sentence};
use super::figures::{projection_words, sigma_of, trend_and_plunge};
use super::rows::{trace_basis, triple_names};
use super::words::{CAUTIONS, NOT_COVERED};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{fixed, shortest};
use crate::survey::{Form, LineKind, Notation, WindowShape};

/// Warnings and rejects that the page lists; all of them are in the tables.
const MOST_WARNINGS: usize = 200;
const MOST_REJECTS: usize = 100;

pub(super) fn page(outputs: &SurveyOutputs<'_>, figures: &[Figure]) -> String {
    let mut body = Html::default();
    let title = format!("Joint sets from {}", outputs.file_name);
    body.head(&title, &format!("North: {}.", outputs.north), outputs.dated);
    body.raw("<p class=\"answer\">").text(&outputs.answer()).raw("</p>");
    body.figure(figures, "stereonet");
    sets(&mut body, outputs);
    triples(&mut body, outputs);
    body.heading("How they lie, how long, how close");
    body.figure(figures, "rose");
    body.figure(figures, "trace_lengths");
    body.figure(figures, "spacings");
    if !figures.iter().any(|f| f.stem == "trace_lengths") {
        body.raw("<p>").text("No trace length was recorded.").raw("</p>");
    }
    if !figures.iter().any(|f| f.stem == "spacings") {
        let why = "No spacing can be shown: it takes distances along a line of known direction, or \
                   measured spacings.";
        body.raw("<p>").text(why).raw("</p>");
    }
    warnings(&mut body, outputs);
    rejects(&mut body, outputs);
    inputs(&mut body, outputs);
    body.heading("What is not covered");
    body.list(NOT_COVERED.iter().map(|what| format!("Not covered: {what}.")));
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    document(&title, &body)
}

fn optional(value: Option<f64>, decimals: usize) -> String {
    value.map(|v| fixed(v, decimals)).unwrap_or_default()
}

fn sets(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    body.heading("Sets");
    let header = [
        ("set", false),
        ("readings", true),
        ("weighted", true),
        ("dip °", true),
        ("dip direction °", true),
        ("K", true),
        ("K, 95 %", true),
        ("95 % cone °", true),
        ("form", false),
        ("spacing m", true),
        ("ISRM", false),
        ("trace m", true),
        ("ISRM", false),
        ("JRC", true),
    ];
    let rows: Vec<Vec<String>> = outputs
        .mapped
        .sets
        .iter()
        .map(|set| {
            vec![
                set.name.clone(),
                set.readings.to_string(),
                fixed(set.weighted_count, 1),
                fixed(set.mean.dip_deg, 1),
                fixed(set.mean.dip_direction_deg, 1),
                optional(set.fisher_k, 1),
                set.spread
                    .map(|s| format!("{}–{}", fixed(s.k_95[0], 0), fixed(s.k_95[1], 0)))
                    .unwrap_or_default(),
                optional(set.cone_95_deg, 1),
                set.form.map(Form::word).unwrap_or_default().to_owned(),
                optional(set.spacing.map(|s| s.mean_m), 2),
                set.spacing_word().unwrap_or_default().to_owned(),
                optional(set.trace_length.map(|t| t.mean_m), 2),
                set.persistence_word().unwrap_or_default().to_owned(),
                optional(set.jrc, 1),
            ]
        })
        .collect();
    body.table(&header, &rows);
    let mut notes = vec![
        "Mean plane: principal axis of the weighted orientation tensor. K and cone: Fisher (1953). \
         K, 95 %: bootstrap. Form: Woodcock (1977). Words: ISRM (1978). An empty cell was not measured."
            .to_owned(),
    ];
    for set in &outputs.mapped.sets {
        let mut parts = Vec::new();
        if let Some(spacing) = set.spacing {
            parts.push(format!("spacing {}, {} values", spacing.basis.words(), spacing.values));
        }
        if let Some(trace) = set.trace_length {
            parts.push(format!("trace length {}, {} values", trace_basis(trace.corrected), trace.values));
        }
        if !parts.is_empty() {
            notes.push(format!("{}: {}.", set.name, parts.join("; ")));
        }
    }
    if let Some((count, sets)) = outputs.mapped.volumetric_count_per_m3 {
        notes.push(format!(
            "Volumetric joint count: {} joints per m³ from {}.",
            fixed(count, 1),
            counted(sets, "set", "sets")
        ));
    }
    body.list(notes.into_iter());
}

fn triples(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let triples = &outputs.mapped.triples;
    if triples.is_empty() {
        return;
    }
    body.heading("Which three sets meet");
    let header = [("sets", false), ("probability", true), ("block m³", true)];
    let rows: Vec<Vec<String>> = triples
        .iter()
        .map(|t| {
            vec![triple_names(outputs.mapped, t.sets, ", "), fixed(t.probability, 3), fixed(t.volume_m3, 2)]
        })
        .collect();
    body.table(&header, &rows);
    let note = "Probability that three sets which meet are these, from their block volumes (Hatzor and \
                Feintuch 2005). It ranks; it does not count blocks.";
    body.raw("<p>").text(note).raw("</p>");
}

fn warnings(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    body.heading("Warnings");
    let all = || outputs.mapped.warnings.iter().chain(&outputs.survey.warnings);
    let count = all().count();
    if count == 0 {
        body.raw("<p>").text("None.").raw("</p>");
    }
    let more =
        (count > MOST_WARNINGS).then(|| format!("And {} more, in warnings.csv.", count - MOST_WARNINGS));
    body.list(all().take(MOST_WARNINGS).map(sentence).chain(more));
}

fn rejects(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let rejects = &outputs.survey.rejects;
    body.heading("Rows that were rejected");
    if rejects.is_empty() {
        body.raw("<p>").text("None.").raw("</p>");
        return;
    }
    let header = [("line", true), ("reason", false), ("row as it stood", false)];
    let rows: Vec<Vec<String>> = rejects
        .iter()
        .take(MOST_REJECTS)
        .map(|r| vec![r.line_number.to_string(), r.reason.clone(), r.row.clone()])
        .collect();
    body.table(&header, &rows);
    if rejects.len() > MOST_REJECTS {
        let more = format!("And {} more, in rejects.csv.", rejects.len() - MOST_REJECTS);
        body.raw("<p>").text(&more).raw("</p>");
    }
}

fn inputs(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let (survey, mapped, options) = (outputs.survey, outputs.mapped, outputs.options);
    body.heading("Inputs and corrections");
    let mut lines = vec![format!(
        "{}: {} with content, of them {} and {} rejected.",
        outputs.file_name,
        counted(survey.rows, "row", "rows"),
        counted(survey.readings.len(), "reading", "readings"),
        survey.rejects.len()
    )];
    let notations = [Notation::DipDirection, Notation::Strike, Notation::Pole, Notation::Core];
    lines.extend(notations.into_iter().filter_map(|notation| {
        let count = survey.readings.iter().filter(|r| r.notation == notation).count();
        (count > 0).then(|| format!("Read from {}: {count}.", notation.words()))
    }));
    let north = survey.north;
    lines.push(if north.turn_deg() == 0.0 {
        format!("Azimuths are taken as they stand, as if counted from {}.", outputs.north)
    } else {
        format!(
            "To {}: declination {}°, grid convergence {}°, so {}° were added to every azimuth, of joints and of lines.",
            outputs.north,
            shortest(north.declination_deg),
            shortest(north.convergence_deg),
            fixed(north.turn_deg(), 2)
        )
    });
    lines.push(match &mapped.mixture {
        None => "Sets are those that the readings were labelled with.".to_owned(),
        Some(mixture) => format!(
            "Sets were found by a mixture of axial distributions with a uniform background ({:.0} % of the readings); {}; seed {}.",
            mixture.background * 100.0,
            if options.mixture.sets.is_some() || !options.mixture.starts.is_empty() {
                "their number was given"
            } else {
                "their number by the Bayesian information criterion"
            },
            options.mixture.seed
        ),
    });
    lines.push(format!(
        "Terzaghi (1965) weights up to {}, for readings on a line of known direction.",
        shortest(options.max_weight)
    ));
    lines.push(format!(
        "Stereonet: {}; contours after Vollmer (1995), smoothed Kamb with σ {}.",
        projection_words(outputs.projection),
        fixed(sigma_of(survey.readings.len()), 1)
    ));
    lines.push(match outputs.lines_name {
        Some(name) => format!("Lines, windows and holes: {name}."),
        None => "No file of lines, windows and holes.".to_owned(),
    });
    body.list(lines.into_iter());
    lines_table(body, outputs);
}

fn lines_table(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let survey = outputs.survey;
    if survey.lines.is_empty() {
        return;
    }
    let header = [
        ("line", false),
        ("kind", false),
        ("trend/plunge", false),
        ("size m", true),
        ("readings", true),
        ("joints per m", true),
        ("RQD %, estimate", true),
    ];
    let rows: Vec<Vec<String>> = survey
        .lines
        .iter()
        .enumerate()
        .map(|(at, line)| {
            let found = outputs.mapped.lines.iter().find(|l| l.line == at);
            let kind = match line.kind {
                Some(LineKind::Scanline) => "scanline",
                Some(LineKind::Window) => "window",
                Some(LineKind::Hole) => "hole",
                None => "",
            };
            let size = match (line.window, line.length_m) {
                (Some(WindowShape::Circle { radius_m }), _) => format!("radius {}", shortest(radius_m)),
                (Some(WindowShape::Rectangle { width_m, height_m }), _) => {
                    format!("{} × {}", shortest(width_m), shortest(height_m))
                }
                (None, Some(length)) => shortest(length),
                (None, None) => String::new(),
            };
            vec![
                line.id.clone(),
                kind.to_owned(),
                line.direction.map(trend_and_plunge).unwrap_or_default(),
                size,
                survey.readings.iter().filter(|r| r.line == Some(at)).count().to_string(),
                optional(found.map(|l| l.frequency_per_m), 2),
                optional(found.map(|l| l.rqd_percent), 0),
            ]
        })
        .collect();
    body.table(&header, &rows);
    let note = "RQD from the number of joints along the line (Priest and Hudson 1976).";
    body.raw("<p>").text(note).raw("</p>");
}
