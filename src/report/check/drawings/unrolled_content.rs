//! What the unrolled surface shows: which wedges, where along the drive, at what scale.

use crate::case::Case;
use crate::opening::Surface;
use crate::report::paper::sheet::FULL_WIDTH_MM;
use crate::study::{Check, CheckedWedge};

use super::arrange::{Slot, arrange};
use super::flat::FlatFace;
use super::order::{MOST_NAMED, by_importance, moves};
use super::rings::{RingCollar, collars, serves};
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::scale::Scale;

/// Left of the drawing: the axis and its numbers, millimetres.
pub(super) const AXIS_MM: f64 = 14.0;
/// Right of the drawing: names of surfaces.
pub(super) const NAMES_MM: f64 = 10.0;
/// Under each strip: the numbers of chainage.
pub(super) const TICKS_MM: f64 = 7.0;
/// Paper shown beyond the ends of a stretch, so that no collar stands on the frame, millimetres.
pub(super) const PAST_END_MM: f64 = 1.2;
/// Highest strip, highest drawing.
const MOST_STRIP_MM: f64 = 140.0;
const MOST_HEIGHT_MM: f64 = 190.0;
/// A strip lower than this, or collars nearer to each other than that, cannot be read; a wedge
/// that would need it is cut.
const LEAST_STRIP_MM: f64 = 45.0;
const LEAST_COLLARS_MM: f64 = 3.0;
/// Most strips one above the other.
const MOST_STRIPS: usize = 3;
/// Surface shown beyond the faces and beyond the walls, metres.
const BEYOND_M: f64 = 0.2;
/// Steps by which wedges move along a drive without a pattern, metres.
const FREE_STEP_M: f64 = 0.5;
/// Stretch of a drive in which no wedge moves, metres.
const BARE_STRETCH_M: f64 = 10.0;
/// Between two stretches of one strip, and the narrowest of them, millimetres.
const APART_MM: f64 = 5.0;
const LEAST_PANEL_MM: f64 = 42.0;

/// A stretch of the drive with the rings as they stand for its wedges.
#[derive(Debug, Clone)]
pub(super) struct Panel {
    /// Chainages of its ends, metres.
    pub along: [f64; 2],
    /// How far the rings of each group stand shifted, metres.
    pub shifts_m: Vec<f64>,
    /// Index of each wedge shown and how far it is moved along the drive, metres.
    pub faces: Vec<(usize, f64)>,
    /// Which strip it is in, and where in it, millimetres from its left end.
    pub strip: usize,
    pub left_mm: f64,
}

/// What the drawing shows, before it is drawn.
#[derive(Debug, Clone)]
pub(super) struct Content<'a> {
    pub scale: Scale,
    /// Arc lengths from the crown at the top and foot of a strip, metres.
    pub arc: [f64; 2],
    pub panels: Vec<Panel>,
    /// Wedges that move, the most important first; with their faces.
    pub wedges: Vec<&'a CheckedWedge>,
    pub faces: Vec<FlatFace>,
    /// How many moving wedges are not drawn.
    pub left_out: usize,
    /// Indices of wedges longer than a strip.
    pub cut: Vec<usize>,
}

/// Chooses scale and places.
pub(super) fn content<'a>(case: &Case, check: &'a Check) -> Content<'a> {
    let moving: Vec<&CheckedWedge> = by_importance(check).into_iter().filter(|w| moves(w)).collect();
    let mut wedges: Vec<&CheckedWedge> = Vec::new();
    let mut faces = Vec::new();
    for wedge in moving.iter().take(MOST_NAMED) {
        if let Some(face) = FlatFace::new(&check.opening, wedge) {
            wedges.push(wedge);
            faces.push(face);
        }
    }
    let arc = shown_arc(check, &faces);
    let least_spacing_m =
        case.patterns.iter().map(|p| p.ring_spacing_m.min(p.spacing_m)).fold(f64::INFINITY, f64::min);
    let mut best: Option<Content<'a>> = None;
    for scale in Scale::ladder() {
        let k = scale.mm_per_m();
        let strip_mm = (arc[1] - arc[0]) * k;
        if strip_mm > MOST_STRIP_MM {
            continue;
        }
        if best.is_some() && (strip_mm < LEAST_STRIP_MM || least_spacing_m * k < LEAST_COLLARS_MM) {
            break;
        }
        let strips = ((MOST_HEIGHT_MM / (strip_mm + TICKS_MM)) as usize).clamp(1, MOST_STRIPS);
        let (panels, lost, cut) = panels(case, check, &wedges, &faces, k, strips);
        let tried = Content {
            scale,
            arc,
            panels,
            wedges: wedges.clone(),
            faces: faces.clone(),
            left_out: lost + moving.len() - wedges.len(),
            cut,
        };
        let done = lost == 0 && tried.cut.is_empty();
        let loss = |c: &Content| (c.left_out, c.cut.len());
        if best.as_ref().is_none_or(|b| loss(&tried) < loss(b)) {
            best = Some(tried);
        }
        if done {
            break;
        }
    }
    best.unwrap_or_else(|| Content {
        scale: Scale::fitting([arc[1] - arc[0]; 2], [MOST_STRIP_MM; 2]),
        arc,
        panels: Vec::new(),
        wedges: Vec::new(),
        faces: Vec::new(),
        left_out: moving.len(),
        cut: Vec::new(),
    })
}

/// Width of a strip, millimetres.
fn strip_width_mm() -> f64 {
    FULL_WIDTH_MM - 2.0 * (MARGIN_MM + PAST_END_MM) - AXIS_MM - NAMES_MM
}

/// Back and walls, and as much of the floor as faces reach.
fn shown_arc(check: &Check, faces: &[FlatFace]) -> [f64; 2] {
    let section = &check.opening.section;
    let mut arc = [0.0_f64, 0.0_f64];
    let mut take = |low: f64, high: f64| {
        arc = [arc[0].min(low), arc[1].max(high)];
    };
    for (i, facet) in section.facets().iter().enumerate() {
        if check.opening.surface_of(i) != Surface::Floor {
            let middle = section.arc_from_crown_m(section.round_m()[i] + 0.5 * facet.length_m);
            take(middle - 0.5 * facet.length_m, middle + 0.5 * facet.length_m);
        }
    }
    for face in faces {
        let [low, high] = face.arc();
        take(low, high);
    }
    [arc[0] - BEYOND_M, arc[1] + BEYOND_M]
}

/// Panels, how many wedges are in none, and which are cut.
fn panels(
    case: &Case,
    check: &Check,
    wedges: &[&CheckedWedge],
    faces: &[FlatFace],
    mm_per_m: f64,
    strips: usize,
) -> (Vec<Panel>, usize, Vec<usize>) {
    let slots: Vec<Slot> = wedges
        .iter()
        .zip(faces)
        .map(|(wedge, face)| {
            let [from, to] = face.along();
            let apex_m = wedge.apex_chainage_m();
            Slot { along: [from + apex_m, to + apex_m], arc: face.arc() }
        })
        .collect();
    let width_m = strip_width_mm() / mm_per_m;
    if slots.is_empty() {
        let zero = case.patterns.first().and_then(|p| p.offset_m).unwrap_or(0.0);
        let along = [zero, zero + width_m.min(BARE_STRETCH_M)];
        let bare = Panel { along, shifts_m: Vec::new(), faces: Vec::new(), strip: 0, left_mm: 0.0 };
        return (vec![bare], 0, Vec::new());
    }
    let shifts = |i: usize| wedges[i].placement.as_ref().map(|p| p.shifts_m.clone()).unwrap_or_default();
    if check.groups.len() < 2 {
        let period_m = check.groups.first().map_or(FREE_STEP_M, |g| g.period_m);
        let found = arrange(&slots, period_m, width_m, strips);
        let panels = found
            .stretches
            .into_iter()
            .enumerate()
            .map(|(strip, s)| Panel {
                along: widened(s.along, mm_per_m),
                shifts_m: s.faces.first().map(|f| shifts(f.0)).unwrap_or_default(),
                faces: s.faces,
                strip,
                left_mm: 0.0,
            })
            .collect();
        return (panels, found.left_out.len(), found.cut);
    }
    let (mut panels, mut lost, mut cut): (Vec<Panel>, usize, Vec<usize>) = (Vec::new(), 0, Vec::new());
    let (mut strip, mut left_mm) = (0, 0.0);
    for (index, slot) in slots.iter().enumerate() {
        let mut alone = arrange(&[*slot], 1.0, width_m, 1);
        let Some(along) = alone.stretches.pop().map(|s| widened(s.along, mm_per_m)) else { continue };
        let panel_mm = (along[1] - along[0]) * mm_per_m;
        let (mut next, mut at) = (strip, left_mm);
        if at > 0.0 && at + panel_mm > strip_width_mm() {
            (next, at) = (strip + 1, 0.0);
        }
        if next >= strips {
            lost += 1;
            continue;
        }
        if !alone.cut.is_empty() {
            cut.push(index);
        }
        panels.push(Panel {
            along,
            shifts_m: shifts(index),
            faces: vec![(index, 0.0)],
            strip: next,
            left_mm: at,
        });
        (strip, left_mm) = (next, at + panel_mm + APART_MM);
    }
    (panels, lost, cut)
}

/// A stretch made wide enough on paper for a label.
fn widened([from, to]: [f64; 2], mm_per_m: f64) -> [f64; 2] {
    let more = (0.5 * (LEAST_PANEL_MM / mm_per_m - (to - from))).max(0.0);
    [from - more, to + more]
}

/// Every collar that a panel shows, with whether it serves one of the panel's wedges. Past half
/// a perimeter the surface repeats, and so do its collars.
pub(super) fn shown_collars(
    case: &Case,
    check: &Check,
    content: &Content,
    panel: &Panel,
) -> Vec<(RingCollar, bool)> {
    let perimeter_m = check.opening.section.perimeter_m();
    let mut shown = Vec::new();
    for one in collars(case, check, &panel.shifts_m, panel.along) {
        let serving = panel.faces.iter().any(|(index, moved)| {
            content.wedges[*index].placement.as_ref().is_some_and(|p| serves(&one, p, *moved))
        });
        for turn in [-1.0, 0.0, 1.0] {
            let arc_m = one.arc_m + turn * perimeter_m;
            if arc_m >= content.arc[0] && arc_m <= content.arc[1] {
                shown.push((RingCollar { arc_m, ..one }, serving));
            }
        }
    }
    shown
}
