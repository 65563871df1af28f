//! The unbalance a runout explains, and whether to straighten first.

use std::f64::consts::PI;

use num_complex::Complex64;

use super::RunoutMap;
use crate::caution::Caution;
use crate::quantity::{Mass, Unbalance, UnbalanceAmount};
use crate::shaft::ShaftLimits;

/// The unbalance at the two joint centres that a tube's runout alone would cause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExplainedUnbalance {
    /// At the front joint centre.
    pub front: Unbalance,
    /// At the rear joint centre.
    pub rear: Unbalance,
}

/// One station compared with its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationVerdict {
    /// In mm from the front joint centre.
    pub position: f64,
    /// In mm.
    pub total_indicator: f64,
    /// In mm.
    pub limit: f64,
}

impl StationVerdict {
    /// Whether it is within the limit.
    #[must_use]
    pub fn within(&self) -> bool {
        self.total_indicator <= self.limit
    }
}

/// A runout map compared with its limits.
#[derive(Debug, Clone, PartialEq)]
pub struct RunoutVerdict {
    /// Every station.
    pub stations: Vec<StationVerdict>,
    /// The unbalance it explains, if the tube's mass is known.
    pub explained: Option<ExplainedUnbalance>,
    /// What to do.
    pub cautions: Vec<Caution>,
}

impl RunoutVerdict {
    /// Whether every station is within its limit.
    #[must_use]
    pub fn within(&self) -> bool {
        self.stations.iter().all(StationVerdict::within)
    }
}

impl RunoutMap {
    /// The unbalance at each end from the runout of a uniform, rigid tube of this mass W.
    ///
    /// Bow b (half a sine): the mean deflection is 2b/π, half of W·2b/π at each end, so with total indicator
    /// reading t = 2b it is W·(t/2)·(2/π)/2. Ends e₁, e₂ off the joint centres: W·(e₁/3 + e₂/6) and W·(e₁/6 +
    /// e₂/3). Statics.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::{Material, RunoutReading, Tube, runout_map}};
    /// // 4.0 × 0.134 in steel tube, 60 in long, 0.010 in total indicator reading in the middle: 0.70 oz·in at each end.
    /// let tube = Tube { outer_diameter: parse("4 in")?, wall: parse("0.134 in")?, length: parse("60 in")? };
    /// let mass = tube.mass(&Material::named("steel").expect("the table has steel")).expect("a tube");
    /// let read = |angle: &str, indicator| Ok::<_, balance_core::quantity::QuantityFault>(RunoutReading {
    ///     station: parse("30 in")?, angle: parse(angle)?, indicator,
    /// });
    /// let readings = [read("0 deg", 0.127)?, read("90 deg", 0.0)?, read("180 deg", -0.127)?, read("270 deg", 0.0)?];
    /// let map = runout_map(&readings, tube.length).expect("four readings round one station");
    /// let front = map.explained_unbalance(mass).expect("the station tells the bow").front;
    /// assert!((front.gram_millimetres() / 720.08 - 0.704).abs() < 0.002);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn explained_unbalance(&self, tube_mass: Mass) -> Option<ExplainedUnbalance> {
        let bow: Complex64 = self.bow? / PI;
        let [front, rear] = self.ends;
        let grams = tube_mass.grams();
        Some(ExplainedUnbalance {
            front: Unbalance::from_vector((bow + front / 3.0 + rear / 6.0) * grams),
            rear: Unbalance::from_vector((bow + front / 6.0 + rear / 3.0) * grams),
        })
    }

    /// Every station compared with its limit; "straighten first" when the unbalance explained at an end
    /// exceeds what is permitted there. Stations within a tenth of the length from an end count as ends.
    #[must_use]
    pub fn judge(
        &self,
        limits: &ShaftLimits,
        tube_mass: Option<Mass>,
        permissible: Option<UnbalanceAmount>,
    ) -> RunoutVerdict {
        let at_an_end = |x: f64| x.min(self.length - x) <= self.length / 10.0;
        let stations: Vec<StationVerdict> = self
            .stations
            .iter()
            .map(|station| StationVerdict {
                position: station.position,
                total_indicator: station.total_indicator,
                limit: if at_an_end(station.position) {
                    limits.runout_ends.value
                } else {
                    limits.runout_middle.value
                },
            })
            .collect();
        let explained = tube_mass.and_then(|mass| self.explained_unbalance(mass));
        let mut cautions: Vec<Caution> = stations.iter().filter_map(over_limit).collect();
        cautions.extend(straighten_first(explained, permissible));
        RunoutVerdict { stations, explained, cautions }
    }
}

fn over_limit(station: &StationVerdict) -> Option<Caution> {
    (!station.within()).then_some(Caution::RunoutOverLimit {
        position_millimetres: station.position,
        reading_millimetres: station.total_indicator,
        limit_millimetres: station.limit,
    })
}

fn straighten_first(
    explained: Option<ExplainedUnbalance>,
    permissible: Option<UnbalanceAmount>,
) -> Option<Caution> {
    let (explained, permissible) = (explained?, permissible?);
    let worst = explained.front.gram_millimetres().max(explained.rear.gram_millimetres());
    (worst > permissible.gram_millimetres())
        .then_some(Caution::StraightenFirst { explained_gram_millimetres: worst, permissible })
}
