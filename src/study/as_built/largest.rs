//! The largest size of a wedge over a stretch by forces alone, as drawn and as built: told beside the verdict, and
//! ring by ring.

use super::RingPhase;
use super::part::Built;
use super::rings::Bins;
use super::standing::{Both, Standing};
use crate::case::Case;
use crate::stability::HungSize;
use crate::study::CheckedWedge;
use crate::study::seat::Seat;
use crate::support::{Body, PhaseGroup, Positions, SetBolts, SetPlacement, SweepScratch};
use crate::wedge::Footprint;

/// Places across a band that the factors ring by ring are taken over, besides the worst ones.
const RING_PLACES: usize = 8;

/// What the largest wedges are held against.
pub(super) struct Largest<'s> {
    pub stretch: Built<'s>,
    /// The rings that factors are told by.
    pub case: &'s Case,
    pub phases: &'s [RingPhase],
}

/// The worst place in the stretch as drawn, and as built; `None` where its face does not fit into it.
pub(super) struct Worst {
    pub designed: Option<SetPlacement>,
    pub as_built: Option<SetPlacement>,
}

impl Largest<'_> {
    /// Of one wedge, with the least factors at the rings.
    pub fn of(&self, wedge: &CheckedWedge, both: &Both, asked_fs: f64) -> Option<(Worst, Bins)> {
        let mut bins = Bins::new(self.case, self.phases, self.stretch.built);
        let mut worst = Worst { designed: None, as_built: None };
        let none = Standing::none();
        for part_m in self.parts(wedge)? {
            let part = self.stretch.part(&none, part_m);
            let seat = Seat::of_wedge(part.drive(self.stretch.opening), wedge)?;
            let here = self.in_part(&seat, wedge, both, part_m, (asked_fs, &mut bins))?;
            for (worst, here) in [(&mut worst.designed, here.designed), (&mut worst.as_built, here.as_built)]
            {
                let lower =
                    here.as_ref().is_some_and(|h| worst.as_ref().is_none_or(|w| h.least_fs < w.least_fs));
                if lower {
                    *worst = here;
                }
            }
        }
        Some((worst, bins))
    }

    /// Where these bolts hold its largest size least; `None` where its face does not fit into the stretch.
    pub fn as_built(&self, wedge: &CheckedWedge, standing: &Standing) -> Option<SetPlacement> {
        let none = Standing::none();
        let least = self.parts(wedge)?.into_iter().filter_map(|part_m| {
            let part = self.stretch.part(&none, part_m);
            let seat = Seat::of_wedge(part.drive(self.stretch.opening), wedge)?;
            self.place(&seat, wedge, standing, part_m)
        });
        least.reduce(|a, b| if b.least_fs < a.least_fs { b } else { a })
    }

    /// The parts that are looked at one by one: what hangs at a chainage hangs from the wedges there alone.
    fn parts(&self, wedge: &CheckedWedge) -> Option<Vec<(f64, f64)>> {
        let surveyed = self
            .stretch
            .bare
            .site
            .hung_loads
            .iter()
            .any(|load| matches!(load.size, HungSize::AtPlace { chainage_m: Some(_), .. }));
        if surveyed { self.stretch.parts_m(wedge) } else { Some(vec![self.stretch.stretch_m()]) }
    }

    fn place(
        &self,
        seat: &Seat,
        wedge: &CheckedWedge,
        standing: &Standing,
        stretch_m: (f64, f64),
    ) -> Option<SetPlacement> {
        // Without a pattern the wedge has its place all the same.
        let located = wedge.wedge.located;
        let alone = [PhaseGroup { patterns: Vec::new(), period_m: 1.0, located, surveyed: false }];
        let positions = Positions { bolts: &self.stretch.bare.bolts, groups: &alone, ..seat.positions() };
        // Where the pattern holds it least anywhere: a start.
        let known: Vec<Footprint> = wedge.placement().iter().map(|p| p.foot).collect();
        let bolts = SetBolts::new(&standing.bolts, &self.stretch.bare.bolts);
        let section = &self.stretch.opening.section;
        bolts.place(section, &positions, &seat.largest()?, &known, stretch_m, &|foot| seat.stability(foot))
    }

    fn in_part(
        &self,
        seat: &Seat,
        wedge: &CheckedWedge,
        both: &Both,
        stretch_m: (f64, f64),
        (asked_fs, bins): (f64, &mut Bins),
    ) -> Option<Worst> {
        let section = &self.stretch.opening.section;
        let admissible = seat.largest()?;
        let kinds = &self.stretch.bare.bolts;
        let designed = self.place(seat, wedge, &both.drawn, stretch_m);
        let as_built = self.place(seat, wedge, &both.standing, stretch_m);
        let mut feet: Vec<Footprint> = vec![admissible.shown];
        feet.extend(designed.iter().chain(&as_built).map(|p| p.foot));
        for band in &admissible.bands {
            let step = (band.to_m - band.from_m) / RING_PLACES as f64;
            let places = (1..RING_PLACES).map(|i| band.from_m + step * i as f64);
            feet.extend(places.filter(|_| step > 0.0).filter_map(|m| seat.equal_at(m, &admissible)));
        }
        let mut scratch = SweepScratch::default();
        for foot in &feet {
            let body = Body {
                chain: seat.chain(),
                cone: &wedge.wedge.cone,
                foot: *foot,
                perimeter_m: section.perimeter_m(),
            };
            let stability = seat.stability(foot);
            let within = SetBolts::reachable(section, &body, stretch_m.0, stretch_m.1);
            let chainage_m = seat.chainage_m(foot);
            let Some(within) = within.and_then(|w| w.at(chainage_m)) else { continue };
            let centre_m = 0.5 * (within.face_m.0 + within.face_m.1);
            let breaks: Vec<f64> = bins.bounds_m().map(|m| m - centre_m).collect();
            for (built, standing) in [(false, &both.drawn), (true, &both.standing)] {
                let bolts = SetBolts::new(&standing.bolts, kinds);
                bolts.sweep(&body, &stability, &within, &breaks, &mut scratch, |apex_m, fs| {
                    bins.note(apex_m + centre_m, built, &wedge.wedge.id, fs, asked_fs);
                });
            }
        }
        Some(Worst { designed, as_built })
    }
}
