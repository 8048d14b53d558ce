use std::fs::File;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::progress::Progress;
use super::{date, terminal};
use crate::orientation::{Plane, Projection};
use crate::report::{SURVEY_CAUTION_LINE, SurveyOutputs};
use crate::survey::{
    ColumnMap, DEFAULT_MAX_WEIGHT, MapOptions, NorthCorrection, ReadOptions, SetSource, Survey, SurveyLine,
    Text, Warning, map_survey, read_lines, read_survey, read_text,
};

/// Turn a mapper's survey into joint sets: corrections, sets, statistics, stereonet, and a
/// fragment that a case takes in.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The survey: a CSV table with units in its headers, or an AGS 4 file.
    #[arg(value_name = "SURVEY")]
    survey: PathBuf,
    /// The folder to write tables, plots, fragment and page into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// A CSV table of scanlines, windows and holes: id, kind, trend_deg, plunge_deg, length_m,
    /// radius_m or width_m and height_m, reference_line.
    #[arg(long, value_name = "LINES")]
    lines: Option<PathBuf>,
    /// Which of the survey's headers means what, such as dip_direction_deg="Azimuth"; may be
    /// given several times.
    #[arg(long = "column", value_name = "OURS=THEIRS")]
    columns: Vec<String>,
    /// The line of the survey that holds its header, from 1; found where it is not given.
    #[arg(long, value_name = "LINE")]
    header_row: Option<usize>,
    /// How far magnetic north lies east of true north, degrees.
    #[arg(long, value_name = "DEG", default_value_t = 0.0, allow_negative_numbers = true)]
    declination_deg: f64,
    /// How far the case's north lies east of true north, degrees.
    #[arg(long, value_name = "DEG", default_value_t = 0.0, allow_negative_numbers = true)]
    convergence_deg: f64,
    /// What the case calls its north.
    #[arg(long, value_name = "NORTH", default_value = "mine grid")]
    north: String,
    /// The number of sets, instead of choosing it; labels are put aside.
    #[arg(long, value_name = "N")]
    sets: Option<String>,
    /// Where to start a set, dip and dip direction such as 68/042; may be given several times;
    /// labels are put aside.
    #[arg(long = "start", value_name = "DIP/DD")]
    starts: Vec<String>,
    /// Find the sets even where the mapper labelled them.
    #[arg(long)]
    ignore_labels: bool,
    /// What becomes of readings without a label where others have one: they stay out of every set, or each
    /// is assigned to the labelled set that it most likely belongs to.
    #[arg(long, value_name = "WAY", value_enum, default_value_t = Unlabelled::Out)]
    unlabelled: Unlabelled,
    /// Greatest Terzaghi weight of a reading, 1 or more.
    #[arg(long, value_name = "W", default_value_t = DEFAULT_MAX_WEIGHT)]
    max_weight: f64,
    /// Seed of the random starts and of the bootstrap.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Draw the stereonet in equal-angle instead of equal-area projection.
    #[arg(long)]
    equal_angle: bool,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
}

/// Readings without a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Unlabelled {
    Out,
    Assign,
}

/// A case takes no more sets.
const MOST_SETS: usize = 20;
/// Letters of a case's north.
const MOST_NORTH: usize = 100;
/// A survey beyond this is no table that somebody measured.
const LARGEST_FILE_BYTES: u64 = 1 << 30;

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

/// What came in.
struct Input {
    survey: Survey,
    text: String,
    options: MapOptions,
}

/// Reads everything that was given; all that is wrong with it is said at once.
fn read(arguments: &Arguments) -> Result<Input, Failure> {
    let mut wrong: Vec<String> = Vec::new();
    let options = map_options(arguments, &mut wrong);
    let columns = column_map(&arguments.columns, &mut wrong);
    let north = north(arguments, &mut wrong);
    let (mut lines, mut warnings): (Vec<SurveyLine>, Vec<Warning>) = (Vec::new(), Vec::new());
    if let Some(path) = &arguments.lines
        && let Some(text) = text_of("--lines", path, &mut wrong)?
    {
        match read_lines(&path.display().to_string(), &text.text, &ColumnMap::default(), north) {
            Ok((found, of_lines)) => (lines, warnings) = (found, of_lines),
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    let path = &arguments.survey;
    let options_of_reading = ReadOptions { columns, north, lines, header_line: arguments.header_row };
    let mut read = None;
    if let Some(Text { text, guessed_latin_1 }) = text_of("the survey", path, &mut wrong)? {
        if guessed_latin_1 {
            warnings.push(Warning::GuessedLetters);
        }
        match read_survey(&path.display().to_string(), &text, &options_of_reading) {
            Ok(mut survey) => {
                survey.warnings.splice(0..0, warnings);
                read = Some(Input { survey, text, options });
            }
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    match read {
        Some(input) if wrong.is_empty() => Ok(input),
        _ => Err(Failure::Usage(wrong.join("\n"))),
    }
}

/// The text of a file; `None` when it is not there, which is said among everything else.
fn text_of(what: &str, path: &Path, wrong: &mut Vec<String>) -> Result<Option<Text>, Failure> {
    let file = match File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::NotFound => {
            wrong.push(format!("{what} {}: there is no such file", path.display()));
            return Ok(None);
        }
        Err(error) => return Err(Failure::machine("cannot read", path, error)),
    };
    let metadata = file.metadata().map_err(|e| Failure::machine("cannot read", path, e))?;
    if metadata.is_dir() {
        wrong.push(format!("{what} {}: this is a folder; give a file", path.display()));
        return Ok(None);
    }
    if metadata.len() > LARGEST_FILE_BYTES {
        wrong.push(format!("{what} {}: larger than 1 GB; is it a survey?", path.display()));
        return Ok(None);
    }
    read_text(file).map(Some).map_err(|e| Failure::machine("cannot read", path, e))
}

fn map_options(arguments: &Arguments, wrong: &mut Vec<String>) -> MapOptions {
    let mut options = MapOptions::default();
    options.mixture.seed = arguments.seed;
    if let Some(text) = &arguments.sets {
        match text.parse() {
            Ok(sets @ 1..=MOST_SETS) => options.mixture.sets = Some(sets),
            _ => wrong.push(format!("--sets {text}: allowed 1 to {MOST_SETS}")),
        }
    }
    for text in &arguments.starts {
        match dip_and_direction(text) {
            Some(plane) => options.mixture.starts.push(plane.upward_normal().into_inner()),
            None => wrong.push(format!(
                "--start {text}: allowed dip and dip direction, 0 to 90 and 0 to 360, such as 68/042"
            )),
        }
    }
    let most = options.mixture.sets.unwrap_or(MOST_SETS);
    if options.mixture.starts.len() > most {
        wrong.push(format!("--start: {} of them, for {most} sets at most", options.mixture.starts.len()));
    }
    if arguments.max_weight >= 1.0 && arguments.max_weight.is_finite() {
        options.max_weight = arguments.max_weight;
    } else {
        wrong.push(format!("--max-weight {}: allowed 1 or more", arguments.max_weight));
    }
    if arguments.unlabelled == Unlabelled::Assign {
        options.source = SetSource::LabelsForAll;
    }
    if arguments.ignore_labels || arguments.sets.is_some() || !arguments.starts.is_empty() {
        if arguments.unlabelled == Unlabelled::Assign {
            wrong.push(
                "--unlabelled assign: it goes by the labels, which --ignore-labels, --sets and --start put \
                 aside; give one or the other"
                    .to_owned(),
            );
        }
        options.source = SetSource::Automatic;
    }
    options
}

fn dip_and_direction(text: &str) -> Option<Plane> {
    let (dip, direction) = text.split_once('/')?;
    let (dip_deg, dip_direction_deg) = (dip.trim().parse().ok()?, direction.trim().parse().ok()?);
    let fits = (0.0..=90.0).contains(&dip_deg) && (0.0..=360.0).contains(&dip_direction_deg);
    fits.then_some(Plane { dip_deg, dip_direction_deg })
}

fn column_map(columns: &[String], wrong: &mut Vec<String>) -> ColumnMap {
    let mut map = ColumnMap::default();
    for text in columns {
        match text.split_once('=') {
            Some((ours, theirs)) if !ours.trim().is_empty() && !theirs.trim().is_empty() => {
                map.pairs.push((ours.trim().to_owned(), theirs.trim().to_owned()));
            }
            _ => wrong.push(format!(
                "--column {text}: write the known name, =, and the header in the file, such as dip_direction_deg=\"Azimuth\""
            )),
        }
    }
    map
}

fn north(arguments: &Arguments, wrong: &mut Vec<String>) -> NorthCorrection {
    for (name, value) in
        [("--declination-deg", arguments.declination_deg), ("--convergence-deg", arguments.convergence_deg)]
    {
        if !(-180.0..=180.0).contains(&value) {
            wrong.push(format!("{name} {value}: allowed -180 to 180, east positive"));
        }
    }
    let letters = arguments.north.chars().count();
    if arguments.north.trim().is_empty() || letters > MOST_NORTH {
        wrong.push(format!("--north: {letters} letters; allowed 1 to {MOST_NORTH}"));
    }
    NorthCorrection { declination_deg: arguments.declination_deg, convergence_deg: arguments.convergence_deg }
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
