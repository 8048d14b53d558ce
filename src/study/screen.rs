//! What surface support has to carry between the bolts, what is left for the scaling bar, and what
//! a wedge's factor of safety becomes with surface support added.

use rayon::prelude::*;

use super::forces::surfaces_of;
use super::judgement::{JUDGED, judged_ground};
use super::seat::Seat;
use super::{Check, CheckedWedge, LEAST_VOLUME_M3, Verdict};
use crate::case::Case;
use crate::opening::Surface;
use crate::stability::{Mode, Stability};
use crate::support::{
    Layout, Obstacles, Span, SurfaceCapacity, SurfaceGovernedBy, SurfaceKind, common, force_needed_kn,
    gap_wedge, ground_of, joined, without,
};
use crate::wedge::{ADMISSIBLE_SHARE, Footprint, Shape};

/// A bound on a gap wedge's volume, from a search over more ground, is met within rounding.
const SAME_VOLUME: f64 = 1.0 + 1e-9;

/// The largest piece of one pyramid that hangs between the bolts on one surface, held against what
/// covers it there.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyRow {
    /// The surface.
    pub surface: Surface,
    /// Id of the wedge whose pyramid it is.
    pub wedge: String,
    /// Index in the case of the surface support; `None` where none is entered or none covers it.
    pub support: Option<usize>,
    /// No such piece is larger, cubic metres.
    pub volume_m3: f64,
    /// Its weight, kN.
    pub weight_kn: f64,
    /// Its active force, kN: weight, what hangs from it, what shakes it.
    pub active_kn: f64,
    /// Sum of its traces, metres.
    pub perimeter_m: f64,
    /// Its mode.
    pub mode: Mode,
    /// Its factor of safety by its joints alone.
    pub fs_bare: f64,
    /// Force against the movement that the criterion asks of support, kN; 0 where its joints hold
    /// it alone.
    pub force_needed_kn: f64,
    /// What the surface support carries of it.
    pub capacity: Option<SurfaceCapacity>,
    /// Its factor of safety with that; `None` where no surface support is entered.
    pub fs: Option<f64>,
    /// The factor of safety asked for.
    pub criterion_fs: f64,
    /// Held, short, or not judged.
    pub verdict: Verdict,
}

impl DutyRow {
    /// What gives its factor: `joints` where they hold it better than the surface support would, else what
    /// gives first of that; `None` where none covers it.
    #[must_use]
    pub fn governed_by(&self) -> Option<&'static str> {
        let capacity = self.capacity?;
        let slack = capacity.governed_by == SurfaceGovernedBy::Bay;
        let by_joints = slack && self.fs_bare > capacity.kn / self.active_kn;
        Some(if by_joints { "joints" } else { capacity.governed_by.name() })
    }
}

/// What a piece on the scaling list is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece {
    /// The largest that hangs between the bolts; larger ones of its pyramid are the bolts'.
    Gap,
    /// The largest of its pyramid.
    Whole,
}

impl Piece {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Gap => "gap wedge",
            Self::Whole => "whole wedge",
        }
    }
}

/// A piece no larger than what the site bars down.
#[derive(Debug, Clone, PartialEq)]
pub struct ScalingRow {
    /// The surface it shows on.
    pub surface: Surface,
    /// Id of the wedge whose pyramid it is.
    pub wedge: String,
    /// What it is.
    pub piece: Piece,
    /// Cubic metres.
    pub volume_m3: f64,
    /// Weight, kN.
    pub weight_kn: f64,
    /// Its mode.
    pub mode: Mode,
    /// Its factor of safety by its joints alone.
    pub fs_bare: f64,
    /// Whether its joints fall short of the criterion.
    pub is_loose: bool,
}

/// A wedge's factors of safety with surface support added to the bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedFs {
    /// Id of the wedge.
    pub wedge: String,
    /// What surface support adds, kN; 0 where none covers its whole face.
    pub capacity_kn: f64,
    /// The factor at the worst placement of the largest wedge.
    pub fs: f64,
}

/// What surface support does beside the bolts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SurfaceStudy {
    /// What the screen must carry, surfaces and wedges in order.
    pub duty: Vec<DutyRow>,
    /// What is for the scaling bar.
    pub scaling: Vec<ScalingRow>,
    /// Factors with surface support added, a row per wedge that moves; empty where none is entered.
    pub shared: Vec<SharedFs>,
}

/// What hangs between the bolts against the case's surface support, the scaling list, and factors
/// with surface support added.
///
/// **Duty.** For each pyramid and each of back and walls: the largest wedge without a collar that is sure
/// to be on its face, wherever it can sit on judged ground of that surface; one that goes round a corner is
/// looked at where it is the largest of its pyramid. Screen and straps are slack: they are called on when
/// the joints have let go, so what one bay carries is held against the whole weight. Shotcrete
/// adheres before anything moves, so what it carries along the perimeter is added to what the joints
/// resist. A piece is carried only where its whole face is covered. Layers over each other are not
/// added: each is held against the piece by itself.
///
/// **Scaling.** Pieces up to the site's size are not the screen's: they are listed apart. No verdict
/// changes by that: a wedge that is short stays short.
#[must_use]
pub fn surface_study(case: &Case, check: &Check) -> SurfaceStudy {
    let off = check.drive(case).off_their_place();
    let layouts = off.as_deref().unwrap_or(&check.layouts);
    // Collected in the order of the check, whatever the number of threads.
    let found: Vec<(Vec<Hanging>, Vec<ScalingRow>, Option<SharedFs>)> = check
        .wedges
        .par_iter()
        .filter_map(|wedge| {
            let asked = wedge.decided.criterion_fs?;
            let seat = check.seat(case, wedge)?;
            Some(OfWedge { case, check, layouts, wedge, asked, seat }.study())
        })
        .collect();
    let mut study = SurfaceStudy::default();
    let mut hanging = Vec::new();
    for (pieces, scaling, shared) in found {
        hanging.extend(pieces);
        study.scaling.extend(scaling);
        study.shared.extend(shared);
    }
    for piece in hanging {
        match case.criteria.scaling_up_to_m3 {
            Some(most_m3) if piece.volume_m3 <= most_m3 => study.scaling.push(piece.to_scale()),
            _ => study.duty.push(piece.row(case)),
        }
    }
    study.duty.sort_by_key(|r| r.surface.place());
    study.scaling.sort_by_key(|r| r.surface.place());
    // A piece that is looked at under each of several layers is one piece to the scaling bar.
    study.scaling.dedup_by(|b, a| a.surface == b.surface && a.wedge == b.wedge && a.volume_m3 == b.volume_m3);
    study
}

/// A piece that hangs between the bolts.
struct Hanging {
    surface: Surface,
    wedge: String,
    support: Option<usize>,
    volume_m3: f64,
    weight_kn: f64,
    perimeter_m: f64,
    /// Of the wedge that was found.
    stability: Stability,
    /// What the bound on its volume has of that one's: a hair above 1.
    above_found: f64,
    asked: f64,
}

impl Hanging {
    /// The force that a screen has to carry, kN: the weight, with what hangs and what shakes.
    fn active_kn(&self) -> f64 {
        self.stability.active_kn().norm() * self.above_found
    }

    fn row(self, case: &Case) -> DutyRow {
        let support = self.support.map(|i| &case.surface_support[i]);
        let capacity = support.map(|s| s.capacity(self.perimeter_m));
        let fs_bare = self.stability.fs_bare();
        let fs = match (support, capacity) {
            (Some(support), Some(capacity)) => match support.kind {
                SurfaceKind::Screen { .. } | SurfaceKind::Strap { .. } => {
                    fs_bare.max((capacity.kn - self.stability.loss().out_kn) / self.active_kn())
                }
                SurfaceKind::Shotcrete { .. } => {
                    fs_bare + capacity.kn / (self.stability.motion.driving_kn * self.above_found)
                }
            },
            _ => fs_bare,
        };
        let verdict = match Verdict::of(fs, Some(self.asked)) {
            // What its joints hold alone needs no support to be entered.
            Verdict::Short if case.surface_support.is_empty() => Verdict::NotJudged,
            verdict => verdict,
        };
        let active_kn = self.active_kn();
        DutyRow {
            surface: self.surface,
            wedge: self.wedge,
            support: self.support,
            volume_m3: self.volume_m3,
            weight_kn: self.weight_kn,
            active_kn,
            perimeter_m: self.perimeter_m,
            mode: self.stability.motion.mode,
            fs_bare,
            force_needed_kn: force_needed_kn(&self.stability, self.asked) * self.above_found,
            capacity,
            fs: (!case.surface_support.is_empty()).then_some(fs),
            criterion_fs: self.asked,
            verdict,
        }
    }

    fn to_scale(&self) -> ScalingRow {
        let fs_bare = self.stability.fs_bare();
        ScalingRow {
            surface: self.surface,
            wedge: self.wedge.clone(),
            piece: Piece::Gap,
            volume_m3: self.volume_m3,
            weight_kn: self.weight_kn,
            mode: self.stability.motion.mode,
            fs_bare,
            is_loose: fs_bare < self.asked,
        }
    }
}

struct OfWedge<'s> {
    case: &'s Case,
    check: &'s Check,
    /// The patterns with collars off their place as far as the case allows.
    layouts: &'s [Layout],
    wedge: &'s CheckedWedge,
    asked: f64,
    seat: Seat<'s>,
}

/// A wedge that hangs between the bolts, with the bound on its volume.
struct Found {
    foot: Footprint,
    volume_m3: f64,
    shape: Shape,
}

impl OfWedge<'_> {
    fn study(&self) -> (Vec<Hanging>, Vec<ScalingRow>, Option<SharedFs>) {
        let wedge = self.wedge;
        let shared = (!self.case.surface_support.is_empty()).then(|| self.shared()).flatten();
        if self.case.criteria.is_for_the_bar(wedge.wedge.shape.volume_m3) {
            let row = |&surface: &Surface| ScalingRow {
                surface,
                wedge: wedge.wedge.id.clone(),
                piece: Piece::Whole,
                volume_m3: wedge.wedge.shape.volume_m3,
                weight_kn: wedge.wedge.weight_kn,
                mode: wedge.wedge.stability.motion.mode,
                fs_bare: wedge.found.fs_bare,
                is_loose: wedge.found.fs_bare < self.asked,
            };
            return (Vec::new(), wedge.wedge.surfaces.iter().map(row).collect(), shared);
        }
        let pieces = if wedge.is_held_across() { Vec::new() } else { self.hanging() };
        (pieces, Vec::new(), shared)
    }

    /// The pieces of each surface, under what covers them and where nothing does.
    fn hanging(&self) -> Vec<Hanging> {
        let opening = &self.check.opening;
        let chain = self.seat.chain();
        let bolts = Obstacles::new(&opening.section, &self.case.patterns, self.layouts, &self.check.groups);
        let collars = bolts.collars();
        let judged = judged_ground(self.case, opening, chain);
        let search = |ground: &[Span], most_m3: f64| -> Option<Found> {
            let found = gap_wedge(self.seat.frontier(), &self.wedge.wedge.cone, &collars, ground, most_m3)?;
            (found.volume_m3 >= LEAST_VOLUME_M3).then(|| Found {
                shape: self.seat.shape(&found.foot),
                foot: found.foot,
                volume_m3: found.volume_m3,
            })
        };
        let Some(whole) = search(&judged, self.wedge.wedge.shape.volume_m3 / ADMISSIBLE_SHARE) else {
            return Vec::new();
        };
        let most_m3 = whole.volume_m3 * SAME_VOLUME;
        let search = |ground: &[Span]| search(ground, most_m3);
        let whole_on = surfaces_of(opening, &whole.shape);
        let supports = &self.case.surface_support;
        let mut pieces = Vec::new();
        for surface in JUDGED {
            let ground = common(&judged, &joined(ground_of(chain, opening, surface)));
            let own;
            let piece = if whole_on.contains(&surface) {
                &whole
            } else if let (false, Some(found)) = (ground.is_empty(), search(&ground)) {
                own = found;
                &own
            } else {
                continue;
            };
            let mut covered: Vec<Span> = Vec::new();
            let mut is_covered = false;
            for (index, support) in supports.iter().enumerate() {
                let under = support.covered_ground(chain, opening, surface);
                if under.is_empty() {
                    continue;
                }
                if support.covers_face(opening, &piece.shape, surface) {
                    is_covered = true;
                    pieces.push(self.piece(surface, Some(index), piece));
                } else if let Some(within) = search(&common(&ground, &under)) {
                    pieces.push(self.piece(surface, Some(index), &within));
                }
                covered.extend(under);
            }
            if !is_covered {
                pieces.push(self.piece(surface, None, piece));
            } else if let Some(beside) =
                Some(without(&ground, &covered)).filter(|g| !g.is_empty()).and_then(|g| search(&g))
            {
                pieces.push(self.piece(surface, None, &beside));
            }
        }
        pieces
    }

    fn piece(&self, surface: Surface, support: Option<usize>, found: &Found) -> Hanging {
        Hanging {
            surface,
            wedge: self.wedge.wedge.id.clone(),
            support,
            volume_m3: found.volume_m3,
            weight_kn: found.volume_m3 * self.case.unit_weight_kn_m3,
            perimeter_m: perimeter_m(&found.shape),
            // What drives it out comes onto a screen too.
            stability: self.seat.stability_with_stress(&found.foot),
            above_found: found.volume_m3 / found.shape.volume_m3,
            asked: self.asked,
        }
    }

    /// The factors with surface support added once, against the movement.
    fn shared(&self) -> Option<SharedFs> {
        let bolted = self.wedge.found.fs_bolted.unwrap_or(self.wedge.found.fs_bare);
        let shape = self.wedge.worst_shape();
        let placed = self.wedge.placement().map(|p| p.foot);
        let driving_kn = placed.map_or(self.wedge.wedge.stability.motion.driving_kn, |foot| {
            self.seat.stability(&foot).motion.driving_kn
        });
        let capacity_kn = self.covering_kn(shape);
        Some(SharedFs {
            wedge: self.wedge.wedge.id.clone(),
            capacity_kn,
            fs: bolted + capacity_kn / driving_kn,
        })
    }

    /// What surface support adds to a wedge, kN: once, however many bays it spans, and of the
    /// surfaces that it shows on the one that carries least; 0 where one of them is not covered as
    /// far as the face goes.
    fn covering_kn(&self, shape: &Shape) -> f64 {
        let opening = &self.check.opening;
        let perimeter_m = perimeter_m(shape);
        surfaces_of(opening, shape)
            .into_iter()
            .map(|surface| {
                self.case
                    .surface_support
                    .iter()
                    .filter(|s| s.covers_face(opening, shape, surface))
                    .map(|s| s.capacity(perimeter_m).kn)
                    .fold(0.0, f64::max)
            })
            .reduce(f64::min)
            .unwrap_or(0.0)
    }
}

/// Sum of a wedge's traces, metres.
fn perimeter_m(shape: &Shape) -> f64 {
    shape.joints.iter().map(|j| j.trace_m).sum()
}
