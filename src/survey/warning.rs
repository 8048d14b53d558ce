use std::fmt;

use crate::input::quoted;
use crate::orientation::Plane;

/// Something a mapper or engineer should look at. Nothing that is warned about is left out
/// unless the warning says so.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A header without a unit was taken.
    UnitAssumed {
        /// As it stands in the file.
        header: String,
        /// The column it was read as.
        read_as: &'static str,
        /// The sheet that it stands on, of a spreadsheet.
        sheet: Option<String>,
    },
    /// A column that means nothing here was passed over.
    UnknownColumn {
        /// As it stands in the file.
        header: String,
        /// A known name that it may be a slip of.
        nearest: Option<String>,
        /// The sheet that it stands on, of a spreadsheet.
        sheet: Option<String>,
    },
    /// Lines above the header were passed over.
    HeaderBelow {
        /// Line of the header.
        header_line: usize,
        /// How many lines above it hold anything.
        lines: usize,
        /// The sheet that it stands on, of a spreadsheet.
        sheet: Option<String>,
    },
    /// The file was not Unicode.
    GuessedLetters,
    /// A value other than the orientation could not be used; the reading is kept without it.
    ValueLeftOut {
        /// Line in the file.
        line: usize,
        /// Column.
        column: &'static str,
        /// What stood there.
        found: String,
        /// What is allowed.
        allowed: &'static str,
    },
    /// A number was read without the word before it that calls it a rough one.
    AboutTaken {
        /// Line in the file.
        line: usize,
        /// Column.
        column: &'static str,
        /// What stood there.
        found: String,
    },
    /// Types that are neither that of a joint nor of a structure.
    UnknownTypes {
        /// As they stood, with how many rows have each, the commonest first.
        found: Vec<(String, usize)>,
    },
    /// A type that was named as that of a structure, and that no row has.
    TypeNotFound {
        /// As it was named.
        named: String,
        /// The kind that it was named for.
        kind: &'static str,
    },
    /// A way of writing that was named, and in which nothing was read.
    NotationUnused {
        /// What people call it by.
        notation: &'static str,
    },
    /// Cells that were merged over several rows were read in each of them.
    MergedRows {
        /// How many rows got a value so.
        rows: usize,
    },
    /// A column `orientation` is there, and nothing says how it is written.
    OrientationPassedOver,
    /// A line counts as long as the part of it that was asked for.
    LineCut {
        /// Its name.
        line: String,
        /// As it was, metres.
        length_m: f64,
        /// What is left of it, metres; `None` where nobody knows.
        left_m: Option<f64>,
    },
    /// Rows were left out because they repeat earlier ones.
    RepeatsLeftOut {
        /// How many.
        rows: usize,
    },
    /// Rows were left out because they were not asked for.
    RowsLeftOut {
        /// How many.
        rows: usize,
    },
    /// A range such as "80-85" was read as its middle.
    RangeTaken {
        /// Line in the file.
        line: usize,
        /// Column.
        column: &'static str,
        /// What stood there.
        found: String,
        /// What was taken, degrees.
        taken_deg: f64,
    },
    /// An azimuth above 360 or below 0 was taken as the same direction within a circle.
    BeyondFullCircle {
        /// Line in the file.
        line: usize,
        /// Column.
        column: &'static str,
        /// What stood there.
        found: String,
        /// What was taken, degrees.
        taken_deg: f64,
    },
    /// A level plane with a dip direction.
    LevelWithDirection {
        /// Line in the file.
        line: usize,
    },
    /// The same joint twice.
    Duplicate {
        /// Line in the file.
        line: usize,
        /// Line of the first one.
        first_line: usize,
    },
    /// Joints along a line were counted by the rule that is in [`super::COUNTING_RULE`].
    CountedByRule {
        /// The line's name.
        line: String,
        /// Its readings.
        readings: usize,
        /// Of those, rows that repeat an earlier one.
        repeats: usize,
        /// Rejected rows with a distance on it.
        rejects: usize,
        /// Its length, metres, where it is known.
        length_m: Option<f64>,
    },
    /// Strike and dip direction are the same number.
    StrikeLooksLikeDipDirection {
        /// Line in the file.
        line: usize,
    },
    /// A reading lies off its labelled set, and fits when turned by a quarter: strike and dip
    /// direction were probably mixed up.
    QuarterTurnFits {
        /// Line in the file.
        line: usize,
        /// The set.
        set: String,
    },
    /// A set's label became a name of letters, digits and `_`.
    LabelRenamed {
        /// As it stood.
        from: String,
        /// The name.
        to: String,
    },
    /// Readings name a line that no lines file describes.
    UnknownLine {
        /// The line's name.
        id: String,
        /// How many readings name it.
        readings: usize,
    },
    /// Readings were taken near steel.
    NearSteel {
        /// How many.
        readings: usize,
    },
    /// Instruments of different make were used.
    MixedInstruments {
        /// Their names.
        names: Vec<String>,
    },
    /// Some directions could hardly be seen from any of the lines.
    BlindZone {
        /// Share of all directions, 0 to 1.
        share: f64,
        /// The greatest weight allowed.
        max_weight: f64,
    },
    /// Readings whose weight was capped.
    WeightCapped {
        /// How many.
        readings: usize,
        /// The greatest weight allowed.
        max_weight: f64,
    },
    /// A set that lies mostly in the blind zone.
    SetInBlindZone {
        /// The set.
        set: String,
    },
    /// The sets change along the drive.
    BorderFound {
        /// Where, metres.
        at_m: f64,
        /// Chance of such a one where none is.
        chance: f64,
        /// Whether both sides were mapped by themselves.
        applied: bool,
    },
    /// Domains were asked for, so that the sets of the whole are mixed.
    SetsOfWholeMixed {
        /// How many domains.
        domains: usize,
    },
    /// Borders were asked for where they are found, and none is.
    NoBorder {
        /// Whether any reading has a place along the drive.
        placed: bool,
    },
    /// A domain without a set.
    DomainWithoutSets {
        /// Which one along the drive, from 1.
        domain: usize,
        /// Its readings.
        readings: usize,
    },
    /// A set's mean stands for two, one on each side of a border.
    MeanHidesTwo {
        /// The set.
        set: String,
        /// Where the border is, metres.
        border_m: f64,
        /// Means before and after it.
        means: [Plane; 2],
        /// Angle between them, degrees.
        angle_deg: f64,
    },
    /// A set tighter than a careful compass can resolve.
    KTooHigh {
        /// The set.
        set: String,
        /// Its Fisher K.
        k: f64,
        /// The greatest that careful mapping can resolve.
        resolvable: f64,
    },
    /// A set of so few readings that its scatter says little.
    FewReadings {
        /// The set.
        set: String,
        /// How many.
        readings: usize,
    },
    /// All readings of a set are one direction.
    NoScatter {
        /// The set.
        set: String,
        /// How many.
        readings: usize,
    },
    /// No trace end was seen, so the mean trace length has no upper bound.
    TracesEndless {
        /// The set.
        set: String,
    },
    /// Only some of the readings are labelled, and the others stay out of every set.
    SomeUnlabelled {
        /// Readings without a label.
        unlabelled: usize,
        /// All readings.
        readings: usize,
    },
    /// Two borders by hand overlap; what is in both belongs to the first.
    BordersOverlap {
        /// The set that stands first.
        first: String,
        /// The other.
        second: String,
        /// Readings within both.
        readings: usize,
    },
    /// No reading is left for a set by hand.
    BorderHoldsNothing {
        /// The set.
        set: String,
    },
    /// Readings outside of every border by hand.
    OutsideBorders {
        /// How many.
        outside: usize,
        /// All readings.
        readings: usize,
    },
    /// Two sets whose means are closer than their scatter lets be told apart.
    SetsOverlap {
        /// One set.
        first: String,
        /// The other.
        second: String,
        /// Angle between their means, degrees.
        angle_deg: f64,
    },
}

/// Unknown types that are told; the rest are counted.
const MOST_TYPES: usize = 20;

/// Where something stands in a spreadsheet.
fn of_sheet(sheet: Option<&str>) -> String {
    sheet.map(|sheet| format!(" of sheet {}", quoted(sheet))).unwrap_or_default()
}

impl Warning {
    /// Says of a note on headers which sheet they stand on; all others stay as they are.
    pub fn on_sheet(&mut self, name: &str) {
        if let Self::UnitAssumed { sheet, .. }
        | Self::UnknownColumn { sheet, .. }
        | Self::HeaderBelow { sheet, .. } = self
        {
            *sheet = Some(name.to_owned());
        }
    }
}

fn rows_word(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

impl fmt::Display for Warning {
    #[allow(clippy::too_many_lines)] // one sentence a variant
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnitAssumed { header, read_as, sheet } => {
                write!(
                    f,
                    "column {}{} has no unit in its name; read as {read_as}",
                    quoted(header),
                    of_sheet(sheet.as_deref())
                )
            }
            Self::UnknownColumn { header, nearest, sheet } => {
                let on = of_sheet(sheet.as_deref());
                write!(f, "column {}{on} is not known and was passed over", quoted(header))?;
                match nearest {
                    Some(name) => write!(f, "; did you mean {name}?"),
                    None => Ok(()),
                }
            }
            Self::HeaderBelow { header_line, lines, sheet } => {
                let lines = if *lines == 1 {
                    "1 line above it was".to_owned()
                } else {
                    format!("{lines} lines above it were")
                };
                write!(
                    f,
                    "the header was found on line {header_line}{}; {lines} passed over",
                    of_sheet(sheet.as_deref())
                )
            }
            Self::GuessedLetters => {
                write!(f, "the file is not Unicode; letters outside of English were read as Latin-1")
            }
            Self::ValueLeftOut { line, column, found, allowed } => write!(
                f,
                "line {line}, column {column}: found \"{found}\", allowed {allowed}; the \
                 reading is kept without it"
            ),
            Self::AboutTaken { line, column, found } => {
                write!(f, "line {line}, column {column}: \"{found}\" was read as the number in it")
            }
            Self::UnknownTypes { found } => {
                let shown = found.iter().take(MOST_TYPES);
                let shown: Vec<String> =
                    shown.map(|(found, rows)| format!("{} ({})", quoted(found), rows_word(*rows))).collect();
                let more = found.len().saturating_sub(MOST_TYPES);
                write!(
                    f,
                    "none of these types is known, so their rows are joints here: {}{}; where one stands for a fault, \
                     shear, contact or dyke, say so: --structure fault={}",
                    shown.join(", "),
                    if more > 0 { format!(" and {more} types more") } else { String::new() },
                    quoted(found.first().map_or("", |(found, _)| found))
                )
            }
            Self::TypeNotFound { named, kind } => write!(
                f,
                "--structure {kind}={named}: no row that was taken has this type, so nothing became a {kind} by it"
            ),
            Self::NotationUnused { notation } => {
                write!(f, "--notation {notation}: nothing in this survey was read so")
            }
            Self::MergedRows { rows } => {
                write!(
                    f,
                    "cells merged over several rows were read in each of them: {} got a value so",
                    rows_word(*rows)
                )
            }
            Self::OrientationPassedOver => write!(
                f,
                "column \"orientation\" was passed over: --notation says how it is written, such as dip/direction"
            ),
            Self::LineCut { line, length_m, left_m: Some(left_m) } => write!(
                f,
                "line \"{line}\" counts as {left_m:.2} m long, the part of its {length_m:.2} m that was asked for"
            ),
            Self::LineCut { line, left_m: None, .. } => write!(
                f,
                "how much of line \"{line}\" was asked for is not known, so nothing is counted over its length"
            ),
            Self::RepeatsLeftOut { rows } => write!(
                f,
                "{} an earlier one, left out of everything (--drop-repeats); left_out.csv names the earlier ones",
                if *rows == 1 {
                    "1 row is a repeat of".to_owned()
                } else {
                    format!("{rows} rows are repeats of")
                }
            ),
            Self::RowsLeftOut { rows } => write!(
                f,
                "{} not asked for, so left out; joints are counted without, along lines as well",
                if *rows == 1 { "1 row was".to_owned() } else { format!("{rows} rows were") }
            ),
            Self::RangeTaken { line, column, found, taken_deg } => write!(
                f,
                "line {line}, column {column}: \"{found}\" was read as {taken_deg}, the middle \
                 of the range"
            ),
            Self::BeyondFullCircle { line, column, found, taken_deg } => write!(
                f,
                "line {line}, column {column}: \"{found}\" is outside of a full circle and was read \
                 as {taken_deg}; no compass shows it, so it may be a slip of the pen (kept from -360 to 720, rejected \
                 beyond)"
            ),
            Self::LevelWithDirection { line } => {
                write!(f, "line {line}: dip 0 with a dip direction, which a level plane does not have")
            }
            Self::Duplicate { line, first_line } => {
                write!(
                    f,
                    "line {line}: the same joint as on line {first_line}; it counts once along the line, and \
                     twice in means unless --drop-repeats is given"
                )
            }
            Self::CountedByRule { line, readings, repeats, rejects, length_m } => {
                let joints = readings - repeats + rejects;
                write!(
                    f,
                    "line \"{line}\": {readings} readings, less {repeats} that repeat a row, and {rejects} \
                     rejected rows with a distance on it: {joints} joints are counted along it"
                )?;
                match length_m {
                    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
                    Some(m) => write!(
                        f,
                        ", {:.2} a metre, where the readings as they stand would give {:.2}",
                        joints as f64 / m,
                        *readings as f64 / m
                    ),
                    None => Ok(()),
                }
            }
            Self::StrikeLooksLikeDipDirection { line } => write!(
                f,
                "line {line}: the strike is the same number as the dip direction, where it \
                 should be 90 less; the dip direction was used"
            ),
            Self::QuarterTurnFits { line, set } => write!(
                f,
                "line {line}: far from set {set}, but a quarter turn brings it there; were \
                 strike and dip direction mixed up?"
            ),
            Self::LabelRenamed { from, to } => {
                write!(f, "set \"{from}\" is called {to} here: names have up to 24 letters, digits and _")
            }
            Self::UnknownLine { id, readings } => write!(
                f,
                "line \"{id}\" has no known direction: readings on it, {readings} of them, are not \
                 corrected for it"
            ),
            Self::NearSteel { readings } => {
                write!(f, "readings taken near steel, where a compass strays: {readings}")
            }
            Self::MixedInstruments { names } => write!(
                f,
                "instruments of different make were used ({}): compare their readings of the \
                 same joints before trusting small differences",
                names.join(", ")
            ),
            Self::BlindZone { share, max_weight } => write!(
                f,
                "{:.0} % of all joint directions would be met so obliquely by this survey \
                 that their weight passes the cap of {max_weight}: joints there can hardly be \
                 seen; a line across them is needed",
                share * 100.0
            ),
            Self::WeightCapped { readings, max_weight } => write!(
                f,
                "readings so nearly along their line that their weight was capped at \
                 {max_weight}: {readings}"
            ),
            Self::SetInBlindZone { set } => write!(
                f,
                "the mean of set {set} lies in the blind zone: it is certainly \
                 under-represented, and its frequency is little more than a guess"
            ),
            Self::BorderFound { at_m, chance, applied } => {
                write!(
                    f,
                    "the sets change at {at_m:.1} m along the drive (chance of that where nothing changes: {:.1} %); ",
                    chance * 100.0
                )?;
                if *applied {
                    write!(f, "both sides are mapped by themselves")
                } else {
                    write!(
                        f,
                        "both sides are still one body here: --border {at_m:.1} maps them by themselves"
                    )
                }
            }
            Self::SetsOfWholeMixed { domains } => write!(
                f,
                "sets.csv, joint_sets.toml, triples and drawings are of the whole survey, so its sets mix those of \
                 {domains} domains: a case takes in the file of the domain that its drive lies in"
            ),
            Self::NoBorder { placed: true } => {
                write!(f, "--border found: no border was found, so the survey is mapped as one body")
            }
            Self::NoBorder { placed: false } => write!(
                f,
                "--border found: too few readings say where along the drive they stood (chainage_m, or distance_m on a \
                 line), so no border can be found and the survey is mapped as one body"
            ),
            Self::DomainWithoutSets { domain, readings } => write!(
                f,
                "domain {domain} has no set, with {readings} readings: there is no file of its sets"
            ),
            Self::MeanHidesTwo { set, border_m, means: [before, after], angle_deg } => write!(
                f,
                "the mean of set {set} hides two: {:.0}/{:03.0} before {border_m:.1} m and {:.0}/{:03.0} after it, \
                 {angle_deg:.0}° apart",
                before.dip_deg, before.dip_direction_deg, after.dip_deg, after.dip_direction_deg
            ),
            Self::KTooHigh { set, k, resolvable } => write!(
                f,
                "set {set} has K {k:.0}, tighter than the {resolvable:.0} that careful mapping \
                 by hand can resolve: were readings copied, averaged or picked?"
            ),
            Self::FewReadings { set, readings } => {
                let word = if *readings == 1 { "reading" } else { "readings" };
                write!(f, "set {set} has only {readings} {word}: its scatter says little")
            }
            Self::NoScatter { set, readings } => write!(
                f,
                "the {readings} readings of set {set} are one and the same direction: K, cone and form are left \
                 empty, since nothing can be said of its scatter; were readings copied?"
            ),
            Self::TracesEndless { set } => write!(
                f,
                "no end of a trace of set {set} was seen in a window: its mean trace length \
                 has no upper bound and is left empty"
            ),
            Self::SomeUnlabelled { unlabelled, readings } => write!(
                f,
                "{unlabelled} of {readings} readings have no label and stay out of every set: counts, \
                 spacings and traces are those of the labelled ones alone. Two ways: --unlabelled assign \
                 puts each to the labelled set that it most likely belongs to, --ignore-labels finds the \
                 sets of all anew"
            ),
            Self::BordersOverlap { first, second, readings } => write!(
                f,
                "the borders of sets {first} and {second} overlap; readings in both, {readings} of them, belong to \
                 {first}, which stands first in the file"
            ),
            Self::BorderHoldsNothing { set } => write!(
                f,
                "no reading is left within the border of set {set}, so there is no such set; is it drawn to the \
                 case's north, and are its poles trend and plunge?"
            ),
            Self::OutsideBorders { outside, readings } => write!(
                f,
                "{outside} of {readings} readings are outside of every border and in no set; along lines they count \
                 as joints all the same"
            ),
            Self::SetsOverlap { first, second, angle_deg } => write!(
                f,
                "sets {first} and {second} are {angle_deg:.0}° apart, within their scatter: \
                 they may be one set"
            ),
        }
    }
}
