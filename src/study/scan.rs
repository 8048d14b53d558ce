use super::Warning;
use crate::case::Case;
use crate::opening::SectionShape;
use crate::opening::scan::ScannedSection;

/// Above this share of its cut, what making a scan convex adds is warned about: wedges then sit on
/// surfaces that are not there.
pub const ADDED_SHARE_WARNED: f64 = 0.10;

/// A cut this many times as wide as its design, or as many times narrower, is hardly of that
/// heading, or not in metres (a foot is 0.3 m).
pub const UNLIKE_RATIO: f64 = 2.0;

/// A heading that runs this many degrees off the drive's axis where it is cut, or turns so much within two metres, is
/// warned about: the cut is then wider than the heading by a hair, but the axis that joints are seen from is off by
/// more than a compass errs.
pub const ASKEW_WARNED_DEG: f64 = 5.0;

/// A cut whose middle lies this far off that of its design, metres, is warned about: more than a blast takes from one
/// side.
pub const ASIDE_WARNED_M: f64 = 0.5;

/// A heading wider and higher than this, metres, without a design to hold it against, is hardly one in metres: in feet
/// it would be three metres.
pub const LARGE_HEADING_M: f64 = 10.0;

/// Metres in a foot.
const FOOT_M: f64 = 0.3048;

/// What a reader should know of a scanned section; nothing where the section is no scan.
pub(super) fn scan_warnings(case: &Case) -> Vec<Warning> {
    let SectionShape::Scan(scan) = &case.shape else { return Vec::new() };
    let mut warnings = Vec::new();
    if scan.added_share() > ADDED_SHARE_WARNED {
        warnings.push(Warning::ScanWidened {
            added_m2: scan.added_m2(),
            added_percent: 100.0 * scan.added_share(),
            warned_percent: 100.0 * ADDED_SHARE_WARNED,
        });
    }
    if let Some(widest_m) = scan.widest_gap_m() {
        warnings.push(Warning::ScanGapsClosed {
            count: scan.gaps.len(),
            widest_m,
            limit_m: scan.place.close_gaps_m,
        });
    }
    let left_out = &scan.left_out;
    if left_out.loops + left_out.pieces > 0 {
        warnings.push(Warning::ScanLeftOut {
            loops: left_out.loops,
            loops_area_m2: left_out.loops_area_m2,
            pieces: left_out.pieces,
            longest_piece_m: left_out.longest_piece_m,
        });
    }
    if scan.cut_crossings > 0 {
        warnings.push(Warning::ScanCrossesItself { count: scan.cut_crossings });
    }
    warnings.extend(course_warnings(scan));
    let [width_m, height_m] = scan.cut_size_m();
    if scan.overbreak.is_none() && width_m.min(height_m) > LARGE_HEADING_M {
        warnings.push(Warning::ScanLarge {
            width_m,
            height_m,
            width_if_feet_m: width_m * FOOT_M,
            height_if_feet_m: height_m * FOOT_M,
        });
    }
    if let Some(over) = &scan.overbreak {
        let widths = over.design.iter().map(|p| p.x);
        let (low, high) = widths.fold((f64::MAX, f64::MIN), |(l, h), u| (l.min(u), h.max(u)));
        let ratio = scan.cut_size_m()[0] / (high - low);
        if !(1.0 / UNLIKE_RATIO..=UNLIKE_RATIO).contains(&ratio) {
            warnings.push(Warning::ScanUnlikeDesign { ratio });
        }
    }
    warnings
}

/// What of a cut's place and direction is not the heading's.
fn course_warnings(scan: &ScannedSection) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if let Some([right_deg, up_deg]) = scan.course.askew_deg()
        && right_deg.abs().max(up_deg.abs()) > ASKEW_WARNED_DEG
    {
        warnings.push(Warning::ScanAskew {
            across_deg: right_deg.abs(),
            side: if right_deg > 0.0 { "right" } else { "left" },
            along_deg: up_deg.abs(),
            rise: if up_deg > 0.0 { "above" } else { "below" },
        });
    }
    if let Some(bend_deg) = scan.course.bend_deg().filter(|deg| *deg > ASKEW_WARNED_DEG) {
        warnings.push(Warning::ScanBends { bend_deg });
    }
    let [right_m, up_m] = scan.aside_m();
    if right_m.hypot(up_m) > ASIDE_WARNED_M {
        warnings.push(Warning::ScanAside {
            of: if scan.overbreak.is_some() { "that of the design" } else { "the drive's axis" },
            across_m: right_m.abs(),
            side: if right_m > 0.0 { "right" } else { "left" },
            height_m: up_m.abs(),
            rise: if up_m > 0.0 { "above" } else { "below" },
        });
    }
    warnings
}
