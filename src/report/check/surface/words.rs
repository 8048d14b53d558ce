//! Sentences on what the screen must hold and what is for the scaling bar.

use crate::case::Case;
use crate::report::check::sizes::words;
use crate::report::paper::numbers::{factor, fixed, kn, shortest, volume};
use crate::report::words::NO_SOURCE;
use crate::study::{Beside, Check, DutyRow, SizeCurve, Verdict};
use crate::support::{SurfaceKind, SurfaceSupport};

/// What the screen must hold between the bolts, in one sentence; `None` where nothing that hangs
/// there needs it. Where surface support is entered it says whether that carries it, the worst piece
/// first; where none is entered, how much it would have to.
#[must_use]
pub(crate) fn screen_sentence(case: &Case, beside: &Beside, curves: &[SizeCurve]) -> Option<String> {
    let duty = &beside.surface.duty;
    if case.surface_support.is_empty() {
        let largest = duty
            .iter()
            .filter(|r| r.force_needed_kn > 0.0)
            .reduce(|a, b| if b.weight_kn > a.weight_kn { b } else { a });
        // The scaling list has taken what is no larger: then the heaviest of all may not be left.
        return match case.criteria.scaling_up_to_m3 {
            None => words::screen_duty(curves),
            Some(_) => largest.map(must_carry),
        };
    }
    let places = by_place(duty);
    let short: Vec<&DutyRow> = places.iter().copied().filter(|r| r.verdict == Verdict::Short).collect();
    let ratio = |r: &DutyRow| r.fs.unwrap_or(f64::INFINITY) / r.criterion_fs;
    if let Some(worst) = short.iter().copied().reduce(|a, b| if ratio(b) < ratio(a) { b } else { a }) {
        let what = match (worst.support, worst.capacity) {
            (Some(index), Some(capacity)) => format!(
                "{} carries {} kN, FS {} where {} is asked",
                case.surface_support[index].name,
                kn(capacity.kn),
                worst.fs.map(factor).unwrap_or_default(),
                fixed(worst.criterion_fs, 2)
            ),
            _ => "no surface support covers all of it".into(),
        };
        let more = match short.len() - 1 {
            0 => String::new(),
            n => format!("; {n} more {} short", if n == 1 { "is" } else { "are" }),
        };
        return Some(format!(
            "Between the bolts the surface support is short: of {} kN on the {} ({}) {what}{more}.",
            kn(worst.active_kn),
            worst.surface.name(),
            worst.wedge
        ));
    }
    let needing = places.iter().copied().filter(|r| r.force_needed_kn > 0.0);
    needing.reduce(|a, b| if ratio(b) < ratio(a) { b } else { a }).map(|row| {
        let name = row.support.map(|i| case.surface_support[i].name.as_str()).unwrap_or_default();
        format!(
            "Between the bolts up to {} kN on the {} ({}) are held by {name} with FS {} where {} is asked.",
            kn(row.active_kn),
            row.surface.name(),
            row.wedge,
            row.fs.map(factor).unwrap_or_default(),
            fixed(row.criterion_fs, 2)
        )
    })
}

fn must_carry(row: &DutyRow) -> String {
    format!("Between the bolts the screen must carry up to {} kN ({}).", kn(row.active_kn), row.wedge)
}

/// Of each piece that is looked at under several layers, the one that holds it best. Where some of
/// it is covered and some is not, both stand.
pub(crate) fn by_place(duty: &[DutyRow]) -> Vec<&DutyRow> {
    let mut best: Vec<&DutyRow> = Vec::new();
    for row in duty {
        let same = |other: &&mut &DutyRow| {
            other.surface == row.surface
                && other.wedge == row.wedge
                && other.support.is_some() == row.support.is_some()
        };
        match best.iter_mut().find(same) {
            Some(other) => {
                if row.fs > other.fs {
                    *other = row;
                }
            }
            None => best.push(row),
        }
    }
    best
}

/// What is for the scaling bar, in one sentence, with what it changes; `None` where the site gives
/// no size.
#[must_use]
pub(crate) fn scaling_sentence(case: &Case, beside: &Beside, check: &Check) -> Option<String> {
    let most_m3 = case.criteria.scaling_up_to_m3?;
    let loose = |w: &&str| beside.surface.scaling.iter().any(|r| r.wedge == **w && r.is_loose);
    let mut wedges: Vec<&str> = beside.surface.scaling.iter().map(|r| r.wedge.as_str()).collect();
    wedges.sort_unstable();
    wedges.dedup();
    let wedges: Vec<&str> = wedges.into_iter().filter(|w| loose(w)).collect();
    let size = shortest(most_m3);
    let Some(heaviest) = beside
        .surface
        .scaling
        .iter()
        .filter(|r| r.is_loose)
        .reduce(|a, b| if b.weight_kn > a.weight_kn { b } else { a })
    else {
        return Some(format!("Pieces up to {size} m³ are left to the scaling bar."));
    };
    let mut text = format!(
        "Pieces up to {size} m³ are left to the scaling bar: loose ones of {}, up to {} m³, {} kN",
        wedges.join(", "),
        volume(heaviest.volume_m3),
        kn(heaviest.weight_kn)
    );
    let short: Vec<&str> = check
        .wedges
        .iter()
        .filter(|w| w.decided.verdict == Verdict::Short && w.wedge.shape.volume_m3 <= most_m3)
        .map(|w| w.wedge.id.as_str())
        .collect();
    if !short.is_empty() {
        text.push_str(&format!("; short all the same: {}", short.join(", ")));
    }
    text.push('.');
    Some(text)
}

/// A surface support among the inputs.
pub(crate) fn support_words(support: &SurfaceSupport) -> String {
    let covers: Vec<&str> = support.covers.iter().map(|c| c.name()).collect();
    let carries = match support.kind {
        SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => {
            format!("{} kN a bay", shortest(bay_kn))
        }
        SurfaceKind::Shotcrete { thickness_m, shear_strength_kpa, adhesion_kpa, adhesion_width_m } => {
            format!(
                "{} m thick, shear strength {} kPa, adhesion {} kPa over a strip of {} m",
                shortest(thickness_m),
                shortest(shear_strength_kpa),
                shortest(adhesion_kpa),
                shortest(adhesion_width_m)
            )
        }
    };
    format!(
        "{} ({}) on {}{}: {carries}. Capacities: {}.",
        support.name,
        support.kind.name(),
        covers.join(", "),
        support.lowest_m.map(|v| format!(", walls down to {} m", shortest(v))).unwrap_or_default(),
        support.source.as_deref().unwrap_or(NO_SOURCE)
    )
}
