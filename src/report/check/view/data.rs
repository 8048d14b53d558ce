use serde_json::{Map, Value, json};

use super::sizes::{DECIDES, Shown, by_size, decided_words, decisive, held_words, studied};
use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::check::cells::marked;
use crate::report::check::changes::change_words;
use crate::report::check::drawings::{MOST_NAMED, every_by_importance};
use crate::report::check::outputs::Outputs;
use crate::report::paper::numbers::kn;
use crate::report::paper::sheet::Colour;
use crate::report::paper::style::set_style;
use crate::study::{Check, CheckedWedge, Verdict};
use crate::support::Serving;
use crate::wedge::Shape;

/// Bytes of sizes beyond the decisive ones: with all else the page stays within a megabyte.
const MOST_BYTES: usize = 180_000;

/// Wedges in space at most, those that matter most: more hide each other.
const MOST_WEDGES: usize = 4 * MOST_NAMED;

/// Single bolts and rings over a stretch, at most.
const MOST_LOCAL: usize = 600;

/// Coordinates are written to a millimetre.
const PER_METRE: f64 = 1e3;

/// Directions are written to so many parts of one: a bolt's end then stands to a millimetre too.
const PER_ONE: f64 = 1e4;

/// A coordinate as it is written.
pub(super) fn short(metres: f64) -> f64 {
    // Adding zero makes one of minus zero.
    (metres * PER_METRE).round() / PER_METRE + 0.0
}

fn point(p: &Vec3) -> [f64; 3] {
    [short(p.x), short(p.y), short(p.z)]
}

fn direction(d: &Vec3) -> [f64; 3] {
    [d.x, d.y, d.z].map(|x| (x * PER_ONE).round() / PER_ONE + 0.0)
}

/// The case and its check, as bodies for the page.
#[derive(Clone, Copy)]
pub(super) struct Scene<'a> {
    case: &'a Case,
    check: &'a Check,
}

impl<'a> Scene<'a> {
    pub(super) fn check(&self) -> &'a Check {
        self.check
    }

    /// Corners from the apex, faces by their corners: three joints, each from the apex along its trace, then the
    /// parts of the opening.
    pub(super) fn body(&self, shape: &Shape, chainage_m: f64) -> Value {
        let mut corners = vec![shape.apex];
        let mut place = |p: &Vec3| {
            corners.iter().position(|c| c == p).unwrap_or_else(|| {
                corners.push(*p);
                corners.len() - 1
            })
        };
        let joints: Vec<Vec<usize>> =
            shape.joints.iter().map(|j| j.trace.iter().map(&mut place).collect()).collect();
        let openings: Vec<Vec<usize>> =
            shape.openings.iter().map(|o| o.polygon.iter().map(&mut place).collect()).collect();
        let corners: Vec<[f64; 3]> = corners.iter().skip(1).map(|c| point(&(c - shape.apex))).collect();
        json!({
            "at": point(&(shape.apex + Vec3::new(0.0, chainage_m, 0.0))),
            "p": corners,
            "j": joints,
            "o": openings,
        })
    }

    /// A bolt: its collar, its direction, its length in the hole, the part of it inside the wedge, what it can take
    /// and what it adds.
    pub(super) fn bolt(&self, bolt: &Serving) -> Value {
        let length_m = self.case.pattern_at(bolt.pattern).length_in_hole_m();
        json!([
            point(&Vec3::new(bolt.point.x, bolt.chainage_m, bolt.point.y)),
            direction(&bolt.direction),
            short(length_m),
            short(bolt.head_m.min(length_m)),
            kn(bolt.capacity.kn),
            kn(bolt.share_kn),
        ])
    }

    fn patterns(&self) -> Value {
        let pattern = |(at, layout): (usize, &crate::support::Layout)| {
            let design = &self.case.patterns[at];
            let rows = layout.rows.iter().map(|row| {
                let collar = &row.collar;
                json!([
                    short(collar.point.x),
                    short(collar.point.y),
                    direction(&collar.direction),
                    row.first_ring
                ])
            });
            json!({
                "ring": design.ring_spacing_m,
                "period": layout.period_m,
                "offset": design.offset_m.unwrap_or(0.0),
                "group": self.check.groups.iter().position(|g| g.patterns.contains(&at)),
                "length": design.length_in_hole_m(),
                "rows": rows.collect::<Vec<Value>>(),
            })
        };
        self.check.layouts.iter().enumerate().map(pattern).collect()
    }

    /// Bolts that stand at their chainage alone.
    fn local(&self) -> Value {
        let mut bolts = Vec::new();
        for (local, layout) in self.case.local.iter().zip(&self.check.local) {
            for ring in 0..local.rings() {
                let chainage_m = local.from_m() + f64::from(ring) * local.pattern().ring_spacing_m;
                let rows = layout.rows.iter().filter(|r| r.first_ring == ring % layout.rings_in_period);
                for collar in rows.map(|r| &r.collar) {
                    bolts.push(json!([
                        point(&Vec3::new(collar.point.x, chainage_m, collar.point.y)),
                        direction(&collar.direction),
                        short(local.pattern().length_in_hole_m()),
                    ]));
                }
            }
        }
        bolts.truncate(MOST_LOCAL);
        Value::Array(bolts)
    }

    fn wedge(&self, wedge: &CheckedWedge, at_face: bool, sizes: &[Shown]) -> Value {
        let decided = &wedge.decided;
        let words = |surfaces: &[crate::opening::Surface]| {
            surfaces.iter().map(|s| s.name()).collect::<Vec<&str>>().join(", ")
        };
        let shown = sizes.iter().position(|s| s.tag == DECIDES).unwrap_or(sizes.len().saturating_sub(1));
        let mut value = json!({
            "id": wedge.wedge.id,
            "verdict": marked(decided.verdict),
            "short": decided.verdict == Verdict::Short,
            "where": words(wedge.deciding_piece().map_or(&wedge.wedge.surfaces, |p| &p.surfaces)),
            "mode": wedge.wedge.stability.motion.mode.name(),
            "decided": decided_words(wedge),
            "by": held_words(wedge),
            "sets": wedge.wedge.sets,
            "fixed": wedge.wedge.located.is_some(),
            "face": at_face,
            "shown": shown,
            "sizes": sizes.iter().map(|s| s.json(self)).collect::<Vec<Value>>(),
        });
        let lacking_kn = wedge.force_lacking_kn();
        if lacking_kn > 0.0 {
            value["missing"] = json!(kn(lacking_kn));
        }
        value
    }
}

fn hex(Colour { red, green, blue }: Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// All that the page's script draws, one object.
pub(super) fn data(outputs: &Outputs<'_>) -> Value {
    let (case, whole) = (outputs.case, outputs.whole);
    let check = &whole.check;
    let scene = Scene { case, check };
    let mut room = MOST_BYTES;
    let order = every_by_importance(check);
    let left_out = order.len().saturating_sub(MOST_WEDGES);
    let mut without_sizes = 0;
    let mut wedges = Vec::new();
    for (wedge, at_face) in order.into_iter().take(MOST_WEDGES) {
        let mut sizes = decisive(wedge, at_face, case.unit_weight_kn_m3);
        if let Some(curve) = whole.sizes.iter().find(|c| c.wedge == wedge.wedge.id) {
            let more = studied(&scene, wedge, curve);
            let bytes: usize = more.iter().map(|s| s.json(&scene).to_string().len()).sum();
            if bytes <= room {
                room -= bytes;
                sizes.extend(more);
            } else {
                without_sizes += 1;
            }
        }
        sizes.sort_by(by_size);
        let mut told = scene.wedge(wedge, at_face, &sizes);
        // The best change that mends it, by its place in the table of changes.
        let tried = outputs.mending.iter().flat_map(|changes| &changes.tried).enumerate();
        if let Some((at, change)) = tried.into_iter().find(|(_, c)| c.mends.contains(&wedge.wedge.id)) {
            told["mends"] = json!(format!("{} (change {})", change_words(case, &change.edits), at + 1));
        }
        wedges.push(told);
    }
    let section = &check.opening.section;
    let sets = case.joints.iter().enumerate().map(|(i, joint)| {
        let style = set_style(i);
        json!({ "name": joint.name, "colour": hex(style.colour), "dash": style.dash_mm })
    });
    let mut value = Map::new();
    let mut put = |key: &str, v: Value| value.insert(key.to_owned(), v);
    put("outline", section.vertices().iter().map(|v| json!([short(v.x), short(v.y)])).collect());
    put("corners", (0..section.vertices().len()).filter(|&i| section.is_corner(i)).collect());
    put("north", json!(direction(&check.opening.frame.to_local(&Vec3::y()))));
    put("sets", sets.collect());
    put("patterns", scene.patterns());
    put("local", scene.local());
    put("wedges", Value::Array(wedges));
    put("left_out", json!(left_out));
    put("without_sizes", json!(without_sizes));
    Value::Object(value)
}
