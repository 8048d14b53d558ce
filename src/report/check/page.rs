//! report.html: one page in one file, from the answer down to the proof. Nothing is fetched.

use std::fmt::Write as _;

use pulldown_cmark::{Event, Options, Parser, html};

use super::installed::installed_section;
use super::rows::{BoltDemandRow, BoltRow, WedgeRow};
use super::sign_off::SignOff;
use super::stages::page as stages_page;
use super::structures::structure_lines;
use super::surface::page as surface_page;
use crate::case::Case;
use crate::opening::SectionShape;
use crate::report::check::as_built::words::as_built_section;
use crate::report::check::inputs::hung::hung_lines;
use crate::report::check::inputs::scan::{scan_lines, scan_section_words};
use crate::report::check::sizes::words::unbolted_ground;
use crate::report::check::surface::words::{scaling_sentence, screen_sentence};
use crate::report::paper::html::{Figure, Html, document};
use crate::report::paper::numbers::{factor, fixed, kn, shortest, volume};
use crate::report::words;
use crate::report::words::{ASSUMPTIONS, CAUTIONS, NO_SOURCE, NOT_COVERED};
use crate::study::{AsBuiltCheck, Beside, Check, Gap, SizeCurve, Stages, Verdict};
use crate::support::{Aim, Anchorage, BondTests};

/// Everything that the page shows.
#[derive(Debug, Clone, Copy)]
pub struct Page<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was found.
    pub check: &'a Check,
    /// Notes on the case file.
    pub notes: &'a [String],
    /// The answer line.
    pub answer: &'a str,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
    /// Drawings, in the order in which they stand.
    pub figures: &'a [Figure],
    /// Rows of wedges.csv.
    pub wedges: &'a [WedgeRow],
    /// Rows of bolt_demand.csv.
    pub bolt_demand: &'a [BoltDemandRow],
    /// Rows of bolts.csv.
    pub bolts: &'a [BoltRow],
    /// Calculation sheets in Markdown, one a wedge.
    pub sheets: &'a [String],
    /// All sizes of each wedge that moves.
    pub sizes: &'a [SizeCurve],
    /// What stands at each stage of the cycle.
    pub stages: &'a Stages,
    /// Who signs, and for which inputs.
    pub sign_off: &'a SignOff<'a>,
    /// What pull tests say of each bolt whose bond comes from them.
    pub bond_tests: &'a [Option<BondTests>],
    /// Surface support, prisms of two sets, advice.
    pub beside: &'a Beside,
    /// A stretch as designed and as built, if there is one.
    pub as_built: Option<&'a AsBuiltCheck>,
}

/// The page.
#[must_use]
pub fn page(page: &Page) -> String {
    let mut body = Html::default();
    let case = page.case;
    body.head(&case.title, &format!("Removable wedges and bolts. North: {}.", case.north), page.dated);
    body.raw("<p class=\"answer\">").text(page.answer).raw("</p>");
    body.list(page.notes.iter().cloned());
    if page.as_built.is_some() {
        body.raw("<p>")
            .text("Drawings and tables show the design, but for the section As built.")
            .raw("</p>");
    }
    body.figure(page.figures, "section");
    body.figure(page.figures, "unrolled");
    wedges(&mut body, page);
    body.heading("Joints, movement, place");
    body.figure(page.figures, "stereonet");
    body.figure(page.figures, "plan");
    sizes(&mut body, page);
    installed_section(&mut body, case, page.check);
    as_built_section(&mut body, page);
    stages_page::stages(&mut body, page);
    surface_page::surface_support(&mut body, page.case, page.beside);
    surface_page::prisms(&mut body, page.case, page.beside);
    demand(&mut body, page);
    bolts(&mut body, page);
    surface_page::advice(&mut body, page.beside);
    body.heading("Calculation sheets");
    for (sheet, wedge) in page.sheets.iter().zip(page.check.every()) {
        body.raw("<details><summary>").text(&wedge.id).raw("</summary><div class=\"wide\">");
        body.raw(&markdown(sheet)).raw("</div></details>");
    }
    inputs(&mut body, page);
    body.heading("What is not covered");
    body.list(words::not_judged_of(page.case).iter().map(|what| format!("Not judged: {what}.")));
    body.list(NOT_COVERED.iter().map(|what| format!("Not covered: {what}.")));
    body.heading("Assumptions and cautions");
    body.list(ASSUMPTIONS.iter().map(ToString::to_string));
    body.list(page.check.warnings.iter().map(|w| format!("{w}.")));
    body.list(CAUTIONS.iter().map(ToString::to_string));
    page.sign_off.write(&mut body, page.dated);

    document(&case.title, &body)
}

/// The verdict with its mark: held is a filled square, short a hollow triangle, point down.
pub(super) fn marked(verdict: Verdict) -> String {
    match verdict {
        Verdict::Held => "■ held".into(),
        Verdict::Short => "▽ short".into(),
        Verdict::NotJudged => "not judged".into(),
    }
}

fn optional(value: Option<crate::report::paper::numbers::Number>, write: impl Fn(f64) -> String) -> String {
    value.map(|n| write(n.0)).unwrap_or_default()
}

fn wedges(body: &mut Html, page: &Page) {
    body.heading("Wedges");
    let header = [
        ("wedge", false),
        ("verdict", false),
        ("surfaces", false),
        ("mode", false),
        ("volume m³", true),
        ("weight kN", true),
        ("depth m", true),
        ("length m", true),
        ("FS bare", true),
        ("c = 0", true),
        ("FS bolted, least", true),
        ("median", true),
        ("FS rotation", true),
        ("asked", true),
        ("bolts", true),
    ];
    let rows: Vec<Vec<String>> = page
        .wedges
        .iter()
        .zip(page.check.every())
        .map(|(row, wedge)| {
            vec![
                row.wedge.clone(),
                marked(wedge.verdict),
                row.surfaces.replace('|', ", "),
                match &row.slides_on {
                    Some(joints) => format!("{} on {}", row.mode, joints.replace('|', ", ")),
                    None => row.mode.clone(),
                },
                fixed(row.volume_m3.0, 3),
                fixed(row.weight_kn.0, 2),
                fixed(row.depth_m.0, 2),
                fixed(row.length_m.0, 2),
                factor(row.fs_bare.0),
                factor(row.fs_bare_no_cohesion.0),
                optional(row.fs_bolted, factor),
                optional(row.fs_bolted_median, factor),
                optional(row.fs_rotation, factor),
                optional(row.criterion, |v| fixed(v, 2)),
                row.bolts_serving.map(|n| n.to_string()).unwrap_or_default(),
            ]
        })
        .collect();
    body.table(&header, &rows);
    let mut notes: Vec<String> = Vec::new();
    for row in page.wedges {
        if let Some(caps) = &row.limited_by {
            let uncapped = match row.fs_bolted_uncapped {
                Some(fs) if fs.0.is_finite() => {
                    format!(", where its FS with bolts would be {}", factor(fs.0))
                }
                _ => String::new(),
            };
            notes.push(format!(
                "{} is capped by {}: {} m³ instead of {} m³{uncapped}.",
                row.wedge,
                caps.replace('|', ", "),
                fixed(row.volume_m3.0, 3),
                fixed(row.volume_uncapped_m3.0, 3),
            ));
        }
        if let Some(note) = &row.note {
            notes.push(format!("{}: {note}.", row.wedge));
        }
        if let Some(tensioned) = row.fs_tensioned {
            notes.push(format!(
                "{}: with the tension as a load instead FS is {}; it decides nothing.",
                row.wedge,
                factor(tensioned.0)
            ));
        }
        if let Some(dowel) = row.fs_dowel {
            notes.push(format!(
                "{}: with the shear resistance of dowels instead of their axial share FS is {}; it decides nothing.",
                row.wedge,
                factor(dowel.0)
            ));
        }
    }
    if page.check.left_out > 0 {
        notes.push(format!("Removable wedges below 1 litre, left out: {}.", page.check.left_out));
    }
    notes.push("Factors are rounded down. Least: over all placements of the wedge between the bolts; median: half of the positions are better. FS rotation: the least load factor with forces and moments in balance and joints without friction, at its own worst placement; the lower one decides for a falling wedge, for a sliding one it stands beside.".into());
    body.list(notes.into_iter());
}

/// Name of the files of a size curve, without ending.
pub fn size_stem(curve: &SizeCurve) -> String {
    format!("sizes_{}", curve.wedge)
}

fn sizes(body: &mut Html, page: &Page) {
    if page.sizes.is_empty() {
        return;
    }
    body.heading("Sizes: what the bolts hold and what the screen must carry");
    let header = [
        ("wedge", false),
        ("gap wedge m³", true),
        ("screen must carry kN", true),
        ("governing m³", true),
        ("FS there", true),
        ("asked", true),
        ("largest m³", true),
        ("FS there", true),
        ("untouched on unbolted ground kN", true),
    ];
    let gap = |gap: &Option<Gap>, what: fn(&Gap) -> String| gap.as_ref().map(what).unwrap_or_default();
    let duty = |g: &Gap| if g.force_needed_kn > 0.0 { kn(g.weight_kn) } else { "held by its joints".into() };
    let rows: Vec<Vec<String>> = page
        .sizes
        .iter()
        .filter_map(|curve| {
            let wedge = page.check.wedges.iter().find(|w| w.id == curve.wedge)?;
            let size = curve.governing_size();
            Some(vec![
                curve.wedge.clone(),
                gap(&curve.gap, |g| volume(g.volume_m3)),
                curve.screen_wedge().map(duty).unwrap_or_default(),
                volume(size.volume_m3),
                factor(size.fs_bolted),
                wedge.criterion_fs.map(|fs| fixed(fs, 2)).unwrap_or_default(),
                volume(wedge.shape.volume_m3),
                wedge.fs_bolted.map(factor).unwrap_or_default(),
                gap(&curve.unbolted, duty),
            ])
        })
        .collect();
    body.table(&header, &rows);
    let mut notes: Vec<String> = screen_sentence(page.case, page.beside, page.sizes)
        .into_iter()
        .chain(scaling_sentence(page.case, page.beside, page.check))
        .chain(unbolted_ground(page.sizes))
        .collect();
    for curve in page.sizes.iter().filter(|c| c.smaller_governs()) {
        notes.push(format!(
            "{}: a smaller wedge than the largest decides, {} m³ with FS {}.",
            curve.wedge,
            volume(curve.governing_size().volume_m3),
            factor(curve.governing_size().fs_bolted)
        ));
    }
    notes.push("Gap wedge: the largest wedge that some placement lets sit between the bolts, no collar on its face and no bolt in its body, on bolted ground: surfaces that a pattern covers, walls down to half a spacing below the lowest collar. What is smaller is the screen's, and so is a larger one with no collar on its face that bolts only pierce; what is larger is judged by the bolts, and the size with the least FS decides. The largest wedge is always judged by the bolts.".into());
    body.list(notes.into_iter());
    for curve in page.sizes {
        body.raw("<details><summary>").text(&format!("{} by size", curve.wedge)).raw("</summary>");
        body.figure(page.figures, &size_stem(curve));
        body.raw("</details>");
    }
}

fn demand(body: &mut Html, page: &Page) {
    body.heading("What each surface has to carry");
    let header = [
        ("surface", false),
        ("wedge", false),
        ("area m²", true),
        ("needed kN", true),
        ("provided kN", true),
        ("needed kPa", true),
        ("bolts needed", true),
        ("needed / provided", true),
        ("square spacing m", true),
        ("governing m³", true),
        ("needed kN", true),
        ("provided kN", true),
        ("needed kPa", true),
        ("bolts needed", true),
        ("widest rings m", true),
        ("widest square m", true),
        ("shortest bolt m", true),
    ];
    let rows: Vec<Vec<String>> = page
        .bolt_demand
        .iter()
        .map(|row| {
            vec![
                row.surface.clone(),
                row.wedge.clone(),
                fixed(row.area_m2.0, 2),
                kn(row.force_needed_kn.0),
                optional(row.force_provided_kn, kn),
                fixed(row.pressure_needed_kpa.0, 2),
                row.bolts_needed.map(|n| n.to_string()).unwrap_or_default(),
                optional(row.utilisation, |v| fixed(v, 2)),
                optional(row.square_spacing_m, |v| fixed(v, 2)),
                optional(row.governing_volume_m3, volume),
                optional(row.governing_force_needed_kn, kn),
                optional(row.governing_force_provided_kn, kn),
                optional(row.governing_pressure_needed_kpa, |v| fixed(v, 2)),
                row.governing_bolts_needed.map(|n| n.to_string()).unwrap_or_default(),
                optional(row.widest_ring_spacing_m, |v| fixed(v, 1)),
                optional(row.widest_square_spacing_m, |v| fixed(v, 1)),
                optional(row.shortest_length_m, |v| fixed(v, 1)),
            ]
        })
        .collect();
    body.table(&header, &rows);
    body.raw("<p>").text("Force against the movement, at the worst placement; a wedge on two surfaces is shared between them by area. Bolts needed: each taken square to the face at its centroid. Square spacing: the widest at which such a bolt carries the pressure over the area that it serves, on average, not at the worst placement. Governing: the same at the size that decides. Widest rings, widest square spacing and shortest bolt: searched for at every size and the worst placement, where asked (--spacings).").raw("</p>");
}

fn bolts(body: &mut Html, page: &Page) {
    if page.bolts.is_empty() {
        return;
    }
    body.heading("Bolts that cross a wedge at its worst placement");
    let header = [
        ("wedge", false),
        ("pattern", true),
        ("ring", true),
        ("u m", true),
        ("v m", true),
        ("head m", true),
        ("toe m", true),
        ("capacity kN", true),
        ("governed by", false),
        ("share kN", true),
        ("joint near plate", false),
    ];
    let rows: Vec<Vec<String>> = page
        .bolts
        .iter()
        .map(|row| {
            vec![
                row.wedge.clone(),
                row.pattern.to_string(),
                row.ring.to_string(),
                fixed(row.u_m.0, 2),
                fixed(row.v_m.0, 2),
                fixed(row.head_m.0, 2),
                fixed(row.toe_m.0, 2),
                kn(row.capacity_kn.0),
                row.governed_by.clone(),
                kn(row.share_kn.0),
                row.near_plate.clone(),
            ]
        })
        .collect();
    let near = page.bolts.iter().filter(|b| b.near_plate == "yes").count();
    body.raw("<p>").text(&crate::report::check::bolts::words::near_plate_words(near)).raw("</p>");
    body.raw("<details><summary>").text(&format!("{} bolts", rows.len())).raw("</summary>");
    body.table(&header, &rows);
    body.raw("</details>");
}

fn inputs(body: &mut Html, page: &Page) {
    let case = page.case;
    body.heading("Inputs and where they come from");
    let mut lines = vec![format!(
        "Drive: trend {}°, plunge {}°, {}; round {} m; rock {} kN/m³.",
        shortest(case.advance.trend_deg),
        shortest(case.advance.plunge_deg),
        section_words(&case.shape),
        shortest(case.round_length_m),
        shortest(case.unit_weight_kn_m3)
    )];
    lines.push(match case.last_ring_from_face_m {
        Some(m) => format!("Last ring behind the face once a round is bolted: {} m.", shortest(m)),
        None => "Last ring behind the face once a round is bolted: not given.".to_owned(),
    });
    lines.extend(scan_lines(case));
    lines.push(format!("Source of the case: {}.", case.source.as_deref().unwrap_or(NO_SOURCE)));
    lines.push(format!(
        "Asked: FS {} falling, {} sliding.",
        shortest(case.criteria.min_fs_falling),
        shortest(case.criteria.min_fs_sliding)
    ));
    body.list(lines.into_iter());
    body.figure(page.figures, "scan");
    let header = [
        ("joint set", false),
        ("dip °", true),
        ("dip direction °", true),
        ("friction °", true),
        ("cohesion kPa", true),
        ("longest trace m", true),
        ("source", false),
    ];
    let rows: Vec<Vec<String>> = case
        .joint_sets
        .iter()
        .map(|set| {
            vec![
                set.name.clone(),
                shortest(set.plane.dip_deg),
                shortest(set.plane.dip_direction_deg),
                shortest(set.strength.friction_deg),
                shortest(set.strength.cohesion_kpa),
                set.max_trace_m.or(case.limits.max_trace_m).map_or_else(|| "no cap".into(), shortest),
                set.source.clone().unwrap_or_else(|| NO_SOURCE.into()),
            ]
        })
        .collect();
    body.table(&header, &rows);
    let limits = [
        ("depth", case.limits.max_depth_m, "m"),
        ("length", case.limits.max_length_m, "m"),
        ("volume", case.limits.max_volume_m3, "m³"),
    ];
    body.list(limits.iter().filter_map(|(what, cap, unit)| {
        cap.map(|c| format!("Greatest {what} of a wedge: {} {unit}.", shortest(c)))
    }));
    if case.patterns.is_empty() {
        body.raw("<p>").text("No pattern: a check without bolts.").raw("</p>");
    }
    body.list(case.patterns.iter().enumerate().map(|(i, _)| pattern_words(case, i)));
    crate::report::check::bolts::pull_tests::write(body, case, page.bond_tests);
    body.list(case.surface_support.iter().map(surface_page::surface_words));
    body.list(structure_lines(case, page.check).into_iter());
    body.list(hung_lines(case, page.check).into_iter());
}

fn section_words(shape: &SectionShape) -> String {
    match shape {
        SectionShape::Flat { width_m, height_m } => {
            format!("flat back, {} × {} m", shortest(*width_m), shortest(*height_m))
        }
        SectionShape::Arched { width_m, wall_height_m, rise_m } => format!(
            "arched back, {} m wide, walls {} m, rise {} m",
            shortest(*width_m),
            shortest(*wall_height_m),
            shortest(*rise_m)
        ),
        SectionShape::Circular { diameter_m } => format!("circular, {} m", shortest(*diameter_m)),
        SectionShape::Outline { points } => format!("measured outline of {} points", points.len()),
        SectionShape::Scan(scan) => scan_section_words(scan),
    }
}

fn pattern_words(case: &Case, index: usize) -> String {
    let pattern = &case.patterns[index];
    let bolt = &case.bolts[pattern.bolt];
    let covers: Vec<&str> = pattern.covers.iter().map(|c| c.name()).collect();
    let hold = match bolt.anchorage {
        Anchorage::Bonded { bond_kn_per_m } => format!("bond {} kN/m", shortest(bond_kn_per_m)),
        Anchorage::PointAnchored { anchor_kn, anchor_length_m } => {
            format!("anchor {} kN over {} m", shortest(anchor_kn), shortest(anchor_length_m))
        }
        Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => {
            format!("bond {} kN/m over {} m at the toe", shortest(bond_kn_per_m), shortest(set_length_m))
        }
    };
    let aim = match pattern.aim {
        Aim::Normal => "square to the surface".to_owned(),
        Aim::Vertical => "vertical".to_owned(),
        Aim::Fan { origin } => format!("fanned from u {}, v {}", shortest(origin.x), shortest(origin.y)),
        Aim::Boom(boom) => crate::report::check::bolts::words::boom_words(&boom),
    };
    format!(
        "Pattern {}: {} ({}) on {}, {} m long, {} m outside the hole, rings {} m, {} m along the perimeter{}{}{}, {aim}; steel {} kN, {hold}, plate {} kN{}. Capacities: {}.",
        index + 1,
        bolt.name,
        bolt.kind.name(),
        covers.join(", "),
        shortest(pattern.length_m),
        shortest(pattern.outside_hole_m),
        shortest(pattern.ring_spacing_m),
        shortest(pattern.spacing_m),
        if pattern.stagger { ", staggered" } else { "" },
        pattern.lowest_collar_m.map(|v| format!(", lowest collar {} m", shortest(v))).unwrap_or_default(),
        pattern.offset_m.map(|m| format!(", ring 0 at chainage {} m", shortest(m))).unwrap_or_default(),
        shortest(bolt.steel_kn),
        shortest(bolt.plate_kn),
        bolt.fast_length_m.map(|m| format!(", fast resin {} m at the toe", shortest(m))).unwrap_or_default(),
        bolt.source.as_deref().unwrap_or(NO_SOURCE)
    )
}

/// A calculation sheet as HTML. Markup in the user's own names is shown, never obeyed.
fn markdown(text: &str) -> String {
    let parser = Parser::new_ext(text, Options::ENABLE_TABLES).map(|event| match event {
        Event::Html(text) | Event::InlineHtml(text) => Event::Text(text),
        other => other,
    });
    let mut out = String::new();
    html::push_html(&mut out, parser);
    let _ = writeln!(out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_in_names_is_shown_not_obeyed() {
        let mut body = Html::default();
        body.text("<script>alert(1)</script> & \"x\"");
        assert_eq!(body.as_str(), "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;x&quot;");
        let html = markdown("# Title <img src=x>\n\n<script>alert(1)</script>\n");
        assert!(!html.contains("<script") && !html.contains("<img"), "{html}");
    }
}
