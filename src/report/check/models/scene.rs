use serde_json::{Value, json};

use super::solids::Body;
use super::space::Space;
use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::model::{GlbMaterial, GlbNode, GlbScene, GlbShape};
use crate::report::paper::numbers::Number;
use crate::report::paper::style::{GREY, INK, PALE, set_style};
use crate::support::Serving;

/// The opening lets what lies behind it be seen.
const OPENING_OPACITY: f64 = 0.25;

/// Ways of drawing before those of the joints.
const OF_OPENING: usize = 0;
const OF_FACE: usize = 1;
const OF_HEAD: usize = 2;
const OF_TOE: usize = 3;
const BEFORE_JOINTS: usize = 4;

/// Opening, wedges and the bolts that cross them.
pub(super) fn scene(case: &Case, space: &Space<'_>, bodies: &[Body]) -> GlbScene {
    let plain = |name: &str, colour, opacity| GlbMaterial {
        name: name.to_owned(),
        colour,
        opacity,
        both_sides: true,
    };
    let mut materials = vec![
        plain("opening", PALE, OPENING_OPACITY),
        plain("wedge's face in the drive", GREY, 1.0),
        plain("bolt inside the wedge", GREY, 1.0),
        plain("bolt beyond the joint", INK, 1.0),
    ];
    materials.extend(
        case.joints
            .iter()
            .enumerate()
            .map(|(i, joint)| plain(&format!("joint {}", joint.name), set_style(i).colour, 1.0)),
    );
    let opening = space.opening();
    let faces = opening.faces.len();
    let mut nodes = vec![GlbNode {
        name: "opening".into(),
        at: Vec3::zeros(),
        shape: GlbShape::Solid(opening, vec![OF_OPENING; faces]),
        extras: Value::Null,
        children: Vec::new(),
    }];
    nodes.extend(bodies.iter().map(|body| node(case, space, body)));
    GlbScene { name: case.title.clone(), extras: space.frame(), materials, nodes }
}

/// A wedge about its apex, so that its corners keep their digits wherever it is; its bolts go with it.
fn node(case: &Case, space: &Space<'_>, body: &Body) -> GlbNode {
    let solid = body.solid.moved(|p| space.turned(p));
    let material = |name: &str| {
        let set = body.sets.iter().find(|s| case.joints[**s].name == name);
        set.map_or(OF_FACE, |s| BEFORE_JOINTS + s)
    };
    let materials = solid.faces.iter().map(|f| material(&f.name)).collect();
    GlbNode {
        name: format!("{} {}", body.id, body.size.name()),
        at: space.apex(body),
        shape: GlbShape::Solid(solid, materials),
        extras: json!({
            "wedge": body.id,
            "size": body.size.name(),
            "volume_m3": Number(body.volume_m3),
            "weight_kn": Number(body.weight_kn),
            "verdict": body.verdict,
        }),
        children: body.bolts.iter().flat_map(|bolt| of_bolt(case, space, body, bolt)).collect(),
    }
}

/// A bolt that crosses the wedge: the part inside it and the part beyond the joint, from the wedge's apex.
fn of_bolt(case: &Case, space: &Space<'_>, body: &Body, bolt: &Serving) -> [GlbNode; 2] {
    let collar = Vec3::new(bolt.point.x, bolt.chainage_m, bolt.point.y) - body.apex;
    let end_m = case.pattern_at(bolt.pattern).length_in_hole_m();
    let at = |m: f64| space.turned(&(collar + bolt.direction * m));
    let part = |what: &str, from_m: f64, to_m: f64, material: usize| GlbNode {
        name: format!(
            "bolt of pattern {}, ring {}, {what} ({} {})",
            bolt.pattern + 1,
            bolt.ring,
            body.id,
            body.size.name()
        ),
        at: Vec3::zeros(),
        shape: GlbShape::Lines(vec![[at(from_m), at(to_m)]], material),
        extras: json!({
            "length_m": Number(to_m - from_m),
            "capacity_kn": Number(bolt.capacity.kn),
            "share_kn": Number(bolt.share_kn),
        }),
        children: Vec::new(),
    };
    let joint_m = end_m.min(bolt.head_m);
    [part("inside the wedge", 0.0, joint_m, OF_HEAD), part("beyond the joint", joint_m, end_m, OF_TOE)]
}
