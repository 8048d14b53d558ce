//! What pull tests say, in words and for summary.json.

use serde_json::{Value, json};

use crate::case::Case;
use crate::report::paper::numbers::{Number, fixed};
use crate::support::{BondTests, LEAST_TESTS, failing_share_below};

/// A sentence or two on the tests of each bolt whose bond comes from them.
#[must_use]
pub fn pull_test_words(case: &Case, tests: &[Option<BondTests>]) -> Vec<String> {
    let of_bolts = case.bolts.iter().zip(tests).filter_map(|(b, t)| Some((b, t.as_ref()?)));
    of_bolts.map(|(bolt, tests)| sentence(&bolt.name, tests)).collect()
}

fn sentence(bolt: &str, tests: &BondTests) -> String {
    let mut text = format!(
        "Bond of {bolt} from {} pull tests: mean {} kN/m, standard deviation {}, characteristic {} (mean less k deviations, k = t(0.95, n − 1)·√(1 + 1/n); one further bolt holds more with a probability of 95 % where bonds are normally distributed).",
        tests.count,
        fixed(tests.mean_kn_per_m, 1),
        fixed(tests.deviation_kn_per_m, 2),
        fixed(tests.characteristic_kn_per_m, 2),
    );
    if tests.held > 0 {
        text.push_str(&format!(
            " {} of them held up to the load: their bond is at least what is counted.",
            tests.held
        ));
    }
    if tests.held == tests.count {
        text.push_str(&format!(
            " {} tests without one that pulled show, at 95 %, only that less than {} % of such bolts would pull at that load.",
            tests.count,
            fixed(100.0 * failing_share_below(tests.count), 0)
        ));
    } else {
        text.push_str(&format!(
            " Had none of the {} pulled, they would show, at 95 %, only that less than {} % of such bolts would.",
            tests.count,
            fixed(100.0 * failing_share_below(tests.count), 0)
        ));
    }
    if tests.count < LEAST_TESTS {
        text.push_str(&format!(" Fewer than the {LEAST_TESTS} tests that ISRM (1974) asks for."));
    }
    text
}

/// The tests as summary.json holds them.
pub(crate) fn pull_tests_json(case: &Case, tests: &[Option<BondTests>]) -> Value {
    case.bolts
        .iter()
        .zip(tests)
        .filter_map(|(bolt, tests)| {
            let tests = tests.as_ref()?;
            Some(json!({
                "name": bolt.name,
                "tests": tests.count,
                "held": tests.held,
                "mean_kn_per_m": Number(tests.mean_kn_per_m),
                "deviation_kn_per_m": Number(tests.deviation_kn_per_m),
                "characteristic_kn_per_m": Number(tests.characteristic_kn_per_m),
            }))
        })
        .collect()
}
