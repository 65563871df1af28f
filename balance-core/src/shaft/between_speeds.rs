//! A bow that was balanced at one speed comes back at another.

use crate::caution::Caution;
use crate::quantity::Speed;
use crate::shaft::ShaftLimits;

/// How a shaft with a bow behaves between the speed it was balanced at and the speed it is used at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BowBetweenSpeeds {
    /// Stand speed over critical speed.
    pub ratio_balanced: f64,
    /// Service speed over critical speed.
    pub ratio_used: f64,
    /// The share of the balanced-out bow that comes back: 1/(1 − r_used²) − 1/(1 − r_balanced²). Negative when the
    /// shaft is used slower than it was balanced.
    pub returning_share: f64,
}

impl BowBetweenSpeeds {
    /// For a mid-span bow balanced in the end planes. Undamped response of the first bending mode (any
    /// rotor-dynamics textbook). `None` unless both speeds are below the critical speed.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::BowBetweenSpeeds};
    /// let bow = BowBetweenSpeeds::new(parse("2000 rpm")?, parse("5000 rpm")?, parse("10000 rpm")?);
    /// let share = bow.expect("both are below the critical speed").returning_share;
    /// assert!((share - 0.2917).abs() < 1e-4); // 4/3 − 25/24
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn new(balanced_at: Speed, used_at: Speed, critical: Speed) -> Option<Self> {
        let ratio_balanced = balanced_at.rpm() / critical.rpm();
        let ratio_used = used_at.rpm() / critical.rpm();
        let response = |ratio: f64| 1.0 / (1.0 - ratio * ratio);
        (ratio_balanced < 1.0 && ratio_used < 1.0).then(|| Self {
            ratio_balanced,
            ratio_used,
            returning_share: response(ratio_used) - response(ratio_balanced),
        })
    }

    /// The cautions about it: `elastic` from its limit on, `not-rigid-enough` beyond the limit for two-plane
    /// work.
    #[must_use]
    pub fn cautions(&self, limits: &ShaftLimits) -> Vec<Caution> {
        let mut cautions = Vec::new();
        let ratio = self.ratio_used;
        if ratio > limits.rigid_to.value {
            cautions.push(Caution::NotRigidEnough { ratio, limit: limits.rigid_to.into() });
        }
        if ratio >= limits.elastic_from.value {
            cautions.push(Caution::Elastic { returning_share: self.returning_share });
        }
        cautions
    }
}
