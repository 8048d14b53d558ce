use std::io;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use super::as_built_file::{FoundBolts, read_bolts};
use super::as_built_rules::{as_built_of, check_as_built, earlier_of};
use super::bolt_origin::{BoltOrigin, apply_quality, joined, quality_of};
use super::bolting::{BoltsKnown, check_bolts, check_patterns, note_unused_bolts};
use super::bounds_rules::{check_bounds, check_time};
use super::collars::Ground;
use super::convert::{case_of, shape_of};
use super::face_bolting::check_face_last;
use super::file::{AsBuiltTable, CaseFile, JointSetTable, OrientationTable, SectionTable};
use super::files::{CaseFiles, Folder, LARGEST_FILE_BYTES, Texts, read_text, refuse, too_large};
use super::hanging::check_hung_loads;
use super::headings::{Heading, read_headings};
use super::local::{check_spots, check_stretches};
use super::mesh::LARGEST_MESH_BYTES;
use super::options::{CaseOption, changes, check_names, laid_over};
use super::outline::read_outline;
use super::plan_inputs::plan_inputs_of;
use super::planning::check_plan;
use super::presets::{Preset, PresetOrigin, bolt_rule, entry_rule, fill_presets, read_presets};
use super::pull_tests::{PullTest, bonds_from_tests, read_pull_tests};
use super::resampling::OfSet;
use super::rules::Rule;
use super::scan::{check_name, design_shape, mesh_too_large, read_scan};
use super::scatter::{Resampled, Scatter};
use super::scatter_rules::{check_correlations, scatter_of};
use super::schema::{joint_sets_schema, schema, structures_schema};
use super::sets::{check_sets, merge};
use super::shaking::check_shaking;
use super::sources::SourceFile;
use super::stock::Stock;
use super::stock_rules::{check_stock, stock_of};
use super::stresses::check_stress;
use super::structures::{check_structures, take_in};
use super::surfaces::check_surfaces;
use super::walk::{check_against_rules, check_complete};
use super::water::check_water;
use super::{AsBuilt, BASE_NAME, Case, Change, PlanInputs};
use crate::input::document::{Document, Node, Table, Value, read_document};
use crate::input::{Collector, Place, Problem, ProblemKind, Problems, Says, quoted};
use crate::opening::{DriveFrame, Opening, SectionError, SectionShape};
use crate::orientation::{Line, Plane};
use crate::support::BondTests;

/// Rock lighter than this, kN/m³, is more likely a density in t/m³.
const LIGHT_ROCK_KN_M3: f64 = 10.0;

static CASE_RULE: LazyLock<Rule> = LazyLock::new(|| Rule::of_schema(&schema()));
static STRUCTURES_RULE: LazyLock<Rule> = LazyLock::new(|| Rule::of_schema(&structures_schema()));
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
    /// What the case itself is called among its options.
    pub base_option: String,
    /// The options that the file gives beside the case itself, in its order.
    pub options: Vec<CaseOption>,
    /// What the mine stocks.
    pub stock: Option<Stock>,
    /// The directions of a mine plan, in the order of their file; empty where the case names none.
    pub headings: Vec<Heading>,
    /// How each bolt came to its numbers, in the order of the case.
    pub bolt_origins: Vec<BoltOrigin>,
    /// What scatters in the case as it stands; the case itself has the means.
    pub scatter: Scatter,
}

/// One of the choices that a case file holds: the case as it stands, or one of its options.
#[derive(Debug, Clone, Copy)]
pub struct Chosen<'a> {
    /// The whole case, the option's difference in it.
    pub case: &'a Case,
    /// What a plan of it rests on.
    pub plan: &'a PlanInputs,
    /// What pull tests say of each bolt whose bond comes from them.
    pub bond_tests: &'a [Option<BondTests>],
    /// How each bolt came to its numbers.
    pub bolt_origins: &'a [BoltOrigin],
    /// What differs from the case as it stands.
    pub changes: &'a [Change],
}

impl ReadCase {
    /// The case as it stands.
    #[must_use]
    pub fn as_it_stands(&self) -> Chosen<'_> {
        let Self { case, plan, bond_tests, bolt_origins, .. } = self;
        Chosen { case, plan, bond_tests, bolt_origins, changes: &[] }
    }

    /// The choice of this name: an option, or the case as it stands by the name that it has among
    /// them. `None` where there is none.
    #[must_use]
    pub fn chosen(&self, name: &str) -> Option<Chosen<'_>> {
        if name == self.base_option {
            return Some(self.as_it_stands());
        }
        let CaseOption { case, plan, bond_tests, bolt_origins, changes, .. } =
            self.options.iter().find(|o| o.name == name)?;
        Some(Chosen { case, plan, bond_tests, bolt_origins, changes })
    }

    /// The names that [`Self::chosen`] knows, that of the case as it stands first.
    pub fn choices(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.base_option.as_str()).chain(self.options.iter().map(|o| o.name.as_str()))
    }
}

/// What a document is read with besides itself: the same for the case and for each of its options.
struct Beside<'a> {
    sets: Option<&'a [Node]>,
    pull_tests: Option<&'a [PullTest]>,
    presets: Option<&'a [Preset]>,
}

/// A document read as one case.
struct OneCase {
    typed: CaseFile,
    case: Case,
    plan: PlanInputs,
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
        Ok(text) => parse_case_with(&text, &name, &Folder(folder.to_owned())),
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
    parse_case_with(text, file_name, &Texts(load))
}

/// As [`parse_case`], with files that need not be text (a mesh).
///
/// # Errors
/// [`Problems`]: all that is wrong with it at once.
pub fn parse_case_with(text: &str, file_name: &str, files: &dyn CaseFiles) -> Result<ReadCase, Problems> {
    let folder = Path::new(file_name).parent().unwrap_or(Path::new("")).to_owned();
    let name = Path::new(file_name).file_name().map_or(file_name.into(), |n| n.to_string_lossy());
    let read = vec![SourceFile::new(name.into_owned(), text.as_bytes().to_vec())];
    let mut reader = Reader { problems: Collector::default(), files, folder, read };
    let case = reader.case(text, file_name);
    done(case, reader.problems, reader.read)
}

fn done(
    built: Option<ReadCase>,
    mut problems: Collector,
    files: Vec<SourceFile>,
) -> Result<ReadCase, Problems> {
    if let Some(built) = built {
        let text = files.first().and_then(SourceFile::text).unwrap_or_default().to_owned();
        return Ok(ReadCase { notes: problems.notes(), text, files, ..built });
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

/// An origin that is moved less than this, metres, is not spoken of: no survey is that exact.
const MOVED_TOLD_M: f64 = 1e-3;

struct Reader<'a> {
    problems: Collector,
    files: &'a dyn CaseFiles,
    /// Of the case file: messages about files beside it name them from where the user is.
    folder: PathBuf,
    /// What was read so far.
    read: Vec<SourceFile>,
}

impl Reader<'_> {
    fn case(&mut self, text: &str, file_name: &str) -> Option<ReadCase> {
        let file = self.problems.file(file_name);
        let mut document = self.document(text, file, &CASE_RULE)?;
        let rule = bolt_rule(&CASE_RULE);
        let presets = document.root.table().and_then(|root| self.presets(root, rule?.0));
        let mapped = document.root.table().and_then(|root| self.mapped_structures(root));
        if let (Value::Table(root), Some((named, name, fragment))) = (&mut document.root.value, mapped) {
            take_in(&fragment, &name, root, &named, &mut self.problems);
        }
        // An option may name another preset: differences are laid over what the file says itself.
        let unfilled = document.root.clone();
        let Value::Table(table) = &mut document.root.value else { return None };
        let origins = fill_presets(table, presets.as_deref(), &mut self.problems);
        let root = document.root.table()?;
        let shape = self.shape(root);
        let sets = self.sets(root, &document);
        let pull_tests = self.pull_tests(root, root.list("bolt"));
        let named_by_options = bolts_of_options(root);
        let used_elsewhere: Vec<&str> = named_by_options.iter().map(String::as_str).collect();
        let beside =
            Beside { sets: sets.as_deref(), pull_tests: pull_tests.as_deref(), presets: presets.as_deref() };
        let base = self.one(&document.root, shape.as_ref(), &beside, origins);
        check_correlations(sets.as_deref().unwrap_or_default(), &mut self.problems);
        check_structures(root.list("structure"), sets.as_deref().unwrap_or_default(), &mut self.problems);
        if !root.has("as_built") {
            note_unused_bolts(root.list("pattern"), root.list("bolt"), &used_elsewhere, &mut self.problems);
        }
        if let Some(table) = root.table("as_built") {
            check_as_built(table, root.list("pattern"), &mut self.problems);
        }
        // Loaded before anything is given up, so that a file that is not there is named beside all else.
        let mut listed_in = |key: &str| {
            let table = root.table("as_built")?;
            let at = table.get(key).filter(|at| at.whole())?;
            self.load(at, table.text(key)?)
        };
        let (listed, earlier) = (listed_in("file"), listed_in("compared_with"));
        let headings = self.headings(root);
        let resampled = self.resampled(sets.as_deref().unwrap_or_default());
        let section = shape.as_ref().and_then(|shape| shape.section().ok());
        check_stock(root, &CASE_RULE, section.as_ref(), &mut self.problems);
        check_names(root, &mut self.problems);
        let options: Vec<Option<CaseOption>> = root
            .list("option")
            .iter()
            .map(|option| self.option(&unfilled, option, shape.as_ref(), &beside))
            .collect();
        self.notes(root);
        if self.problems.count() > 0 {
            return None;
        }
        let OneCase { typed, mut case, plan, bond_tests, bolt_origins } = base?;
        if let (Some(table), Some(at)) = (&typed.as_built, root.get("as_built")) {
            let opening = case.opening().ok()?;
            let mut built = self.as_built(&listed?, (table, at), &opening, &case)?;
            if let Some(name) = &table.compared_with {
                let named = at.table()?.get("compared_with")?;
                let found = self.bolts_of(&earlier?, (name, named), &opening, &case)?;
                built.earlier = Some(Box::new(earlier_of(&built, name, found)));
            }
            case.site.as_built = Some(built);
        }
        let stock = match &typed.stock {
            Some(table) => Some(stock_of(table, &typed)?),
            None => None,
        };
        let mut scatter = scatter_of(root, sets.as_deref().unwrap_or_default(), &case, &bolt_origins);
        scatter.resampled = resampled;
        self.note_scatter(&scatter, &case, &document);
        Some(ReadCase {
            // Known once everything is read.
            notes: Vec::new(),
            text: String::new(),
            files: Vec::new(),
            scatter,
            case,
            plan,
            bond_tests,
            bolt_origins,
            pull_tests: pull_tests.unwrap_or_default(),
            base_option: typed.base_option.unwrap_or_else(|| BASE_NAME.to_owned()),
            options: options.into_iter().collect::<Option<_>>()?,
            headings: headings.unwrap_or_default(),
            stock,
        })
    }

    /// A document as one case; `None` where something of it, or read before it, is wrong.
    fn one(
        &mut self,
        document: &Node,
        shape: Option<&SectionShape>,
        beside: &Beside,
        origins: Vec<Option<PresetOrigin>>,
    ) -> Option<OneCase> {
        let root = document.table()?;
        let opening = opening_of(root, shape);
        let bolts = root.list("bolt");
        let bolts_known = !root.has("bolt") || root.get("bolt").is_some();
        check_bolts(bolts, bolt_rule(&CASE_RULE).map(|r| r.1), &mut self.problems);
        let named = root.mentions("pull_tests");
        let bond_tests = bonds_from_tests(bolts, beside.pull_tests, named, &mut self.problems);
        let section = shape.and_then(|shape| shape.section().ok());
        let ground = Ground { section: section.as_ref(), opening: opening.as_ref() };
        let keys = entry_rule(&CASE_RULE, "pattern").map(|r| r.1);
        let known = BoltsKnown { bolts, all: bolts_known };
        check_patterns(root.list("pattern"), keys, &known, ground, &mut self.problems);
        let mapped = root.mentions("structure");
        check_stretches(root.list("pattern"), mapped, &mut self.problems);
        check_face_last(root.list("pattern"), &mut self.problems);
        let spots = root.list("bolt_at");
        check_spots(spots, bolts, bolts_known, mapped, ground, &mut self.problems);
        check_hung_loads(root.list("hung_load"), ground.section, &mut self.problems);
        check_shaking(root, &mut self.problems);
        check_water(root, beside.sets, &mut self.problems);
        check_stress(root, &mut self.problems);
        check_plan(root, &mut self.problems);
        check_surfaces(root.list("surface"), root.list("pattern"), ground.section, &mut self.problems);
        check_bounds(root, beside.sets.unwrap_or_default(), &mut self.problems);
        if self.problems.count() > 0 {
            return None;
        }
        let mut typed: CaseFile = serde_json::from_value(document.to_json()).ok()?;
        let sets: Option<Vec<JointSetTable>> =
            beside.sets?.iter().map(|set| serde_json::from_value(set.to_json()).ok()).collect();
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
        let opening = opening?;
        let qualities: Vec<_> = typed.bolt.iter().map(quality_of).collect();
        let mut case = case_of(typed.clone(), shape?.clone(), &sets?, &opening)?;
        let bolt_origins = apply_quality(&mut case, &qualities, origins);
        check_time(&case, &opening, document, &mut self.problems);
        Some(OneCase { typed, case, plan, bond_tests, bolt_origins })
    }

    /// An option: the case with its difference in it, read by the rules of a case.
    fn option(
        &mut self,
        base: &Node,
        option: &Node,
        shape: Option<&SectionShape>,
        beside: &Beside,
    ) -> Option<CaseOption> {
        let (mut merged, added) = laid_over(base, option);
        let changes = changes(base, &merged);
        let origins = match &mut merged.value {
            Value::Table(table) => fill_presets(table, beside.presets, &mut self.problems),
            _ => Vec::new(),
        };
        if let Value::Table(table) = &mut merged.value {
            for new in &added {
                let list =
                    table.entries.iter_mut().find(|(key, _)| key == new.key).map(|(_, n)| &mut n.value);
                if let Some(Value::List(list)) = list
                    && let Some(entry) = list.get_mut(new.index)
                {
                    check_complete(entry, &CASE_RULE, new.key, &mut self.problems);
                }
            }
        }
        let root = merged.table()?;
        let own_section = option.table()?.table("drive").is_some_and(|drive| drive.has("section"));
        let own_shape = if own_section { self.shape(root) } else { None };
        let shape = if own_section { own_shape.as_ref() } else { shape };
        let read = self.one(&merged, shape, beside, origins)?;
        Some(CaseOption {
            name: option.table()?.text("name")?.to_owned(),
            case: read.case,
            plan: read.plan,
            bond_tests: read.bond_tests,
            bolt_origins: read.bolt_origins,
            changes,
        })
    }

    /// The bolts of the file that `[as_built]` names.
    fn as_built(
        &mut self,
        text: &str,
        (table, at): (&AsBuiltTable, &Node),
        opening: &Opening,
        case: &Case,
    ) -> Option<AsBuilt> {
        let named = at.table()?.get("file")?;
        let found = self.bolts_of(text, (&table.file, named), opening, case)?;
        as_built_of(table, found, at, &mut self.problems)
    }

    /// The bolts of one list; how many of its rows are not used is said.
    fn bolts_of(
        &mut self,
        text: &str,
        (name, named): (&str, &Node),
        opening: &Opening,
        case: &Case,
    ) -> Option<FoundBolts> {
        let file = self.beside(name);
        let found = read_bolts(text, file, opening, &case.bolts, &mut self.problems)?;
        if !found.rejected.is_empty() {
            let says = Says::new(
                format!(
                    "{} of {} rows of {name} are not used; bolts_rejected.csv says why",
                    found.rejected.len(),
                    found.rejected.len() + found.bolts.len(),
                ),
                "",
                "",
            );
            self.problems.add(ProblemKind::Note, named.place, &named.path, says);
        }
        Some(found)
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
        match self.files.text(name) {
            Ok(text) => {
                // An option may name the outline that the case has.
                if !self.read.iter().skip(1).any(|f| f.name == name) {
                    self.read.push(SourceFile::new(name.to_owned(), text.clone().into_bytes()));
                }
                Some(text)
            }
            Err(error) => {
                refuse(&error, name, node.place, &node.path, &mut self.problems);
                None
            }
        }
    }

    /// The bytes of a mesh.
    fn load_mesh(&mut self, node: &Node, name: &str) -> Option<Vec<u8>> {
        match self.files.bytes(name, LARGEST_MESH_BYTES) {
            Ok(bytes) => {
                self.read.push(SourceFile::new(name.to_owned(), bytes.clone()));
                Some(bytes)
            }
            Err(error) if error.kind() == io::ErrorKind::FileTooLarge => {
                self.problems.add(ProblemKind::File, node.place, &node.path, mesh_too_large(name));
                None
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
            let in_messages = self.beside(file);
            let shape = read_outline(&text, in_messages, &mut self.problems)?;
            self.note_moved_origin(&shape, at, file);
            return Some(shape);
        }
        if let SectionTable::Scan { file, design, .. } = &typed {
            let table = node.table()?;
            let design_node = table.get("design");
            let design = design.as_ref().map(design_shape);
            let design = match design.zip(design_node) {
                Some((shape, node)) => Some(self.convex(node, shape)?.section().ok()?),
                None => None,
            };
            let at = table.get("file")?;
            if !check_name(at, file, &mut self.problems) {
                return None;
            }
            let bytes = self.load_mesh(at, file)?;
            let mesh_file = self.beside(file);
            return read_scan(
                &typed,
                node,
                &bytes,
                mesh_file,
                advance(root),
                design.as_ref(),
                &mut self.problems,
            );
        }
        self.convex(node, shape_of(&typed)?)
    }

    /// Says where the origin of an outline's coordinates was moved to: what else the case gives by u and v counts
    /// from there.
    fn note_moved_origin(&mut self, shape: &SectionShape, at: &Node, file: &str) {
        let Some(moved) = shape.moved_origin().filter(|m| m.norm() > MOVED_TOLD_M) else { return };
        let says = Says::new(
            format!(
                "{file}: the origin is moved to the middle of the floor, u {:.3}, v {:.3} in the file; every u_m and v_m of the case and of bolts as built counts from there",
                moved.x, moved.y
            ),
            "",
            "",
        );
        self.problems.add(ProblemKind::Note, at.place, &at.path, says);
    }

    /// The shape, if it is a section; what is wrong with it is reported where it stands.
    fn convex(&mut self, node: &Node, shape: SectionShape) -> Option<SectionShape> {
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

    /// Where the case names its file of mapped structures, that name, and what the file holds; `None` where it names
    /// none, or it cannot be read.
    fn mapped_structures(&mut self, root: &Table) -> Option<(Node, String, Node)> {
        let named = root.get("structures")?;
        let name = root.text("structures")?;
        let text = self.load(named, name)?;
        let file = self.beside(name);
        let fragment = self.document(&text, file, &STRUCTURES_RULE)?;
        self.same_north(root, &fragment);
        Some((named.clone(), name.to_owned(), fragment.root))
    }

    /// The presets that the case names; `None` where it names none, or they cannot be read.
    fn presets(&mut self, root: &Table, bolt_rule: &Rule) -> Option<Vec<Preset>> {
        let text = self.named_table(root, "presets")?;
        let file = self.beside(root.text("presets")?);
        let before = self.problems.count();
        let presets = read_presets(&text, file, bolt_rule, &mut self.problems);
        // A bolt whose row is bad would be told that there is no such row.
        (self.problems.count() == before).then_some(presets)
    }

    /// The directions of the mine plan that the case names; `None` where it names none, or they cannot be read.
    fn headings(&mut self, root: &Table) -> Option<Vec<Heading>> {
        let text = self.named_table(root, "headings")?;
        let file = self.beside(root.text("headings")?);
        read_headings(&text, file, &mut self.problems)
    }

    /// The readings that orientations of sets are drawn from, where they can be read.
    fn resampled(&mut self, sets: &[Node]) -> Vec<Resampled> {
        let mut resampled = Vec::new();
        for (joint, set) in sets.iter().enumerate() {
            let Some(table) = set.table() else { continue };
            let Some(at) = table.get("orientation").filter(|at| at.whole()) else { continue };
            let of_set = || {
                let typed: OrientationTable = serde_json::from_value(at.to_json()).ok()?;
                let plane = Plane {
                    dip_deg: table.number("dip_deg")?,
                    dip_direction_deg: table.number("dip_direction_deg")?,
                };
                Some(OfSet { joint, typed, at, name: table.text("name")?, plane })
            };
            let Some(of_set) = of_set() else { continue };
            let Some(text) = at.table().and_then(|table| self.named_table(table, "readings")) else {
                continue;
            };
            let file = self.beside(&of_set.typed.readings);
            resampled.extend(of_set.read(&text, file, &mut self.problems));
        }
        resampled
    }

    /// The text of a table that the case names by this key, where it is no larger than a file may be.
    fn named_table(&mut self, root: &Table, key: &str) -> Option<String> {
        let named = root.get(key)?;
        let text = self.load(named, root.text(key)?)?;
        if text.len() > LARGEST_FILE_BYTES {
            self.problems.add(ProblemKind::File, named.place, &named.path, too_large("a file"));
            return None;
        }
        Some(text)
    }

    /// The pull tests that the case names; `None` where it names none, or they cannot be read.
    fn pull_tests(&mut self, root: &Table, bolts: &[Node]) -> Option<Vec<PullTest>> {
        let text = self.named_table(root, "pull_tests")?;
        let file = self.beside(root.text("pull_tests")?);
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

    /// Says that what scatters is taken at its mean by all but one command.
    fn note_scatter(&mut self, scatter: &Scatter, case: &Case, document: &Document) {
        let of_set = |r: &Resampled| format!("{}.orientation", case.joints[r.joint].name);
        let mut keys: Vec<String> = scatter.resampled.iter().map(of_set).collect();
        keys.extend(scatter.inputs.iter().map(|i| i.key.clone()));
        if keys.is_empty() {
            return;
        }
        let found = format!(
            "{} scatter{}: `backhold chance` draws them, every other command takes their means",
            keys.join(", "),
            if keys.len() == 1 { "s" } else { "" }
        );
        let place = Place { line: 1, ..document.root.place };
        self.problems.add(ProblemKind::Note, place, "", Says::new(found, "", ""));
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

fn opening_of(root: &Table, shape: Option<&SectionShape>) -> Option<Opening> {
    Some(Opening::new(shape?.section().ok()?, DriveFrame::new(advance(root)?)))
}

/// Names of bolts that options and stock use.
fn bolts_of_options(root: &Table) -> Vec<String> {
    let drilled = |table: &Table| {
        table.list("pattern").iter().chain(table.list("bolt_at")).cloned().collect::<Vec<_>>()
    };
    let of_options = root.list("option").iter().filter_map(Node::table).flat_map(drilled);
    let of_case = root.list("bolt_at").iter().cloned();
    let of_stock = root.table("stock").into_iter().flat_map(|s| s.list("bolt")).cloned();
    of_options
        .chain(of_case)
        .chain(of_stock)
        .filter_map(|n| Some(n.table()?.text("bolt")?.to_owned()))
        .collect()
}
