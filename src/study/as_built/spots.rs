//! Spot bolts that mend a stretch: where to drill one more, each tried before it is listed.

use rayon::prelude::*;

use super::judged::Asked;
use super::largest::Largest;
use super::part::{Built, bare_case};
use super::standing::{Both, Standing};
use super::{AsBuiltCheck, AsBuiltWedge, RingPhase, short_of_the_drawn};
use crate::case::Case;
use crate::opening::{Opening, Vec2};
use crate::orientation::{Line, Vec3};
use crate::study::seat::Seat;
use crate::study::{Check, CheckedWedge, Verdict};
use crate::support::{Collar, Decision, Pattern, SetBolt};
use crate::wedge::Footprint;

/// Crews measure collars to this, metres: what is listed is what is tried.
const MEASURED_TO_M: f64 = 0.05;

/// A new hole is drilled no nearer than this to a collar that is there, metres: nearer ones break into each other.
const HOLES_APART_M: f64 = 0.3;

/// Most bolts that are tried for one wedge in one part of the stretch: what so many do not hold no spot bolt does.
const MOST_IN_A_PART: usize = 12;

/// Most spot bolts of a stretch: a place that needs more is bolted anew.
const MOST_SPOTS: usize = 60;

/// Where the middle of a face is taken by a collar, places beside it are tried, this far off in either direction,
/// metres.
const BESIDE_M: [f64; 3] = [0.35, 0.5, 0.7];

/// A bolt to be drilled.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotBolt {
    /// The wedge that it was added for.
    pub wedge: String,
    /// Index into the case's bolts.
    pub bolt: usize,
    /// Whole length, metres.
    pub length_m: f64,
    /// The part that stays outside the hole, metres.
    pub outside_hole_m: f64,
    /// Which way it is drilled, in whole degrees, world.
    pub line: Line,
    /// Arc length of its collar from the crown, metres, to 5 cm.
    pub arc_m: f64,
    /// The bolt where it then stands.
    pub set: SetBolt,
}

/// What spot bolts make of a stretch.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SpotBolts {
    /// The bolts, in the order of their chainage.
    pub bolts: Vec<SpotBolt>,
    /// Each wedge of the stretch with its verdict when all of them stand there, in the order of the check.
    pub promised: Vec<(String, Verdict)>,
}

impl SpotBolts {
    /// The wedges that are short with them too.
    pub fn still_short(&self) -> impl Iterator<Item = &str> {
        self.promised.iter().filter(|p| p.1 == Verdict::Short).map(|p| p.0.as_str())
    }
}

/// The stretch with the spot bolts that mend it: of the bolt, length and direction that the patterns have, square to
/// the surface, one more in the face of a piece that is short until none is, the stretch then judged again with all
/// of them. Collars may stand as far off as the case's tolerance. None where no wedge is short, or where the case has
/// no pattern to take a bolt from.
#[must_use]
pub fn with_spot_bolts(case: &Case, check: &Check, mut found: AsBuiltCheck) -> AsBuiltCheck {
    let Some(built) = &case.site.as_built else { return found };
    let short = found.wedges.iter().any(|w| w.as_built_verdict() == Verdict::Short);
    if short && !case.patterns.is_empty() {
        let bare = bare_case(case, built);
        let both = Both::of(case, check, built, &found.phases);
        let stretch = Built { bare: &bare, built, opening: &check.opening };
        let spots = Spots { case, check, stretch, phases: &found.phases, both };
        found.spot_bolts = Some(spots.found(&found));
    }
    found
}

struct Spots<'s> {
    case: &'s Case,
    check: &'s Check,
    stretch: Built<'s>,
    phases: &'s [RingPhase],
    /// Without and with what the design has at known chainages alone.
    both: (Both, Both),
}

impl Spots<'_> {
    fn opening(&self) -> &Opening {
        &self.check.opening
    }

    fn wedge_of(&self, told: &AsBuiltWedge) -> Option<&CheckedWedge> {
        self.check.wedges.iter().find(|w| w.wedge.id == told.wedge)
    }

    fn both(&self, wedge: &CheckedWedge) -> &Both {
        if wedge.wedge.located.is_some_and(|l| l.has_chainage()) { &self.both.1 } else { &self.both.0 }
    }

    fn standing(&self, wedge: &CheckedWedge, added: &[SpotBolt]) -> Standing {
        self.both(wedge).standing.with(added.iter().map(|spot| spot.set))
    }

    fn largest(&self) -> Largest<'_> {
        let Self { stretch, case, phases, .. } = *self;
        Largest { stretch, case, phases }
    }

    fn found(&self, found: &AsBuiltCheck) -> SpotBolts {
        let mut added: Vec<SpotBolt> = Vec::new();
        for told in found.wedges.iter().filter(|w| w.as_built_verdict() == Verdict::Short) {
            let Some(wedge) = self.wedge_of(told) else { continue };
            if told.found.piece.is_some() && !wedge.is_fixed() {
                self.mend_pieces(wedge, &mut added);
            } else {
                self.mend_largest(wedge, told.criterion_fs, &mut added);
            }
        }
        self.thin_out(found, &mut added);
        added.sort_by(|a, b| a.set.chainage_m.total_cmp(&b.set.chainage_m).then(a.arc_m.total_cmp(&b.arc_m)));
        let promised = self.verdicts(found, &added);
        SpotBolts { bolts: added, promised }
    }

    /// The verdict on each wedge with these bolts besides those that stand there.
    fn verdicts(&self, found: &AsBuiltCheck, added: &[SpotBolt]) -> Vec<(String, Verdict)> {
        let verdict = |told: &AsBuiltWedge| {
            let wedge = self.wedge_of(told)?;
            let standing = self.standing(wedge, added);
            Some((told.wedge.clone(), self.verdict(told, wedge, &standing)))
        };
        // Collected in the order of the check, whatever the number of threads.
        let told: Vec<Option<(String, Verdict)>> = found.wedges.par_iter().map(verdict).collect();
        told.into_iter().flatten().collect()
    }

    fn verdict(&self, told: &AsBuiltWedge, wedge: &CheckedWedge, standing: &Standing) -> Verdict {
        let largest = self.largest().as_built(wedge, standing);
        let mut decision = Asked { stretch: self.stretch, standing }.of(wedge, largest.as_ref());
        let placed = (told.designed.as_ref(), largest.as_ref());
        short_of_the_drawn(&mut decision, told.criterion_fs, placed, wedge);
        decision.decided.verdict
    }

    /// One more in the face of a short piece until none is short, part by part; where that does not end, the bolts of
    /// the part are given up.
    fn mend_pieces(&self, wedge: &CheckedWedge, added: &mut Vec<SpotBolt>) {
        let parts_m = self.stretch.parts_m(wedge).unwrap_or_default();
        let as_it_is = self.standing(wedge, added);
        let is_short = |part_m: &(f64, f64)| {
            let part = self.stretch.part(&as_it_is, *part_m);
            let judging = part.judging(self.opening());
            matches!(judging.decision(wedge, &[]), Some((Decision::Short(_), _)))
        };
        // A bolt more never harms, so parts that are not short need none whatever is set in others.
        let short: Vec<bool> = parts_m.par_iter().map(is_short).collect();
        for part_m in parts_m.into_iter().zip(short).filter_map(|(part_m, short)| short.then_some(part_m)) {
            let before = added.len();
            let mut mended = false;
            while added.len() < MOST_SPOTS && added.len() - before <= MOST_IN_A_PART {
                let standing = self.standing(wedge, added);
                let part = self.stretch.part(&standing, part_m);
                let drive = part.drive(self.opening());
                let judging = part.judging(self.opening());
                let Some((Decision::Short(piece), _)) = judging.decision(wedge, &[]) else {
                    mended = true;
                    break;
                };
                let Some(seat) = Seat::of_wedge(drive, wedge) else { break };
                let apex_m = seat.chainage_m(&piece.at.foot).or(piece.at.phases_m.first().copied());
                let spot = apex_m.and_then(|m| self.spot(wedge, &seat, &piece.at.foot, m, &standing));
                let Some(spot) = spot else { break };
                added.push(spot);
            }
            if !mended {
                added.truncate(before);
            }
        }
    }

    /// The same of the largest size where bolts hold it least by forces: of wedges that structures hold in their
    /// place, and where nothing entered carries what finds room between bolts.
    fn mend_largest(&self, wedge: &CheckedWedge, asked_fs: f64, added: &mut Vec<SpotBolt>) {
        let before = added.len();
        while added.len() < MOST_SPOTS && added.len() - before <= 2 * MOST_IN_A_PART {
            let standing = self.standing(wedge, added);
            let Some(placed) = self.largest().as_built(wedge, &standing) else { break };
            if placed.least_fs >= asked_fs {
                return;
            }
            // Where it sits does not hang on bolts.
            let part = self.stretch.part(&Standing::none(), self.stretch.stretch_m());
            let Some(seat) = Seat::of_wedge(part.drive(self.opening()), wedge) else { break };
            let Some(spot) = self.spot(wedge, &seat, &placed.foot, placed.chainage_m, &standing) else {
                break;
            };
            added.push(spot);
        }
        added.truncate(before);
    }

    /// Bolts without which nothing is short again are left out, the last ones first: one that was set early may be
    /// made needless by a later one beside it.
    fn thin_out(&self, found: &AsBuiltCheck, added: &mut Vec<SpotBolt>) {
        for at in (0..added.len()).rev() {
            let mut fewer = added.clone();
            let set = fewer.remove(at).set;
            if found.wedges.iter().all(|told| !self.is_short_at(told, &fewer, set.chainage_m)) {
                *added = fewer;
            }
        }
    }

    /// Whether a wedge that was short is so with these bolts where its face can hold a collar at a chainage.
    fn is_short_at(&self, told: &AsBuiltWedge, added: &[SpotBolt], chainage_m: f64) -> bool {
        let Some(wedge) = self.wedge_of(told).filter(|_| told.as_built_verdict() == Verdict::Short) else {
            return false;
        };
        let standing = self.standing(wedge, added);
        if told.found.piece.is_none() || wedge.is_fixed() {
            let placed = self.largest().as_built(wedge, &standing);
            return placed.is_some_and(|p| p.least_fs < told.criterion_fs);
        }
        self.stretch
            .parts_m(wedge)
            .into_iter()
            .flatten()
            .filter(|part| (part.0..=part.1).contains(&chainage_m))
            .any(|part_m| {
                let part = self.stretch.part(&standing, part_m);
                let judging = part.judging(self.opening());
                !matches!(judging.decision(wedge, &[]), Some((Decision::Held(_), _)))
            })
    }

    /// A bolt in the face of a piece with its apex at a chainage: in its middle, or beside it where a collar is there.
    fn spot(
        &self,
        wedge: &CheckedWedge,
        seat: &Seat,
        foot: &Footprint,
        apex_m: f64,
        standing: &Standing,
    ) -> Option<SpotBolt> {
        let section = &self.opening().section;
        let shape = seat.shape(foot);
        let (mut area_m2, mut middle) = (0.0, Vec3::zeros());
        for opening in &shape.openings {
            let corners = opening.polygon.len().max(1) as f64;
            middle += opening.polygon.iter().sum::<Vec3>() / corners * opening.area_m2;
            area_m2 += opening.area_m2;
        }
        middle /= area_m2;
        let (along_m, _) = section.nearest_m(&Vec2::new(middle.x, middle.z));
        let arc_m = section.arc_from_crown_m(along_m);
        let apex = Vec3::new(foot.apex.x, apex_m, foot.apex.y);
        let off =
            std::iter::once((0.0, 0.0)).chain(BESIDE_M.into_iter().flat_map(|m| {
                [(m, 0.0), (-m, 0.0), (0.0, m), (0.0, -m), (m, m), (m, -m), (-m, m), (-m, -m)]
            }));
        off.filter_map(|(along, around)| {
            let spot = self.bolt_at(wedge, apex_m + middle.y + along, arc_m + around)?;
            let collar = spot.set.collar.point;
            let place = Vec3::new(collar.x, spot.set.chainage_m, collar.y);
            let inside = wedge.wedge.cone.inward.iter().all(|m| m.dot(&(place - apex)) > 0.0);
            (inside && self.is_free(&spot.set, standing)).then_some(spot)
        })
        .next()
    }

    /// Whether no collar is too near.
    fn is_free(&self, set: &SetBolt, standing: &Standing) -> bool {
        let perimeter_m = self.opening().section.perimeter_m();
        let near = standing.between(set.chainage_m - HOLES_APART_M, set.chainage_m + HOLES_APART_M);
        near.map(|at| &standing.bolts[at]).all(|other| {
            let round = (other.collar.along_m - set.collar.along_m).rem_euclid(perimeter_m);
            let off_m = (other.chainage_m - set.chainage_m).hypot(round.min(perimeter_m - round));
            off_m >= HOLES_APART_M
        })
    }

    /// A bolt of the pattern that covers the place, else of the first, as a crew can drill it: its collar to 5 cm, its
    /// direction in whole degrees.
    fn bolt_at(&self, wedge: &CheckedWedge, chainage_m: f64, arc_m: f64) -> Option<SpotBolt> {
        let opening = self.opening();
        let section = &opening.section;
        let measured = |m: f64| (m / MEASURED_TO_M).round() * MEASURED_TO_M;
        let told = |m: f64| (measured(m) * 100.0).round() / 100.0;
        let (chainage_m, arc_m) = (told(chainage_m), told(arc_m));
        if !(self.stretch.built.from_m..=self.stretch.built.to_m).contains(&chainage_m) {
            return None;
        }
        let square = Collar::at(opening, section.crown_m() - arc_m, |_, normal| normal).ok()?;
        let line = Line::from_vector(&opening.frame.to_world(&square.direction));
        let line =
            Line { trend_deg: line.trend_deg.round() % 360.0, plunge_deg: line.plunge_deg.round() + 0.0 };
        let direction = opening.frame.to_local(&line.to_vector());
        let collar = Collar::at(opening, section.crown_m() - arc_m, |_, _| direction).ok()?;
        let covers = |pattern: &&Pattern| pattern.covers.iter().any(|c| c.includes(collar.surface));
        let pattern = self.case.patterns.iter().find(covers).or(self.case.patterns.first())?;
        Some(SpotBolt {
            wedge: wedge.wedge.id.clone(),
            bolt: pattern.bolt,
            length_m: pattern.length_m,
            outside_hole_m: pattern.outside_hole_m,
            line,
            arc_m,
            set: SetBolt {
                kind: pattern.bolt,
                chainage_m,
                collar,
                length_in_hole_m: pattern.length_in_hole_m(),
            },
        })
    }
}
