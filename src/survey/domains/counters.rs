use crate::orientation::Vec3;

/// Counters that cover the net: 18° from one to the next, so that each reaches its neighbours.
pub(super) const COUNTERS: usize = 60;
/// How narrow a counter is: it counts a pole 15° off its middle for less than a half, one 30° off for a twentieth.
const NARROW: f64 = 12.0;

/// What each counter takes of an axis: e^(−12·sin²θ), θ from its middle to the axis.
pub(super) fn counted(axis: &Vec3) -> [f64; COUNTERS] {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    std::array::from_fn(|at| {
        #[allow(clippy::cast_precision_loss)] // some dozens
        let [index, all] = [at as f64, COUNTERS as f64];
        // Middles on a spiral, each for the same part of the hemisphere.
        let z = 1.0 - (index + 0.5) / all;
        let (sin, cos) = (golden * index).sin_cos();
        let out = (1.0 - z * z).sqrt();
        let along = axis.dot(&Vec3::new(out * cos, out * sin, z));
        (NARROW * (along * along - 1.0)).exp()
    })
}
