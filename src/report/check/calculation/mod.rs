//! The calculation sheet of one wedge: every number that its verdict rests on, with the numbers
//! that it was made from, in an order that a pocket calculator can follow.

mod gap;
mod moments;

use std::fmt::Write as _;

use crate::case::Case;
use crate::opening::Surface;
use crate::orientation::{Line, Vec3};
use crate::report::check::installed::installed_lines;
use crate::report::paper::numbers::{factor, fixed, kn, shortest, volume};
use crate::report::words::{CAUTIONS, NO_SOURCE};
use crate::stability::{Mode, Reaction};
use crate::study::{Check, CheckedWedge, SizeCurve};
use crate::support::{Anchorage, Serving};
use crate::wedge::Shape;

/// Decimals of lengths, areas and components.
const DECIMALS: usize = 6;

/// The sheet of one wedge, in Markdown. Vectors are local: u to the right, s along the advance, v
/// up the section; the apex is at s = 0, or the face for a wedge there.
#[must_use]
pub fn calculation_sheet(
    case: &Case,
    check: &Check,
    wedge: &CheckedWedge,
    curve: Option<&SizeCurve>,
) -> String {
    let mut sheet = Sheet { text: String::new(), case, check, wedge };
    sheet.heading();
    sheet.frame();
    sheet.joints();
    sheet.edges();
    sheet.body();
    sheet.weight_and_mode();
    sheet.bare();
    sheet.bolts();
    sheet.moments();
    sheet.gap(curve);
    sheet.installed();
    sheet.verdict();
    sheet.text
}

struct Sheet<'a> {
    text: String,
    case: &'a Case,
    check: &'a Check,
    wedge: &'a CheckedWedge,
}

fn num(value: f64) -> String {
    fixed(if value.abs() < 0.5e-6 { 0.0 } else { value }, DECIMALS)
}

fn vector(v: &Vec3) -> String {
    format!("{} | {} | {}", num(v.x), num(v.y), num(v.z))
}

impl Sheet<'_> {
    fn line(&mut self, text: impl AsRef<str>) {
        self.text.push_str(text.as_ref());
        self.text.push('\n');
    }

    fn section(&mut self, title: &str) {
        let _ = write!(self.text, "\n## {title}\n\n");
    }

    fn name(&self, i: usize) -> &str {
        &self.case.joint_sets[self.wedge.sets[i]].name
    }

    /// The wedge at its worst placement, which the bolts are checked against.
    fn shape(&self) -> &Shape {
        self.wedge.worst_shape()
    }

    fn heading(&mut self) {
        let surfaces: Vec<&str> = self.wedge.surfaces.iter().map(|s| s.name()).collect();
        let id = &self.wedge.id;
        self.line(format!("# Wedge {id} in {}", self.case.title));
        self.line("");
        self.line(format!(
            "On the {}. Verdict: **{}**. North: {}. Metres, kN, kPa, degrees.",
            surfaces.join(" and the "),
            self.wedge.verdict.name(),
            self.case.north
        ));
        self.line("");
        self.line("Theory: Goodman & Shi (1985), block theory; Warburton (1981), vector stability analysis.");
        if !self.wedge.limited_by.is_empty() {
            let caps: Vec<&str> = self.wedge.limited_by.iter().map(|c| c.name()).collect();
            self.line(format!(
                "Its size is capped by {}: {} m³ instead of {} m³.",
                caps.join(" and "),
                num(self.wedge.shape.volume_m3),
                num(self.wedge.volume_uncapped_m3)
            ));
            if self.wedge.placed_shape.as_ref().is_some_and(|s| *s != self.wedge.shape) {
                self.line("This sheet follows the wedge at its worst placement, one of several that are as large within 0.1 %.");
            }
        }
    }

    fn frame(&mut self) {
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

    fn joints(&mut self) {
        self.section("2 Joints");
        self.line("Upward normal n = (sin dip sin dd, sin dip cos dd, cos dip) in east, north, up, turned into (u, s, v) by its products with the axes; m = n on the upper side (0), −n on the lower (1), so that m points into the wedge.");
        self.line("");
        self.line(
            "| joint | dip_deg | dip_direction_deg | side | m_u | m_s | m_v | friction_deg | cohesion_kpa |",
        );
        self.line("|---|---|---|---|---|---|---|---|---|");
        for i in 0..3 {
            let set = &self.case.joint_sets[self.wedge.sets[i]];
            let row = format!(
                "| {} | {} | {} | {} | {} | {} | {} |",
                set.name,
                shortest(set.plane.dip_deg),
                shortest(set.plane.dip_direction_deg),
                u8::from(self.wedge.pyramid.lower[i]),
                vector(&self.wedge.cone.inward[i]),
                shortest(set.strength.friction_deg),
                shortest(set.strength.cohesion_kpa)
            );
            self.line(row);
        }
    }

    fn edges(&mut self) {
        self.section("3 Edges and apex");
        self.line(if self.wedge.surfaces.contains(&Surface::Face) {
            "Edge i = ± mⱼ × mₖ, of unit length, with mᵢ · edge > 0. Each edge from the apex meets the opened drive or its face, at s = 0: the wedge is finite and can leave."
        } else {
            "Edge i = ± mⱼ × mₖ, of unit length, with mᵢ · edge > 0. Seen along the drive each edge meets the opening: the wedge is finite and can leave. The apex is where the lines back along the two outer edges cross in the section."
        });
        self.line("");
        self.line(
            "| edge off | edge_u | edge_s | edge_v | length_m | daylight_u_m | daylight_s_m | daylight_v_m |",
        );
        self.line("|---|---|---|---|---|---|---|---|");
        let apex = self.shape().apex;
        let ends = edge_ends(self.shape(), self.wedge);
        for (i, end) in ends.iter().enumerate() {
            let edge = self.wedge.cone.edges[i];
            let row = format!(
                "| {} | {} | {} | {} |",
                self.name(i),
                vector(&edge),
                num((end - apex).norm()),
                vector(end)
            );
            self.line(row);
        }
        self.line("");
        let depth = num(self.shape().depth_m);
        let length = num(self.shape().length_m);
        self.line(format!(
            "Apex: u {} m, s {} m, v {} m. Depth {depth} m. Length along the drive {length} m.",
            num(apex.x),
            if apex.y == 0.0 { "0".into() } else { num(apex.y) },
            num(apex.z)
        ));
    }

    fn body(&mut self) {
        self.section("4 Faces, volume");
        self.line("Each facet of the opening that the wedge covers is the base of a pyramid with the apex: volume = area × height / 3.");
        self.line("");
        self.line("| facet | surface | area_m2 | height_m | volume_m3 |");
        self.line("|---|---|---|---|---|");
        for face in &self.wedge.worst_shape().openings {
            let row = format!(
                "| {} | {} | {} | {} | {} |",
                face.facet,
                self.check.opening.surface_of(face.facet).name(),
                num(face.area_m2),
                num(face.height_m),
                num(face.area_m2 * face.height_m / 3.0)
            );
            self.line(row);
        }
        self.line(format!(
            "| sum | | {} | | {} |",
            num(self.shape().opening_area_m2()),
            num(self.shape().volume_m3)
        ));
        self.line("");
        self.line("| joint | face_area_m2 | trace_m |");
        self.line("|---|---|---|");
        for i in 0..3 {
            let joint = &self.shape().joints[i];
            let row = format!("| {} | {} | {} |", self.name(i), num(joint.area_m2), num(joint.trace_m));
            self.line(row);
        }
    }

    fn weight_kn(&self) -> f64 {
        self.shape().volume_m3 * self.case.unit_weight_kn_m3
    }

    fn weight_and_mode(&mut self) {
        self.section("5 Weight and mode");
        let weight = self.weight_kn();
        let hung = self.wedge.hung_kn;
        let down = -self.check.opening.frame.to_local(&Vec3::z()) * (weight + hung);
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
        self.line("");
        self.line("| force | F_u_kn | F_s_kn | F_v_kn |");
        self.line("|---|---|---|---|");
        self.line(format!("| F | {} |", vector(&down)));
        self.line("");
        self.line("| joint | F·m kN | |");
        self.line("|---|---|---|");
        for i in 0..3 {
            let product = down.dot(&self.wedge.cone.inward[i]);
            let says = if product > 0.0 { "leaves it" } else { "presses on it" };
            let row = format!("| {} | {} | {says} |", self.name(i), num(product));
            self.line(row);
        }
        self.line("");
        let sentence = self.mode_sentence();
        self.line(sentence);
        if let Some(slide) = self.wedge.slide {
            let direction = self.wedge.stability.motion.direction;
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

    fn mode_sentence(&self) -> String {
        match self.wedge.stability.motion.mode {
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

    fn bare(&mut self) {
        let stability = &self.wedge.stability;
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
                    let set = &self.case.joint_sets[self.wedge.sets[i]];
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
            }
        }
    }

    /// From the wedge as shown to the one at its worst placement: forces go with volume.
    fn to_placed(&self) -> f64 {
        self.shape().volume_m3 / self.wedge.shape.volume_m3
    }

    fn driving_kn(&self) -> f64 {
        self.wedge.stability.motion.driving_kn * self.to_placed()
    }

    fn bolts(&mut self) {
        self.section("7 Bolts at the worst placement");
        let Some(serving) = self.wedge.serving().map(<[Serving]>::to_vec) else {
            self.line(if self.case.patterns.is_empty() {
                "The case has no pattern."
            } else {
                "Nothing moves: no bolt is called on."
            });
            return;
        };
        if let Some(placement) = &self.wedge.placement {
            self.line(format!(
                "Apex at chainage {} m; ring 0 of the first pattern where its offset says (0 m unless given).",
                num(placement.chainage_m)
            ));
            for (group, shift) in self.check.groups.iter().zip(&placement.shifts_m).skip(1) {
                let patterns: Vec<String> = group.patterns.iter().map(|p| (p + 1).to_string()).collect();
                self.line(format!(
                    "Rings of pattern {} stand shifted by {} m.",
                    patterns.join(", "),
                    num(*shift)
                ));
            }
        }
        if let Some(at_face) = &self.wedge.at_face {
            let known = if self.case.last_ring_from_face_m.is_some() {
                "as the case says"
            } else {
                "the worst distance up to one ring spacing, since the case does not say"
            };
            self.line(format!(
                "The last ring of every pattern, ring 0, stands {} m behind the face ({known}); the others behind it.",
                num(at_face.last_ring_m)
            ));
        }
        self.line("");
        for (i, pattern) in self.case.patterns.iter().enumerate() {
            let bolt = &self.case.bolts[pattern.bolt];
            let hold = match bolt.anchorage {
                Anchorage::Bonded { bond_kn_per_m } => {
                    format!("bond {} kN/m", shortest(bond_kn_per_m))
                }
                Anchorage::PointAnchored { anchor_kn, anchor_length_m } => {
                    format!("anchor {} kN over {} m", shortest(anchor_kn), shortest(anchor_length_m))
                }
                Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => {
                    format!(
                        "bond {} kN/m over {} m at the toe",
                        shortest(bond_kn_per_m),
                        shortest(set_length_m)
                    )
                }
            };
            self.line(format!(
                "Pattern {}: {} ({}), in the hole {} m, steel {} kN, {hold}, plate {} kN; {}.",
                i + 1,
                bolt.name,
                bolt.kind.name(),
                shortest(pattern.length_in_hole_m()),
                shortest(bolt.steel_kn),
                shortest(bolt.plate_kn),
                bolt.source.as_deref().unwrap_or(NO_SOURCE)
            ));
        }
        self.line("");
        if serving.is_empty() {
            self.line("No bolt crosses it at its worst placement: FS with bolts is FS bare.");
            return;
        }
        self.line("d: unit vector of the bolt into the rock. Head L_w = −m·(collar − apex) / (m·d) to the joint crossed first, toe L_a = length in the hole − L_w. B is the least of steel, toe and head: toe = bond × L_a, head = plate + bond × L_w; with an anchor toe = its capacity where L_a is at least its length, else 0, head = plate. Share: B times what one kN adds, (−d·ŝ) and tan φ on the joints it slides on. Against the movement: −d·ŝ; on a joint it slides on: the part of d along −m.");
        self.line("");
        self.line("| bolt | pattern | ring | collar_u_m | collar_s_m | collar_v_m | d_u | d_s | d_v | crosses | L_w_m | L_a_m | B_kn | governed_by | share_kn |");
        self.line("|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|");
        // Collars stand in the wedge's own frame: its apex at s = 0 in the drive, the face at s = 0.
        let origin_m = self.wedge.apex_chainage_m();
        for (i, s) in serving.iter().enumerate() {
            let collar = Vec3::new(s.point.x, s.chainage_m - origin_m, s.point.y);
            self.line(format!(
                "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
                i + 1,
                s.pattern + 1,
                s.ring,
                vector(&collar),
                vector(&s.direction),
                self.name(s.plane),
                num(s.head_m),
                num(s.toe_m),
                num(s.capacity.kn),
                s.capacity.governed_by.name(),
                num(s.share_kn)
            ));
        }
        self.bolted(&serving);
    }

    fn bolted(&mut self, serving: &[Serving]) {
        let stability = self.wedge.stability;
        let mut reaction = Reaction::default();
        for s in serving {
            reaction += stability.effect(&s.direction).times(s.capacity.kn);
        }
        let driving = self.driving_kn();
        self.line("");
        self.line("A bolt with d·ŝ ≥ 0, or one whose force would lower FS, carries nothing (share 0).");
        self.line("");
        self.line(format!("P_t = Σ B (−d·ŝ) = {} kN", num(reaction.against_kn)));
        let mut sum = reaction.against_kn;
        for i in stability.motion.mode.slides_on() {
            let set = &self.case.joint_sets[self.wedge.sets[i]];
            let cohesion = set.strength.cohesion_kpa * self.shape().joints[i].area_m2;
            let normal = stability.motion.normal_kn[i] * self.to_placed() + reaction.normal_kn[i];
            let part = if normal < 0.0 { 0.0 } else { cohesion + normal * set.strength.tan_friction() };
            sum += part;
            let lost = if normal < 0.0 { " (lost: it gives nothing)" } else { "" };
            let line = format!(
                "On {}: P_n = {} kN, c·A + (N + P_n) tan φ = {} kN{lost}",
                set.name,
                num(reaction.normal_kn[i]),
                num(part)
            );
            self.line("");
            self.line(line);
        }
        self.line("");
        self.line(format!("FS with bolts = {} / {} = {}", num(sum), num(driving), fixed(sum / driving, 4)));
    }

    /// Which size decides, and what slips between the bolts.
    fn sizes(&mut self) {
        let Some(governing) = &self.wedge.governing else { return };
        let size = &governing.size;
        let other = self.wedge.tolerance_decides() || self.wedge.rotation_decides();
        let decides = (governing.is_smaller && !other).then(|| {
            format!(
                "A smaller wedge of this pyramid decides: at {} m³ and {} kN its joints and bolts give FS {} (the largest, above, has {} m³).",
                volume(size.volume_m3),
                kn(size.weight_kn),
                factor(size.fs_bolted),
                volume(self.wedge.shape.volume_m3)
            )
        });
        let slips = governing.gap.map(|(gap_m3, gap_kn)| {
            format!(
                "Wedges up to {} m³, {} kN, can sit between the bolts untouched: they are the screen's to carry.",
                volume(gap_m3),
                kn(gap_kn)
            )
        });
        for line in [decides, slips].into_iter().flatten() {
            self.line(line);
        }
    }

    /// What bolts hold as they get installed.
    fn installed(&mut self) {
        self.section("10 As bolts get installed");
        let lines = installed_lines(self.case, self.wedge);
        if lines.is_empty() {
            self.line("Nothing was asked: collars as drawn, every bolt in place and at work.");
        }
        for line in lines {
            self.line(format!("- {line}"));
        }
    }

    fn verdict(&mut self) {
        self.section("11 Verdict");
        let text = match self.wedge.criterion_fs {
            None => "Nothing moves: **held**.".to_owned(),
            Some(asked) => format!(
                "FS {} where {} is asked: **{}**.",
                factor(self.wedge.deciding_fs()),
                fixed(asked, 2),
                self.wedge.verdict.name()
            ),
        };
        self.line(text);
        if let (Some(median), Some(least)) = (self.wedge.fs_bolted_median, self.wedge.fs_bolted)
            && least.is_finite()
        {
            self.line(format!(
                "The least over all placements is {}, the median {}.",
                factor(least),
                factor(median)
            ));
        }
        self.sizes();
        if let Some(tensioned) = self.wedge.fs_tensioned {
            self.line(format!(
                "With the tension of tensioned bolts, at most B, added to F, the mode found anew and what is left of B as resistance, FS is {}; that decides nothing.",
                factor(tensioned)
            ));
        }
        self.line("");
        for caution in CAUTIONS {
            self.line(format!("- {caution}"));
        }
    }
}

/// Where the edge off each plane daylights.
fn edge_ends(shape: &Shape, wedge: &CheckedWedge) -> [Vec3; 3] {
    // Edge i lies in planes j and k: it is the one point that their traces share.
    std::array::from_fn(|i| {
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        let ends = |p: usize| [shape.joints[p].trace.first(), shape.joints[p].trace.last()];
        let pairs = ends(j).into_iter().flatten().flat_map(|p| {
            let other = ends(k).into_iter().flatten();
            other.map(move |q| ((p - q).norm(), *p))
        });
        pairs
            .reduce(|a, b| if b.0 < a.0 { b } else { a })
            .map_or(shape.apex + wedge.cone.edges[i], |nearest| nearest.1)
    })
}
