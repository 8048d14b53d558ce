//! The files of an output folder.

use thiserror::Error;

use super::html::Figure;
use super::sheet::{DrawError, Sheet};
use super::table::TableError;

/// Resolution of the PNG files, dots an inch: sharp in print at the width they are drawn for.
const PNG_DPI: f64 = 150.0;

/// A file of an output folder.
#[derive(Debug, Clone)]
pub struct OutputFile {
    /// Its name, folders divided by `/`.
    pub name: String,
    /// Its bytes.
    pub content: Vec<u8>,
}

impl OutputFile {
    /// A file of text.
    pub(crate) fn text(name: &str, text: String) -> Self {
        Self { name: name.to_owned(), content: text.into_bytes() }
    }
}

/// Why the files could not be made.
#[derive(Debug, Error)]
pub enum OutputError {
    /// A table.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The summary.
    #[error("the summary could not be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// A drawing.
    #[error(transparent)]
    Draw(#[from] DrawError),
}

/// A drawing as it is shown on the page, and as it is printed.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    figure: Figure,
    png: Vec<u8>,
}

/// A sheet as a drawing of this name.
pub(crate) fn drawn(stem: &str, sheet: &Sheet) -> Result<Drawn, OutputError> {
    Ok(Drawn {
        figure: Figure { stem: stem.to_owned(), svg: sheet.to_svg()?, tall: sheet.is_tall() },
        png: sheet.to_png(PNG_DPI)?,
    })
}

/// Puts drawings among the files, and keeps them for the page.
pub(crate) fn put_plots(drawings: Vec<Drawn>, files: &mut Vec<OutputFile>) -> Vec<Figure> {
    let mut figures = Vec::new();
    for Drawn { figure, png } in drawings {
        files.push(OutputFile::text(&format!("plots/{}.svg", figure.stem), figure.svg.clone()));
        files.push(OutputFile { name: format!("plots/{}.png", figure.stem), content: png });
        figures.push(figure);
    }
    figures
}
