//! Of each wedge the piece that is carried least: pieces.csv and the terminal's lines.

use crate::report::paper::cell::Cell;
use crate::report::paper::numbers::{factor, fixed, volume};
use crate::report::paper::table::Table;
use crate::study::{Check, CheckedWedge, PieceOf, Verdict};
use crate::support::LeastPiece;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct PieceRow<'a> {
    wedge: &'a CheckedWedge,
    piece: &'a PieceOf,
}

impl<'a> PieceRow<'a> {
    fn least<T>(&self, value: impl Fn(&'a LeastPiece) -> T) -> Option<T> {
        self.piece.least.as_ref().map(value)
    }

    fn verdict(&self) -> Verdict {
        self.piece.verdict(self.wedge.decided.criterion_fs)
    }

    /// Its share of the largest wedge's weight: a wedge's weight goes with its volume.
    fn weight_kn(&self) -> Option<f64> {
        self.least(|l| l.volume_m3 * self.wedge.wedge.weight_kn / self.wedge.wedge.shape.volume_m3)
    }
}

/// The pieces of a check, in its order.
pub(super) fn piece_rows<'a>(check: &'a Check, pieces: &'a [PieceOf]) -> Vec<PieceRow<'a>> {
    let wedge = |piece: &PieceOf| check.wedges.iter().find(|w| w.wedge.id == piece.wedge);
    pieces.iter().filter_map(|piece| Some(PieceRow { wedge: wedge(piece)?, piece })).collect()
}

/// The columns; the README says what each means.
pub(super) fn piece_table<'a>() -> Table<PieceRow<'a>> {
    Table::<PieceRow<'a>>::new()
        .column("wedge", |r| (&r.piece.wedge).into())
        .column("mode", |r| r.wedge.wedge.stability.motion.mode.name().into())
        .column("criterion", |r| r.wedge.decided.criterion_fs.into())
        .column("fs_least", |r| r.least(|l| l.fs).into())
        .column("fs_at_least", |r| r.least(|l| l.fs_at_least).into())
        .column("verdict", |r| r.verdict().name().into())
        .column("carried_by", |r| r.least(|l| l.carrier.name()).into())
        .column("carriers_needed", |r| {
            Cell::list(r.piece.least.iter().flat_map(|l| l.needed.iter().map(|c| c.name())))
        })
        .column("volume_m3", |r| r.least(|l| l.volume_m3).into())
        .column("weight_kn", |r| r.weight_kn().into())
        .column("sure_bolts", |r| r.least(|l| l.bolts).into())
        .column("apex_u_m", |r| r.least(|l| l.foot.apex.x).into())
        .column("apex_v_m", |r| r.least(|l| l.foot.apex.y).into())
        .column("apex_from_ring_0_m", |r| {
            Cell::list(r.piece.least.iter().flat_map(|l| l.phases_m.iter().copied()))
        })
}

/// What the terminal says of pieces: which are short, or that none is; nothing where none were asked for.
pub(super) fn piece_lines(check: &Check, pieces: &[PieceOf]) -> Vec<String> {
    let rows = piece_rows(check, pieces);
    let short: Vec<&PieceRow> = rows.iter().filter(|r| r.verdict() == Verdict::Short).collect();
    let mut lines: Vec<String> = short.iter().filter_map(|r| said(r)).collect();
    let alone = rows.iter().filter(|r| r.piece.least.is_none()).count();
    if short.is_empty() && alone < rows.len() {
        let least =
            rows.iter().filter(|r| r.piece.least.is_some()).min_by(|a, b| ratio(a).total_cmp(&ratio(b)));
        lines.extend(least.and_then(said).map(|l| format!("No piece is short. Nearest: {l}")));
    }
    if alone > 0 {
        lines.push(format!(
            "Of {alone} of {} wedges no piece is looked at: joints hold them, they are for the bar, or no collar is sure to be on them and no surface support is entered.",
            rows.len()
        ));
    }
    lines
}

fn ratio(row: &PieceRow) -> f64 {
    let fs = row.piece.least.as_ref().map_or(f64::INFINITY, |l| l.fs_at_least);
    row.wedge.decided.criterion_fs.map_or(f64::INFINITY, |asked| fs / asked)
}

fn said(row: &PieceRow) -> Option<String> {
    let least = row.piece.least.as_ref()?;
    let between = if least.fs_at_least < 0.999 * least.fs {
        format!("{} to {}", factor(least.fs_at_least), factor(least.fs))
    } else {
        factor(least.fs)
    };
    let bolts = match least.bolts {
        0 => "no bolt that is sure".to_owned(),
        1 => "1 sure bolt".to_owned(),
        n => format!("{n} sure bolts"),
    };
    Some(format!(
        "Piece of {}: {} m³, {:.1} kN, {bolts}, FS {between} by {} where {} is asked.",
        row.piece.wedge,
        volume(least.volume_m3),
        row.weight_kn()?,
        least.carrier.name(),
        fixed(row.wedge.decided.criterion_fs?, 2)
    ))
}
