//! Joint sets from a mapper's table: each set's mean plane and how far it scatters.

use std::error::Error;
use std::fs;

use backhold::survey::{MapOptions, ReadOptions, map_survey, read_survey};

fn main() -> Result<(), Box<dyn Error>> {
    let name = "samples/survey_scanline.csv";
    let survey = read_survey(name, &fs::read_to_string(name)?, &ReadOptions::default())
        .map_err(|problems| problems.to_string())?;
    let mapped = map_survey(&survey, &MapOptions::default());
    println!("{} readings, {} rows rejected", survey.readings.len(), survey.rejects.len());
    for set in &mapped.sets {
        println!(
            "{}: {:.0}/{:03.0} (dip/dip direction) of {} readings",
            set.name, set.mean.dip_deg, set.mean.dip_direction_deg, set.readings
        );
    }
    Ok(())
}
