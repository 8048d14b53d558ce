use super::bolting::pattern_of;
use super::face_bolting::face_bolts_of;
use super::file::{BoltTable, CaseFile, JointSetTable, KindWord, SectionTable};
use super::hanging::hung_load_of;
use super::local::{spot_of, stretch_of};
use super::shaking::shaking_of;
use super::strengths::{law_of, line_of};
use super::stresses::stress_of;
use super::structures::structure_of;
use super::surfaces::surface_of;
use super::water::water_of;
use super::{Case, Criteria, Joint, Site, SizeLimits};
use crate::opening::{Opening, SectionShape, Surface};
use crate::orientation::{Line, Plane};
use crate::support::{Anchorage, Bolt, Installation, SurfaceSupport};

/// The plain value of a case file; `None` when something is missing that earlier checks ask for.
pub(super) fn case_of(
    file: CaseFile,
    shape: SectionShape,
    sets: &[JointSetTable],
    opening: &Opening,
) -> Option<Case> {
    let named = |name: &str| file.bolt.iter().position(|b| b.name == name);
    let (on_face, behind): (Vec<_>, Vec<_>) = file.pattern.iter().partition(|p| p.is_on_face());
    let (stretches, whole): (Vec<_>, Vec<_>) = behind.into_iter().partition(|p| p.from_m.is_some());
    let face_bolts = on_face.into_iter().map(|pattern| face_bolts_of(pattern, named(&pattern.bolt)?));
    let patterns = whole.into_iter().map(|pattern| pattern_of(pattern, named(&pattern.bolt)?));
    let stretches = stretches.into_iter().map(|pattern| stretch_of(pattern, named(&pattern.bolt)?));
    let spots = file.bolt_at.iter().map(|spot| spot_of(spot, named(&spot.bolt)?, opening));
    let hung_loads = file.hung_load.iter().map(|load| hung_load_of(load, opening));
    let structures = file.structure.iter().map(|table| structure_of(table, opening));
    let joints: Vec<Joint> = sets.iter().map(set_of).chain(structures).collect::<Option<_>>()?;
    let shaking = file.shaking.as_ref().map(shaking_of);
    let water = match &file.water {
        Some(table) => Some(water_of(table, &joints)?),
        None => None,
    };
    let stress = match &file.stress {
        Some(table) => Some(stress_of(table)?),
        None => None,
    };
    let site =
        Site { hung_loads: hung_loads.collect::<Option<_>>()?, as_built: None, shaking, water, stress };
    let surfaces: Vec<SurfaceSupport> = file.surface.iter().map(surface_of).collect::<Option<_>>()?;
    let limits = file.limits.unwrap_or_default();
    let installation = file.installation.unwrap_or_default();
    Some(Case {
        patterns: patterns.collect::<Option<_>>()?,
        local: stretches.chain(spots).collect::<Option<_>>()?,
        face_bolts: face_bolts.collect::<Option<_>>()?,
        bolts: file.bolt.iter().map(bolt_of).collect::<Option<_>>()?,
        joints,
        title: file.title,
        north: file.north,
        source: file.source,
        advance: Line { trend_deg: file.drive.trend_deg, plunge_deg: file.drive.plunge_deg },
        shape,
        round_length_m: file.drive.round_length_m,
        last_ring_from_face_m: file.drive.last_ring_from_face_m,
        unit_weight_kn_m3: file.rock.unit_weight_kn_m3,
        limits: SizeLimits {
            max_trace_m: limits.max_trace_m,
            max_depth_m: limits.max_depth_m,
            max_length_m: limits.max_length_m,
            max_volume_m3: limits.max_volume_m3,
        },
        criteria: Criteria {
            min_fs_falling: file.criteria.min_fs_falling,
            min_fs_sliding: file.criteria.min_fs_sliding,
            scaling_up_to_m3: file.criteria.scaling_up_to_m3,
            judged_down_to_m: file.criteria.judged_down_to_m.unwrap_or(0.0),
        },
        installation: Installation {
            collar_tolerance_m: installation.collar_tolerance_m,
            any_one_missing: installation.any_one_missing,
            ineffective_share: installation.ineffective_share.filter(|&share| share > 0.0),
            seed: installation.seed.map_or(1, u64::from),
        },
        surface_support: surfaces.iter().filter(|s| s.is_behind_face()).cloned().collect(),
        face_support: surfaces.into_iter().filter(|s| s.includes(Surface::Face)).collect(),
        esr: file.advice.and_then(|a| a.esr),
        site,
        dowel_shear: file.dowel_shear.map(Into::into),
    })
}

/// The plain value of a section that stands in the case file itself; outlines and scans stand in
/// files of their own.
pub(super) fn shape_of(table: &SectionTable) -> Option<SectionShape> {
    match *table {
        SectionTable::Flat { width_m, height_m } => Some(SectionShape::Flat { width_m, height_m }),
        SectionTable::Arched { width_m, wall_height_m, rise_m } => {
            Some(SectionShape::Arched { width_m, wall_height_m, rise_m })
        }
        SectionTable::Circular { diameter_m } => Some(SectionShape::Circular { diameter_m }),
        SectionTable::Outline { .. } | SectionTable::Scan { .. } => None,
    }
}

fn set_of(table: &JointSetTable) -> Option<Joint> {
    let plane = Plane { dip_deg: table.dip_deg?, dip_direction_deg: table.dip_direction_deg? };
    let law = table.strength.as_ref().map(law_of);
    let strength = line_of(law.as_ref(), table.friction_deg, table.cohesion_kpa)?;
    Some(Joint {
        law,
        max_trace_m: table.max_trace_m,
        spacing_m: table.spacing_m,
        trace_length_m: table.trace_length_m,
        fisher_k: table.fisher_k,
        source: table.source.clone(),
        ..Joint::set(&table.name, plane, strength)
    })
}

fn bolt_of(table: &BoltTable) -> Option<Bolt> {
    let anchorage = if table.kind? == KindWord::Mechanical {
        Anchorage::PointAnchored { anchor_kn: table.anchor_kn?, anchor_length_m: table.anchor_length_m? }
    } else {
        Anchorage::Bonded { bond_kn_per_m: table.bond_kn_per_m? }
    };
    Some(Bolt {
        name: table.name.clone(),
        kind: table.kind?.into(),
        steel_kn: table.steel_kn?,
        anchorage,
        plate_kn: table.plate_kn?,
        fast_length_m: table.fast_length_m,
        source: table.source.clone(),
    })
}
