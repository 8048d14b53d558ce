//! Time to write everything that a check writes, of a case with at least a hundred wedges: tables, drawings, page,
//! models. The check itself is not in it. Prints processor time, which other programs on the machine do not
//! lengthen, and the sizes of what was written. Nothing is asserted; machines are noisy. `cargo bench --bench report`

use std::error::Error;
use std::time::Instant;

use backhold::case::parse_case;
use backhold::report::{Also, Asked, Outputs, SignOff};
use backhold::study::{changes, check};

const CASE: &str = include_str!("hundred_wedges.toml");
const REPEATS: u32 = 5;

/// Processor time of the whole process, seconds; `None` where the system does not tell it in this way.
fn processor_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    // What follows the name, which may hold blanks: user and system time are fields 14 and 15, in hundredths.
    let fields: Vec<&str> = text.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |at: usize| fields.get(at)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / 100.0)
}

fn main() -> Result<(), Box<dyn Error>> {
    let read = parse_case(CASE, "hundred_wedges.toml", &|name| {
        Err(std::io::Error::new(std::io::ErrorKind::NotFound, name.to_owned()))
    })
    .map_err(|problems| problems.to_string())?;
    let whole = check(&read.case)?;
    let mending = changes(&read.case, &whole, &read.plan, read.stock.as_ref())?;
    println!("{} wedges", whole.check.every().count());
    for also in [Vec::new(), Also::ALL.to_vec()] {
        let asked = Asked::Check { option: None, spacings: false, also };
        let deciding = whole.deciding();
        let outputs = Outputs {
            case: &read.case,
            asked: &asked,
            changes: &[],
            whole: &whole,
            notes: &[],
            deciding: &deciding,
            mending: Some(&mending),
            dated: None,
            sign_off: SignOff { prepared: None, checked: None, approved: None, files: &read.files },
            bond_tests: &read.bond_tests,
            bolt_origins: &read.bolt_origins,
        };
        let (before_s, start) = (processor_s(), Instant::now());
        let mut files = Vec::new();
        for _ in 0..REPEATS {
            files = outputs.files()?;
        }
        let processor = processor_s().zip(before_s).map(|(now, before)| (now - before) / f64::from(REPEATS));
        let of = |name: &str| files.iter().find(|f| f.name == name).map_or(0, |f| f.content.len());
        let all: usize = files.iter().map(|f| f.content.len()).sum();
        println!(
            "{}: {:.2} s on the clock, {} s of processor time; {} files, {} kB, report.html {} kB",
            if asked == (Asked::Check { option: None, spacings: false, also: Vec::new() }) {
                "a check's files"
            } else {
                "with those for other programs"
            },
            start.elapsed().as_secs_f64() / f64::from(REPEATS),
            processor.map_or_else(|| "unknown".into(), |s| format!("{s:.2}")),
            files.len(),
            all / 1000,
            of("report.html") / 1000
        );
    }
    Ok(())
}
