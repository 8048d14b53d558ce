use super::super::face::force_on_face;
use super::*;
use crate::opening::SectionShape;
use crate::orientation::Vec3;
use std::f64::consts::TAU;

/// A local stress of these components, kPa.
fn far(uu: f64, vv: f64, uv: f64, us: f64, vs: f64) -> Matrix3<f64> {
    Matrix3::new(uu, us, uv, us, 0.0, vs, uv, vs, vv)
}

fn ring(n: u32, a: f64, b: f64, first: f64) -> Vec<Vec2> {
    (0..n)
        .map(|k| {
            let (sin, cos) = (TAU * (f64::from(k) + first) / f64::from(n)).sin_cos();
            Vec2::new(a * cos, b * sin)
        })
        .collect()
}

/// By elements on a polygon, one a side.
fn elements(points: &[Vec2]) -> SectionStress {
    SectionStress { way: Way::Elements(Box::new(Solved::of(Boundary::of_polygon(points)).unwrap())) }
}

/// In closed form.
fn kirsch(a: f64) -> SectionStress {
    SectionStress { way: Way::Circle(Circle { middle: Vec2::zeros(), radius_m: a }, ring(64, a, a, 0.0)) }
}

fn radial(stress: &Matrix3<f64>, turn: f64) -> [f64; 3] {
    let (sin, cos) = turn.sin_cos();
    let (out, round) = (Vec3::new(cos, 0.0, sin), Vec3::new(-sin, 0.0, cos));
    [out.dot(&(stress * out)), round.dot(&(stress * round)), out.dot(&(stress * round))]
}

/// Kirsch (1898), as Brady & Brown (2004) print it, eqs 6.18-6.20: their K p is level. On the surface the wall and the
/// crown, then at r = 2a and 1.5a.
#[test]
fn kirsch_by_the_book() {
    let section = kirsch(2.0);
    for (k, wall, crown) in [(0.0, 3.0, -1.0), (0.5, 2.5, 0.5), (1.0, 2.0, 2.0), (2.0, 1.0, 5.0)] {
        let around = section.under_kpa(far(k, 1.0, 0.0, 0.0, 0.0), 0.25);
        let at = |turn: f64| radial(&around.at_kpa(&(Vec2::new(turn.cos(), turn.sin()) * 2.0)), turn);
        assert!((at(0.0)[1] - wall).abs() < 1e-12 && (at(0.25 * TAU)[1] - crown).abs() < 1e-12);
        assert!(at(0.4)[0].abs() < 1e-12 && at(0.4)[2].abs() < 1e-12);
    }
    let around = section.under_kpa(far(0.5, 1.0, 0.0, 0.0, 0.0), 0.25);
    let at = |turn: f64, r: f64| radial(&around.at_kpa(&(Vec2::new(turn.cos(), turn.sin()) * 2.0 * r)), turn);
    for (turn, r, expected) in [
        (0.0, 2.0, [0.5156, 1.2344, 0.0]),
        (0.25 * TAU, 2.0, [0.6094, 0.6406, 0.0]),
        (0.125 * TAU, 1.5, [0.4167, 1.0833, 0.3241]),
    ] {
        let found = at(turn, r);
        for (f, e) in found.iter().zip(expected) {
            // The book's shear has the other sense.
            assert!((f.abs() - e).abs() < 1e-4, "{turn} {r}: {found:?}");
        }
    }
    // Antiplane shear round a circle: twice the far one where it runs along the surface, none square to it.
    let around = section.under_kpa(far(0.0, 0.0, 0.0, 1.0, 0.0), 0.25);
    assert!((around.at_kpa(&Vec2::new(0.0, 2.0))[(0, 1)] - 2.0).abs() < 1e-12);
    assert!(around.at_kpa(&Vec2::new(2.0, 0.0))[(0, 1)].abs() < 1e-12);
}

/// The greatest difference of the elements' mean tangential stress from what the closed form has over their middles,
/// as a share of the greatest stress.
fn off(n: u32, a: f64, b: f64, first: f64, loads: &Matrix3<f64>, exact: impl Fn(f64) -> f64) -> f64 {
    let section = elements(&ring(n, a, b, first));
    let pieces = section.under_kpa(*loads, 0.25).boundary();
    let (mut worst, mut greatest) = (0.0_f64, 0.0_f64);
    for (k, piece) in (0..n).zip(&pieces) {
        let there = exact(TAU * (f64::from(k) + first + 0.5) / f64::from(n));
        worst = worst.max((piece.tangential_kpa - there).abs());
        greatest = greatest.max(there.abs());
    }
    worst / greatest
}

/// Kirsch (1898) on the circle; Inglis (1913) on an ellipse under equal stress, 2ab/(a² sin² η + b² cos² η), which is 4p
/// and p at its ends (Brady & Brown 2004, eqs 7.6-7.7). The boundary's chords and the quadratic density both err with the
/// square of the elements' length: doubled, a quarter is left.
#[test]
fn boundary_elements_meet_circle_and_ellipse() {
    let level = far(1.0, 0.0, 0.0, 0.0, 0.0);
    let even = far(1.0, 1.0, 0.0, 0.0, 0.0);
    for first in [0.0, 0.5, 0.3] {
        let circle = |n| off(n, 3.0, 3.0, first, &level, |turn| 1.0 - 2.0 * (2.0 * turn).cos());
        let ellipse = |n| off(n, 2.0, 1.0, first, &even, |e| 4.0 / (4.0 * e.sin().powi(2) + e.cos().powi(2)));
        let (c, e) = ([circle(32), circle(64)], [ellipse(32), ellipse(64)]);
        println!("from {first}: circle {c:?}, ellipse {e:?}");
        assert!(c[1] < 0.01 && e[1] < 0.01, "{c:?} {e:?}");
        for [coarse, fine] in [c, e] {
            let order = (coarse / fine).log2();
            assert!((1.7..2.7).contains(&order), "{order}");
        }
    }
}

/// Antiplane shear round a circle (Jaeger & Cook): τ = 2 τ∞ along the surface where it is level.
#[test]
fn boundary_elements_shear_along_the_axis_as_a_circle_does() {
    for (us, vs) in [(1.0, 0.0), (0.0, 1.0), (0.6, -0.3)] {
        let section = elements(&ring(64, 2.5, 2.5, 0.0));
        let around = section.under_kpa(far(0.0, 0.0, 0.0, us, vs), 0.25);
        for (k, piece) in (0..64).zip(around.boundary()) {
            let turn = TAU * (f64::from(k) + 0.5) / 64.0;
            let exact = 2.0 * (vs * turn.cos() - us * turn.sin());
            assert!((piece.shear_kpa - exact).abs() < 0.01, "{k}: {} {exact}", piece.shear_kpa);
        }
        let closed = kirsch(2.5).under_kpa(*around.far_kpa(), 0.25).at_kpa(&Vec2::new(2.0, 3.0));
        let found = around.at_kpa(&Vec2::new(2.0, 3.0));
        assert!((closed - found).norm() < 3e-3, "{closed} {found}");
    }
}

/// Traction along a polyline from the surface through the rock, kPa·m, by quadrature that knows nothing of potentials:
/// its pieces are halved until they change no more.
fn carried(around: &StressAround, line: &[Vec2]) -> Vec3 {
    fn piece(around: &StressAround, a: Vec2, b: Vec2, depth: u32, tolerance: f64) -> Vec3 {
        let along = b - a;
        let normal = Vec3::new(along.y, 0.0, -along.x);
        let at = |x: f64| around.at_kpa(&(a + along * x)) * normal;
        // Gauss's three points.
        let rule = |from: f64, to: f64| {
            let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
            let off = half * 0.6f64.sqrt();
            (at(middle - off) * 5.0 + at(middle) * 8.0 + at(middle + off) * 5.0) * (half / 9.0)
        };
        let (whole, halves) = (rule(0.0, 1.0), rule(0.0, 0.5) + rule(0.5, 1.0));
        if depth == 0 || (whole - halves).norm() < tolerance {
            return halves;
        }
        let middle = a + along * 0.5;
        piece(around, a, middle, depth - 1, tolerance) + piece(around, middle, b, depth - 1, tolerance)
    }
    line.windows(2).map(|w| piece(around, w[0], w[1], 40, 1e-8)).sum()
}

/// What is cut off the rock from one place of the surface to another is in equilibrium: the tractions of the far field
/// that the cut would have without the drive are carried round it. All of an arched drive's shear and stress at once.
#[test]
fn any_cut_between_elements_is_in_equilibrium() {
    let shapes = [
        SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
        SectionShape::Flat { width_m: 5.0, height_m: 4.0 },
        SectionShape::Circular { diameter_m: 5.0 },
    ];
    for shape in shapes {
        let section = shape.section().unwrap();
        let solved = SectionStress::of(&section).unwrap();
        let around = solved.under_kpa(far(2.0, 1.0, 0.4, -0.5, 0.7), 0.25);
        let pieces = around.boundary();
        let n = pieces.len();
        let middle = Vec2::new(0.0, 2.0);
        let out = |p: Vec2, m: f64| middle + (p - middle).normalize() * m;
        let mut worst = 0.0_f64;
        for (from, to) in [(0, n / 3), (n / 8, n / 2), (n / 5, n - 1), (3, n / 2 + 7)] {
            let (a, b) = (pieces[from].ends[0], pieces[to].ends[0]);
            // Out of the rock on one side, a wide way round, back on the other.
            let mut line = vec![a, out(a, 12.0)];
            let turn = |p: Vec2| (p - middle).y.atan2((p - middle).x);
            let (start, mut end) = (turn(a), turn(b));
            if end < start {
                end += TAU;
            }
            for k in 1..8 {
                let (sin, cos) = (start + (end - start) * f64::from(k) / 8.0).sin_cos();
                line.push(middle + Vec2::new(cos, sin) * 15.0);
            }
            line.extend([out(b, 12.0), b]);
            let force = carried(&around, &line);
            // The far field's stress of about 2 kPa over the 5 m of the drive is what would be there without it.
            worst = worst.max(force.norm() / 10.0);
        }
        println!("{shape:?}: {worst:.1e}");
        assert!(worst < 1e-6, "{shape:?}: {worst}");
        // A cut that ends within an element knows what its quadratic leaves there: least where the surface is smooth,
        // most at a corner, where elements are short but the stress is no quadratic.
        let within = |i: usize| pieces[i].ends[0] * 0.75 + pieces[i].ends[1] * 0.25;
        let along = |i: usize| (pieces[i % n].ends[1] - pieces[i % n].ends[0]).normalize();
        let is_at_corner = |i: usize| along(i + n - 1).dot(&along(i)).min(along(i).dot(&along(i + 1))) < 0.98;
        let mut part = [0.0_f64; 2];
        for i in (0..n).step_by(if n > 100 { 20 } else { 2 }) {
            let (a, b) = (pieces[i].ends[0], within(i));
            let left = carried(&around, &[a, out(a, 8.0), out(b, 8.0), b]).norm() / 10.0;
            let part = &mut part[usize::from(is_at_corner(i))];
            *part = part.max(left);
        }
        println!("  within an element: {:.1e}, at a corner {:.1e}", part[0], part[1]);
        assert!(part[0] < 4e-3 && part[1] < 2e-2, "{shape:?}: {part:?}");
        // And right round the drive, wherever the cut lies.
        let round: Vec<Vec2> = (0..=12)
            .map(|k| {
                let (sin, cos) = (TAU * (f64::from(k) + 0.37) / 12.0).sin_cos();
                middle + Vec2::new(5.0 * cos, 4.5 * sin)
            })
            .collect();
        assert!(carried(&around, &round).norm() / 10.0 < 1e-6);
    }
}

/// Plane strain: what the drive adds along its axis is ν times what it adds across.
#[test]
fn stress_along_the_drive_follows_plane_strain() {
    let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
    let solved = SectionStress::of(&section).unwrap();
    let mut loads = far(2.0, 1.0, 0.4, 0.0, 0.0);
    loads[(1, 1)] = 1.5;
    let there = solved.under_kpa(loads, 0.3).at_kpa(&Vec2::new(0.7, 5.0));
    let added = there - loads;
    assert!((added[(1, 1)] - 0.3 * (added[(0, 0)] + added[(2, 2)])).abs() < 1e-12);
    // Above a flat back the rock is relieved of most of its vertical stress.
    assert!(there[(2, 2)] < 0.4 && there[(2, 2)] > 0.0, "{there}");
    // Far off nothing is left of the drive.
    let far_off = solved.under_kpa(loads, 0.3).at_kpa(&Vec2::new(0.0, 2000.0));
    assert!((far_off - loads).norm() < 1e-5);
}

/// A mirrored section under a mirrored stress has the mirrored stress: nothing favours a side.
#[test]
fn a_mirrored_drive_has_mirrored_stress() {
    let points = [(-2.0, 0.0), (2.4, 0.1), (2.6, 2.9), (0.4, 4.2), (-2.1, 3.0)].map(|(u, v)| Vec2::new(u, v));
    let mirrored = points.map(|p| Vec2::new(-p.x, p.y));
    let of = |points: &[Vec2], loads| {
        let section = Section::from_vertices(points).unwrap();
        let solved = SectionStress::of(&section).unwrap();
        move |u: f64, v: f64| solved.under_kpa(loads, 0.25).at_kpa(&Vec2::new(u, v))
    };
    let here = of(&points, far(2.0, 1.0, 0.4, -0.5, 0.7));
    let there = of(&mirrored, far(2.0, 1.0, -0.4, 0.5, 0.7));
    let flip = Matrix3::from_diagonal(&Vec3::new(-1.0, 1.0, 1.0));
    for (u, v) in [(0.0, 4.6), (3.0, 1.0), (-2.3, 3.2), (1.7, 3.6)] {
        let (a, b) = (here(u, v), there(-u, v));
        assert!((a - flip * b * flip).norm() < 1e-9, "{u} {v}");
    }
}

/// In a uniform stress the force on a face is stress times area, whatever its corners; round a circle a face that goes
/// out from the surface carries what the integral of Kirsch's (1898) stress along it says.
#[test]
fn forces_on_faces_by_hand() {
    let section = kirsch(2.0);
    let far_off = section.under_kpa(far(2.0, 1.0, 0.4, -0.5, 0.7), 0.25);
    let lift = Vec3::new(0.0, 0.0, 1e6);
    let polygon = [(0.0, 0.0), (3.0, 1.0), (2.0, 4.0), (0.0, 2.0)];
    let (a, b) = (Vec3::new(0.6, 0.0, 0.8), Vec3::y());
    let polygon: Vec<Vec3> = polygon.iter().map(|(x, y)| a * *x + b * *y + lift).collect();
    let inward = b.cross(&a);
    let face = force_on_face(&far_off, &polygon, &inward);
    let area_m2 = crate::numeric::flat_area(polygon.iter().copied());
    let force = far_off.far_kpa() * inward * area_m2;
    assert!((face.area_m2 - area_m2).abs() < 1e-6);
    assert!((face.normal_kn - force.dot(&inward)).abs() < 1e-6, "{face:?}");
    assert!((face.shear_kn - (force - inward * force.dot(&inward))).norm() < 1e-6);
    // Upright over the crown, from r = a to 3a and 2 m long, under a level stress p of 1: the level stress there is
    // p (2 + a²/r² + 3 a⁴/r⁴)/2, whose integral is (r − a²/2r − a⁴/2r³) p.
    let around = section.under_kpa(far(1.0, 0.0, 0.0, 0.0, 0.0), 0.25);
    let square = [(0.0, 2.0), (0.0, 6.0), (2.0, 6.0), (2.0, 2.0)].map(|(s, v)| Vec3::new(0.0, s, v));
    let face = force_on_face(&around, &square, &Vec3::x());
    let (r, a) = (6.0_f64, 2.0_f64);
    let exact = 2.0 * ((r - a * a / (2.0 * r) - a.powi(4) / (2.0 * r.powi(3))) - (a - a / 2.0 - a / 2.0));
    assert!((face.normal_kn - exact).abs() < 1e-3, "{face:?} {exact}");
    assert!(face.error_kn <= 1e-4 * exact && face.error_kn >= (face.normal_kn - exact).abs(), "{face:?}");
}
