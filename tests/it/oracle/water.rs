//! Water on joint faces, triangle by triangle, said plainly.

use super::{Input, Wedge, along, cross, dot, length, sub, to_uvw};

/// How the pressure is distributed, kPa and metres; joints by their place in the input.
#[derive(Clone, Debug)]
pub struct Water {
    pub unit_kn_m3: f64,
    pub kind: Kind,
    pub on: Vec<bool>,
}

#[derive(Clone, Debug)]
pub enum Kind {
    Even { kpa: f64 },
    ApexHead { head_m: f64 },
    HeadPerMetre { m_per_m: f64 },
    Table { level_m: f64 },
}

/// Force on each joint face, kN, and what it turns about the apex with: place times force, both from the apex.
pub fn pressed(
    input: &Input,
    water: &Water,
    sets: [usize; 3],
    wedge: &Wedge,
    apex_uv: [f64; 2],
) -> [(f64, [f64; 3]); 3] {
    let apex = [apex_uv[0], apex_uv[1], 0.0];
    let up = to_uvw(input, [0.0, 0.0, 1.0]);
    let mut out = [(0.0, [0.0; 3]); 3];
    for face in &wedge.faces {
        let n = face.at.len();
        for k in 0..n {
            let Some(i) = face.tag[k].filter(|&i| water.on[sets[i]]) else { continue };
            let corners = [apex, face.at[k], face.at[(k + 1) % n]];
            let parts = match water.kind {
                Kind::Table { level_m } => below(corners, |x| level_m - dot(up, x)),
                _ => vec![corners],
            };
            for part in parts {
                let area = 0.5 * length(cross(sub(part[1], part[0]), sub(part[2], part[0])));
                // The middles of the sides: exact for what is at most quadratic.
                for s in 0..3 {
                    let at = along(part[s], 0.5, sub(part[(s + 1) % 3], part[s]));
                    // Of the apex's corner: the two sides that meet there.
                    let near = if s == 1 { 0.0 } else { 0.5 };
                    let kpa = match water.kind {
                        Kind::Even { kpa } => kpa,
                        Kind::ApexHead { head_m } => water.unit_kn_m3 * head_m * near,
                        Kind::HeadPerMetre { m_per_m } => water.unit_kn_m3 * m_per_m * wedge.depth_m * near,
                        Kind::Table { level_m } => water.unit_kn_m3 * (level_m - dot(up, at)).max(0.0),
                    };
                    let kn = kpa * area / 3.0;
                    out[i].0 += kn;
                    out[i].1 = along(out[i].1, kn, sub(at, apex));
                }
            }
        }
    }
    out
}

/// The part of a triangle where something linear is above zero, in triangles.
fn below(corners: [[f64; 3]; 3], depth: impl Fn([f64; 3]) -> f64) -> Vec<[[f64; 3]; 3]> {
    let mut wet: Vec<[f64; 3]> = vec![];
    for k in 0..3 {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        let (da, db) = (depth(a), depth(b));
        if da > 0.0 {
            wet.push(a);
        }
        if da * db < 0.0 {
            wet.push(along(a, da / (da - db), sub(b, a)));
        }
    }
    (2..wet.len()).map(|k| [wet[0], wet[k - 1], wet[k]]).collect()
}
