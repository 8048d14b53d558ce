use super::{Drilled, RingKind};
use crate::support::{LEAST_TESTS, torque_tested};

/// What a row of the test sheet asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoltTest {
    /// The torque of a bolt of the pattern.
    Torque,
    /// The pull of a bolt set for the test alone: one that is part of the support is not pulled.
    Pull,
}

impl BoltTest {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Torque => "torque",
            Self::Pull => "pull",
        }
    }
}

/// A test that the crew makes.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedTest {
    /// What is tested.
    pub test: BoltTest,
    /// The shift, from 1; `None` for pull tests, which are made once for a rock and condition.
    pub shift: Option<u64>,
    /// The bolt's number in its shift, or the test's number.
    pub number: u64,
    /// Index of the pattern.
    pub pattern: usize,
    /// Ring of its pattern, from 1; `None` for pull tests.
    pub ring: Option<u64>,
    /// Number of the collar in the ring from left to right, from 1; `None` for pull tests.
    pub collar: Option<u64>,
    /// Chainage of the ring from the start of the stretch, metres; `None` for pull tests.
    pub from_start_m: Option<f64>,
}

/// One ring in the order of drilling.
struct Ring {
    pattern: usize,
    number: u64,
    from_start_m: f64,
    bolts: u64,
}

/// The sheet: torque of the first, every tenth and the last tightened bolt of a shift, and five pull
/// tests of each pattern's bolt. Shifts hold as many bolts as the plan says; rings follow each other
/// along the drive.
pub(super) fn test_sheet(drilled: &[Drilled], shifts: f64) -> Vec<PlannedTest> {
    let mut rings = Vec::new();
    for (pattern, design) in drilled.iter().enumerate() {
        if !design.is_tightened() {
            continue;
        }
        for index in 0..design.rings as u64 {
            let kinds = RingKind::of(design.layout);
            let kind = kinds[usize::try_from(index).unwrap_or(0) % kinds.len()];
            let bolts = design.layout.rows.iter().filter(|r| kind.holds(r)).count() as u64;
            let from_start_m = index as f64 * design.ring_spacing_m;
            rings.push(Ring { pattern, number: index + 1, from_start_m, bolts });
        }
    }
    // Stable: rings at one place stay in the order of the patterns.
    rings.sort_by(|a, b| a.from_start_m.total_cmp(&b.from_start_m));
    let mut tests = torque(&rings, shifts);
    for (pattern, design) in drilled.iter().enumerate() {
        if drilled[..pattern].iter().any(|d| d.name == design.name) {
            continue; // the same bolt in another length
        }
        tests.extend((1..=LEAST_TESTS as u64).map(|number| PlannedTest {
            test: BoltTest::Pull,
            shift: None,
            number,
            pattern,
            ring: None,
            collar: None,
            from_start_m: None,
        }));
    }
    tests
}

fn torque(rings: &[Ring], shifts: f64) -> Vec<PlannedTest> {
    let all: u64 = rings.iter().map(|r| r.bolts).sum();
    let count = (shifts.ceil() as u64).clamp(1, all.max(1));
    let mut tests = Vec::new();
    let mut ring = 0;
    let mut before_ring = 0;
    for shift in 1..=count {
        // Even shares, the odd bolts in the first shifts.
        let (start, end) = (share(all, shift - 1, count), share(all, shift, count));
        for number in torque_tested(end - start) {
            let bolt = start + number - 1;
            while rings.get(ring).is_some_and(|r| bolt >= before_ring + r.bolts) {
                before_ring += rings[ring].bolts;
                ring += 1;
            }
            let Some(at) = rings.get(ring) else { break };
            tests.push(PlannedTest {
                test: BoltTest::Torque,
                shift: Some(shift),
                number,
                pattern: at.pattern,
                ring: Some(at.number),
                collar: Some(bolt - before_ring + 1),
                from_start_m: Some(at.from_start_m),
            });
        }
    }
    tests
}

fn share(all: u64, shift: u64, count: u64) -> u64 {
    // At most 1e9 bolts and as many shifts: the product stays far below the range of u128.
    let product = u128::from(all) * u128::from(shift);
    u64::try_from(product.div_ceil(u128::from(count))).unwrap_or(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shift_tests_its_first_every_tenth_and_last() {
        let ring = |number: u64, bolts| Ring { pattern: 0, number, from_start_m: number as f64, bolts };
        // 45 bolts in nine rings of five.
        let rings: Vec<Ring> = (1..=9).map(|n| ring(n, 5)).collect();
        let one = torque(&rings, 0.8);
        let numbers: Vec<u64> = one.iter().map(|t| t.number).collect();
        assert_eq!(numbers, [1, 10, 20, 30, 40, 45]);
        let places: Vec<(u64, u64)> = one.iter().map(|t| (t.ring.unwrap(), t.collar.unwrap())).collect();
        assert_eq!(places, [(1, 1), (2, 5), (4, 5), (6, 5), (8, 5), (9, 5)]);
        // In two shifts: 23 and 22 of them.
        let two = torque(&rings, 1.2);
        let numbers: Vec<(u64, u64)> = two.iter().map(|t| (t.shift.unwrap(), t.number)).collect();
        assert_eq!(numbers, [(1, 1), (1, 10), (1, 20), (1, 23), (2, 1), (2, 10), (2, 20), (2, 22)]);
    }
}
