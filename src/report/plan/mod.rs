//! A plan turned into files: tables, a page for the crew, the drawing of its rings.

mod collars;
mod files;
mod outputs;
mod page;
mod quantities;
mod ring;
mod tests_sheet;

pub use outputs::PlanOutputs;
