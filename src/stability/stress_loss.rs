use super::{Clamped, Reaction, Stability};

/// Resistances nearer than this share of the greater of the two, or of the load along the movement, are the same: the way
/// out of the clamps is followed in steps.
pub const SAME_RESISTANCE: f64 = 1e-4;

/// What stress takes from what holds a wedge along its movement.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StressLoss {
    /// How much less its joints hold than without stress, kN; more than all they hold where stress drives it out.
    pub lost_kn: f64,
    /// The part of it that drives the wedge out, beyond all that joints hold, kN.
    pub out_kn: f64,
}

impl StressLoss {
    /// Of a wedge whose joints, without support, balance so without stress and hold so much with it; `None` where stress
    /// takes nothing. What it adds is no gain: clamps may be gone tomorrow.
    #[must_use]
    pub fn of(without: &Stability, clamped: &Clamped) -> Option<Self> {
        let bare_kn = without.resistance_kn(&Reaction::default());
        let lost_kn = bare_kn - clamped.resistance_kn;
        let same_kn = SAME_RESISTANCE * bare_kn.max(without.motion.driving_kn);
        (lost_kn > same_kn).then(|| Self { lost_kn, out_kn: (-clamped.resistance_kn).max(0.0) })
    }

    /// The same where what drives the wedge out is spent by its movement: then no more is lost than joints hold without
    /// stress. `None` where that is nothing.
    #[must_use]
    pub fn faded(self, without: &Stability) -> Option<Self> {
        let bare_kn = without.resistance_kn(&Reaction::default());
        let same_kn = SAME_RESISTANCE * bare_kn.max(without.motion.driving_kn);
        let lost_kn = self.lost_kn.min(bare_kn);
        (lost_kn > same_kn).then_some(Self { lost_kn, out_kn: 0.0 })
    }
}
