//! What a case may ask for at most: at each limit it is read, beyond it it is refused with what it would
//! cost; the guess of what a check takes goes the right way.
#![allow(clippy::unwrap_used, clippy::panic)] // a test may stop where it stands

use std::fmt::Write as _;
use std::io;
use std::time::{Duration, Instant};

use backhold::case::{Problem, Problems, ReadCase, check_cost, parse_case};

/// Reading and refusing is no check: it ends while somebody waits.
const SOON: Duration = Duration::from_secs(2);

fn sample() -> String {
    let text = std::fs::read_to_string("samples/haulage.toml").unwrap();
    text.replace("#:schema case.schema.json\n", "")
}

fn read(text: &str) -> Result<ReadCase, Problems> {
    let start = Instant::now();
    let read = parse_case(text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into()));
    assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
    read
}

/// The one problem of a case, said with file, key, what was found, what is allowed, what to do.
fn only(text: &str) -> Problem {
    let problems = read(text).unwrap_err();
    assert_eq!(problems.list().len(), 1, "{problems}");
    let problem = problems.list()[0].clone();
    assert_eq!(problem.file, "case.toml");
    assert!(!problem.found.is_empty() && !problem.allowed.is_empty() && !problem.advice.is_empty());
    problem
}

fn with_sets(count: usize) -> String {
    let mut text = sample();
    for i in 3..count {
        write!(
            text,
            "\n[[joint_set]]\nname = \"S{i}\"\ndip_deg = {}.0\ndip_direction_deg = {}.0\nfriction_deg = 30.0\n\
             max_trace_m = 6.0\n",
            20 + 7 * (i % 10),
            17 * i
        )
        .unwrap();
    }
    text
}

fn with_structures(text: String, count: usize) -> String {
    (0..count).fold(text, |text, i| {
        format!(
            "{text}\n[[structure]]\nname = \"F{i}\"\ndip_deg = {}.0\ndip_direction_deg = {}.0\n\
             friction_deg = 25.0\nchainage_m = {}.0\nu_m = 0.0\nv_m = 2.5\n",
            40 + i,
            17 * i % 360,
            50 + i
        )
    })
}

fn with_spacings(ring_m: f64, spacing_m: f64) -> String {
    sample()
        .replace("ring_spacing_m = 1.2", &format!("ring_spacing_m = {ring_m}"))
        .replace("\nspacing_m = 1.2", &format!("\nspacing_m = {spacing_m}"))
}

fn pattern(more: &str, ring_m: f64) -> String {
    format!(
        "\n[[pattern]]\nbolt = \"resin rebar 20 mm\"\nlength_m = 2.4\noutside_hole_m = 0.1\n\
         ring_spacing_m = {ring_m}\nspacing_m = 1.2\ncovers = [\"back\"]\n{more}"
    )
}

#[test]
fn joint_sets() {
    assert!(read(&with_sets(10)).is_ok());
    let problem = only(&with_sets(11));
    assert_eq!(problem.key, "joint_set");
    assert!(problem.found.starts_with("11 joint sets and 0 structures: 165 triples"), "{problem}");
    assert!(problem.found.contains("minutes of one core and 330 MB"), "{problem}");
    assert!(problem.allowed.contains("10 sets"), "{problem}");
    // The eleventh is blamed, which stands last.
    let text = with_sets(11);
    let last = text.lines().collect::<Vec<_>>().iter().rposition(|l| *l == "[[joint_set]]").unwrap() + 1;
    assert_eq!(problem.line, Some(last));
    assert!(only(&with_sets(20)).found.contains("1140 triples"));
}

#[test]
fn structures_beside_many_sets() {
    assert!(read(&with_structures(with_sets(3), 40)).is_ok());
    assert!(read(&with_structures(with_sets(8), 2)).is_ok());
    let problem = only(&with_structures(with_sets(8), 3));
    assert_eq!(problem.key, "structure");
    assert!(problem.found.contains("140 triples") && problem.allowed.contains("2 structures"), "{problem}");
}

#[test]
fn collars_on_a_square_metre() {
    // 12.5, and 12.8.
    assert!(read(&with_spacings(0.2, 0.4)).is_ok());
    assert!(only(&with_spacings(0.2, 0.39)).found.contains("13 collars a square metre"));
    let problem = only(&with_spacings(0.1, 0.1));
    assert_eq!(problem.key, "pattern[1].ring_spacing_m");
    assert!(problem.found.contains("100 collars a square metre"), "{problem}");
    assert!(problem.allowed.contains("hours") && problem.advice.contains("metres"), "{problem}");
    // Two that are few enough each.
    let two = with_spacings(0.4, 0.4) + &pattern("", 0.1);
    let problem = only(&two);
    assert_eq!(problem.key, "pattern[2].ring_spacing_m");
    assert!(problem.found.contains("14.6 collars a square metre with the patterns before it"), "{problem}");
}

#[test]
fn patterns_that_slide() {
    let more = |count: usize, offset: &str| (0..count).map(|_| pattern(offset, 1.2)).collect::<String>();
    assert!(read(&(sample() + &more(5, ""))).is_ok());
    let problem = only(&(sample() + &more(6, "")));
    assert_eq!(problem.key, "pattern[7]");
    assert!(problem.allowed.contains("at most 6") && problem.advice.contains("offset_m"), "{problem}");
    // Those with places slide as one.
    assert!(read(&(sample() + &more(9, "offset_m = 0.0\n"))).is_ok());
}

#[test]
fn rings_of_stretches() {
    let stretch =
        |to_m: f64| with_structures(sample(), 1) + &pattern(&format!("from_m = 0.0\nto_m = {to_m}\n"), 1.0);
    assert!(read(&stretch(1999.5)).is_ok());
    let problem = only(&stretch(2000.5));
    assert_eq!(problem.key, "pattern[2].to_m");
    assert!(problem.found.starts_with("2001 rings"), "{problem}");
}

#[test]
fn stretches_as_built() {
    let text = std::fs::read_to_string("samples/as_built.toml").unwrap();
    let bolts = std::fs::read_to_string("samples/as_built_bolts.csv").unwrap();
    let of = |to_m: &str| {
        let text = text.replace("to_m = 64.0", to_m);
        parse_case(&text, "case.toml", &|_| Ok(bolts.clone()))
    };
    assert!(of("to_m = 2040.0").is_ok());
    let problems = of("to_m = 2040.5").unwrap_err();
    assert_eq!(problems.list()[0].key, "as_built.to_m");
    assert!(
        problems.to_string().contains("2000.5 m") && problems.to_string().contains("overlap"),
        "{problems}"
    );
    // By the rows alone: one bolt far away.
    let text = text.replace("from_m = 40.0\n", "").replace("to_m = 64.0\n", "");
    let far = format!("{bolts}5000,0.0,140,-60,2.4,0.1,resin rebar 20 mm,good,\n");
    let problems = parse_case(&text, "case.toml", &|_| Ok(far.clone())).unwrap_err();
    assert_eq!(problems.list()[0].key, "as_built", "{problems}");
    assert!(problems.to_string().contains("at most 2000 m"), "{problems}");
}

#[test]
fn a_guess_of_more_than_an_hour() {
    // Each by itself is accepted: a hall a hundred metres wide, no caps, bolts at 0.4 m.
    let hall = |text: String| {
        let arch = "{ shape = \"arched\", width_m = 5.0, wall_height_m = 3.4, rise_m = 1.6 }";
        assert!(text.contains(arch));
        text.replace(arch, "{ shape = \"circular\", diameter_m = 100.0 }")
    };
    assert!(read(&hall(sample())).is_ok());
    assert!(read(&with_spacings(0.4, 0.4)).is_ok());
    let uncapped: String = hall(with_spacings(0.4, 0.4))
        .lines()
        .filter(|l| !l.starts_with("max_trace_m") && !l.starts_with("max_length_m"))
        .map(|l| format!("{l}\n"))
        .collect();
    let problem = only(&uncapped);
    assert!(problem.found.contains("hours of one core"), "{problem}");
    assert!(problem.allowed.contains("60 minutes") && problem.advice.contains("[limits]"), "{problem}");
}

/// More of anything is never guessed to take less; what the samples take is guessed to a few seconds.
#[test]
fn the_guess_goes_with_what_is_asked() {
    let seconds = |text: &str| {
        let case = read(text).unwrap().case;
        check_cost(&case, &case.opening().unwrap()).core_seconds
    };
    let base = seconds(&sample());
    assert!(base > 1.0 && base < 10.0, "{base}");
    for more in [
        with_sets(4),
        with_structures(sample(), 1),
        with_spacings(0.6, 1.2),
        sample() + &pattern("", 1.0),
        sample().replace("max_length_m = 10.0", "").replace("max_trace_m = 6.0", "max_trace_m = 60.0"),
    ] {
        assert!(seconds(&more) > base, "{more}");
    }
}

/// All that is too much is said at once.
#[test]
fn several_limits_at_once() {
    let text = with_sets(12)
        .replace("ring_spacing_m = 1.2", "ring_spacing_m = 0.1")
        .replace("\nspacing_m = 1.2", "\nspacing_m = 0.1");
    let problems = read(&text).unwrap_err();
    let keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    assert_eq!(keys, ["pattern[1].ring_spacing_m", "joint_set"], "{problems}");
}
