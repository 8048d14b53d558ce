//! How a case stands, in an answer, a table and the lines below it: for the terminal alone.

use crate::case::Case;
use crate::report::check::{short_at_a_stage, unjudged_words, verdict_counted};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::numbers::{factor, fixed};
use crate::report::paper::table::{Grid, Table};
use crate::report::words::surface_words;
use crate::study::{Lack, LackOf, Place, Stands, Verdict, Verdicts};

/// How a case stands, with what its words need.
#[derive(Debug, Clone, Copy)]
pub struct VerdictOutputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// How it stands.
    pub verdicts: &'a Verdicts,
}

impl VerdictOutputs<'_> {
    /// Good enough or not, the wedge or the stage with the least margin, the face.
    #[must_use]
    pub fn answer(&self) -> String {
        let counted: Vec<&Stands> = self.verdicts.wedges.iter().filter(|w| w.counts()).collect();
        let with = |verdict: Verdict| counted.iter().filter(|w| w.verdict == verdict).count();
        let (short, unjudged) = (with(Verdict::Short), with(Verdict::NotJudged));
        let at_a_stage = self.verdicts.at_stages.first().filter(|_| short + unjudged == 0);
        let verdict = at_a_stage
            .and_then(|lack| {
                short_at_a_stage(lack, &stage_fs(lack).map_or_else(|| below(lack.asked_fs), factor))
            })
            .unwrap_or_else(|| verdict_counted(self.case, (counted.len(), short, unjudged), ""));
        let nearest = counted.iter().filter(|w| is_known(w)).filter_map(|w| Some((ratio(w)?, *w)));
        let nearest = nearest.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|_| at_a_stage.is_none());
        let least = nearest.map(|(_, wedge)| {
            let of = if wedge.verdict == Verdict::Short { "Least" } else { "Nearest" };
            format!(
                "{of}: {}, {}, FS {} where {} is asked.",
                wedge.wedge.id,
                surface_words(&wedge.wedge.surfaces),
                fs_words(wedge),
                asked_words(wedge)
            )
        });
        let others = (short > 0 && unjudged > 0).then(|| match unjudged {
            1 => "1 more is not judged.".to_owned(),
            n => format!("{n} more are not judged."),
        });
        [Some(verdict), others, least, self.face()].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    /// What is said of the wedges at the face; `None` where there are none.
    fn face(&self) -> Option<String> {
        let face = &self.verdicts.face;
        let with = |verdict: Verdict| {
            let ids: Vec<&str> =
                face.iter().filter(|w| w.verdict == verdict).map(|w| w.wedge.id.as_str()).collect();
            (!ids.is_empty()).then(|| ids.join(", "))
        };
        let bolted = if self.case.face_bolts.is_empty() { "" } else { ", once its bolts are in," };
        let said = [(Verdict::Short, "short"), (Verdict::NotJudged, "not judged")]
            .map(|(verdict, word)| with(verdict).map(|ids| format!("{word} {ids}")));
        let said: Vec<String> = said.into_iter().flatten().collect();
        match (face.len(), said.is_empty()) {
            (0, _) => None,
            (_, true) => Some(format!("At the face{bolted} nothing more is short.")),
            (_, false) => Some(format!("At the face{bolted}: {}.", said.join("; "))),
        }
    }

    /// A row for each wedge, those at the face last; `None` where there are none.
    #[cfg_attr(not(feature = "cli"), allow(dead_code))]
    pub(crate) fn terminal_table(&self) -> Option<Grid> {
        let rows: Vec<&Stands> = self.verdicts.every().collect();
        (!rows.is_empty()).then(|| table().terminal(&ON_TERMINAL, &rows).without_empty())
    }

    /// What stands below the table, a line each.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut stages: Vec<(LackOf, Vec<String>)> = Vec::new();
        for lack in &self.verdicts.at_stages {
            let of = |fs| format!("FS {} of {}", factor(fs), fixed(lack.asked_fs, 2));
            let short = stage_fs(lack).map_or_else(|| below(lack.asked_fs), of);
            let words = format!("{} ({short})", lack.wedge);
            match stages.iter_mut().find(|(of, _)| *of == lack.of) {
                Some((_, all)) => all.push(words),
                None => stages.push((lack.of, vec![words])),
            }
        }
        let mut lines: Vec<String> =
            stages.iter().map(|(of, all)| format!("Short, {}: {}.", of.words(), all.join(", "))).collect();
        lines.extend(self.verdicts.warnings.iter().map(|warning| format!("Note: {warning}.")));
        lines.push(format!("{NOT_LOOKED_AT}{}.", self.as_built()));
        lines
    }

    fn as_built(&self) -> &'static str {
        if self.case.site.as_built.is_some() { ", the stretch as built" } else { "" }
    }
}

const NOT_LOOKED_AT: &str = "Each wedge is searched until it is known on which side of what is asked it lies, that with the least factor to the end. Not looked at, which check is: by how much the others are held or short, what stands bare ahead of the bolts, what slips between them, what change would help";

/// The factor at a stage; `None` of a piece in the pattern, of which no more is known than that it is short.
fn stage_fs(lack: &Lack) -> Option<f64> {
    lack.fs.filter(|_| matches!(lack.of, LackOf::Stage(_, Place::Across)))
}

const ON_TERMINAL: [&str; 8] =
    ["wedge", "verdict", "fs", "criterion", "why_not", "volume_m3", "surfaces", "mode"];

fn table<'a>() -> Table<&'a Stands> {
    use Format::{Volume, Words};
    Table::<&'a Stands>::new()
        .only_shown("wedge", |w| (&w.wedge.id).into())
        .on_terminal("wedge", Words)
        .only_shown("verdict", |w| w.verdict.name().into())
        .on_terminal("verdict", Words)
        .only_shown("fs", |w| fs_words(w).into())
        .on_terminal("FS", Words)
        .only_shown("criterion", |w| asked_words(w).into())
        .on_terminal("asked", Words)
        .only_shown("why_not", |w| why(w).into())
        .on_terminal("why", Words)
        .only_shown("volume_m3", |w| w.volume_m3.filter(|_| is_known(w)).map_or(Cell::Absent, Cell::Number))
        .on_terminal("of m³", Volume)
        .only_shown("surfaces", |w| Cell::list(w.wedge.surfaces.iter().map(|s| s.name())))
        .on_terminal("surfaces", Words)
        .only_shown("mode", |w| w.wedge.stability.motion.mode.name().into())
        .on_terminal("mode", Words)
}

/// The least factor that is known to occur over what is asked; `None` where none is.
fn ratio(wedge: &Stands) -> Option<f64> {
    let (_, found) = wedge.fs_between?;
    found.is_finite().then_some(found / wedge.asked_fs?)
}

/// Whether its factor was searched to the end.
fn is_known(wedge: &Stands) -> bool {
    wedge.fs_between.is_some_and(|(low, high)| low == high)
}

/// Why it is not judged, or what carries its short piece best.
fn why(wedge: &Stands) -> &'static str {
    match (wedge.verdict, wedge.unjudged, wedge.carrier) {
        (_, Some(unjudged), _) => unjudged_words(unjudged),
        (Verdict::Short, None, Some(carrier)) => carrier.name(),
        _ => "",
    }
}

/// `0.83`, `below 1.50`, `1.50 or more`: where a search ended as soon as it knew, what it met last says no more.
fn fs_words(wedge: &Stands) -> String {
    match (wedge.fs_between, wedge.verdict) {
        (None, _) => String::new(),
        (Some((_, high)), _) if is_known(wedge) => factor(high),
        (Some(_), Verdict::Short) => wedge.asked_fs.map(below).unwrap_or_default(),
        (Some((low, _)), _) => format!("{} or more", factor(low)),
    }
}

/// What is said of one that was found short.
fn below(asked_fs: f64) -> String {
    format!("below {}", fixed(asked_fs, 2))
}

fn asked_words(wedge: &Stands) -> String {
    wedge.asked_fs.map_or_else(String::new, |fs| fixed(fs, 2))
}
