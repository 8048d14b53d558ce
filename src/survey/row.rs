use std::borrow::Cow;

use crate::input::{parse_number, parse_range};
use crate::orientation::{CoreAngles, Line, OrientedHole, Plane, ReferenceLine, Strike, wrap_azimuth_deg};

use super::fields::{Field, NOTATIONS};
use super::warning::Warning;
use super::written_as::without_about;
use super::{NorthCorrection, Notation, SurveyLine};

/// Two notations of one plane in the same row may differ by rounding, not by more.
const SAME_PLANE_DEG: f64 = 2.0;
/// A strike within this of the dip direction was copied from it.
const COPIED_DEG: f64 = 0.5;

/// The cells of one row by field.
pub(crate) struct Cells<'r, 't> {
    pub line: usize,
    pub cells: &'r [Cow<'t, str>],
    pub columns: &'r [Option<usize>],
    /// What combined cells hold, which comes before columns of their own.
    pub apart: &'r [(Field, Cow<'r, str>)],
}

impl Cells<'_, '_> {
    /// The cell's text, `None` when the column is missing or the cell says nothing.
    pub(crate) fn text(&self, field: Field) -> Option<&str> {
        if let Some((_, text)) = self.apart.iter().find(|(of, _)| *of == field) {
            return Some(text);
        }
        let text = self.cells.get(self.columns[field as usize]?)?.as_ref();
        // All of these are short, and most cells are not.
        let nothing = text.len() <= 3 && matches!(text, "" | "-" | "–" | "NA" | "N/A" | "n/a" | "na");
        (!nothing).then_some(text)
    }
}

/// What rows need to know beyond themselves.
pub(crate) struct Context<'c> {
    pub north: NorthCorrection,
    /// Whether numbers may be called rough ones.
    pub about: bool,
    pub warnings: &'c mut Vec<Warning>,
}

/// A number of a column that the plane depends on, within its bounds, or a reason.
fn angle(
    cells: &Cells<'_, '_>,
    field: Field,
    [low, high]: [f64; 2],
    context: &mut Context<'_>,
    reasons: &mut Vec<String>,
) -> Option<f64> {
    let as_read = cells.text(field)?;
    let text = match without_about(as_read).filter(|_| context.about) {
        Some(text) => {
            let (line, column, found) = (cells.line, field.name(), as_read.to_owned());
            context.warnings.push(Warning::AboutTaken { line, column, found });
            text
        }
        None => as_read,
    };
    let mut reject = |why: &str| {
        reasons.push(format!("{} \"{text}\" {why}; allowed {low} to {high}", field.name()));
        None
    };
    let value = if let Some(value) = parse_number(text) {
        value
    } else if let Some(range) = parse_range(text) {
        let middle = if high > 180.0 && (range.to - range.from).abs() > 180.0 {
            // 350-10 straddles north.
            wrap_azimuth_deg(f64::midpoint(range.from, range.to) + 180.0)
        } else {
            f64::midpoint(range.from, range.to)
        };
        if range.from.max(range.to) <= high && range.from.min(range.to) >= low {
            context.warnings.push(Warning::RangeTaken {
                line: cells.line,
                column: field.name(),
                found: text.to_owned(),
                taken_deg: middle,
            });
        }
        if range.from.max(range.to) > high {
            return reject("is out of range");
        }
        middle
    } else {
        return reject("is not a number");
    };
    if (low..=high).contains(&value) { Some(value) } else { reject("is out of range") }
}

/// An azimuth of the joint. One up to a turn too large or too small is the same direction, and doubtful: the
/// reading is kept, with a warning.
fn azimuth(
    cells: &Cells<'_, '_>,
    field: Field,
    context: &mut Context<'_>,
    reasons: &mut Vec<String>,
) -> Option<f64> {
    let beyond = cells.text(field).and_then(|text| Some((text, parse_number(text)?))).filter(|(_, value)| {
        let (below, beyond) = (-AZIMUTH[1]..AZIMUTH[0], 2.0 * AZIMUTH[1]);
        below.contains(value) || (*value > AZIMUTH[1] && *value <= beyond)
    });
    let Some((text, value)) = beyond else {
        let before = reasons.len();
        let taken = angle(cells, field, AZIMUTH, context, reasons);
        // Out of both ranges: what would have been kept is said as well.
        let number = cells.text(field).and_then(parse_number);
        if let (Some(reason), Some(_)) = (reasons.get_mut(before), number) {
            reason.push_str(BEYOND_WORDS);
        }
        return taken;
    };
    let taken_deg = wrap_azimuth_deg(value);
    context.warnings.push(Warning::BeyondFullCircle {
        line: cells.line,
        column: field.name(),
        found: text.to_owned(),
        taken_deg,
    });
    Some(taken_deg)
}

/// What is kept beyond a full circle, in words.
const BEYOND_WORDS: &str = ", kept with a note from -360 to 720";

const AZIMUTH: [f64; 2] = [0.0, 360.0];
const DIP: [f64; 2] = [0.0, 90.0];
const PLUNGE: [f64; 2] = [-90.0, 90.0];

/// The plane of a row, to the case's north, or every reason why there is none.
pub(crate) fn plane_of(
    cells: &Cells<'_, '_>,
    line: Option<&SurveyLine>,
    context: &mut Context<'_>,
) -> Result<(Plane, Notation), Vec<String>> {
    let given = |notation: &[Field; 2]| notation.iter().all(|&f| cells.text(f).is_some());
    let mut reasons = Vec::new();
    let mut planes: Vec<(Plane, Notation)> = Vec::new();
    let mut any = false;
    for (notation, fields) in &NOTATIONS {
        if !given(fields) {
            continue;
        }
        any = true;
        let [first, second] = *fields;
        let plane = match notation {
            Notation::DipDirection => {
                let dip = angle(cells, first, DIP, context, &mut reasons);
                let direction = azimuth(cells, second, context, &mut reasons);
                dip.zip(direction).map(|(dip_deg, direction)| Plane {
                    dip_deg,
                    dip_direction_deg: context.north.apply_deg(wrap_azimuth_deg(direction)),
                })
            }
            Notation::Strike => {
                let strike = azimuth(cells, first, context, &mut reasons);
                // The dip has been judged already when a dip direction stood beside it.
                let dip = if planes.is_empty() && reasons.is_empty() {
                    angle(cells, second, DIP, context, &mut reasons)
                } else {
                    planes.first().map(|(plane, _)| plane.dip_deg)
                };
                strike.zip(dip).map(|(strike, dip_deg)| {
                    Strike { strike_deg: context.north.apply_deg(wrap_azimuth_deg(strike)), dip_deg }
                        .to_plane()
                })
            }
            Notation::Pole => {
                let trend = azimuth(cells, first, context, &mut reasons);
                let plunge = angle(cells, second, PLUNGE, context, &mut reasons);
                trend.zip(plunge).map(|(trend, plunge_deg)| {
                    Plane::from_pole(Line {
                        trend_deg: context.north.apply_deg(wrap_azimuth_deg(trend)),
                        plunge_deg,
                    })
                })
            }
            Notation::Core => core_plane(cells, line, context, &mut reasons),
            // Taken apart into dip and dip direction before.
            Notation::Quadrant => None,
        };
        planes.extend(plane.map(|plane| (plane, *notation)));
    }
    if !any {
        reasons = without_plane(cells);
    }
    if !reasons.is_empty() {
        return Err(reasons);
    }
    let Some(&(plane, notation)) = planes.first() else {
        return Err(vec![missing(cells)]);
    };
    for &(other, other_notation) in &planes[1..] {
        if other.angle_to_deg(plane) <= SAME_PLANE_DEG {
            continue;
        }
        let copied = other_notation == Notation::Strike
            && azimuth_off_deg(other.dip_direction_deg - 90.0, plane.dip_direction_deg) <= COPIED_DEG;
        if copied {
            context.warnings.push(Warning::StrikeLooksLikeDipDirection { line: cells.line });
        } else {
            reasons.push(format!(
                "{} and {} give planes {:.0}° apart; one of them is wrong",
                notation.words(),
                other_notation.words(),
                other.angle_to_deg(plane)
            ));
        }
    }
    if reasons.is_empty() { Ok((plane, notation)) } else { Err(reasons) }
}

fn azimuth_off_deg(a: f64, b: f64) -> f64 {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off)
}

/// The plane seen on core. The hole's direction turns it to the case's north, so that beta
/// needs no correction of its own.
fn core_plane(
    cells: &Cells<'_, '_>,
    line: Option<&SurveyLine>,
    context: &mut Context<'_>,
    reasons: &mut Vec<String>,
) -> Option<Plane> {
    let alpha = angle(cells, Field::Alpha, DIP, context, reasons);
    let beta = angle(cells, Field::Beta, AZIMUTH, context, reasons);
    let in_row = [Field::HoleTrend, Field::HolePlunge].map(|field| cells.text(field).is_some());
    let axis = match in_row {
        [true, true] => {
            let trend = angle(cells, Field::HoleTrend, AZIMUTH, context, reasons);
            let plunge = angle(cells, Field::HolePlunge, PLUNGE, context, reasons);
            trend.zip(plunge).map(|(trend, plunge_deg)| Line {
                trend_deg: context.north.apply_deg(wrap_azimuth_deg(trend)),
                plunge_deg,
            })
        }
        [false, false] => {
            let direction = line.and_then(|line| line.direction);
            if direction.is_none() {
                reasons.push(
                    "alpha and beta need the hole's trend and plunge, in the row \
                     (hole_trend_deg, hole_plunge_deg) or in the lines file"
                        .to_owned(),
                );
            }
            direction
        }
        _ => {
            reasons.push("hole_trend_deg and hole_plunge_deg belong together".to_owned());
            None
        }
    };
    let reference = match cells.text(Field::ReferenceLine) {
        Some(text) => {
            let reference = parse_reference(text);
            if reference.is_none() {
                reasons.push(format!("reference_line \"{text}\"; allowed top, bottom, north"));
            }
            reference
        }
        None => {
            let reference = line.and_then(|line| line.reference);
            if reference.is_none() {
                reasons.push(
                    "alpha and beta need a reference_line (top, bottom or north), in the row \
                     or in the lines file"
                        .to_owned(),
                );
            }
            reference
        }
    };
    let hole = OrientedHole { axis: axis?, reference: reference? };
    let angles = CoreAngles { alpha_deg: alpha?, beta_deg: beta? };
    match hole.plane(angles) {
        Ok(plane) => Some(plane),
        Err(error) => {
            reasons.push(format!("{error}; allowed here: reference_line north"));
            None
        }
    }
}

/// A reference line's name.
pub(crate) fn parse_reference(text: &str) -> Option<ReferenceLine> {
    match text.trim().to_ascii_lowercase().as_str() {
        "top" => Some(ReferenceLine::Top),
        "bottom" => Some(ReferenceLine::Bottom),
        "north" => Some(ReferenceLine::North),
        _ => None,
    }
}

/// Why a row without any complete notation gives no plane: what stands there and is no number comes first, since
/// an empty cell beside it is then no slip.
fn without_plane(cells: &Cells<'_, '_>) -> Vec<String> {
    let mut reasons = Vec::new();
    for field in NOTATIONS.iter().flat_map(|(_, fields)| *fields) {
        let Some(text) = cells.text(field) else { continue };
        let reason = format!(
            "{} \"{text}\" is not a number; a strike and a dip by quadrants, or two numbers in one cell, are read \
             where --notation names how they are written",
            field.name()
        );
        if parse_number(text).is_none() && parse_range(text).is_none() && !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    if reasons.is_empty() {
        reasons.push(missing(cells));
    }
    reasons
}

/// What such a row lacks.
fn missing(cells: &Cells<'_, '_>) -> String {
    let partners: Vec<String> = NOTATIONS
        .iter()
        .filter_map(|(_, [a, b])| match (cells.text(*a), cells.text(*b)) {
            (Some(_), None) if cells.columns[*b as usize].is_some() => Some(b.name().to_owned()),
            (None, Some(_)) if cells.columns[*a as usize].is_some() => Some(a.name().to_owned()),
            _ => None,
        })
        .collect();
    if partners.is_empty() {
        "no orientation in this row".to_owned()
    } else {
        format!("{} is empty", partners.join(" or "))
    }
}
