//! What the sheet ends with: bolts as they get installed, sizes, the verdict.

use super::sheet::Sheet;
use crate::report::check::installed::installed_lines;
use crate::report::paper::numbers::{factor, fixed, kn, volume};
use crate::report::words::CAUTIONS;

impl Sheet<'_> {
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
