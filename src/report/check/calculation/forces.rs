//! Weight, mode and what joints alone resist, by hand.

use super::sheet::{Sheet, num, vector};
use crate::orientation::{Line, Vec3};
use crate::report::check::water::model_words;
use crate::report::paper::numbers::{fixed, shortest};
use crate::stability::{Mode, WaterForces, WaterModel};

impl Sheet<'_> {
    fn weight_kn(&self) -> f64 {
        self.shape().volume_m3 * self.case.unit_weight_kn_m3
    }

    pub(super) fn weight_and_mode(&mut self) {
        self.section("5 Weight and mode");
        let weight = self.weight_kn();
        let hung = self.wedge.wedge.hung_kn;
        let down = -self.check.opening.frame.to_local(&Vec3::z()) * (weight + hung);
        let shaken = self.wedge.found.shaken.map(|s| (s, s.share * (weight + hung)));
        let dry = shaken.map_or(down, |(_, kn)| down + kn);
        let water = self.wedge.wedge.stability.water().copied();
        let pressed = water.map(|w| w.vectors_kn(&self.wedge.wedge.cone.inward));
        let force = pressed.map_or(dry, |kn| dry + kn.iter().sum::<Vec3>());
        self.line(format!(
            "W = {} kN/m³ × {} m³ = {} kN.",
            shortest(self.case.unit_weight_kn_m3),
            num(self.shape().volume_m3),
            num(weight)
        ));
        if hung > 0.0 {
            self.line(format!(
                "H = {} kN hang from it. F = W + H = {} kN, downward.",
                num(hung),
                num(weight + hung)
            ));
        }
        if let Some((shaken, _)) = shaken {
            self.line(format!(
                "Shaken towards {}°: a share of the weight, and of what hangs, comes to it. F is the sum.",
                fixed(shaken.trend_deg, 3)
            ));
        }
        if let Some(water) = water {
            self.water(&water);
        }
        self.line("");
        self.line("| force | F_u_kn | F_s_kn | F_v_kn |");
        self.line("|---|---|---|---|");
        if let Some((shaken, kn)) = shaken {
            self.line(format!("| weight | {} |", vector(&down)));
            self.line(format!("| share | {} |", vector(&shaken.share)));
            self.line(format!("| shaking | {} |", vector(&kn)));
        }
        if let Some(kn) = pressed {
            if shaken.is_none() {
                self.line(format!("| weight | {} |", vector(&down)));
            }
            for (i, kn) in kn.iter().enumerate() {
                let row = format!("| water on {} | {} |", self.name(i), vector(kn));
                self.line(row);
            }
        }
        self.line(format!("| F | {} |", vector(&force)));
        self.line("");
        self.line("| joint | F·m kN | |");
        self.line("|---|---|---|");
        for i in 0..3 {
            let product = force.dot(&self.wedge.wedge.cone.inward[i]);
            let says = if product > 0.0 { "leaves it" } else { "presses on it" };
            let row = format!("| {} | {} | {says} |", self.name(i), num(product));
            self.line(row);
        }
        self.line("");
        let sentence = self.mode_sentence();
        self.line(sentence);
        if let Some(slide) = self.wedge.wedge.slide {
            let direction = self.wedge.wedge.stability.motion.direction;
            self.line("");
            self.line("| direction | u | s | v | trend_deg | plunge_deg |");
            self.line("|---|---|---|---|---|---|");
            let Line { trend_deg, plunge_deg } = slide;
            self.line(format!(
                "| movement | {} | {} | {} |",
                vector(&direction),
                if plunge_deg > 90.0 - 1e-6 { "vertical".into() } else { fixed(trend_deg, 3) },
                fixed(plunge_deg, 3)
            ));
        }
    }

    /// What water presses onto each joint face, by hand where the pressure is even or falls from the apex.
    fn water(&mut self, forces: &WaterForces) {
        let Some(water) = self.case.site.water.clone() else { return };
        self.line("");
        self.line(format!(
            "Wet: {}. U is what it presses onto a joint face, along m into the wedge.",
            model_words(&water)
        ));
        let unit = shortest(water.unit_weight_kn_m3);
        self.line(match water.model {
            WaterModel::Pressure { kpa } => format!("U = p·A, p = {} kPa.", shortest(kpa)),
            WaterModel::ApexHead { head_m } => format!(
                "At the apex p = {unit} × {} = {} kPa, at the trace 0: on every triangle of the face a third of it. U = p·A/3.",
                shortest(head_m),
                num(water.unit_weight_kn_m3 * head_m)
            ),
            WaterModel::HeadPerMetre { m_per_m } => format!(
                "At the apex, {} m behind the opening, p = {unit} × {} × {} = {} kPa, at the trace 0: on every triangle of the face a third of it. U = p·A/3.",
                num(self.shape().depth_m),
                shortest(m_per_m),
                num(self.shape().depth_m),
                num(water.unit_weight_kn_m3 * m_per_m * self.shape().depth_m)
            ),
            WaterModel::Table { level_m } => format!(
                "p = {unit} × (level − height), level {} m above the middle of the floor, 0 above it. U is the sum over the triangles of the face, of the part under water each its area times the mean of its corners.",
                shortest(level_m)
            ),
        });
        self.line("");
        self.line("| joint | A_m2 | U_kn | acts at u_m | s_m | v_m |");
        self.line("|---|---|---|---|---|---|");
        for i in 0..3 {
            let row = format!(
                "| {} | {} | {} | {} |",
                self.name(i),
                num(self.shape().joints[i].area_m2),
                num(forces.kn[i]),
                if forces.kn[i] > 0.0 { vector(&forces.at[i]) } else { "– | – | –".to_owned() }
            );
            self.line(row);
        }
    }

    fn mode_sentence(&self) -> String {
        match self.wedge.wedge.stability.motion.mode {
            Mode::Falling => "All three products are above zero (or touch nothing): the wedge leaves all joints. **Falling**, along F.".into(),
            Mode::SlidingOnOne(i) => format!(
                "Taken along the plane of {0}, F − (F·m)m leaves the other two joints: **sliding on {0}**.",
                self.name(i)
            ),
            Mode::SlidingOnTwo(i, j) => format!(
                "Down the plane of either alone it would run into the other; along their line both are pressed: **sliding on {} and {}**, along their edge.",
                self.name(i),
                self.name(j)
            ),
            Mode::NoMotion => "No direction along a plane or an edge goes with F: **no motion**.".into(),
        }
    }

    /// The same by the law of each joint at the normal stress of its own face: told of the largest wedge.
    fn by_law(&mut self) {
        let Some(by_law) = self.largest.by_law(self.case) else { return };
        self.line("");
        self.line("By the laws of its joints, each at σ = N/A of its own face (beside; the straight line decides), the largest wedge of the pyramid:");
        self.line("");
        self.line(
            "| joint | N_kn | A_m2 | σ kPa | τ of the line kPa | τ of the law kPa | τ·A of the law kN |",
        );
        self.line("|---|---|---|---|---|---|---|");
        let mut sum = 0.0;
        for face in &by_law.faces {
            let name = self.case.joints[self.largest.wedge.sets[face.place]].name.clone();
            sum += face.law_kpa * face.area_m2;
            self.line(format!(
                "| {name} | {} | {} | {} | {} | {} | {} |",
                num(face.normal_kn),
                num(face.area_m2),
                num(face.normal_kpa),
                num(face.line_kpa),
                num(face.law_kpa),
                num(face.law_kpa * face.area_m2)
            ));
        }
        let (driving_kn, by_line) =
            (self.largest.wedge.stability.motion.driving_kn, self.largest.found.fs_bare);
        self.line("");
        self.line(format!(
            "FS bare by law = {} / {} = {}; by the line {}: the straight line costs {} of the factor.",
            num(sum),
            num(driving_kn),
            fixed(by_law.fs_bare, 4),
            fixed(by_line, 4),
            fixed(by_law.line_costs(by_line), 4)
        ));
    }

    pub(super) fn bare(&mut self) {
        let stability = &self.wedge.wedge.stability;
        let motion = &stability.motion;
        self.section("6 Without bolts");
        match motion.mode {
            Mode::NoMotion => self.line("No motion: FS is infinite."),
            Mode::Falling => {
                let text = format!("T = |F| = {} kN, nothing resists: FS bare 0.", num(self.driving_kn()));
                self.line(text);
            }
            _ => {
                self.line("F is written as −N m on the joints it slides on and T along the movement. FS = Σ(c·A + N tan φ) / T.");
                self.line("");
                self.line("| joint | N_kn | tan_friction | c·A_kn | c·A + N tan φ kN |");
                self.line("|---|---|---|---|---|");
                let mut sum = 0.0;
                for i in motion.mode.slides_on() {
                    let set = &self.case.joints[self.wedge.wedge.sets[i]];
                    let normal = motion.normal_kn[i] * self.to_placed();
                    let cohesion = set.strength.cohesion_kpa * self.shape().joints[i].area_m2;
                    let tan = set.strength.tan_friction();
                    sum += cohesion + normal * tan;
                    self.line(format!(
                        "| {} | {} | {} | {} | {} |",
                        set.name,
                        num(normal),
                        num(tan),
                        num(cohesion),
                        num(cohesion + normal * tan)
                    ));
                }
                let driving = self.driving_kn();
                self.line("");
                self.line(format!(
                    "T = {} kN. FS bare = {} / {} = {}",
                    num(driving),
                    num(sum),
                    num(driving),
                    fixed(sum / driving, 4)
                ));
                self.by_law();
            }
        }
    }
}
