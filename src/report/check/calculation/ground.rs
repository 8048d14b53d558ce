//! What the sheet begins with: the wedge, its frame, its joints.

use super::sheet::{Sheet, num, vector};
use crate::report::check::laws::law_words;
use crate::report::paper::numbers::shortest;

impl Sheet<'_> {
    pub(super) fn heading(&mut self) {
        let surfaces: Vec<&str> = self.wedge.wedge.surfaces.iter().map(|s| s.name()).collect();
        let id = &self.wedge.wedge.id;
        self.line(format!("# Wedge {id} in {}", self.case.title));
        self.line("");
        self.line(format!(
            "On the {}. Verdict: **{}**. North: {}. Metres, kN, kPa, degrees.",
            surfaces.join(" and the "),
            self.wedge.decided.verdict.name(),
            self.case.north
        ));
        self.line("");
        self.line("Theory: Goodman & Shi (1985), block theory; Warburton (1981), vector stability analysis.");
        if self.is_piece {
            self.line(format!(
                "This sheet follows the piece that decides: of all sizes and places the one that is carried least, {} m³. The largest wedge of the pyramid has {} m³ and {} kN.",
                num(self.wedge.wedge.shape.volume_m3),
                num(self.largest.wedge.shape.volume_m3),
                num(self.largest.wedge.weight_kn)
            ));
        } else if !self.wedge.wedge.limited_by.is_empty() {
            let caps: Vec<&str> = self.wedge.wedge.limited_by.iter().map(|c| c.name()).collect();
            self.line(format!(
                "Its size is capped by {}: {} m³ instead of {} m³.",
                caps.join(" and "),
                num(self.wedge.wedge.shape.volume_m3),
                num(self.wedge.wedge.volume_uncapped_m3)
            ));
            if self.wedge.placed_shape().is_some_and(|s| *s != self.wedge.wedge.shape) {
                self.line("This sheet follows the wedge at its worst placement, one of several that are as large within 0.1 %.");
            }
        }
    }

    pub(super) fn frame(&mut self) {
        let frame = &self.check.opening.frame;
        let advance = frame.advance();
        self.section("1 Frame");
        self.line(format!(
            "Advance {} / {} (trend / plunge). u = (cos t, −sin t, 0); s = (sin t cos p, cos t cos p, −sin p); v = u × s.",
            shortest(advance.trend_deg),
            shortest(advance.plunge_deg)
        ));
        self.line("");
        self.line("| axis | east | north | up |");
        self.line("|---|---|---|---|");
        for (axis, v) in [("u", frame.right()), ("s", frame.along()), ("v", frame.up())] {
            self.line(format!("| {axis} | {} |", vector(&v)));
        }
    }

    pub(super) fn joints(&mut self) {
        self.section("2 Joints");
        self.line("Upward normal n = (sin dip sin dd, sin dip cos dd, cos dip) in east, north, up, turned into (u, s, v) by its products with the axes; m = n on the upper side (0), −n on the lower (1), so that m points into the wedge.");
        self.line("");
        self.line(
            "| joint | dip_deg | dip_direction_deg | side | m_u | m_s | m_v | friction_deg | cohesion_kpa |",
        );
        self.line("|---|---|---|---|---|---|---|---|---|");
        for i in 0..3 {
            let set = &self.case.joints[self.wedge.wedge.sets[i]];
            let row = format!(
                "| {} | {} | {} | {} | {} | {} | {} |",
                set.name,
                shortest(set.plane.dip_deg),
                shortest(set.plane.dip_direction_deg),
                u8::from(self.wedge.wedge.pyramid.lower[i]),
                vector(&self.wedge.wedge.cone.inward[i]),
                shortest(set.strength.friction_deg),
                shortest(set.strength.cohesion_kpa)
            );
            self.line(row);
        }
        for i in 0..3 {
            let set = &self.case.joints[self.wedge.wedge.sets[i]];
            if let Some(law) = &set.law {
                self.line("");
                self.line(format!("{}: {}", set.name, law_words(law)));
            }
        }
    }
}
