//! The loads on a wedge that add up to its active force, as tables of water and of shaking show them.

use crate::orientation::Vec3;
use crate::report::paper::table::Table;
use crate::study::CheckedWedge;

/// The loads of a wedge as it was judged, local (u, s, v), kN.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Loads {
    pub weight: Vec3,
    pub shaking: Vec3,
    /// Nothing without water.
    pub water: Option<Vec3>,
}

impl Loads {
    /// Of a checked wedge; `down` is true down, local. Weight and what hangs are those of the wedge that water was asked of,
    /// which may sit elsewhere than the one that is shown.
    pub fn of(wedge: &CheckedWedge, down: &Vec3) -> Self {
        let share = wedge.found.shaken.map_or_else(Vec3::zeros, |shaken| shaken.share);
        let stability = &wedge.wedge.stability;
        let heavy_kn = match stability.without_water_kn() {
            Some(dry_kn) => dry_kn.norm() / (down + share).norm(),
            None => wedge.wedge.weight_kn + wedge.wedge.hung_kn,
        };
        Self {
            weight: down * heavy_kn,
            shaking: share * heavy_kn,
            water: stability.water().map(|water| water.resultant_kn(&wedge.wedge.cone.inward)),
        }
    }

    /// The same where there is none.
    pub fn water(&self) -> Vec3 {
        self.water.unwrap_or_else(Vec3::zeros)
    }

    /// What they add up to.
    pub fn active(&self) -> Vec3 {
        let dry = self.weight + self.shaking;
        self.water.map_or(dry, |water| dry + water)
    }
}

/// A row that has them.
pub(super) trait HasLoads {
    fn loads(&self) -> Loads;
}

/// A table with a column for each direction of each load and of their sum; of water where there is some.
pub(super) fn with_loads<Row: HasLoads>(table: Table<Row>, wet: bool) -> Table<Row> {
    let mut table = table
        .column("weight_u_kn", |r| r.loads().weight.x.into())
        .column("weight_s_kn", |r| r.loads().weight.y.into())
        .column("weight_v_kn", |r| r.loads().weight.z.into())
        .column("shaking_u_kn", |r| r.loads().shaking.x.into())
        .column("shaking_s_kn", |r| r.loads().shaking.y.into())
        .column("shaking_v_kn", |r| r.loads().shaking.z.into());
    if wet {
        table = table
            .column("water_u_kn", |r| r.loads().water().x.into())
            .column("water_s_kn", |r| r.loads().water().y.into())
            .column("water_v_kn", |r| r.loads().water().z.into());
    }
    table
        .column("active_u_kn", |r| r.loads().active().x.into())
        .column("active_s_kn", |r| r.loads().active().y.into())
        .column("active_v_kn", |r| r.loads().active().z.into())
}
