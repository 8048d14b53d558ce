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
    /// What was asked of it was done.
    Done,
    /// An earlier run had done it with the same inputs.
    AsBefore,
    /// It could not be.
    Failed,
}

/// What was asked of every case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CasesOf {
    /// A check.
    Check,
    /// How likely wedges are short.
    Chance,
}

/// What the summary of a case says of it.
#[derive(Debug, Clone, PartialEq)]
struct Said {
    answer: String,
    of: Found,
}

#[derive(Debug, Clone, PartialEq)]
enum Found {
    Check(Checked),
    Chance(Chances),
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Default)]
struct Checked {
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

/// What draws came to, on all surfaces together: the numbers of chance.csv.
#[derive(Debug, Clone, PartialEq)]
struct Chances {
    draws: u64,
    bare: [f64; 3],
    bolted: Option<[f64; 3]>,
    judged: Option<f64>,
    volume_95_m3: Option<f64>,
    needed_95_kn: Option<f64>,
    needed_95_kpa: Option<f64>,
}

impl Chances {
    /// The chance that counts, and the ends of its interval: with bolts where there are any.
    fn deciding(&self) -> [f64; 3] {
        self.bolted.unwrap_or(self.bare)
    }
}

/// A case among others.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseRow {
    case: ListedCase,
    state: CaseState,
    said: Option<Said>,
    why: Option<String>,
}

impl Checked {
    fn of(wedges: &[Value]) -> Self {
        let word =
            |wedge: &Value, key: &str| wedge.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
        // Infinite factors are written as words, and decide nothing.
        let number = |wedge: &Value, key: &str| wedge.get(key).and_then(Value::as_f64);
        let mut said = Self::default();
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
        said
    }
}

impl Chances {
    /// Of the row of all surfaces; `None` where it is none.
    fn of(row: &Value) -> Option<Self> {
        let number = |key: &str| row.get(key).and_then(Value::as_f64);
        let chance = |key: &str| {
            let end = |end: &str| number(&format!("{key}_{end}"));
            Some([number(key)?, end("low")?, end("high")?])
        };
        Some(Self {
            draws: row.get("draws")?.as_u64()?,
            bare: chance("chance_short_bare")?,
            bolted: chance("chance_short_bolted"),
            judged: number("chance_judged_short"),
            volume_95_m3: number("volume_95_m3"),
            needed_95_kn: number("needed_95_kn"),
            needed_95_kpa: number("needed_95_kpa"),
        })
    }
}

impl CaseRow {
    /// A case whose folder has this summary.json, of what was asked.
    ///
    /// # Errors
    /// What of the summary cannot be read, in words.
    pub fn of_summary(
        case: &ListedCase,
        state: CaseState,
        asked: CasesOf,
        summary: &str,
    ) -> Result<Self, String> {
        let value: Value =
            serde_json::from_str(summary).map_err(|e| format!("its summary is no JSON ({e})"))?;
        let lacks = |key: &str| format!("its summary has no {key}");
        let answer = value.get("answer").and_then(Value::as_str).ok_or_else(|| lacks("answer"))?;
        let list = |key: &str| value.get(key).and_then(Value::as_array).ok_or_else(|| lacks(key));
        let of = match asked {
            CasesOf::Check => Found::Check(Checked::of(list("wedges")?)),
            CasesOf::Chance => {
                let all = list("chance")?.first().and_then(Chances::of);
                Found::Chance(all.ok_or_else(|| lacks("chance of all surfaces"))?)
            }
        };
        let said = Said { answer: answer.to_owned(), of };
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
        self.checked().is_some_and(|s| s.short + s.not_judged + s.short_at_face == 0)
    }

    /// Whether a wedge at its face is short.
    pub(super) fn is_short_at_face(&self) -> bool {
        self.checked().is_some_and(|s| s.short_at_face > 0)
    }

    pub(super) fn name(&self) -> &str {
        &self.case.name
    }

    fn checked(&self) -> Option<&Checked> {
        match &self.said.as_ref()?.of {
            Found::Check(checked) => Some(checked),
            Found::Chance(_) => None,
        }
    }

    fn chances(&self) -> Option<&Chances> {
        match &self.said.as_ref()?.of {
            Found::Chance(chances) => Some(chances),
            Found::Check(_) => None,
        }
    }

    /// The chance that a wedge is short, and the ends of its interval, where it is known.
    pub(super) fn chance(&self) -> Option<[f64; 3]> {
        self.chances().map(Chances::deciding)
    }

    /// `held`, `short`, `not judged`, of the wedges of the drive; `failed` where it was not checked.
    pub(super) fn verdict(&self) -> &'static str {
        match self.checked() {
            None => "failed",
            Some(s) if s.short > 0 => "short",
            Some(s) if s.not_judged > 0 => "not judged",
            Some(_) => "held",
        }
    }

    /// The least deciding factor over what is asked; infinite where nothing moves.
    pub(super) fn margin(&self) -> Option<f64> {
        self.checked().map(|s| s.least.as_ref().map_or(f64::INFINITY, |least| least.ratio))
    }

    fn least(&self) -> Option<&Least> {
        self.checked()?.least.as_ref()
    }

    fn count(&self, of: impl Fn(&Checked) -> usize) -> Cell<'_> {
        self.checked().map(of).into()
    }

    fn of_draws(&self, of: impl Fn(&Chances) -> Option<f64>) -> Cell<'_> {
        self.chances().and_then(of).into()
    }
}

/// The columns of what was asked; the README says what each means.
pub(super) fn table_of(asked: CasesOf) -> Table<CaseRow> {
    match asked {
        CasesOf::Check => case_table(),
        CasesOf::Chance => chance_table(),
    }
}

/// What every table begins with.
fn named() -> Table<CaseRow> {
    use Format::{Fixed, Words};
    Table::<CaseRow>::new()
        // Also the name of its folder.
        .column("name", |r| (&r.case.name).into())
        .on_page("case", Words)
        .on_terminal("case", Words)
        .column("chainage_m", |r| r.case.chainage_m.into())
        .on_page("chainage m", Fixed(1))
        .on_terminal("chainage m", Fixed(1))
        .column("file", |r| (&r.case.file).into())
}

/// What every table ends with.
fn told(table: Table<CaseRow>) -> Table<CaseRow> {
    use Format::Words;
    table
        .column("answer", |r| r.said.as_ref().map(|s| &s.answer).into())
        .on_page("answer", Words)
        // First line of why it could not be checked.
        .column("failed_because", |r| r.why.as_deref().into())
        .on_page("could not be checked", Words)
}

fn chance_table() -> Table<CaseRow> {
    use Format::{Fixed, Kn, Volume, Whole};
    let table = named()
        .column("draws", |r| r.chances().map(|c| c.draws).into())
        .on_page("draws", Whole)
        .column("chance_short_bare", |r| r.of_draws(|c| Some(c.bare[0])))
        .on_page_as("short bare %", Fixed(1), |r| r.of_draws(|c| Some(100.0 * c.bare[0])))
        .on_terminal_as("bare %", Fixed(1), |r| r.of_draws(|c| Some(100.0 * c.bare[0])))
        .column("chance_short_bare_low", |r| r.of_draws(|c| Some(c.bare[1])))
        .column("chance_short_bare_high", |r| r.of_draws(|c| Some(c.bare[2])))
        .column("chance_short_bolted", |r| r.of_draws(|c| c.bolted.map(|b| b[0])))
        .on_page_as("short bolted %", Fixed(1), |r| r.of_draws(|c| c.bolted.map(|b| 100.0 * b[0])))
        .on_terminal_as("bolted %", Fixed(1), |r| r.of_draws(|c| c.bolted.map(|b| 100.0 * b[0])))
        .column("chance_short_bolted_low", |r| r.of_draws(|c| c.bolted.map(|b| b[1])))
        .column("chance_short_bolted_high", |r| r.of_draws(|c| c.bolted.map(|b| b[2])))
        // The interval of the chance that decides.
        .only_shown("from", |r| r.of_draws(|c| Some(100.0 * c.deciding()[1])))
        .on_page("from %", Fixed(1))
        .on_terminal("from %", Fixed(1))
        .only_shown("to", |r| r.of_draws(|c| Some(100.0 * c.deciding()[2])))
        .on_page("to %", Fixed(1))
        .on_terminal("to %", Fixed(1))
        .column("chance_judged_short", |r| r.of_draws(|c| c.judged))
        .on_page_as("short as judged %", Fixed(1), |r| r.of_draws(|c| c.judged.map(|j| 100.0 * j)))
        .column("volume_95_m3", |r| r.of_draws(|c| c.volume_95_m3))
        .on_page("95 % below m³", Volume)
        .on_terminal("95 % m³", Volume)
        .column("needed_95_kn", |r| r.of_draws(|c| c.needed_95_kn))
        .on_page("95 % need at most kN", Kn)
        .on_terminal("95 % kN", Kn)
        .column("needed_95_kpa", |r| r.of_draws(|c| c.needed_95_kpa))
        .on_page("covers 95 % kPa", Fixed(1))
        .on_terminal("95 % kPa", Fixed(1));
    told(table)
}

fn case_table() -> Table<CaseRow> {
    use Format::{Factor, Kn, Whole, Words};
    let table = named()
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
        .on_terminal("kN", Kn);
    told(table)
}

/// What the terminal shows of what was asked.
pub(super) fn on_terminal(asked: CasesOf) -> [&'static str; 9] {
    match asked {
        CasesOf::Check => OF_A_CHECK,
        CasesOf::Chance => OF_CHANCES,
    }
}

const OF_CHANCES: [&str; 9] = [
    "name",
    "chainage_m",
    "chance_short_bare",
    "chance_short_bolted",
    "from",
    "to",
    "volume_95_m3",
    "needed_95_kn",
    "needed_95_kpa",
];

const OF_A_CHECK: [&str; 9] = [
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
