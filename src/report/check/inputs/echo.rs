use serde_json::{Map, Value, json};

use crate::case::{AsBuilt, Case, Joint};
use crate::opening::SectionShape;
use crate::orientation::Vec3;
use crate::report::check::laws::law_words;
use crate::report::check::{stress, water};
use crate::report::paper::numbers::Number;
use crate::stability::{HungLoad, HungSize, Shaking};
use crate::strength::StrengthLaw;
use crate::support::{Aim, Anchorage, Bolt, FaceBolts, LocalBolts, Pattern, SurfaceKind, SurfaceSupport};

/// The case as it was worked with, under the keys of the case file: files that it named are
/// resolved, defaults written out, absent values null.
#[must_use]
pub(crate) fn inputs_json(case: &Case) -> Value {
    let mut inputs = json!({
        "title": case.title,
        "north": case.north,
        "source": case.source,
        "drive": {
            "trend_deg": case.advance.trend_deg,
            "plunge_deg": case.advance.plunge_deg,
            "section": section(&case.shape),
            "round_length_m": case.round_length_m,
            "last_ring_from_face_m": case.last_ring_from_face_m,
        },
        "rock": { "unit_weight_kn_m3": case.unit_weight_kn_m3 },
        "joint_set": case.sets().map(|(_, set)| joint_set(set)).collect::<Vec<_>>(),
        "limits": {
            "max_trace_m": case.limits.max_trace_m,
            "max_depth_m": case.limits.max_depth_m,
            "max_length_m": case.limits.max_length_m,
            "max_volume_m3": case.limits.max_volume_m3,
        },
        "criteria": {
            "min_fs_falling": case.criteria.min_fs_falling,
            "min_fs_sliding": case.criteria.min_fs_sliding,
            "scaling_up_to_m3": case.criteria.scaling_up_to_m3,
            "judged_down_to_m": case.criteria.judged_down_to_m,
        },
        "bolt": case.bolts.iter().map(bolt).collect::<Vec<_>>(),
        "pattern": case
            .patterns
            .iter()
            .map(|p| pattern(case, p))
            .chain(case.local.iter().filter(|b| !b.is_spot()).map(|b| stretch(case, b)))
            .chain(case.face_bolts.iter().map(|b| on_face(case, b)))
            .collect::<Vec<_>>(),
        "bolt_at": case.local.iter().filter_map(|b| spot(case, b)).collect::<Vec<_>>(),
        "surface": case.every_surface().map(surface).collect::<Vec<_>>(),
        "installation": {
            "collar_tolerance_m": case.installation.collar_tolerance_m,
            "any_one_missing": case.installation.any_one_missing,
            "ineffective_share": case.installation.ineffective_share,
            "seed": case.installation.seed,
        },
        "advice": { "esr": case.esr },
        "structure": case.structures().map(|(_, joint, through)| structure(joint, &through)).collect::<Vec<_>>(),
        "as_built": case.site.as_built.as_ref().map(as_built),
        "hung_load": case.site.hung_loads.iter().map(hung_load).collect::<Vec<_>>(),
        "dowel_shear": case.dowel_shear.map(|d| {
            json!({ "rock_strength_mpa": d.rock_strength_mpa, "dilation_deg": d.dilation_deg })
        }),
    });
    if let Some(shaking) = &case.site.shaking {
        inputs["shaking"] = shaking_json(shaking);
    }
    if let Some(water) = &case.site.water {
        inputs["water"] = water::inputs_json(case, water);
    }
    if let Some(rock) = &case.site.stress {
        inputs["stress"] = stress::inputs_json(rock);
    }
    inputs
}

fn shaking_json(shaking: &Shaking) -> Value {
    json!({
        "horizontal": Number(shaking.horizontal),
        "vertical": Number(shaking.vertical),
        "trend_deg": shaking.trend_deg.map(Number),
        "ppv_mm_s": shaking.velocity.map(|v| Number(v.ppv_mm_s)),
        "frequency_hz": shaking.velocity.map(|v| Number(v.frequency_hz)),
        "source": shaking.source,
    })
}

/// Joints with the law that their line was taken of, where there is one.
fn with_law(mut joints: Value, law: Option<&StrengthLaw>) -> Value {
    if let (Some(object), Some(law)) = (joints.as_object_mut(), law) {
        object.insert("strength_law".into(), json!(law_words(law)));
        object.insert("strength_up_to_kpa".into(), json!(law.up_to_kpa().map(Number)));
    }
    joints
}

fn structure(joints: &Joint, through: &Vec3) -> Value {
    let of_structure = json!({
        "name": joints.name,
        "dip_deg": joints.plane.dip_deg,
        "dip_direction_deg": joints.plane.dip_direction_deg,
        "friction_deg": joints.strength.friction_deg,
        "cohesion_kpa": joints.strength.cohesion_kpa,
        "chainage_m": Number(through.y),
        "u_m": Number(through.x),
        "v_m": Number(through.z),
        "max_trace_m": joints.max_trace_m,
        "source": joints.source,
    });
    with_law(of_structure, joints.law.as_ref())
}

fn as_built(built: &AsBuilt) -> Value {
    json!({
        "file": built.file,
        "mode": if built.replaces { "replaces" } else { "adds" },
        "from_m": built.from_m,
        "to_m": built.to_m,
        "off_by_m": built.off_by_m,
        "survey_error_m": built.survey_error_m,
    })
}

fn hung_load(load: &HungLoad) -> Value {
    let (kn, kn_per_m, chainage_m) = match load.size {
        HungSize::AtPlace { kn, chainage_m } => (Some(kn), None, chainage_m),
        HungSize::PerMetre { kn_per_m } => (None, Some(kn_per_m), None),
    };
    json!({
        "name": load.name,
        "kn": kn,
        "kn_per_m": kn_per_m,
        "arc_m": load.arc_m,
        "chainage_m": chainage_m,
        "source": load.source,
    })
}

fn section(shape: &SectionShape) -> Value {
    match shape {
        SectionShape::Flat { width_m, height_m } => {
            json!({ "shape": "flat", "width_m": width_m, "height_m": height_m })
        }
        SectionShape::Arched { width_m, wall_height_m, rise_m } => json!({
            "shape": "arched", "width_m": width_m, "wall_height_m": wall_height_m, "rise_m": rise_m,
        }),
        SectionShape::Circular { diameter_m } => {
            json!({ "shape": "circular", "diameter_m": diameter_m })
        }
        SectionShape::Outline { points } => json!({
            "shape": "outline",
            "points_m": points.iter().map(|p| [Number(p.x), Number(p.y)]).collect::<Vec<_>>(),
        }),
        SectionShape::Scan(scan) => json!({
            "shape": "scan",
            "file": scan.mesh_name,
            "chainage_m": Number(scan.place.chainage_m),
            "origin_east_m": Number(scan.place.origin_m.x),
            "origin_north_m": Number(scan.place.origin_m.y),
            "origin_up_m": Number(scan.place.origin_m.z),
            "close_gaps_m": Number(scan.place.close_gaps_m),
            "points_m": scan.outline.iter().map(|p| [Number(p.x), Number(p.y)]).collect::<Vec<_>>(),
        }),
    }
}

fn joint_set(set: &Joint) -> Value {
    let of_set = json!({
        "name": set.name,
        "dip_deg": set.plane.dip_deg,
        "dip_direction_deg": set.plane.dip_direction_deg,
        "friction_deg": set.strength.friction_deg,
        "cohesion_kpa": set.strength.cohesion_kpa,
        "max_trace_m": set.max_trace_m,
        "spacing_m": set.spacing_m,
        "trace_length_m": set.trace_length_m,
        "fisher_k": set.fisher_k,
        "source": set.source,
    });
    with_law(of_set, set.law.as_ref())
}

pub(crate) fn bolt(bolt: &Bolt) -> Value {
    let mut object = Map::new();
    object.insert("name".into(), json!(bolt.name));
    object.insert("kind".into(), json!(bolt.kind.name()));
    object.insert("steel_kn".into(), json!(bolt.steel_kn));
    match bolt.anchorage {
        Anchorage::Bonded { bond_kn_per_m } => {
            object.insert("bond_kn_per_m".into(), json!(bond_kn_per_m));
        }
        Anchorage::PointAnchored { anchor_kn, anchor_length_m } => {
            object.insert("anchor_kn".into(), json!(anchor_kn));
            object.insert("anchor_length_m".into(), json!(anchor_length_m));
        }
        Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => {
            object.insert("bond_kn_per_m".into(), json!(bond_kn_per_m));
            object.insert("set_length_m".into(), json!(set_length_m));
        }
    }
    object.insert("plate_kn".into(), json!(bolt.plate_kn));
    object.insert("fast_length_m".into(), json!(bolt.fast_length_m));
    object.insert("source".into(), json!(bolt.source));
    Value::Object(object)
}

fn pattern(case: &Case, pattern: &Pattern) -> Value {
    let covers: Vec<&str> = pattern.covers.iter().map(|c| c.name()).collect();
    let direction = match pattern.aim {
        Aim::Normal => json!("normal"),
        Aim::Vertical => json!("vertical"),
        Aim::Boom(_) => json!("boom"),
        Aim::Fan { origin } => json!({ "fan_origin_u_m": origin.x, "fan_origin_v_m": origin.y }),
    };
    json!({
        "bolt": case.bolts[pattern.bolt].name,
        "length_m": pattern.length_m,
        "outside_hole_m": pattern.outside_hole_m,
        "ring_spacing_m": pattern.ring_spacing_m,
        "spacing_m": pattern.spacing_m,
        "covers": covers,
        "lowest_collar_m": pattern.lowest_collar_m,
        "row_at_m": pattern.row_at_m,
        "stagger": pattern.stagger,
        "direction": direction,
        "boom": match pattern.aim {
            Aim::Boom(boom) => json!({
                "pivot_u_m": boom.pivot.x,
                "pivot_v_m": boom.pivot.y,
                "tilt_deg": boom.tilt_deg,
                "off_normal_deg": boom.off_normal_deg,
                "reach_m": boom.reach_m,
            }),
            Aim::Normal | Aim::Vertical | Aim::Fan { .. } => Value::Null,
        },
        "offset_m": pattern.offset_m,
        "tension_kn": pattern.tension_kn,
    })
}

fn on_face(case: &Case, bolts: &FaceBolts) -> Value {
    let pattern = bolts.pattern();
    json!({
        "bolt": case.bolts[pattern.bolt].name,
        "length_m": pattern.length_m,
        "outside_hole_m": pattern.outside_hole_m,
        "row_spacing_m": bolts.row_spacing_m(),
        "spacing_m": pattern.spacing_m,
        "covers": ["face"],
        "lowest_collar_m": bolts.lowest_collar_m(),
        "stagger": pattern.stagger,
        "up_deg": bolts.up_deg(),
        "right_deg": bolts.right_deg(),
    })
}

fn stretch(case: &Case, bolts: &LocalBolts) -> Value {
    let mut value = pattern(case, bolts.pattern());
    if let Some(object) = value.as_object_mut() {
        object.remove("offset_m");
        object.insert("from_m".into(), json!(bolts.from_m()));
        object.insert("to_m".into(), json!(bolts.to_m()));
    }
    value
}

fn spot(case: &Case, bolts: &LocalBolts) -> Option<Value> {
    let collar = bolts.collar()?;
    let pattern = bolts.pattern();
    let direction = [collar.direction.x, collar.direction.y, collar.direction.z];
    Some(json!({
        "bolt": case.bolts[pattern.bolt].name,
        "length_m": pattern.length_m,
        "outside_hole_m": pattern.outside_hole_m,
        "chainage_m": Number(bolts.from_m()),
        "u_m": Number(collar.point.x),
        "v_m": Number(collar.point.y),
        "direction_usv": direction.map(Number),
    }))
}

fn surface(support: &SurfaceSupport) -> Value {
    let covers: Vec<&str> = support.covers.iter().map(|c| c.name()).collect();
    let mut object = Map::new();
    object.insert("name".into(), json!(support.name));
    object.insert("kind".into(), json!(support.kind.name()));
    object.insert("covers".into(), json!(covers));
    object.insert("lowest_m".into(), json!(support.lowest_m));
    match support.kind {
        SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => {
            object.insert("bay_kn".into(), json!(bay_kn));
        }
        SurfaceKind::Shotcrete { thickness_m, shear_strength_kpa, adhesion_kpa, adhesion_width_m } => {
            object.insert("thickness_m".into(), json!(thickness_m));
            object.insert("shear_strength_kpa".into(), json!(shear_strength_kpa));
            object.insert("adhesion_kpa".into(), json!(adhesion_kpa));
            object.insert("adhesion_width_m".into(), json!(adhesion_width_m));
        }
    }
    object.insert("source".into(), json!(support.source));
    Value::Object(object)
}
