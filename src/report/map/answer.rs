use super::domains::extent;
use super::words::counted;
use crate::report::words::{MOST_WORDS, words_in};
use crate::survey::{Domain, FEW_READINGS, Form, JointSet, Mapped, Survey, Warning};

/// Doubts that the answer names; the rest are counted.
const MOST_DOUBTS: usize = 4;
/// Domains whose sets the answer names.
const MOST_DOMAINS: usize = 3;
/// Sets whose orientation the answer names.
const MOST_NAMED: usize = 6;

/// The answer in words, the same on terminal and page: how many sets from how many readings, what
/// was left over, and what a reader must doubt, as much of it as an answer has room for: warnings have all.
#[must_use]
pub(super) fn survey_answer(survey: &Survey, mapped: &Mapped, domains: &[Domain]) -> String {
    let answers = (0..=MOST_DOUBTS).rev().map(|doubts| answer(survey, mapped, domains, doubts));
    let mut last = String::new();
    for answer in answers {
        last = answer;
        if words_in(&last) <= MOST_WORDS {
            break;
        }
    }
    last
}

/// The answer with so many doubts spelled out.
fn answer(survey: &Survey, mapped: &Mapped, domains: &[Domain], most_doubts: usize) -> String {
    let loose = mapped.classes.iter().filter(|class| class.set.is_none()).count();
    let readings = counted(survey.readings.len(), "reading", "readings");
    let rejected = counted(survey.rejects.len(), "row was", "rows were");
    let mut answer = if domains.is_empty() {
        format!(
            "{} from {readings}{}; {} in no set, {rejected} rejected.",
            counted(mapped.sets.len(), "joint set", "joint sets"),
            named(&mapped.sets),
            counted(loose, "reading is", "readings are"),
        )
    } else {
        format!(
            "{} from {readings}: {}; sets of the whole are mixed. {} rejected.",
            counted(domains.len(), "domain", "domains"),
            of_domains(domains),
            capital(&rejected)
        )
    };
    if survey.readings.is_empty() {
        let why = commonest_reason(survey).map(|why| format!(" {why}")).unwrap_or_default();
        if words_in(&answer) + words_in(&why) <= MOST_WORDS {
            answer.push_str(&why);
        }
    }
    let doubts = doubts(survey, mapped);
    let named = doubts.len().min(most_doubts);
    let more = doubts.len() - named;
    if named > 0 {
        answer.push_str(&format!(" In doubt: {}", doubts[..named].join("; ")));
        if more > 0 {
            answer.push_str(&format!("; and {more} more"));
        }
        answer.push('.');
    } else if more > 0 {
        answer.push_str(&format!(" In doubt: {}, below.", counted(more, "thing", "things")));
    }
    answer
}

/// Why most rows were rejected.
fn commonest_reason(survey: &Survey) -> Option<String> {
    let mut reasons: Vec<&str> = survey.rejects.iter().map(|r| r.reason.as_str()).collect();
    reasons.sort_unstable();
    // Of equals the first in the alphabet, whatever the order of the rows.
    let most = reasons.chunk_by(|a, b| a == b).rev().max_by_key(|alike| alike.len())?;
    Some(format!("Of {} of them: {}.", most.len(), most[0]))
}

/// Dip and dip direction as the trade writes them.
pub(super) fn dip_and_direction(set: &JointSet) -> String {
    // 359.6 is written 000, not 360.
    format!("{:02.0}/{:03.0}", set.mean.dip_deg, set.mean.dip_direction_deg.round() % 360.0)
}

/// The sets of each domain, as many domains as an answer has room for.
fn of_domains(domains: &[Domain]) -> String {
    let told = domains.iter().take(MOST_DOMAINS).map(|domain| {
        let sets = named(&domain.mapped.sets);
        format!("{}{}", extent(domain), if sets.is_empty() { " no sets" } else { &sets })
    });
    let more = domains.len().saturating_sub(MOST_DOMAINS);
    let told: Vec<String> = told.chain((more > 0).then(|| format!("and {more} more"))).collect();
    told.join("; ")
}

/// With a capital letter first.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn named(sets: &[JointSet]) -> String {
    if sets.is_empty() {
        return String::new();
    }
    let mut names: Vec<String> =
        sets.iter().take(MOST_NAMED).map(|set| format!("{} {}", set.name, dip_and_direction(set))).collect();
    if sets.len() > MOST_NAMED {
        names.push(format!("and {} more", sets.len() - MOST_NAMED));
    }
    format!(" ({})", names.join(", "))
}

/// What a reader must doubt, the gravest first.
fn doubts(survey: &Survey, mapped: &Mapped) -> Vec<String> {
    let all = || survey.warnings.iter().chain(&mapped.warnings);
    let mut doubts = Vec::new();
    let sets_that = |pick: fn(&Warning) -> Option<&str>| -> Vec<&str> { all().filter_map(pick).collect() };
    let unlabelled = all().find_map(|w| match w {
        Warning::SomeUnlabelled { unlabelled, .. } => Some(unlabelled),
        _ => None,
    });
    doubts.extend(
        unlabelled.map(|n| format!("{} no label and stay out", counted(*n, "reading has", "readings have"))),
    );
    let mut say = |sets: Vec<&str>, one: &str, many: &str| match sets[..] {
        [] => {}
        [set] => doubts.push(format!("set {set} {one}")),
        _ => doubts.push(format!("sets {} {many}", sets.join(", "))),
    };
    say(
        sets_that(|w| if let Warning::SetInBlindZone { set } = w { Some(set) } else { None }),
        "lies where this survey could hardly see",
        "lie where this survey could hardly see",
    );
    say(
        sets_that(|w| if let Warning::FewReadings { set, .. } = w { Some(set) } else { None }),
        "rests on few readings",
        "rest on few readings",
    );
    say(
        sets_that(|w| if let Warning::KTooHigh { set, .. } = w { Some(set) } else { None }),
        "is tighter than hand mapping resolves",
        "are tighter than hand mapping resolves",
    );
    // The form of a handful of poles is chance.
    let girdles = mapped.sets.iter().filter(|s| s.form == Some(Form::Girdle) && s.readings >= FEW_READINGS);
    say(
        girdles.map(|s| s.name.as_str()).collect(),
        "scatters along a band, so that its mean says little",
        "scatter along bands, so that their means say little",
    );
    let overlaps = all().filter(|w| matches!(w, Warning::SetsOverlap { .. })).count();
    if overlaps > 0 {
        doubts.push("sets overlap and may be one".to_owned());
    }
    if all().any(|w| matches!(w, Warning::BordersOverlap { .. })) {
        doubts.push("borders by hand overlap".to_owned());
    }
    let turned = all().filter(|w| matches!(w, Warning::QuarterTurnFits { .. })).count();
    if turned > 0 {
        let readings = counted(turned, "reading looks", "readings look");
        doubts.push(format!("{readings} like strike and dip direction mixed up"));
    }
    match &mapped.blind_zone {
        Some(zone) if zone.share > 0.0 => {
            doubts.push(format!("{:.0} % of all joint directions could hardly be seen", zone.share * 100.0))
        }
        None if !survey.readings.is_empty() => doubts.push(
            if survey.lines.is_empty() {
                "no line is known, so nobody can say what could not be seen"
            } else {
                "no direction is known for every line, so nobody can say what could not be seen"
            }
            .to_owned(),
        ),
        _ => {}
    }
    if all().any(|w| matches!(w, Warning::NearSteel { .. })) {
        doubts.push("readings near steel".to_owned());
    }
    if all().any(|w| matches!(w, Warning::MixedInstruments { .. })) {
        doubts.push("instruments of different make".to_owned());
    }
    if survey.north.turn_deg() == 0.0 && !survey.readings.is_empty() {
        doubts.push("azimuths are taken as they stand, without declination".to_owned());
    }
    doubts
}
