//! The same wedge dry, wet, shaken, rough and clamped: acts.csv, and a sentence each.

use super::outputs::Outputs;
use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::factor;
use crate::report::paper::table::Table;
use crate::study::{ByLaw, Check, CheckedWedge, StressEffect};

/// A wedge under all that may act on it, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ActsRow<'a> {
    wedge: &'a CheckedWedge,
    /// Whether the case has water, shaking, stress.
    has: [bool; 3],
    /// Whether what drives wedges out fades.
    fades: bool,
    by_law: Option<ByLaw>,
}

impl<'a> ActsRow<'a> {
    /// Without water and shaking.
    fn dry(&self) -> f64 {
        let found = &self.wedge.found;
        found.dry.or(found.at_rest).map_or(found.fs_bare, |rest| rest.fs_bare)
    }

    /// With water, at rest; `None` without water.
    fn wet(&self) -> Option<f64> {
        let found = &self.wedge.found;
        self.has[0].then(|| found.at_rest.map_or(found.fs_bare, |rest| rest.fs_bare))
    }

    /// With water and shaking; `None` without shaking.
    fn shaken(&self) -> Option<f64> {
        self.has[1].then_some(self.wedge.found.fs_bare)
    }

    fn rough(&self) -> Option<f64> {
        self.by_law.as_ref().map(|law| law.fs_bare)
    }

    fn line_costs(&self) -> Option<f64> {
        self.by_law.as_ref().map(|law| law.line_costs(self.wedge.found.fs_bare))
    }

    fn clamped(&self) -> Option<f64> {
        self.wedge.fs_with_stress()
    }

    fn sentence(&self) -> String {
        let stands =
            |fs: f64| if fs.is_infinite() { "stays".to_owned() } else { format!("FS {}", factor(fs)) };
        let mut parts = vec![format!("dry {}", stands(self.dry()))];
        parts.extend(self.wet().map(|fs| format!("wet {}", stands(fs))));
        parts.extend(self.shaken().map(|fs| format!("shaken {}", stands(fs))));
        if let (Some(fs), Some(costs)) = (self.rough(), self.line_costs()) {
            parts.push(format!(
                "by the law of its rough joints at their own normal stress {} (the straight line costs {} of it, and decides)",
                stands(fs),
                factor(costs)
            ));
        }
        if self.has[2] {
            parts.push(match (self.clamped(), self.wedge.stress_effect()) {
                (Some(fs), StressEffect::Clamps) => {
                    format!("clamped by stress {}, which no verdict counts", stands(fs))
                }
                (Some(fs), effect) if effect.harms() => {
                    let counts = match self.fades {
                        true if effect == StressEffect::DrivesOut => {
                            "which fades as it moves: its verdict counts the joints as lost"
                        }
                        _ => "which its verdict counts",
                    };
                    let does = if effect == StressEffect::DrivesOut { "drives it out" } else { "lowers it" };
                    format!("stress {does}, {}, {counts}", stands(fs))
                }
                (Some(_), _) => "stress changes nothing".to_owned(),
                // Plane strain says nothing at the face.
                (None, _) if self.wedge.found.stressed.is_none() => "stress was not asked".to_owned(),
                (None, StressEffect::NotFound) => "of stress no balance was found".to_owned(),
                (None, _) => "stress was not asked".to_owned(),
            });
        }
        format!("{}, without support: {}.", self.wedge.wedge.id, parts.join("; "))
    }
}

/// Whether the case has anything that acts besides weight, or a joint whose strength is no line.
pub(super) fn is_told(case: &Case) -> bool {
    let site = &case.site;
    let loads = site.water.is_some() || site.shaking.is_some() || site.stress.is_some();
    loads || case.joints.iter().any(|joint| joint.law.is_some())
}

impl Outputs<'_> {
    /// Whether the folder has acts.csv.
    #[must_use]
    pub(crate) fn tells_what_acts(&self) -> bool {
        is_told(self.case)
    }
}

/// A row a wedge, those at the face last; none where nothing acts besides weight.
pub(super) fn acts_rows<'a>(case: &Case, check: &'a Check) -> Vec<ActsRow<'a>> {
    if !is_told(case) {
        return Vec::new();
    }
    let site = &case.site;
    let has = [site.water.is_some(), site.shaking.is_some(), site.stress.is_some()];
    let fades = site.stress.as_ref().is_some_and(|rock| rock.fades);
    check.every().map(|wedge| ActsRow { wedge, has, fades, by_law: wedge.by_law(case) }).collect()
}

/// The columns; the README says what each means.
pub(super) fn acts_table<'a>() -> Table<ActsRow<'a>> {
    use Format::{Factor, Words};
    fn cell<'a>(fs: Option<f64>) -> Cell<'a> {
        fs.into()
    }
    Table::<ActsRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .column("fs_bare_dry", |r| r.dry().into())
        .on_page("FS bare dry", Factor)
        .column("fs_bare_wet", |r| cell(r.wet()))
        .on_page("FS bare wet", Factor)
        .column("fs_bare_shaken", |r| cell(r.shaken()))
        .on_page("FS bare shaken", Factor)
        .column("fs_bare_rough", |r| cell(r.rough()))
        .on_page("FS bare rough", Factor)
        .column("fs_bolted_rough", |r| cell(r.by_law.as_ref().and_then(|law| law.fs_bolted)))
        .column("line_costs", |r| cell(r.line_costs()))
        .on_page("the line costs", Factor)
        .column("fs_with_stress", |r| cell(r.clamped()))
        .on_page("FS bare with stress", Factor)
        .column("fs_deciding", |r| r.wedge.decided.fs.into())
        .on_page("FS that decides", Factor)
}

/// The page's section; nothing where nothing acts besides weight.
pub(super) fn section(body: &mut Html, case: &Case, rows: &[ActsRow]) {
    if !is_told(case) {
        return;
    }
    body.heading("The same wedge dry, wet, shaken, rough and clamped");
    body.table(&acts_table().page_of_all(rows));
    body.list(rows.iter().filter(|r| r.wedge.decided.criterion_fs.is_some()).map(ActsRow::sentence));
    body.paragraph("Each wedge as its largest size without support. Wet has water at rest, shaken has water and shaking, both as far as the case has them; rough is with these, by the law of each joint that has one, at the normal stress of its own face; with stress is with these, by the straight lines. Where nothing stands the case has none of it, or the wedge slides on no joint with a law. FS that decides is that of the piece that decides, with support.");
}
