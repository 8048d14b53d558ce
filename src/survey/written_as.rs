use std::borrow::Cow;

use super::Notation;
use super::fields::Field;
use super::quadrant::quadrant_plane;
use super::row::Cells;

/// How orientations are written in a survey, beyond plain numbers in columns of their own. Never guessed: each is
/// read where it was named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrittenAs {
    /// Column `orientation` holds dip and dip direction, 65/120.
    DipThenDirection,
    /// Column `orientation` holds dip direction and dip, 120/65.
    DirectionThenDip,
    /// Column `orientation` holds strike by the right-hand rule and dip, 030/65.
    StrikeThenDip,
    /// Column `orientation` holds strike and dip by quadrants, N45E/60SE; or `strike_quadrant` holds the one
    /// and `dip_quadrant` the other.
    Quadrant,
    /// Numbers may have ca., about, ~ or the like before them.
    About,
}

impl WrittenAs {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::DipThenDirection, Self::DirectionThenDip, Self::StrikeThenDip, Self::Quadrant, Self::About];

    /// What people call it by.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::DipThenDirection => "dip/direction",
            Self::DirectionThenDip => "direction/dip",
            Self::StrikeThenDip => "strike/dip",
            Self::Quadrant => "quadrant",
            Self::About => "about",
        }
    }

    /// Whether it says how column `orientation` is written.
    #[must_use]
    pub fn is_of_one_column(self) -> bool {
        self != Self::About
    }
}

/// What may stand between two values in one cell.
const BETWEEN: [char; 3] = ['/', ';', '\\'];

/// The cells that a row would have, had each value a column of its own.
pub(crate) type Apart<'t> = Vec<(Field, Cow<'t, str>)>;

/// Cells taken apart, in which way they were written, and the notation of a plane made from them.
pub(crate) type TakenApart<'t> = (Apart<'t>, (WrittenAs, Notation));

/// Takes combined cells of a row apart: in which way they are written, and the notation of a plane made from them.
pub(crate) fn apart<'t>(
    cells: &'t Cells<'_, '_>,
    written: &[WrittenAs],
) -> Result<Option<TakenApart<'t>>, String> {
    let one_cell = cells.text(Field::Orientation);
    for way in written {
        let fields = match way {
            WrittenAs::About => continue,
            WrittenAs::Quadrant => {
                let (strike, dip) = match (one_cell, cells.text(Field::StrikeQuadrant)) {
                    (Some(text), _) => match text.split_once(BETWEEN).or_else(|| text.split_once([' ', ',']))
                    {
                        Some(parts) => parts,
                        None => return Err(no_pair(text, *way, "N45E/60SE")),
                    },
                    (None, Some(strike)) => (strike, cells.text(Field::DipQuadrant).unwrap_or("")),
                    (None, None) => continue,
                };
                let plane = quadrant_plane(strike, dip).map_err(|why| {
                    one_cell.map_or_else(|| why.clone(), |text| format!("orientation \"{text}\": {why}"))
                })?;
                let number = |value: f64| Cow::Owned(value.to_string());
                let fields = vec![
                    (Field::Dip, number(plane.dip_deg)),
                    (Field::DipDirection, number(plane.dip_direction_deg)),
                ];
                return Ok(Some((fields, (*way, Notation::Quadrant))));
            }
            WrittenAs::DipThenDirection => [Field::Dip, Field::DipDirection],
            WrittenAs::DirectionThenDip => [Field::DipDirection, Field::Dip],
            WrittenAs::StrikeThenDip => [Field::Strike, Field::Dip],
        };
        let Some(text) = one_cell else { continue };
        let Some((first, second)) = text.split_once(BETWEEN) else {
            return Err(no_pair(text, *way, "65/120"));
        };
        let cell = |text: &'t str| Cow::Borrowed(text.trim());
        let notation =
            if *way == WrittenAs::StrikeThenDip { Notation::Strike } else { Notation::DipDirection };
        let fields = vec![(fields[0], cell(first)), (fields[1], cell(second))];
        return Ok(Some((fields, (*way, notation))));
    }
    Ok(None)
}

fn no_pair(text: &str, way: WrittenAs, such_as: &str) -> String {
    format!("orientation \"{text}\" is not written as {}; allowed such as {such_as}", way.name())
}

/// A number without the word before it that calls it a rough one; `None` where no such word stands there.
pub(crate) fn without_about(text: &str) -> Option<&str> {
    const WORDS: [&str; 9] = ["approx.", "approx", "about", "circa", "ca.", "ca", "c.", "~", "≈"];
    let lower = text.to_lowercase();
    // Lower case may be longer in bytes for letters that none of the words has.
    let word = WORDS.into_iter().find(|word| lower.starts_with(word) && text.is_char_boundary(word.len()))?;
    Some(text[word.len()..].trim())
}
