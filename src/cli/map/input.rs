//! What `map` is given, read: files, and what the switches say of how.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use super::arguments::{Arguments, Borders, asked_of_reading, borders, map_options};
use crate::cli::outcome::Failure;
use crate::input::{is_workbook, sheet_as_text};
use crate::survey::{ColumnMap, MapOptions, Survey, Warning, read_lines, read_survey, read_text};

/// A survey beyond this is no table that somebody measured.
const LARGEST_FILE_BYTES: u64 = 1 << 30;

/// What came in.
pub(super) struct Input {
    pub survey: Survey,
    pub text: String,
    pub options: MapOptions,
    pub borders: Borders,
}

/// Reads everything that was given; all that is wrong with it is said at once.
pub(super) fn read(arguments: &Arguments) -> Result<Input, Failure> {
    let mut wrong: Vec<String> = Vec::new();
    let options = map_options(arguments, &mut wrong);
    let borders = borders(arguments, &mut wrong);
    let mut asked = asked_of_reading(arguments, &mut wrong);
    let mut warnings: Vec<Warning> = Vec::new();
    let sheet = (arguments.lines_sheet.as_deref(), "--lines-sheet");
    if let Some(path) = &arguments.lines
        && let Some(text) = text_of("--lines", path, sheet, &mut warnings, &mut wrong)?
    {
        match read_lines(&path.display().to_string(), &text, &ColumnMap::default(), asked.north) {
            Ok((found, of_lines)) => {
                asked.lines = found;
                warnings.extend(of_lines);
            }
            Err(problems) => wrong.push(problems.to_string()),
        }
    } else if arguments.lines.is_none() && arguments.lines_sheet.is_some() {
        wrong.push("--lines-sheet: give the spreadsheet with --lines".to_owned());
    }
    let (path, sheet) = (&arguments.survey, (arguments.sheet.as_deref(), "--sheet"));
    let mut read = None;
    if let Some(text) = text_of("the survey", path, sheet, &mut warnings, &mut wrong)? {
        match read_survey(&path.display().to_string(), &text, &asked) {
            Ok(mut survey) => {
                survey.warnings.splice(0..0, warnings);
                read = Some(Input { survey, text, options, borders: borders.clone() });
            }
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    match read {
        Some(input) if wrong.is_empty() => Ok(input),
        _ => Err(Failure::Usage(wrong.join("\n"))),
    }
}

/// The text of a file, or of a sheet of it where it is a spreadsheet; `None` where there is none, which is said
/// among everything else.
fn text_of(
    what: &str,
    path: &Path,
    (sheet, switch): (Option<&str>, &str),
    warnings: &mut Vec<Warning>,
    wrong: &mut Vec<String>,
) -> Result<Option<String>, Failure> {
    let Some(bytes) = bytes_of(what, path, wrong)? else { return Ok(None) };
    if is_workbook(&bytes) {
        return Ok(match sheet_as_text(&path.display().to_string(), &bytes, sheet) {
            Ok(found) => {
                let rows = found.merged_rows;
                warnings.extend((rows > 0).then_some(Warning::MergedRows { rows }));
                Some(found.text)
            }
            Err(problems) => {
                wrong.push(problems.to_string());
                None
            }
        });
    }
    if sheet.is_some() {
        wrong.push(format!("{switch}: {} is no spreadsheet; leave the switch out", path.display()));
    }
    let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    if !wide && bytes.contains(&0) {
        wrong.push(format!(
            "{what} {}: this is no text; give a CSV or AGS file, or a spreadsheet (.xlsx, .xls, .ods)",
            path.display()
        ));
        return Ok(None);
    }
    let text = read_text(bytes.as_slice()).map_err(|e| Failure::machine("cannot read", path, e))?;
    warnings.extend(text.guessed_latin_1.then_some(Warning::GuessedLetters));
    Ok(Some(text.text))
}

fn bytes_of(what: &str, path: &Path, wrong: &mut Vec<String>) -> Result<Option<Vec<u8>>, Failure> {
    let failed = |error| Failure::machine("cannot read", path, error);
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
