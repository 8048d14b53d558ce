//! What the sheet ends with: bolts as they get installed, sizes, the verdict.

use super::sheet::{Sheet, num};
use crate::report::check::installed::installed_lines;
use crate::report::check::wedges::why;
use crate::report::paper::numbers::{factor, fixed, kn, shortest, volume};
use crate::report::words::CAUTIONS;
use crate::stability::Mode;
use crate::study::{DecidedBy, FaceScan, Verdict};
use crate::support::Carrier;

/// Two ways to one factor differ by less than this.
const SAME: f64 = 1.0 + 1e-6;

impl Sheet<'_> {
    /// What carries the piece that decides, how near the search came, and the largest wedge beside it.
    fn carried(&mut self) {
        if let Some(scan) = &self.largest.found.at_face {
            self.scanned(scan);
            return;
        }
        if self.wedge.decided.by == Some(DecidedBy::Stress) {
            self.carried_under_stress();
            return;
        }
        let Some(judged) = &self.largest.found.judged else { return };
        let Some(least) = &judged.least else { return };
        let asked = self.wedge.decided.criterion_fs.unwrap_or(0.0);
        let stability = self.wedge.wedge.stability;
        if self.is_piece {
            let weight = stability.active_kn().norm();
            match least.carrier {
                Carrier::Screen => self.line(format!(
                    "What carries it best is one bay of the screen over its whole face: {} kN / {} kN = {}. Screen is slack and bolts are stiff: they are not added.",
                    num(least.fs * weight),
                    num(weight),
                    fixed(least.fs, 4)
                )),
                Carrier::Shotcrete => self.line(format!(
                    "What carries it best is shotcrete along its traces, added to its joints: FS {}.",
                    factor(least.fs)
                )),
                Carrier::Bolts if stability.motion.mode != Mode::Falling && self.wedge.found.fs_bolted.is_some_and(|fs| least.fs > fs * SAME || least.fs * SAME < fs) => {
                    self.line(format!(
                        "At full capacity the bolts would open a joint that it slides on (section 7). Pulling no more than keeps its joints closed, or with the wedge hanging in them and leaning on its joints without friction, they give {}: the greater of the two equilibria.",
                        fixed(least.fs, 4)
                    ));
                }
                _ => {}
            }
        }
        let bolts = match least.bolts {
            0 => "no bolt is sure to cross it".to_owned(),
            1 => "1 bolt is sure to cross it".to_owned(),
            n => format!("{n} bolts are sure to cross it"),
        };
        self.line(format!(
            "Of all pieces of this pyramid the least carried has {} m³ and FS {} by {}; {bolts}. No piece has less than {} (a search by bounds from both sides, {} cells).",
            volume(least.volume_m3),
            factor(least.fs),
            self.wedge.decided.by.map(|by| by.name()).unwrap_or_default(),
            factor(least.fs_at_least),
            least.cells
        ));
        if let Some(drawn) = judged.fs_as_drawn {
            self.line(format!(
                "Collars are taken anywhere within {} m of where they are drawn; exactly as drawn the least is {}.",
                shortest(self.case.installation.judged_tolerance_m()),
                factor(drawn)
            ));
        }
        if self.wedge.decided.verdict == Verdict::Short {
            self.line(format!(
                "Asked of what carries it: {} kN; missing: {} kN.",
                kn(self.largest.force_asked_kn().unwrap_or(0.0)),
                kn(self.largest.force_lacking_kn())
            ));
        } else if !self.wedge.decided.held_by.is_empty() {
            let carriers: Vec<&str> = self.wedge.decided.held_by.iter().map(|c| c.name()).collect();
            self.line(format!("Every piece reaches {} by {}.", fixed(asked, 2), carriers.join(", ")));
        }
        self.largest_beside();
    }

    /// The largest wedge of the pyramid, with bolts as drawn.
    fn largest_beside(&mut self) {
        if let Some(fs) = self.largest.found.fs_bolted {
            self.line(format!(
                "The largest wedge beside it: {} m³, {} kN, FS {} with bolts as drawn.",
                volume(self.largest.wedge.shape.volume_m3),
                kn(self.largest.wedge.weight_kn),
                factor(fs)
            ));
        }
    }

    /// The same of a wedge at the face, whose sizes are scanned.
    fn scanned(&mut self, scan: &FaceScan) {
        self.line(format!(
            "Smaller wedges at the face are scanned, not bracketed: {} apexes on {} planes ahead of the face and {} more on the way down from the least of them. Between those a wedge may be carried less.",
            scan.apexes, scan.planes, scan.walked
        ));
        if let Some(least) = &scan.least {
            let bolts = match least.worst.serving.len() {
                0 => "no bolt is sure to cross it".to_owned(),
                1 => "1 bolt is sure to cross it".to_owned(),
                n => format!("{n} bolts are sure to cross it"),
            };
            self.line(format!(
                "Of these the least carried has {} m³ and FS {} by {}; {bolts}.",
                volume(least.shape.volume_m3),
                factor(least.fs),
                least.by.name()
            ));
        }
        if let Some(open) = &scan.uncarried {
            self.line(format!(
                "One of {} m³ finds room between the bolts in the face, and no [[surface]] that covers the face is entered: nothing is said of such wedges.",
                volume(open.shape.volume_m3)
            ));
        }
        self.largest_beside();
    }

    /// What carries the asked piece that stress leaves carried least.
    fn carried_under_stress(&mut self) {
        let Some(under) = self.largest.under_stress() else { return };
        let Some(least) = &under.least else { return };
        let (stability, asked) = (&least.stability, self.wedge.decided.criterion_fs.unwrap_or(0.0));
        let driving_kn = stability.motion.driving_kn;
        let loss = stability.loss();
        // A screen counts on no joint.
        let (taken_kn, over_kn) = match least.carrier {
            Carrier::Screen => (loss.out_kn, stability.active_kn().norm()),
            _ => (loss.lost_kn, driving_kn),
        };
        self.line(format!(
            "Stress decides: of {} pieces that were asked ({} hold less with it) the one of {} m³ is carried least, by {}. FS = {} − {} / {} = {}: what carries it without stress, less what stress takes, over its load.",
            under.asked,
            under.harmed,
            volume(least.at.volume_m3),
            least.carrier.name(),
            fixed(least.fs + taken_kn / over_kn, 4),
            num(taken_kn),
            num(over_kn),
            fixed(least.fs, 4)
        ));
        if let Some(fs) = self.largest.least_piece().map(|piece| piece.fs).filter(|_| least.fs < asked) {
            self.line(format!("Without stress the least of all its pieces has {}.", factor(fs)));
        }
        if self.wedge.decided.verdict == Verdict::Short {
            let fades = self.case.site.stress.as_ref().is_some_and(|rock| rock.fades);
            self.line(format!(
                "Asked of what carries it: {} kN; missing: {} kN. {}",
                kn(self.largest.force_asked_kn().unwrap_or(0.0)),
                kn(self.largest.force_lacking_kn()),
                if fades {
                    "What would drive it out beyond its joints is taken to fade as it moves."
                } else {
                    "What drives it out is counted in full; in truth it is spent by a movement that is not known (stiffnesses are entered as a ratio): support that follows it has the wedge to carry without its joints."
                }
            ));
        }
    }

    /// What bolts hold as they get installed.
    pub(super) fn installed(&mut self) {
        self.section("10 As bolts get installed");
        let lines = installed_lines(self.case, self.wedge);
        if lines.is_empty() {
            self.line("Nothing was asked: collars as drawn, every bolt in place and at work.");
        }
        for line in lines {
            self.line(format!("- {line}"));
        }
    }

    pub(super) fn verdict(&mut self) {
        self.section("11 Verdict");
        let text = match (self.wedge.decided.criterion_fs, self.wedge.decided.fs) {
            (None, _) => "Nothing moves: **held**.".to_owned(),
            (Some(asked), Some(fs)) => format!(
                "FS {} where {} is asked: **{}**.",
                factor(fs),
                fixed(asked, 2),
                self.wedge.decided.verdict.name()
            ),
            (Some(_), None) => {
                format!("**{}** ({}).", self.wedge.decided.verdict.name(), why(self.largest))
            }
        };
        self.line(text);
        if let (Some(median), Some(least)) = (self.wedge.found.fs_bolted_median, self.wedge.found.fs_bolted)
            && least.is_finite()
        {
            self.line(format!(
                "The least over all placements is {}, the median {}.",
                factor(least),
                factor(median)
            ));
        }
        self.carried();
        if let Some(tensioned) = self.wedge.found.fs_tensioned {
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
