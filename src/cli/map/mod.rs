//! `map`: a survey read, mapped, written and said.

mod arguments;
mod input;

use std::path::Path;

use super::folder::Folder;
use super::outcome::{DONE, Outcome};
use super::progress::Progress;
use super::terminal;
use crate::orientation::Projection;
use crate::report::{SURVEY_CAUTION_LINE, SurveyOutputs};
use crate::survey::map_survey;

pub(super) use arguments::Arguments;
use input::{Input, read};

/// Reads the survey, finds the sets, writes the folder, and says the answer.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let progress = Progress::begin("reading the survey");
    let Input { survey, text, options } = read(arguments)?;
    let folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    progress.steps().begin("finding sets and their statistics", 0);
    let mapped = map_survey(&survey, &options);
    progress.steps().begin("drawing and writing", 0);
    let lines_name = arguments.lines.as_deref().map(name_of);
    let outputs = SurveyOutputs {
        survey: &survey,
        mapped: &mapped,
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
