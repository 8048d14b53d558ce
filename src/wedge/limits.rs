use super::sector::FlatSide;
use super::{Chain, Cone, Footprint};
use crate::numeric::{bisect, golden_greatest};
use crate::opening::{Vec2, cross2};

/// Apexes whose wedge reaches this share of the largest admissible volume are equally
/// admissible: the search is asked for 0.1 %.
pub const ADMISSIBLE_SHARE: f64 = 0.999;

/// Caps are met with this relative margin, so that a wedge recomputed from its printed vertices
/// still meets them.
pub const CAP_MARGIN: f64 = 1e-9;

/// A cap counts as what limits a wedge when the wedge comes this near to it, relative: as near as
/// the largest admissible volume is searched for.
pub const LIMITING_SHARE: f64 = 1e-3;

/// Places of the start ray at which the frontier is sampled before it is refined. The volume
/// along the frontier is smooth between the section's corners and the changes of the cap that
/// binds; 160 samples see both on any section that is drawn with fewer chords.
const SAMPLES: usize = 160;

/// The highest local maxima of the sampled frontier that are refined.
const REFINED_MAXIMA: usize = 10;

/// Golden-section steps at each of them: the bracket shrinks to 1e-5 of a sample's spacing.
const GOLDEN_STEPS: usize = 24;

/// Steps that close in on the seat nearest the crown, a third of the bracket dropped in each: 6e-5
/// of a sample's spacing is left. Seats are told apart by more than a number, so no search by values
/// does it.
const THIRDS_STEPS: usize = 24;

/// Halvings of the stretch in which a band ends: 1e-9 of a sample's spacing.
const BAND_HALVINGS: usize = 30;

/// Footprint places are solved to this share of the chain.
const PLACE_TOLERANCE: f64 = 1e-10;

/// A measure within this share below its cap is at it: four digits inside the margin of caps, so no
/// further step shows.
const AT_THE_CAP: f64 = 1e-12;

/// What a measure grows with is found between two places on either side, this share of a box away; what
/// it bends over that is given away.
const SLOPE_SHARE: f64 = 1e-3;

/// Feet whose distances from the crown differ by less than this lie equally far.
const FOOT_TIE_M: f64 = 1e-6;

/// Places of a line in the section at which an apex is tried, and halvings of the steps where it
/// begins or ceases to be admissible.
const LINE_SAMPLES: usize = 400;
const LINE_HALVINGS: usize = 40;

/// Caps on a wedge of one triple; `None` means no cap.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Longest trace of each of the triple's planes, metres.
    pub trace_m: [Option<f64>; 3],
    /// Greatest depth of the apex, metres.
    pub depth_m: Option<f64>,
    /// Greatest extent along the drive, metres.
    pub length_m: Option<f64>,
    /// Greatest volume, cubic metres.
    pub volume_m3: Option<f64>,
}

/// Which kind of cap limits a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cap {
    /// The trace of one of its joints.
    Trace,
    /// The depth of its apex.
    Depth,
    /// Its extent along the drive.
    Length,
    /// Its volume.
    Volume,
}

impl Cap {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Trace => "trace",
            Self::Depth => "depth",
            Self::Length => "length",
            Self::Volume => "volume",
        }
    }
}

/// What decides which of the equally admissible wedges is shown.
#[derive(Debug, Clone, Copy)]
struct Seat {
    /// From the crown to its foot along the perimeter.
    arc_m: f64,
    /// Of its foot.
    u_m: f64,
    /// From the crown to the middle of its face along the perimeter.
    face_m: f64,
    foot: Footprint,
}

/// A run of equally admissible wedges: from `from_m` to `to_m` the start ray daylights, and for
/// each such place the end ray daylights as far off as the caps allow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// First place of the start ray, metres along the chain.
    pub from_m: f64,
    /// Last place of the start ray, metres along the chain.
    pub to_m: f64,
}

/// The largest admissible wedge of a pyramid and all others within 0.1 % of its volume.
#[derive(Debug, Clone, PartialEq)]
pub struct Admissible {
    /// The one to show: its foot is nearest the crown.
    pub shown: Footprint,
    /// The greatest admissible volume, cubic metres; `shown` has at least
    /// [`ADMISSIBLE_SHARE`] of it.
    pub volume_m3: f64,
    /// What limits it, sorted; empty where no cap binds.
    pub limited_by: Vec<Cap>,
    /// Where equally admissible wedges sit; one band without length where no cap binds.
    pub bands: Vec<Band>,
}

/// The admissible wedges of one pyramid on one section.
///
/// For a given place of the start ray every measure of a wedge grows as the end ray daylights
/// further off, but for one: the trace between middle and end. That one and the other traces are
/// piecewise linear in the place of the end ray, so the largest admissible end is found exactly,
/// and the search for the greatest volume runs over the start ray's place alone.
#[derive(Debug, Clone)]
pub struct Frontier<'a> {
    chain: Chain<'a>,
    /// The part of the chain that a wedge's face may take, metres along it.
    from_m: f64,
    to_m: f64,
    /// Caps with their margin, traces in ray order: the plane opposite start, middle, end.
    trace_cap_m: [Option<f64>; 3],
    depth_cap_m: Option<f64>,
    length_cap_m: Option<f64>,
    volume_cap_m3: Option<f64>,
    /// For each plane in ray order, metres of trace from the chain's first vertex to each vertex.
    trace_m: [Vec<f64>; 3],
    marks_m: Vec<f64>,
}

impl<'a> Frontier<'a> {
    /// The frontier of a pyramid whose cone is given in the drive's local frame.
    #[must_use]
    pub fn new(chain: Chain<'a>, cone: &Cone, limits: &Limits) -> Self {
        let order = chain.sector().order;
        let with_margin = |cap: Option<f64>| cap.map(|c| c * (1.0 - CAP_MARGIN));
        let trace_m = std::array::from_fn(|position| {
            let mut sum = 0.0;
            let mut table = vec![0.0];
            for k in 0..chain.vertices().len() - 1 {
                let length = chain.vertex_along_m(k + 1) - chain.vertex_along_m(k);
                sum += length * chain.trace_per_metre(k, &cone.inward[order[position]]);
                table.push(sum);
            }
            table
        });
        Self {
            from_m: 0.0,
            to_m: chain.length_m(),
            chain,
            trace_cap_m: order.map(|plane| with_margin(limits.trace_m[plane])),
            depth_cap_m: with_margin(limits.depth_m),
            length_cap_m: with_margin(limits.length_m),
            volume_cap_m3: with_margin(limits.volume_m3),
            trace_m,
            marks_m: Vec::new(),
        }
    }

    /// The same with places of the chain, metres along it, at which something changes that a search
    /// over the equally admissible wedges has to look at on either side.
    #[must_use]
    pub fn marked(self, marks_m: Vec<f64>) -> Self {
        Self { marks_m, ..self }
    }

    /// Those places.
    #[must_use]
    pub fn marks_m(&self) -> &[f64] {
        &self.marks_m
    }

    /// The same for wedges whose whole face lies between two places of the chain, metres along it.
    #[must_use]
    pub fn within(&self, from_m: f64, to_m: f64) -> Self {
        let to_m = to_m.min(self.to_m);
        Self { from_m: from_m.max(self.from_m).min(to_m), to_m, ..self.clone() }
    }

    /// The same for wedges of at most this volume, cubic metres; a tighter cap stays.
    #[must_use]
    pub fn up_to_m3(&self, volume_m3: f64) -> Self {
        let cap = volume_m3 * (1.0 - CAP_MARGIN);
        Self { volume_cap_m3: Some(self.volume_cap_m3.map_or(cap, |c| c.min(cap))), ..self.clone() }
    }

    /// First and last place of the chain that a face may take, metres along it.
    #[must_use]
    pub fn span_m(&self) -> (f64, f64) {
        (self.from_m, self.to_m)
    }

    /// The cap on the volume, cubic metres, with its margin.
    #[must_use]
    pub fn volume_cap_m3(&self) -> Option<f64> {
        self.volume_cap_m3
    }

    /// Whether there is no cap at all.
    #[must_use]
    pub fn is_uncapped(&self) -> bool {
        self.trace_cap_m == [None; 3]
            && self.depth_cap_m.is_none()
            && self.length_cap_m.is_none()
            && self.volume_cap_m3.is_none()
    }

    /// Whether the largest admissible end never comes nearer as the start moves on: so it is under
    /// every cap but the one on the trace between middle and end.
    #[must_use]
    pub fn is_even(&self) -> bool {
        self.trace_cap_m[0].is_none()
    }

    /// The chain that the wedges sit on.
    #[must_use]
    pub fn chain(&self) -> &Chain<'a> {
        &self.chain
    }

    /// Metres of trace of the plane in ray order `position` for a wedge.
    fn trace_of(&self, position: usize, foot: &Footprint) -> f64 {
        let (from, to) = match position {
            0 => (1, 2),
            1 => (0, 2),
            _ => (0, 1),
        };
        let sector = self.chain.sector();
        let shared = match sector.flat_side {
            Some(FlatSide::Start) => position == 2,
            Some(FlatSide::End) => position == 0,
            None => false,
        };
        if shared {
            // A plane along the drive: its trace runs along the drive too.
            let s = |k: usize| foot.edge_m[k] * sector.axial[k];
            return (s(to) - s(from)).abs();
        }
        self.trace_at(position, foot.along_m[to]) - self.trace_at(position, foot.along_m[from])
    }

    /// Sum of a wedge's traces, metres.
    #[must_use]
    pub fn traces_m(&self, foot: &Footprint) -> f64 {
        (0..3).map(|position| self.trace_of(position, foot)).sum()
    }

    fn trace_at(&self, position: usize, along_m: f64) -> f64 {
        let k = self.chain.facet_at(along_m);
        let (from, to) = (self.chain.vertex_along_m(k), self.chain.vertex_along_m(k + 1));
        let table = &self.trace_m[position];
        table[k] + (table[k + 1] - table[k]) * ((along_m - from) / (to - from))
    }

    /// The largest ratio of value to cap among the caps that grow with the end ray's place.
    fn use_of_growing_caps(&self, foot: &Footprint) -> f64 {
        let mut most = 0.0f64;
        for position in [1, 2] {
            if let Some(cap) = self.trace_cap_m[position] {
                most = most.max(self.trace_of(position, foot) / cap);
            }
        }
        if let Some(cap) = self.length_cap_m {
            most = most.max(self.chain.extent_along_drive_m(foot) / cap);
        }
        if let Some(cap) = self.volume_cap_m3 {
            most = most.max(self.chain.volume_m3(foot) / cap);
        }
        // The apex is no deeper than the middle edge is long in the section: as a rule another cap is fuller than that.
        if let Some(cap) = self.depth_cap_m
            && foot.edge_m[1] * self.chain.sector().rays[1].norm() > most * cap
        {
            most = most.max(self.chain.depth_m(&foot.apex).0 / cap);
        }
        most
    }

    /// Whether a wedge meets every cap.
    #[must_use]
    pub fn admits(&self, foot: &Footprint) -> bool {
        self.use_of_growing_caps(foot) <= 1.0
            && self.trace_cap_m[0].is_none_or(|cap| self.trace_of(0, foot) <= cap)
    }

    /// Whether none of the wedges whose start ray daylights between `starts_m` and whose end ray daylights
    /// between `ends_m` (first and last place of each, metres along the chain) meets every cap. `false`
    /// says nothing.
    ///
    /// Each of them contains the one with the last start and the first end, moved, so what grows with a
    /// wedge is at least that one's. A trace is the difference of two places of its table; the middle ray
    /// daylights further on as either outer ray does.
    #[must_use]
    pub fn excludes(&self, starts_m: (f64, f64), ends_m: (f64, f64)) -> bool {
        if ends_m.1 <= starts_m.0 || starts_m.0 > self.to_m || ends_m.1 < self.from_m {
            return true;
        }
        if ends_m.0 <= starts_m.1 || self.is_uncapped() {
            return false;
        }
        let least = self.chain.footprint(starts_m.1, ends_m.0);
        let over = |value: f64, cap: Option<f64>| cap.is_some_and(|c| value > c);
        if self.depth_cap_m.is_some_and(|c| self.chain.depth_m(&least.apex).0 > c)
            || self.length_cap_m.is_some_and(|c| self.chain.extent_along_drive_m(&least) > c)
            || self.volume_cap_m3.is_some_and(|c| self.chain.volume_m3(&least) > c)
        {
            return true;
        }
        if self.trace_cap_m == [None; 3] {
            return false;
        }
        let between = |position: usize, to_m: f64, from_m: f64| {
            self.trace_at(position, to_m) - self.trace_at(position, from_m)
        };
        let traces_m = match self.chain.sector().flat_side {
            None => {
                let first_middle_m = self.chain.footprint(starts_m.0, ends_m.0).along_m[1];
                let last_middle_m = self.chain.footprint(starts_m.1, ends_m.1).along_m[1];
                [
                    between(0, ends_m.0, last_middle_m),
                    between(1, ends_m.0, starts_m.1),
                    between(2, first_middle_m, starts_m.1),
                ]
            }
            // The middle ray daylights where one of the others does, and the trace between the two runs along
            // the drive: it grows with their edges.
            Some(side) => [0, 1, 2].map(|position| match (side, position) {
                (FlatSide::Start, 2) | (FlatSide::End, 0) => self.trace_of(position, &least),
                _ => between(position, ends_m.0, starts_m.1),
            }),
        };
        traces_m.into_iter().zip(self.trace_cap_m).any(|(trace_m, cap)| over(trace_m, cap))
    }

    /// Lines that cut off pieces beyond a cap from a box of them: each (constant, slopes) of what is at most
    /// 0 for every admissible piece, in [`Chain::lines_at`]. `corners` are the pieces at its corners, the
    /// largest one first, `centre` the one in the middle, and `half` how far the box reaches from there (of
    /// either sign).
    ///
    /// Depth, length and volume are convex in the lines, so they are at least what touches them in the
    /// middle. A trace is linear while each of its ends stays on one facet; over several nothing is cut.
    #[must_use]
    pub fn cuts(&self, corners: &[Footprint; 4], centre: &Footprint, half: [f64; 2]) -> Vec<(f64, [f64; 2])> {
        let mut cuts = Vec::new();
        let facets = |foot: &Footprint| foot.along_m.map(|m| self.chain.facet_at(m));
        let even =
            self.chain.sector().flat_side.is_none() && corners.iter().all(|c| facets(c) == facets(centre));
        let at = self.chain.lines_at(centre.along_m[0], centre.along_m[2]);
        let mut cut = |cap: Option<f64>, value: &dyn Fn(&Footprint) -> f64| {
            let Some(cap) = cap else { return };
            if corners.iter().all(|c| value(c) <= cap) {
                return;
            }
            let mut slopes = [0.0; 2];
            for (k, slope) in slopes.iter_mut().enumerate() {
                let step = SLOPE_SHARE * half[k].abs();
                if step <= 0.0 {
                    continue;
                }
                let beside = |off: f64| {
                    let mut lines = at;
                    lines[k] += off;
                    self.chain.footprint_at(&self.chain.apex_of(lines)).map(|foot| value(&foot))
                };
                let (Some(before), Some(after)) = (beside(-step), beside(step)) else { return };
                *slope = (after - before) / (2.0 * step);
            }
            let middle = value(centre);
            let touching = slopes[0] * at[0] + slopes[1] * at[1];
            let room = SLOPE_SHARE * (slopes[0].abs() * half[0].abs() + slopes[1].abs() * half[1].abs());
            cuts.push((middle - touching - cap - room, slopes));
        };
        if even {
            for position in 0..3 {
                cut(self.trace_cap_m[position], &|foot| self.trace_of(position, foot));
            }
        }
        cut(self.depth_cap_m, &|foot| self.chain.depth_m(&foot.apex).0);
        cut(self.length_cap_m, &|foot| self.chain.extent_along_drive_m(foot));
        cut(self.volume_cap_m3, &|foot| self.chain.volume_m3(foot));
        cuts
    }

    /// As [`Frontier::widest`] without the cap on the trace between middle and end: this end never
    /// comes nearer as the start moves on.
    #[must_use]
    pub fn widest_even(&self, start_m: f64) -> Option<Footprint> {
        let end = self.to_m;
        if start_m < self.from_m || end - start_m <= PLACE_TOLERANCE * self.chain.length_m() {
            return None;
        }
        self.widest_growing(start_m, end)
    }

    /// The largest admissible wedge whose start ray daylights at `start_m`, or `None` where the
    /// place leaves no room for one.
    #[must_use]
    pub fn widest(&self, start_m: f64) -> Option<Footprint> {
        let foot = self.widest_even(start_m)?;
        match self.trace_cap_m[0] {
            Some(cap) if self.trace_of(0, &foot) > cap => self.widest_below(start_m, foot, cap),
            _ => Some(foot),
        }
    }

    /// As [`Frontier::widest`], for the caps that grow with the end ray's place: a bracketed
    /// secant search (Illinois) that keeps to the admissible side.
    fn widest_growing(&self, start_m: f64, end_m: f64) -> Option<Footprint> {
        let at = |place: f64| {
            let foot = self.chain.footprint(start_m, place);
            let excess = self.use_of_growing_caps(&foot) - 1.0;
            (foot, excess)
        };
        let (whole, mut high_excess) = at(end_m);
        if high_excess <= 0.0 {
            return Some(whole);
        }
        let (mut low, mut low_excess) = (start_m, -1.0);
        let mut high = end_m;
        let mut best = None;
        let tolerance = PLACE_TOLERANCE * self.chain.length_m();
        let mut kept_low = 0i32;
        for _ in 0..100 {
            if high - low <= tolerance {
                break;
            }
            let mut place = (low * high_excess - high * low_excess) / (high_excess - low_excess);
            if !(place > low && place < high) || kept_low.abs() > 3 {
                place = 0.5 * (low + high);
                kept_low = 0;
            }
            let (foot, excess) = at(place);
            if excess <= 0.0 {
                low = place;
                low_excess = excess;
                best = Some(foot);
                if excess > -AT_THE_CAP {
                    break;
                }
                if kept_low < 0 {
                    high_excess *= 0.5;
                }
                kept_low = kept_low.min(0) - 1;
            } else {
                high = place;
                high_excess = excess;
                if kept_low > 0 {
                    low_excess *= 0.5;
                }
                kept_low = kept_low.max(0) + 1;
            }
        }
        best
    }

    /// Walks the end ray back from `foot` over the places where a ray passes a vertex, until the
    /// trace between middle and end, which is linear from one such place to the next, meets its
    /// cap.
    fn widest_below(&self, start_m: f64, foot: Footprint, cap: f64) -> Option<Footprint> {
        let sector = self.chain.sector();
        let [start, middle, _] = sector.rays;
        let from = self.chain.point_at(start_m);
        let mut above = foot;
        let mut above_trace = self.trace_of(0, &above);
        loop {
            let end_facet = self.chain.facet_at(above.along_m[2]);
            let mut next_m = start_m;
            for k in (0..=end_facet).rev() {
                let vertex_m = self.chain.vertex_along_m(k);
                if vertex_m < above.along_m[2] {
                    next_m = next_m.max(vertex_m);
                    break;
                }
            }
            if sector.flat_side.is_none() {
                for k in (0..=self.chain.facet_at(above.along_m[1])).rev() {
                    let vertex_m = self.chain.vertex_along_m(k);
                    if vertex_m >= above.along_m[1] || vertex_m <= start_m {
                        continue;
                    }
                    // The apex on the start ray's line whose middle ray passes this vertex.
                    let back = -cross2(&middle, &(self.chain.vertices()[k] - from)) / cross2(&middle, &start);
                    let end_m = self.chain.end_daylight_m(&(from - start * back), start_m);
                    if end_m < above.along_m[2] {
                        next_m = next_m.max(end_m);
                        break;
                    }
                }
            }
            if above.along_m[2] - start_m <= PLACE_TOLERANCE * self.chain.length_m() {
                return None;
            }
            let (below_trace, below_m) = if next_m <= start_m {
                (0.0, start_m)
            } else {
                let below = self.chain.footprint(start_m, next_m);
                (self.trace_of(0, &below), next_m)
            };
            if below_trace <= cap {
                let share = (cap - below_trace) / (above_trace - below_trace);
                let step = above.along_m[2] - below_m;
                let mut end_m = below_m + share * step;
                // Rounding may leave it a hair above the cap.
                for _ in 0..4 {
                    if end_m <= start_m {
                        return None;
                    }
                    let found = self.chain.footprint(start_m, end_m);
                    if self.trace_of(0, &found) <= cap * (1.0 + 0.1 * CAP_MARGIN) {
                        return Some(found);
                    }
                    end_m -= PLACE_TOLERANCE * step;
                }
                return Some(self.chain.footprint(start_m, end_m));
            }
            above = self.chain.footprint(start_m, below_m);
            above_trace = below_trace;
        }
    }

    fn volume_at(&self, start_m: f64) -> f64 {
        self.widest(start_m).map_or(0.0, |foot| self.chain.volume_m3(&foot))
    }

    /// The caps that the wedge comes within 0.1 % of, sorted.
    fn limiting(&self, foot: &Footprint) -> Vec<Cap> {
        let near = |value: f64, cap: Option<f64>| cap.is_some_and(|c| value >= c * (1.0 - LIMITING_SHARE));
        let mut caps = Vec::new();
        if (0..3).any(|p| near(self.trace_of(p, foot), self.trace_cap_m[p])) {
            caps.push(Cap::Trace);
        }
        if near(self.chain.depth_m(&foot.apex).0, self.depth_cap_m) {
            caps.push(Cap::Depth);
        }
        if near(self.chain.extent_along_drive_m(foot), self.length_cap_m) {
            caps.push(Cap::Length);
        }
        if near(self.chain.volume_m3(foot), self.volume_cap_m3) {
            caps.push(Cap::Volume);
        }
        caps
    }

    /// The wedge with its apex at this place of the section, if it is finite and meets every cap: the
    /// only one.
    #[must_use]
    pub fn at(&self, apex: &Vec2) -> Option<Admissible> {
        let foot = self.chain.footprint_at(apex).filter(|foot| self.admits(foot))?;
        Some(self.alone(foot))
    }

    fn alone(&self, foot: Footprint) -> Admissible {
        Admissible {
            shown: foot,
            volume_m3: self.chain.volume_m3(&foot),
            limited_by: self.limiting(&foot),
            bands: Vec::new(),
        }
    }

    /// The largest admissible wedge with its apex on a line of the section. The volume is convex in
    /// the apex, so it is at an end of a run of admissible apexes: runs are found at 400
    /// places, their ends by halving.
    #[must_use]
    pub fn largest_on_line(&self, through: &Vec2, along: &Vec2) -> Option<Admissible> {
        let (low, high) = self.chain.line_span_m(through, along)?;
        let seat = |t: f64| {
            let foot = self.chain.footprint_at(&(through + along * t))?;
            self.admits(&foot).then_some(foot)
        };
        let place = |i: usize| low + (high - low) * i as f64 / LINE_SAMPLES as f64;
        let mut best: Option<(f64, Footprint)> = None;
        let mut keep = |foot: Option<Footprint>| {
            if let Some(foot) = foot {
                let volume_m3 = self.chain.volume_m3(&foot);
                if best.is_none_or(|b| volume_m3 > b.0) {
                    best = Some((volume_m3, foot));
                }
            }
        };
        keep(seat(low));
        keep(seat(high));
        for i in 0..LINE_SAMPLES {
            let (a, b) = (place(i), place(i + 1));
            let (at_a, at_b) = (seat(a), seat(b));
            keep(at_a);
            keep(at_b);
            if at_a.is_some() == at_b.is_some() {
                continue;
            }
            let inside_first = at_a.is_some();
            bisect(a, b, LINE_HALVINGS, |middle| {
                let found = seat(middle);
                keep(found);
                found.is_some() == inside_first
            });
        }
        best.map(|(_, foot)| self.alone(foot))
    }

    /// The largest admissible wedge, to 0.1 % of its volume over all finite apexes, and all that
    /// are as large. `arc_from_crown_m` tells how far along the perimeter from the crown a place
    /// of the chain is (metres along the chain in, metres out). `None` where the caps leave no
    /// wedge at all.
    #[must_use]
    pub fn largest(&self, arc_from_crown_m: impl Fn(f64) -> f64) -> Option<Admissible> {
        if self.to_m - self.from_m <= PLACE_TOLERANCE * self.chain.length_m() {
            return None;
        }
        let whole = self.chain.footprint(self.from_m, self.to_m);
        if self.admits(&whole) {
            return Some(Admissible {
                volume_m3: self.chain.volume_m3(&whole),
                shown: whole,
                limited_by: Vec::new(),
                bands: vec![Band { from_m: self.from_m, to_m: self.from_m }],
            });
        }
        let mut samples = self.sample();
        self.refine(&mut samples);
        let volume_m3 = samples.iter().map(|s| s.1).fold(0.0, f64::max);
        if volume_m3 <= 0.0 {
            return None;
        }
        let bands = self.bands(&samples, ADMISSIBLE_SHARE * volume_m3);
        let shown = self.nearest_crown(&bands, &samples, ADMISSIBLE_SHARE * volume_m3, arc_from_crown_m)?;
        let mut limited_by = self.limiting(&shown);
        if limited_by.is_empty() {
            // The one shown may be a little smaller and off every cap: the largest touches one.
            let largest = samples.iter().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
            limited_by = self.limiting(&self.widest(largest.0)?);
        }
        Some(Admissible { limited_by, shown, volume_m3, bands })
    }

    /// (place of the start ray, greatest admissible volume there), sorted by place.
    fn sample(&self) -> Vec<(f64, f64)> {
        let length = self.to_m - self.from_m;
        let mut places: Vec<f64> =
            (0..SAMPLES).map(|i| self.from_m + length * i as f64 / SAMPLES as f64).collect();
        let vertices = (0..self.chain.vertices().len() - 1).map(|k| self.chain.vertex_along_m(k));
        places.extend(vertices.filter(|&m| m >= self.from_m && m < self.to_m));
        places.sort_by(f64::total_cmp);
        places.dedup();
        places.into_iter().map(|m| (m, self.volume_at(m))).collect()
    }

    /// Adds the local maxima between samples, found by golden section.
    fn refine(&self, samples: &mut Vec<(f64, f64)>) {
        let last = samples.len() - 1;
        let mut peaks: Vec<usize> = (0..=last)
            .filter(|&i| {
                samples[i].1 > 0.0
                    && (i == 0 || samples[i].1 >= samples[i - 1].1)
                    && (i == last || samples[i].1 >= samples[i + 1].1)
            })
            .collect();
        peaks.sort_by(|&a, &b| samples[b].1.total_cmp(&samples[a].1).then(a.cmp(&b)));
        peaks.truncate(REFINED_MAXIMA);
        let mut found = Vec::new();
        for i in peaks {
            let low = samples[i.saturating_sub(1)].0;
            let high = samples.get(i + 1).map_or(self.to_m, |s| s.0);
            golden_greatest((low, high), GOLDEN_STEPS, |place| {
                let volume_m3 = self.volume_at(place);
                found.push((place, volume_m3));
                volume_m3
            });
        }
        samples.extend(found);
        samples.sort_by(|a, b| a.0.total_cmp(&b.0));
        samples.dedup_by(|a, b| a.0 == b.0);
    }

    /// The runs of places whose volume reaches `enough`, their ends found by bisection.
    fn bands(&self, samples: &[(f64, f64)], enough: f64) -> Vec<Band> {
        let edge = |inside: f64, outside: f64| {
            bisect(inside, outside, BAND_HALVINGS, |place| self.volume_at(place) >= enough).0
        };
        let mut bands: Vec<Band> = Vec::new();
        let mut previous: Option<(f64, f64)> = None;
        let mut open: Option<f64> = None;
        for &(place, volume) in samples {
            match (open, volume >= enough) {
                (None, true) => {
                    open = Some(previous.map_or(place, |(outside, _)| edge(place, outside)));
                }
                (Some(from_m), false) => {
                    let inside = previous.map_or(from_m, |p| p.0);
                    bands.push(Band { from_m, to_m: edge(inside, place) });
                    open = None;
                }
                _ => {}
            }
            previous = Some((place, volume));
        }
        if let (Some(from_m), Some((inside, _))) = (open, previous) {
            bands.push(Band { from_m, to_m: edge(inside, self.to_m) });
        }
        bands
    }

    /// Of the equally admissible wedges the one whose foot is nearest the crown along the
    /// perimeter, then at smaller u, then the one whose face has its middle nearest the crown: many
    /// share a corner as their foot.
    fn nearest_crown(
        &self,
        bands: &[Band],
        samples: &[(f64, f64)],
        enough: f64,
        arc_from_crown_m: impl Fn(f64) -> f64,
    ) -> Option<Footprint> {
        let mut places: Vec<f64> = samples.iter().filter(|s| s.1 >= enough).map(|s| s.0).collect();
        for band in bands {
            places.extend((0..=64).map(|i| band.from_m + (band.to_m - band.from_m) * f64::from(i) / 64.0));
        }
        places.sort_by(f64::total_cmp);
        let off = |place: f64| {
            self.widest(place).filter(|foot| self.chain.volume_m3(foot) >= enough).map(|foot| {
                let foot_m = self.chain.depth_m(&foot.apex).1;
                let middle_m = 0.5 * (foot.along_m[0] + foot.along_m[2]);
                let arc_m = arc_from_crown_m(foot_m).abs();
                Seat {
                    arc_m,
                    u_m: self.chain.point_at(foot_m).x,
                    face_m: arc_from_crown_m(middle_m).abs(),
                    foot,
                }
            })
        };
        let better = |a: &Seat, b: &Seat| {
            if (a.arc_m - b.arc_m).abs() > FOOT_TIE_M {
                return a.arc_m < b.arc_m;
            }
            if (a.u_m - b.u_m).abs() > FOOT_TIE_M {
                return a.u_m < b.u_m;
            }
            a.face_m < b.face_m
        };
        let mut best: Option<(usize, Seat)> = None;
        for (i, &place) in places.iter().enumerate() {
            if let Some(candidate) = off(place)
                && best.as_ref().is_none_or(|(_, b)| better(&candidate, b))
            {
                best = Some((i, candidate));
            }
        }
        let (i, mut best) = best?;
        let mut low = places[i.saturating_sub(1)];
        let mut high = places[(i + 1).min(places.len() - 1)];
        for _ in 0..THIRDS_STEPS {
            let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            let (at_a, at_b) = (off(a), off(b));
            for candidate in [at_a, at_b].into_iter().flatten() {
                if better(&candidate, &best) {
                    best = candidate;
                }
            }
            let right = match (at_a, at_b) {
                (Some(a), Some(b)) => better(&b, &a),
                (a, _) => a.is_none(),
            };
            if right { low = a } else { high = b }
        }
        Some(best.foot)
    }
}
