//! The gap wedge against a brute-force search with the plain evaluator: every place across the
//! section, every phase of the rings, growing the wedge until a bolt touches it.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::oracle;
use crate::oracle::{Collar, Frontier, Input, Seat, dot, inward_normals, lay_out, to_uvw, wedge_at};
use crate::random_cases;
use crate::random_cases::{
    Rng, advance, bare, bolt, cap_to, caps, digits, figures, oracle_input, pattern, sets, shape,
};
use backhold::case::Case;
use backhold::study::{forces_alone, size_curve};

/// Never below the brute force by more than rounding: the library keeps 1e-9 clear of each cap, a
/// length, which is 3e-9 of a volume.
const BELOW: f64 = 1e-8;
/// Never above by more than this: above what brute force finds, or the reported wedge itself where
/// the oracle sees that no bolt touches it.
const ABOVE: f64 = 1e-2;

/// A group of patterns that slide together: its period and its bolts, each with the chainage of its
/// ring 0.
struct Group {
    first_pattern: usize,
    period_m: f64,
    bolts: Vec<Row>,
}

struct Row {
    collar: Collar,
    direction: [f64; 3],
    length_m: f64,
    first_m: f64,
    period_m: f64,
}

struct Brute<'a> {
    input: &'a Input,
    inward: [[f64; 3]; 3],
    frontier: Frontier<'a>,
    groups: Vec<Group>,
    /// The part of the chain that is bolted ground, as shares of it.
    ground: (f64, f64),
}

impl Brute<'_> {
    /// Whether a bolt with its collar x metres along the drive from the apex meets the wedge: the
    /// part of its length that lies within the three joints, from a collar that the apex sees.
    fn touches(&self, row: &Row, apex: [f64; 2], x: f64) -> bool {
        let seen = row.collar.facets.iter().any(|&f| {
            let n = oracle::section::normal(&self.input.section, f);
            n[0] * row.direction[0] + n[1] * row.direction[1] > 0.0
                && oracle::section::height(&self.input.section, f, apex) > 0.0
        });
        if !seen {
            return false;
        }
        let r = [row.collar.u_m - apex[0], row.collar.v_m - apex[1], x];
        let (mut from, mut to) = (0.0f64, row.length_m);
        for m in self.inward {
            let (height, rate) = (dot(m, r), dot(m, row.direction));
            if rate > 0.0 {
                from = from.max(-height / rate);
            } else if rate < 0.0 {
                to = to.min(-height / rate);
            } else if height < 0.0 {
                return false;
            }
        }
        from <= to
    }

    fn free_at(&self, group: &Group, seat: &Seat, phase_m: f64) -> bool {
        let reach = seat.wedge.reach_m;
        group.bolts.iter().all(|row| {
            // Bolts that lean along the drive reach in from as far off as they are long.
            let (low, high) = (reach[0] - row.length_m, reach[1] + row.length_m);
            let from = ((low + phase_m - row.first_m) / row.period_m).ceil() as i64;
            let to = ((high + phase_m - row.first_m) / row.period_m).floor() as i64;
            (from..=to).all(|k| {
                let x = row.first_m + k as f64 * row.period_m - phase_m;
                !self.touches(row, seat.apex_uv, x)
            })
        })
    }

    /// A free phase of the group, looked for on a grid round `near` or over the whole period.
    fn free(&self, group: &Group, seat: &Seat, near: Option<f64>, steps: usize) -> Option<f64> {
        let (from, step) = match near {
            None => (0.0, group.period_m / steps as f64),
            Some(phase) => (phase - 0.02 * group.period_m, 0.04 * group.period_m / steps as f64),
        };
        (0..=steps).map(|k| from + step * k as f64).find(|&phase| self.free_at(group, seat, phase))
    }

    /// The largest untouched wedge with its left edge at a place: volume and phases.
    fn grow(
        &self,
        place: f64,
        near: Option<&[f64]>,
        steps: usize,
        caps_steps: usize,
    ) -> Option<(f64, Vec<f64>)> {
        let widest = self.frontier.widest(place, caps_steps)?;
        let mut found: Option<(f64, Vec<f64>)> = None;
        let (mut low, mut high) = (place, self.ground.1.min(self.frontier.right_of(&widest)));
        for round in 0..22 {
            let end = if round == 0 { high } else { 0.5 * (low + high) };
            let seat = self.frontier.between(place, end);
            let mut phases = Vec::new();
            for (g, group) in self.groups.iter().enumerate() {
                let shift = near.map(|n| n[g]);
                // The phase of the edge's line, not of the apex, stays while the wedge grows.
                let at_edge = self.frontier.chainage_of_left(&seat);
                let Some(phase) = self.free(group, &seat, shift.map(|s| s - at_edge), steps) else { break };
                phases.push(phase + at_edge);
            }
            if phases.len() == self.groups.len() {
                low = end;
                if found.as_ref().is_none_or(|f| seat.wedge.volume_m3 > f.0) {
                    found = Some((seat.wedge.volume_m3, phases));
                }
                if round == 0 {
                    break;
                }
            } else {
                high = end;
            }
        }
        found
    }

    fn largest(&self, rng: &mut Rng) -> f64 {
        let (from, to) = self.ground;
        let count = 60;
        let mut found: Vec<(f64, f64, Vec<f64>)> = Vec::new();
        for k in 0..count {
            let place = from + (to - from) * (k as f64 + rng.between(0.0, 1.0)) / count as f64;
            found.extend(self.grow(place, None, 240, 40).map(|f| (f.0, place, f.1)));
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best = 0.0f64;
        for (volume, place, phases) in found.into_iter().take(5) {
            let mut at = (volume, place, phases);
            let mut reach = (to - from) / count as f64;
            for _ in 0..9 {
                for _ in 0..5 {
                    let place = at.1 + reach * rng.between(-1.0, 1.0);
                    if place < from || place >= to {
                        continue;
                    }
                    if let Some(f) = self.grow(place, Some(&at.2), 160, 40)
                        && f.0 > at.0
                    {
                        at = (f.0, place, f.1);
                    }
                }
                reach *= 0.5;
            }
            best = best.max(at.0);
        }
        best
    }
}

fn groups(input: &Input) -> Vec<Group> {
    let period = |k: usize| {
        let p = &input.patterns[k];
        p.ring_spacing_m * if p.stagger { 2.0 } else { 1.0 }
    };
    let row_of = |k: usize| {
        let p = &input.patterns[k];
        lay_out(input, p).into_iter().map(move |collar| Row {
            direction: to_uvw(input, collar.direction_world),
            length_m: p.length_m - p.outside_hole_m,
            first_m: p.offset_m.unwrap_or(0.0) + f64::from(collar.parity) * p.ring_spacing_m,
            period_m: period(k),
            collar,
        })
    };
    let fixed: Vec<usize> =
        (0..input.patterns.len()).filter(|&k| input.patterns[k].offset_m.is_some()).collect();
    let mut out: Vec<Group> = Vec::new();
    let mut done: Vec<usize> = Vec::new();
    if fixed.len() > 1 {
        let common = (1..=600)
            .map(|n| 0.1 * f64::from(n))
            .find(|c| fixed.iter().all(|&k| (c / period(k) - (c / period(k)).round()).abs() < 1e-9));
        if let Some(period_m) = common {
            out.push(Group {
                first_pattern: fixed[0],
                period_m,
                bolts: fixed.iter().flat_map(|&k| row_of(k)).collect(),
            });
            done = fixed;
        }
    }
    for k in (0..input.patterns.len()).filter(|k| !done.contains(k)) {
        out.push(Group { first_pattern: k, period_m: period(k), bolts: row_of(k).collect() });
    }
    // The library numbers its groups by their first pattern.
    out.sort_by_key(|g| g.first_pattern);
    out
}

/// A case with one or two patterns, bolts square to the surface, fanned or vertical, two of three
/// without caps: the bolts bound the wedge then.
fn random_case(rng: &mut Rng) -> Option<(Case, String)> {
    let mut case = bare(shape(rng), advance(rng), sets(rng, 3, true));
    let free = forces_alone(&case).ok()?;
    let model = free.wedges.get(rng.below(free.wedges.len().max(1)))?.clone();
    if rng.chance(0.33) {
        cap_to(rng, &mut case, &model);
    }
    let section = case.shape.section().unwrap();
    let (low, high) = section.bounds();
    for k in 0..if rng.chance(0.3) { 2 } else { 1 } {
        let mechanical = rng.chance(0.35);
        case.bolts.push(bolt(rng, mechanical));
        let fan = rng.chance(0.3).then(|| {
            let (middle, height) = (0.5 * (low.x + high.x), high.y - low.y);
            (middle + rng.between(-0.3, 0.3), low.y + rng.between(0.3, 0.5) * height)
        });
        let mut new = pattern(rng, k, fan);
        if fan.is_none() && new.covers.len() == 1 && rng.chance(0.5) {
            new.aim = backhold::support::Aim::Vertical;
        }
        if rng.chance(0.5) {
            new.offset_m = Some((rng.between(0.0, 2.0) * 100.0).round() / 100.0);
        }
        case.patterns.push(new);
    }
    Some((case, model.wedge.id))
}

#[test]
fn brute_force_finds_no_larger_gap_and_one_nearly_as_large() {
    let wanted = std::env::var("GAP_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(36);
    let seed = std::env::var("GAP_SEED").ok().and_then(|n| n.parse().ok()).unwrap_or(0x6a9);
    let mut rng = Rng::new(seed);
    let mut faults = Vec::new();
    let (mut cases, mut touched, mut two, mut leaning) = (0, 0, 0, 0);
    let (mut above, mut above_known, mut brute_force) = (Vec::new(), Vec::new(), Vec::new());
    while cases < wanted {
        let Some((case, id)) = random_case(&mut rng) else { continue };
        let Ok(checked) = forces_alone(&case) else { continue };
        let Some(wedge) = checked.wedges.iter().find(|w| w.wedge.id == id) else { continue };
        let Some(curve) = size_curve(&case, &checked, wedge) else { continue };
        let Some(gap) = &curve.gap else { continue };
        let input = oracle_input(&case);
        let pyramid = digits(wedge.wedge.pyramid);
        let caps = caps(&case, wedge.wedge.sets);
        let frontier = Frontier::new(&input, wedge.wedge.sets, pyramid, caps).unwrap();
        // Bolted ground in the oracle's words: covered facets, walls down to half a spacing below
        // the lowest collar. The longest run of it that the chain has is searched.
        let apex_uv = [gap.shape.apex.x, gap.shape.apex.z];
        let reported = wedge_at(&input, wedge.wedge.sets, pyramid, apex_uv);
        let mut largest = 0.0f64;
        let mut attained = 0.0f64;
        for ground in frontier.bolted_runs() {
            let brute = Brute {
                input: &input,
                inward: inward_normals(&input, wedge.wedge.sets, pyramid),
                frontier: Frontier::new(
                    &input,
                    wedge.wedge.sets,
                    pyramid,
                    random_cases::caps(&case, wedge.wedge.sets),
                )
                .unwrap(),
                groups: groups(&input),
                ground,
            };
            largest = largest.max(brute.largest(&mut Rng::new(seed ^ (cases as u64) << 20)));
            // The reported wedge at the reported phases, by the oracle's own test of touching.
            let seat = Seat { place: f64::NAN, apex_uv, wedge: reported.clone() };
            let free = |(group, &phase): (&Group, &f64)| brute.free_at(group, &seat, phase);
            if brute.groups.len() != gap.wedge.phases_m.len() {
                faults.push(format!("case {cases} {id}: {} groups", brute.groups.len()));
            }
            if brute.groups.iter().zip(&gap.wedge.phases_m).all(free) {
                attained = reported.volume_m3;
            } else {
                faults.push(format!("case {cases} {id}: a bolt touches the reported wedge"));
            }
        }
        if !random_cases::caps(&case, wedge.wedge.sets).admit(&reported) {
            faults.push(format!("case {cases} {id}: the reported wedge meets not every cap"));
        }
        brute_force.push(attained / largest - 1.0);
        cases += 1;
        two += usize::from(case.patterns.len() > 1);
        touched += usize::from(gap.volume_m3 < 0.99 * wedge.wedge.shape.volume_m3);
        leaning += usize::from(case.patterns.iter().any(|p| p.aim != backhold::support::Aim::Normal));
        let ratio = gap.volume_m3 / largest - 1.0;
        above.push(ratio);
        let over_known = gap.volume_m3 / largest.max(attained) - 1.0;
        above_known.push(over_known);
        if !(ratio >= -BELOW && over_known <= ABOVE) {
            faults.push(format!(
                "case {cases} {id}: gap {} m³, shown {}, brute force {largest}, largest {} {:?} {:?} {:?}",
                gap.volume_m3,
                gap.shape.volume_m3,
                wedge.wedge.shape.volume_m3,
                case.shape,
                case.patterns,
                case.limits
            ));
        }
    }
    above.sort_by(f64::total_cmp);
    println!("cases {cases}: {touched} bounded by bolts, {two} with two patterns, {leaning} leaning");
    println!("least above brute force {:.1e}", above[0]);
    println!("{}", figures("above brute force", &mut above));
    println!("{}", figures("above brute force and the reported wedge", &mut above_known));
    println!("{}", figures("reported wedge above brute force", &mut brute_force));
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
    assert!(touched >= wanted / 3 && two >= wanted / 8, "{touched} {two}");
}
