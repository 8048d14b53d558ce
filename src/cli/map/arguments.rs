//! The switches of `map`, and what they say of reading and mapping.

use std::path::{Path, PathBuf};

use super::stated::Stated;
use crate::cli::date;
use crate::orientation::Plane;
use crate::survey::{
    ColumnMap, Condition, DEFAULT_MAX_WEIGHT, MapOptions, NorthCorrection, ReadOptions, RowChoice, SetSource,
    StructureKind, WrittenAs,
};

/// Turn a mapper's survey into joint sets: corrections, sets, statistics, stereonet, and a
/// fragment that a case takes in.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The survey: a table with units in its headers, as CSV or in a spreadsheet (.xlsx, .xls, .ods), or an
    /// AGS 4 file.
    #[arg(value_name = "SURVEY", required_unless_present = "again")]
    pub(super) survey: Option<PathBuf>,
    /// The folder to write tables, plots, fragment and page into, all or nothing.
    #[arg(long, value_name = "DIR", required_unless_present = "again")]
    pub(super) out: Option<PathBuf>,
    /// A CSV table of scanlines, windows and holes: id, kind, trend_deg, plunge_deg, length_m,
    /// radius_m or width_m and height_m, reference_line.
    #[arg(long, value_name = "LINES")]
    pub(super) lines: Option<PathBuf>,
    /// Which of the survey's headers means what, such as dip_direction_deg="Azimuth"; may be
    /// given several times.
    #[arg(long = "column", value_name = "OURS=THEIRS")]
    pub(super) columns: Vec<String>,
    /// The sheet of a spreadsheet; needed where several hold something.
    #[arg(long, value_name = "SHEET")]
    pub(super) sheet: Option<String>,
    /// The sheet with the lines, where they stand in a spreadsheet.
    #[arg(long, value_name = "SHEET")]
    pub(super) lines_sheet: Option<String>,
    /// How orientations are written, beyond plain numbers in columns of their own: dip/direction, direction/dip or
    /// strike/dip in a column orientation, quadrant (N45E/60SE there, or strike_quadrant and dip_quadrant), about
    /// (ca. 45); may be given several times.
    #[arg(long = "notation", value_name = "NOTATION")]
    pub(super) notations: Vec<String>,
    /// Take only rows with this value or range in a column, such as scanline=SL1 or distance_m=10..40; may be given
    /// several times: any of those on one column, all columns together.
    #[arg(long = "where", value_name = "COLUMN=VALUE")]
    pub(super) rows: Vec<String>,
    /// What else in the column type stands for a fault, shear, contact or dyke, such as fault=FLT; may be given
    /// several times.
    #[arg(long = "structure", value_name = "KIND=TYPE")]
    pub(super) structures: Vec<String>,
    /// The line of the survey that holds its header, from 1; found where it is not given.
    #[arg(long, value_name = "LINE")]
    pub(super) header_row: Option<usize>,
    /// How far magnetic north lies east of true north, degrees.
    #[arg(long, value_name = "DEG", default_value_t = 0.0, allow_negative_numbers = true)]
    pub(super) declination_deg: f64,
    /// How far the case's north lies east of true north, degrees.
    #[arg(long, value_name = "DEG", default_value_t = 0.0, allow_negative_numbers = true)]
    pub(super) convergence_deg: f64,
    /// What the case calls its north.
    #[arg(long, value_name = "NORTH", default_value = "mine grid")]
    pub(super) north: String,
    /// The number of sets, instead of choosing it; labels are put aside.
    #[arg(long, value_name = "N")]
    pub(super) sets: Option<String>,
    /// Where to start a set, dip and dip direction such as 68/042; may be given several times;
    /// labels are put aside.
    #[arg(long = "start", value_name = "DIP/DD")]
    pub(super) starts: Vec<String>,
    #[command(flatten)]
    pub(super) stated: Box<Stated>,
    /// Find the sets even where the mapper labelled them.
    #[arg(long)]
    pub(super) ignore_labels: bool,
    /// What becomes of readings without a label where others have one: they stay out of every set, or each
    /// is assigned to the labelled set that it most likely belongs to.
    #[arg(long, value_name = "WAY", value_enum, default_value_t = Unlabelled::Out)]
    pub(super) unlabelled: Unlabelled,
    /// Leave rows that repeat an earlier one out of means as well, not only of counts along lines.
    #[arg(long)]
    pub(super) drop_repeats: bool,
    /// Map the stretches on both sides of this place along the drive by themselves, metres, or on both sides of
    /// every border that is found (found); may be given several times.
    #[arg(long = "border", value_name = "M|found")]
    pub(super) borders: Vec<String>,
    /// Greatest Terzaghi weight of a reading, 1 or more.
    #[arg(long, value_name = "W", default_value_t = DEFAULT_MAX_WEIGHT)]
    pub(super) max_weight: f64,
    /// Seed of the random starts and of the bootstrap.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(super) seed: u64,
    /// Draw the stereonet in equal-angle instead of equal-area projection.
    #[arg(long)]
    pub(super) equal_angle: bool,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    pub(super) overwrite: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    pub(super) dated: Option<String>,
    /// Run again from the inputs and switches in the summary.json of an earlier run, and say what differs.
    #[arg(long, value_name = "SUMMARY", conflicts_with_all = ["survey", "lines", "dated"])]
    pub(super) again: Option<PathBuf>,
}

/// Readings without a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Unlabelled {
    Out,
    Assign,
}

/// A case takes no more sets.
const MOST_SETS: usize = 20;
/// Letters of a case's north.
const MOST_NORTH: usize = 100;

pub(super) fn map_options(arguments: &Arguments, wrong: &mut Vec<String>) -> MapOptions {
    let mut options = MapOptions::default();
    options.mixture.seed = arguments.seed;
    if let Some(text) = &arguments.sets {
        match text.parse() {
            Ok(sets @ 1..=MOST_SETS) => options.mixture.sets = Some(sets),
            _ => wrong.push(format!("--sets {text}: allowed 1 to {MOST_SETS}")),
        }
    }
    for text in &arguments.starts {
        match dip_and_direction(text) {
            Some(plane) => options.mixture.starts.push(plane.upward_normal().into_inner()),
            None => wrong.push(format!(
                "--start {text}: allowed dip and dip direction, 0 to 90 and 0 to 360, such as 68/042"
            )),
        }
    }
    let most = options.mixture.sets.unwrap_or(MOST_SETS);
    if options.mixture.starts.len() > most {
        wrong.push(format!("--start: {} of them, for {most} sets at most", options.mixture.starts.len()));
    }
    if arguments.max_weight >= 1.0 && arguments.max_weight.is_finite() {
        options.max_weight = arguments.max_weight;
    } else {
        wrong.push(format!("--max-weight {}: allowed 1 or more", arguments.max_weight));
    }
    if arguments.unlabelled == Unlabelled::Assign {
        options.source = SetSource::LabelsForAll;
    }
    if arguments.ignore_labels || arguments.sets.is_some() || !arguments.starts.is_empty() {
        if arguments.unlabelled == Unlabelled::Assign {
            wrong.push(
                "--unlabelled assign: it goes by the labels, which --ignore-labels, --sets and --start put \
                 aside; give one or the other"
                    .to_owned(),
            );
        }
        options.source = SetSource::Automatic;
    }
    if arguments.stated.set_borders.is_some() {
        let given = [
            ("--sets", arguments.sets.is_some()),
            ("--start", !arguments.starts.is_empty()),
            ("--ignore-labels", arguments.ignore_labels),
            ("--unlabelled assign", arguments.unlabelled == Unlabelled::Assign),
        ];
        let beside: Vec<&str> = given.iter().filter(|(_, given)| *given).map(|(name, _)| *name).collect();
        if !beside.is_empty() {
            wrong.push(format!(
                "--set-borders: borders by hand say which sets there are, and so does {}; give one or the other",
                beside.join(", ")
            ));
        }
    }
    options.hint = arguments.stated.hint_conditions(wrong);
    options
}

fn dip_and_direction(text: &str) -> Option<Plane> {
    let (dip, direction) = text.split_once('/')?;
    let (dip_deg, dip_direction_deg) = (dip.trim().parse().ok()?, direction.trim().parse().ok()?);
    let fits = (0.0..=90.0).contains(&dip_deg) && (0.0..=360.0).contains(&dip_direction_deg);
    fits.then_some(Plane { dip_deg, dip_direction_deg })
}

fn column_map(columns: &[String], wrong: &mut Vec<String>) -> ColumnMap {
    let mut map = ColumnMap::default();
    for text in columns {
        match text.split_once('=') {
            Some((ours, theirs)) if !ours.trim().is_empty() && !theirs.trim().is_empty() => {
                map.pairs.push((ours.trim().to_owned(), theirs.trim().to_owned()));
            }
            _ => wrong.push(format!(
                "--column {text}: write the known name, =, and the header in the file, such as dip_direction_deg=\"Azimuth\""
            )),
        }
    }
    map
}

fn north(arguments: &Arguments, wrong: &mut Vec<String>) -> NorthCorrection {
    for (name, value) in
        [("--declination-deg", arguments.declination_deg), ("--convergence-deg", arguments.convergence_deg)]
    {
        if !(-180.0..=180.0).contains(&value) {
            wrong.push(format!("{name} {value}: allowed -180 to 180, east positive"));
        }
    }
    let letters = arguments.north.chars().count();
    if arguments.north.trim().is_empty() || letters > MOST_NORTH {
        wrong.push(format!("--north: {letters} letters; allowed 1 to {MOST_NORTH}"));
    }
    NorthCorrection { declination_deg: arguments.declination_deg, convergence_deg: arguments.convergence_deg }
}

/// The switches that change what is found and differ from what holds without them, as they are typed: with the
/// files they are all that running again needs.
pub(super) fn switches(arguments: &Arguments) -> Vec<String> {
    let mut switches: Vec<String> = Vec::new();
    // With = between, so that a value may begin with a hyphen.
    let mut put = |name: &str, value: &str| switches.push(format!("--{name}={value}"));
    let many: [(&str, &Vec<String>); 6] = [
        ("column", &arguments.columns),
        ("notation", &arguments.notations),
        ("where", &arguments.rows),
        ("structure", &arguments.structures),
        ("start", &arguments.starts),
        ("border", &arguments.borders),
    ];
    for (name, values) in many {
        values.iter().for_each(|value| put(name, value));
    }
    let one = [
        ("sheet", arguments.sheet.clone()),
        ("lines-sheet", arguments.lines_sheet.clone()),
        ("sets", arguments.sets.clone()),
        ("header-row", arguments.header_row.map(|line| line.to_string())),
        ("declination-deg", Some(arguments.declination_deg).filter(|d| *d != 0.0).map(|d| d.to_string())),
        ("convergence-deg", Some(arguments.convergence_deg).filter(|d| *d != 0.0).map(|d| d.to_string())),
        ("north", Some(arguments.north.clone())),
        ("max-weight", Some(arguments.max_weight.to_string())),
        ("seed", Some(arguments.seed.to_string())),
        ("normal-stress-kpa", arguments.stated.normal_stress_kpa.map(|kpa| kpa.to_string())),
        ("base-friction-deg", arguments.stated.base_friction_deg.map(|deg| deg.to_string())),
        // By its name: the file itself is kept.
        ("set-borders", arguments.stated.set_borders.as_deref().map(file_name)),
        ("unlabelled", (arguments.unlabelled == Unlabelled::Assign).then(|| "assign".to_owned())),
    ];
    for (name, value) in one {
        value.iter().for_each(|value| put(name, value));
    }
    let flags = [
        ("ignore-labels", arguments.ignore_labels),
        ("drop-repeats", arguments.drop_repeats),
        ("equal-angle", arguments.equal_angle),
    ];
    for (name, given) in flags {
        switches.extend(given.then(|| format!("--{name}")));
    }
    switches
}

/// A file's name without folders, as outputs call it.
pub(super) fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Reads switches back; `None` where they are none of this version.
pub(super) fn of_switches(switches: &[String]) -> Option<Arguments> {
    #[derive(clap::Parser)]
    struct Alone {
        #[command(flatten)]
        arguments: Arguments,
    }
    let typed = ["map", "--again", "again"].into_iter().chain(switches.iter().map(String::as_str));
    <Alone as clap::Parser>::try_parse_from(typed).ok().map(|alone| alone.arguments)
}

/// What the survey is read with, but for its lines.
pub(super) fn asked_of_reading(arguments: &Arguments, wrong: &mut Vec<String>) -> ReadOptions {
    ReadOptions {
        columns: column_map(&arguments.columns, wrong),
        north: north(arguments, wrong),
        lines: Vec::new(),
        header_line: arguments.header_row,
        written: written(&arguments.notations, wrong),
        rows: row_choice(&arguments.rows, wrong),
        drop_repeats: arguments.drop_repeats,
        structure_types: structure_types(&arguments.structures, wrong),
    }
}

/// Where domains part.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Borders {
    /// At these places, metres, ascending; none for one body of rock.
    At(Vec<f64>),
    /// Where they are found.
    Found,
}

/// What `--border` says.
pub(super) fn borders(arguments: &Arguments, wrong: &mut Vec<String>) -> Borders {
    let found = |text: &String| text.trim().eq_ignore_ascii_case("found");
    if arguments.borders.iter().any(found) {
        if arguments.borders.len() > 1 {
            wrong.push(
                "--border found: it takes every border that is found; give it alone, or places".to_owned(),
            );
        }
        return Borders::Found;
    }
    let mut places = Vec::new();
    for text in &arguments.borders {
        match text.trim().parse() {
            Ok(place) if f64::is_finite(place) => places.push(place),
            _ => wrong.push(format!("--border {text}: allowed a place along the drive, metres, or found")),
        }
    }
    places.sort_by(f64::total_cmp);
    places.dedup();
    Borders::At(places)
}

fn written(notations: &[String], wrong: &mut Vec<String>) -> Vec<WrittenAs> {
    let mut written = Vec::new();
    for text in notations {
        match WrittenAs::ALL.into_iter().find(|way| way.name().eq_ignore_ascii_case(text.trim())) {
            Some(way) => written.push(way),
            None => {
                let names: Vec<&str> = WrittenAs::ALL.iter().map(|way| way.name()).collect();
                wrong.push(format!("--notation {text}: allowed {}", names.join(", ")));
            }
        }
    }
    let one_column: Vec<&str> =
        written.iter().filter(|way| way.is_of_one_column()).map(|way| way.name()).collect();
    if one_column.len() > 1 {
        wrong.push(format!("--notation {}: column orientation is written in one way", one_column.join(", ")));
    }
    written
}

fn row_choice(rows: &[String], wrong: &mut Vec<String>) -> RowChoice {
    let mut choice = RowChoice::default();
    for text in rows {
        match Condition::parse(text) {
            Some(condition) => choice.conditions.push(condition),
            None => wrong.push(format!(
                "--where {text}: write column=value or column=from..to, such as scanline=SL1 or distance_m=10..40"
            )),
        }
    }
    choice
}

fn structure_types(types: &[String], wrong: &mut Vec<String>) -> Vec<(String, StructureKind)> {
    let mut found = Vec::new();
    for text in types {
        let parts = text.split_once('=').map(|(kind, word)| (kind.trim(), word.trim()));
        let kind =
            |name: &str| StructureKind::ALL.into_iter().find(|kind| kind.word() == name.to_lowercase());
        match parts.and_then(|(name, word)| Some((word, kind(name)?))) {
            Some((word, kind)) if !word.is_empty() => found.push((word.to_owned(), kind)),
            _ => wrong.push(format!(
                "--structure {text}: write fault, shear, contact or dyke, =, and the type in the file, such as fault=FLT"
            )),
        }
    }
    found
}
