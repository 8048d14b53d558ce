//! Every size that was studied: size_curve.csv.

use crate::case::Case;
use crate::report::paper::table::Table;
use crate::study::{Size, SizeCurve};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SizeRow<'a> {
    wedge: &'a str,
    size: &'a Size,
}

/// Every size that was studied, wedges in the order of the check.
pub(crate) fn size_rows(curves: &[SizeCurve]) -> Vec<SizeRow<'_>> {
    curves
        .iter()
        .flat_map(|curve| curve.sizes.iter().map(|size| SizeRow { wedge: &curve.wedge, size }))
        .collect()
}

/// The columns; the README says what each means. With stress each size has its factor with it.
pub(crate) fn size_table<'a>(case: &Case) -> Table<SizeRow<'a>> {
    let table = Table::<SizeRow<'a>>::new()
        .column("wedge", |r| r.wedge.into())
        .column("volume_m3", |r| r.size.volume_m3.into())
        .column("weight_kn", |r| r.size.weight_kn.into())
        .column("fs_bolted", |r| r.size.fs_bolted.into())
        .column("fs_bolted_median", |r| r.size.fs_bolted_median.into())
        .column("bolts_serving", |r| r.size.bolts_serving.into())
        .column("force_needed_kn", |r| r.size.force_needed_kn.into())
        .column("force_provided_kn", |r| r.size.force_provided_kn.into())
        .column("judged_by", |r| r.size.judged_by.name().into());
    if case.site.stress.is_none() {
        return table;
    }
    table.column("fs_with_stress", |r| r.size.fs_with_stress.into())
}
