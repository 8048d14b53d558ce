use crate::case::{Case, Change, PlanInputs, Stock};
use crate::support::{Aim, Anchorage, Covered, Pattern, SurfaceKind, SurfaceSupport};

/// What a screen is called that a change hangs, and where it hangs.
const HUNG: &str = "screen";
const HUNG_ON: [Covered; 2] = [Covered::Back, Covered::Walls];

/// One thing that is drilled or hung otherwise. Patterns, bolts and surface support by their place in the
/// case, lengths in metres, heights above the floor.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Rings closer or wider.
    Rings(usize, f64),
    /// Collars closer or wider along the perimeter.
    Spacing(usize, f64),
    /// Rings staggered, or not.
    Stagger(usize, bool),
    /// Longer or shorter bolts.
    Length(usize, f64),
    /// One more row on each covered wall at a height.
    Row(usize, f64),
    /// Collars down to another height.
    LowestCollar(usize, f64),
    /// Another surface covered too; the lowest collar where a wall comes in.
    Covers(usize, Vec<Covered>, Option<f64>),
    /// Holes aimed otherwise.
    Aim(usize, Aim),
    /// Another bolt of the case.
    Bolt(usize, usize),
    /// Surface support down to another height.
    SurfaceDown(usize, f64),
    /// Surface support on another surface too; down to a height where a wall comes in.
    SurfaceCovers(usize, Vec<Covered>, Option<f64>),
    /// A screen or strap of which one bay carries more, kN.
    Bay(usize, f64),
    /// A screen over back and walls, down to where walls are judged, where the case has no surface support;
    /// what one bay has to carry, kN.
    Hang(f64),
}

impl Edit {
    /// The pattern that is altered; `None` for surface support.
    #[must_use]
    pub fn pattern(&self) -> Option<usize> {
        match self {
            Self::Rings(p, _)
            | Self::Spacing(p, _)
            | Self::Stagger(p, _)
            | Self::Length(p, _)
            | Self::Row(p, _)
            | Self::LowestCollar(p, _)
            | Self::Covers(p, ..)
            | Self::Aim(p, _)
            | Self::Bolt(p, _) => Some(*p),
            Self::SurfaceDown(..) | Self::SurfaceCovers(..) | Self::Bay(..) | Self::Hang(_) => None,
        }
    }

    /// Whether it brings support to another surface. Such an edit sets where the support ends on walls too, so
    /// that it comes before those that lower that.
    pub(super) fn covers_more(&self) -> bool {
        matches!(self, Self::Covers(..) | Self::SurfaceCovers(..) | Self::Hang(_))
    }

    /// Whether it says what a bay carries and nothing else: what a strong one leaves a weaker one leaves too.
    pub(super) fn is_capacity(&self) -> bool {
        matches!(self, Self::Bay(..) | Self::Hang(_))
    }

    /// Whether the last of its ladder has more support than the case wherever there was some: more of these
    /// together hold what fewer do, as far as bolts that unload joints let them.
    pub(super) fn only_adds(&self) -> bool {
        !matches!(self, Self::Stagger(..) | Self::Aim(..) | Self::Bolt(..))
    }

    /// Whether a weaker step of its ladder carries no piece that a stronger one does not: the same bolts, or
    /// some of them, with no more capacity; the same support, or a part of it, with no more. Closer rings and
    /// collars stand elsewhere.
    pub(super) fn nests(&self) -> bool {
        match self {
            Self::Length(..)
            | Self::LowestCollar(..)
            | Self::SurfaceDown(..)
            | Self::Bay(..)
            | Self::Hang(_) => true,
            Self::Rings(..)
            | Self::Spacing(..)
            | Self::Stagger(..)
            | Self::Row(..)
            | Self::Covers(..)
            | Self::Aim(..)
            | Self::Bolt(..)
            | Self::SurfaceCovers(..) => false,
        }
    }

    /// Whether all that supported `base` is left where it was with no less capacity, and what is altered carries
    /// no piece less: what was held then is held after it, whatever else was altered elsewhere. `after` is the case with it.
    pub(super) fn leaves_all(&self, base: &Case, after: &Case) -> bool {
        let was = |at: usize| base.surface_support.get(at);
        self.nests()
            && match self {
                // Of a bar that is bonded at its toe alone the bond moves away from what it held.
                Self::Length(p, m) => {
                    base.patterns.get(*p).zip(after.patterns.get(*p)).is_some_and(|(was, is)| {
                        let anchorage = after.bolts.get(is.bolt).map(|b| b.anchorage);
                        *m >= was.length_m && !matches!(anchorage, None | Some(Anchorage::BondedAtToe { .. }))
                    })
                }
                Self::Bay(at, kn) => was(*at).is_some_and(|s| match s.kind {
                    SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => *kn >= bay_kn,
                    SurfaceKind::Shotcrete { .. } => true,
                }),
                Self::SurfaceDown(at, down_m) => {
                    was(*at).and_then(|s| s.lowest_m).is_some_and(|was_m| *down_m <= was_m)
                }
                Self::LowestCollar(p, down_m) => base
                    .patterns
                    .get(*p)
                    .and_then(|p| p.lowest_collar_m)
                    .is_some_and(|was_m| *down_m <= was_m),
                _ => true,
            }
    }

    /// The pattern or surface support that it is of; `None` for one that is hung anew.
    fn place(&self) -> Option<(bool, usize)> {
        match self {
            Self::SurfaceDown(at, _) | Self::SurfaceCovers(at, ..) | Self::Bay(at, _) => Some((false, *at)),
            Self::Hang(_) => None,
            _ => self.pattern().map(|at| (true, at)),
        }
    }

    /// Whether two edits alter nothing of the same pattern or surface support, so that what one of them does it does
    /// with the other too.
    pub(super) fn is_apart_from(&self, other: &Self) -> bool {
        self.place() != other.place()
    }

    pub(super) fn apply(&self, case: &mut Case) {
        if let Some(pattern) = self.pattern().and_then(|p| case.patterns.get_mut(p)) {
            self.alter(pattern);
        }
        match self {
            Self::SurfaceDown(at, down_m) => case.surface_support[*at].lowest_m = Some(*down_m),
            Self::SurfaceCovers(at, covers, down_m) => {
                case.surface_support[*at].covers = covers.clone();
                case.surface_support[*at].lowest_m = *down_m;
            }
            Self::Bay(at, kn) => match &mut case.surface_support[*at].kind {
                SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => *bay_kn = *kn,
                SurfaceKind::Shotcrete { .. } => {}
            },
            Self::Hang(bay_kn) => case.surface_support.push(SurfaceSupport {
                name: HUNG.into(),
                kind: SurfaceKind::Screen { bay_kn: *bay_kn },
                covers: HUNG_ON.to_vec(),
                lowest_m: Some(case.criteria.judged_down_to_m),
                source: None,
            }),
            _ => {}
        }
    }

    fn alter(&self, pattern: &mut Pattern) {
        match self {
            Self::Rings(_, m) => pattern.ring_spacing_m = *m,
            Self::Spacing(_, m) => pattern.spacing_m = *m,
            Self::Stagger(_, yes) => pattern.stagger = *yes,
            Self::Length(_, m) => pattern.length_m = *m,
            Self::Row(_, m) => pattern.row_at_m = Some(*m),
            Self::LowestCollar(_, m) => pattern.lowest_collar_m = Some(*m),
            Self::Covers(_, covers, lowest_m) => {
                pattern.covers = covers.clone();
                pattern.lowest_collar_m = *lowest_m;
            }
            Self::Aim(_, aim) => pattern.aim = *aim,
            Self::Bolt(_, bolt) => pattern.bolt = *bolt,
            _ => {}
        }
    }

    /// What a bolt of the altered pattern costs: of another length or kind only the stock knows. What another
    /// mesh costs nobody says.
    pub(super) fn price(&self, changed: &Case, plan: &mut PlanInputs, stock: Option<&Stock>) {
        if matches!(self, Self::Bay(..) | Self::Hang(_)) {
            plan.prices.screen_sheet = None;
        }
        let (Self::Length(at, _) | Self::Bolt(at, _)) = self else { return };
        let pattern = &changed.patterns[*at];
        let on_stock = stock.and_then(|s| {
            let bolt = s.bolts.iter().find(|b| b.bolt == pattern.bolt)?;
            bolt.lengths.iter().find(|(length_m, _)| *length_m == pattern.length_m).map(|l| l.1)
        });
        if let Some(price) = plan.prices.per_bolt.get_mut(*at) {
            *price = on_stock;
        }
    }

    /// The keys of the case file that it alters, with their values before and after.
    #[must_use]
    pub fn keys(&self, base: &Case) -> Vec<Change> {
        let pattern = |at: usize, key: &str| format!("pattern[{}].{key}", at + 1);
        let surface = |at: usize, key: &str| format!("surface[{}].{key}", at + 1);
        let one = |key: String, from: Option<String>, to: String| vec![Change { key, from, to: Some(to) }];
        let metres = |m: f64| m.to_string();
        let now = |at: usize| base.patterns.get(at);
        match self {
            Self::Rings(p, m) => {
                one(pattern(*p, "ring_spacing_m"), now(*p).map(|p| metres(p.ring_spacing_m)), metres(*m))
            }
            Self::Spacing(p, m) => {
                one(pattern(*p, "spacing_m"), now(*p).map(|p| metres(p.spacing_m)), metres(*m))
            }
            Self::Stagger(p, yes) => {
                one(pattern(*p, "stagger"), now(*p).map(|p| p.stagger.to_string()), yes.to_string())
            }
            Self::Length(p, m) => {
                one(pattern(*p, "length_m"), now(*p).map(|p| metres(p.length_m)), metres(*m))
            }
            Self::Row(p, m) => {
                one(pattern(*p, "row_at_m"), now(*p).and_then(|p| p.row_at_m).map(metres), metres(*m))
            }
            Self::LowestCollar(p, m) => one(
                pattern(*p, "lowest_collar_m"),
                now(*p).and_then(|p| p.lowest_collar_m).map(metres),
                metres(*m),
            ),
            Self::Covers(p, covers, lowest_m) => {
                let before = now(*p).map(|p| (p.covers.as_slice(), p.lowest_collar_m));
                covered(pattern(*p, "covers"), pattern(*p, "lowest_collar_m"), before, (covers, *lowest_m))
            }
            Self::Aim(p, aim) => one(pattern(*p, "direction"), now(*p).map(|p| aimed(&p.aim)), aimed(aim)),
            Self::Bolt(p, bolt) => {
                let name =
                    |at: usize| base.bolts.get(at).map_or(String::new(), |b| format!("\"{}\"", b.name));
                one(pattern(*p, "bolt"), now(*p).map(|p| name(p.bolt)), name(*bolt))
            }
            Self::SurfaceDown(at, m) => {
                let before = base.surface_support.get(*at).and_then(|s| s.lowest_m);
                one(surface(*at, "lowest_m"), before.map(metres), metres(*m))
            }
            Self::SurfaceCovers(at, covers, down_m) => {
                let before = base.surface_support.get(*at).map(|s| (s.covers.as_slice(), s.lowest_m));
                covered(surface(*at, "covers"), surface(*at, "lowest_m"), before, (covers, *down_m))
            }
            Self::Bay(at, kn) => {
                let before = base.surface_support.get(*at).and_then(|s| match s.kind {
                    SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => Some(bay_kn),
                    SurfaceKind::Shotcrete { .. } => None,
                });
                one(surface(*at, "bay_kn"), before.map(metres), metres(*kn))
            }
            Self::Hang(kn) => {
                let at = base.surface_support.len();
                let new = |key: &str, to: String| Change { key: surface(at, key), from: None, to: Some(to) };
                vec![
                    new("name", format!("\"{HUNG}\"")),
                    new("kind", "\"screen\"".into()),
                    new("covers", names(&HUNG_ON)),
                    new("lowest_m", metres(base.criteria.judged_down_to_m)),
                    new("bay_kn", metres(*kn)),
                ]
            }
        }
    }
}

/// The keys of what covers other surfaces: those, and where it ends on walls if that is another height.
fn covered(
    covers_key: String,
    lowest_key: String,
    before: Option<(&[Covered], Option<f64>)>,
    (covers, lowest_m): (&[Covered], Option<f64>),
) -> Vec<Change> {
    let (from, from_m) = (before.map(|b| names(b.0)), before.and_then(|b| b.1));
    let mut keys = vec![Change { key: covers_key, from, to: Some(names(covers)) }];
    if from_m != lowest_m {
        let metres = |m: f64| m.to_string();
        keys.push(Change { key: lowest_key, from: from_m.map(metres), to: lowest_m.map(metres) });
    }
    keys
}

/// A list of surfaces as a case file has it.
fn names(covers: &[Covered]) -> String {
    let all: Vec<String> = covers.iter().map(|c| format!("\"{}\"", c.name())).collect();
    format!("[{}]", all.join(", "))
}

/// A direction as a case file has it.
fn aimed(aim: &Aim) -> String {
    match aim {
        Aim::Normal => "\"normal\"".into(),
        Aim::Vertical => "\"vertical\"".into(),
        Aim::Fan { origin } => {
            format!("{{ fan_origin_u_m = {}, fan_origin_v_m = {} }}", origin.x, origin.y)
        }
        Aim::Boom(_) => "a boom".into(),
    }
}
