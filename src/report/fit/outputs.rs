//! A fit with all that its files need.

use crate::case::{Case, Stock};
use crate::report::record::SignOff;
use crate::study::Fit;

/// A fit with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct FitOutputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was on stock.
    pub stock: &'a Stock,
    /// What was found.
    pub fit: &'a Fit,
    /// What prices are counted in.
    pub currency: Option<&'a str>,
    /// What the reader of the case file wondered about.
    pub notes: &'a [String],
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}
