//! Which three sets meet: triples.csv and the page's table.

use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::survey::{Mapped, Triple};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct TripleRow<'a> {
    mapped: &'a Mapped,
    triple: &'a Triple,
}

impl<'a> TripleRow<'a> {
    pub(super) fn names(&self) -> [&'a str; 3] {
        self.triple.sets.map(|at| self.mapped.sets[at].name.as_str())
    }
}

/// The triples of sets, likeliest first.
pub(super) fn triple_rows(mapped: &Mapped) -> Vec<TripleRow<'_>> {
    mapped.triples.iter().map(|triple| TripleRow { mapped, triple }).collect()
}

/// The columns; the README says what each means.
pub(super) fn triple_table<'a>() -> Table<TripleRow<'a>> {
    use Format::{Fixed, Words};
    Table::<TripleRow<'a>>::new()
        .column("sets", |r| Cell::list(r.names()))
        .on_page("sets", Words)
        .column("meeting_probability", |r| r.triple.probability.into())
        .on_page("probability", Fixed(3))
        .column("block_volume_m3", |r| r.triple.volume_m3.into())
        .on_page("block m³", Fixed(2))
}

/// The page's section; nothing without triples.
pub(super) fn section(body: &mut Html, mapped: &Mapped) {
    let rows = triple_rows(mapped);
    if rows.is_empty() {
        return;
    }
    body.heading("Which three sets meet");
    body.table(&triple_table().page_of_all(&rows));
    body.paragraph(
        "Probability that three sets which meet are these, from their block volumes (Hatzor and Feintuch \
         2005). It ranks; it does not count blocks.",
    );
}

/// Which triple meets likeliest; `None` where there is no choice.
pub(super) fn likeliest(mapped: &Mapped) -> Option<String> {
    let rows = triple_rows(mapped);
    let [first, _, ..] = rows.as_slice() else { return None };
    Some(format!(
        "Of {} triples of sets, {} meets likeliest ({:.0} %).",
        rows.len(),
        first.names().join(", "),
        first.triple.probability * 100.0
    ))
}
