//! The wedges of one draw: every pyramid of every triple against the whole section.

use rand_chacha::ChaCha8Rng;

use super::draw::{Drawing, Drawn, uniform};
use super::fast::{Largest, Tables, tangents};
use crate::case::{Case, JointKind};
use crate::numeric::triples;
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::stability::{Mode, Motion, Stability};
use crate::study::LEAST_VOLUME_M3;
use crate::study::LONGEST_PLACED_M;
use crate::study::forces::Ground;
use crate::study::seat::{Drive, Seat, caps_leave, criterion_fs};
use crate::study::shaken::pull;
use crate::study::wedges::limits;
use crate::support::{Bolting, BoltingScratch, FacedWedge, RingScratch, Rings, force_needed_kn};
use crate::wedge::{
    AXIS_TOLERANCE, Chain, Cone, Footprint, JointPyramid, Limits, Sector, THIN_TRIPLE_SR,
    smallest_solid_angle_sr,
};

/// A wedge of a draw that can move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnWedge {
    /// Which triple, counted in the order of the joints, times 8, and which of its pyramids, in the order of
    /// [`JointPyramid::all`].
    pub pyramid: usize,
    /// Whether its face shows on each surface, in the order of [`crate::opening::Surface::ALL`].
    pub shows_on: [bool; 5],
    /// How it moves.
    pub mode: Mode,
    /// Volume of the largest admissible wedge, cubic metres.
    pub volume_m3: f64,
    /// Its weight, kN.
    pub weight_kn: f64,
    /// Factor of safety without support.
    pub fs_bare: f64,
    /// With bolts, forces alone, at the worst place along the drive and of the equally admissible wedges;
    /// `None` without bolts, and where it is too long to be held against them.
    pub fs_bolted: Option<f64>,
    /// With bolts at one place along the drive, each without effect at the case's chance; `None` where the
    /// case has none, as for `fs_bolted`, and where more than one wedge is equally admissible.
    pub fs_somewhere: Option<f64>,
    /// Force against the movement that the criterion asks of support, kN.
    pub needed_kn: f64,
    /// The same over the wedge's face, kPa.
    pub needed_kpa: f64,
}

/// What is the same in every draw.
#[derive(Debug)]
pub(super) struct Eyes<'a> {
    ground: &'a Ground,
    /// Triples of joints, in their order.
    triples: Vec<[usize; 3]>,
    /// Whether no structure, hung load, water, stress, bolt at a chainage or search for the worst shaking asks for more
    /// than the largest wedge of each pyramid.
    plain: bool,
    /// The section as the fast way needs it, and the force on unit weight.
    tables: Tables,
    /// The bolts where rows can be laid out once for all draws.
    rings: Option<Rings>,
}

/// Room for the wedges of one draw.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    tan_friction: Vec<f64>,
    rings: RingScratch,
}

/// Numbers that say which bolts of a draw are without effect; begun only where they are asked for.
pub(super) struct Bolts<'a> {
    drawing: &'a Drawing<'a>,
    index: u64,
    rng: Option<ChaCha8Rng>,
}

impl<'a> Bolts<'a> {
    pub fn new(drawing: &'a Drawing<'a>, index: u64) -> Self {
        Self { drawing, index, rng: None }
    }

    fn next(&mut self) -> f64 {
        uniform(self.rng.get_or_insert_with(|| self.drawing.bolts(self.index)))
    }
}

impl<'a> Eyes<'a> {
    pub fn new(case: &Case, ground: &'a Ground) -> Self {
        let sets = case.joints.iter().all(|j| j.kind == JointKind::Set);
        let still = case.site.shaking.as_ref().is_none_or(|s| s.trend_deg.is_some());
        let dry = case.site.pressing().is_none();
        let unstressed = case.site.stress.is_none();
        let plain =
            sets && still && dry && unstressed && case.local.is_empty() && case.site.hung_loads.is_empty();
        // Towards one azimuth shaking is the same for every wedge.
        let shaken = case.site.shaking.as_ref().and_then(|_| {
            let inward = [Vec3::x(), Vec3::y(), Vec3::z()];
            plain.then(|| ground.drive(case).shaken([0, 1, 2], &inward, &Vec3::zeros())).flatten()
        });
        let pull = pull(&ground.opening.frame, shaken.as_ref());
        let drive = ground.drive(case);
        Self {
            ground,
            triples: triples(case.joints.len()),
            plain,
            tables: Tables::new(&ground.opening, pull),
            rings: Rings::of(
                &case.patterns,
                drive.layouts,
                &case.bolts,
                drive.groups,
                ground.opening.section.perimeter_m(),
            ),
        }
    }

    /// Triples of joints, in their order.
    pub fn triples(&self) -> &[[usize; 3]] {
        &self.triples
    }

    /// Calls `visit` with every wedge of a draw that can move, triples and pyramids in their order. `case` has
    /// the numbers of the draw. `general` asks every wedge in the way of a check, whatever it is.
    pub fn each_wedge(
        &self,
        (case, drawn): (&Case, &Drawn),
        (bolts, room): (&mut Bolts<'_>, &mut Scratch),
        general: bool,
        mut visit: impl FnMut(DrawnWedge),
    ) {
        let drive = self.ground.drive(case);
        let mut scratch = BoltingScratch::default();
        let Scratch { tan_friction, rings: room } = room;
        let rings = self.rings.as_ref();
        tangents(case, tan_friction);
        for (t, sets) in self.triples.iter().enumerate() {
            // Written out: this runs for every draw, and what is written out is inlined.
            let [a, b, c] = *sets;
            let upward = [drawn.upward[a], drawn.upward[b], drawn.upward[c]];
            let limits = limits(case, *sets);
            if self.plain && !general && limits == Limits::default() {
                let holds = sets.iter().any(|s| case.joints[*s].strength.cohesion_kpa > 0.0);
                let done = self.tables.each_largest(&upward, holds, &mut |largest| {
                    let of = Fast { drive, rings, sets: *sets, upward: &upward, tan_friction };
                    if let Some(mut wedge) = of.wedge(largest, bolts, (&mut scratch, room)) {
                        wedge.pyramid = 8 * t + largest.pyramid;
                        visit(wedge);
                    }
                });
                if done {
                    continue;
                }
            }
            if smallest_solid_angle_sr(&upward) < THIN_TRIPLE_SR {
                continue;
            }
            for (p, pyramid) in JointPyramid::all().into_iter().enumerate() {
                let one = One { drive, rings, sets: *sets, limits, cone: Cone::new(&upward, pyramid) };
                let found = if self.plain && !general {
                    one.plainly(bolts, (&mut scratch, room))
                } else {
                    one.seated(bolts)
                };
                if let Some(mut wedge) = found {
                    wedge.pyramid = 8 * t + p;
                    visit(wedge);
                }
            }
        }
    }
}

/// A wedge that the fast way found.
struct Fast<'a, 'd> {
    drive: Drive<'a>,
    rings: Option<&'d Rings>,
    sets: [usize; 3],
    upward: &'d [Vec3; 3],
    tan_friction: &'d [f64],
}

impl<'a> Fast<'a, '_> {
    fn wedge(
        &self,
        largest: &Largest,
        bolts: &mut Bolts<'_>,
        room: (&mut BoltingScratch<'a>, &mut RingScratch),
    ) -> Option<DrawnWedge> {
        let case = self.drive.case;
        let asked = criterion_fs(case, largest.mode)?;
        let weight_kn = largest.volume_m3 * case.unit_weight_kn_m3;
        let driving_kn = largest.driving * weight_kn;
        let mut resistance_kn = 0.0;
        for i in 0..3 {
            if largest.normal[i] > 0.0 {
                let joint = self.sets[i];
                resistance_kn += case.joints[joint].strength.cohesion_kpa * largest.areas_m2[i]
                    + largest.normal[i] * weight_kn * self.tan_friction[joint];
            }
        }
        let needed_kn = (asked * driving_kn - resistance_kn).max(0.0);
        let on = &largest.on_m2;
        let area_m2 = on[0] + on[1] + on[2] + on[3] + on[4];
        let least_m2 = SURFACE_SHARE * area_m2;
        let shows = |at: usize| on[at] > least_m2;
        let (fs_bolted, fs_somewhere) = if self.drive.groups.is_empty() {
            (None, None)
        } else {
            self.bolted(largest, weight_kn, bolts, room)
        };
        Some(DrawnWedge {
            pyramid: 0,
            shows_on: [shows(0), shows(1), shows(2), shows(3), shows(4)],
            mode: largest.mode,
            volume_m3: largest.volume_m3,
            weight_kn,
            fs_bare: resistance_kn / driving_kn,
            fs_bolted,
            fs_somewhere,
            needed_kn,
            needed_kpa: needed_kn / area_m2,
        })
    }

    /// With bolts: at the worst place, and at one with some of them without effect.
    fn bolted(
        &self,
        largest: &Largest,
        weight_kn: f64,
        bolts: &mut Bolts<'_>,
        room: (&mut BoltingScratch<'a>, &mut RingScratch),
    ) -> (Option<f64>, Option<f64>) {
        let case = self.drive.case;
        if !can_place(case, largest.length_m) {
            return (None, None);
        }
        let [a, b, c] = self.sets;
        let signs = largest.sides();
        let inward = [self.upward[0] * signs[0], self.upward[1] * signs[1], self.upward[2] * signs[2]];
        let [on_a, on_b, on_c] = largest.normal;
        let motion = Motion {
            mode: largest.mode,
            direction: largest.direction,
            driving_kn: largest.driving * weight_kn,
            normal_kn: [on_a * weight_kn, on_b * weight_kn, on_c * weight_kn],
        };
        let tan_friction = [self.tan_friction[a], self.tan_friction[b], self.tan_friction[c]];
        let cohesion = |joint: usize, m2: f64| case.joints[joint].strength.cohesion_kpa * m2;
        let [on_a, on_b, on_c] = largest.areas_m2;
        let cohesion_kn = [cohesion(a, on_a), cohesion(b, on_b), cohesion(c, on_c)];
        let stability = Stability::of_parts(motion, inward, tan_friction, cohesion_kn);
        let [from_m, length_m] = largest.face_m;
        let [u_m, v_m] = largest.apex;
        let face = FacedWedge { inward: &inward, apex: Vec2::new(u_m, v_m), from_m, length_m };
        let least = self.rings.and_then(|rings| rings.least_fs(&face, &case.bolts, &stability, room.1));
        if least.is_some() && case.installation.ineffective_share.is_none() {
            return (least, None);
        }
        let cone = Cone::new(self.upward, JointPyramid::all()[largest.pyramid]);
        let one = One { drive: self.drive, rings: None, sets: self.sets, limits: Limits::default(), cone };
        let chain = Sector::of(&cone).and_then(|sector| Chain::of(&self.drive.opening.section, &sector));
        let Some(chain) = chain else { return (None, None) };
        let foot = chain.largest();
        let least = least.unwrap_or_else(|| one.least((&chain, &foot), &stability, room));
        (Some(least), one.somewhere(&chain, &foot, &stability, bolts))
    }
}

/// One pyramid of a draw.
struct One<'a> {
    drive: Drive<'a>,
    rings: Option<&'a Rings>,
    sets: [usize; 3],
    limits: Limits,
    cone: Cone,
}

impl<'a> One<'a> {
    /// As a check does it.
    fn seated(&self, bolts: &mut Bolts<'_>) -> Option<DrawnWedge> {
        let seat = Seat::of(self.drive, self.sets, &self.cone, &self.limits)?;
        let whole = seat.uncapped()?;
        if seat.volume_m3(&whole) < LEAST_VOLUME_M3 {
            return None;
        }
        let admissible = seat.largest().filter(|a| a.volume_m3 >= LEAST_VOLUME_M3)?;
        let shown = seat.stability(&admissible.shown);
        if shown.motion.mode == Mode::NoMotion {
            return None;
        }
        let site = &self.drive.case.site;
        let hangs = !site.hung_loads.is_empty() || site.pressing().is_some();
        let uncapped_m = seat.chain().extent_along_drive_m(&whole);
        let placed = seat.has_bolts() && can_place(self.drive.case, uncapped_m);
        let worst = placed.then(|| seat.place(&seat.positions(), &admissible));
        let stands = match &worst {
            Some(worst) if hangs => worst.foot,
            None if hangs => seat.most_hung(&admissible),
            _ => admissible.shown,
        };
        // Stress takes the same of it whatever its bolts, and nothing where no balance is found.
        let stability = seat.stability_with_stress(&stands);
        let lost = stability.loss().lost_kn / stability.motion.driving_kn;
        let one_alone = placed && seat.located().is_none() && admissible.limited_by.is_empty();
        let somewhere =
            if one_alone { self.somewhere(seat.chain(), &stands, &stability, bolts) } else { None };
        let fs_bolted = worst.map(|w| if lost > 0.0 { w.least_fs - lost } else { w.least_fs });
        self.wedge(seat.chain(), &admissible.shown, &stability, fs_bolted, somewhere)
    }

    /// The same where the largest wedge of the pyramid is the one that counts, the sooner for it.
    fn plainly(
        &self,
        bolts: &mut Bolts<'_>,
        room: (&mut BoltingScratch<'a>, &mut RingScratch),
    ) -> Option<DrawnWedge> {
        let inward = self.cone.inward;
        if inward.iter().any(|m| m.y.abs() <= AXIS_TOLERANCE) {
            return self.seated(bolts);
        }
        let sector = Sector::of(&self.cone)?;
        // What it weighs does not decide how it moves.
        let shaken = self.drive.shaken(self.sets, &inward, &Vec3::zeros());
        if Motion::of(&inward, &pull(&self.drive.opening.frame, shaken.as_ref())).mode == Mode::NoMotion {
            return None;
        }
        let chain = Chain::of(&self.drive.opening.section, &sector)?;
        let whole = chain.largest();
        let volume_m3 = chain.volume_m3(&whole);
        if volume_m3 < LEAST_VOLUME_M3 {
            return None;
        }
        if !caps_leave(chain, &self.cone, &self.limits, &whole) {
            return self.seated(bolts);
        }
        let stability = self.drive.equilibrium(
            self.sets,
            inward,
            (volume_m3, || chain.joint_areas_m2(&self.cone, &whole)),
            Default::default(),
            shaken.as_ref(),
            None,
        );
        let placed =
            !self.drive.groups.is_empty() && can_place(self.drive.case, chain.extent_along_drive_m(&whole));
        let (fs_bolted, fs_somewhere) =
            if placed { self.bolted((&chain, &whole), &stability, bolts, room) } else { (None, None) };
        self.wedge(&chain, &whole, &stability, fs_bolted, fs_somewhere)
    }

    fn bolting(&self) -> Bolting<'a> {
        Bolting {
            perimeter_m: self.drive.opening.section.perimeter_m(),
            patterns: &self.drive.case.patterns,
            layouts: self.drive.layouts,
            bolts: &self.drive.case.bolts,
            groups: self.drive.groups,
        }
    }

    /// With bolts, where one wedge alone is admissible: at the worst place, and at one with some without effect.
    fn bolted(
        &self,
        (chain, foot): (&Chain, &Footprint),
        stability: &Stability,
        bolts: &mut Bolts<'_>,
        room: (&mut BoltingScratch<'a>, &mut RingScratch),
    ) -> (Option<f64>, Option<f64>) {
        let least = self.least((chain, foot), stability, room);
        (Some(least), self.somewhere(chain, foot, stability, bolts))
    }

    /// At the worst place: by rows laid out once where that can be done.
    fn least(
        &self,
        (chain, foot): (&Chain, &Footprint),
        stability: &Stability,
        room: (&mut BoltingScratch<'a>, &mut RingScratch),
    ) -> f64 {
        let face = FacedWedge {
            inward: &self.cone.inward,
            apex: foot.apex,
            from_m: chain.offset_m(),
            length_m: chain.length_m(),
        };
        let bolts = &self.drive.case.bolts;
        let least = self.rings.and_then(|rings| rings.least_fs(&face, bolts, stability, room.1));
        least.unwrap_or_else(|| self.bolting().least_fs((chain, &self.cone, foot), stability, room.0))
    }

    fn somewhere(
        &self,
        chain: &Chain,
        foot: &Footprint,
        stability: &Stability,
        bolts: &mut Bolts<'_>,
    ) -> Option<f64> {
        let share = self.drive.case.installation.ineffective_share?;
        let mut next = || bolts.next();
        Some(self.bolting().fs_somewhere((chain, &self.cone, foot), stability, share, &mut next))
    }

    fn wedge(
        &self,
        chain: &Chain,
        foot: &Footprint,
        stability: &Stability,
        fs_bolted: Option<f64>,
        fs_somewhere: Option<f64>,
    ) -> Option<DrawnWedge> {
        let mode = stability.motion.mode;
        let asked = criterion_fs(self.drive.case, mode)?;
        let volume_m3 = chain.volume_m3(foot);
        let facets = self.drive.opening.section.facets().len();
        let (mut area_m2, mut on_m2) = (0.0, [0.0; 5]);
        chain.face_areas_m2(foot, |k, m2| {
            area_m2 += m2;
            on_m2[self.drive.opening.surface_of(chain.facet_index(k, facets)).place()] += m2;
        });
        let needed_kn = force_needed_kn(stability, asked);
        Some(DrawnWedge {
            pyramid: 0,
            shows_on: on_m2.map(|m2| m2 > SURFACE_SHARE * area_m2),
            mode,
            volume_m3,
            weight_kn: volume_m3 * self.drive.case.unit_weight_kn_m3,
            fs_bare: stability.fs_bare(),
            fs_bolted,
            fs_somewhere,
            needed_kn,
            needed_kpa: needed_kn / area_m2,
        })
    }
}

impl DrawnWedge {
    /// Whether a factor is below what the case asks of a wedge that moves so.
    #[must_use]
    pub fn is_short(&self, case: &Case, fs: f64) -> bool {
        criterion_fs(case, self.mode).is_some_and(|asked| fs < asked)
    }
}

/// Whether a wedge that is so long along the drive without caps is held against bolts.
fn can_place(case: &Case, uncapped_m: f64) -> bool {
    case.limits.max_length_m.map_or(uncapped_m, |m| m.min(uncapped_m)) <= LONGEST_PLACED_M
}

/// As a check has it.
const SURFACE_SHARE: f64 = crate::study::forces::SURFACE_SHARE;
