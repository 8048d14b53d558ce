//! A mapped survey turned into files: tables, the fragment for a case, drawings, page.

mod answer;
mod domains;
mod figures;
mod files;
mod fragment;
mod lines;
mod outputs;
mod page;
mod quality;
mod readings;
mod rejects;
mod sets;
mod structures;
mod summary;
mod terminal;
mod triples;
mod warnings;
mod words;

pub use outputs::SurveyOutputs;
pub(crate) use words::SURVEY_CAUTION_LINE;
