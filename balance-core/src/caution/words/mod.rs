//! The sentence of every caution, in the reader's units.

mod brief;
mod runs;
mod shaft;
mod weights;

use super::{Bound, Caution};
use crate::quantity::Units;

impl Caution {
    /// What to know and do, for people.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        match self {
            Self::Windows1252 { file } => {
                format!("{file} is not UTF-8 and was read as Windows-1252: check names and notes")
            }
            Self::MaterialUnknown => shaft::MATERIAL_UNKNOWN.into(),
            Self::MaterialNotInTable { name } => shaft::material_not_in_table(name),
            Self::MassUnknown => shaft::MASS_UNKNOWN.into(),
            Self::MassEstimated { mass, ends_counted } => shaft::mass_estimated(units, *mass, *ends_counted),
            Self::MassDisagrees { weighed, estimated, let_pass } => {
                shaft::mass_disagrees(units, [*weighed, *estimated], let_pass)
            }
            Self::MassFarOff { stated, usual, .. } => shaft::mass_far_off(units, *stated, *usual),
            Self::PartsDoNotAddUp { whole, parts, let_pass } => {
                shaft::parts_do_not_add_up(units, [*whole, *parts], *let_pass)
            }
            Self::MassCentreNotUsed => shaft::MASS_CENTRE_NOT_USED.into(),
            Self::ServiceSpeedNotStated => shaft::SERVICE_SPEED_NOT_STATED.into(),
            Self::ServiceSpeedBelowReach { reached, stated } => shaft::below_reach(*reached, *stated),
            Self::SpeedNotChecked => shaft::SPEED_NOT_CHECKED.into(),
            Self::CriticalSpeedNotChecked { why } => shaft::critical_speed_not_checked(why),
            Self::NearCriticalSpeed { speed, purpose, critical } => {
                shaft::near_critical_speed(*speed, purpose, *critical)
            }
            Self::BeyondMargin { speed, purpose, critical, limit } => {
                shaft::beyond_margin(*speed, purpose, *critical, limit)
            }
            Self::BeyondStandSpeed { speed, limit } => shaft::beyond_stand_speed(*speed, *limit),
            Self::NotRigidEnough { ratio, limit } => shaft::not_rigid_enough(*ratio, limit),
            Self::Elastic { returning_share } => shaft::elastic(*returning_share),
            Self::RidesOnBearing { critical } => shaft::rides_on_bearing(*critical),
            Self::BearingTakenStiff => shaft::BEARING_TAKEN_STIFF.into(),
            Self::SteadyBearingAssumed => shaft::STEADY_BEARING_ASSUMED.into(),
            Self::RunoutNotChecked => shaft::RUNOUT_NOT_CHECKED.into(),
            Self::RunoutBeyondLimit => shaft::RUNOUT_BEYOND_LIMIT.into(),
            Self::RunoutOverLimit { position_millimetres, reading_millimetres, limit_millimetres } => {
                shaft::runout_over_limit(
                    units,
                    *position_millimetres,
                    [*reading_millimetres, *limit_millimetres],
                )
            }
            Self::RunoutNeedsLength => shaft::RUNOUT_NEEDS_LENGTH.into(),
            Self::StraightenFirst { explained_gram_millimetres, permissible } => {
                shaft::straighten_first(units, [*explained_gram_millimetres, permissible.gram_millimetres()])
            }
            Self::Overridden { by, reason } => format!("Overridden by {by}: {reason}."),
            Self::JointAngleSmall { joint, degrees, limit } => {
                shaft::joint_angle_small(*joint, *degrees, limit)
            }
            Self::JointAngleLarge { joint, degrees, limit } => {
                shaft::joint_angle_large(*joint, *degrees, limit)
            }
            Self::YokesOutOfPhase { joint, degrees, limit } => {
                shaft::yokes_out_of_phase(*joint, *degrees, limit)
            }
            Self::JointAnglesDiffer { degrees, limit } => shaft::joint_angles_differ(*degrees, limit),
            Self::TorsionalAcceleration { radians_per_second_squared, limit } => {
                shaft::shaken("The last shaft", *radians_per_second_squared, limit)
            }
            Self::InertiaAcceleration { driving, radians_per_second_squared, limit } => {
                shaft::piece_shaken(*driving, *radians_per_second_squared, limit)
            }
            Self::NotInspected { points } => format!("Not inspected: {}.", points.join(", ")),
            Self::NotChecked { runout, points } => shaft::not_checked(*runout, points),
            Self::TrialUnknownEffect => runs::TRIAL_UNKNOWN_EFFECT.into(),
            Self::TrialLimited => runs::TRIAL_LIMITED.into(),
            Self::TrialTooLargeForStand { sensor, unit, worst, limit } => {
                runs::trial_too_large(sensor, unit, *worst, *limit)
            }
            Self::WorstTrialReading { sensor, unit, worst, limit } => {
                runs::worst_trial_reading(sensor, unit, *worst, *limit)
            }
            Self::WorstTrialReadingUnknown { sensor } => runs::worst_trial_reading_unknown(sensor),
            Self::DriftNotDeterminable => runs::DRIFT_NOT_DETERMINABLE.into(),
            Self::PriorDropped => runs::PRIOR_DROPPED.into(),
            Self::SensorLeftOut { sensor } => runs::sensor_left_out(sensor),
            Self::CheckDisagrees { run, cause } => runs::check_disagrees(run, cause.as_ref()),
            Self::ScatterAboveStated { sensor } => runs::scatter_above_stated(sensor),
            Self::RunsContradict { cause } => runs::runs_contradict(cause),
            Self::NoiseUnknown => runs::NOISE_UNKNOWN.into(),
            Self::TrialWeak => runs::TRIAL_WEAK.into(),
            Self::TrialTooSmall { run } => runs::trial_too_small(run),
            Self::SpeedsDiffer { slowest_rpm, fastest_rpm } => {
                runs::speeds_differ(*slowest_rpm, *fastest_rpm)
            }
            Self::FewerSensorsThanPlanes { readings, planes } => runs::fewer_sensors(*readings, *planes),
            Self::PlanesActAlike { planes, factor } => runs::planes_act_alike(planes, *factor),
            Self::ConventionUnstated => runs::CONVENTION_UNSTATED.into(),
            Self::ConventionUnproved { share_left } => runs::convention_unproved(*share_left),
            Self::ThirdCorrection => weights::THIRD_CORRECTION.into(),
            Self::CorrectionManyTimesPermissible { times } => weights::many_times_permissible(*times),
            Self::CorrectionLikeBow { reading_millimetres, limit } => {
                weights::correction_like_bow(units, *reading_millimetres, *limit)
            }
            Self::BoxNotUsable { fault } => fault.clone(),
            Self::WeldingMaterialUnknown => weights::MATERIAL_UNKNOWN.into(),
            Self::MaterialNotWeldable => weights::MATERIAL_NOT_WELDABLE.into(),
            Self::HeatAndCurrent => weights::HEAT_AND_CURRENT.into(),
            Self::ThinWall { wall, limit } => weights::thin_wall(units, *wall, *limit),
            Self::TotalMassAboveUsual { plane, total, usual, most } => {
                weights::total_mass(units, plane, *total, [*usual, *most])
            }
            Self::WeightsFallShort { plane, left, limit } => weights::fall_short(units, plane, *left, *limit),
            Self::WeightWithoutWidth => weights::WEIGHT_WITHOUT_WIDTH.into(),
            Self::WidthAssumed { weights } => weights::width_assumed(units, weights),
            Self::PlaceErrorNotUsed => weights::PLACE_ERROR_NOT_USED.into(),
            Self::WeightInNoWeld { plane, mass, degrees, reason } => {
                let weight = weights::weight_at(units, plane, *mass, *degrees);
                format!("{weight} lies in a zone that must stay free ({reason})")
            }
            Self::WeightsOverlap { plane, mass, degrees } => {
                let weight = weights::weight_at(units, plane, *mass, *degrees);
                format!("{weight} has no room beside another weight")
            }
            Self::BendingNotJudged => weights::BENDING_NOT_JUDGED.into(),
            Self::OneMounting => runs::ONE_MOUNTING.into(),
            Self::WithoutPhase { runs } => runs::without_phase(*runs),
            Self::ProvedLongAgo { figure, day, months } => runs::proved_long_ago(figure, day, *months),
            Self::FixtureTakenOff { source, .. } => runs::fixture_taken_off(source),
            Self::FixtureLeftIn { amount, why, source } => runs::fixture_left_in(units, *amount, why, source),
            Self::DriftNotMeasured => runs::DRIFT_NOT_MEASURED.into(),
            Self::ReadingsUnexplained => runs::READINGS_UNEXPLAINED.into(),
            Self::CoupleNotJudged => runs::COUPLE_NOT_JUDGED.into(),
            Self::CheckDisagreed { run } => runs::check_disagreed(run),
            Self::StandBelowService { stand_rpm, service_rpm, bow_counted } => {
                runs::stand_below_service(*stand_rpm, *service_rpm, *bow_counted)
            }
            Self::SpeedWithoutCheck => runs::SPEED_WITHOUT_CHECK.into(),
        }
    }
}

/// "at most 3° (your setting)".
fn at_most(limit: &Bound, unit: &str) -> String {
    format!("at most {}{unit} ({})", limit.value, limit.basis)
}
