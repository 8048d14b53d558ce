use serde::Serialize;
use thiserror::Error;

/// What a reader of a check should know besides its numbers.
#[derive(Debug, Clone, PartialEq, Error, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Warning {
    /// Three planes nearly share a line.
    #[error(
        "sets {sets} nearly share one line (their thinnest joint pyramid is {solid_angle_sr:.1e} sr, less than {threshold_sr:.0e}); wedges of these three are left out"
    )]
    ThinTriple {
        /// Names, joined by `|`.
        sets: String,
        /// Its thinnest pyramid, steradians.
        solid_angle_sr: f64,
        /// The least that is worked with, steradians.
        threshold_sr: f64,
    },
    /// A friction angle that hardly any joint has.
    #[error(
        "friction_deg of {joint} is {friction_deg}, below {likely_deg}°, which hardly any joint has: were radians typed, or the tangent? Degrees are read"
    )]
    LowFriction {
        /// Name of the set or structure.
        joint: String,
        /// What was typed, degrees.
        friction_deg: f64,
        /// Where the warning begins, degrees.
        likely_deg: f64,
    },
    /// A wedge far longer than the section is wide.
    #[error(
        "wedge {wedge} would be {length_m:.1} m long: its joints strike nearly along the drive; cap it with max_length_m, or with the longest trace that was seen"
    )]
    LongWedge {
        /// Its id.
        wedge: String,
        /// Uncapped extent along the drive, metres.
        length_m: f64,
    },
    /// A wedge so long that it is not held against the bolts.
    #[error(
        "wedge {wedge} could be {length_m:.0} m long and is not judged against the bolts: its joints strike nearly along the drive; cap it with a max_length_m of at most {longest_m:.0}"
    )]
    TooLongToPlace {
        /// Its id.
        wedge: String,
        /// How long it could be, metres.
        length_m: f64,
        /// The greatest length that is placed, metres.
        longest_m: f64,
    },
    /// A wedge far deeper than its joints are long at the surface.
    #[error(
        "wedge {wedge} reaches {depth_m:.1} m deep ({volume_m3:.2} m³) though no trace of it may be longer than {trace_m} m: caps on traces leave needles; cap it with max_depth_m under [limits], no deeper than you believe that joints of such traces go"
    )]
    Needle {
        /// Its id.
        wedge: String,
        /// How deep it reaches, metres.
        depth_m: f64,
        /// Cubic metres.
        volume_m3: f64,
        /// The longest cap on a trace of its joints, metres.
        trace_m: f64,
    },
    /// A law of strength was drawn as a line up to a normal stress that a wedge goes beyond.
    #[error(
        "joints {joint} carry up to {kpa:.0} kPa under wedge {wedge} and its bolts, more than the {up_to_kpa} kPa that the line of their law was drawn for: beyond it the line may give more than the law; raise up_to_kpa"
    )]
    BeyondLaw {
        /// Name of the joints.
        joint: String,
        /// The wedge that has most.
        wedge: String,
        /// Normal stress, kPa.
        kpa: f64,
        /// What the line was drawn for, kPa.
        up_to_kpa: f64,
    },
    /// Wedges that hold less with stress than without it.
    #[error(
        "STRESS DOES HARM: with it the factor without support goes down, {wedges} (below 0 it drives the wedge out); {}",
        if *fades {
            "verdicts count what it takes from joints, and no more: what drives a wedge out fades as it moves, so support has to give way a little; stress.csv says what support that does not would have to stand"
        } else {
            "verdicts count that: stress.csv says how much support it asks"
        }
    )]
    StressHarms {
        /// Each with its factors, joined by `, `.
        wedges: String,
        /// Whether what drives wedges out fades.
        fades: bool,
    },
    /// Wedges of which nothing is known under stress.
    #[error(
        "under stress no balance was found of {wedges}: what stress does to them, harm too, is not known"
    )]
    StressNotFound {
        /// Their ids, joined by `, `.
        wedges: String,
    },
    /// A joint that stress presses beyond where its law was drawn as a line.
    #[error(
        "with stress {wedge} presses on {joint} with {kpa:.0} kPa, and its strength is the line of up_to_kpa = {up_to_kpa}: beyond that the law may give less, and the factor with stress may be too high"
    )]
    StressBeyondLaw {
        /// Name of the joints.
        joint: String,
        /// The wedge that has most.
        wedge: String,
        /// Normal stress, kPa.
        kpa: f64,
        /// What the line was drawn for, kPa.
        up_to_kpa: f64,
    },
    /// No facet is back or floor any more.
    #[error(
        "the drive is inclined at {plunge_deg:.0}°: by true level every surface is a wall, so the names left wall and right wall say little; read places from the drawings"
    )]
    SteepDrive {
        /// Its plunge, degrees, without sign.
        plunge_deg: f64,
    },
    /// The caps are so tight that no wedge above a litre is left.
    #[error(
        "the limits leave no wedge of {wedge} above {litres} litre; without limits it has {volume_uncapped_m3:.3} m³"
    )]
    CappedAway {
        /// Its id.
        wedge: String,
        /// Its uncapped volume, cubic metres.
        volume_uncapped_m3: f64,
        /// The least volume that is listed, litres.
        litres: f64,
    },
    /// Bolts that cross several wedges.
    #[error(
        "bolts that cross more than one wedge count fully for each of them: the wedges are judged one at a time"
    )]
    SharedBolts,
    /// A back or wall without a single collar, where a wedge sits.
    #[error("no pattern has a collar on the {surface}, where wedges sit: {wedges}")]
    UnboltedSurface {
        /// Name of the surface.
        surface: String,
        /// Ids, joined by `, `.
        wedges: String,
    },
    /// A structure is taken for a plane far from where it was mapped.
    #[error(
        "{structure}, mapped at chainage {chainage_m:.1} m, is taken to run on as a plane for more than {far_m} m: to {wedges}; some degrees of doubt in its orientation move it there by more than a spacing of rings; map it again where these wedges are"
    )]
    StructureCarriedFar {
        /// Its name.
        structure: String,
        /// Chainage of the point that was mapped, metres.
        chainage_m: f64,
        /// Ids, each with how far it is carried, joined by `, `.
        wedges: String,
        /// Beyond which it is said, metres.
        far_m: f64,
    },
    /// Patterns that are surveyed in but do not repeat together.
    #[error(
        "patterns with offset_m repeat together only after a long stretch of drive; each is placed as if it could slide by itself"
    )]
    FreePhases,
    /// Making a scan's cut convex added much.
    #[error(
        "the convex section round the scan has {added_m2:.2} m² ({added_percent:.1} %) more than the cut, above {warned_percent:.0} %: wedges are sought on surfaces that are not there, and none in the bays that it spans; look at the drawing of the cut"
    )]
    ScanWidened {
        /// Section less cut, square metres.
        added_m2: f64,
        /// The same as a share of the cut, per cent.
        added_percent: f64,
        /// Where the warning begins, per cent.
        warned_percent: f64,
    },
    /// Gaps in a scan's cut were closed.
    #[error(
        "gaps in the scan's cut that were closed by straight lines: {count}, the widest {widest_m:.2} m (up to {limit_m} m are closed)"
    )]
    ScanGapsClosed {
        /// How many.
        count: usize,
        /// The widest, metres.
        widest_m: f64,
        /// The widest that may be closed, metres.
        limit_m: f64,
    },
    /// The cut met more than the heading.
    #[error(
        "left out of the scan's cut: {loops} closed loops ({loops_area_m2:.2} m²) and {pieces} open pieces (the longest {longest_piece_m:.2} m) that are not the heading's own line"
    )]
    ScanLeftOut {
        /// Closed loops.
        loops: usize,
        /// Their areas added up, square metres.
        loops_area_m2: f64,
        /// Open pieces.
        pieces: usize,
        /// The longest of those, metres.
        longest_piece_m: f64,
    },
    /// The cut crosses itself.
    #[error(
        "the scan's cut crosses itself in {count} places: its surfaces overlap there, and its area and the overbreak are uncertain by that much"
    )]
    ScanCrossesItself {
        /// How often.
        count: usize,
    },
    /// Cut and design are hardly the same heading.
    #[error(
        "the scan's cut is {ratio:.2} times as wide as the design: see that both are the same heading and that the mesh is in metres (a mesh in feet is 3.28 times too large)"
    )]
    ScanUnlikeDesign {
        /// Width of the cut over that of the design.
        ratio: f64,
    },
    /// The heading runs another way than the drive's axis where it is cut.
    #[error(
        "where it is cut the scanned heading runs {across_deg:.1}° to the {side} of the drive's axis and {along_deg:.1}° {rise} it (cuts a metre before and behind): the cut is wider or higher than the heading, overbreak is too much, and joints are seen from a wrong direction; see trend_deg and plunge_deg"
    )]
    ScanAskew {
        /// Across, degrees.
        across_deg: f64,
        /// Left or right.
        side: &'static str,
        /// In height, degrees.
        along_deg: f64,
        /// Above or below.
        rise: &'static str,
    },
    /// The heading turns where it is cut.
    #[error(
        "the scanned heading turns by {bend_deg:.1}° within the two metres round the cut: it is taken to run on straight, so cut it where it does"
    )]
    ScanBends {
        /// From the metre before to the metre behind, degrees.
        bend_deg: f64,
    },
    /// The cut lies beside the design.
    #[error(
        "the middle of the scan's cut lies {across_m:.2} m to the {side} of {of} and {height_m:.2} m {rise} it: overbreak is told of the wrong place; see the origin, the chainage and trend_deg"
    )]
    ScanAside {
        /// Beside what.
        of: &'static str,
        /// Across, metres.
        across_m: f64,
        /// Left or right.
        side: &'static str,
        /// In height, metres.
        height_m: f64,
        /// Above or below.
        rise: &'static str,
    },
    /// A heading that is hardly in metres.
    #[error(
        "the scan's cut is {width_m:.1} m wide and {height_m:.1} m high: see that the mesh is in metres; in feet it would be {width_if_feet_m:.1} by {height_if_feet_m:.1} m"
    )]
    ScanLarge {
        /// Width, metres if the mesh is in metres.
        width_m: f64,
        /// Height, the same.
        height_m: f64,
        /// Width in metres if the mesh is in feet.
        width_if_feet_m: f64,
        /// Height, the same.
        height_if_feet_m: f64,
    },
    /// Friction bolts, whose bond is taken as flat.
    #[error(
        "the bond of friction bolts ({bolts}) is taken as the same on every metre: an approximation, since their pull-out load grows less than in proportion to length; test the lengths that are used"
    )]
    FlatFrictionBond {
        /// Their names, joined by `, `.
        bolts: String,
    },
    /// Joints that cross bolts within a plate's reach of the collar.
    #[error(
        "a joint crosses bolts within {} m of the collar, where the plate bears on loose rock; at the worst placements: {bolts}",
        crate::support::PLATE_REACH_M
    )]
    JointNearPlate {
        /// Wedges and how many bolts of each, joined by `, `.
        bolts: String,
    },
    /// A second factor with dowels was asked for.
    #[error("{}", crate::support::DOWEL_LIMITS)]
    DowelShear,
}
