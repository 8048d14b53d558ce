//! Options side by side, turned into a table, charts, sentences and a page.

mod bars;
mod chart;
mod files;
mod options;
mod outputs;
mod page;
mod surfaces;
mod words;

pub use outputs::CompareOutputs;
