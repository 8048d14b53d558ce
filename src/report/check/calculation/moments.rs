//! Rotation by hand: the forces that hold a wedge, summed, and the movement that shows that they
//! can hold no more.

use super::sheet::{Sheet, num, vector};
use crate::orientation::Vec3;
use crate::report::paper::numbers::{factor, fixed};
use crate::stability::{Mechanism, Mode};
use crate::support::RotationPlacement;

/// Forces below this are left out of the tables, kN: they would print as zero.
const NOTHING_KN: f64 = 0.5e-6;

impl Sheet<'_> {
    /// The section on forces and moments together.
    pub(super) fn moments(&mut self) {
        self.section("8 Forces and moments together");
        let Some(found) = self.wedge.rotation_placement() else {
            self.line(match self.wedge.found.fs_rotation {
                Some(fs) => format!(
                    "With moments in balance too, joints without friction, the least load factor over the places of the last ring is {}; it is not followed here. It decides for a falling wedge where it is lower.",
                    factor(fs)
                ),
                None if !matches!(
                    self.wedge.wedge.stability.motion.mode,
                    Mode::Falling | Mode::NoMotion
                ) =>
                {
                    "Moments decide for what falls; this one slides, and they are not balanced.".to_owned()
                }
                None => "Rotation is not checked: nothing moves, or no pattern was placed.".to_owned(),
            });
            return;
        };
        let point = if self.wedge.wedge.stability.water().is_some() {
            "central axis of weight and water"
        } else if self.wedge.wedge.hung_kn > 0.0 {
            "mean of centroid and hung load"
        } else {
            "centroid"
        };
        let stands = if self.wedge.wedge.stability.motion.mode == Mode::Falling {
            "it decides where it is lower than FS with bolts"
        } else {
            "for a sliding wedge it stands beside FS with bolts and decides nothing"
        };
        let sits = if self.is_piece {
            "The wedge sits where it sits in section 7."
        } else {
            "The wedge sits where λ is least over all placements, as a rule elsewhere than in section 7."
        };
        self.line(format!(
            "Joints without friction or cohesion: each corner of a joint face may press on the wedge with some N ≥ 0 along m, each bolt pull with 0 ≤ T ≤ B along d, and F times λ, acting at the {point}, has to be met in forces and in moments. The greatest such λ is the factor of safety with moments; {stands}. {sits}"
        ));
        if !found.least_fs.is_finite() {
            self.line("");
            self.line("Its joints alone can carry any multiple of F: λ has no greatest value.");
            return;
        }
        let force = found.active_kn;
        self.line("");
        self.line(format!(
            "Apex: u {} m, s 0 m, v {} m, chainage {} m. Moments are taken about the {point}.",
            num(found.foot.apex.x),
            num(found.foot.apex.y),
            num(found.chainage_m)
        ));
        self.line("");
        self.line("| | u | s | v |");
        self.line("|---|---|---|---|");
        self.line(format!("| {point}, m | {} |", vector(&found.centroid)));
        self.line(format!("| F, kN | {} |", vector(&force)));
        if found.couple_knm != Vec3::zeros() {
            self.line(format!("| couple besides, kN·m | {} |", vector(&found.couple_knm)));
            self.line("");
            self.line("What water presses acts at the centres of pressure: moved onto one axis, all that acts is F and a couple about it, which grows with F (λ times both).");
        }
        let sum = self.forces(found, &force);
        self.line("");
        self.line(format!(
            "The sums vanish but for rounding and the hair by which the wedge stands off the event that makes it worst (largest part {:.1e} kN, {:.1e} kN·m): with λ = {} every force is met.",
            sum.0.amax(),
            sum.1.amax(),
            fixed(found.balance.load_factor, 6)
        ));
        match &found.balance.mechanism {
            Some(mechanism) => self.mechanism(found, &force, mechanism),
            None => {
                self.line("");
                self.line(
                    "No set of these forces meets any part of F: the wedge is not held against turning at all.",
                );
            }
        }
        self.line("");
        self.line(format!("FS with moments: {}.", factor(found.least_fs)));
    }

    /// The tables of bolts and corners; the sums of forces and of moments about the centroid.
    fn forces(&mut self, found: &RotationPlacement, force: &Vec3) -> (Vec3, Vec3) {
        let (mut forces, mut moments) =
            (force * found.balance.load_factor, found.couple_knm * found.balance.load_factor);
        let mut add = |point: &Vec3, push: Vec3| {
            forces += push;
            moments += (point - found.centroid).cross(&push);
        };
        self.line("");
        self.line("| bolt | pattern | ring | collar_u_m | collar_s_m | collar_v_m | d_u | d_s | d_v | B_kn | T_kn |");
        self.line("|---|---|---|---|---|---|---|---|---|---|---|");
        for (i, (s, &kn)) in found.serving.iter().zip(&found.balance.bolts_kn).enumerate() {
            let collar = Vec3::new(s.point.x, s.chainage_m - found.chainage_m, s.point.y);
            add(&collar, s.direction * kn);
            self.line(format!(
                "| {} | {} | {} | {} | {} | {} | {} |",
                i + 1,
                s.pattern + 1,
                s.ring,
                vector(&collar),
                vector(&s.direction),
                num(s.capacity.kn),
                num(kn)
            ));
        }
        self.line("");
        self.line("Corners that press (apex and the ends of the traces; several ways of sharing may do, this is one):");
        self.line("");
        self.line("| joint | corner_u_m | corner_s_m | corner_v_m | m_u | m_s | m_v | N_kn |");
        self.line("|---|---|---|---|---|---|---|---|");
        for (k, (contact, &kn)) in found.contacts.iter().zip(&found.balance.contacts_kn).enumerate() {
            add(&contact.point, contact.normal * kn);
            if kn > NOTHING_KN {
                self.line(format!(
                    "| {} | {} | {} | {} |",
                    self.name(k / 3),
                    vector(&contact.point),
                    vector(&contact.normal),
                    num(kn)
                ));
            }
        }
        self.line("");
        self.line("| sum of λF, T d and N m | u | s | v |");
        self.line("|---|---|---|---|");
        self.line(format!("| forces, kN | {} |", vector(&forces)));
        self.line(format!("| moments, kN·m | {} |", vector(&moments)));
        (forces, moments)
    }

    /// The movement that no bolts of these capacities can stop at a greater factor.
    fn mechanism(&mut self, found: &RotationPlacement, force: &Vec3, mechanism: &Mechanism) {
        let (t, w) = (mechanism.translation, mechanism.spin_rad_per_m);
        let moves = |point: &Vec3| t + w.cross(&(point - found.centroid));
        self.line("");
        self.line("Why no more: in the movement below, of 1 m along F, no corner goes into its joint, so that joints do no work against it; the bolts that are drawn out (d against the movement) resist with B each. λ times the work of F is that of the bolts.");
        self.line("");
        self.line("| movement | u | s | v |");
        self.line("|---|---|---|---|");
        self.line(format!("| of the centroid, m | {} |", vector(&t)));
        self.line(format!("| turn about it, rad | {} |", vector(&w)));
        self.line("");
        self.line("| bolt | drawn out by m | B × that kN·m |");
        self.line("|---|---|---|");
        let mut work = 0.0;
        for (i, s) in found.serving.iter().enumerate() {
            let collar = Vec3::new(s.point.x, s.chainage_m - found.chainage_m, s.point.y);
            let out_m = (-s.direction.dot(&moves(&collar))).max(0.0);
            work += s.capacity.kn * out_m;
            self.line(format!("| {} | {} | {} |", i + 1, num(out_m), num(s.capacity.kn * out_m)));
        }
        let into_m = found
            .contacts
            .iter()
            .map(|c| -c.normal.dot(&moves(&c.point)))
            .fold(f64::NEG_INFINITY, f64::max)
            .max(0.0);
        let of_force = force.dot(&t) + found.couple_knm.dot(&w);
        self.line("");
        self.line(format!(
            "Deepest that a corner goes into its joint: {} m. λ ≤ {} / {} = {}.",
            num(into_m),
            num(work),
            num(of_force),
            fixed(work / of_force, 4)
        ));
    }
}
