//! What is held without a search is held by the search that is not made.
#![allow(clippy::unwrap_used)] // helpers of tests are tests

use super::*;
use crate::case::parse_case;
use crate::study::check;

/// Samples that lack something, each with a weak and a strong variant of what is hung.
fn cases() -> Vec<crate::case::ReadCase> {
    let haulage = include_str!("../../../samples/haulage.toml");
    let crosscut = include_str!("../../../samples/crosscut_incline.toml");
    let weaker =
        haulage.replace("length_m = 2.4", "length_m = 1.5").replace("bay_kn = 45.0", "bay_kn = 20.0");
    [haulage, &weaker, crosscut]
        .map(|text| parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap())
        .into()
}

/// What a search says of a wedge after some edits; `None` where it is not held without one.
fn searched(search: &Search, set: &[&Judged], at: usize) -> Option<Verdict> {
    let edits: Vec<Edit> = set.iter().flat_map(|j| j.edits.clone()).collect();
    let (case, _) = search.after(&edits);
    let ground = Ground::of(&case).unwrap();
    let judging = Judging::of(ground.drive(&case));
    let without = search.stays_held(&case, judging.drive(), &edits, at)
        || set.len() > 1 && search.is_held_by_one(&case, judging.drive(), set, at);
    without.then(|| search.wedges.verdict(&judging, at, &search.known[at]).unwrap().0)
}

#[test]
fn no_search_finds_short_what_is_held_without_one() {
    let (mut alone, mut together) = (0, 0);
    for read in cases() {
        let whole = check(&read.case).unwrap();
        let steps = Steps::default();
        let search = Search::of(&read.case, &whole, &read.plan, None, &steps);
        // The weakest and the strongest of each key.
        let judged: Vec<Judged> = offered::ladders(&read.case, None)
            .iter()
            .flat_map(|ladder| ladder.first().into_iter().chain(ladder.last().filter(|_| ladder.len() > 1)))
            .filter_map(|edit| search.judged(vec![edit.clone()], None))
            .collect();
        let asked = |set: &[&Judged], count: &mut usize| {
            for at in 0..search.now.len() {
                let Some(verdict) = searched(&search, set, at) else { continue };
                let names: Vec<&Edit> = set.iter().flat_map(|j| &j.edits).collect();
                assert!(verdict != Verdict::Short, "{} {names:?}", search.wedges.id(at));
                *count += usize::from(verdict == Verdict::Held);
            }
        };
        for (k, one) in judged.iter().enumerate() {
            asked(&[one], &mut alone);
            for other in &judged[k + 1..] {
                let apart = |e: &Edit| other.edits.iter().all(|o| e.is_apart_from(o));
                if one.edits.iter().all(apart) {
                    asked(&[one, other], &mut together);
                }
            }
        }
    }
    assert!(alone >= 30 && together >= 30, "{alone} {together}");
}
