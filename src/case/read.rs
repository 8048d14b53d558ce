use std::io;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use super::bolt_origin::{BoltOrigin, apply_quality, joined, quality_of};
use super::bolting::{check_bolts, check_patterns};
use super::convert::{case_of, shape_of};
use super::document::{Document, Node, Table, Value, read_document};
use super::file::{CaseFile, JointSetTable, SectionTable};
use super::files::{LARGEST_FILE_BYTES, read_text, refuse, too_large};
use super::outline::read_outline;
use super::plan_inputs::plan_inputs_of;
use super::planning::check_plan;
use super::presets::{Preset, bolt_rule, fill_presets, read_presets};
use super::problem::{Collector, Place, Problem, ProblemKind, Problems, Says, quoted};
use super::pull_tests::{PullTest, bonds_from_tests, read_pull_tests};
use super::rules::Rule;
use super::schema::{joint_sets_schema, schema};
use super::sets::{check_sets, merge};
use super::sources::SourceFile;
use super::surfaces::check_surfaces;
use super::walk::check_against_rules;
use super::{Case, PlanInputs};
use crate::opening::{DriveFrame, Opening, SectionError, SectionShape};
use crate::orientation::Line;
use crate::support::BondTests;

/// Rock lighter than this, kN/m³, is more likely a density in t/m³.
const LIGHT_ROCK_KN_M3: f64 = 10.0;

static CASE_RULE: LazyLock<Rule> = LazyLock::new(|| Rule::of_schema(&schema()));
static JOINT_SETS_RULE: LazyLock<Rule> = LazyLock::new(|| Rule::of_schema(&joint_sets_schema()));

/// A case that has been read, with what is worth knowing about its file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadCase {
    /// The case.
    pub case: Case,
    /// Notes: nothing that keeps the case from being checked.
    pub notes: Vec<Problem>,
    /// The text of the case file, as it was read.
    pub text: String,
    /// The case file and the files that it names, as they were read, in the order of reading.
    pub files: Vec<SourceFile>,
    /// What a plan rests on besides the case.
    pub plan: PlanInputs,
    /// The pull tests that the case names, in the order of their file.
    pub pull_tests: Vec<PullTest>,
    /// What the tests say of each bolt whose bond comes from them, in the order of the case: the
    /// scatter stays known, the bolt itself has the characteristic value.
    pub bond_tests: Vec<Option<BondTests>>,
    /// How each bolt came to its numbers, in the order of the case.
    pub bolt_origins: Vec<BoltOrigin>,
}

/// What the reader builds.
struct Built {
    case: Case,
    plan: PlanInputs,
    pull_tests: Vec<PullTest>,
    bond_tests: Vec<Option<BondTests>>,
    bolt_origins: Vec<BoltOrigin>,
}

/// Reads a case file, and the files that it names, from disk. Names in it start from its folder.
///
/// # Errors
/// [`Problems`]: all that is wrong with it at once.
pub fn read_case(path: &Path) -> Result<ReadCase, Problems> {
    let name = path.display().to_string();
    let folder = path.parent().unwrap_or(Path::new(""));
    match read_text(path) {
        Ok(text) => parse_case(&text, &name, &|file| read_text(&folder.join(file))),
        Err(error) => {
            let mut problems = Collector::default();
            let file = problems.file(&name);
            refuse(&error, &name, Place { file, line: 0 }, "", &mut problems);
            done(None, problems, Vec::new())
        }
    }
}

/// Reads a case from its text. `load` gives the text of a file that the case names (an outline,
/// a file of joint sets); `file_name` stands in messages.
///
/// # Errors
/// [`Problems`]: all that is wrong with it at once.
pub fn parse_case(
    text: &str,
    file_name: &str,
    load: &dyn Fn(&str) -> io::Result<String>,
) -> Result<ReadCase, Problems> {
    let folder = Path::new(file_name).parent().unwrap_or(Path::new("")).to_owned();
    let name = Path::new(file_name).file_name().map_or(file_name.into(), |n| n.to_string_lossy());
    let files = vec![SourceFile { name: name.into_owned(), text: text.to_owned() }];
    let mut reader = Reader { problems: Collector::default(), load, folder, files };
    let case = reader.case(text, file_name);
    done(case, reader.problems, reader.files)
}

fn done(built: Option<Built>, mut problems: Collector, files: Vec<SourceFile>) -> Result<ReadCase, Problems> {
    if let Some(Built { case, plan, pull_tests, bond_tests, bolt_origins }) = built {
        let text = files.first().map(|f| f.text.clone()).unwrap_or_default();
        let notes = problems.notes();
        return Ok(ReadCase { case, notes, text, files, plan, pull_tests, bond_tests, bolt_origins });
    }
    if problems.count() == 0 {
        // The rules and the structs come from one source, so this is a defect of the program;
        // it is said, not panicked about.
        let says =
            Says::new("a case that the reader accepts and cannot build", "", "report it with the file");
        problems.add(ProblemKind::File, Place::default(), "", says);
    }
    Err(problems.problems())
}

struct Reader<'a> {
    problems: Collector,
    load: &'a dyn Fn(&str) -> io::Result<String>,
    /// Of the case file: messages about files beside it name them from where the user is.
    folder: PathBuf,
    /// What was read so far.
    files: Vec<SourceFile>,
}

impl Reader<'_> {
    fn case(&mut self, text: &str, file_name: &str) -> Option<Built> {
        let file = self.problems.file(file_name);
        let mut document = self.document(text, file, &CASE_RULE)?;
        let rule = bolt_rule(&CASE_RULE);
        let presets = document.root.table().and_then(|root| self.presets(root, rule?.0));
        let Value::Table(table) = &mut document.root.value else { return None };
        let origins = fill_presets(table, presets.as_deref(), &mut self.problems);
        let root = document.root.table()?;
        let shape = self.shape(root);
        let advance = advance(root);
        let opening = shape
            .as_ref()
            .zip(advance)
            .and_then(|(shape, advance)| Some(Opening::new(shape.section().ok()?, DriveFrame::new(advance))));
        let sets = self.sets(root, &document);
        let bolts = root.list("bolt");
        let bolts_known = !root.has("bolt") || root.get("bolt").is_some();
        check_bolts(bolts, rule.map(|r| r.1), &mut self.problems);
        let pull_tests = self.pull_tests(root, bolts);
        let named = root.mentions("pull_tests");
        let bond_tests = bonds_from_tests(bolts, pull_tests.as_deref(), named, &mut self.problems);
        check_patterns(root.list("pattern"), bolts, bolts_known, opening.as_ref(), &mut self.problems);
        check_plan(root, &mut self.problems);
        check_surfaces(root.list("surface"), root.list("pattern"), opening.as_ref(), &mut self.problems);
        self.notes(root);
        if self.problems.count() > 0 {
            return None;
        }
        let mut typed: CaseFile = serde_json::from_value(document.root.to_json()).ok()?;
        let sets: Option<Vec<JointSetTable>> =
            sets?.iter().map(|set| serde_json::from_value(set.to_json()).ok()).collect();
        for (bolt, preset) in typed.bolt.iter_mut().zip(origins.iter().map(Option::as_ref)) {
            if let Some(preset) = preset {
                bolt.source = joined(bolt.source.as_deref(), &preset.words());
            }
        }
        for (bolt, tests) in typed.bolt.iter_mut().zip(&bond_tests) {
            if let Some(tests) = tests {
                bolt.bond_kn_per_m = Some(tests.characteristic_kn_per_m);
                bolt.source = Some(tested_source(bolt.source.as_deref(), tests));
            }
        }
        let plan = plan_inputs_of(&typed);
        let qualities: Vec<_> = typed.bolt.iter().map(quality_of).collect();
        let mut case = case_of(typed, shape?, &sets?)?;
        let bolt_origins = apply_quality(&mut case, &qualities, origins);
        let pull_tests = pull_tests.unwrap_or_default();
        Some(Built { case, plan, pull_tests, bond_tests, bolt_origins })
    }

    /// A text as a document that has been checked against its rules. `None` when nothing more
    /// can be said about it.
    fn document(&mut self, text: &str, file: usize, rule: &Rule) -> Option<Document> {
        let whole = Place { file, line: 0 };
        if text.len() > LARGEST_FILE_BYTES {
            self.problems.add(ProblemKind::File, whole, "", too_large("a file"));
            return None;
        }
        if text.trim_start_matches('\u{feff}').trim().is_empty() {
            let says = Says::new("an empty file", "TOML", "`backhold new` writes a case to start from");
            self.problems.add(ProblemKind::File, whole, "", says);
            return None;
        }
        let mut document = read_document(text, file, &mut self.problems);
        check_against_rules(&mut document.root, rule, document.last_line, &mut self.problems);
        if document.broken {
            // What else is said has to hold whatever the broken lines were meant to be.
            let broken = &document.broken_lines;
            self.problems.retain(|place, problem| {
                place.file != file
                    || problem.kind == ProblemKind::Syntax
                    || (problem.kind == ProblemKind::Value && broken.binary_search(&place.line).is_err())
            });
            return None;
        }
        Some(document)
    }

    /// A further file, which the case names.
    fn beside(&mut self, name: &str) -> usize {
        self.problems.file(&self.folder.join(name).display().to_string())
    }

    fn load(&mut self, node: &Node, name: &str) -> Option<String> {
        match (self.load)(name) {
            Ok(text) => {
                self.files.push(SourceFile { name: name.to_owned(), text: text.clone() });
                Some(text)
            }
            Err(error) => {
                refuse(&error, name, node.place, &node.path, &mut self.problems);
                None
            }
        }
    }

    fn shape(&mut self, root: &Table) -> Option<SectionShape> {
        let node = root.table("drive")?.get("section").filter(|n| n.whole())?;
        let typed: SectionTable = serde_json::from_value(node.to_json()).ok()?;
        if let SectionTable::Outline { file } = &typed {
            let at = node.table()?.get("file")?;
            let text = self.load(at, file)?;
            if text.len() > LARGEST_FILE_BYTES {
                self.problems.add(ProblemKind::File, at.place, &at.path, too_large("a file"));
                return None;
            }
            let file = self.beside(file);
            return read_outline(&text, file, &mut self.problems);
        }
        let shape = shape_of(&typed)?;
        let error = match shape.section() {
            Ok(_) => return Some(shape),
            Err(error) => error,
        };
        let (at, says) = match &error {
            SectionError::RiseTooHigh { rise_m, half_width_m } => (
                node.table()?.get("rise_m")?,
                Says::new(
                    format!(
                        "{rise_m}, more than half of width_m: the arc would bulge out over the walls, and the section would not be convex"
                    ),
                    format!("a number up to {half_width_m} metres"),
                    "give the height of the crown above the springline",
                ),
            ),
            other => (node, Says::new(other.to_string(), "a convex section", "correct the section")),
        };
        self.problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        None
    }

    /// The joint sets, from the case or from the file it names. `None` when they are not known.
    fn sets(&mut self, root: &Table, document: &Document) -> Option<Vec<Node>> {
        let here = root.get("joint_set");
        if root.has("joint_set") && here.is_none() {
            return None;
        }
        let added = root.list("joint_set");
        if !root.has("joint_sets") {
            if !root.mentions("joint_set") && root.mentions("joint_sets") {
                return None; // misspelt, and reported
            }
            let end = Place { line: document.last_line, ..document.root.place };
            check_sets(added, false, added.first().map_or(end, |s| s.place), &mut self.problems);
            return Some(added.to_vec());
        }
        let named = root.get("joint_sets")?;
        let name = root.text("joint_sets")?;
        let text = self.load(named, name)?;
        let file = self.beside(name);
        let fragment = self.document(&text, file, &JOINT_SETS_RULE)?;
        self.same_north(root, &fragment);
        let table = fragment.root.table()?;
        if table.has("joint_set") && table.get("joint_set").is_none() {
            return None;
        }
        let sets = merge(&fragment.root, name, added, named, &mut self.problems);
        check_sets(&sets, true, named.place, &mut self.problems);
        Some(sets)
    }

    /// The presets that the case names; `None` where it names none, or they cannot be read.
    fn presets(&mut self, root: &Table, bolt_rule: &Rule) -> Option<Vec<Preset>> {
        let named = root.get("presets")?;
        let name = root.text("presets")?;
        let text = self.load(named, name)?;
        if text.len() > LARGEST_FILE_BYTES {
            self.problems.add(ProblemKind::File, named.place, &named.path, too_large("a file"));
            return None;
        }
        let file = self.beside(name);
        let before = self.problems.count();
        let presets = read_presets(&text, file, bolt_rule, &mut self.problems);
        // A bolt whose row is bad would be told that there is no such row.
        (self.problems.count() == before).then_some(presets)
    }

    /// The pull tests that the case names; `None` where it names none, or they cannot be read.
    fn pull_tests(&mut self, root: &Table, bolts: &[Node]) -> Option<Vec<PullTest>> {
        let named = root.get("pull_tests")?;
        let name = root.text("pull_tests")?;
        let text = self.load(named, name)?;
        if text.len() > LARGEST_FILE_BYTES {
            self.problems.add(ProblemKind::File, named.place, &named.path, too_large("a file"));
            return None;
        }
        let file = self.beside(name);
        let names: Vec<&str> = bolts.iter().filter_map(|b| b.table()?.text("name")).collect();
        let before = self.problems.count();
        let tests = read_pull_tests(&text, file, &names, &mut self.problems);
        // With bad rows left out, the tests would say something that they do not.
        tests.filter(|_| self.problems.count() == before)
    }

    fn same_north(&mut self, root: &Table, fragment: &Document) {
        let Some(there) = fragment.root.table().and_then(|t| t.get("north")) else { return };
        let Some(mapped) = fragment.root.table().and_then(|t| t.text("north")) else { return };
        if root.has("north") && root.get("north").is_none() {
            return;
        }
        let north = root.text("north").unwrap_or("mine grid");
        if north.trim().to_lowercase() != mapped.trim().to_lowercase() {
            let says = Says::new(
                format!("{}, but the case counts from {}", quoted(mapped), quoted(north)),
                "one north for everything in a case",
                "map again with the case's north, or correct north in one of the two files",
            );
            self.problems.add(ProblemKind::Conflict, there.place, "north", says);
        }
    }

    fn notes(&mut self, root: &Table) {
        let mut note = |table: &str, key: &str, when: &dyn Fn(f64) -> bool, words: &str| {
            let Some(table) = root.table(table) else { return };
            if let (Some(value), Some(at)) = (table.number(key).filter(|&v| when(v)), table.get(key)) {
                let says = Says::new(format!("{value} {words}"), "", "");
                self.problems.add(ProblemKind::Note, at.place, &at.path, says);
            }
        };
        note(
            "rock",
            "unit_weight_kn_m3",
            &|w| w < LIGHT_ROCK_KN_M3,
            "is light for rock: is it a density in t/m³? Times 9.81 gives kN/m³",
        );
        for key in ["min_fs_falling", "min_fs_sliding"] {
            note("criteria", key, &|fs| fs < 1.0, "asks for less resistance than there is load");
        }
    }
}

/// The source of a bolt whose bond comes from tests: what the user says, and what the tests are.
fn tested_source(source: Option<&str>, tests: &BondTests) -> String {
    let said = source.map(|s| format!("{s}; ")).unwrap_or_default();
    format!(
        "{said}bond from {} pull tests, mean {:.1}, characteristic {:.2} kN/m",
        tests.count, tests.mean_kn_per_m, tests.characteristic_kn_per_m
    )
}

fn advance(root: &Table) -> Option<Line> {
    let drive = root.table("drive")?;
    Some(Line { trend_deg: drive.number("trend_deg")?, plunge_deg: drive.number("plunge_deg")? })
}
