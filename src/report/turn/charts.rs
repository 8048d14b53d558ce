//! Polar charts of directions.

use super::words::{deciding_share, short_how};
use crate::case::Case;
use crate::orientation::Line;
use crate::report::paper::numbers::shortest;
use crate::report::paper::polar::{Polar, PolarCurve, PolarPoint};
use crate::report::paper::sheet::Sheet;
use crate::study::{Turn, Turned, Verdict};

/// The chart of factors reaches this far; a direction beyond stands at the rim.
const HIGHEST_MARGIN: f64 = 2.0;

/// Factor of safety over what is asked, by direction; the ring at 1 is what is asked.
#[must_use]
pub(super) fn margin_chart(turn: &Turn, case: &Case) -> Sheet {
    let all = turn.others.len();
    let holding = turn.others.iter().filter(|t| t.verdict() == Verdict::Held).count();
    let title = match holding {
        0 => format!("In none of {all} directions everything that is asked is held"),
        n => format!("In {n} of {all} directions everything that is asked is held"),
    };
    chart(
        turn,
        case,
        Turned::margin,
        Polar {
            title,
            measured: "least FS over what is asked".to_owned(),
            rim: HIGHEST_MARGIN,
            mark: Some((1.0, "what is asked".to_owned())),
            ..Polar::default()
        },
    )
}

/// The heaviest wedge that can move, by direction.
#[must_use]
pub(super) fn weight_chart(turn: &Turn, case: &Case) -> Sheet {
    let weight = |t: &Turned| t.heaviest.as_ref().map_or(0.0, |h| h.weight_kn);
    let most = turn.others.iter().chain([&turn.own]).map(weight).fold(0.0, f64::max);
    let title = match turn.others.iter().map(weight).reduce(f64::min) {
        Some(least) => format!(
            "The heaviest wedge that can move weighs {least:.0} to {most:.0} kN, as the drive is turned"
        ),
        None => "The heaviest wedge that can move".to_owned(),
    };
    chart(
        turn,
        case,
        weight,
        Polar {
            title,
            measured: "weight of the heaviest wedge that can move, kN".to_owned(),
            rim: rim_of(most),
            ..Polar::default()
        },
    )
}

/// How likely a wedge is short, by direction; `None` where that was not asked.
#[must_use]
pub(super) fn chance_chart(turn: &Turn, case: &Case) -> Option<Sheet> {
    let how = short_how(turn.own.chance?, case);
    let percent = |t: &Turned| t.chance.map_or(0.0, |c| 100.0 * deciding_share(c));
    let all = || turn.others.iter().map(percent);
    let most = all().chain([percent(&turn.own)]).fold(0.0, f64::max);
    let title = match all().reduce(f64::min) {
        Some(least) => format!(
            "{least:.1} to {:.1} % of draws have a wedge short {how}, as the drive is turned",
            all().fold(0.0, f64::max)
        ),
        None => format!("Draws with a wedge short {how}"),
    };
    let polar = Polar {
        title,
        measured: format!("draws with a wedge short {how}, %"),
        rim: rim_of(most).min(100.0),
        ..Polar::default()
    };
    Some(chart(turn, case, percent, polar))
}

/// A round number at or above the most.
fn rim_of(most: f64) -> f64 {
    if most.is_nan() || most <= 0.0 {
        return 1.0;
    }
    let decade = 10_f64.powf(most.log10().floor());
    [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0]
        .into_iter()
        .map(|factor| factor * decade)
        .find(|rim| *rim >= most)
        .unwrap_or(10.0 * decade)
}

/// Curves of directions that are only tried, one a plunge; points of headings that have names.
fn chart(turn: &Turn, case: &Case, value: impl Fn(&Turned) -> f64, polar: Polar) -> Sheet {
    let tried: Vec<&Turned> = turn.others.iter().filter(|t| t.heading.name.is_none()).collect();
    let mut plunges: Vec<f64> = tried.iter().map(|t| t.heading.advance.plunge_deg).collect();
    plunges.dedup();
    let curves = plunges
        .iter()
        .map(|&plunge_deg| PolarCurve {
            label: match plunge_deg {
                0.0 => "level drives".to_owned(),
                deg if deg < 0.0 => format!("drives that climb {}\u{b0}", shortest(-deg)),
                deg => format!("drives that go down {}\u{b0}", shortest(deg)),
            },
            points: tried
                .iter()
                .filter(|t| t.heading.advance.plunge_deg == plunge_deg)
                .map(|t| [t.heading.advance.trend_deg, value(t)])
                .collect(),
        })
        .collect();
    let points = turn
        .others
        .iter()
        .filter_map(|t| {
            Some(PolarPoint {
                name: t.heading.name.clone()?,
                azimuth_deg: t.heading.advance.trend_deg,
                value: value(t),
                held: t.verdict() == Verdict::Held,
            })
        })
        .collect();
    let drive: Line = case.advance;
    Polar { north: case.north.clone(), curves, points, drive: Some(drive), ..polar }.draw()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rim_is_a_round_number_at_or_above_the_most() {
        for (most, rim) in [(0.0, 1.0), (7.0, 8.0), (100.0, 100.0), (101.0, 150.0), (910.0, 1000.0)] {
            assert_eq!(rim_of(most), rim, "{most}");
        }
    }
}
