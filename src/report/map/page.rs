//! The page of a survey: answer, drawings, tables, warnings, inputs, what is not covered.

use super::figures::{projection_words, sigma_of};
use super::outputs::SurveyOutputs;
use super::words::{CAUTIONS, LARGE_STRUCTURES, MAPPED_STRUCTURES, NOT_COVERED, counted};
use super::{domains, lines, quality, rejects, sets, structures, triples, warnings};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{fixed, shortest};
use crate::survey::{HandSet, Notation, SetBorder, SetSource};

pub(super) fn page(outputs: &SurveyOutputs<'_>, figures: &[Figure]) -> String {
    let mut body = Html::default();
    let title = format!("Joint sets from {}", outputs.file_name);
    body.head(&title, &format!("North: {}.", outputs.north), outputs.dated);
    body.answer(&outputs.answer());
    domains::sets_section(&mut body, outputs.domains);
    body.figure(figures, "stereonet");
    sets::section(&mut body, outputs);
    triples::section(&mut body, outputs.mapped);
    body.heading("How they lie, how long, how close");
    body.figure(figures, "rose");
    body.figure(figures, "trace_lengths");
    body.figure(figures, "spacings");
    if !figures.iter().any(|f| f.stem == "trace_lengths") {
        body.paragraph("No trace length was recorded.");
    }
    if !figures.iter().any(|f| f.stem == "spacings") {
        let why = "No spacing can be shown: it takes distances along a line of known direction, or \
                   measured spacings.";
        body.paragraph(why);
    }
    quality::section(&mut body, outputs);
    structures::section(&mut body, &outputs.survey.structures);
    domains::section(&mut body, outputs, figures);
    warnings::section(&mut body, outputs.survey, outputs.mapped);
    rejects::section(&mut body, &outputs.survey.rejects);
    inputs(&mut body, outputs);
    body.heading("What is not covered");
    let large = if outputs.survey.structures.is_empty() { LARGE_STRUCTURES } else { MAPPED_STRUCTURES };
    body.list([large].iter().chain(&NOT_COVERED).map(|what| format!("Not covered: {what}.")));
    body.heading("Cautions");
    body.list(CAUTIONS.iter().map(ToString::to_string));
    document(&title, &body)
}

fn inputs(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let (survey, mapped, options) = (outputs.survey, outputs.mapped, outputs.options);
    body.heading("Inputs and corrections");
    let mut lines = vec![format!(
        "{}: {} with content, of them {}, {} apart, {} rejected and {} left out (not asked for, or dropped as repeats).",
        outputs.file_name,
        counted(survey.rows, "row", "rows"),
        counted(survey.readings.len(), "reading", "readings"),
        counted(survey.structures.len(), "structure", "structures"),
        survey.rejects.len(),
        survey.left_out.len()
    )];
    let notations =
        [Notation::DipDirection, Notation::Strike, Notation::Quadrant, Notation::Pole, Notation::Core];
    lines.extend(notations.into_iter().filter_map(|notation| {
        let count = survey.readings.iter().filter(|r| r.notation == notation).count();
        (count > 0).then(|| format!("Read from {}: {count}.", notation.words()))
    }));
    let north = survey.north;
    lines.push(if north.turn_deg() == 0.0 {
        format!("Azimuths are taken as they stand, as if counted from {}.", outputs.north)
    } else {
        format!(
            "To {}: declination {}°, grid convergence {}°, so {}° were added to every azimuth that a compass gave, of joints and of lines; a line whose trend is counted from true north was turned by the convergence alone, one on the grid not at all.",
            outputs.north,
            shortest(north.declination_deg),
            shortest(north.convergence_deg),
            fixed(north.turn_deg(), 2)
        )
    });
    lines.push(match (&mapped.mixture, &options.source) {
        (_, SetSource::ByHand(sets)) => format!(
            "Sets are those whose borders were drawn by hand, in {}: {}. A pole on a border is within it; of borders \
             that overlap the first has it; what is outside of all is in no set.",
            outputs.set_borders_name.unwrap_or("a file"),
            sets.iter().map(border_words).collect::<Vec<_>>().join("; ")
        ),
        (None, SetSource::LabelsForAll) => "Sets are those that the readings were labelled \
            with; a reading without a label is in the set that it most likely belongs to, by the means and the \
            scatter of the labelled ones and their shares of the others, or in none."
            .to_owned(),
        (None, _) => "Sets are those that the readings were labelled with.".to_owned(),
        (Some(mixture), _) => format!(
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
    let weighed = survey.readings.iter().filter(|r| r.mapper_weight.is_some()).count();
    if weighed > 0 {
        lines.push(format!(
            "{} the mapper's own weight, which multiplies them in means and scatter; it changes neither which set a \
             reading is in nor any count along a line.",
            counted(weighed, "reading has", "readings have")
        ));
    }
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
    lines::section(body, survey, mapped);
}

/// A border by hand in words.
fn border_words(set: &HandSet) -> String {
    match &set.border {
        SetBorder::Round { mean, within_deg } => format!(
            "{} within {}° of {}/{}",
            set.name,
            shortest(*within_deg),
            shortest(mean.dip_deg),
            shortest(mean.dip_direction_deg)
        ),
        SetBorder::Polygon(polygon) => {
            format!("{} in a border of {} corners", set.name, polygon.corners().len())
        }
    }
}
