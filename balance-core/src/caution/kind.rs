//! Every caution there is, with its figures.

use super::{AssumedWidth, Bound, LikelyCause, NoCriticalSpeed};
use crate::quantity::{Length, Mass, Speed, UnbalanceAmount};

/// A caution with its figures.
///
/// Names of runs, planes and sensors are the user's own. Readings are in their sensor's unit.
///
/// ```
/// use balance_core::caution::{Caution, Level};
/// use balance_core::quantity::{Units, parse};
/// let caution = Caution::ThinWall { wall: parse("1.5 mm")?, limit: parse("2 mm")? };
/// assert_eq!((caution.level(), caution.code()), (Level::TakeCare, "thin-wall"));
/// assert!(caution.words(Units::Metric).starts_with("the wall is 1.5 mm, under 2 mm:"));
/// assert!(caution.words(Units::Us).starts_with("the wall is 0.059 in, under 0.079 in:"));
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Caution {
    /// A file was not UTF-8.
    Windows1252 {
        /// The file.
        file: String,
    },

    // The shaft before it spins.
    /// The material was not stated; steel was assumed.
    MaterialUnknown,
    /// The material is not in the table and its figures are not stated.
    MaterialNotInTable {
        /// As the job names it.
        name: String,
    },
    /// Neither weighed nor estimated.
    MassUnknown,
    /// Estimated, not weighed.
    MassEstimated {
        /// The estimate.
        mass: Mass,
        /// Whether yokes and joints are in it.
        ends_counted: bool,
    },
    /// The scale says something else than the dimensions.
    MassDisagrees {
        /// What the scale says.
        weighed: Mass,
        /// What tube and ends come to.
        estimated: Mass,
        /// The share of the weighed mass that is let pass.
        let_pass: Bound,
    },
    /// The mass the limit rests on is more than twice or less than half of what tube and ends come to.
    MassFarOff {
        /// What was stated.
        stated: Mass,
        /// What a shaft of this tube usually weighs.
        usual: Mass,
        /// Whether they are so far apart that no yoke and no joint explains it.
        beyond_doubt: bool,
    },
    /// The masses of the parts are not that of the shaft.
    PartsDoNotAddUp {
        /// The shaft's.
        whole: Mass,
        /// The parts' together.
        parts: Mass,
        /// The difference that is let pass.
        let_pass: Mass,
    },
    /// A mass centre was stated for a shaft of parts.
    MassCentreNotUsed,
    /// Nobody said how fast the shaft turns in use.
    ServiceSpeedNotStated,
    /// The drive can turn the shaft faster than its service speed.
    ServiceSpeedBelowReach {
        /// What the drive can reach.
        reached: Speed,
        /// The service speed stated.
        stated: Speed,
    },
    /// No speed at all was stated.
    SpeedNotChecked,
    /// The critical speed is not known.
    CriticalSpeedNotChecked {
        /// Why.
        why: NoCriticalSpeed,
    },
    /// So near the critical speed that nobody may overrule it.
    NearCriticalSpeed {
        /// The speed.
        speed: Speed,
        /// What it is for: "service speed".
        purpose: String,
        /// The lowest critical speed.
        critical: Speed,
    },
    /// Nearer to the critical speed than the margin allows.
    BeyondMargin {
        /// The speed.
        speed: Speed,
        /// What it is for: "service speed".
        purpose: String,
        /// The lowest critical speed.
        critical: Speed,
        /// Speed over critical speed, at most.
        limit: Bound,
    },
    /// Faster than the stand may turn.
    BeyondStandSpeed {
        /// The speed on the stand.
        speed: Speed,
        /// The stand's limit.
        limit: Speed,
    },
    /// Too near its critical speed for two-plane work alone.
    NotRigidEnough {
        /// Service speed over critical speed.
        ratio: f64,
        /// Up to where it counts as rigid.
        limit: Bound,
    },
    /// A bow balanced out at stand speed comes back at service speed.
    Elastic {
        /// The share of the bow that comes back.
        returning_share: f64,
    },
    /// The lowest critical speed is that of the soft bearing.
    RidesOnBearing {
        /// It.
        critical: Speed,
    },
    /// Nobody stated how stiff the steady bearing is.
    BearingTakenStiff,
    /// Nobody stated a steady bearing where parts meet.
    SteadyBearingAssumed,
    /// Nobody measured the runout.
    RunoutNotChecked,
    /// The runout is over its limit, so the shaft may not spin.
    RunoutBeyondLimit,
    /// One place whose runout is over its limit.
    RunoutOverLimit {
        /// Where, from the front joint centre.
        position_millimetres: f64,
        /// Total indicator reading.
        reading_millimetres: f64,
        /// Its limit.
        limit_millimetres: f64,
    },
    /// Runout readings without a tube length.
    RunoutNeedsLength,
    /// The runout alone explains more than may be left.
    StraightenFirst {
        /// The larger of what it explains at the two ends.
        explained_gram_millimetres: f64,
        /// What may be left there.
        permissible: UnbalanceAmount,
    },
    /// Somebody stands for spinning it all the same.
    Overridden {
        /// Who.
        by: String,
        /// Why.
        reason: String,
    },
    /// A joint at so small an angle that its needles hardly move.
    JointAngleSmall {
        /// Which joint, from 1.
        joint: usize,
        /// Its angle.
        degrees: f64,
        /// The least, in degrees.
        limit: Bound,
    },
    /// A joint at an angle at which it does not run smoothly.
    JointAngleLarge {
        /// Which joint, from 1.
        joint: usize,
        /// Its angle.
        degrees: f64,
        /// The most, in degrees.
        limit: Bound,
    },
    /// Yokes of a shaft that are out of phase.
    YokesOutOfPhase {
        /// The joint behind them, from 1.
        joint: usize,
        /// By how much.
        degrees: f64,
        /// The most, in degrees.
        limit: Bound,
    },
    /// Two joint angles that are not alike.
    JointAnglesDiffer {
        /// By how much.
        degrees: f64,
        /// The most, in degrees.
        limit: Bound,
    },
    /// The last shaft turns too unevenly.
    TorsionalAcceleration {
        /// Peak, in rad/s².
        radians_per_second_squared: f64,
        /// The most, in rad/s².
        limit: Bound,
    },
    /// A piece between joints turns too unevenly.
    InertiaAcceleration {
        /// Whether driving; else coasting.
        driving: bool,
        /// Peak, in rad/s².
        radians_per_second_squared: f64,
        /// The most, in rad/s².
        limit: Bound,
    },
    /// Points of the ready list that nobody looked at or decided.
    NotInspected {
        /// The points.
        points: Vec<String>,
    },
    /// What an answer about weights or a verdict does not rest on.
    NotChecked {
        /// Whether the runout was not measured.
        runout: bool,
        /// Points that nobody inspected.
        points: Vec<String>,
    },

    // A trial mass.
    /// Nothing is known of how this shaft answers.
    TrialUnknownEffect,
    /// The trial was cut back to keep a reading below the limit at which to stop.
    TrialLimited,
    /// The trial could drive a reading beyond the stand's limit.
    TrialTooLargeForStand {
        /// The sensor.
        sensor: String,
        /// Its unit.
        unit: String,
        /// The worst reading.
        worst: f64,
        /// The stand's limit.
        limit: f64,
    },
    /// How far the trial can drive a reading.
    WorstTrialReading {
        /// The sensor.
        sensor: String,
        /// Its unit.
        unit: String,
        /// The worst reading.
        worst: f64,
        /// The stand's limit, if it is stated.
        limit: Option<f64>,
    },
    /// How far the trial can drive a reading is not known.
    WorstTrialReadingUnknown {
        /// The sensor.
        sensor: String,
    },

    // Runs and how the shaft answers.
    /// A drift was to be taken out, but the runs cannot show it.
    DriftNotDeterminable,
    /// The shaft does not answer like its sisters.
    PriorDropped,
    /// A sensor without a reading in the runs that matter.
    SensorLeftOut {
        /// The sensor.
        sensor: String,
    },
    /// A run that does not fit the runs before it.
    CheckDisagrees {
        /// Its label.
        run: String,
        /// What explains it, once somebody asked.
        cause: Option<LikelyCause>,
    },
    /// The readings of a sensor scatter more than stated.
    ScatterAboveStated {
        /// The sensor.
        sensor: String,
    },
    /// The runs contradict each other, none of them more than the rest.
    RunsContradict {
        /// What explains it.
        cause: LikelyCause,
    },
    /// No figure for the noise, so no give or take.
    NoiseUnknown,
    /// The trial's effect is small beside the noise.
    TrialWeak,
    /// A trial that hardly changed any reading.
    TrialTooSmall {
        /// The run's label.
        run: String,
    },
    /// Runs that belong together were read at different speeds.
    SpeedsDiffer {
        /// The slowest.
        slowest_rpm: f64,
        /// The fastest.
        fastest_rpm: f64,
    },
    /// Fewer readings than places.
    FewerSensorsThanPlanes {
        /// How many readings.
        readings: usize,
        /// How many correction planes.
        planes: usize,
    },
    /// Planes that the sensors hardly tell apart.
    PlanesActAlike {
        /// Their names.
        planes: Vec<String>,
        /// The condition number.
        factor: f64,
    },
    /// Nobody said how angles are counted.
    ConventionUnstated,
    /// The runs cannot show how angles are counted.
    ConventionUnproved {
        /// The share of the unbalance that would be left if they are counted the other way.
        share_left: f64,
    },

    // A correction and its weights.
    /// This would be the third correction or more.
    ThirdCorrection,
    /// The correction is many times what may be left.
    CorrectionManyTimesPermissible {
        /// How many times.
        times: f64,
    },
    /// The correction is what a bow would call for.
    CorrectionLikeBow {
        /// Total indicator reading of that bow at mid-length.
        reading_millimetres: f64,
        /// The reading from which to straighten first.
        limit: Length,
    },
    /// The box of weights cannot be used.
    BoxNotUsable {
        /// Its fault, as it is printed.
        fault: String,
    },
    /// Welding on a material nobody stated.
    WeldingMaterialUnknown,
    /// A material that is not welded on.
    MaterialNotWeldable,
    /// Heat and welding current.
    HeatAndCurrent,
    /// A wall that burns through easily.
    ThinWall {
        /// The wall.
        wall: Length,
        /// What counts as thin.
        limit: Length,
    },
    /// Much weight in one plane.
    TotalMassAboveUsual {
        /// The plane.
        plane: String,
        /// All its weights.
        total: Mass,
        /// The usual most, from here.
        usual: Mass,
        /// To here; above it the caution says take care.
        most: Mass,
    },
    /// The best weights leave more than they should.
    WeightsFallShort {
        /// The plane.
        plane: String,
        /// What they leave.
        left: UnbalanceAmount,
        /// What they should leave at most.
        limit: UnbalanceAmount,
    },
    /// Weights of the box of which no width is known.
    WeightWithoutWidth,
    /// Weights on the shaft whose width is assumed, beside which something is to be welded.
    WidthAssumed {
        /// The weights.
        weights: Vec<AssumedWidth>,
    },
    /// A place error on the tape without a tube diameter.
    PlaceErrorNotUsed,
    /// A weight in a zone that stays free.
    WeightInNoWeld {
        /// The plane.
        plane: String,
        /// The weight.
        mass: Mass,
        /// Where it is.
        degrees: f64,
        /// Why the zone stays free.
        reason: String,
    },
    /// A weight on another.
    WeightsOverlap {
        /// The plane.
        plane: String,
        /// The weight.
        mass: Mass,
        /// Where it is.
        degrees: f64,
    },

    // A verdict.
    /// Three or more correction planes on one piece.
    BendingNotJudged,
    /// Measured in one mounting only.
    OneMounting,
    /// No initial run was repeated after the trials, so a drift is not in the give or take.
    DriftNotMeasured,
    /// More of the readings than chance makes cannot come from masses at the correction planes.
    ReadingsUnexplained,
    /// A disc balanced in one plane on purpose: its couple was not judged.
    CoupleNotJudged,
    /// A run did not fit, but the last change of weights moved the readings as it should.
    CheckDisagreed {
        /// Label of its first run.
        run: String,
    },
    /// Measured below service speed.
    StandBelowService {
        /// The stand's speed.
        stand_rpm: f64,
        /// The service speed.
        service_rpm: f64,
        /// Whether the verdict counts what a bow does in between.
        bow_counted: bool,
    },
    /// Not every speed has a check run.
    SpeedWithoutCheck,
}
