//! What `map` is given, read: files, and what the switches say of how.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use super::arguments::{Arguments, Borders, asked_of_reading, borders, file_name, map_options};
use crate::case::{SourceFile, would_wait};
use crate::cli::outcome::Failure;
use crate::input::{Problem, ProblemKind, Problems, cited, is_workbook, quoted, sheet_as_text};
use crate::report::Recorded;
use crate::survey::{
    ColumnMap, MapOptions, SetSource, Survey, Warning, read_hand_sets, read_lines, read_survey, read_text,
};

/// A survey beyond this is no table that somebody measured.
const LARGEST_FILE_BYTES: u64 = 1 << 30;

/// A file that was given.
pub(super) struct Given {
    /// As messages call it.
    shown: String,
    /// Without folders, as outputs call it.
    name: String,
    bytes: Vec<u8>,
}

/// The files that were given.
pub(super) struct Files {
    survey: Option<Given>,
    lines: Option<Given>,
    set_borders: Option<Given>,
}

impl Files {
    /// Reads what the arguments name; what is not there is said in `wrong`.
    pub(super) fn of(arguments: &Arguments, wrong: &mut Vec<String>) -> Result<Self, Failure> {
        let mut given = |what: &str, path: Option<&PathBuf>| -> Result<Option<Given>, Failure> {
            let Some(path) = path else { return Ok(None) };
            Ok(bytes_of(what, path, wrong)?.map(|bytes| Given {
                shown: path.display().to_string(),
                name: file_name(path),
                bytes,
            }))
        };
        let lines = given("--lines", arguments.lines.as_ref())?;
        let set_borders = given("--set-borders", arguments.stated.set_borders.as_ref())?;
        Ok(Self { survey: given("the survey", arguments.survey.as_ref())?, lines, set_borders })
    }

    /// Those that a summary holds, in the order of [`Input::files`]; one that is too large to be held stands beside
    /// it.
    pub(super) fn recorded(
        arguments: &Arguments,
        recorded: &Recorded,
        folder: &Path,
        wrong: &mut Vec<String>,
    ) -> Result<Self, Failure> {
        let mut files = recorded.files.iter();
        // The last, where the switches name it.
        let borders_file = arguments.stated.set_borders.as_ref().and_then(|_| files.next_back());
        let mut given = |file: Option<&SourceFile>| -> Result<Option<Given>, Failure> {
            let Some(file) = file else { return Ok(None) };
            let bytes = match &file.content {
                Some(bytes) => Some(bytes.clone()),
                None => bytes_of(
                    "too large for the summary to hold, so beside it:",
                    &folder.join(&file.name),
                    wrong,
                )?,
            };
            Ok(bytes.map(|bytes| Given { shown: file.name.clone(), name: file.name.clone(), bytes }))
        };
        Ok(Self {
            survey: given(files.next())?,
            lines: given(files.next())?,
            set_borders: given(borders_file)?,
        })
    }
}

/// What came in.
pub(super) struct Input {
    pub survey: Survey,
    pub text: String,
    pub options: MapOptions,
    pub borders: Borders,
    /// The survey's file, that of its lines where there is one, and that of borders by hand where there is one.
    pub files: Vec<SourceFile>,
    pub lines_name: Option<String>,
    pub set_borders_name: Option<String>,
}

/// Reads everything that was given; all that is wrong with it is said at once, after what is `wrong` already.
pub(super) fn read(arguments: &Arguments, given: Files, mut wrong: Vec<String>) -> Result<Input, Failure> {
    let mut options = map_options(arguments, &mut wrong);
    let borders = borders(arguments, &mut wrong);
    let mut asked = asked_of_reading(arguments, &mut wrong);
    let (mut warnings, mut files): (Vec<Warning>, Vec<SourceFile>) = (Vec::new(), Vec::new());
    let sheet = (arguments.lines_sheet.as_deref(), "--lines-sheet");
    if arguments.lines_sheet.is_some() && given.lines.is_none() {
        wrong.push("--lines-sheet: give the spreadsheet with --lines".to_owned());
    }
    if let Some(file) = given.lines {
        if let Some(found) = text_of("--lines", &file, sheet, &mut warnings, &mut wrong)? {
            match read_lines(&found.shown(&file.shown), &found.text, &ColumnMap::default(), asked.north) {
                Ok((lines, mut of_lines)) => {
                    found.on_sheet(&mut of_lines);
                    asked.lines = lines;
                    warnings.extend(of_lines);
                }
                Err(problems) => wrong.push(problems.to_string()),
            }
        }
        files.push(SourceFile::new(file.name, file.bytes));
    }
    let lines_name = files.first().map(|file| file.name.clone());
    let mut set_borders_name = None;
    if let Some(file) = given.set_borders {
        if let Some(found) = text_of("--set-borders", &file, (None, ""), &mut warnings, &mut wrong)? {
            match read_hand_sets(&file.shown, &found.text) {
                Ok(sets) => options.source = SetSource::ByHand(sets),
                Err(problems) => wrong.push(told(&problems)),
            }
        }
        set_borders_name = Some(file.name.clone());
        files.push(SourceFile::new(file.name, file.bytes));
    }
    let mut read = None;
    if let Some(file) = given.survey {
        let sheet = (arguments.sheet.as_deref(), "--sheet");
        if let Some(found) = text_of("the survey", &file, sheet, &mut warnings, &mut wrong)? {
            let shown = found.shown(&file.shown);
            // Large ones are let go here.
            files.insert(0, SourceFile::new(file.name, file.bytes));
            match read_survey(&shown, &found.text, &asked) {
                Ok(survey) if survey.is_without_joints() => wrong.push(without_joints(&shown, &survey)),
                Ok(mut survey) => {
                    found.on_sheet(&mut survey.warnings);
                    let text = found.text;
                    survey.warnings.splice(0..0, warnings);
                    read =
                        Some(Input { survey, text, options, borders, files, lines_name, set_borders_name });
                }
                Err(problems) => wrong.push(problems.to_string()),
            }
        }
    }
    match read {
        Some(input) if wrong.is_empty() => Ok(input),
        _ => Err(Failure::Usage(wrong.join("\n"))),
    }
}

/// Rejected rows that are told where nothing else is left of a survey; the rest are counted.
const MOST_REJECTS_TOLD: usize = 5;

/// Problems of a file, of lines that are no TOML the first few: where most are none, it is another kind of file.
fn told(problems: &Problems) -> String {
    let is_line = |p: &&Problem| p.kind == ProblemKind::Syntax;
    let (broken, others): (Vec<&Problem>, Vec<&Problem>) = problems.list().iter().partition(is_line);
    let mut lines: Vec<String> =
        broken.iter().take(MOST_REJECTS_TOLD).chain(&others).map(ToString::to_string).collect();
    let more = broken.len().saturating_sub(MOST_REJECTS_TOLD) + problems.unlisted();
    lines.extend((more > 0).then(|| format!("… and {more} more problems; is this a TOML file of borders?")));
    lines.join("\n")
}

fn rows_word(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

/// What is said of a survey none of whose rows can be used: an empty fragment would look as if there were no joints.
fn without_joints(name: &str, survey: &Survey) -> String {
    if survey.rejects.is_empty() {
        let rows = rows_word(survey.left_out.len());
        return format!(
            "{name}: found {rows}, none of which is asked for\n  do: see --where, and how the column is written"
        );
    }
    let told = survey.rejects.iter().take(MOST_REJECTS_TOLD);
    let mut lines = vec![format!(
        "{name}: found {}, none of which gives a joint or a structure",
        rows_word(survey.rejects.len() + survey.left_out.len())
    )];
    lines.extend(told.map(|r| format!("  line {}: {}", r.line_number, cited(&r.reason))));
    let more = survey.rejects.len().saturating_sub(MOST_REJECTS_TOLD);
    lines.extend((more > 0).then(|| format!("  and {more} more")));
    lines.push(
        "  do: correct the rows; was the right sheet or file exported, and is each column what it is called?"
            .into(),
    );
    lines.join("\n")
}

/// The text of a file, and of which sheet it is where it is a spreadsheet.
struct Found {
    text: String,
    sheet: Option<String>,
}

impl Found {
    /// The file as messages call it.
    fn shown(&self, file: &str) -> String {
        match &self.sheet {
            Some(sheet) => format!("{file}, sheet {}", quoted(sheet)),
            None => file.to_owned(),
        }
    }

    /// Notes on its headers with the sheet that they stand on.
    fn on_sheet(&self, notes: &mut [Warning]) {
        if let Some(sheet) = &self.sheet {
            notes.iter_mut().for_each(|note| note.on_sheet(sheet));
        }
    }
}

/// The text of a file, or of a sheet of it where it is a spreadsheet; `None` where there is none, which is said
/// among everything else.
fn text_of(
    what: &str,
    file: &Given,
    (sheet, switch): (Option<&str>, &str),
    warnings: &mut Vec<Warning>,
    wrong: &mut Vec<String>,
) -> Result<Option<Found>, Failure> {
    if is_workbook(&file.bytes) {
        return Ok(match sheet_as_text(&file.shown, &file.bytes, sheet) {
            Ok(found) => {
                let rows = found.merged_rows;
                warnings.extend((rows > 0).then_some(Warning::MergedRows { rows }));
                Some(Found { text: found.text, sheet: Some(found.sheet) })
            }
            Err(problems) => {
                wrong.push(problems.to_string());
                None
            }
        });
    }
    if sheet.is_some() {
        wrong.push(format!("{switch}: {} is no spreadsheet; leave the switch out", file.shown));
    }
    let wide = file.bytes.starts_with(&[0xFF, 0xFE]) || file.bytes.starts_with(&[0xFE, 0xFF]);
    if !wide && file.bytes.contains(&0) {
        wrong.push(format!(
            "{what} {}: this is no text; give a CSV or AGS file, or a spreadsheet (.xlsx, .xls, .ods)",
            file.shown
        ));
        return Ok(None);
    }
    let text = read_text(file.bytes.as_slice());
    let text = text.map_err(|e| Failure::machine("cannot read", Path::new(&file.shown), e))?;
    warnings.extend(text.guessed_latin_1.then_some(Warning::GuessedLetters));
    Ok(Some(Found { text: text.text, sheet: None }))
}

fn bytes_of(what: &str, path: &Path, wrong: &mut Vec<String>) -> Result<Option<Vec<u8>>, Failure> {
    let failed = |error| Failure::machine("cannot read", path, error);
    if would_wait(path) {
        wrong.push(format!("{what} {}: this is a pipe or a device; give a file", path.display()));
        return Ok(None);
    }
    let mut file = match File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::NotFound => {
            wrong.push(format!("{what} {}: there is no such file", path.display()));
            return Ok(None);
        }
        Err(error) => return Err(failed(error)),
    };
    let metadata = file.metadata().map_err(failed)?;
    if metadata.is_dir() {
        wrong.push(format!("{what} {}: this is a folder; give a file", path.display()));
        return Ok(None);
    }
    if metadata.len() > LARGEST_FILE_BYTES {
        wrong.push(format!("{what} {}: larger than 1 GB; is it a survey?", path.display()));
        return Ok(None);
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(failed)?;
    Ok(Some(bytes))
}
