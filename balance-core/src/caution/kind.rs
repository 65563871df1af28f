//! Every caution there is, with its figures.

use super::{AssumedWidth, Bound, FixtureLeftIn, LikelyCause, NoCriticalSpeed};
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

    /// A proved figure of the stand is older than the shop allows.
    ProvedLongAgo {
        /// Which figure: "least unbalance".
        figure: String,
        /// The day of its test.
        day: String,
        /// How old it may be, in months.
        months: f64,
    },

    /// What turns with the fixture is taken off.
    FixtureTakenOff {
        /// The most in a plane, g·mm.
        amount: f64,
        /// The test behind it.
        source: String,
    },

    /// What turns with the fixture is known and cannot be taken off these runs.
    FixtureLeftIn {
        /// The most that it adds to a plane, g·mm.
        amount: f64,
        /// Why.
        why: FixtureLeftIn,
        /// The test behind it.
        source: String,
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
    /// The scale and the dimensions disagree.
    MassDisagrees {
        /// What the scale says.
        weighed: Mass,
        /// The mass of tube and ends.
        estimated: Mass,
        /// The allowed difference, as a share of the weighed mass.
        let_pass: Bound,
    },
    /// The mass behind the limit is more than twice or less than half the mass of tube and ends.
    MassFarOff {
        /// What was stated.
        stated: Mass,
        /// What a shaft of this tube usually weighs.
        usual: Mass,
        /// Whether the difference is too large for any yoke or joint to explain.
        beyond_doubt: bool,
    },
    /// The masses of the parts do not add up to that of the shaft.
    PartsDoNotAddUp {
        /// The shaft's.
        whole: Mass,
        /// The parts' together.
        parts: Mass,
        /// The allowed difference.
        let_pass: Mass,
    },
    /// A mass centre was stated for a shaft of parts.
    MassCentreNotUsed,
    /// The service speed is not stated.
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
    /// So near the critical speed that no one may overrule the refusal.
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
        /// That speed.
        critical: Speed,
    },
    /// The stiffness of the steady bearing is not stated.
    BearingTakenStiff,
    /// No steady bearing is stated where parts meet.
    SteadyBearingAssumed,
    /// The runout was not measured.
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
    /// Someone takes responsibility for spinning it anyway.
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
    /// The last shaft does not turn evenly enough.
    TorsionalAcceleration {
        /// Peak, in rad/s².
        radians_per_second_squared: f64,
        /// The most, in rad/s².
        limit: Bound,
    },
    /// A piece between joints does not turn evenly enough.
    InertiaAcceleration {
        /// Whether driving; else coasting.
        driving: bool,
        /// Peak, in rad/s².
        radians_per_second_squared: f64,
        /// The most, in rad/s².
        limit: Bound,
    },
    /// Points of the ready list that are not yet inspected or decided.
    NotInspected {
        /// The points.
        points: Vec<String>,
    },
    /// What an answer about weights or a verdict does not rest on.
    NotChecked {
        /// Whether the runout was not measured.
        runout: bool,
        /// Points that were not inspected.
        points: Vec<String>,
    },

    // A trial mass.
    /// How this shaft responds is not known.
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

    // Runs and how the shaft responds.
    /// Drift was to be removed, but the runs cannot show it.
    DriftNotDeterminable,
    /// The shaft does not respond like its sister shafts.
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
        /// What explains it, if that was asked for.
        cause: Option<LikelyCause>,
    },
    /// The readings of a sensor scatter more than stated.
    ScatterAboveStated {
        /// The sensor.
        sensor: String,
    },
    /// The runs contradict each other, and no single run stands out.
    RunsContradict {
        /// What explains it.
        cause: LikelyCause,
    },
    /// There is no figure for the noise, so no give or take.
    NoiseUnknown,
    /// The trial's effect is small compared with the noise.
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
    /// Planes whose effects on the sensors are nearly alike.
    PlanesActAlike {
        /// Their names.
        planes: Vec<String>,
        /// The condition number.
        factor: f64,
    },
    /// How angles are counted is not stated.
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
    /// Welding on a material that is not stated.
    WeldingMaterialUnknown,
    /// A material that must not be welded.
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
        /// To here; above this the level is "take care".
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
    /// Weights in the box without a stated width.
    WeightWithoutWidth,
    /// Weights on the shaft with an assumed width, next to which something is to be welded.
    WidthAssumed {
        /// The weights.
        weights: Vec<AssumedWidth>,
    },
    /// A place error on the tape is stated, but no tube diameter.
    PlaceErrorNotUsed,
    /// A weight in a no-weld zone.
    WeightInNoWeld {
        /// The plane.
        plane: String,
        /// The weight.
        mass: Mass,
        /// Where it is.
        degrees: f64,
        /// Why the zone must stay free.
        reason: String,
    },
    /// A weight that overlaps another.
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
    /// Measured in only one mounting.
    OneMounting,
    /// No initial run was repeated after the trials, so a drift is not in the give or take.
    DriftNotMeasured,
    /// No phase was read: everything rests on amplitudes.
    WithoutPhase {
        /// How many runs there are.
        runs: usize,
    },
    /// A part of the readings, larger than chance, cannot come from masses at the correction planes.
    ReadingsUnexplained,
    /// A disc balanced in one plane on purpose: its couple was not judged.
    CoupleNotJudged,
    /// A run did not fit, but the last change of weights changed the readings as it should.
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
        /// Whether the verdict includes the effect of a bow in between.
        bow_counted: bool,
    },
    /// Not every speed has a check run.
    SpeedWithoutCheck,
}
