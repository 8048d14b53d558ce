use super::Along;
use super::gaps::{Jumps, Spread, each_passing};
use super::positions::{Positions, enough_m3};
use super::track::Track;
use crate::numeric::bisect;
use crate::wedge::{Admissible, Footprint};

/// Evenly spaced places across a band at which the search for forces starts.
pub(super) const PLACES: usize = 40;

/// Most places between openings of gaps that are tried in one band: 30 ms at the outside.
const MOST_GAPS: usize = 600;

/// Steps between two places are halved at most this often to follow how gaps move: where a wedge's
/// tip runs along the drive, they move by periods in a hand's breadth.
const MOST_HALVINGS: usize = 6;

/// Rounds of halving round the lowest places found so far.
const ROUNDS: usize = 10;

/// Halvings of a band that find where the end ray passes a row: 4e-9 of it, a twentieth of the hair
/// by which the search then stands off.
const ROW_HALVINGS: usize = 28;

/// How far beside the place where something begins or ceases to act on a wedge (a ray passes a
/// collar, a load comes onto the face) the wedge is tried, as a share of the chain: a micrometre, far
/// above rounding and far below what a factor of safety shows.
pub const HAIR_SHARE: f64 = 1e-7;

/// How many of the lowest places are followed in each round.
const FOLLOWED: usize = 5;

/// The search across the section for the wedge whose least along the drive is the least of all.
pub(super) struct Across<'s, 'a> {
    positions: &'s Positions<'a>,
    /// Evenly spaced places across a band that it starts from.
    places: usize,
    /// Volume of an equally admissible wedge.
    enough_m3: f64,
    /// The least along the drive for the wedge with a footprint.
    along: &'s mut dyn FnMut(&Footprint) -> Along,
    /// The rows of bolts that matter to it.
    tracks: &'s dyn Fn(&Footprint, &mut Vec<Track<'a>>),
    found: Vec<Track<'a>>,
}

/// A place of the start ray with the wedge there and the least along the drive.
struct Tried {
    place_m: f64,
    foot: Footprint,
    along: Along,
}

/// A place of the start ray with the jumps of each group of patterns there.
struct Stop {
    place_m: f64,
    jumps: Vec<Jumps>,
}

impl<'s, 'a> Across<'s, 'a> {
    pub fn new(
        positions: &'s Positions<'a>,
        places: usize,
        admissible: &Admissible,
        along: &'s mut dyn FnMut(&Footprint) -> Along,
        tracks: &'s dyn Fn(&Footprint, &mut Vec<Track<'a>>),
    ) -> Self {
        Self { positions, places, enough_m3: enough_m3(admissible), along, tracks, found: Vec::new() }
    }

    /// The least over all equally admissible wedges, those of `known` included.
    pub fn least(&mut self, admissible: &Admissible, known: &[Footprint]) -> (Footprint, Along) {
        let mut best = (admissible.shown, (self.along)(&admissible.shown));
        for foot in known {
            let along = (self.along)(foot);
            if along.least_fs < best.1.least_fs {
                best = (*foot, along);
            }
        }
        for band in &admissible.bands {
            if self.positions.is_point(band.from_m, band.to_m) {
                continue;
            }
            let (foot, along) = self.least_in_band(band.from_m, band.to_m, &best);
            if along.least_fs < best.1.least_fs {
                best = (foot, along);
            }
        }
        best
    }

    fn try_place(&mut self, place_m: f64, tried: &mut Vec<Tried>) {
        if let Some(foot) = self.positions.seat(place_m, self.enough_m3) {
            let along = (self.along)(&foot);
            tried.push(Tried { place_m, foot, along });
        }
    }

    /// Starts from even places, from those where a row of collars enters or leaves the face, and
    /// from those between which gaps between bolts open and close; then halves the steps on either
    /// side of the lowest.
    fn least_in_band(&mut self, from_m: f64, to_m: f64, known: &(Footprint, Along)) -> (Footprint, Along) {
        let mut tried = Vec::with_capacity(2 * self.places);
        for i in 0..=self.places {
            self.try_place(from_m + (to_m - from_m) * i as f64 / self.places as f64, &mut tried);
        }
        for place_m in self.row_places(from_m, to_m) {
            self.try_place(place_m, &mut tried);
        }
        tried.sort_by(|a, b| a.place_m.total_cmp(&b.place_m));
        for place_m in self.gap_places(&tried) {
            self.try_place(place_m, &mut tried);
        }
        for _ in 0..ROUNDS {
            tried.sort_by(|a, b| a.place_m.total_cmp(&b.place_m));
            tried.dedup_by(|a, b| a.place_m == b.place_m);
            let mut order: Vec<usize> = (0..tried.len()).collect();
            order.sort_by(|&a, &b| {
                tried[a].along.least_fs.total_cmp(&tried[b].along.least_fs).then(a.cmp(&b))
            });
            let mut next: Vec<f64> = Vec::new();
            for &i in order.iter().take(FOLLOWED) {
                for j in [i.checked_sub(1), (i + 1 < tried.len()).then_some(i + 1)].into_iter().flatten() {
                    let middle = 0.5 * (tried[i].place_m + tried[j].place_m);
                    if !self.positions.is_point(tried[i].place_m.min(middle), tried[i].place_m.max(middle))
                        && !next.contains(&middle)
                    {
                        next.push(middle);
                    }
                }
            }
            if next.is_empty() {
                break;
            }
            for place_m in next {
                self.try_place(place_m, &mut tried);
            }
        }
        tried
            .into_iter()
            .map(|t| (t.foot, t.along))
            .fold(known.clone(), |best, t| if t.1.least_fs < best.1.least_fs { t } else { best })
    }

    /// Places between those where gaps between bolts open or close: every gap, however narrow, is
    /// there at one of them, as far as its edges run straight from one place to the next.
    fn gap_places(&mut self, tried: &[Tried]) -> Vec<f64> {
        let mut places = Spread::new(MOST_GAPS);
        let mut before: Option<Stop> = None;
        for t in tried {
            let here = Stop { place_m: t.place_m, jumps: self.jumps(t.foot) };
            if let Some(before) = &before {
                self.gap_places_between(before, &here, MOST_HALVINGS, &mut places);
            }
            before = Some(here);
        }
        places.into_kept()
    }

    fn gap_places_between(&mut self, before: &Stop, after: &Stop, halvings: usize, places: &mut Spread) {
        let groups = self.positions.groups;
        let straight = before
            .jumps
            .iter()
            .zip(&after.jumps)
            .zip(groups)
            .all(|((old, new), group)| old.run_straight_to(new, group.period_m));
        if !straight && halvings > 0 {
            let place_m = 0.5 * (before.place_m + after.place_m);
            if let Some(foot) = self.positions.seat(place_m, self.enough_m3) {
                let middle = Stop { place_m, jumps: self.jumps(foot) };
                self.gap_places_between(before, &middle, halvings - 1, places);
                self.gap_places_between(&middle, after, halvings - 1, places);
                return;
            }
        }
        let mut passings = vec![before.place_m, after.place_m];
        for ((old, new), group) in before.jumps.iter().zip(&after.jumps).zip(groups) {
            each_passing(old, new, group.period_m, |share| {
                passings.push(before.place_m + share * (after.place_m - before.place_m));
            });
        }
        passings.sort_by(f64::total_cmp);
        if passings.len() > 2 {
            for pair in passings.windows(2) {
                if !self.positions.is_point(pair[0], pair[1]) {
                    places.push(0.5 * (pair[0] + pair[1]));
                }
            }
        }
    }

    fn jumps(&mut self, foot: Footprint) -> Vec<Jumps> {
        (self.tracks)(&foot, &mut self.found);
        self.positions.groups.iter().map(|group| Jumps::of(group, &self.found)).collect()
    }

    /// Places of the start ray a hair on either side of where it, or the end ray, passes a row.
    fn row_places(&self, from_m: f64, to_m: f64) -> Vec<f64> {
        let frontier = self.positions.frontier;
        let chain = frontier.chain();
        let hair = HAIR_SHARE * chain.length_m();
        let mut places = Vec::new();
        let end_of = |place: f64| frontier.widest(place).map(|foot| foot.along_m[2]);
        let (first_end, last_end) = (end_of(from_m), end_of(to_m));
        let rows = self.positions.layouts.iter().flat_map(|l| &l.rows);
        let rows =
            rows.map(|row| (row.collar.along_m - chain.offset_m()).rem_euclid(self.positions.perimeter_m));
        for along in rows.chain(frontier.marks_m().iter().copied()) {
            if along > from_m && along < to_m {
                places.extend([along - hair, along + hair]);
            }
            if let (Some(low), Some(high)) = (first_end, last_end)
                && (low - along) * (high - along) < 0.0
            {
                let (a, b) = bisect(from_m, to_m, ROW_HALVINGS, |place| {
                    end_of(place).is_some_and(|end| (end - along) * (low - along) > 0.0)
                });
                places.extend([a - hair, b + hair]);
            }
        }
        places.retain(|p| *p >= from_m && *p <= to_m);
        places
    }
}
