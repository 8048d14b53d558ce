//! The gap wedge by hand: where it sits, and why no bolt near it touches it.

use super::sheet::{Sheet, num, vector};
use crate::orientation::Vec3;
use crate::report::paper::numbers::{kn, volume};
use crate::study::{Gap, SizeCurve};

impl Sheet<'_> {
    /// The section on what slips between the bolts.
    pub(super) fn gap(&mut self, curve: Option<&SizeCurve>) {
        self.section("9 What slips between the bolts");
        let Some(curve) = curve else {
            self.line("Sizes are not studied: nothing moves, or no pattern was placed.");
            return;
        };
        let Some(gap) = &curve.gap else {
            self.line(
                "No wedge of this pyramid of a litre or more finds room between the bolts on bolted ground.",
            );
            return;
        };
        let weight = kn(gap.weight_kn);
        self.line(format!(
            "Gap wedge, the largest that some placement lets sit on bolted ground untouched: no collar on its face and no bolt through its body. No untouched one is larger than {} m³, {weight} kN (a search by bounds; the one shown has {} m³).",
            num(gap.volume_m3),
            num(gap.shape.volume_m3)
        ));
        if gap.force_needed_kn > 0.0 {
            self.line(format!("It is the screen's to carry: {weight} kN."));
        } else {
            self.line("Its joints hold it to its criterion alone.");
        }
        self.line("");
        let apex = gap.shape.apex;
        let sum: f64 = gap.shape.openings.iter().map(|o| o.area_m2 * o.height_m / 3.0).sum();
        self.line(format!(
            "Apex: u {} m, s 0 m, v {} m. Σ area × height / 3 over its facets = {} m³.",
            num(apex.x),
            num(apex.z),
            num(sum)
        ));
        self.bolts_round(gap);
        if let Some(pierced) = &curve.pierced {
            self.line("");
            self.line(format!(
                "Up to {} m³, {} kN, a wedge can sit with no collar on its face while bolts pierce its joints; that is not counted on, so the screen has to carry it too.",
                volume(pierced.volume_m3),
                kn(pierced.weight_kn)
            ));
        }
    }

    /// Every bolt whose collar is within a spacing of the wedge, with why it does not touch it.
    fn bolts_round(&mut self, gap: &Gap) {
        self.line("");
        self.line("r: from the apex to the collar. A collar is on the face where m·r ≥ 0 for all three joints; the table gives the least of the three. A bolt c + t d, 0 ≤ t ≤ its length in the hole, is inside the wedge's cone from t_in (the last joint it comes in through) to t_out (the first it goes out through): where t_out is not above t_in it never is. Bolts with their collar within a spacing of the wedge:");
        self.line("");
        self.line("| pattern | ring | collar_u_m | collar_s_m | collar_v_m | least m·r m | on joint | t_in_m | t_out_m |");
        self.line("|---|---|---|---|---|---|---|---|---|");
        let mut rows = 0;
        for (group, &phase_m) in self.check.groups.iter().zip(&gap.wedge.phases_m) {
            for &index in &group.patterns {
                let (pattern, layout) = (&self.case.patterns[index], &self.check.layouts[index]);
                let reach_m = pattern.spacing_m.max(pattern.ring_spacing_m);
                let corners = gap.shape.vertices();
                let (low, high) =
                    corners.iter().fold((f64::MAX, f64::MIN), |x, p| (x.0.min(p.y), x.1.max(p.y)));
                let offset_m = pattern.offset_m.unwrap_or(0.0) - phase_m;
                let first = ((low - reach_m - offset_m) / pattern.ring_spacing_m).ceil() as i64;
                let last = ((high + reach_m - offset_m) / pattern.ring_spacing_m).floor() as i64;
                for ring in first..=last {
                    let turn = i64::from(layout.rings_in_period);
                    for row in layout.rows.iter().filter(|r| i64::from(r.first_ring) == ring.rem_euclid(turn))
                    {
                        let s = offset_m + ring as f64 * pattern.ring_spacing_m;
                        let collar = Vec3::new(row.collar.point.x, s, row.collar.point.y);
                        if corners.iter().all(|p| (p - collar).norm() > reach_m) {
                            continue;
                        }
                        self.bolt_beside(
                            gap,
                            index,
                            ring,
                            &collar,
                            &row.collar.direction,
                            pattern.length_in_hole_m(),
                        );
                        rows += 1;
                    }
                }
            }
        }
        if rows == 0 {
            self.line("| none | | | | | | | | |");
        }
    }

    fn bolt_beside(&mut self, gap: &Gap, pattern: usize, ring: i64, collar: &Vec3, d: &Vec3, length_m: f64) {
        let from_apex = collar - gap.shape.apex;
        let (mut least, mut on) = (f64::INFINITY, 0);
        let (mut t_in, mut t_out) = (0.0f64, length_m);
        for (i, m) in self.wedge.cone.inward.iter().enumerate() {
            let off = m.dot(&from_apex);
            if off < least {
                (least, on) = (off, i);
            }
            let along = m.dot(d);
            if along > 0.0 {
                t_in = t_in.max(-off / along);
            } else if along < 0.0 {
                t_out = t_out.min(-off / along);
            } else if off < 0.0 {
                t_out = f64::NEG_INFINITY;
            }
        }
        let never = t_out <= t_in;
        let bounds = if t_out.is_finite() {
            format!("{} | {}", num(t_in), num(t_out))
        } else {
            " | beside a joint".to_owned()
        };
        let note = if never { "" } else { " (in the cone, but not where the wedge is)" };
        let row = format!(
            "| {} | {ring} | {} | {} | {} | {bounds}{note} |",
            pattern + 1,
            vector(collar),
            num(least),
            self.name(on)
        );
        self.line(row);
    }
}
