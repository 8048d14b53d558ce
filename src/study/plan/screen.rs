use super::counting::sheets;
use super::{Counting, Drilled, PlanItem, PlanNote, PlanRow, number};
use crate::case::{Case, PlanInputs, ScreenPlan};
use crate::opening::{Opening, Surface};
use crate::support::{SurfaceKind, SurfaceSupport};

/// Mesh that is ordered, and how far it goes round the perimeter.
#[derive(Debug)]
pub(super) struct Mesh<'a> {
    /// Its name; `None` where only the plan knows of it.
    name: Option<&'a str>,
    /// The stretches of perimeter that it covers, metres.
    across_m: Vec<f64>,
    screen: &'a ScreenPlan,
    /// How far beyond the outermost collars it goes, where those say how far.
    by_collars: bool,
}

impl Mesh<'_> {
    /// How many sheets of it are hung.
    pub fn sheets(&self, counting: Counting) -> f64 {
        let overlap_m = self.screen.overlap_m.value;
        let along = counting.sheets(self.screen.along_m.value, overlap_m);
        let across = self.across_m.iter().map(|m| sheets(*m, self.screen.across_m.value, overlap_m));
        across.sum::<f64>() * along
    }

    /// What is ordered of it.
    pub fn row(&self, inputs: &PlanInputs, counting: Counting) -> PlanRow {
        let quantity = self.sheets(counting);
        let across: Vec<String> = self.across_m.iter().map(|m| format!("{m:.2} m")).collect();
        let how_far = if self.by_collars {
            format!("{} beyond the outermost collars", number(&self.screen.beyond_m, "m"))
        } else {
            "as far as its [[surface]] says".to_owned()
        };
        PlanRow {
            item: PlanItem::Consumable,
            what: "screen sheets".into(),
            of: self.name.map(str::to_owned),
            quantity: Some(quantity),
            unit: "sheets",
            minutes: None,
            cost: inputs.prices.screen_sheet.map(|price| price * quantity),
            basis: format!(
                "{} of perimeter by {} m of drive; sheets {} by {}, overlap {}, {how_far}",
                across.join(" and "),
                counting.length_m(),
                number(&self.screen.across_m, "m"),
                number(&self.screen.along_m, "m"),
                number(&self.screen.overlap_m, "m"),
            ),
        }
    }
}

fn is_screen(support: &&SurfaceSupport) -> bool {
    matches!(support.kind, SurfaceKind::Screen { .. })
}

/// The mesh that a plan orders: what verdicts count on, as far as it covers the surfaces. Where the
/// case has no screen among its surface support, what the outermost collars hold.
pub(super) fn meshes<'a>(
    case: &'a Case,
    inputs: &'a PlanInputs,
    opening: &Opening,
    drilled: &[Drilled],
) -> Vec<Mesh<'a>> {
    let Some(screen) = &inputs.screen else { return Vec::new() };
    let of = |support: &'a SurfaceSupport| Mesh {
        name: Some(&support.name),
        across_m: support.covered_lengths_m(opening),
        screen,
        by_collars: false,
    };
    let known: Vec<Mesh> = case.surface_support.iter().filter(is_screen).map(of).collect();
    if !known.is_empty() {
        return known;
    }
    let across_m =
        between_collars_m(drilled.iter().filter(|d| d.once.is_none() && !d.in_face), screen.beyond_m.value);
    vec![Mesh { name: None, across_m, screen, by_collars: true }]
}

/// What deserves a word of the screen.
pub(super) fn note(case: &Case, inputs: &PlanInputs) -> Option<PlanNote> {
    match &inputs.screen {
        None => Some(PlanNote::NoScreen),
        Some(screen) if !case.surface_support.iter().any(|s| is_screen(&s)) => {
            Some(PlanNote::ScreenByCollars { beyond_m: screen.beyond_m.value })
        }
        Some(_) => None,
    }
}

/// Stretches of the perimeter from the outermost collar on one side to that on the other, metres; where
/// both walls are bolted and the back is not, each wall apart.
fn between_collars_m<'d>(drilled: impl Iterator<Item = &'d Drilled<'d>> + Clone, beyond_m: f64) -> Vec<f64> {
    let arcs = |wanted: &dyn Fn(Surface) -> bool| -> Option<f64> {
        let mut range: Option<(f64, f64)> = None;
        for row in drilled.clone().flat_map(|d| &d.layout.rows).filter(|r| wanted(r.collar.surface)) {
            let arc = row.collar.arc_m;
            range = Some(range.map_or((arc, arc), |(low, high)| (low.min(arc), high.max(arc))));
        }
        range.map(|(low, high)| high - low + 2.0 * beyond_m)
    };
    let has =
        |surface: Surface| drilled.clone().any(|d| d.layout.rows.iter().any(|r| r.collar.surface == surface));
    if !has(Surface::Back) && has(Surface::LeftWall) && has(Surface::RightWall) {
        return [Surface::LeftWall, Surface::RightWall].iter().filter_map(|s| arcs(&|o| o == *s)).collect();
    }
    arcs(&|_| true).into_iter().collect()
}
