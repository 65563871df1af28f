//! What follows from a caution: its level, its code, and what it bears on.

use super::{Caution, Level, NoCriticalSpeed};

impl Caution {
    /// How serious it is.
    #[must_use]
    pub fn level(&self) -> Level {
        match self {
            Self::TotalMassAboveUsual { total, most, .. } if total > most => Level::TakeCare,
            Self::NearCriticalSpeed { .. }
            | Self::BeyondMargin { .. }
            | Self::BeyondStandSpeed { .. }
            | Self::RunoutBeyondLimit
            | Self::Overridden { .. }
            | Self::TrialTooLargeForStand { .. }
            | Self::CheckDisagrees { .. }
            | Self::ScatterAboveStated { .. }
            | Self::RunsContradict { .. }
            | Self::ThirdCorrection
            | Self::CorrectionManyTimesPermissible { .. }
            | Self::MassFarOff { beyond_doubt: true, .. }
            | Self::CriticalSpeedNotChecked { why: NoCriticalSpeed::NotABeam { .. } }
            | Self::MaterialNotWeldable => Level::Stop,
            Self::Windows1252 { .. }
            | Self::BearingTakenStiff
            | Self::JointAngleSmall { .. }
            | Self::NotInspected { .. }
            | Self::NotChecked { .. }
            | Self::WorstTrialReading { .. }
            | Self::NoiseUnknown
            | Self::ConventionUnproved { .. }
            | Self::TotalMassAboveUsual { .. }
            | Self::WeightWithoutWidth
            | Self::PlaceErrorNotUsed
            | Self::OneMounting
            | Self::WithoutPhase { .. }
            | Self::DriftNotMeasured
            | Self::CoupleNotJudged
            | Self::StandBelowService { .. } => Level::General,
            _ => Level::TakeCare,
        }
    }

    /// A stable word for programs, such as `trial-too-small`.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Windows1252 { .. } => "windows-1252",
            Self::MaterialUnknown | Self::WeldingMaterialUnknown => "material-unknown",
            Self::MaterialNotInTable { .. } => "material-not-in-table",
            Self::MassUnknown => "mass-unknown",
            Self::MassEstimated { .. } => "mass-estimated",
            Self::MassDisagrees { .. } => "mass-disagrees",
            Self::MassFarOff { .. } => "mass-far-off",
            Self::PartsDoNotAddUp { .. } => "parts-do-not-add-up",
            Self::MassCentreNotUsed => "mass-centre-not-used",
            Self::ServiceSpeedNotStated => "service-speed-not-stated",
            Self::ServiceSpeedBelowReach { .. } => "service-speed-below-reach",
            Self::SpeedNotChecked => "speed-not-checked",
            Self::CriticalSpeedNotChecked { .. } => "critical-speed-not-checked",
            Self::NearCriticalSpeed { .. } => "near-critical-speed",
            Self::BeyondMargin { .. } => "beyond-margin",
            Self::BeyondStandSpeed { .. } => "beyond-stand-speed",
            Self::NotRigidEnough { .. } => "not-rigid-enough",
            Self::Elastic { .. } => "elastic",
            Self::RidesOnBearing { .. } => "rides-on-bearing",
            Self::BearingTakenStiff => "bearing-taken-stiff",
            Self::SteadyBearingAssumed => "steady-bearing-assumed",
            Self::RunoutNotChecked => "runout-not-checked",
            Self::RunoutBeyondLimit => "runout-beyond-limit",
            Self::RunoutOverLimit { .. } => "runout-over-limit",
            Self::RunoutNeedsLength => "runout-needs-length",
            Self::StraightenFirst { .. } | Self::CorrectionLikeBow { .. } => "straighten-first",
            Self::Overridden { .. } => "overridden",
            Self::JointAngleSmall { .. } => "joint-angle-small",
            Self::JointAngleLarge { .. } => "joint-angle-large",
            Self::YokesOutOfPhase { .. } => "yokes-out-of-phase",
            Self::JointAnglesDiffer { .. } => "joint-angles-differ",
            Self::TorsionalAcceleration { .. } => "torsional-acceleration",
            Self::InertiaAcceleration { .. } => "inertia-acceleration",
            Self::NotInspected { .. } => "not-inspected",
            Self::NotChecked { .. } => "not-checked",
            Self::TrialUnknownEffect => "trial-unknown-effect",
            Self::TrialLimited => "trial-limited",
            Self::TrialTooLargeForStand { .. } => "trial-too-large-for-stand",
            Self::WorstTrialReading { .. } => "worst-trial-reading",
            Self::WorstTrialReadingUnknown { .. } => "worst-trial-reading-unknown",
            Self::DriftNotDeterminable => "drift-not-determinable",
            Self::PriorDropped => "prior-dropped",
            Self::SensorLeftOut { .. } => "sensor-left-out",
            Self::CheckDisagrees { .. } => "check-disagrees",
            Self::ScatterAboveStated { .. } | Self::RunsContradict { .. } => "scatter-above-stated",
            Self::NoiseUnknown => "noise-unknown",
            Self::TrialWeak => "trial-weak",
            Self::TrialTooSmall { .. } => "trial-too-small",
            Self::SpeedsDiffer { .. } => "speeds-differ",
            Self::FewerSensorsThanPlanes { .. } => "fewer-sensors-than-planes",
            Self::PlanesActAlike { .. } => "planes-act-alike",
            Self::ConventionUnstated => "convention-unstated",
            Self::ConventionUnproved { .. } => "convention-unproved",
            Self::ThirdCorrection => "third-correction",
            Self::CorrectionManyTimesPermissible { .. } => "correction-many-times-permissible",
            Self::BoxNotUsable { .. } => "box-not-usable",
            Self::MaterialNotWeldable => "material-not-weldable",
            Self::HeatAndCurrent => "heat-and-current",
            Self::ThinWall { .. } => "thin-wall",
            Self::TotalMassAboveUsual { .. } => "total-mass-above-usual",
            Self::WeightsFallShort { .. } => "weights-fall-short",
            Self::WeightWithoutWidth => "weight-without-width",
            Self::WidthAssumed { .. } => "width-assumed",
            Self::PlaceErrorNotUsed => "place-error-not-used",
            Self::WeightInNoWeld { .. } => "weight-in-no-weld",
            Self::WeightsOverlap { .. } => "weights-overlap",
            Self::BendingNotJudged => "bending-not-judged",
            Self::OneMounting => "one-mounting",
            Self::WithoutPhase { .. } => "without-phase",
            Self::ProvedLongAgo { .. } => "proved-long-ago",
            Self::FixtureTakenOff { .. } => "fixture-taken-off",
            Self::FixtureLeftIn { .. } => "fixture-left-in",
            Self::DriftNotMeasured => "drift-not-measured",
            Self::ReadingsUnexplained => "readings-unexplained",
            Self::CoupleNotJudged => "couple-not-judged",
            Self::CheckDisagreed { .. } => "check-disagreed",
            Self::StandBelowService { .. } => "stand-below-service",
            Self::SpeedWithoutCheck => "speed-without-check",
        }
    }

    /// Whether a caution about the runs, the correction or the shaft matters to a verdict as well.
    #[must_use]
    pub fn bears_on_verdict(&self) -> bool {
        self.doubts_evidence()
            || matches!(
                self,
                Self::SpeedsDiffer { .. }
                    | Self::WithoutPhase { .. }
                    | Self::ProvedLongAgo { .. }
                    | Self::FixtureTakenOff { .. }
                    | Self::FixtureLeftIn { .. }
                    | Self::CheckDisagreed { .. }
                    | Self::ConventionUnproved { .. }
                    | Self::ConventionUnstated
                    | Self::SensorLeftOut { .. }
                    | Self::NoiseUnknown
                    | Self::ThirdCorrection
                    | Self::CriticalSpeedNotChecked { .. }
                    | Self::NearCriticalSpeed { .. }
                    | Self::BeyondMargin { .. }
                    | Self::BeyondStandSpeed { .. }
                    | Self::RunoutBeyondLimit
                    | Self::Overridden { .. }
                    | Self::NotRigidEnough { .. }
                    | Self::Elastic { .. }
                    | Self::StraightenFirst { .. }
                    | Self::CorrectionLikeBow { .. }
                    | Self::MassEstimated { .. }
                    | Self::MassFarOff { .. }
                    | Self::PartsDoNotAddUp { .. }
                    | Self::MassCentreNotUsed
                    | Self::SteadyBearingAssumed
                    | Self::NotChecked { .. }
            )
    }

    /// Whether it changes what to do next at the stand. The others are good to know: the full answer, the report and
    /// the JSON have them.
    #[must_use]
    pub fn changes_what_to_do(&self) -> bool {
        match self.level() {
            Level::Stop => true,
            Level::TakeCare => !matches!(
                self,
                Self::HeatAndCurrent
                    | Self::Elastic { .. }
                    | Self::RidesOnBearing { .. }
                    | Self::SteadyBearingAssumed
                    | Self::MassCentreNotUsed
                    | Self::BendingNotJudged
                    | Self::CheckDisagreed { .. }
            ),
            Level::General => {
                matches!(
                    self,
                    Self::ConventionUnproved { .. } | Self::NoiseUnknown | Self::WithoutPhase { .. }
                )
            }
        }
    }

    /// Whether it puts the runs themselves in doubt, and so everything that follows from them.
    #[must_use]
    pub fn doubts_evidence(&self) -> bool {
        matches!(
            self,
            Self::CheckDisagrees { .. }
                | Self::ScatterAboveStated { .. }
                | Self::RunsContradict { .. }
                | Self::PlanesActAlike { .. }
                | Self::MassFarOff { beyond_doubt: true, .. }
        )
    }

    /// Whether it belongs to the shaft's own answer alone: answers about weights or a verdict print it
    /// elsewhere, or not at all.
    #[must_use]
    pub fn own_to_shaft_answer(&self) -> bool {
        matches!(
            self,
            Self::RunoutNotChecked
                | Self::SpeedNotChecked
                | Self::ServiceSpeedNotStated
                | Self::MassUnknown
                | Self::MassDisagrees { .. }
                | Self::JointAngleLarge { .. }
                | Self::YokesOutOfPhase { .. }
                | Self::JointAnglesDiffer { .. }
                | Self::TorsionalAcceleration { .. }
                | Self::InertiaAcceleration { .. }
                | Self::RunoutOverLimit { .. }
                | Self::RidesOnBearing { .. }
        )
    }
}
