use crate::input::parse_number;
use crate::orientation::{Plane, wrap_azimuth_deg};

/// A dip that is said to go nearly along the strike is a slip: nobody can tell which way it dips.
const NEAREST_TO_STRIKE_DEG: f64 = 10.0;

/// The plane of a strike and a dip by quadrants: `N45E` (or `N 45 E`, `N-S`, `EW`) and `60SE` (or `60 SE`, `60`
/// where it is level or upright). Either end of the strike may be given.
///
/// The dip direction is the one of the two square to the strike that lies nearer to the letters of the dip.
pub(crate) fn quadrant_plane(strike: &str, dip: &str) -> Result<Plane, String> {
    let no_strike =
        || format!("strike \"{strike}\" is none by quadrants; allowed such as N45E, S30W, N-S, EW");
    let no_dip = || {
        format!("dip \"{dip}\" is none by quadrants; allowed 0 to 90 with N, NE, E and so on, such as 60SE")
    };
    let (strike_deg, dip_parts) = (strike_deg(strike), dip_of(dip));
    let (strike_deg, (dip_deg, toward)) = match (strike_deg, dip_parts) {
        (Some(strike), Some(dip)) => (strike, dip),
        (None, Some(_)) => return Err(no_strike()),
        (Some(_), None) => return Err(no_dip()),
        (None, None) => return Err(format!("{}; {}", no_strike(), no_dip())),
    };
    let right = wrap_azimuth_deg(strike_deg + 90.0);
    let Some(toward) = toward else {
        // A level plane has no dip direction, and an upright one either of the two.
        return match dip_deg {
            0.0 => Ok(Plane { dip_deg, dip_direction_deg: 0.0 }),
            90.0 => Ok(Plane { dip_deg, dip_direction_deg: right }),
            _ => Err(no_dip()),
        };
    };
    let off = (toward - right).rem_euclid(360.0);
    let off = off.min(360.0 - off);
    if (off - 90.0).abs() < NEAREST_TO_STRIKE_DEG {
        return Err(format!("dip \"{dip}\" goes along its strike \"{strike}\"; one of them is wrong"));
    }
    let dip_direction_deg = if off < 90.0 { right } else { wrap_azimuth_deg(right + 180.0) };
    Ok(Plane { dip_deg, dip_direction_deg })
}

/// Without blanks, hyphens and signs of degrees, in capitals.
fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '°' | '–'))
        .flat_map(char::to_uppercase)
        .collect()
}

fn strike_deg(text: &str) -> Option<f64> {
    let bare = bare(text);
    match bare.as_str() {
        "N" | "S" | "NS" | "SN" => return Some(0.0),
        "E" | "W" | "EW" | "WE" => return Some(90.0),
        _ => {}
    }
    let (from, rest) = (bare.chars().next()?, bare.get(1..)?);
    let toward = rest.chars().next_back()?;
    let angle = parse_number(rest.strip_suffix(toward)?).filter(|a| (0.0..=90.0).contains(a))?;
    let turned = match (from, toward) {
        ('N', 'E') => angle,
        ('N', 'W') => -angle,
        ('S', 'E') => 180.0 - angle,
        ('S', 'W') => 180.0 + angle,
        _ => return None,
    };
    Some(wrap_azimuth_deg(turned))
}

/// The dip, and the azimuth of its letters where there are any.
fn dip_of(text: &str) -> Option<(f64, Option<f64>)> {
    let bare = bare(text);
    let letters = bare.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
    let dip_deg = parse_number(bare.strip_suffix(letters)?).filter(|d| (0.0..=90.0).contains(d))?;
    const ROSE: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    if letters.is_empty() {
        return Some((dip_deg, None));
    }
    let point = ROSE.into_iter().position(|point| point == letters)?;
    #[allow(clippy::cast_precision_loss)] // sixteen of them
    let toward = point as f64 * 22.5;
    Some((dip_deg, Some(toward)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strikes_and_dips_by_quadrants() {
        for (strike, dip, wanted) in [
            ("N45E", "60SE", Some((60.0, 135.0))),
            ("N45E", "60NW", Some((60.0, 315.0))),
            ("S45W", "60 SE", Some((60.0, 135.0))),
            ("n 30° w", "55°ne", Some((55.0, 60.0))),
            ("N-S", "45,5W", Some((45.5, 270.0))),
            ("EW", "20 S", Some((20.0, 180.0))),
            ("N10E", "70E", Some((70.0, 100.0))),
            ("N45E", "90", Some((90.0, 135.0))),
            ("N45E", "0", Some((0.0, 0.0))),
            ("N45E", "60", None),
            ("N45E", "60NE", None),
            ("N95E", "60SE", None),
            ("E45N", "60SE", None),
            ("45", "60SE", None),
            ("N45E", "SE", None),
            ("", "", None),
        ] {
            let found = quadrant_plane(strike, dip).ok().map(|p| (p.dip_deg, p.dip_direction_deg));
            assert_eq!(found, wanted, "{strike} {dip}");
        }
        let both = quadrant_plane("x", "y").unwrap_err();
        assert!(both.contains("strike \"x\"") && both.contains("dip \"y\""), "{both}");
    }
}
