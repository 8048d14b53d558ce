use super::Warning;
use crate::case::Case;
use crate::opening::SectionShape;

/// Above this share of its cut, what making a scan convex adds is warned about: wedges then sit on
/// surfaces that are not there.
pub const ADDED_SHARE_WARNED: f64 = 0.10;

/// A cut this many times as wide as its design, or as many times narrower, is hardly of that
/// heading, or not in metres (a foot is 0.3 m).
pub const UNLIKE_RATIO: f64 = 2.0;

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
