//! What the unrolled surface shows: which wedges, where along the drive, at what scale.

use crate::case::Case;
use crate::opening::Surface;
use crate::report::paper::sheet::FULL_WIDTH_MM;
use crate::study::{Check, CheckedWedge};

use super::arrange::{Slot, arrange};
use super::flat::FlatFace;
use super::order::{MOST_NAMED, by_importance, moves};
use super::rings::{RingCollar, collars, local_collars, serves};
use super::traces::traces;
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::scale::Scale;

/// Left of the drawing: the axis and its numbers, millimetres.
pub(super) const AXIS_MM: f64 = 14.0;
/// Right of the drawing: names of surfaces.
const NAMES_MM: f64 = 10.0;
/// Under each strip: the numbers of chainage.
pub(super) const TICKS_MM: f64 = 7.0;
/// Paper shown beyond the ends of a stretch, so that no collar stands on the frame, millimetres.
pub(super) const PAST_END_MM: f64 = 1.2;
/// Highest strip, highest drawing.
const MOST_STRIP_MM: f64 = 100.0;
const MOST_HEIGHT_MM: f64 = 178.0;
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
/// Room for rounding where a panel fills a strip, millimetres.
const ROUNDING_MM: f64 = 1e-9;
/// Drive shown beyond what stands at its chainage, metres.
const PAST_M: f64 = 0.6;
const LEAST_PANEL_MM: f64 = 42.0;
/// The narrowest stretch that several wedges share, millimetres.
const LEAST_STRETCH_MM: f64 = 118.0;

/// A stretch of the drive with the rings as they stand for its wedges.
#[derive(Debug, Clone)]
pub(super) struct Panel {
    /// Chainages of its ends, metres.
    pub along: [f64; 2],
    /// How far the rings of each group stand shifted, metres.
    pub shifts_m: Vec<f64>,
    /// Index of each wedge shown and how far it is moved along the drive, metres.
    pub faces: Vec<(usize, f64)>,
    /// Whether all that has a chainage stands at it: structures, what is drilled there alone, bolts as built.
    pub placed: bool,
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

impl Content<'_> {
    /// Strips one above the other.
    pub(super) fn strips(&self) -> usize {
        self.panels.iter().map(|p| p.strip + 1).max().unwrap_or(0)
    }

    /// Height of all strips with their numbers, millimetres.
    fn height_mm(&self) -> f64 {
        self.strips() as f64 * ((self.arc[1] - self.arc[0]) * self.scale.mm_per_m() + TICKS_MM)
    }
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
        // What is too high for a sheet of paper is cut by its foot: rather draw it smaller.
        let low_enough = best.as_ref().is_some_and(|b| b.height_mm() <= MOST_HEIGHT_MM);
        let dense = least_spacing_m * k < LEAST_COLLARS_MM;
        if best.is_some() && (strip_mm < LEAST_STRIP_MM || (low_enough && dense)) {
            break;
        }
        let strips = ((MOST_HEIGHT_MM / (strip_mm + TICKS_MM)) as usize).clamp(1, MOST_STRIPS);
        let strip = Strip { case, check, wedges: &wedges, faces: &faces, arc, mm_per_m: k, strips };
        let (panels, lost, cut) = strip.panels();
        let tried = Content {
            scale,
            arc,
            panels,
            wedges: wedges.clone(),
            faces: faces.clone(),
            left_out: lost + moving.len() - wedges.len(),
            cut,
        };
        let loss = |c: &Content| ((c.height_mm() - MOST_HEIGHT_MM).max(0.0), c.left_out, c.cut.len());
        let done = lost == 0 && tried.cut.is_empty() && tried.height_mm() <= MOST_HEIGHT_MM;
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

/// Between which chainages a face is drawn, and its arc lengths, metres.
fn slot(wedge: &CheckedWedge, face: &FlatFace) -> Slot {
    let [from, to] = face.along();
    let apex_m = wedge.apex_chainage_m();
    Slot { along: [from + apex_m, to + apex_m], arc: face.arc() }
}

/// Panels, how many wedges are in none, and which are cut.
type Panels = (Vec<Panel>, usize, Vec<usize>);

/// What panels are laid out for.
struct Strip<'a> {
    case: &'a Case,
    check: &'a Check,
    wedges: &'a [&'a CheckedWedge],
    faces: &'a [FlatFace],
    arc: [f64; 2],
    mm_per_m: f64,
    strips: usize,
}

impl Strip<'_> {
    fn width_m(&self) -> f64 {
        strip_width_mm() / self.mm_per_m
    }

    fn slot(&self, index: usize) -> Slot {
        slot(self.wedges[index], &self.faces[index])
    }

    fn shifts_m(&self, index: usize) -> Vec<f64> {
        self.wedges[index].placement().map(|p| p.shifts_m.clone()).unwrap_or_default()
    }

    fn panels(&self) -> Panels {
        let has_place = |&i: &usize| self.wedges[i].wedge.located.is_some_and(|l| l.has_chainage());
        let (placed, free): (Vec<usize>, Vec<usize>) = (0..self.wedges.len()).partition(has_place);
        let (mut panels, mut lost, mut cut) = self.sliding(&free);
        let (more, left_out, more_cut) = self.placed(&placed, panels.last());
        panels.extend(more);
        lost += left_out;
        cut.extend(more_cut);
        if panels.is_empty() {
            let zero = self.case.patterns.first().and_then(|p| p.offset_m).unwrap_or(0.0);
            let along = [zero, zero + self.width_m().min(BARE_STRETCH_M)];
            let (shifts_m, faces) = (Vec::new(), Vec::new());
            panels.push(Panel { along, shifts_m, faces, placed: false, strip: 0, left_mm: 0.0 });
        }
        (panels, lost, cut)
    }

    /// Wedges that may be anywhere along the drive.
    fn sliding(&self, free: &[usize]) -> Panels {
        if free.is_empty() {
            return (Vec::new(), 0, Vec::new());
        }
        let slots: Vec<Slot> = free.iter().map(|&i| self.slot(i)).collect();
        if self.check.groups.len() < 2 {
            let alone = free.len() == self.wedges.len();
            let least_mm = if alone { LEAST_STRETCH_MM } else { LEAST_PANEL_MM };
            let period_m = self.check.groups.first().map_or(FREE_STEP_M, |g| g.period_m);
            let found = arrange(&slots, period_m, self.width_m(), self.strips);
            let panels = found
                .stretches
                .into_iter()
                .enumerate()
                .map(|(strip, s)| Panel {
                    // A strip of its own has room to spare, which labels need.
                    along: widened_to(least_mm, s.along, self.mm_per_m),
                    shifts_m: s.faces.first().map(|f| self.shifts_m(free[f.0])).unwrap_or_default(),
                    faces: s.faces.into_iter().map(|(at, moved)| (free[at], moved)).collect(),
                    placed: false,
                    strip,
                    left_mm: 0.0,
                })
                .collect();
            return (panels, found.left_out.len(), found.cut.into_iter().map(|at| free[at]).collect());
        }
        let mut row = Row { strip: 0, left_mm: 0.0, end: self.strips };
        let (mut panels, mut lost, mut cut) = (Vec::new(), 0, Vec::new());
        for (&index, slot) in free.iter().zip(&slots) {
            let mut alone = arrange(&[*slot], 1.0, self.width_m(), 1);
            let Some(along) = alone.stretches.pop().map(|s| widened(s.along, self.mm_per_m)) else {
                continue;
            };
            let Some((strip, left_mm)) = row.take((along[1] - along[0]) * self.mm_per_m) else {
                lost += 1;
                continue;
            };
            if !alone.cut.is_empty() {
                cut.push(index);
            }
            let (shifts_m, faces) = (self.shifts_m(index), vec![(index, 0.0)]);
            panels.push(Panel { along, shifts_m, faces, placed: false, strip, left_mm });
        }
        (panels, lost, cut)
    }

    /// Wedges that structures put at a chainage, each with the rings as they stand for it; then structures,
    /// bolts at chainages alone and bolts as built that stand in no panel yet.
    fn placed(&self, placed: &[usize], behind: Option<&Panel>) -> Panels {
        let mut row = Row::behind(behind, self.mm_per_m);
        let (mut panels, mut lost, mut cut): Panels = (Vec::new(), 0, Vec::new());
        let mut add = |along: [f64; 2], faces: Vec<(usize, f64)>, panels: &mut Vec<Panel>| {
            let along = widened(along, self.mm_per_m);
            let Some((strip, left_mm)) = row.take((along[1] - along[0]) * self.mm_per_m) else {
                return false;
            };
            let shifts_m = faces.first().map(|f| self.shifts_m(f.0)).unwrap_or_default();
            panels.push(Panel { along, shifts_m, faces, placed: true, strip, left_mm });
            true
        };
        for &index in placed {
            let mut alone = arrange(&[self.slot(index)], 1.0, self.width_m(), 1);
            let Some(stretch) = alone.stretches.pop() else { continue };
            if !alone.cut.is_empty() {
                cut.push(index);
            }
            if !add(stretch.along, vec![(index, 0.0)], &mut panels) {
                lost += 1;
            }
        }
        let shown =
            |panels: &[Panel], m: f64| panels.iter().any(|p| p.placed && p.along[0] <= m && m <= p.along[1]);
        for local in &self.case.local {
            let (from_m, to_m) = (local.from_m(), local.to_m());
            if !shown(&panels, from_m) || !shown(&panels, to_m) {
                self.each_part([from_m - PAST_M, to_m + PAST_M], |part| {
                    add(part, Vec::new(), &mut panels);
                });
            }
        }
        let drawn = traces(self.case, self.check, self.arc, [0.0, 0.0]);
        for trace in drawn.iter().filter(|t| t.crosses) {
            let crown_m = trace.lines[0].iter().min_by(|a, b| a.arc_m.abs().total_cmp(&b.arc_m.abs()));
            let Some(crown_m) = crown_m.map(|p| p.at.y) else { continue };
            if !shown(&panels, crown_m) {
                let [from_m, to_m] = trace.along();
                let reach = |m: f64| m.clamp(crown_m - 0.5 * BARE_STRETCH_M, crown_m + 0.5 * BARE_STRETCH_M);
                add([reach(from_m) - PAST_M, reach(to_m) + PAST_M], Vec::new(), &mut panels);
            }
        }
        if let Some(built) = &self.case.site.as_built {
            self.each_part([built.from_m - PAST_M, built.to_m + PAST_M], |part| {
                add(part, Vec::new(), &mut panels);
            });
        }
        (panels, lost, cut)
    }

    /// A stretch in parts that each fit into a strip.
    fn each_part(&self, [from_m, to_m]: [f64; 2], mut visit: impl FnMut([f64; 2])) {
        let parts = ((to_m - from_m) / self.width_m()).ceil().max(1.0);
        let step_m = (to_m - from_m) / parts;
        for part in 0..parts as usize {
            let start_m = from_m + step_m * part as f64;
            visit([start_m, start_m + step_m]);
        }
    }
}

/// Where the next panel goes.
struct Row {
    strip: usize,
    left_mm: f64,
    /// The strip that is not there any more.
    end: usize,
}

impl Row {
    /// What is left of the strip of the last panel, and all below it.
    fn behind(last: Option<&Panel>, mm_per_m: f64) -> Self {
        let (strip, left_mm) =
            last.map_or((0, 0.0), |p| (p.strip, p.left_mm + (p.along[1] - p.along[0]) * mm_per_m + APART_MM));
        Self { strip, left_mm, end: strip + 1 + MOST_STRIPS }
    }

    /// Strip and left end of a panel so wide; `None` where no strip is left.
    fn take(&mut self, panel_mm: f64) -> Option<(usize, f64)> {
        let (mut strip, mut left_mm) = (self.strip, self.left_mm);
        if left_mm > 0.0 && left_mm + panel_mm > strip_width_mm() + ROUNDING_MM {
            (strip, left_mm) = (strip + 1, 0.0);
        }
        if strip >= self.end {
            return None;
        }
        (self.strip, self.left_mm) = (strip, left_mm + panel_mm + APART_MM);
        Some((strip, left_mm))
    }
}

/// A stretch made wide enough on paper for a label.
fn widened(along: [f64; 2], mm_per_m: f64) -> [f64; 2] {
    widened_to(LEAST_PANEL_MM, along, mm_per_m)
}

fn widened_to(least_mm: f64, [from, to]: [f64; 2], mm_per_m: f64) -> [f64; 2] {
    let more = (0.5 * (least_mm / mm_per_m - (to - from))).max(0.0);
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
    let mut all = Vec::new();
    // Without a wedge nothing says where rings that slide stand.
    if !panel.placed || !panel.faces.is_empty() || check.groups.iter().all(|g| g.surveyed) {
        all.extend(collars(case, check, &panel.shifts_m, panel.along));
    }
    if panel.placed {
        all.extend(local_collars(case, check, panel.along));
    }
    for one in all {
        let serving = panel.faces.iter().any(|(index, moved)| {
            content.wedges[*index].placement().is_some_and(|p| serves(&one, p, *moved))
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
