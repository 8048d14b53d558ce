use std::cmp::Ordering;

use serde_json::{Value, json};

use super::data::Scene;
use crate::report::check::drawings::crossing_words;
use crate::report::check::wedges::why;
use crate::report::paper::numbers::{factor, fixed, kn, volume};
use crate::study::{AmongBolts, CheckedWedge, Gap, JudgedBy, Size, SizeCurve, Verdict};
use crate::support::Carrier;
use crate::wedge::{Chain, Sector, Shape};

/// A wedge of one size where a study placed it.
#[derive(Debug)]
pub(super) struct Shown {
    pub volume_m3: f64,
    pub weight_kn: f64,
    /// What this size is, in a word or two; empty where it is one of many.
    pub tag: &'static str,
    /// What carries it there.
    pub said: String,
    pub shape: Shape,
    pub among: AmongBolts,
}

/// What no script needs to be told of where it is the same for all.
pub(super) const DECIDES: &str = "decides";
const LARGEST: &str = "largest";
const GAP: &str = "gap wedge";
const PIERCED: &str = "pierced alone";
const UNBOLTED: &str = "meets no bolt";

impl Shown {
    pub(super) fn json(&self, scene: &Scene<'_>) -> Value {
        let mut value = scene.body(&self.shape, self.among.chainage_m);
        value["m3"] = json!(volume(self.volume_m3));
        value["kn"] = json!(kn(self.weight_kn));
        value["said"] = json!(self.said);
        if !self.tag.is_empty() {
            value["tag"] = json!(self.tag);
        }
        value["shifts"] =
            json!(self.among.shifts_m.iter().map(|m| super::data::short(*m)).collect::<Vec<f64>>());
        value["bolts"] = self.among.serving.iter().map(|bolt| scene.bolt(bolt)).collect();
        value
    }
}

/// The sizes of a wedge that are shown whatever else there is room for: its largest, and the piece that decides.
pub(super) fn decisive(wedge: &CheckedWedge, at_face: bool, unit_weight_kn_m3: f64) -> Vec<Shown> {
    let mut found = Vec::new();
    let piece = wedge.deciding();
    if let Some(piece) = &piece {
        let lacking_kn = wedge.force_lacking_kn();
        let missing =
            if lacking_kn > 0.0 { format!("; {} kN are missing", kn(lacking_kn)) } else { String::new() };
        found.push(Shown {
            volume_m3: piece.wedge.shape.volume_m3,
            weight_kn: piece.wedge.weight_kn,
            tag: DECIDES,
            said: format!("{}, {}{missing}", decided_words(wedge), why_words(wedge)),
            shape: piece.worst_shape().clone(),
            among: among(piece, at_face),
        });
    }
    let shape = wedge.worst_shape();
    let said = match (&piece, wedge.found.fs_bolted) {
        (None, _) => decided_words(wedge),
        (Some(_), Some(fs)) => by_bolts(wedge.serving().map_or(0, <[_]>::len), fs),
        (Some(_), None) => format!("FS {} without support", factor(wedge.found.fs_bare)),
    };
    found.push(Shown {
        volume_m3: shape.volume_m3,
        weight_kn: shape.volume_m3 * unit_weight_kn_m3,
        tag: LARGEST,
        said,
        shape: shape.clone(),
        among: among(wedge, at_face),
    });
    found
}

/// The other sizes that were studied.
pub(super) fn studied(scene: &Scene<'_>, wedge: &CheckedWedge, curve: &SizeCurve) -> Vec<Shown> {
    let Some(sector) = Sector::of(&wedge.wedge.cone) else { return Vec::new() };
    let section = &scene.check().opening.section;
    let Some(chain) = Chain::of(section, &sector) else { return Vec::new() };
    let slips = curve.sizes.iter().rposition(|s| s.judged_by == JudgedBy::Screen);
    let one = |(at, size): (usize, &Size)| Shown {
        volume_m3: size.volume_m3,
        weight_kn: size.weight_kn,
        tag: if Some(at) == slips { GAP } else { "" },
        said: match size.judged_by {
            JudgedBy::Bolts => by_bolts(size.bolts_serving, size.fs_bolted),
            JudgedBy::Screen => by_screen(size.force_needed_kn, size.weight_kn, size.fs_bolted),
        },
        shape: Shape::new(section, &chain, &wedge.wedge.cone, &size.foot),
        among: size.among.clone(),
    };
    // The last one is the largest, which stands there already.
    let most = curve.sizes.len().saturating_sub(1);
    let mut found: Vec<Shown> = curve.sizes.iter().take(most).enumerate().map(one).collect();
    let untouched = |gap: &Gap, tag: &'static str, said: String| Shown {
        volume_m3: gap.shape.volume_m3,
        weight_kn: gap.weight_kn,
        tag,
        said,
        shape: gap.shape.clone(),
        among: gap.among(),
    };
    if let Some(gap) = &curve.pierced {
        let said = format!(
            "no collar stands on its face, and bolts that only pierce it are not counted on: the screen has to carry {} kN",
            kn(gap.weight_kn)
        );
        found.push(untouched(gap, PIERCED, said));
    }
    if let Some(gap) = &curve.unbolted {
        let said = "sits where no bolt covers the ground, wholly or in part, and meets none".to_owned();
        found.push(untouched(gap, UNBOLTED, said));
    }
    found
}

/// From the least to the largest; of two as large the one that decides comes last.
pub(super) fn by_size(a: &Shown, b: &Shown) -> Ordering {
    a.volume_m3.total_cmp(&b.volume_m3).then((a.tag == DECIDES).cmp(&(b.tag == DECIDES)))
}

fn among(wedge: &CheckedWedge, at_face: bool) -> AmongBolts {
    AmongBolts {
        // A shape at the face counts from the face itself.
        chainage_m: if at_face { 0.0 } else { wedge.apex_chainage_m() },
        shifts_m: wedge.placement().map(|p| p.shifts_m.clone()).unwrap_or_default(),
        serving: wedge.serving().unwrap_or_default().to_vec(),
    }
}

fn by_bolts(bolts: usize, fs: f64) -> String {
    format!(
        "{} at its worst placement: least FS {}, collars as drawn, forces alone",
        crossing_words(bolts),
        factor(fs)
    )
}

fn by_screen(needed_kn: f64, weight_kn: f64, fs: f64) -> String {
    if needed_kn > 0.0 {
        format!("slips between the bolts: the screen has to carry {} kN", kn(weight_kn))
    } else {
        format!("slips between the bolts; its joints hold it, FS {}", factor(fs))
    }
}

/// What holds it, or what comes nearest to that.
pub(super) fn held_words(wedge: &CheckedWedge) -> String {
    let decided = &wedge.decided;
    match decided.verdict {
        Verdict::Held if decided.criterion_fs.is_none() => "does not move".into(),
        Verdict::Held => decided.held_by.iter().map(|c| c.name()).collect::<Vec<&str>>().join(", "),
        Verdict::NotJudged => "not judged".into(),
        Verdict::Short => match wedge.least_piece().map(|piece| piece.carrier) {
            Some(Carrier::Joints) => "nothing enough: its joints alone come nearest".into(),
            Some(carrier) => format!("nothing enough: {} comes nearest", carrier.name()),
            None => "nothing enough".into(),
        },
    }
}

/// `by joints, forces`: what its factor comes from.
fn why_words(wedge: &CheckedWedge) -> String {
    format!("by {}", why(wedge))
}

/// What was decided, of the piece that decides.
pub(super) fn decided_words(wedge: &CheckedWedge) -> String {
    let decided = &wedge.decided;
    let (Some(asked), Some(fs)) = (decided.criterion_fs, decided.fs) else {
        return match decided.verdict {
            Verdict::Held if decided.criterion_fs.is_none() => "does not move under its own weight".into(),
            Verdict::Held => "every piece is left to the scaling bar".into(),
            Verdict::Short => "short".into(),
            Verdict::NotJudged => format!("not judged: {}", why(wedge)),
        };
    };
    let against = format!("FS {} where {} is asked", factor(fs), fixed(asked, 2));
    match decided.verdict {
        Verdict::Held => format!("held: {against}"),
        Verdict::Short => format!("short: {against}"),
        Verdict::NotJudged => format!("not judged ({}): {against}", why(wedge)),
    }
}
