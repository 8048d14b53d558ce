//! The bolts at the worst placement, by hand.

use super::sheet::{Sheet, num, vector};
use crate::orientation::Vec3;
use crate::report::check::bolts::words::hold_words;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::words::NO_SOURCE;
use crate::stability::Reaction;
use crate::support::{Pattern, Serving};

impl Sheet<'_> {
    /// The bolts of a pattern and where their capacities come from.
    fn bolt_words(&self, pattern: &Pattern) -> String {
        let bolt = &self.case.bolts[pattern.bolt];
        format!(
            "{} ({}), in the hole {} m, steel {} kN, {}, plate {} kN; {}",
            bolt.name,
            bolt.kind.name(),
            shortest(pattern.length_in_hole_m()),
            shortest(bolt.steel_kn),
            hold_words(bolt.anchorage),
            shortest(bolt.plate_kn),
            bolt.source.as_deref().unwrap_or(NO_SOURCE)
        )
    }

    pub(super) fn bolts(&mut self) {
        self.section("7 Bolts at the worst placement");
        let Some(serving) = self.wedge.serving().map(<[Serving]>::to_vec) else {
            let bare = self.case.patterns.is_empty() && self.case.local.is_empty();
            self.line(if bare && self.case.face_bolts.is_empty() {
                "The case has no pattern."
            } else {
                "Nothing moves: no bolt is called on."
            });
            return;
        };
        if let Some(placement) = &self.wedge.placement() {
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
        if let (Some(at_face), false) = (&self.wedge.at_face(), self.case.patterns.is_empty()) {
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
            self.line(format!("Pattern {}: {}.", i + 1, self.bolt_words(pattern)));
        }
        for (at, bolts) in self.case.local.iter().enumerate() {
            let place = self.case.patterns.len() + at;
            if !serving.iter().any(|s| s.pattern == place) {
                continue;
            }
            let pattern = bolts.pattern();
            let name = match self.case.spot_number(place) {
                Some(number) => format!("Single bolt {number}"),
                None => format!("Pattern {}", place + 1),
            };
            self.line(format!(
                "{name} (numbered {} in the table): {}; from chainage {} to {} m and nowhere else.",
                place + 1,
                self.bolt_words(pattern),
                num(bolts.from_m()),
                num(bolts.to_m())
            ));
        }
        let first = self.case.first_on_face();
        for (at, bolts) in self.case.face_bolts.iter().enumerate() {
            if !serving.iter().any(|s| s.pattern == first + at) {
                continue;
            }
            self.line(format!(
                "Pattern {}, in the face (numbered {} in the table, its ring 0): {}; the next round blasts them away.",
                self.case.pattern_number(first + at).unwrap_or_default(),
                first + at + 1,
                self.bolt_words(bolts.pattern())
            ));
        }
        self.line("");
        if serving.is_empty() {
            self.line("No bolt crosses it at its worst placement: FS with bolts is FS bare.");
            return;
        }
        self.line("d: unit vector of the bolt into the rock. Head L_w = −m·(collar − apex) / (m·d) to the joint crossed first, toe L_a = length in the hole − L_w. B is the least of steel, toe and head: toe = bond × L_a, head = plate + bond × L_w; with an anchor toe = its capacity where L_a is at least its length, else 0, head = plate. Share: B times what one kN adds, (−d·ŝ) and tan φ on the joints it slides on. Against the movement: −d·ŝ; on a joint it slides on: the part of d along −m.");
        self.line("");
        let is_off = serving.iter().any(|s| s.off_m.iter().any(|&m| m > 0.0));
        if is_off {
            self.line(format!(
                "Collars may stand anywhere within {} m of where they are drawn: off is how much nearer to each joint that brings one, in the joints' order. L_w is then the least of the joints' (−m·(collar − apex) − off) / |m·d|, L_a = length in the hole − the least of their (−m·(collar − apex) + off) / |m·d|: the shortest that either can be.",
                shortest(self.case.installation.judged_tolerance_m())
            ));
            self.line("");
        }
        let (head, rule) = if is_off { (" off_1_m | off_2_m | off_3_m |", "---|---|---|") } else { ("", "") };
        self.line(format!("| bolt | pattern | ring | collar_u_m | collar_s_m | collar_v_m | d_u | d_s | d_v |{head} crosses | L_w_m | L_a_m | B_kn | governed_by | share_kn |"));
        self.line(format!("|---|---|---|---|---|---|---|---|---|{rule}---|---|---|---|---|---|"));
        // Collars stand in the wedge's own frame: its apex at s = 0 in the drive, the face at s = 0.
        let origin_m = self.wedge.apex_chainage_m();
        for (i, s) in serving.iter().enumerate() {
            let collar = Vec3::new(s.point.x, s.chainage_m - origin_m, s.point.y);
            let off = if is_off { format!(" {} |", s.off_m.map(num).join(" | ")) } else { String::new() };
            self.line(format!(
                "| {} | {} | {} | {} | {} |{off} {} | {} | {} | {} | {} | {} |",
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
        let stability = self.wedge.wedge.stability;
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
        let mut opens = false;
        for i in stability.motion.mode.slides_on() {
            let set = &self.case.joints[self.wedge.wedge.sets[i]];
            let cohesion = set.strength.cohesion_kpa * self.shape().joints[i].area_m2;
            let normal = stability.motion.normal_kn[i] * self.to_placed() + reaction.normal_kn[i];
            let part = if normal < 0.0 { 0.0 } else { cohesion + normal * set.strength.tan_friction() };
            sum += part;
            opens |= normal < 0.0;
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
        let bolts: Vec<(Vec3, f64)> = serving.iter().map(|s| (s.direction, s.capacity.kn)).collect();
        self.line("");
        self.line(format!("FS with bolts = {} / {} = {}", num(sum), num(driving), fixed(sum / driving, 4)));
        if opens {
            self.line("");
            self.line("Nothing balances what the bolts pull square to a joint that they open: the verdict (section 9) counts no more than an equilibrium has.");
        } else if stability.under(self.to_placed(), [0.0; 3]).opens(&bolts) {
            self.line("");
            self.line("Bolts that lower FS while the joints stay closed carry nothing in this sum. Pulling fully they open a joint, and the wedge hangs in them: the verdict (section 9) counts that where it gives more.");
        }
    }
}
