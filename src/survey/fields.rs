use crate::input::Known;

/// The columns of a survey, in the order of [`SURVEY_COLUMNS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(usize)]
pub(crate) enum Field {
    Dip,
    DipDirection,
    Strike,
    PoleTrend,
    PolePlunge,
    Alpha,
    Beta,
    HoleTrend,
    HolePlunge,
    ReferenceLine,
    Set,
    TraceLength,
    EndsSeen,
    Line,
    Distance,
    Spacing,
    Jrc,
    Roughness,
    Filling,
    Water,
    Instrument,
    NearSteel,
    Note,
    Orientation,
    StrikeQuadrant,
    DipQuadrant,
    Type,
    Chainage,
    Termination,
    MapperWeight,
    Jcs,
    Jr,
    Ja,
    Jn,
    Rqd,
    Jcond89,
}

const fn known(name: &'static str, bare: &'static [&'static str], also: &'static [&'static str]) -> Known {
    Known { name, bare, also }
}

/// Every column a survey may have. Bare names are taken with a warning. A bare "strike" is not
/// among them, nor "azimuth": nobody can tell whether the right-hand rule was kept, or which
/// azimuth is meant.
pub(crate) const SURVEY_COLUMNS: [Known; 36] = [
    known("dip_deg", &["dip"], &[]),
    known("dip_direction_deg", &["dip_direction", "dipdirection", "dip_dir", "dipdir"], &["dip_dir_deg"]),
    known("strike_deg", &[], &[]),
    known("pole_trend_deg", &["pole_trend"], &[]),
    known("pole_plunge_deg", &["pole_plunge"], &[]),
    known("alpha_deg", &["alpha"], &[]),
    known("beta_deg", &["beta"], &[]),
    known("hole_trend_deg", &["hole_trend"], &[]),
    known("hole_plunge_deg", &["hole_plunge"], &[]),
    known("reference_line", &[], &[]),
    known("set", &[], &["joint_set"]),
    known("trace_length_m", &[], &["trace_m"]),
    known("ends_seen", &[], &[]),
    known("scanline", &[], &["line", "window", "hole", "line_id"]),
    known("distance_m", &[], &["depth_m"]),
    known("spacing_m", &[], &[]),
    known("jrc", &[], &[]),
    known("roughness", &[], &[]),
    known("filling", &[], &["infill"]),
    known("water", &[], &["seepage"]),
    known("instrument", &[], &[]),
    known("near_steel", &[], &[]),
    known("note", &[], &["notes", "remark", "remarks"]),
    known("orientation", &[], &[]),
    known("strike_quadrant", &[], &[]),
    known("dip_quadrant", &[], &[]),
    known("type", &[], &["structure_type", "feature"]),
    known("chainage_m", &["chainage"], &[]),
    known("termination", &[], &["terminations"]),
    // Not a bare "weight": readings.csv has one, which is computed.
    known("mapper_weight", &[], &[]),
    known("jcs_mpa", &["jcs"], &[]),
    known("jr", &[], &[]),
    known("ja", &[], &[]),
    known("jn", &[], &[]),
    known("rqd_percent", &["rqd"], &[]),
    known("jcond89", &[], &[]),
];

/// The notations that make a plane, with the columns each needs.
pub(crate) const NOTATIONS: [(super::Notation, [Field; 2]); 4] = [
    (super::Notation::DipDirection, [Field::Dip, Field::DipDirection]),
    (super::Notation::Strike, [Field::Strike, Field::Dip]),
    (super::Notation::Pole, [Field::PoleTrend, Field::PolePlunge]),
    (super::Notation::Core, [Field::Alpha, Field::Beta]),
];

/// The notations in words, for messages.
pub(crate) const NOTATION_COLUMNS: &str = "dip_deg with dip_direction_deg, strike_deg \
    (right-hand rule) with dip_deg, pole_trend_deg with pole_plunge_deg, or alpha_deg with \
    beta_deg";

impl Field {
    pub(crate) fn name(self) -> &'static str {
        SURVEY_COLUMNS[self as usize].name
    }
}
