use rayon::prelude::*;
use serde::Serialize;

use super::seat::Seat;
use super::stressed::PieceUnderStress;
use super::{Check, CheckedWedge, LEAST_VOLUME_M3};
use crate::case::Case;
use crate::stability::{Reaction, Stability};
use crate::support::{
    GapWedge, Obstacles, Placement, Positions, Serving, Span, bolted_ground, force_needed_kn, gap_wedge,
};
use crate::wedge::{ADMISSIBLE_SHARE, Footprint, Frontier, Shape};

/// Sizes from the largest admissible wedge down that a study begins with, each the same share of
/// the one before.
const FIRST_SIZES: usize = 12;

/// Sizes that the screen carries, from the gap wedge down to a litre.
const SCREEN_SIZES: usize = 4;

/// The search for the governing size ends when no size between two studied ones can lie below the
/// least factor by more than this share. What is promised is four times as much: a size is met within 0.1 % of its
/// volume, and its worst place across the section within 0.1 %.
const LEAST_SHARE: f64 = 5e-4;

/// Most sizes that are studied for one wedge: beyond it the search has closed in on teeth of the
/// curve that differ by less than anybody can install.
const MOST_SIZES: usize = 60;

/// Just above the gap wedge: a size is met within 0.1 % of its volume, so the first size that is
/// wholly above the gap wedge stands that much higher, and a hair for rounding.
pub(super) const ABOVE_GAP: f64 = (1.0 + 1e-6) / ADMISSIBLE_SHARE;

/// A hair above a size that is not judged, so that it is.
const JUST_ABOVE: f64 = 1.0 + 1e-9;

/// A smaller size governs where its factor is less by more than rounding.
const SAME_FACTOR: f64 = 1.0 - 1e-9;

/// What carries a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum JudgedBy {
    /// Every placement on bolted ground meets a bolt.
    #[serde(rename = "bolts")]
    Bolts,
    /// Some placement slips between the bolts.
    #[serde(rename = "screen")]
    Screen,
}

impl JudgedBy {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Bolts => "bolts",
            Self::Screen => "screen",
        }
    }
}

/// A wedge of one size at its worst placement.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Cubic metres.
    pub volume_m3: f64,
    /// Weight, kN.
    pub weight_kn: f64,
    /// Least factor of safety with bolts over all placements of a wedge of this size.
    pub fs_bolted: f64,
    /// Median over placements; that of the least where the screen carries it.
    pub fs_bolted_median: f64,
    /// The same as `fs_bolted` with the case's stress, where that takes from it; no more than without. `None` without stress,
    /// and where no balance was found.
    pub fs_with_stress: Option<f64>,
    /// Bolts that serve it at its worst placement.
    pub bolts_serving: usize,
    /// Support force against the movement that the criterion asks for, kN.
    pub force_needed_kn: f64,
    /// What the bolts give at the worst placement, kN.
    pub force_provided_kn: f64,
    /// What carries it.
    pub judged_by: JudgedBy,
    /// The wedge of this size at that placement.
    pub foot: Footprint,
    /// Where it stands among the bolts there.
    pub among: AmongBolts,
}

/// Where a wedge stands along the drive, and the bolts about it.
#[derive(Debug, Clone, PartialEq)]
pub struct AmongBolts {
    /// Chainage of its apex.
    pub chainage_m: f64,
    /// How far the rings of each group stand shifted from where their offset says, metres.
    pub shifts_m: Vec<f64>,
    /// The bolts that cross it.
    pub serving: Vec<Serving>,
}

impl AmongBolts {
    fn of(placement: &Placement) -> Self {
        let Placement { chainage_m, shifts_m, serving, .. } = placement;
        Self { chainage_m: *chainage_m, shifts_m: shifts_m.clone(), serving: serving.clone() }
    }
}

/// The largest wedge that some placement lets sit untouched between the bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// No untouched wedge on the ground is larger, cubic metres.
    pub volume_m3: f64,
    /// Its weight, kN: what the screen must carry.
    pub weight_kn: f64,
    /// Support force against the movement that the criterion asks for, kN; 0 where its joints hold
    /// it alone.
    pub force_needed_kn: f64,
    /// Where it sits and how the rings stand then.
    pub wedge: GapWedge,
    /// The wedge found, apex at s = 0, local frame: at most 0.1 % smaller than `volume_m3`.
    pub shape: Shape,
}

/// One wedge from its largest admissible size down to nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeCurve {
    /// Id of the wedge.
    pub wedge: String,
    /// Sizes in rising order; the last is the largest admissible wedge as the check found it.
    pub sizes: Vec<Size>,
    /// The gap wedge on bolted ground; `None` where the wedge meets no bolted ground, or where no
    /// wedge of a litre or more slips through.
    pub gap: Option<Gap>,
    /// The largest wedge on bolted ground without a collar on its face, where it is larger than the
    /// gap wedge: bolts pierce it through its joints, which is not counted on, so that the screen has
    /// to carry it too.
    pub pierced: Option<Gap>,
    /// The largest untouched wedge whose face lies partly or wholly on ground that no bolt covers,
    /// where it is larger than the gap wedge.
    pub unbolted: Option<Gap>,
    /// Index in `sizes` of the one with the least factor among those that the bolts carry; the
    /// largest admissible wedge always counts as one of them.
    pub governing: usize,
}

impl Gap {
    /// Where it stands between the bolts: none crosses it.
    #[must_use]
    pub fn among(&self) -> AmongBolts {
        let chainage_m = self.wedge.phases_m.first().copied().unwrap_or(0.0);
        let shifts_m = self.wedge.phases_m.iter().map(|phase| chainage_m - phase).collect();
        AmongBolts { chainage_m, shifts_m, serving: Vec::new() }
    }
}

impl SizeCurve {
    /// The largest wedge that the screen has to carry: no collar is on its face.
    #[must_use]
    pub fn screen_wedge(&self) -> Option<&Gap> {
        self.pierced.as_ref().or(self.gap.as_ref())
    }

    /// The size that decides.
    #[must_use]
    pub fn governing_size(&self) -> &Size {
        &self.sizes[self.governing]
    }

    /// Whether a smaller size than the largest admissible wedge decides.
    #[must_use]
    pub fn smaller_governs(&self) -> bool {
        self.governing + 1 < self.sizes.len()
    }
}

/// Every wedge that moves and is held against bolts, over all its sizes: from the largest
/// admissible one down, each at its worst placement, and the gap wedge between the bolts.
///
/// A size is judged over the placements whose whole face lies on bolted ground ([`bolted_ground`]).
/// A size too large for that is judged wherever it can sit, once no such place is free of bolts: what
/// sits untouched where no bolt covers the ground is reported apart ([`SizeCurve::unbolted`]). The
/// largest admissible wedge is judged wherever it can sit. Sizes stand even on a log scale: they show how the
/// factor goes, and decide nothing. `check` is what [`super::forces_alone()`] found
/// for `case`.
#[must_use]
pub fn sizes(case: &Case, check: &Check) -> Vec<SizeCurve> {
    // Collected in the order of the check, whatever the number of threads.
    check.wedges.par_iter().filter_map(|wedge| curve(case, check, wedge, false)).collect()
}

/// As [`sizes`] for one wedge, with as many sizes between as it takes for none of them to have less than
/// the least, by more than 0.2 %; `None` where it does not move or is not held against bolts.
#[must_use]
pub fn size_curve(case: &Case, check: &Check, wedge: &CheckedWedge) -> Option<SizeCurve> {
    curve(case, check, wedge, true)
}

fn curve(case: &Case, check: &Check, wedge: &CheckedWedge, refined: bool) -> Option<SizeCurve> {
    let placement = wedge.placement()?;
    let asked = wedge.decided.criterion_fs?;
    // What stands at a chainage alone leaves no gaps: there is nothing for a size to slip between.
    if wedge.is_held_across() || case.patterns.is_empty() {
        return None;
    }
    let seat = check.seat(case, wedge)?;
    let grounds = bolted_ground(seat.chain(), &check.opening, &case.patterns, &check.layouts);
    let mut study =
        Study { case, check, wedge, asked, seat: &seat, grounds: &grounds, free_elsewhere_m3: 0.0 };

    let largest = Size {
        volume_m3: wedge.wedge.shape.volume_m3,
        weight_kn: wedge.wedge.weight_kn,
        fs_bolted: placement.least_fs,
        fs_bolted_median: placement.median_fs,
        fs_with_stress: with_stress(
            case,
            &wedge.wedge.stability,
            wedge.found.stressed.as_ref().map(|s| s.found(&wedge.wedge.stability)),
            placement.least_fs,
        ),
        bolts_serving: placement.serving.len(),
        force_needed_kn: wedge.force_needed_kn(),
        force_provided_kn: wedge.force_provided_kn().unwrap_or(0.0),
        judged_by: JudgedBy::Bolts,
        foot: placement.foot,
        among: AmongBolts::of(placement),
    };
    let Gaps { gap, pierced, unbolted } = study.gaps();
    study.free_elsewhere_m3 = unbolted.as_ref().map_or(0.0, |u| u.volume_m3 * ABOVE_GAP);
    let mut sizes = study.screen_sizes(gap.as_ref());
    if !grounds.is_empty() {
        let slips = pierced.as_ref().or(gap.as_ref());
        let lowest_m3 = slips.map_or(0.0, |g| g.volume_m3 * ABOVE_GAP).max(LEAST_VOLUME_M3);
        sizes.extend(study.bolted_sizes(lowest_m3, &largest, refined));
    }
    sizes.push(largest);
    let mut governing = sizes.len() - 1;
    for (i, size) in sizes.iter().enumerate().rev() {
        if size.judged_by == JudgedBy::Bolts && size.fs_bolted < sizes[governing].fs_bolted * SAME_FACTOR {
            governing = i;
        }
    }
    Some(SizeCurve { wedge: wedge.wedge.id.clone(), sizes, gap, pierced, unbolted, governing })
}

/// A factor with what stress takes; `None` without stress, and where that is not known.
fn with_stress(
    case: &Case,
    stability: &Stability,
    found: Option<PieceUnderStress>,
    without: f64,
) -> Option<f64> {
    case.site.stress.as_ref()?;
    match found? {
        PieceUnderStress::Unharmed => Some(without),
        PieceUnderStress::Harmed(loss) => Some(without - loss.lost_kn / stability.motion.driving_kn),
        PieceUnderStress::NotFound => None,
    }
}

struct Study<'s> {
    case: &'s Case,
    check: &'s Check,
    wedge: &'s CheckedWedge,
    asked: f64,
    seat: &'s Seat<'s>,
    grounds: &'s [Span],
    /// Up to here a wedge can sit untouched where no bolt covers the ground, cubic metres.
    free_elsewhere_m3: f64,
}

/// What slips between the bolts: see [`SizeCurve`].
struct Gaps {
    gap: Option<Gap>,
    pierced: Option<Gap>,
    unbolted: Option<Gap>,
}

impl Study<'_> {
    /// The gap wedge on bolted ground, and what else no collar holds where it is larger.
    fn gaps(&self) -> Gaps {
        let section = &self.check.opening.section;
        let bolts = Obstacles::new(section, &self.case.patterns, &self.check.layouts, &self.check.groups);
        let most_m3 = self.wedge.wedge.shape.volume_m3 / ADMISSIBLE_SHARE;
        let largest = |obstacles: &Obstacles, grounds: &[Span]| {
            let wedge = gap_wedge(self.seat.frontier(), &self.wedge.wedge.cone, obstacles, grounds, most_m3)?;
            (wedge.volume_m3 >= LEAST_VOLUME_M3).then(|| Gap {
                volume_m3: wedge.volume_m3,
                weight_kn: wedge.volume_m3 * self.case.unit_weight_kn_m3,
                force_needed_kn: force_needed_kn(&self.seat.stability(&wedge.foot), self.asked),
                shape: self.seat.shape(&wedge.foot),
                wedge,
            })
        };
        let whole = [Span { from_m: 0.0, to_m: self.seat.chain().length_m() }];
        let gap = largest(&bolts, self.grounds);
        let gap_m3 = gap.as_ref().map_or(0.0, |g| g.volume_m3 * ABOVE_GAP);
        let pierced = largest(&bolts.collars(), self.grounds).filter(|p| p.volume_m3 > gap_m3);
        let unbolted = if self.grounds == whole { None } else { largest(&bolts.collars(), &whole) };
        let bolted_m3 = pierced.as_ref().map_or(gap_m3, |p| p.volume_m3 * ABOVE_GAP);
        Gaps { gap, pierced, unbolted: unbolted.filter(|u| u.volume_m3 > bolted_m3) }
    }

    /// The gap wedge and smaller ones of its pyramid, by their joints alone: each lies inside the
    /// gap wedge, so it is untouched where that is.
    fn screen_sizes(&self, gap: Option<&Gap>) -> Vec<Size> {
        let Some(gap) = gap else { return Vec::new() };
        let [start_m, _, end_m] = gap.wedge.foot.along_m;
        let lone = self.seat.chain().sector().order[1];
        let ratio = (LEAST_VOLUME_M3 / gap.shape.volume_m3).min(1.0).powf(1.0 / (SCREEN_SIZES - 1) as f64);
        (0..SCREEN_SIZES)
            .rev()
            .map(|i| {
                let wanted_m3 = gap.shape.volume_m3 * ratio.powi(i as i32);
                let (mut low_m, mut high_m) = (start_m, end_m);
                for _ in 0..if i == 0 { 0 } else { 50 } {
                    let middle_m = 0.5 * (low_m + high_m);
                    let volume_m3 = self.seat.volume_m3(&self.seat.chain().footprint(start_m, middle_m));
                    if volume_m3 < wanted_m3 { low_m = middle_m } else { high_m = middle_m }
                }
                let foot = self.seat.chain().footprint(start_m, high_m);
                let stability = self.seat.stability(&foot);
                let fs = stability.fs_bare();
                // Inside the gap wedge: on the line along which that one begins.
                let begins_m = |shape: &Shape| shape.joints[lone].trace.first().map_or(0.0, |p| p.y);
                let mut among = gap.among();
                among.chainage_m += begins_m(&gap.shape) - begins_m(&self.seat.shape(&foot));
                self.size(&foot, &stability, [fs; 2], JudgedBy::Screen, among)
            })
            .collect()
    }

    fn size(
        &self,
        foot: &Footprint,
        stability: &Stability,
        [fs_bolted, fs_bolted_median]: [f64; 2],
        judged_by: JudgedBy,
        among: AmongBolts,
    ) -> Size {
        let bolts_serving = among.serving.len();
        let volume_m3 = self.seat.volume_m3(foot);
        let bare_kn = stability.resistance_kn(&Reaction::default());
        Size {
            volume_m3,
            weight_kn: volume_m3 * self.case.unit_weight_kn_m3,
            fs_bolted,
            fs_bolted_median,
            fs_with_stress: with_stress(
                self.case,
                stability,
                Some(self.seat.under_stress(foot, stability)),
                fs_bolted,
            ),
            bolts_serving,
            force_needed_kn: force_needed_kn(stability, self.asked),
            force_provided_kn: if bolts_serving == 0 {
                0.0
            } else {
                (fs_bolted * stability.motion.driving_kn - bare_kn).max(0.0)
            },
            judged_by,
            foot: *foot,
            among,
        }
    }

    /// The worst placement of the wedges of one size; `None` where no wedge has it, or none but on
    /// ground that no bolt covers.
    fn at(&self, volume_m3: f64) -> Option<Size> {
        let mut least: Option<Size> = None;
        for ground in self.grounds {
            let within = self.seat.frontier().within(ground.from_m, ground.to_m).up_to_m3(volume_m3);
            least = [least, self.least_on(&within, volume_m3)]
                .into_iter()
                .flatten()
                .reduce(|a, b| if b.fs_bolted < a.fs_bolted { b } else { a });
        }
        if least.is_none() && volume_m3 > self.free_elsewhere_m3 {
            return self.least_on(&self.seat.frontier().up_to_m3(volume_m3), volume_m3);
        }
        least
    }

    /// The sizes, cubic metres, at which a wedge fits on no bolted ground and is not judged elsewhere: from
    /// the largest on such ground to the largest that can sit untouched where no bolt covers.
    fn nowhere_m3(&self) -> (f64, f64) {
        let on = |ground: &Span| {
            let within = self.seat.frontier().within(ground.from_m, ground.to_m);
            self.seat.largest_of(&within).map_or(0.0, |found| found.volume_m3)
        };
        let largest_m3 = self.grounds.iter().map(on).fold(0.0, f64::max);
        (largest_m3, self.free_elsewhere_m3.max(largest_m3))
    }

    fn least_on(&self, frontier: &Frontier, volume_m3: f64) -> Option<Size> {
        let admissible =
            self.seat.largest_of(frontier).filter(|a| a.volume_m3 >= ADMISSIBLE_SHARE * volume_m3)?;
        let placed = self.seat.place(&Positions { frontier, ..self.seat.positions() }, &admissible);
        let stability = self.seat.stability(&placed.foot);
        let factors = [placed.least_fs, placed.median_fs];
        Some(self.size(&placed.foot, &stability, factors, JudgedBy::Bolts, AmongBolts::of(&placed)))
    }

    /// Sizes from `lowest_m3` to below the largest, even on a log scale, then more where the factor
    /// could still be less between two of them.
    ///
    /// As a wedge grows with the same bolts its factor falls, and jumps up where one bolt more is
    /// sure to meet it: a saw whose points are the sizes just before. From the friction that does
    /// not hang on size, what bolts and cohesion give per weight falls at most by the ratio of
    /// volumes; that bounds the factor between two sizes from below.
    fn bolted_sizes(&self, lowest_m3: f64, largest: &Size, refined: bool) -> Vec<Size> {
        if largest.volume_m3 * ADMISSIBLE_SHARE < lowest_m3 {
            return Vec::new();
        }
        let ratio = (lowest_m3 / largest.volume_m3).powf(1.0 / FIRST_SIZES as f64);
        // (what was asked for, what sits there: up to 0.1 % smaller)
        let mut sizes: Vec<(f64, Size)> = (1..=FIRST_SIZES)
            .into_par_iter()
            .filter_map(|i| {
                let volume_m3 = largest.volume_m3 * ratio.powi(i as i32);
                self.at(volume_m3).map(|size| (volume_m3, size))
            })
            .collect();
        sizes.push((largest.volume_m3, largest.clone()));
        let friction = self.wedge.found.fs_bare_no_cohesion.min(largest.fs_bolted);
        // Wedges between these sizes sit on no bolted ground, and where they sit none is judged.
        let nowhere = self.nowhere_m3();
        let ends = [nowhere.0, nowhere.1 * JUST_ABOVE];
        for end in ends.into_iter().filter(|&v| v > lowest_m3 && v < largest.volume_m3 * ADMISSIBLE_SHARE) {
            sizes.extend(self.at(end).map(|size| (end, size)));
        }
        // Rounding may leave the very edge of that empty too.
        let mut empty: Vec<f64> = Vec::new();
        while refined && sizes.len() + empty.len() < MOST_SIZES {
            sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
            let least = sizes.iter().map(|s| s.1.fs_bolted).fold(f64::INFINITY, f64::min);
            let mut lowest: Option<(f64, f64)> = None;
            for pair in sizes.windows(2) {
                let (low, high) = (pair[0].0, pair[1].0);
                let middle = (low * high).sqrt();
                if low >= nowhere.0 && high <= nowhere.1 * JUST_ABOVE {
                    continue;
                }
                // Bolts that only just reach beyond a joint hold less of a larger wedge: either end.
                let lower = pair[0].1.fs_bolted.min(pair[1].1.fs_bolted);
                let bound = friction + (lower - friction).max(0.0) * low / high;
                if bound < least * (1.0 - LEAST_SHARE)
                    && high * ADMISSIBLE_SHARE > low
                    && !empty.contains(&middle)
                    && lowest.is_none_or(|l| bound < l.0)
                {
                    lowest = Some((bound, middle));
                }
            }
            let Some((_, middle)) = lowest else { break };
            match self.at(middle) {
                Some(size) => sizes.push((middle, size)),
                None => empty.push(middle),
            }
        }
        sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
        sizes.pop();
        sizes.into_iter().map(|s| s.1).collect()
    }
}
