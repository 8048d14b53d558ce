//! Falling pieces: forces and moments in balance, for every piece of a cell.

use super::bounds::{Corners, Ground, Looked, Scratch, Wanted};
use super::cell::{Cell, middle, width};
use super::rows::Found;
use crate::orientation::Vec3;
use crate::stability::{BoltPull, Contact, Rotation, Stability, load_factor_as_before};
use crate::wedge::Footprint;

/// The centroid of a piece is not quite a mixture of those at the corners of its cell: on either side it is
/// given this many times what it is off in the middle of the cell, and this share of its range.
pub(super) const BEND_TIMES: f64 = 2.0;
pub(super) const BEND_SHARE: f64 = 0.02;

/// A centroid is known this well, metres.
const CENTROID_M: f64 = 1e-12;

impl Ground<'_, '_> {
    /// The factor by which a falling piece's weight may grow, for every piece of a cell at least.
    ///
    /// Of a piece all is known. In a cell the bolts stand still, in the middle of their stretch of
    /// chainages, and the wedge ranges about them. A piece is a mixture of the cell's corners, and so is its
    /// weight at its centroid, but for what that bends: the forces that hold the corners' weights, each
    /// anywhere within that bend and the stretch of chainages, mixed alike hold the piece's. Joints may press
    /// where they do in every piece.
    pub(super) fn balanced(
        &self,
        cell: &Cell,
        looked: &Looked,
        corners: Option<&Corners>,
        bolts: &[Found],
        wanted: Wanted,
        scratch: &mut Scratch,
    ) -> f64 {
        let force = looked.stability.active_kn();
        if cell.is_piece() {
            self.pulls(cell, bolts, 0, scratch);
            if self.pieces.wet.is_some() {
                return self.balanced_piece(looked, wanted, scratch);
            }
            let (points, at) = self.placed(&looked.outer, looked.laden.as_ref());
            let contacts = self.contacts(&points);
            let Scratch { pulls, names, rotation_of_pieces, .. } = scratch;
            let (load, enough) = ((&force, &at), wanted.enough);
            // Most pieces that are tried are held as the last one was, and better than what is looked for.
            let before = load_factor_as_before(load, &contacts, pulls, names, enough, rotation_of_pieces);
            return before.unwrap_or_else(|| {
                Rotation::new(&force, &at, &contacts).load_factor_near(
                    pulls,
                    names,
                    enough,
                    rotation_of_pieces,
                )
            });
        }
        let Some(corners) = corners else { return 0.0 };
        let along = cell.shifts_m.first().map_or(0.0, |&s| 0.5 * width(s));
        let laden = |foot: &Footprint| self.may_hang().then(|| (self.pieces.judge)(foot));
        let placed = corners.feet.map(|foot| self.placed(&foot, laden(&foot).as_ref()));
        let centre = self.placed(&corners.centre, laden(&corners.centre).as_ref());
        let contacts = self.common_contacts(&placed.map(|p| p.0), &centre.0, along);
        // How far the weight may act from where it does at the corners, square to it.
        let down = force.normalize();
        let aside = if down.y.abs() < 0.5 { Vec3::y() } else { Vec3::x() };
        let first = (aside - down * aside.dot(&down)).normalize();
        let ways = [first, down.cross(&first)];
        let whole: f64 = corners.times.iter().sum();
        let mixed: Vec3 = (0..4).map(|c| placed[c].1 * (corners.times[c] / whole)).sum();
        let centroids = ways.map(|way| placed.map(|p| way.dot(&p.1)));
        let range = centroids
            .map(|at| at.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |r, &c| (r.0.min(c), r.1.max(c))));
        let bend: [f64; 2] = std::array::from_fn(|k| {
            let off = ways[k].dot(&(centre.1 - mixed)).abs();
            BEND_TIMES * off + BEND_SHARE * width(range[k]) + ways[k].y.abs() * along
        });
        let base_kn = force.norm() / looked.times;
        let mut rotation = Rotation::new(&force, &mixed, &contacts);
        let groups = self.pieces.positions.groups.len();
        let ends = if groups > 1 { 1usize << (groups - 1) } else { 1 };
        // A place with these parts along the two ways.
        let place = |parts: [f64; 2]| {
            mixed + ways[0] * (parts[0] - ways[0].dot(&mixed)) + ways[1] * (parts[1] - ways[1].dot(&mixed))
        };
        let mut all = f64::INFINITY;
        let mut least_at = |mut going_on: bool,
                            force_kn: f64,
                            low: [f64; 2],
                            high: [f64; 2],
                            enough: f64,
                            floor: f64,
                            scratch: &mut Scratch| {
            let mut least = enough;
            for corner in 0..4usize {
                let pick = |k: usize| if corner >> k & 1 == 0 { low[k] } else { high[k] };
                if (0..2).any(|k| corner >> k & 1 == 1 && high[k] - low[k] <= CENTROID_M) {
                    continue;
                }
                rotation.under(force_kn, &place([pick(0), pick(1)]));
                least = least.min(scratch.load_factor(&rotation, going_on, least));
                going_on = true;
                if least <= floor {
                    break;
                }
            }
            least
        };
        // A group that does not slide has one end.
        let still = |g: usize| width(cell.shifts_m[g]) == 0.0;
        let twice = |end: &usize| (1..groups).any(|g| *end >> (g - 1) & 1 == 1 && still(g));
        for end in (0..ends).filter(|end| !twice(end)) {
            self.pulls(cell, bolts, end, scratch);
            // The heaviest piece wherever any has its centroid; where that is not enough, each corner.
            let low = std::array::from_fn(|k| range[k].0 - bend[k]);
            let high = std::array::from_fn(|k| range[k].1 + bend[k]);
            let rough = least_at(false, force.norm(), low, high, wanted.enough, wanted.floor, scratch);
            if rough >= wanted.enough || rough <= wanted.floor {
                all = all.min(rough);
                continue;
            }
            // A load comes onto the face or not: what acts is then no mixture, but lies among the corners'.
            if self.may_hang() {
                all = all.min(rough);
                continue;
            }
            let floor = wanted.floor.max(rough);
            let mut least = wanted.enough;
            for (c, &times) in corners.times.iter().enumerate() {
                let low = std::array::from_fn(|k| centroids[k][c] - bend[k]);
                let high = std::array::from_fn(|k| centroids[k][c] + bend[k]);
                least = least_at(true, base_kn * times, low, high, least, floor, scratch);
                if least <= floor {
                    break;
                }
            }
            all = all.min(least.max(rough));
            if all <= wanted.floor {
                break;
            }
        }
        all
    }

    /// As [`Ground::balanced`], of one piece that water presses on.
    fn balanced_piece(&self, looked: &Looked, wanted: Wanted, scratch: &mut Scratch) -> f64 {
        let positions = &self.pieces.positions;
        let (chain, cone) = (positions.frontier.chain(), positions.cone);
        let foot = &looked.outer;
        let back_m = self.planes.back_m(chain.lines_at(foot.along_m[0], foot.along_m[2]));
        let back = Vec3::new(0.0, back_m, 0.0);
        let mut action = looked.stability.action(&chain.centroid(cone, foot));
        action.at += back;
        let contacts = self.contacts(&chain.corners(cone, foot).map(|c| c + back));
        let Scratch { pulls, names, rotation_of_pieces, .. } = scratch;
        Rotation::of(&action, &contacts).load_factor_near(pulls, names, wanted.enough, rotation_of_pieces)
    }

    /// The bolts of a cell as they pull: the first group's in the middle of its stretch of chainages, the
    /// other groups' at the ends that the bits of `end` say.
    pub(super) fn pulls(&self, cell: &Cell, bolts: &[Found], end: usize, scratch: &mut Scratch) {
        scratch.names.clear();
        scratch.names.extend(bolts.iter().filter(|b| b.kn > 0.0).map(|b| (b.row, b.ring_m)));
        scratch.pulls.clear();
        scratch.pulls.extend(bolts.iter().filter(|b| b.kn > 0.0).map(|b| {
            let row = &self.rows[b.row];
            let shift_m = cell.shifts_m[row.group];
            let at = match row.group {
                0 => b.ring_m - middle(shift_m),
                g if end >> (g - 1) & 1 == 0 => b.ring_m - shift_m.1,
                _ => b.ring_m - shift_m.0,
            };
            BoltPull {
                point: Vec3::new(row.point.x, at, row.point.y),
                direction: row.direction,
                capacity_kn: b.kn,
            }
        }));
    }

    /// A piece's corners, and where the force on it acts: its centroid where nothing hangs from it, which `laden` says.
    /// Its start edge passes the reference line at chainage 0.
    fn placed(&self, foot: &Footprint, laden: Option<&Stability>) -> ([Vec3; 4], Vec3) {
        let positions = &self.pieces.positions;
        let (chain, cone) = (positions.frontier.chain(), positions.cone);
        let lines = chain.lines_at(foot.along_m[0], foot.along_m[2]);
        let back = Vec3::new(0.0, self.planes.back_m(lines), 0.0);
        let mut at = chain.centroid(cone, foot);
        if let Some(laden) = laden {
            at = laden.acts_at(&at);
        }
        (chain.corners(cone, foot).map(|c| c + back), at + back)
    }

    /// The corners of a piece's joint faces.
    fn contacts(&self, corners: &[Vec3; 4]) -> [Contact; 9] {
        let inward = &self.pieces.positions.cone.inward;
        std::array::from_fn(|k| {
            let (plane, corner) = (k / 3, k % 3);
            let point = if corner == 0 { corners[0] } else { corners[1 + (plane + corner) % 3] };
            Contact { point, normal: inward[plane] }
        })
    }

    /// Where the joints press in every piece of a cell: of each joint the corners of a triangle that lies
    /// within all of its faces, seen square to it (where a force along a line acts on it makes no
    /// difference).
    ///
    /// A face has its apex and two edges, whose ways are the same for all pieces. Within all of them lies the
    /// triangle whose apex is the farthest along both edges and whose sides end where the first face ends.
    /// The apex is linear over the cell, and the lengths of the edges are convex: they are at most those at
    /// the corners, and where an edge ends at least as far below its middle as the farthest end is above it.
    pub(super) fn common_contacts(
        &self,
        corners: &[[Vec3; 4]; 4],
        centre: &[Vec3; 4],
        along: f64,
    ) -> Vec<Contact> {
        let cone = self.pieces.positions.cone;
        let mut contacts = Vec::with_capacity(9);
        for plane in 0..3 {
            let normal = cone.inward[plane];
            let edges = [1, 2].map(|k| (plane + k) % 3);
            let ways = edges.map(|e| cone.edges[e]);
            let across = ways[0].cross(&ways[1]).dot(&normal);
            let parts = |at: &Vec3| {
                [at.cross(&ways[1]).dot(&normal) / across, ways[0].cross(at).dot(&normal) / across]
            };
            let origin = corners[0][0];
            let shake = parts(&Vec3::y()).map(|p| p.abs() * along);
            let apexes = corners.map(|c| parts(&(c[0] - origin)));
            let length = |c: &[Vec3; 4], k: usize| (c[1 + edges[k]] - c[0]).norm();
            let of_centre = parts(&(centre[0] - origin));
            let most = |k: usize| apexes.iter().fold(f64::NEG_INFINITY, |m, a| m.max(a[k])) + shake[k];
            let least = |k: usize| apexes.iter().fold(f64::INFINITY, |m, a| m.min(a[k])) - shake[k];
            let apex = [most(0), most(1)];
            let reach: [f64; 2] = std::array::from_fn(|k| {
                let other = 1 - k;
                let end = |c: usize| apexes[c][k] + length(&corners[c], k);
                let farthest = (0..4).map(end).fold(f64::NEG_INFINITY, f64::max);
                let nearest = 2.0 * (of_centre[k] + length(centre, k)) - farthest - shake[k];
                let longest = (0..4).map(|c| length(&corners[c], k)).fold(0.0, f64::max);
                let shortest = length(&corners[3], other);
                nearest - apex[k] - (apex[other] - least(other)) * longest / shortest
            });
            let at = |a: f64, b: f64| Contact { point: origin + ways[0] * a + ways[1] * b, normal };
            if reach[0] >= 0.0 || reach[1] >= 0.0 {
                contacts.push(at(apex[0], apex[1]));
            }
            if reach[0] > 0.0 {
                contacts.push(at(apex[0] + reach[0], apex[1]));
            }
            if reach[1] > 0.0 {
                contacts.push(at(apex[0], apex[1] + reach[1]));
            }
        }
        contacts
    }
}
