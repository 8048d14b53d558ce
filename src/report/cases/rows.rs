//! A row a case.

use serde_json::Value;

use crate::case::ListedCase;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::table::Table;

/// The end of the ids of wedges at the face.
const AT_FACE: &str = ".face";

/// How a case came to its row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaseState {
    /// It was checked.
    Checked,
    /// An earlier run had checked the same inputs.
    AsBefore,
    /// It could not be.
    Failed,
}

/// What the summary of a case says of it.
#[derive(Debug, Clone, PartialEq)]
struct Said {
    answer: String,
    /// Wedges of the drive that can move.
    moving: usize,
    short: usize,
    not_judged: usize,
    short_at_face: usize,
    least: Option<Least>,
}

/// The wedge with the least deciding factor over what is asked.
#[derive(Debug, Clone, PartialEq)]
struct Least {
    ratio: f64,
    wedge: String,
    /// Of the piece that decides.
    weight_kn: Option<f64>,
    surfaces: String,
}

/// A case among others.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseRow {
    case: ListedCase,
    state: CaseState,
    said: Option<Said>,
    why: Option<String>,
}

impl CaseRow {
    /// A case whose folder has this summary.json.
    ///
    /// # Errors
    /// What of the summary cannot be read, in words.
    pub fn of_summary(case: &ListedCase, state: CaseState, summary: &str) -> Result<Self, String> {
        let value: Value =
            serde_json::from_str(summary).map_err(|e| format!("its summary is no JSON ({e})"))?;
        let lacks = |key: &str| format!("its summary has no {key}");
        let answer = value.get("answer").and_then(Value::as_str).ok_or_else(|| lacks("answer"))?;
        let wedges = value.get("wedges").and_then(Value::as_array).ok_or_else(|| lacks("wedges"))?;
        let word =
            |wedge: &Value, key: &str| wedge.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
        // Infinite factors are written as words, and decide nothing.
        let number = |wedge: &Value, key: &str| wedge.get(key).and_then(Value::as_f64);
        let mut said = Said {
            answer: answer.to_owned(),
            moving: 0,
            short: 0,
            not_judged: 0,
            short_at_face: 0,
            least: None,
        };
        for wedge in wedges {
            let (id, verdict) = (word(wedge, "wedge"), word(wedge, "verdict"));
            if id.ends_with(AT_FACE) {
                said.short_at_face += usize::from(verdict == "short");
                continue;
            }
            let Some(asked_fs) = number(wedge, "criterion") else { continue };
            said.moving += 1;
            said.short += usize::from(verdict == "short");
            said.not_judged += usize::from(verdict == "not judged");
            if let Some(fs) = number(wedge, "fs_deciding") {
                let ratio = fs / asked_fs;
                if said.least.as_ref().is_none_or(|least| ratio < least.ratio) {
                    said.least = Some(Least {
                        ratio,
                        wedge: id,
                        weight_kn: number(wedge, "deciding_weight_kn"),
                        surfaces: word(wedge, "surfaces"),
                    });
                }
            }
        }
        Ok(Self { case: case.clone(), state, said: Some(said), why: None })
    }

    /// A case that could not be checked, and why.
    #[must_use]
    pub fn failed(case: &ListedCase, why: &str) -> Self {
        Self { case: case.clone(), state: CaseState::Failed, said: None, why: Some(why.to_owned()) }
    }

    /// Whether it could not be checked.
    #[must_use]
    pub fn has_failed(&self) -> bool {
        self.state == CaseState::Failed
    }

    /// Whether an earlier run had checked it.
    #[must_use]
    pub fn is_as_before(&self) -> bool {
        self.state == CaseState::AsBefore
    }

    /// Whether every wedge of its drive and its face is held.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.said.as_ref().is_some_and(|s| s.short + s.not_judged + s.short_at_face == 0)
    }

    /// Whether a wedge at its face is short.
    pub(super) fn is_short_at_face(&self) -> bool {
        self.said.as_ref().is_some_and(|s| s.short_at_face > 0)
    }

    pub(super) fn name(&self) -> &str {
        &self.case.name
    }

    /// `held`, `short`, `not judged`, of the wedges of the drive; `failed` where it was not checked.
    pub(super) fn verdict(&self) -> &'static str {
        match &self.said {
            None => "failed",
            Some(s) if s.short > 0 => "short",
            Some(s) if s.not_judged > 0 => "not judged",
            Some(_) => "held",
        }
    }

    /// The least deciding factor over what is asked; infinite where nothing moves.
    pub(super) fn margin(&self) -> Option<f64> {
        self.said.as_ref().map(|s| s.least.as_ref().map_or(f64::INFINITY, |least| least.ratio))
    }

    fn least(&self) -> Option<&Least> {
        self.said.as_ref()?.least.as_ref()
    }

    fn count(&self, of: impl Fn(&Said) -> usize) -> Cell<'_> {
        self.said.as_ref().map(of).into()
    }
}

/// The columns; the README says what each means.
pub(super) fn case_table() -> Table<CaseRow> {
    use Format::{Factor, Fixed, Kn, Whole, Words};
    Table::<CaseRow>::new()
        // Also the name of its folder.
        .column("name", |r| (&r.case.name).into())
        .on_page("case", Words)
        .on_terminal("case", Words)
        .column("chainage_m", |r| r.case.chainage_m.into())
        .on_page("chainage m", Fixed(1))
        .on_terminal("chainage m", Fixed(1))
        .column("file", |r| (&r.case.file).into())
        .column("option", |r| r.case.option.as_deref().into())
        .on_page("option", Words)
        .column("verdict", |r| r.verdict().into())
        .on_page("drive", Words)
        .on_terminal("drive", Words)
        .column("short_wedges", |r| r.count(|s| s.short))
        .on_page("short", Whole)
        .on_terminal("short", Whole)
        .column("not_judged_wedges", |r| r.count(|s| s.not_judged))
        .on_page("not judged", Whole)
        .on_terminal("not judged", Whole)
        .column("short_at_face", |r| r.count(|s| s.short_at_face))
        .on_page("short at the face", Whole)
        .on_terminal("at face", Whole)
        .column("moving_wedges", |r| r.count(|s| s.moving))
        .on_page("wedges that can move", Whole)
        // Least deciding factor over what is asked, and whose it is.
        .column("margin", |r| r.margin().into())
        .on_page("FS over asked", Factor)
        .on_terminal("FS/asked", Factor)
        .column("margin_wedge", |r| r.least().map(|l| &l.wedge).into())
        .on_page("of wedge", Words)
        .on_terminal("of wedge", Words)
        .column("margin_surfaces", |r| r.least().map(|l| &l.surfaces).into())
        .on_page("on", Words)
        .column("margin_weight_kn", |r| r.least().and_then(|l| l.weight_kn).into())
        .on_page("kN", Kn)
        .on_terminal("kN", Kn)
        .column("answer", |r| r.said.as_ref().map(|s| &s.answer).into())
        .on_page("answer", Words)
        // First line of why it could not be checked.
        .column("failed_because", |r| r.why.as_deref().into())
        .on_page("could not be checked", Words)
}

pub(super) const ON_TERMINAL: [&str; 9] = [
    "name",
    "chainage_m",
    "verdict",
    "short_wedges",
    "not_judged_wedges",
    "short_at_face",
    "margin",
    "margin_wedge",
    "margin_weight_kn",
];
