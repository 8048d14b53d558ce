//! `map`: a survey read, mapped, written and said.

mod arguments;
mod input;

use std::path::Path;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::progress::Progress;
use super::terminal;
use crate::orientation::Projection;
use crate::report::{SURVEY_CAUTION_LINE, SurveyOutputs};
use crate::survey::{AlongDrive, Domain, MapOptions, Mapped, Survey, map_domains, map_survey};

pub(super) use arguments::Arguments;
use arguments::Borders;
use input::{Input, read};

/// Reads the survey, finds the sets, writes the folder, and says the answer.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let progress = Progress::begin("reading the survey");
    let Input { survey, text, options, borders } = read(arguments)?;
    let folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    progress.steps().begin("finding sets and their statistics", 0);
    let mapped = map_survey(&survey, &options);
    let domains = domains(&survey, &mapped, &borders, &options)?;
    progress.steps().begin("drawing and writing", 0);
    let lines_name = arguments.lines.as_deref().map(name_of);
    let outputs = SurveyOutputs {
        survey: &survey,
        mapped: &mapped,
        domains: &domains,
        options: &options,
        file_name: &name_of(&arguments.survey),
        text: &text,
        lines_name: lines_name.as_deref(),
        north: &arguments.north,
        projection: if arguments.equal_angle { Projection::EqualAngle } else { Projection::EqualArea },
        dated: arguments.dated.as_deref(),
    };
    let set_aside = folder.fill(&outputs.files()?)?;
    drop(progress);
    say(&outputs, &outputs.answer(), arguments);
    terminal::set_aside(set_aside.as_deref());
    Ok(DONE)
}

/// The domains that were asked for; none where no border was, or none was found.
fn domains(
    survey: &Survey,
    mapped: &Mapped,
    borders: &Borders,
    options: &MapOptions,
) -> Result<Vec<Domain>, Failure> {
    let found = mapped.domains.as_ref().map_or(&[][..], |d| &d.borders);
    let places: Vec<f64> = match borders {
        Borders::At(places) => places.clone(),
        Borders::Found => found.iter().map(|b| b.at_m).collect(),
    };
    if places.is_empty() {
        return Ok(Vec::new());
    }
    let Some(along) = AlongDrive::of(survey) else {
        let why = "--border: no reading says where along the drive it stood; give chainage_m, or distance_m on a line";
        return Err(Failure::Usage(why.to_owned()));
    };
    Ok(map_domains(survey, along, &places, options))
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn say(outputs: &SurveyOutputs<'_>, answer: &str, arguments: &Arguments) {
    terminal::answer(answer);
    if let Some(table) = outputs.terminal_table() {
        terminal::table(&table);
    }
    terminal::lines(&outputs.terminal_lines());
    terminal::result(&format!(
        "\nWritten to {}:\nreport.html, sets.csv, joint_sets.toml, readings.csv, rejects.csv, triples.csv, lines.csv,\nwarnings.csv, plots/",
        arguments.out.display()
    ));
    terminal::result(&terminal::wrapped(SURVEY_CAUTION_LINE));
}
