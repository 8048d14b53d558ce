//! What fits: the efficient patterns of a stock as table, chart, sentences and page.

mod chart;
mod files;
mod outputs;
mod page;
mod patterns;
mod words;

pub use outputs::FitOutputs;
