//! How well the sets of synthetic surveys are found again: a study, not a check of single
//! results. Run with
//! `cargo test --release --test it recovery:: -- --ignored --nocapture`.
#![allow(clippy::unwrap_used)]

use crate::common::{Synthetic, as_csv, axes_apart_deg, synthetic};
use backhold::survey::{MapOptions, ReadOptions, map_survey, read_survey};

const SURVEYS: u64 = 200;
const SEED: u64 = 20_261_125;

#[derive(Default)]
struct Tally {
    surveys: usize,
    right: usize,
    too_few: usize,
    too_many: usize,
    /// Degrees between the true mean and the one found, sets of surveys with the right number.
    errors: Vec<f64>,
    /// K found over K true.
    k_ratios: Vec<f64>,
    /// Readings of a set that were put in the right one.
    assigned_right: usize,
    assigned_all: usize,
}

impl Tally {
    fn add(&mut self, case: &Synthetic) {
        // Whole degrees, as mappers write.
        let text = as_csv(&case.planes, 0);
        let survey = read_survey("synthetic", &text, &ReadOptions::default()).unwrap();
        let options = MapOptions { resamples: 0, ..MapOptions::default() };
        let mapped = map_survey(&survey, &options);
        self.surveys += 1;
        match mapped.sets.len().cmp(&case.sets.len()) {
            std::cmp::Ordering::Less => self.too_few += 1,
            std::cmp::Ordering::Greater => self.too_many += 1,
            std::cmp::Ordering::Equal => self.right += 1,
        }
        if mapped.sets.len() != case.sets.len() {
            return;
        }
        let mut found_of = Vec::new();
        for set in &case.sets {
            let (at, found) = mapped
                .sets
                .iter()
                .enumerate()
                .min_by(|a, b| {
                    axes_apart_deg(&a.1.normal(), &set.axis)
                        .total_cmp(&axes_apart_deg(&b.1.normal(), &set.axis))
                })
                .unwrap();
            found_of.push(at);
            self.errors.push(axes_apart_deg(&found.normal(), &set.axis));
            self.k_ratios.push(found.fisher_k.unwrap() / set.k);
        }
        for (class, (_, truth)) in mapped.classes.iter().zip(&case.planes) {
            if let Some(truth) = truth {
                self.assigned_all += 1;
                self.assigned_right += usize::from(class.set == Some(found_of[*truth]));
            }
        }
    }

    fn report(&mut self, name: &str) {
        let quantile = |values: &mut Vec<f64>, share: f64| {
            values.sort_by(f64::total_cmp);
            values[((values.len() - 1) as f64 * share).round() as usize]
        };
        println!(
            "{name}: {} surveys, number of sets right in {} ({:.1} %), too few {}, too many {}",
            self.surveys,
            self.right,
            100.0 * self.right as f64 / self.surveys as f64,
            self.too_few,
            self.too_many
        );
        println!(
            "    angle to the true mean: median {:.2} deg, 95 % {:.2}, worst {:.2} ({} sets)",
            quantile(&mut self.errors, 0.5),
            quantile(&mut self.errors, 0.95),
            quantile(&mut self.errors, 1.0),
            self.errors.len()
        );
        println!(
            "    K found / K true: median {:.3}, 5 % {:.3}, 95 % {:.3}",
            quantile(&mut self.k_ratios, 0.5),
            quantile(&mut self.k_ratios, 0.05),
            quantile(&mut self.k_ratios, 0.95)
        );
        println!(
            "    readings of a set put in the right one: {:.1} %",
            100.0 * self.assigned_right as f64 / self.assigned_all as f64
        );
    }
}

#[test]
#[ignore = "a study of 400 surveys; run it in release with --nocapture"]
fn sets_of_synthetic_surveys_are_found_again() {
    let mut easy = Tally::default();
    let mut all = Tally::default();
    for index in 0..SURVEYS {
        easy.add(&synthetic(SEED, index, 35.0, 30.0));
        all.add(&synthetic(SEED + 1, index, 20.0, 15.0));
    }
    easy.report("means more than 35 deg apart, K 30 to 80");
    all.report("means more than 20 deg apart, K 15 to 80");
    let share = easy.right as f64 / easy.surveys as f64;
    assert!(share >= 0.9, "number right in {share}");
    easy.errors.sort_by(f64::total_cmp);
    assert!(easy.errors[easy.errors.len() / 2] < 2.0);
}

/// The same study on a few surveys, so that every test run has it.
#[test]
fn sets_of_a_few_synthetic_surveys_are_found_again() {
    let mut tally = Tally::default();
    for index in 0..12 {
        tally.add(&synthetic(SEED + 2, index, 35.0, 30.0));
    }
    tally.report("a few");
    // 9 in 10 on average; by the binomial law 12 surveys give 8 or fewer in 1 case of 40.
    assert!(tally.right >= 8, "{} of 12", tally.right);
}
