//! `map`: a survey read, mapped, written and said.

mod arguments;
mod input;
mod stated;

use std::path::Path;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::progress::Progress;
use super::{again, terminal};
use crate::orientation::Projection;
use crate::report::{Asked, Grid, OutputFile, Recorded, SURVEY_CAUTION_LINE, SignOff, SurveyOutputs};
use crate::study::Steps;
use crate::survey::{
    AlongDrive, Domain, MapOptions, Mapped, Survey, map_domains, map_survey, say_of_domains,
};

pub(super) use arguments::Arguments;
use arguments::{Borders, of_switches, switches};
use input::{Files, Input, read};

/// Reads the survey, finds the sets, writes the folder, and says the answer.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    if let Some(summary) = &arguments.again {
        return again::compare(summary, "map", (arguments.out.as_ref(), arguments.overwrite), again_from);
    }
    let Some(out) = &arguments.out else {
        return Err(Failure::Usage("give a survey and --out, or --again and a summary.json".into()));
    };
    let progress = Progress::begin("reading the survey");
    let mut wrong = Vec::new();
    let files = Files::of(arguments, &mut wrong)?;
    let input = read(arguments, files, wrong)?;
    let folder = Folder::begin(out, arguments.overwrite)?;
    let dated = arguments.dated.as_deref();
    let (said, set_aside) = found(arguments, input, progress.steps(), dated, |outputs| {
        let set_aside = folder.fill(&outputs.files()?)?;
        Ok((Said::of(outputs), set_aside))
    })?;
    drop(progress);
    say(&said, out);
    terminal::set_aside(set_aside.as_deref());
    Ok(DONE)
}

/// What the terminal says once everything is written.
struct Said {
    answer: String,
    table: Option<Grid>,
    lines: Vec<String>,
    sets: bool,
    structures: bool,
    quality: bool,
    /// The files of the domains' sets, a comma and a blank after each.
    domains: String,
}

impl Said {
    fn of(outputs: &SurveyOutputs<'_>) -> Self {
        Self {
            answer: outputs.answer(),
            table: outputs.terminal_table(),
            lines: outputs.terminal_lines(),
            sets: !outputs.mapped.sets.is_empty(),
            structures: !outputs.survey.structures.is_empty(),
            quality: !outputs.mapped.quality.is_empty(),
            domains: outputs.domain_files(),
        }
    }
}

/// The files that the switches and the files of a summary make.
fn again_from(recorded: &Recorded, folder: &Path) -> Result<Vec<OutputFile>, Failure> {
    let Asked::Map { switches } = &recorded.asked else {
        return Err(Failure::Usage("--again: the summary is none of map".into()));
    };
    let Some(arguments) = of_switches(switches) else {
        let switches = switches.join(" ");
        return Err(Failure::Usage(format!(
            "--again: this version does not know all of these switches: {switches}"
        )));
    };
    let mut wrong = Vec::new();
    let files = Files::recorded(&arguments, recorded, folder, &mut wrong)?;
    let input = read(&arguments, files, wrong)?;
    let dated = recorded.dated.as_deref();
    found(&arguments, input, &Steps::default(), dated, |outputs| Ok(outputs.files()?))
}

/// Maps, and hands over what the files need.
fn found<T>(
    arguments: &Arguments,
    input: Input,
    steps: &Steps,
    dated: Option<&str>,
    then: impl FnOnce(&SurveyOutputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let Input { survey, text, options, borders, files, lines_name, set_borders_name } = input;
    steps.begin("finding sets and their statistics", 0);
    let mut mapped = map_survey(&survey, &options);
    let domains = domains(&survey, &mapped, &borders, &options)?;
    say_of_domains(&mut mapped, &domains, borders == Borders::Found);
    steps.begin("drawing and writing", 0);
    let asked = Asked::Map { switches: switches(arguments) };
    then(&SurveyOutputs {
        survey: &survey,
        mapped: &mapped,
        domains: &domains,
        options: &options,
        file_name: files.first().map_or("", |f| &f.name),
        text: &text,
        lines_name: lines_name.as_deref(),
        set_borders_name: set_borders_name.as_deref(),
        north: &arguments.north,
        projection: if arguments.equal_angle { Projection::EqualAngle } else { Projection::EqualArea },
        asked: &asked,
        sign_off: SignOff { files: &files, ..SignOff::default() },
        dated,
    })
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
    let all = survey.readings.iter().filter_map(|r| along.place_m(r));
    let ends = all.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], m| [a.min(m), b.max(m)]);
    // A place at the very first reading has nothing before it.
    let outside: Vec<String> =
        places.iter().filter(|m| **m <= ends[0] || **m > ends[1]).map(f64::to_string).collect();
    if !outside.is_empty() {
        return Err(Failure::Usage(format!(
            "--border {}: no reading lies on one side of it; readings lie from {:.1} to {:.1} m along the drive\n  do: give \
             places between, counted as {}, or --border found",
            outside.join(", "),
            ends[0],
            ends[1],
            match along {
                AlongDrive::Chainage => "chainage_m".to_owned(),
                AlongDrive::Distance(line) => format!("distance_m on line {}", survey.lines[line].id),
            }
        )));
    }
    Ok(map_domains(survey, along, &places, options))
}

fn say(said: &Said, out: &Path) {
    terminal::answer(&said.answer);
    if let Some(table) = &said.table {
        terminal::table(table);
    }
    terminal::lines(&said.lines);
    let files = format!(
        "report.html, {}sets.csv, {}{}readings.csv, rejects.csv, triples.csv, lines.csv, domains.csv, {}warnings.csv, summary.json, plots/",
        said.domains,
        if said.sets { "joint_sets.toml, " } else { "" },
        if said.structures { "structures.toml, " } else { "" },
        if said.quality { "quality.csv, quality_words.csv, " } else { "" }
    );
    terminal::result(&format!("\nWritten to {}:\n{}", out.display(), terminal::wrapped(&files)));
    terminal::result(&terminal::wrapped(SURVEY_CAUTION_LINE));
}
