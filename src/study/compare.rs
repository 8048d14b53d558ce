//! Support options side by side, on the same wedges and stages.

use rayon::prelude::*;
use thiserror::Error;

use super::judgement::JUDGED;
use super::plan::{Once, PerMetre, PlanError, once, per_metre};
use super::{
    AsDrawn, CheckError, CheckedWedge, Lack, Steps, Verdict, Whole, as_drawn, check, demand, lacks, margin,
    tightest,
};
use crate::case::{Case, Change, PlanInputs};
use crate::opening::Surface;
use crate::stability::Mode;

/// One option with all that is needed to judge and to plan it.
#[derive(Debug, Clone, Copy)]
pub struct Variant<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Its case.
    pub case: &'a Case,
    /// What its plan rests on.
    pub plan: &'a PlanInputs,
    /// What differs from the base; empty for the base itself.
    pub changes: &'a [Change],
}

/// Factors of safety on one surface.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceFs {
    /// The surface.
    pub surface: Surface,
    /// Least deciding factor over the wedges of the drive that move and show on it.
    pub least_fs: f64,
    /// The wedge that has it.
    pub wedge: String,
    /// Median over placements of that wedge's largest size; `None` without a pattern.
    pub median_fs: Option<f64>,
    /// Force needed over force provided, the greatest of the wedges there; infinite where nothing is
    /// provided, `None` without a pattern.
    pub use_of_capacity: Option<f64>,
}

/// The wedge with the least ratio of factor of safety to criterion.
#[derive(Debug, Clone, PartialEq)]
pub struct GoverningWedge {
    /// Its id.
    pub wedge: String,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Weight of its largest size, kN.
    pub weight_kn: f64,
    /// Its deciding factor of safety; `None` where nothing is said of it.
    pub fs: Option<f64>,
    /// What is asked.
    pub asked_fs: f64,
}

/// The piece between the bolts that leaves its surface support the least margin.
#[derive(Debug, Clone, PartialEq)]
pub struct ScreenLoad {
    /// Id of its wedge.
    pub wedge: String,
    /// The surface.
    pub surface: Surface,
    /// Its weight, kN.
    pub weight_kn: f64,
    /// What the surface support carries of it, kN; `None` where none is entered or none covers it.
    pub capacity_kn: Option<f64>,
    /// Held, short or not judged.
    pub verdict: Verdict,
}

/// An option, judged and counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// What it is called.
    pub name: String,
    /// What differs from the base.
    pub changes: Vec<Change>,
    /// Its whole check.
    pub whole: Whole,
    /// What a metre of it takes; `None` without a pattern: then nothing is drilled.
    pub per_metre: Option<PerMetre>,
    /// What stands at known chainages alone takes, once; `None` where nothing does.
    pub once: Option<Once>,
    /// Back and walls, those that show a wedge that moves.
    pub surfaces: Vec<SurfaceFs>,
    /// Least load factor of falling wedges with moments in balance; `None` where none falls or none
    /// was placed.
    pub least_rotation_fs: Option<f64>,
    /// The wedge nearest to its criterion; `None` where nothing moves.
    pub governing: Option<GoverningWedge>,
    /// The heaviest gap wedge: id, cubic metres, kN.
    pub gap: Option<(String, f64, f64)>,
    /// What the surface support has to carry, at its least margin.
    pub screen: Option<ScreenLoad>,
    /// Wedges of the drive that are short.
    pub short: usize,
    /// Wedges of the drive that are not judged.
    pub not_judged: usize,
    /// Wedges at the face that are short. Whether everything is held does not ask them; which option is better does.
    pub short_at_face: usize,
    /// Rows of stages that are short though bolts can meet them.
    pub short_in_stages: usize,
    /// Pieces that are too much for the surface support.
    pub short_screen: usize,
    /// Least ratio of factor of safety to what is asked; see [`margin()`].
    pub margin: f64,
    /// The same with collars off their drawn places; it decides nothing here.
    pub as_drawn: AsDrawn,
    /// What has that ratio, met or not; `None` where nothing moves.
    pub tightest: Option<Lack>,
    /// What it lacks, least margin first; empty where it holds everything.
    pub lacks: Vec<Lack>,
    /// Names, sorted, of the options that are no worse in margin, wedges short at the face, minutes and cost, and
    /// better in one.
    pub dominated_by: Vec<String>,
}

impl Compared {
    /// Whether everything that is asked is held; see [`lacks()`].
    #[must_use]
    pub fn holds(&self) -> bool {
        self.lacks.is_empty()
    }

    /// Whether it holds everything that is asked and no other option is as good or better in all. What
    /// does not hold is no choice, however little it costs.
    #[must_use]
    pub fn is_efficient(&self) -> bool {
        self.holds() && self.dominated_by.is_empty()
    }

    /// Bolts a metre of drive.
    #[must_use]
    pub fn bolts_per_m(&self) -> f64 {
        self.per_metre.as_ref().map_or(0.0, |p| p.bolts)
    }

    /// Metres of bolt holes a metre of drive.
    #[must_use]
    pub fn drill_m_per_m(&self) -> f64 {
        self.per_metre.as_ref().map_or(0.0, |p| p.drill_m)
    }

    /// Minutes at the work a metre of drive; `None` without a pattern.
    #[must_use]
    pub fn minutes_per_m(&self) -> Option<f64> {
        self.per_metre.as_ref().map(|p| p.minutes)
    }

    /// Cost a metre of drive; `None` without a pattern, or where something has no price.
    #[must_use]
    pub fn cost_per_m(&self) -> Option<f64> {
        self.per_metre.as_ref().and_then(|p| p.cost)
    }

    /// Greatest use of capacity over the surfaces; `None` without a pattern.
    #[must_use]
    pub fn use_of_capacity(&self) -> Option<f64> {
        self.surfaces.iter().filter_map(|s| s.use_of_capacity).reduce(f64::max)
    }
}

/// Options side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The options in the order they were given.
    pub options: Vec<Compared>,
    /// Whether every option with a pattern has a cost: otherwise cost is left out of which dominates
    /// which.
    pub costs_known: bool,
}

/// Why options cannot be compared.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum CompareError {
    /// An option cannot be checked.
    #[error("option \"{name}\" cannot be checked: {error}")]
    Check {
        /// Its name.
        name: String,
        /// Why.
        error: CheckError,
    },
    /// An option cannot be planned.
    #[error("option \"{name}\" cannot be planned: {error}")]
    Plan {
        /// Its name.
        name: String,
        /// Why.
        error: PlanError,
    },
}

/// Judges and counts every option: [`check()`] and [`per_metre()`] of each, in parallel.
///
/// # Errors
/// [`CompareError`] where an option cannot be checked or planned.
pub fn compare(variants: &[Variant]) -> Result<Comparison, CompareError> {
    compare_counted(variants, &Steps::default())
}

/// As [`compare`], with its steps counted.
///
/// # Errors
/// As [`compare`].
pub fn compare_counted(variants: &[Variant], steps: &Steps) -> Result<Comparison, CompareError> {
    steps.begin("judging options", variants.len());
    let of_one = |variant: &Variant| {
        let judged = judge(variant);
        steps.step();
        judged
    };
    // Collected in the order given, whatever the number of threads.
    let judged: Vec<Result<Compared, CompareError>> = variants.par_iter().map(of_one).collect();
    let mut options = judged.into_iter().collect::<Result<Vec<_>, _>>()?;
    let once_known = |o: &Compared| o.once.as_ref().is_none_or(|once| once.cost.is_some());
    let costs_known =
        options.iter().all(|o| (o.per_metre.is_none() || o.cost_per_m().is_some()) && once_known(o));
    let dominated: Vec<Vec<String>> = options
        .iter()
        .map(|option| {
            let better = options.iter().filter(|other| dominates(other, option, costs_known));
            let mut names: Vec<String> = better.map(|o| o.name.clone()).collect();
            names.sort();
            names
        })
        .collect();
    for (option, names) in options.iter_mut().zip(dominated) {
        option.dominated_by = names;
    }
    Ok(Comparison { options, costs_known })
}

/// No worse in margin, wedges short at the face, minutes and cost, of a metre and of what is drilled once, and better
/// in one. A drive without bolts costs nothing.
fn dominates(a: &Compared, b: &Compared, costs_known: bool) -> bool {
    let minutes = |o: &Compared| o.minutes_per_m().unwrap_or(0.0);
    let cost = |o: &Compared| if costs_known { o.cost_per_m().unwrap_or(0.0) } else { 0.0 };
    let once_minutes = |o: &Compared| o.once.as_ref().map_or(0.0, |once| once.minutes);
    let once_cost = |o: &Compared| {
        let cost = o.once.as_ref().and_then(|once| once.cost);
        if costs_known { cost.unwrap_or(0.0) } else { 0.0 }
    };
    let takes = |o: &Compared| [minutes(o), cost(o), once_minutes(o), once_cost(o)];
    let (takes_a, takes_b) = (takes(a), takes(b));
    let no_worse = a.margin >= b.margin
        && a.short_at_face <= b.short_at_face
        && takes_a.iter().zip(takes_b).all(|(a, b)| *a <= b);
    let better = a.margin > b.margin || a.short_at_face < b.short_at_face;
    no_worse && (better || takes_a.iter().zip(takes_b).any(|(a, b)| *a < b))
}

fn judge(variant: &Variant) -> Result<Compared, CompareError> {
    let name = variant.name.to_owned();
    let found = check(variant.case).map_err(|error| CompareError::Check { name: name.clone(), error })?;
    let per_metre = match per_metre(variant.case, variant.plan) {
        Ok(found) => Some(found),
        Err(PlanError::NoPattern) => None,
        Err(error) => return Err(CompareError::Plan { name, error }),
    };
    let once = once(variant.case, variant.plan).map_err(|error| CompareError::Plan { name, error })?;
    Ok(Compared { once, ..of(variant, found, per_metre) })
}

fn of(variant: &Variant, whole: Whole, per_metre: Option<PerMetre>) -> Compared {
    let check = &whole.check;
    let count = |verdict: Verdict| check.wedges.iter().filter(|w| w.decided.verdict == verdict).count();
    let moving = || check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some());
    let rotation = moving()
        .filter(|w| w.wedge.stability.motion.mode == Mode::Falling)
        .filter_map(CheckedWedge::fs_with_moments)
        .reduce(f64::min);
    let ratio = |w: &CheckedWedge| w.decided.margin();
    // The first of equals, in the order of the check.
    let governing = moving().reduce(|a, b| if ratio(b) < ratio(a) { b } else { a }).map(|w| GoverningWedge {
        wedge: w.wedge.id.clone(),
        surfaces: w.wedge.surfaces.clone(),
        weight_kn: w.wedge.weight_kn,
        fs: w.decided.fs,
        asked_fs: w.decided.criterion_fs.unwrap_or(f64::NAN),
    });
    let gap = whole
        .sizes
        .iter()
        .filter_map(|c| c.gap.as_ref().map(|g| (c.wedge.clone(), g.volume_m3, g.weight_kn)))
        .reduce(|a, b| if b.2 > a.2 { b } else { a });
    let duty = &whole.beside.surface.duty;
    let use_of = |d: &super::DutyRow| d.fs.map_or(-d.weight_kn, |fs| fs / d.criterion_fs);
    let screen = duty.iter().reduce(|a, b| if use_of(b) < use_of(a) { b } else { a }).map(|d| ScreenLoad {
        wedge: d.wedge.clone(),
        surface: d.surface,
        weight_kn: d.weight_kn,
        capacity_kn: d.capacity.map(|c| c.kn),
        verdict: d.verdict,
    });
    let demands = demand(variant.case, check);
    let surfaces = JUDGED
        .into_iter()
        .filter_map(|surface| {
            let least = moving()
                .filter(|w| w.wedge.surfaces.contains(&surface))
                .filter(|w| w.decided.fs.is_some())
                .reduce(|a, b| if b.decided.fs < a.decided.fs { b } else { a })?;
            let uses = demands
                .iter()
                .filter(|d| d.surface == surface)
                .filter_map(|d| Some(d.deciding.as_ref().map_or(d.utilisation?, |g| g.utilisation)));
            Some(SurfaceFs {
                surface,
                least_fs: least.decided.fs?,
                wedge: least.wedge.id.clone(),
                median_fs: least.found.fs_bolted_median,
                use_of_capacity: uses.reduce(f64::max),
            })
        })
        .collect();
    let in_stages = whole.stages.rows.iter().filter(|r| super::lacks::bolts_can_meet(r));
    Compared {
        name: variant.name.to_owned(),
        changes: variant.changes.to_vec(),
        per_metre,
        once: None,
        surfaces,
        least_rotation_fs: rotation,
        governing,
        gap,
        screen,
        short: count(Verdict::Short),
        not_judged: count(Verdict::NotJudged),
        short_at_face: check.face.iter().filter(|w| w.decided.verdict == Verdict::Short).count(),
        short_in_stages: in_stages.filter(|r| r.verdict == Verdict::Short).count(),
        short_screen: duty.iter().filter(|d| d.verdict == Verdict::Short).count(),
        margin: margin(&whole),
        as_drawn: as_drawn(variant.case, &whole),
        tightest: tightest(&whole),
        lacks: lacks(&whole),
        dominated_by: Vec::new(),
        whole,
    }
}
