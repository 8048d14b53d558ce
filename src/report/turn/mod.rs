//! A drive in other directions turned into files: which heading meets the joints best.

mod charts;
mod directions;
mod files;
mod outputs;
mod page;
mod words;

pub use outputs::TurnOutputs;
