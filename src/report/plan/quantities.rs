//! What a plan counts: plan.csv, the page's tables and the terminal's.

use crate::report::paper::cell::Format;
use crate::report::paper::numbers::told_length;
use crate::report::paper::table::Table;
use crate::study::plan::{Plan, PlanItem, PlanRow};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct QuantityRow<'a> {
    /// `length`: the length that was asked for; `round`: one round.
    stretch: &'static str,
    length_m: f64,
    pub(super) row: &'a PlanRow,
}

/// The rows of one stretch.
pub(super) fn plan_rows<'a>(stretch: &'static str, plan: &'a Plan) -> Vec<QuantityRow<'a>> {
    plan.rows.iter().map(|row| QuantityRow { stretch, length_m: plan.length_m, row }).collect()
}

/// The columns; the README says what each means.
pub(super) fn plan_table<'a>() -> Table<QuantityRow<'a>> {
    use Format::{Fixed, Quantity, Words};
    Table::<QuantityRow<'a>>::new()
        .column("stretch", |r| r.stretch.into())
        .column("length_m", |r| r.length_m.into())
        .column("item", |r| r.row.item.name().into())
        .column("what", |r| (&r.row.what).into())
        .on_page("what", Words)
        .on_terminal_as("what", Words, |r| match r.row.item {
            PlanItem::Total => format!("= {}", r.row.what).into(),
            _ => (&r.row.what).into(),
        })
        .only_shown("activity", |r| (&r.row.what).into())
        .on_page("activity", Words)
        // Which bolt or service it is for; empty where it is for all.
        .column("of", |r| r.row.of.as_ref().into())
        .on_page("for", Words)
        .on_terminal("for", Words)
        // Empty where the case does not say enough.
        .column("quantity", |r| r.row.quantity.map(told_length).into())
        .on_page("how many", Quantity)
        .on_terminal("how many", Quantity)
        .column("unit", |r| r.row.unit.into())
        .on_page("unit", Words)
        .on_terminal("unit", Words)
        .column("minutes", |r| r.row.minutes.map(told_length).into())
        .on_page("minutes", Fixed(1))
        .on_terminal("minutes", Fixed(1))
        // Empty where there is no price.
        .column("cost", |r| r.row.cost.map(told_length).into())
        .on_page("cost", Fixed(2))
        .on_terminal("cost", Fixed(2))
        // How it was counted, and what of it is common practice.
        .column("basis", |r| (&r.row.basis).into())
        .on_page("how it was counted", Words)
}

/// What the page shows of what is brought.
pub(super) const BROUGHT: [&str; 6] = ["what", "of", "quantity", "unit", "cost", "basis"];

/// What the page shows of what takes time.
pub(super) const TIMED: [&str; 6] = ["activity", "of", "quantity", "unit", "minutes", "basis"];

pub(super) const ON_TERMINAL: [&str; 6] = ["what", "of", "quantity", "unit", "minutes", "cost"];
