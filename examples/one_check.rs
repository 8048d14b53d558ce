//! Checks a case file and says which wedges are short: `cargo run --example one_check samples/haulage.toml`.

use std::error::Error;
use std::path::PathBuf;

use backhold::{Verdict, check, read_case};

fn main() -> Result<(), Box<dyn Error>> {
    let path =
        std::env::args_os().nth(1).map_or_else(|| PathBuf::from("samples/haulage.toml"), PathBuf::from);
    // Every problem of the file comes back at once, each with its line.
    let read = read_case(&path).map_err(|problems| problems.to_string())?;
    let whole = check(&read.case)?;
    for wedge in whole.check.every().filter(|w| w.decided.criterion_fs.is_some()) {
        let asked = wedge.decided.criterion_fs.unwrap_or_default();
        println!(
            "{:<24} {:>8.1} kN  {:<10}  FS {:>6.2} where {asked:.2} is asked: {}",
            wedge.wedge.id,
            wedge.wedge.weight_kn,
            wedge.wedge.stability.motion.mode.name(),
            wedge.decided.fs.unwrap_or(f64::INFINITY),
            wedge.decided.verdict.name()
        );
    }
    let short = whole.check.every().filter(|w| w.decided.verdict == Verdict::Short).count();
    println!("{short} short. No factor of safety guarantees that rock stays up: examine and scale on site.");
    Ok(())
}
