//! The answer of chances, and what stands below it.

use super::outputs::ChanceOutputs;
use super::places::place_rows;
use crate::report::paper::numbers::{fixed, kn, percent, thousands, volume};
use crate::report::shares::chance;
use crate::report::words::fitting;
use crate::study::chance::{Driver, QUANTILE_ERROR, Spread, drawn_names};

/// A rank correlation below this is told of as none.
const TELLING: f64 = 0.1;

impl ChanceOutputs<'_> {
    /// The sentences of the answer, the first that matters most.
    fn sentences(&self) -> Vec<String> {
        let rows = place_rows(self.found, self.bolted(), self.thinned());
        let all = &rows[0];
        let draws = all.draws;
        let mut said = Vec::new();
        if drawn_names(self.case, self.scatter).is_empty() {
            said.push(
                "No number of this case scatters: all draws are alike, and no share of them is a chance."
                    .into(),
            );
        }
        let short = self.found.short(self.case);
        let [share, low, high] = chance(short, draws);
        let how = if self.bolted() { "with the bolts as drawn" } else { "without support" };
        said.push(format!(
            "Of {} draws, {} ({} %, {} to {} at 95 %) have a wedge short {how}.",
            thousands(draws),
            thousands(short),
            percent(share),
            percent(low),
            percent(high)
        ));
        let likeliest = rows[1..].iter().max_by(|a, b| {
            let of = |r: &super::places::PlaceRow| {
                if r.bolted { r.tally.short.bolted } else { r.tally.short.bare }
            };
            of(a).cmp(&of(b))
        });
        if let (Some(row), true) = (likeliest, short > 0) {
            let hits = if row.bolted { row.tally.short.bolted } else { row.tally.short.bare };
            said.push(format!("Likeliest in the {}: {} %.", row.place, percent(chance(hits, draws)[0])));
        }
        let at_95 = |h: &crate::study::chance::Histogram| h.quantile_over(0.95, draws).unwrap_or(0.0);
        said.push(format!(
            "95 % of draws have no wedge above {} m³ and need at most {} kN, {} kPa.",
            volume(at_95(&all.tally.volume_m3)),
            kn(at_95(&all.tally.needed_kn)),
            kn(at_95(&all.tally.needed_kpa))
        ));
        said.extend(self.at_the_face());
        said
    }

    /// What it changes for the person at the face: where to look first.
    fn at_the_face(&self) -> Option<String> {
        let drivers = self.drivers();
        let strength = |d: &Driver| d.rank_fs.unwrap_or(0.0).abs();
        let first = drivers.iter().reduce(|a, b| if strength(b) > strength(a) { b } else { a })?;
        let rank = first.rank_fs.filter(|r| r.abs() >= TELLING)?;
        let (of, what) = first.input.rsplit_once('.').unwrap_or(("", &first.input));
        let more = rank > 0.0;
        let look = match what {
            "steeper_deg" => {
                format!("measure the dip of {of}: {} is worse", if more { "flatter" } else { "steeper" })
            }
            "turned_deg" => format!(
                "measure the dip direction of {of}: turned {} is worse",
                if more { "anticlockwise" } else { "clockwise" }
            ),
            "friction_deg" => format!("look at the surfaces of {of}: smooth or filled is worse"),
            "cohesion_kpa" => format!("look at the filling of {of}: open or broken is worse"),
            "max_trace_m" => format!("measure the longest traces{}: longer is worse", of_set(of)),
            "steel_kn" | "bond_kn_per_m" | "anchor_kn" | "plate_kn" => {
                format!("pull-test {of}: {} decides most", what.split('_').next().unwrap_or(what))
            }
            _ => format!("{} decides most", first.input),
        };
        Some(format!("At the face, first {look}."))
    }

    /// The answer, at most sixty words.
    #[must_use]
    pub fn answer(&self) -> String {
        fitting(self.sentences()).0
    }

    /// What stands below the answer: what it had no room for, and how to read it.
    pub(super) fn below(&self) -> Vec<String> {
        let mut lines = fitting(self.sentences()).1;
        if self.found.draws() > 0 && self.bolted() {
            lines.push("Short bolted: the factor of the sum of forces, bolts as drawn, at the worst place along the drive, of the largest admissible wedge. A check judges more: smaller pieces, moments, collars off their place, screen and shotcrete.".into());
        }
        if let Some(line) = self.judged_words() {
            lines.push(line);
        }
        if self.thinned() {
            let all = place_rows(self.found, true, true)[0];
            let [share, low, high] = chance(all.tally.short.somewhere, all.draws);
            lines.push(format!(
                "At one place along the drive, drawn too, with {} % of bolts without effect: {} % short ({} to {}).",
                percent(self.case.installation.ineffective_share.unwrap_or(0.0)),
                percent(share),
                percent(low),
                percent(high)
            ));
        }
        if self.found.tally.too_long > 0 {
            lines.push(format!(
                "{} wedges are so long that no bolts were looked at, and count as held by none: cap the length.",
                thousands(self.found.tally.too_long)
            ));
        }
        lines.push(format!(
            "Intervals are 95 % intervals of a share (Wilson 1927){}. Quantiles are told to {} % of themselves.",
            match self.ask.spread {
                Spread::Plain => "",
                Spread::LatinHypercube => "; draws are spread by Latin hypercube sampling in lots of 1,000, so they err on the wide side",
            },
            fixed(100.0 * QUANTILE_ERROR, 1)
        ));
        lines
    }

    fn judged_words(&self) -> Option<String> {
        let judged = self.found.judged.len() as u64;
        if judged == 0 {
            return Some(
                "As a check judges (pieces, carriers, collars off their place): not done; --judged says of how many draws."
                    .into(),
            );
        }
        let short = self.found.judged.iter().filter(|d| !d.short.is_empty()).count() as u64;
        let open =
            self.found.judged.iter().filter(|d| d.short.is_empty() && !d.not_judged.is_empty()).count();
        let [share, low, high] = chance(short, judged);
        Some(format!(
            "As a check judges (pieces, carriers, collars off their place), of the first {judged} draws: {} % have a wedge short ({} to {}), {open} more a wedge not judged.",
            percent(share),
            percent(low),
            percent(high)
        ))
    }
}

fn of_set(name: &str) -> String {
    if name.is_empty() || name == "limits" { String::new() } else { format!(" of {name}") }
}
