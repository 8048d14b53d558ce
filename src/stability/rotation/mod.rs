//! Force and moment together: by how much the active force may grow before a wedge swings out.
//!
//! A wedge whose weight hangs beside its bolts turns before it drops: the balance of forces alone
//! flatters it. Here bolts pull along their axes with 0 to their capacity, joints press on the
//! wedge without friction, and forces and moments must vanish together. The lower bound theorem of
//! plasticity makes any such set of forces a proof that the wedge holds (Drucker, Prager &
//! Greenberg 1952, for associated flow; frictionless joints are associated), so the greatest load
//! factor is a small linear program.

mod simplex;

use std::sync::OnceLock;

use self::simplex::{Column, End, Simplex, Start};
use super::NO_CONTACT_SHARE;
use crate::orientation::Vec3;

/// The sum of all forces and moments of a solution may miss zero by this share of the greatest
/// bolt capacity, or of the load where that is more; more, and it is called unbalanced. It is far above
/// rounding (some 1e-14) and far below what a load factor is printed with.
const IMBALANCE: f64 = 1e-9;

/// A bolt where it pulls on a wedge. Vectors in any one frame, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltPull {
    /// Its collar.
    pub point: Vec3,
    /// Unit vector of the force on the wedge: into the rock.
    pub direction: Vec3,
    /// The greatest force, kN.
    pub capacity_kn: f64,
}

/// A place where a joint may press on a wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// A corner of the joint's face, metres.
    pub point: Vec3,
    /// Unit normal of the joint, into the wedge.
    pub normal: Vec3,
}

/// How a wedge starts to move when its load factor is reached: the mechanism.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mechanism {
    /// Movement of the point that the active force acts at, metres for each metre of it along the
    /// force.
    pub translation: Vec3,
    /// Turn about the same point, right-handed, radians for each metre that the point moves along
    /// the force.
    pub spin_rad_per_m: Vec3,
}

/// The forces that hold a wedge at its load factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// The greatest factor on the active force; infinite where the joints alone carry any.
    pub load_factor: f64,
    /// Force of each bolt, kN, in the order given.
    pub bolts_kn: Vec<f64>,
    /// Force of each contact, kN, in the order given. Where corners of one joint share a force in
    /// several ways this is one of them.
    pub contacts_kn: Vec<f64>,
    /// How the wedge would start to move; `None` where nothing limits it, or where the force
    /// cannot be met at all.
    pub mechanism: Option<Mechanism>,
}

/// What acts on a wedge before its joints and bolts react: a force at a point, and a couple besides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Action {
    /// The force, kN.
    pub force_kn: Vec3,
    /// Where it acts, metres.
    pub at: Vec3,
    /// The couple, kN·m: zero where all that acts meets in one point or is parallel.
    pub couple_knm: Vec3,
}

impl Action {
    /// A force at a point.
    #[must_use]
    pub fn at(force_kn: Vec3, at: Vec3) -> Self {
        Self { force_kn, at, couple_knm: Vec3::zeros() }
    }

    /// A force that acts at a point with a moment about it, moved onto its central axis, nearest to the point: what is
    /// left of the moment then is along the force.
    #[must_use]
    pub fn central(force_kn: Vec3, point: &Vec3, moment_knm: &Vec3) -> Self {
        let squared = force_kn.norm_squared();
        if squared == 0.0 {
            return Self { force_kn, at: *point, couple_knm: *moment_knm };
        }
        Self {
            force_kn,
            at: point + force_kn.cross(moment_knm) / squared,
            couple_knm: force_kn * (force_kn.dot(moment_knm) / squared),
        }
    }

    /// Of each kN of the force: force and moment about a point, moments by lengths of `size_m`.
    fn column(&self, size_kn: f64, along: &Vec3, about: &Vec3, size_m: f64) -> Column {
        let mut column = wrench(&(self.at - about), along, size_m);
        if self.couple_knm != Vec3::zeros() {
            for (k, c) in self.couple_knm.iter().enumerate() {
                column[3 + k] += c / (size_kn * size_m);
            }
        }
        column
    }
}

/// Working memory of the balance, kept from call to call so that none is allocated anew.
#[derive(Debug, Default, Clone)]
pub struct RotationScratch {
    simplex: Simplex,
    /// Which bolts have a column, in order.
    used: Vec<usize>,
    /// The force that the values of the last run count, kN.
    unit_kn: f64,
}

/// A wedge's force and contacts, prepared for the balance with any bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct Rotation {
    force_kn: f64,
    along: Vec3,
    /// What moments are counted about.
    centre: Vec3,
    size_m: f64,
    contacts: Vec<Contact>,
    /// The load's column and those of the contacts.
    columns: Vec<Column>,
    /// What is eliminated of them, where it is asked for.
    start: OnceLock<Start>,
}

impl Rotation {
    /// Prepares the balance of a wedge under `force_kn` that acts at `acts_at` (its centroid,
    /// where the force is its weight), with these contacts.
    ///
    /// Corners of one plane within the hull of its others add nothing: leave them out.
    #[must_use]
    pub fn new(force_kn: &Vec3, acts_at: &Vec3, contacts: &[Contact]) -> Self {
        Self::of(&Action::at(*force_kn, *acts_at), contacts)
    }

    /// As [`Rotation::new`], with a couple besides.
    #[must_use]
    pub fn of(action: &Action, contacts: &[Contact]) -> Self {
        let (force_kn, acts_at) = (&action.force_kn, &action.at);
        let size = force_kn.norm();
        let along = if size > 0.0 { force_kn / size } else { Vec3::zeros() };
        let size_m = size_of(contacts, acts_at);
        let contacts: Vec<Contact> = contacts.iter().map(|contact| touching(contact, &along)).collect();
        let mut load = [along.x, along.y, along.z, 0.0, 0.0, 0.0];
        if size > 0.0 && action.couple_knm != Vec3::zeros() {
            load = action.column(size, &along, acts_at, size_m);
        }
        let mut columns = Vec::with_capacity(1 + contacts.len());
        columns.push(load);
        columns.extend(contacts.iter().map(|c| {
            let column = wrench(&(c.point - acts_at), &c.normal, size_m);
            if is_finite(&column) { column } else { Column::default() }
        }));
        let start = OnceLock::new();
        Self { force_kn: size, along, centre: *acts_at, size_m, contacts, columns, start }
    }

    /// The same contacts and the same direction under a force of another size that acts elsewhere: much
    /// sooner than prepared anew. [`Mechanism`]s stay about the point that it was prepared with.
    pub(crate) fn under(&mut self, force_kn: f64, acts_at: &Vec3) {
        self.force_kn = force_kn;
        self.set_load(wrench(&(acts_at - self.centre), &self.along, self.size_m));
    }

    fn set_load(&mut self, column: Column) {
        self.columns[0] = column;
        if let Some(start) = self.start.get_mut() {
            start.set_first(&column);
        }
    }

    fn start(&self) -> &Start {
        self.start.get_or_init(|| Start::new(self.columns.clone()))
    }

    /// As [`Rotation::under`], in another direction and with a couple.
    pub(crate) fn under_action(&mut self, action: &Action) {
        self.force_kn = action.force_kn.norm();
        if self.force_kn > 0.0 {
            self.along = action.force_kn / self.force_kn;
            let load = action.column(self.force_kn, &self.along, &self.centre, self.size_m);
            self.set_load(load);
        }
    }

    /// The greatest λ ≥ 0 for which λ times the force, the bolts and the contacts balance, forces
    /// and moments; infinite where the joints alone carry any load. A bolt without a finite place
    /// or a capacity above zero is none.
    #[must_use]
    pub fn load_factor(&self, bolts: &[BoltPull], scratch: &mut RotationScratch) -> f64 {
        self.load_factor_up_to(bolts, f64::INFINITY, scratch)
    }

    /// As [`Rotation::load_factor`] where that is below `enough`; else any factor that is at least
    /// `enough` and can be reached.
    #[must_use]
    pub fn load_factor_up_to(&self, bolts: &[BoltPull], enough: f64, scratch: &mut RotationScratch) -> f64 {
        let Some((_, end)) = self.solve(bolts, None, enough, scratch) else { return f64::INFINITY };
        self.factor(end, enough, scratch)
    }

    /// As [`Rotation::load_factor_up_to`], and much sooner where the last call with this scratch was of a wedge
    /// alike: it begins with the forces that limited that one. `names` tell bolts from call to call (the row, and
    /// the chainage of the ring), in rising order.
    pub(crate) fn load_factor_near(
        &self,
        bolts: &[BoltPull],
        names: &[(usize, f64)],
        enough: f64,
        scratch: &mut RotationScratch,
    ) -> f64 {
        let Some((_, end)) = self.solve(bolts, Some(names), enough, scratch) else { return f64::INFINITY };
        self.factor(end, enough, scratch)
    }

    /// The load factor at the end of a run.
    fn factor(&self, end: End, enough: f64, scratch: &RotationScratch) -> f64 {
        let factor = (scratch.simplex.value() * scratch.unit_kn / self.force_kn).max(0.0);
        match end {
            End::Unbounded => f64::INFINITY,
            // What is enough in one unit may be a hair less in the other, and then look like less.
            End::Enough => factor.max(enough),
            End::Greatest | End::GaveUp => factor,
        }
    }

    /// As [`Rotation::load_factor_up_to`] with the bolts of the last call that this scratch was used in, after
    /// [`Rotation::under`]: it goes on from where that one ended, much sooner where loads are alike.
    pub(crate) fn load_factor_on(
        &self,
        bolts: &[BoltPull],
        enough: f64,
        scratch: &mut RotationScratch,
    ) -> f64 {
        if self.force_kn > 0.0
            && scratch.unit_kn > 0.0
            && let Some(end) =
                scratch.simplex.run_on(&self.columns[0], enough * (self.force_kn / scratch.unit_kn))
        {
            return self.factor(end, enough, scratch);
        }
        self.load_factor_up_to(bolts, enough, scratch)
    }

    /// The forces that reach the load factor, and the mechanism that limits it.
    #[must_use]
    pub fn balance(&self, bolts: &[BoltPull], scratch: &mut RotationScratch) -> Balance {
        let mut balance = Balance {
            load_factor: f64::INFINITY,
            bolts_kn: vec![0.0; bolts.len()],
            contacts_kn: vec![0.0; self.contacts.len()],
            mechanism: None,
        };
        let Some((unit_kn, end)) = self.solve(bolts, None, f64::INFINITY, scratch) else { return balance };
        if end == End::Unbounded {
            return balance;
        }
        let simplex = &scratch.simplex;
        balance.load_factor = (simplex.value() * unit_kn / self.force_kn).max(0.0);
        let force = |column: usize| (simplex.variable(column) * unit_kn).max(0.0);
        for (j, kn) in balance.contacts_kn.iter_mut().enumerate() {
            *kn = force(1 + j);
        }
        for (j, &bolt) in scratch.used.iter().enumerate() {
            balance.bolts_kn[bolt] = force(1 + self.contacts.len() + j);
        }
        balance.mechanism = simplex.multipliers().map(|w| Mechanism {
            translation: Vec3::new(w[0], w[1], w[2]),
            spin_rad_per_m: Vec3::new(w[3], w[4], w[5]) / self.size_m,
        });
        balance
    }

    /// Runs the simplex method, with names from where the last run with names ended, and gives the force that its
    /// values count, kN, and how it ended; `None` where no force acts.
    fn solve(
        &self,
        bolts: &[BoltPull],
        names: Option<&[(usize, f64)]>,
        enough: f64,
        scratch: &mut RotationScratch,
    ) -> Option<(f64, End)> {
        if self.force_kn == 0.0 {
            return None;
        }
        let RotationScratch { simplex, used, unit_kn: counted_kn } = scratch;
        used.clear();
        used.extend(
            (0..bolts.len()).filter(|&i| bolts[i].capacity_kn > 0.0 && is_finite(&self.pull(&bolts[i]))),
        );
        // Forces are counted in the strongest bolt, so that upper bounds are at most 1.
        let strongest =
            used.iter().map(|&i| bolts[i].capacity_kn).filter(|c| c.is_finite()).fold(0.0, f64::max);
        let unit_kn = if strongest > 0.0 { strongest } else { self.force_kn };
        let bounded = used.iter().map(|&i| (self.pull(&bolts[i]), bolts[i].capacity_kn / unit_kn));
        *counted_kn = unit_kn;
        let enough = enough * (self.force_kn / unit_kn);
        let end = match names {
            Some(names) => {
                let names = used.iter().map(|&i| names[i]);
                simplex.run_near(&self.columns, || self.start(), bounded, names, enough)
            }
            None => simplex.run(self.start(), bounded, enough),
        };
        if end == End::Greatest {
            let missing = self.sum(bolts, scratch);
            scratch.simplex.polish(&missing);
            debug_assert!({
                let most = IMBALANCE * scratch.simplex.value().max(1.0);
                self.sum(bolts, scratch).iter().all(|m| m.abs() <= most)
            });
        }
        Some((unit_kn, end))
    }

    /// What the equations miss with the variables as they stand.
    fn sum(&self, bolts: &[BoltPull], scratch: &RotationScratch) -> Column {
        let simplex = &scratch.simplex;
        let mut sum = Column::default();
        let mut add = |column: &Column, times: f64| {
            for (s, c) in sum.iter_mut().zip(column) {
                *s += c * times;
            }
        };
        add(&self.columns[0], simplex.value());
        for (j, c) in self.contacts.iter().enumerate() {
            let value = simplex.variable(1 + j);
            if value != 0.0 {
                add(&wrench(&(c.point - self.centre), &c.normal, self.size_m), value);
            }
        }
        for (j, &bolt) in scratch.used.iter().enumerate() {
            let value = simplex.variable(1 + self.contacts.len() + j);
            if value != 0.0 {
                add(&self.pull(&bolts[bolt]), value);
            }
        }
        sum
    }

    fn pull(&self, bolt: &BoltPull) -> Column {
        wrench(&(bolt.point - self.centre), &bolt.direction, self.size_m)
    }
}

/// The greatest factor on `force_kn`, acting at `acts_at`, for which forces and moments balance
/// with these bolts and contacts; see [`Rotation::load_factor`].
#[must_use]
pub fn load_factor(force_kn: &Vec3, acts_at: &Vec3, bolts: &[BoltPull], contacts: &[Contact]) -> f64 {
    Rotation::new(force_kn, acts_at, contacts).load_factor(bolts, &mut RotationScratch::default())
}

/// Moments are counted in forces at the wedge's own size, so that neither outweighs.
fn size_of(contacts: &[Contact], acts_at: &Vec3) -> f64 {
    let reach = contacts.iter().map(|c| (c.point - acts_at).norm()).fold(0.0, f64::max);
    if reach > 0.0 && reach.is_finite() { reach } else { 1.0 }
}

/// A contact as a force along this unit vector meets it: one along a joint, but for rounding, does not touch it.
fn touching(contact: &Contact, along: &Vec3) -> Contact {
    let off = contact.normal.dot(along);
    let normal = if off.abs() <= NO_CONTACT_SHARE { contact.normal - along * off } else { contact.normal };
    Contact { normal, ..*contact }
}

/// A factor of at least `enough` that bolts and contacts reach by the forces that limited the last call of
/// [`Rotation::load_factor_near`] with this scratch, where they do: much sooner than [`Rotation::new`] and that call,
/// and as a rule not the greatest. As many contacts as there, in the same order.
pub(crate) fn load_factor_as_before(
    (force_kn, acts_at): (&Vec3, &Vec3),
    contacts: &[Contact],
    bolts: &[BoltPull],
    names: &[(usize, f64)],
    enough: f64,
    scratch: &RotationScratch,
) -> Option<f64> {
    let size = force_kn.norm();
    if size == 0.0 || scratch.unit_kn <= 0.0 {
        return None;
    }
    let (along, size_m, unit_kn) = (force_kn / size, size_of(contacts, acts_at), scratch.unit_kn);
    let column_of = |column: usize| match column {
        0 => [along.x, along.y, along.z, 0.0, 0.0, 0.0],
        _ => {
            let contact = touching(&contacts[column - 1], &along);
            wrench(&(contact.point - acts_at), &contact.normal, size_m)
        }
    };
    let bounded = |bolt: usize| {
        let BoltPull { point, direction, capacity_kn } = &bolts[bolt];
        (wrench(&(point - acts_at), direction, size_m), capacity_kn / unit_kn)
    };
    let value = scratch.simplex.holds_as_before(
        1 + contacts.len(),
        column_of,
        bounded,
        names,
        enough * (size / unit_kn),
    )?;
    Some((value * unit_kn / size).max(enough))
}

/// Force and moment of a unit force along `direction` at `arm`, moments by lengths of `size_m`.
fn wrench(arm: &Vec3, direction: &Vec3, size_m: f64) -> Column {
    let moment = arm.cross(direction) / size_m;
    [direction.x, direction.y, direction.z, moment.x, moment.y, moment.z]
}

fn is_finite(column: &Column) -> bool {
    column.iter().all(|c| c.is_finite())
}

#[cfg(test)]
mod tests;
