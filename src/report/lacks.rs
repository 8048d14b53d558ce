//! What an option or a pattern lacks, in words.

use crate::report::paper::numbers::{factor, fixed};
use crate::report::words::surface_words;
use crate::study::{AsDrawn, Lack, LackOf};

/// Lacks that are named of one option in a sentence; pages list all.
const NAMED: usize = 2;

/// What is not met, in words: `A-B-C.111 in the back, falling: FS 1.05 where 2.00 is asked`.
#[must_use]
pub(super) fn lack_words(lack: &Lack) -> String {
    let surfaces = &lack.surfaces;
    let place = if surfaces.is_empty() { String::new() } else { format!(" in {}", surface_words(surfaces)) };
    let what = match lack.of {
        LackOf::Pieces(by) => format!("by {}", by.name()),
        other => other.words(),
    };
    match lack.fs {
        Some(fs) => format!(
            "{}{place}, {what}: FS {} where {} is asked",
            lack.wedge,
            factor(fs),
            fixed(lack.asked_fs, 2)
        ),
        None => format!("{}{place}: not judged", lack.wedge),
    }
}

/// `0.30, A-B-C.101`: what is left of the margin with collars off, and of which wedge.
#[must_use]
pub(super) fn drawn_words(off: &AsDrawn) -> String {
    let wedge = off.wedge.as_ref().map(|wedge| format!(", {wedge}")).unwrap_or_default();
    format!("{}{wedge}", factor(off.margin))
}

/// The first of them; how many more there are.
pub(super) fn first_lacks(lacks: &[Lack]) -> String {
    let mut named: Vec<String> = lacks.iter().take(NAMED).map(lack_words).collect();
    if lacks.len() > NAMED {
        named.push(format!("and {} more", lacks.len() - NAMED));
    }
    named.join("; ")
}
