//! What joints hold under stress, by hand from their forces.

use super::sheet::{Sheet, num, vector};
use crate::report::paper::numbers::{fixed, shortest};

impl Sheet<'_> {
    /// Nothing where the case has no stress, or where the wedge was not asked.
    pub(super) fn with_stress(&mut self) {
        let (Some(rock), Some(stressed)) = (&self.case.site.stress, &self.largest.found.stressed) else {
            return;
        };
        let (wedge, motion) = (&self.largest.wedge, &self.largest.wedge.stability.motion);
        self.line("");
        self.line(format!(
            "**With stress** (counts where it takes from what holds; clamping decides nothing): the largest wedge of the pyramid, {} m³, apex at s = 0. What elastic stress brings to each joint, N into the wedge and S along the joint; the three forces add up to none.",
            num(wedge.shape.volume_m3)
        ));
        self.line("");
        self.line("| joint | A_m2 | N_kn | S_kn | force_u_kn | force_s_kn | force_v_kn |");
        self.line("|---|---|---|---|---|---|---|");
        let name = |i: usize| self.case.joints[wedge.sets[i]].name.clone();
        let elastic: Vec<String> = (0..3)
            .map(|i| {
                let force = &stressed.elastic[i];
                let whole = wedge.cone.inward[i] * force.normal_kn + force.shear_kn;
                format!(
                    "| {} | {} | {} | {} | {} |",
                    name(i),
                    num(force.area_m2),
                    num(force.normal_kn),
                    num(force.shear_kn.norm()),
                    vector(&whole)
                )
            })
            .collect();
        let held: Option<Vec<String>> = stressed.clamped.as_ref().map(|clamped| {
            let row = |i: usize| {
                let (normal, shear) = (clamped.normal_kn[i], clamped.shear_kn[i]);
                let strength = &self.case.joints[wedge.sets[i]].strength;
                let limit = if normal > 0.0 {
                    strength.cohesion_kpa * stressed.elastic[i].area_m2 + normal * strength.tan_friction()
                } else {
                    0.0
                };
                format!(
                    "| {} | {} | {} | {} | {} |",
                    name(i),
                    num(normal),
                    num(shear.norm()),
                    num(limit),
                    vector(&(wedge.cone.inward[i] * normal + shear))
                )
            };
            (0..3).map(row).collect()
        });
        elastic.iter().for_each(|row| self.line(row));
        self.line("");
        let (Some(held), Some(clamped)) = (held, &stressed.clamped) else {
            self.line(
                "No balance of its joints was found under them: nothing is said of its factor with stress.",
            );
            return;
        };
        self.line(format!(
            "Moved out against joints as springs (kn/ks = {}) that open, or slip where S reaches c·A + N tan φ, they hold most along the movement with:",
            shortest(rock.stiffness_ratio)
        ));
        self.line("");
        self.line("| joint | N_kn | S_kn | c·A + N tan φ kN | force_u_kn | force_s_kn | force_v_kn |");
        self.line("|---|---|---|---|---|---|---|");
        held.iter().for_each(|row| self.line(row));
        self.line(format!("| movement d | | | | {} |", vector(&motion.direction)));
        self.line("");
        self.line(format!(
            "Resistance = −Σ force·d = {} kN. FS with stress = {} / {} = {}",
            num(clamped.resistance_kn),
            num(clamped.resistance_kn),
            num(clamped.driving_kn),
            fixed(clamped.fs(), 4)
        ));
    }
}
