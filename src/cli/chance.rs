use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::common::{Common, Signed};
use super::each::{self, Each};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::progress::Progress;
use super::read::{read, remarks};
use super::{again, terminal};
use crate::case::{ReadCase, inputs_sha256};
use crate::report::{
    Asked, CAUTION_LINE, CHANCE_CAUTION, CasesOf, ChanceOutputs, ChancePart, OutputFile, chance_asked,
    samples_header, samples_row,
};
use crate::study::chance::{Chance, ChanceAsk, SeenDraw, Spread, chance, chance_seen};

/// Draws where nothing is said.
const DRAWS: u64 = 10_000;

/// Most draws of one run: a day at the slowest.
const MOST_DRAWS: u64 = 1_000_000_000;

/// The list of every draw.
const SAMPLES: &str = "samples.csv";

/// A file of counts that is larger is none of ours.
const LARGEST_COUNTS_BYTES: u64 = 1 << 28;

/// How likely wedges are short, and how big they are, where the case's numbers scatter: joint sets with a
/// fisher_k or readings of their own, and numbers given as { mean = …, sd = … } or by another law.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// How many draws of the drive.
    #[arg(long, value_name = "N", conflicts_with_all = ["to", "again", "merge"])]
    draws: Option<u64>,
    /// What fixes the draws; 1 when absent.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["again", "merge"])]
    seed: Option<u64>,
    /// Spread the draws by Latin hypercube sampling, in lots of 1,000.
    #[arg(long, conflicts_with_all = ["again", "merge"])]
    latin_hypercube: bool,
    /// Stop once the 95 % interval of the chance that a wedge is short is no wider than this to either side,
    /// such as 0.01; asked after every 10,000 draws.
    #[arg(long, value_name = "SHARE", conflicts_with_all = ["from", "to", "again", "merge"])]
    half_width: Option<f64>,
    /// Judge so many of the first draws as a check does, every piece with collars off their place: a second or
    /// so each.
    #[arg(long, value_name = "N", conflicts_with_all = ["again", "merge"])]
    judged: Option<u64>,
    /// Write samples.csv too, a row for each draw.
    #[arg(long, conflicts_with_all = ["again", "merge"])]
    samples: bool,
    /// Number of the first draw, of a part of a run, from 0.
    #[arg(long, value_name = "NUMBER", requires = "to", conflicts_with_all = ["again", "merge"])]
    from: Option<u64>,
    /// One past the number of its last draw.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["again", "merge"])]
    to: Option<u64>,
    /// Put parts of a run together, from the counts.json of each, instead of drawing.
    #[arg(long, value_name = "COUNTS", num_args = 1.., conflicts_with = "again")]
    merge: Vec<PathBuf>,
}

impl Arguments {
    fn ask(&self) -> Result<ChanceAsk, Failure> {
        let refuse = |why: &str| Err(Failure::Usage(why.to_owned()));
        let ask = ChanceAsk {
            from: self.from.unwrap_or(0),
            to: self.to.or(self.draws).unwrap_or(DRAWS),
            seed: self.seed.unwrap_or(1),
            spread: if self.latin_hypercube { Spread::LatinHypercube } else { Spread::Plain },
            half_width: self.half_width,
            judged: self.judged.unwrap_or(0),
        };
        if ask.to <= ask.from {
            return refuse("at least one draw is needed: --draws from 1, --to above --from");
        }
        if ask.to > MOST_DRAWS {
            return refuse("at most 1,000,000,000 draws");
        }
        let whole = self.from.is_none() && self.to.is_none();
        if whole && ask.judged > ask.to {
            return Err(Failure::Usage(format!(
                "--judged {}: at most {}, the draws; give fewer, or more --draws",
                ask.judged, ask.to
            )));
        }
        if ask.half_width.is_some_and(|w| !(1e-6..=0.5).contains(&w)) {
            return refuse("--half-width: a share from 0.000001 to 0.5");
        }
        Ok(ask)
    }
}

/// Draws, counts, writes the folder, and says what came of it.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "chance", common, made_again);
    }
    let (case, out) = common.case_and_out()?;
    if each::is_many(case) {
        return run_each(arguments, case, out);
    }
    if !arguments.merge.is_empty() {
        let read = read(case)?;
        let (ask, found) = merged(&arguments.merge, &read)?;
        let folder = Folder::begin(out, common.overwrite)?;
        return written(&read, &ask, &found, false, &common.signed, folder, out);
    }
    let ask = arguments.ask()?;
    let read = read(case)?;
    let mut folder = Folder::begin(out, common.overwrite)?;
    let found = drawn(&read, &ask, arguments.samples, &mut folder)?;
    written(&read, &ask, &found, arguments.samples, &common.signed, folder, out)
}

/// Draws every case of a folder or of a list.
fn run_each(arguments: &Arguments, list: &Path, out: &Path) -> Outcome {
    let Arguments { common, merge, samples, .. } = arguments;
    if !merge.is_empty() {
        return Err(Failure::Usage(
            "--merge: parts are put together for the one case that they were drawn from; give that case alone"
                .into(),
        ));
    }
    let asked = chance_asked(&arguments.ask()?, *samples);
    let (overwrite, signed) = (common.overwrite, &common.signed);
    let each = Each { list, out, overwrite, signed, of: CasesOf::Chance, strict: false };
    each.run(
        |case| match &case.option {
            None => Ok(asked.clone()),
            Some(option) => Err(Failure::Usage(format!(
                "option {option}: chances are drawn of a case as it stands; `check --option {option} --write FILE` writes a case of it, to be drawn"
            ))),
        },
        |read, asked, folder| {
            let (ask, samples) = of_asked(asked)?;
            let found = drawn(read, &ask, samples, folder)?;
            let notes = remarks(read);
            Ok(outputs(read, &ask, &found, samples, &notes, signed).files()?)
        },
    )
}

/// Draws a case; where every draw is listed, the list grows in the folder.
fn drawn(read: &ReadCase, ask: &ChanceAsk, samples: bool, folder: &mut Folder) -> Result<Chance, Failure> {
    let progress = Progress::begin("reading");
    if !samples {
        return Ok(chance(&read.case, &read.scatter, ask, progress.steps())?);
    }
    let mut file = folder.open(SAMPLES)?;
    let mut failed = file.write_all(header(read)?.as_bytes()).err();
    let mut row = String::new();
    let mut each = |draw: SeenDraw| {
        row.clear();
        samples_row(&read.case, &draw, &mut row);
        if failed.is_none() {
            failed = file.write_all(row.as_bytes()).err();
        }
    };
    let found = chance_seen(&read.case, &read.scatter, ask, progress.steps(), &mut each)?;
    if let Some(error) = failed {
        return Err(Failure::machine("cannot write", Path::new(SAMPLES), error));
    }
    folder.close(SAMPLES, file)?;
    Ok(found)
}

/// What is asked of draws, and whether each is listed.
fn of_asked(asked: &Asked) -> Result<(ChanceAsk, bool), Failure> {
    let Asked::Chance { from, to, seed, latin, half_width, judged, samples } = *asked else {
        return Err(Failure::Usage("its asked is of another command".into()));
    };
    let spread = if latin { Spread::LatinHypercube } else { Spread::Plain };
    Ok((ChanceAsk { from, to, seed, spread, half_width, judged }, samples))
}

fn header(read: &ReadCase) -> Result<String, Failure> {
    samples_header(&read.case, &read.scatter).map_err(|e| Failure::Output(e.into()))
}

/// The whole that parts make.
fn merged(parts: &[PathBuf], read: &ReadCase) -> Result<(ChanceAsk, Chance), Failure> {
    let hash = inputs_sha256(&read.files);
    let refused = |path: &Path, why: String| Failure::Usage(format!("--merge {}: {why}", path.display()));
    let mut found: Vec<ChancePart> = Vec::new();
    for path in parts {
        let length = std::fs::metadata(path).map_err(|e| Failure::machine("cannot read", path, e))?.len();
        if length > LARGEST_COUNTS_BYTES {
            return Err(refused(path, "too large for a counts.json".into()));
        }
        let text = std::fs::read_to_string(path).map_err(|e| Failure::machine("cannot read", path, e))?;
        let part = ChancePart::read(&text).map_err(|e| refused(path, e.to_string()))?;
        part.belongs(&hash, found.first().unwrap_or(&part)).map_err(|e| refused(path, e.to_string()))?;
        found.push(part);
    }
    let first = found[0].clone();
    let whole = Chance::merge(found.into_iter().map(|part| part.found).collect());
    let whole = whole.map_err(|e| Failure::Usage(format!("--merge: {e}")))?;
    Ok((first.ask(&whole), whole))
}

/// Writes what was found and says it.
fn written(
    read: &ReadCase,
    ask: &ChanceAsk,
    found: &Chance,
    samples: bool,
    signed: &Signed,
    folder: Folder,
    out: &Path,
) -> Outcome {
    let notes = remarks(read);
    let outputs = outputs(read, ask, found, samples, &notes, signed);
    let set_aside = folder.fill(&outputs.files()?)?;
    terminal::answer(&outputs.answer());
    terminal::table(&outputs.terminal_table());
    terminal::lines(&outputs.terminal_lines());
    let more = if samples { ", samples.csv" } else { "" };
    terminal::result(&format!(
        "\nWritten to {}:\nchance.html, chance.csv, pyramids.csv, exceedance.csv, drivers.csv, counts.json,\nsummary.json{more}, plots/",
        out.display()
    ));
    terminal::result(&terminal::wrapped(CHANCE_CAUTION));
    terminal::result(&terminal::wrapped(CAUTION_LINE));
    terminal::set_aside(set_aside.as_deref());
    Ok(DONE)
}

fn outputs<'a>(
    read: &'a ReadCase,
    ask: &'a ChanceAsk,
    found: &'a Chance,
    samples: bool,
    notes: &'a [String],
    signed: &'a Signed,
) -> ChanceOutputs<'a> {
    ChanceOutputs {
        case: &read.case,
        scatter: &read.scatter,
        ask,
        found,
        samples,
        notes,
        sign_off: signed.of(&read.files),
        dated: signed.dated.as_deref(),
    }
}

/// The files of an earlier run.
fn made_again(read: &ReadCase, asked: &Asked, signed: &Signed) -> Result<Vec<OutputFile>, Failure> {
    let (ask, samples) = of_asked(asked)?;
    let progress = Progress::begin("reading");
    let mut listed = if samples { header(read)? } else { String::new() };
    let found = if samples {
        let mut each = |draw: SeenDraw| samples_row(&read.case, &draw, &mut listed);
        chance_seen(&read.case, &read.scatter, &ask, progress.steps(), &mut each)?
    } else {
        chance(&read.case, &read.scatter, &ask, progress.steps())?
    };
    drop(progress);
    let notes = remarks(read);
    let mut files = outputs(read, &ask, &found, samples, &notes, signed).files()?;
    if samples {
        files.push(OutputFile { name: SAMPLES.to_owned(), content: listed.into_bytes() });
    }
    Ok(files)
}
