//! Sweeps the ring spacing of a sample and prints the least margin at each: factors jump where a bolt
//! less is sure to meet a wedge, so closer rings are not always better.

use std::error::Error;
use std::path::Path;

use backhold::study::{margin, tightest};
use backhold::{check, read_case};

fn main() -> Result<(), Box<dyn Error>> {
    let read = read_case(Path::new("samples/haulage.toml")).map_err(|problems| problems.to_string())?;
    for tenths in 8..=15 {
        let mut case = read.case.clone();
        for pattern in &mut case.patterns {
            pattern.ring_spacing_m = f64::from(tenths) / 10.0;
        }
        let whole = check(&case)?;
        let tightest = tightest(&whole).map(|lack| format!("{}, {}", lack.wedge, lack.of.words()));
        println!(
            "rings at {:.1} m: margin {:.2} ({})",
            f64::from(tenths) / 10.0,
            margin(&whole),
            tightest.unwrap_or_else(|| "nothing moves".into())
        );
    }
    Ok(())
}
