//! What joints hold by their own laws, each at the normal stress of its own face, beside the straight lines that decide.

use super::CheckedWedge;
use crate::case::Case;
use crate::stability::{Mode, Reaction};
use crate::strength::ShearStrength;

/// A joint face that a wedge slides on, by its line and by its law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceByLaw {
    /// Place of the joint among the wedge's three.
    pub place: usize,
    /// Square metres.
    pub area_m2: f64,
    /// What presses it, kN.
    pub normal_kn: f64,
    /// The same over its area, kPa.
    pub normal_kpa: f64,
    /// Shear strength by the line that verdicts use, kPa.
    pub line_kpa: f64,
    /// By the joint's own law at this normal stress, kPa; the line's where it has none.
    pub law_kpa: f64,
}

/// A wedge as its largest size, its joints at their own strength.
#[derive(Debug, Clone, PartialEq)]
pub struct ByLaw {
    /// The faces that it slides on.
    pub faces: Vec<FaceByLaw>,
    /// Factor of safety without support.
    pub fs_bare: f64,
    /// With the bolts that serve it where they hold it least by the line; `None` without bolts there.
    pub fs_bolted: Option<f64>,
}

impl ByLaw {
    /// By how much the factor without support is lower by the straight lines.
    #[must_use]
    pub fn line_costs(&self, by_line: f64) -> f64 {
        self.fs_bare - by_line
    }
}

impl CheckedWedge {
    /// The factor of the largest wedge by its joints' own laws; `None` where it slides on no joint that has one. What presses a
    /// face follows from forces alone (on one plane or two they leave no choice), so that nothing has to be found by steps;
    /// bolts press at their capacity. It decides nothing: at the small normal stresses of small pieces laws are steepest,
    /// and nobody measures them there.
    #[must_use]
    pub fn by_law(&self, case: &Case) -> Option<ByLaw> {
        let stability = &self.wedge.stability;
        let motion = &stability.motion;
        let slides_on = match motion.mode {
            Mode::NoMotion | Mode::Falling => return None,
            Mode::SlidingOnOne(i) => vec![i],
            Mode::SlidingOnTwo(i, j) => vec![i, j],
        };
        let joint = |place: usize| &case.joints[self.wedge.sets[place]];
        if slides_on.iter().all(|&place| joint(place).law.is_none()) {
            return None;
        }
        let faces = |pressed: &Reaction| -> Vec<FaceByLaw> {
            let of = |&place: &usize| {
                let area_m2 = self.wedge.shape.joints[place].area_m2;
                let normal_kn = (motion.normal_kn[place] + pressed.normal_kn[place]).max(0.0);
                let normal_kpa = normal_kn / area_m2;
                let line_kpa = joint(place).strength.shear_kpa(normal_kpa);
                let law_kpa = joint(place).law.map_or(line_kpa, |law| law.shear_kpa(normal_kpa));
                FaceByLaw { place, area_m2, normal_kn, normal_kpa, line_kpa, law_kpa }
            };
            slides_on.iter().filter(|&&place| motion.normal_kn[place] > 0.0).map(of).collect()
        };
        let held_kn = |faces: &[FaceByLaw]| faces.iter().map(|f| f.law_kpa * f.area_m2).sum::<f64>();
        let bare = faces(&Reaction::default());
        let fs_bare = held_kn(&bare) / motion.driving_kn;
        let with_bolts = self.serving().filter(|serving| !serving.is_empty()).map(|serving| {
            let mut bolts = Reaction::default();
            for bolt in serving {
                bolts += stability.effect(&bolt.direction).times(bolt.capacity.kn);
            }
            // A joint that its bolts pull open holds nothing: none of it is counted, nor is what opened it.
            let opened = slides_on.iter().any(|&i| motion.normal_kn[i] + bolts.normal_kn[i] < 0.0);
            let fs = (held_kn(&faces(&bolts)) + bolts.against_kn) / motion.driving_kn;
            if opened { fs_bare } else { fs.max(fs_bare) }
        });
        Some(ByLaw { faces: bare, fs_bare, fs_bolted: with_bolts })
    }
}
