//! A joint pyramid made ready on its drive: the one place that knows which wedges it can have there,
//! where structures put them, what loads them, and which rings slide past them.

use super::shaken::{AtRest, Shaken, pull};
use super::stressed::{AskedPiece, PieceUnderStress, Stressed};
use super::wedges::{Candidate, limits};
use super::{Check, CheckedWedge, LEAST_VOLUME_M3, Wedge};
use crate::case::Case;
use crate::opening::{Opening, Vec2};
use crate::orientation::Vec3;
use crate::stability::{Hung, HungPlace, Loads, Mode, Motion, Stability, WaterForces, hung_on};
use crate::strength::MohrCoulomb;
use crate::stress::{Accuracy, SectionStress};
use crate::support::{
    HAIR_SHARE, Layout, LocalBolts, OnPieces, Pattern, PhaseGroup, Placement, Positions, located_groups,
    place, ways_of,
};
use crate::wedge::{
    ADMISSIBLE_SHARE, Across, Admissible, Chain, Cone, FaceIntegral, Footprint, Frontier, Limits, Located,
    Sector, Shape,
};

/// Places across a band at which a wedge without bolts is asked what hangs from it.
const HUNG_PLACES: usize = 40;

/// Places across a pyramid, and shares of the width of the widest wedge at each, of the pieces that are asked what stress
/// does to them: three sizes, each eight times the one before where nothing caps them.
pub const ASKED_STARTS: usize = 3;
/// See [`ASKED_STARTS`].
pub const ASKED_SHARES: [f64; 3] = [1.0, 0.5, 0.25];

/// A case's drive with its patterns laid out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drive<'s> {
    pub case: &'s Case,
    pub opening: &'s Opening,
    /// The patterns of the case, laid out.
    pub layouts: &'s [Layout],
    /// What stands at known chainages alone, laid out.
    pub local: &'s [Layout],
    /// Which patterns slide along the drive together.
    pub groups: &'s [PhaseGroup],
    /// The stretch that is looked at alone, metres of chainage: all its bolts stand at known chainages and no
    /// pattern slides past them. `None` for the drive as it goes on.
    pub stretch_m: Option<(f64, f64)>,
    /// The elastic stress round its section, solved; `None` where the case has no stress, or it has no solution.
    pub stress: Option<&'s SectionStress>,
}

impl Check {
    /// The drive that this is the check of; `case` is the case that was checked.
    pub(super) fn drive<'s>(&'s self, case: &'s Case) -> Drive<'s> {
        Drive {
            case,
            opening: &self.opening,
            layouts: &self.layouts,
            local: &self.local,
            groups: &self.groups,
            stretch_m: None,
            stress: self.stress.as_deref(),
        }
    }

    /// The seat of a checked wedge; `None` for one at the face that the drive does not have.
    pub(super) fn seat<'s>(&'s self, case: &'s Case, wedge: &CheckedWedge) -> Option<Seat<'s>> {
        Seat::of_wedge(self.drive(case), wedge)
    }
}

impl Drive<'_> {
    /// The patterns, then what stands at known chainages alone, with every collar anywhere within the case's
    /// tolerance of where it is drawn, as verdicts count them; `None` where that is as drawn.
    pub fn off_their_place(&self) -> Option<Vec<Layout>> {
        let off_m = self.case.installation.judged_tolerance_m();
        let section = &self.opening.section;
        let all = self.layouts.iter().chain(self.local);
        (off_m > 0.0).then(|| all.map(|l| l.within(off_m, section)).collect())
    }

    /// The same as drawn.
    pub fn all_layouts(&self) -> Vec<Layout> {
        self.layouts.iter().chain(self.local).cloned().collect()
    }

    /// The equilibrium of a wedge between three joints, from what it measures and what hangs from it:
    /// here every load and every strength comes in. The areas of its joint faces are asked for where they matter.
    pub fn equilibrium(
        &self,
        sets: [usize; 3],
        inward: [Vec3; 3],
        (volume_m3, areas_m2): (f64, impl FnOnce() -> [f64; 3]),
        hung: Hung,
        shaken: Option<&Shaken>,
        water: Option<WaterForces>,
    ) -> Stability {
        let weight = Loads::weight(volume_m3, self.case.unit_weight_kn_m3);
        let loads = Loads { hung_kn: hung.kn, ..weight };
        let pull = pull(&self.opening.frame, shaken);
        let dry_kn = loads.pulled_kn(&pull);
        let strengths: [MohrCoulomb; 3] = sets.map(|s| self.case.joints[s].strength);
        let active_kn = water.as_ref().map_or(dry_kn, |water| dry_kn + water.resultant_kn(&inward));
        let motion = Motion::of(&inward, &active_kn);
        let by_cohesion = |joint: usize| strengths[joint].cohesion_kpa > 0.0 && motion.normal_kn[joint] > 0.0;
        let areas_m2 = if (0..3).any(by_cohesion) { areas_m2() } else { [0.0; 3] };
        let stability = Stability::new(motion, inward, &strengths, &areas_m2).hanging(hung, pull.norm());
        let Some(water) = water else { return stability };
        let hung_share = hung.kn / (loads.weight_kn + loads.hung_kn);
        stability.pressed(water, dry_kn, hung_share)
    }

    /// What the case's water presses onto the joint faces of a wedge between three joints, from the depth of its
    /// apex behind the opening and the fan of each face; `None` without water, or where it presses on none.
    pub fn water_on(
        &self,
        sets: [usize; 3],
        depth_m: f64,
        apex: &Vec3,
        fan: impl Fn(usize, &mut dyn FnMut(&Vec3, &Vec3)),
    ) -> Option<WaterForces> {
        let water = self.case.site.pressing()?;
        let field = water.pressure_kpa(depth_m, &self.opening.frame.to_local(&Vec3::z()));
        let forces = WaterForces::of(std::array::from_fn(|plane| {
            if water.acts_on(sets[plane]) {
                field.over_fan(apex, |visit| fan(plane, visit))
            } else {
                FaceIntegral::default()
            }
        }));
        (forces.kn != [0.0; 3]).then_some(forces)
    }

    /// As [`Drive::water_on`], of a wedge whose shape is known.
    pub fn water_on_shape(&self, sets: [usize; 3], shape: &Shape) -> Option<WaterForces> {
        self.water_on(sets, shape.depth_m, &shape.apex, |plane, visit| {
            for piece in shape.joints[plane].trace.windows(2) {
                visit(&piece[0], &piece[1]);
            }
        })
    }
}

/// A pyramid of three joints on a drive, with the wedges that the caps leave it.
#[derive(Debug, Clone)]
pub(super) struct Seat<'s> {
    drive: Drive<'s>,
    sets: [usize; 3],
    cone: Cone,
    frontier: Frontier<'s>,
    located: Option<Located>,
    groups: Vec<PhaseGroup>,
    /// All that is drilled, where some of it stands at known chainages alone and can reach a wedge.
    drilled: Option<Drilled>,
    hung: Vec<HungPlace>,
    shaken: Option<Shaken>,
}

/// The patterns of the whole drive, then what stands at known chainages alone.
#[derive(Debug, Clone)]
struct Drilled {
    patterns: Vec<Pattern>,
    layouts: Vec<Layout>,
}

impl<'s> Seat<'s> {
    /// The seat of the pyramid with this cone, local frame; `None` where it has no wedge: it holds the
    /// drive's axis, every wedge has volume zero, or two of its joints are structures that never meet.
    pub fn of(drive: Drive<'s>, sets: [usize; 3], cone: &Cone, limits: &Limits) -> Option<Self> {
        let chain = Chain::of(&drive.opening.section, &Sector::of(cone)?)?;
        let located = drive.case.located(drive.opening, &sets);
        if located.is_none() && sets.iter().any(|&j| drive.case.is_structure(j)) {
            return None;
        }
        let section = &drive.opening.section;
        let hung: Vec<HungPlace> =
            drive.case.site.hung_loads.iter().map(|load| HungPlace::of(load, section)).collect();
        let mut groups = located_groups(drive.groups, located.as_ref());
        let of_stretch = || {
            let all = drive.case.patterns.len()..drive.case.patterns.len() + drive.case.local.len();
            drive.stretch_m.map(|_| all.collect())
        };
        let reaching: Vec<usize> =
            located.map(|l| reaching(&drive, &chain, &l)).or_else(of_stretch).unwrap_or_default();
        let drilled = (!reaching.is_empty()).then(|| Drilled {
            patterns: drive
                .case
                .patterns
                .iter()
                .chain(drive.case.local.iter().map(LocalBolts::pattern))
                .cloned()
                .collect(),
            layouts: drive.all_layouts(),
        });
        match (located, drive.stretch_m) {
            (Some(located), stretch_m) if located.has_chainage() || stretch_m.is_none() => {
                // In a stretch a piece has its chainage whether bolts reach it or not: elsewhere it is none.
                if drilled.is_some() || stretch_m.is_some() {
                    groups.push(PhaseGroup::local(reaching, located));
                }
            }
            (_, Some((from_m, to_m))) => groups.push(PhaseGroup::over_stretch(reaching, to_m - from_m)),
            (_, None) => {}
        }
        let mut seat = Self {
            frontier: Frontier::new(chain, cone, limits),
            groups,
            drilled,
            drive,
            sets,
            cone: *cone,
            located,
            hung,
            shaken: drive.shaken(sets, &cone.inward, &Vec3::zeros()),
        };
        let marks_m = seat.marks_m();
        seat.frontier = seat.frontier.marked(marks_m);
        seat.shake_wet();
        Some(seat)
    }

    /// The worst direction of shaking is that of the pyramid's largest wedge with its water: what water presses does
    /// not grow as the weight does.
    fn shake_wet(&mut self) {
        let worst = self.shaken.is_some_and(|shaken| shaken.is_worst);
        if worst
            && self.drive.case.site.pressing().is_some()
            && let Some(largest) = self.largest()
            && let Some(water) = self.water(&largest.shown)
        {
            let foot = &largest.shown;
            let hung_kn = self.stability_under(foot, None, None).hung().kn;
            let heavy_kn = self.volume_m3(foot) * self.drive.case.unit_weight_kn_m3 + hung_kn;
            let per_kn = water.resultant_kn(&self.cone.inward) / heavy_kn;
            self.shaken = self.drive.shaken(self.sets, &self.cone.inward, &per_kn);
        }
    }

    /// As [`Seat::of`], of a wedge that was checked, under the caps of the drive's case.
    pub fn of_wedge(drive: Drive<'s>, wedge: &CheckedWedge) -> Option<Self> {
        let Wedge { sets, cone, .. } = &wedge.wedge;
        Self::of(drive, *sets, cone, &limits(drive.case, *sets))
    }

    /// As [`Seat::of`], under the caps of the case.
    pub fn of_candidate(drive: Drive<'s>, candidate: &Candidate) -> Option<Self> {
        Self::of(drive, candidate.sets, &candidate.cone, &candidate.limits)
    }

    /// The same pyramid under other caps.
    pub fn under(&self, limits: &Limits) -> Self {
        let frontier = Frontier::new(*self.chain(), &self.cone, limits).marked(self.marks_m());
        Self { frontier, ..self.clone() }
    }

    /// Where hung loads come onto the chain: a search over the wedges has to look on either side.
    fn marks_m(&self) -> Vec<f64> {
        let perimeter_m = self.drive.opening.section.perimeter_m();
        let chain = self.chain();
        self.hung
            .iter()
            .map(|place| (place.along_m - chain.offset_m()).rem_euclid(perimeter_m))
            .filter(|&m| m < chain.length_m())
            .collect()
    }

    pub fn cone(&self) -> &Cone {
        &self.cone
    }

    pub fn chain(&self) -> &Chain<'s> {
        self.frontier.chain()
    }

    /// The wedges that the caps leave.
    pub fn frontier(&self) -> &Frontier<'s> {
        &self.frontier
    }

    /// Where structures put its wedges; `None` where all its joints are of sets.
    pub fn located(&self) -> Option<&Located> {
        self.located.as_ref()
    }

    /// Whether a wedge of it may lie between two chainages, metres: anywhere where structures give it none.
    pub fn may_lie_between(&self, (from_m, to_m): (f64, f64)) -> bool {
        let Some(located) = self.located.filter(Located::has_chainage) else { return true };
        let (first_m, last_m) = chainages_m(self.chain(), &located);
        first_m <= to_m && from_m <= last_m
    }

    /// Whether there are bolts to hold its wedges against.
    pub fn has_bolts(&self) -> bool {
        !self.groups.is_empty()
    }

    /// Whether structures leave its apex a line or a point of the section.
    pub fn is_held_across(&self) -> bool {
        self.located.is_some_and(|l| l.across != Across::Anywhere)
    }

    /// The line of the section that structures hold apexes on: a point of it and its direction.
    pub fn apexes_on(&self) -> Option<(Vec2, Vec2)> {
        match self.located?.across {
            Across::OnLine { through, along } => Some((through, along)),
            Across::Anywhere | Across::At(_) => None,
        }
    }

    /// Chainage of the apex of the wedge with this footprint, metres; `None` where it may be any.
    pub fn chainage_m(&self, foot: &Footprint) -> Option<f64> {
        self.located.and_then(|l| l.chainage_m(&foot.apex))
    }

    pub fn volume_m3(&self, foot: &Footprint) -> f64 {
        self.chain().volume_m3(foot)
    }

    pub fn shape(&self, foot: &Footprint) -> Shape {
        Shape::new(&self.drive.opening.section, self.chain(), &self.cone, foot)
    }

    /// The factor of safety that the case asks of its wedges, of which this one moves so; `None` where none moves.
    /// Where water presses, smaller wedges may move otherwise: then all are asked the more, as far as even places and
    /// sizes tell how they move.
    pub fn criterion_fs(&self, mode: Mode) -> Option<f64> {
        let case = self.drive.case;
        let own = criterion_fs(case, mode);
        if case.site.pressing().is_none() || self.is_held_across() {
            return own;
        }
        let least_m3 = LEAST_VOLUME_M3.max(case.criteria.scaling_up_to_m3.unwrap_or(0.0));
        // Whatever the caps: a lower one must not lower what is asked.
        let free = self.under(&Limits::default());
        let (falls, slides) = ways_of(&free.frontier, least_m3, &|foot| self.stability(foot));
        let falling = falls.then_some(case.criteria.min_fs_falling);
        let sliding = slides.then_some(case.criteria.min_fs_sliding);
        [own, falling, sliding].into_iter().flatten().reduce(f64::max)
    }

    /// What water does to its wedges of any size; `None` without.
    pub fn on_pieces(&self) -> Option<OnPieces<'s>> {
        let Drive { case, opening, .. } = self.drive;
        let water = case.site.pressing()?;
        Some(OnPieces {
            water,
            acts_on: self.sets.map(|s| water.acts_on(s)),
            up: opening.frame.to_local(&Vec3::z()),
            pull: pull(&opening.frame, self.shaken.as_ref()),
            unit_weight_kn_m3: case.unit_weight_kn_m3,
            strengths: self.sets.map(|s| case.joints[s].strength),
            asked_fs: [case.criteria.min_fs_falling, case.criteria.min_fs_sliding],
        })
    }

    /// How the case's shaking acts on its wedges.
    pub fn shaken(&self) -> Option<Shaken> {
        self.shaken
    }

    /// The equilibrium without support of the wedge with this footprint.
    pub fn stability(&self, foot: &Footprint) -> Stability {
        self.stability_under(foot, self.shaken.as_ref(), self.water(foot))
    }

    /// The same without the case's shaking; `None` where it has none.
    pub fn at_rest(&self, foot: &Footprint) -> Option<AtRest> {
        self.shaken?;
        Some(AtRest::of(&self.stability_under(foot, None, self.water(foot))))
    }

    /// The same without the case's water and its shaking; `None` where it has no water.
    pub fn dry(&self, foot: &Footprint) -> Option<AtRest> {
        self.drive.case.site.water.as_ref()?;
        Some(AtRest::of(&self.stability_under(foot, None, None)))
    }

    /// What the case's stress does to the wedge with this footprint, whose equilibrium without it this is; `None` without
    /// stress, and where it does not move.
    pub fn stressed(&self, foot: &Footprint, stability: &Stability, accuracy: Accuracy) -> Option<Stressed> {
        let Drive { case, opening, stress, .. } = self.drive;
        let rock = case.site.stress.as_ref()?;
        let around = stress?.under(&rock.far, &opening.frame, rock.poisson);
        let strengths = self.sets.map(|s| case.joints[s].strength);
        Stressed::of((rock, &around, accuracy), &self.shape(foot), &self.cone.inward, &strengths, stability)
    }

    /// What stress does to the wedge with this footprint, told as for [`AskedPiece`].
    pub fn under_stress(&self, foot: &Footprint, stability: &Stability) -> PieceUnderStress {
        if self.drive.case.site.stress.is_none() || stability.motion.mode == Mode::NoMotion {
            return PieceUnderStress::Unharmed;
        }
        self.stressed(foot, stability, Accuracy::Quick)
            .map_or(PieceUnderStress::NotFound, |s| s.found(stability))
    }

    /// The wedge with this footprint losing what stress takes; as it is where that is nothing, or was not found.
    pub fn stability_with_stress(&self, foot: &Footprint) -> Stability {
        let stability = self.stability(foot);
        match self.under_stress(foot, &stability) {
            PieceUnderStress::Harmed(loss) => stability.losing(loss),
            PieceUnderStress::Unharmed | PieceUnderStress::NotFound => stability,
        }
    }

    /// The pieces that are asked what stress does to them, besides the largest: of each of [`ASKED_STARTS`] places at which
    /// start rays daylight the widest wedge that caps leave, and wedges of [`ASKED_SHARES`] of its width. None where
    /// structures hold apexes on a line or at a point.
    pub fn asked_under_stress(&self) -> Vec<AskedPiece> {
        if self.is_held_across() {
            return Vec::new();
        }
        let (from_m, to_m) = self.frontier.span_m();
        let starts = (0..ASKED_STARTS).map(|k| from_m + (to_m - from_m) * k as f64 / ASKED_STARTS as f64);
        let widest = starts.filter_map(|start_m| self.frontier.widest(start_m));
        let pieces = widest.flat_map(|widest| {
            let [start_m, _, end_m] = widest.along_m;
            ASKED_SHARES.map(|share| self.chain().footprint(start_m, start_m + share * (end_m - start_m)))
        });
        pieces
            .map(|foot| (foot, self.volume_m3(&foot)))
            .filter(|(_, volume_m3)| *volume_m3 >= LEAST_VOLUME_M3)
            .map(|(foot, volume_m3)| {
                let found = self.under_stress(&foot, &self.stability(&foot));
                AskedPiece { foot, volume_m3, found }
            })
            .collect()
    }

    /// What water presses onto the wedge with this footprint.
    fn water(&self, foot: &Footprint) -> Option<WaterForces> {
        self.drive.case.site.pressing()?;
        let chain = self.chain();
        let apex = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let depth_m = chain.depth_m(&foot.apex).0;
        self.drive.water_on(self.sets, depth_m, &apex, |plane, visit| {
            chain.fan(&self.cone, foot, plane, visit);
        })
    }

    fn stability_under(
        &self,
        foot: &Footprint,
        shaken: Option<&Shaken>,
        water: Option<WaterForces>,
    ) -> Stability {
        let perimeter_m = self.drive.opening.section.perimeter_m();
        let hung = hung_on(&self.hung, self.chain(), &self.cone, foot, perimeter_m, self.chainage_m(foot));
        let measured = (self.volume_m3(foot), || self.chain().joint_areas_m2(&self.cone, foot));
        self.drive.equilibrium(self.sets, self.cone.inward, measured, hung, shaken, water)
    }

    /// The largest admissible wedge, where structures leave it.
    pub fn largest(&self) -> Option<Admissible> {
        self.largest_of(&self.frontier)
    }

    /// The largest one of a part of [`Seat::frontier`].
    pub fn largest_of(&self, frontier: &Frontier) -> Option<Admissible> {
        let section = &self.drive.opening.section;
        let offset_m = self.chain().offset_m();
        match self.located.map(|l| l.across) {
            None | Some(Across::Anywhere) => frontier.largest(|m| section.arc_from_crown_m(offset_m + m)),
            Some(Across::OnLine { through, along }) => frontier.largest_on_line(&through, &along),
            Some(Across::At(apex)) => frontier.at(&apex),
        }
    }

    /// The largest wedge without any cap, where structures leave it.
    pub fn uncapped(&self) -> Option<Footprint> {
        if self.is_held_across() {
            self.under(&Limits::default()).largest().map(|found| found.shown)
        } else {
            Some(self.chain().largest())
        }
    }

    /// Its wedges among the bolts of the case, as drawn. Other bolts, layouts or a part of the
    /// frontier may be put in their place.
    pub fn positions(&self) -> Positions<'_> {
        let (patterns, layouts) = match &self.drilled {
            None => (&self.drive.case.patterns[..], self.drive.layouts),
            Some(all) => (&all.patterns[..], &all.layouts[..]),
        };
        Positions {
            frontier: &self.frontier,
            cone: &self.cone,
            perimeter_m: self.drive.opening.section.perimeter_m(),
            patterns,
            layouts,
            bolts: &self.drive.case.bolts,
            groups: &self.groups,
        }
    }

    /// As [`Seat::positions`], with other layouts of the same bolts: those of the drive, then of what stands
    /// at known chainages alone.
    pub fn positions_of<'p>(&'p self, layouts: &'p [Layout]) -> Positions<'p> {
        let own = self.positions();
        // What cannot reach a wedge is not looked at.
        Positions { layouts: &layouts[..own.layouts.len()], ..own }
    }

    /// The worst placement of wedges that are equally admissible.
    pub fn place(&self, positions: &Positions, admissible: &Admissible) -> Placement {
        place(positions, admissible, &|foot| self.stability(foot))
    }

    /// The equally admissible wedge whose start ray daylights at a place of the chain.
    pub fn equal_at(&self, place_m: f64, admissible: &Admissible) -> Option<Footprint> {
        let least_m3 = ADMISSIBLE_SHARE * admissible.volume_m3;
        self.frontier.widest(place_m).filter(|foot| self.volume_m3(foot) >= least_m3)
    }

    /// Of the equally admissible wedges the one that most hangs from, among as many places across each
    /// band as the search for bolts begins with and a hair on either side of where a load comes onto the
    /// face; the one to show where nothing hangs.
    pub fn most_hung(&self, admissible: &Admissible) -> Footprint {
        if self.hung.is_empty() {
            return admissible.shown;
        }
        let kn_on = |foot: &Footprint| self.stability(foot).hung().kn;
        let mut best = (admissible.shown, kn_on(&admissible.shown));
        let hair = HAIR_SHARE * self.chain().length_m();
        for band in &admissible.bands {
            let even = (0..=HUNG_PLACES)
                .map(|i| band.from_m + (band.to_m - band.from_m) * i as f64 / HUNG_PLACES as f64);
            let beside = self.frontier.marks_m().iter().flat_map(|m| [m - hair, m + hair]);
            for place_m in even.chain(beside).filter(|m| (band.from_m..=band.to_m).contains(m)) {
                if let Some(foot) = self.equal_at(place_m, admissible) {
                    let kn = kn_on(&foot);
                    if kn > best.1 {
                        best = (foot, kn);
                    }
                }
            }
        }
        best.0
    }
}

/// Of what stands at known chainages alone what has a ring where the face of a wedge of this chain can be,
/// by its place behind the patterns of the drive; nothing for wedges that may be anywhere along it.
///
/// No wedge of the chain is longer than the largest, and every apex lies between that one's and the
/// perimeter, so that its chainage lies among theirs.
fn reaching(drive: &Drive, chain: &Chain, located: &Located) -> Vec<usize> {
    let (from_m, to_m) = chainages_m(chain, located);
    let reaches = |bolts: &LocalBolts| {
        let step_m = bolts.pattern().ring_spacing_m;
        let first = ((from_m - bolts.from_m()) / step_m).ceil().max(0.0);
        first < f64::from(bolts.rings()) && bolts.from_m() + first * step_m <= to_m
    };
    let local = drive.case.local.iter().enumerate().filter(|(_, bolts)| reaches(bolts));
    local.map(|(at, _)| drive.case.patterns.len() + at).collect()
}

/// Chainages between which every wedge of a pyramid lies that structures give one, metres; nothing between them where
/// they give none.
fn chainages_m(chain: &Chain, located: &Located) -> (f64, f64) {
    let largest = chain.largest();
    let length_m = chain.extent_along_drive_m(&largest);
    let ends = chain.vertices().iter().chain([&largest.apex]).filter_map(|at| located.chainage_m(at));
    let (from_m, to_m) =
        ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), m| (low.min(m), high.max(m)));
    (from_m - length_m, to_m + length_m)
}

/// Whether caps leave a wedge of a pyramid as it is, without all that a [`Seat`] finds out besides.
pub(super) fn caps_leave(chain: Chain<'_>, cone: &Cone, limits: &Limits, foot: &Footprint) -> bool {
    *limits == Limits::default() || Frontier::new(chain, cone, limits).admits(foot)
}

/// The factor of safety that a case asks of a wedge that moves so; `None` where it does not move.
pub(super) fn criterion_fs(case: &Case, mode: Mode) -> Option<f64> {
    match mode {
        Mode::Falling => Some(case.criteria.min_fs_falling),
        Mode::SlidingOnOne(_) | Mode::SlidingOnTwo(..) => Some(case.criteria.min_fs_sliding),
        Mode::NoMotion => None,
    }
}
