use crate::input::document::{Node, Table};
use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Row, Says, Separator, Sheet, cited, nearest, one_of,
    quoted,
};
use crate::support::{BondTests, LEAST_TESTS};

/// A file of more tests than a mine makes is another file.
const MOST_TESTS: usize = 10_000;

/// No rig pulls more, kN; no bolt is longer, metres.
const MOST_LOAD_KN: f64 = 10_000.0;
const MOST_LENGTH_M: f64 = 30.0;

const KINDS: [&str; 4] = ["resin", "mechanical", "friction", "cable"];

/// A pull test.
#[derive(Debug, Clone, PartialEq)]
pub struct PullTest {
    /// Line in its file.
    pub line: usize,
    /// Load at which the bolt pulled, or up to which it held, kN.
    pub load_kn: f64,
    /// Length that the bond had, metres.
    pub embedded_length_m: f64,
    /// Kind of bolt; empty where the bolt is named instead.
    pub kind: String,
    /// Name of the bolt; empty where the kind is given alone.
    pub bolt: String,
    /// Rock and installation, as the tester calls them; may be empty.
    pub condition: String,
    /// Whether it held up to the load without pulling.
    pub held: bool,
}

impl PullTest {
    /// Load over embedded length, kN per metre.
    #[must_use]
    pub fn bond_kn_per_m(&self) -> f64 {
        self.load_kn / self.embedded_length_m
    }
}

/// Reads a table of pull tests, columns `load_kn`, `embedded_length_m`, `held` (yes or no), `kind`
/// or `bolt`, and `condition` where there is one. Each bad row is reported; `None` when there is no
/// table at all.
pub(super) fn read_pull_tests(
    text: &str,
    file: usize,
    bolt_names: &[&str],
    problems: &mut Collector,
) -> Option<Vec<PullTest>> {
    let Some(mut sheet) = Sheet::of(text, Separator::Comma, file) else {
        let says = Says::new(
            "an empty file",
            "a line load_kn,embedded_length_m,kind,condition,held and a line a test",
            "write the tests into it",
        );
        problems.add(ProblemKind::File, Place { file, line: 0 }, "pull_tests", says);
        return None;
    };
    let columns = columns(&sheet, problems)?;
    let most = (MOST_TESTS, "tests", "give the tests of this rock alone");
    sheet.take_rows("pull_tests", most, problems, |found, place, problems| {
        row(&columns, found, place, bolt_names, problems)
    })
}

const COLUMNS: [Known; 6] = [
    Known::named("load_kn"),
    Known::named("embedded_length_m"),
    Known::named("held"),
    Known::named("kind"),
    Known::named("bolt"),
    Known::named("condition"),
];

/// The columns; others are notes.
fn columns(sheet: &Sheet, problems: &mut Collector) -> Option<Columns> {
    let before = problems.count();
    let columns = Columns::of(&sheet.header, sheet.header_place(), &COLUMNS);
    columns.report_twice("rename or delete one of the two", problems);
    let mut lacking = columns.lacking(&["load_kn", "embedded_length_m", "held"]);
    if columns.lacking(&["kind", "bolt"]).len() == 2 {
        lacking.push("kind");
    }
    if !lacking.is_empty() {
        let says = Says::new(
            cited(sheet.header.raw),
            "the columns load_kn, embedded_length_m, held, and kind or bolt, named in the first line",
            format!("name the column {} in the first line", lacking.join(" and ")),
        );
        problems.add(ProblemKind::MissingKey, sheet.header_place(), &lacking.join(", "), says);
    }
    (problems.count() == before).then_some(columns)
}

fn row(
    columns: &Columns,
    found: &Row<'_>,
    place: Place,
    bolt_names: &[&str],
    problems: &mut Collector,
) -> Option<PullTest> {
    let before = problems.count();
    let field = |name: &str| columns.text(found, name);
    let load_kn = number(field("load_kn"), "load_kn", place, problems, |v| {
        (0.0..=MOST_LOAD_KN).contains(&v).then_some(()).ok_or(format!("a number from 0 to {MOST_LOAD_KN} kN"))
    });
    let embedded_length_m = number(field("embedded_length_m"), "embedded_length_m", place, problems, |v| {
        (v > 0.0 && v <= MOST_LENGTH_M)
            .then_some(())
            .ok_or(format!("a number above 0, up to {MOST_LENGTH_M} metres"))
    });
    let (kind, bolt) = (field("kind"), field("bolt"));
    let mut word = |found: &str, key: &str, words: &[&str], advice: &str| {
        let near = nearest(found, words.iter().copied());
        let advice = near.map_or_else(|| advice.to_owned(), |n| format!("did you mean {}?", quoted(n)));
        let found = if found.is_empty() { "nothing".to_owned() } else { quoted(found) };
        let says = Says::new(found, one_of(words.iter().copied()), advice);
        problems.add(ProblemKind::Value, place, key, says);
    };
    if !kind.is_empty() && !KINDS.contains(&kind) {
        word(kind, "kind", &KINDS, "write the kind as a [[bolt]] has it");
    }
    if !bolt.is_empty() && !bolt_names.contains(&bolt) {
        word(bolt, "bolt", bolt_names, "write the name of a [[bolt]] of the case");
    }
    if kind.is_empty() && bolt.is_empty() {
        word("", "kind", &KINDS, "write the kind of bolt, or its name in a column bolt");
    }
    let held = field("held");
    if !["yes", "no"].contains(&held) {
        word(held, "held", &["yes", "no"], "yes where it held up to the load, no where it pulled");
    }
    if problems.count() > before {
        return None;
    }
    Some(PullTest {
        line: place.line,
        load_kn: load_kn?,
        embedded_length_m: embedded_length_m?,
        kind: kind.to_owned(),
        bolt: bolt.to_owned(),
        condition: field("condition").to_owned(),
        held: held == "yes",
    })
}

fn number(
    field: &str,
    key: &str,
    place: Place,
    problems: &mut Collector,
    allowed: impl Fn(f64) -> Result<(), String>,
) -> Option<f64> {
    let value = field.parse::<f64>().ok().filter(|v| v.is_finite());
    let verdict = allowed(value.unwrap_or(f64::NAN));
    match (value, verdict) {
        (Some(value), Ok(())) => Some(value),
        (_, verdict) => {
            let found = if field.is_empty() { "nothing".to_owned() } else { cited(field) };
            let says = Says::new(
                found,
                verdict.err().unwrap_or_default(),
                "correct the number, or take the row out and say why",
            );
            problems.add(ProblemKind::Value, place, key, says);
            None
        }
    }
}

/// What the tests say of each bolt whose bond comes from them, in the order of the case; `None`
/// for the others.
pub(super) fn bonds_from_tests(
    bolts: &[Node],
    tests: Option<&[PullTest]>,
    named: bool,
    problems: &mut Collector,
) -> Vec<Option<BondTests>> {
    bolts
        .iter()
        .map(|node| {
            let bolt = node.table()?;
            let from = bolt.get("bond_from")?;
            if !named {
                let says = Says::new(
                    "\"tests\", but the case names no tests",
                    "pull_tests = \"pull_tests.csv\" at the top of the file",
                    "add pull_tests, or type bond_kn_per_m",
                );
                problems.add(ProblemKind::Conflict, from.place, &from.path, says);
                return None;
            }
            bond_of(bolt, from, tests?, problems)
        })
        .collect()
}

fn bond_of(bolt: &Table, from: &Node, tests: &[PullTest], problems: &mut Collector) -> Option<BondTests> {
    let (name, kind) = (bolt.text("name")?, bolt.text("kind")?);
    // Tests of this very bolt come before tests of its kind.
    let mut chosen: Vec<&PullTest> = tests.iter().filter(|t| t.bolt == name).collect();
    if chosen.is_empty() {
        chosen = tests.iter().filter(|t| t.bolt.is_empty() && t.kind == kind).collect();
    }
    let mut add = |problem: ProblemKind, found: String, allowed: &str, advice: String| {
        problems.add(problem, from.place, &from.path, Says::new(found, allowed, advice));
    };
    let mut conditions: Vec<&str> = chosen.iter().map(|t| t.condition.as_str()).collect();
    conditions.sort_unstable();
    conditions.dedup();
    if let Some(condition) = bolt.text("tests_condition") {
        chosen.retain(|t| t.condition == condition);
    } else if conditions.len() > 1 {
        add(
            ProblemKind::Conflict,
            format!("tests of {} conditions: {}", conditions.len(), conditions.join(", ")),
            "tests of one condition",
            "add tests_condition to the bolt: the condition of this heading".to_owned(),
        );
        return None;
    }
    let bonds: Vec<(f64, bool)> = chosen.iter().map(|t| (t.bond_kn_per_m(), t.held)).collect();
    let Some(result) = BondTests::of(&bonds) else {
        add(
            ProblemKind::Conflict,
            format!("{} tests of {}", bonds.len(), quoted(name)),
            "two tests or more, of this bolt or its kind and condition",
            "test more bolts, or type bond_kn_per_m with its source".to_owned(),
        );
        return None;
    };
    if result.characteristic_kn_per_m <= 0.0 {
        add(
            ProblemKind::Conflict,
            format!(
                "{} tests with a mean of {:.2} and a scatter of {:.2} kN per metre: their characteristic bond is not above 0",
                result.count, result.mean_kn_per_m, result.deviation_kn_per_m
            ),
            "tests whose scatter leaves a bond",
            "find out why they scatter, test more bolts, or part the conditions".to_owned(),
        );
        return None;
    }
    if result.count < LEAST_TESTS {
        add(
            ProblemKind::Note,
            format!(
                "{} pull tests of {}, fewer than the {LEAST_TESTS} that ISRM (1974) asks for",
                result.count,
                quoted(name)
            ),
            "",
            "test more bolts".to_owned(),
        );
    }
    Some(result)
}
