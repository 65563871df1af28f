//! Sentences about trials, runs, how the shaft responds, and the verdict.

use crate::caution::{FixtureLeftIn, LikelyCause};
use crate::quantity::{Units, shown};

pub(super) const TRIAL_UNKNOWN_EFFECT: &str =
    "How this shaft responds is not known yet: run up slowly and stop at the reading you allow.";
pub(super) const TRIAL_LIMITED: &str = "A trial mass large enough for a clear effect could drive a \
                                       reading past the stop reading. This one is smaller and shows \
                                       less.";
pub(super) const DRIFT_NOT_DETERMINABLE: &str = "Drift was to be removed, but these runs cannot tell it from the effect of the trial masses: repeat the initial run at the end.";
pub(super) const PRIOR_DROPPED: &str = "This shaft does not respond like its sister shafts, so they were left out: check radius, speed, sensors and the zero mark before you trust the runs.";
pub(super) const NOISE_UNKNOWN: &str = "The scatter of the readings is not stated and no run was repeated, so there is no give or take: repeat the initial run, or state reading_noise under [stand].";
pub(super) const TRIAL_WEAK: &str = "The trial's effect is small compared with the reading noise for a \
                                    correction of this size: the give or take is larger than stated. A \
                                    larger trial mass would help.";
pub(super) const CONVENTION_UNSTATED: &str = "How angles are counted is not stated: phase is assumed to be counted the same way as masses. If the stand counts the other way, every angle here is wrong.";
pub(super) const ONE_MOUNTING: &str = "Measured in one mounting only: the change from re-clamping the \
                                      shaft is not in the give or take. To include it, re-clamp the shaft \
                                      and read the check run again in a second and a third mounting.";
pub(super) const DRIFT_NOT_MEASURED: &str = "Drift was not measured and is not in the give or take. To measure it, repeat the initial run after the trials.";
pub(super) const READINGS_UNEXPLAINED: &str = "Part of the readings is more than chance and cannot come \
                                              from masses at these planes. It may come from a bend, dial \
                                              runout or unbalance at another place. It is included in the \
                                              give or take.";
pub(super) const COUPLE_NOT_JUDGED: &str = "Balanced in one plane on purpose: the couple was not judged.";
pub(super) const SPEED_WITHOUT_CHECK: &str =
    "Not every speed in the file has a check run: the verdict covers only those that have one.";

pub(super) fn without_phase(runs: usize) -> String {
    format!(
        "No phase was read: everything is worked out from the amplitudes of {runs} runs, by the fit that explains \
         them best, and phases shown are counted from each sensor's first reading. After a check run, what is left \
         is a bound: it can meet the limit, but that it exceeds it cannot be told."
    )
}

pub(super) fn proved_long_ago(figure: &str, day: &str, months: f64) -> String {
    format!(
        "The stand's {figure} was proved {day}, longer ago than the {months:.0} months the shop allows: do the test \
         again (balance prove)."
    )
}

pub(super) fn fixture_taken_off(source: &str) -> String {
    format!(
        "What turns with the fixture is taken off ({source}): the readings will not go to zero. It holds for a shaft \
         whose mark stands at the fixture's mark."
    )
}

pub(super) fn fixture_left_in(units: Units, amount: f64, why: &FixtureLeftIn, source: &str) -> String {
    let amount = units.show(shown::unbalance(Units::Metric, amount), shown::unbalance(Units::Us, amount));
    let why = match why {
        FixtureLeftIn::WithoutPhase => "the runs have no phase".to_owned(),
        FixtureLeftIn::NoRadius => "a plane of this shaft has no radius".to_owned(),
        FixtureLeftIn::OtherPlanes { proved, here } => format!(
            "it was found for the planes {}, and this shaft's are called {}",
            proved.join(" and "),
            here.join(" and ")
        ),
    };
    format!(
        "What turns with the fixture is not taken off: {why} ({source}). Up to {amount} of every plane's unbalance may \
         be the fixture's."
    )
}

pub(super) fn trial_too_large(sensor: &str, unit: &str, worst: f64, limit: f64) -> String {
    format!(
        "This trial could drive {sensor} to {} {unit}, beyond the stand's limit of {limit} {unit}: use a \
        smaller mass.",
        shown::reading(worst)
    )
}

pub(super) fn worst_trial_reading(sensor: &str, unit: &str, worst: f64, limit: Option<f64>) -> String {
    let held = match limit {
        Some(limit) => format!(" (stand's limit {limit} {unit})"),
        None => "; the stand's limit is not stated".into(),
    };
    format!("At worst this trial drives {sensor} to {} {unit}{held}.", shown::reading(worst))
}

pub(super) fn worst_trial_reading_unknown(sensor: &str) -> String {
    format!(
        "How far this trial can drive {sensor} is not known, because how the shaft responds is not known \
        yet. Start slowly with a hand on the stop."
    )
}

pub(super) fn sensor_left_out(sensor: &str) -> String {
    format!("Sensor {sensor} was not read in the runs that would show how it responds, so it was left out.")
}

pub(super) fn check_disagrees(run: &str, cause: Option<&LikelyCause>) -> String {
    let Some(cause) = cause else {
        return format!(
            "Run {run} does not fit the runs before it: a weight, an angle or a reading is not what the \
             file says. The run was not used. Look for the cause first."
        );
    };
    format!("Run {run} does not fit the runs before it. {} The run was not used. {LOOK_FIRST}", likely(cause))
}

pub(super) fn check_disagreed(run: &str) -> String {
    format!(
        "Run {run} did not fit the runs before it and was not used. The last change of weights changed \
         the readings as it should."
    )
}

pub(super) fn scatter_above_stated(sensor: &str) -> String {
    format!(
        "The runs scatter more at sensor {sensor} than the stated reading noise allows, so their own \
         scatter is used instead. Measure the noise (read one run five times), or look for the run that \
         does not fit."
    )
}

pub(super) fn runs_contradict(cause: &LikelyCause) -> String {
    format!(
        "The runs contradict each other by more than the readings scatter. {} Their own scatter is used \
        instead of the stated one. {LOOK_FIRST}",
        likely(cause)
    )
}

const LOOK_FIRST: &str = "Find the cause before you weld anything.";

fn likely(cause: &LikelyCause) -> String {
    match cause {
        LikelyCause::FitsBest { story, or: None } => format!("What fits best: {story}."),
        LikelyCause::FitsBest { story, or: Some(other) } => format!("What fits best: {story}, or {other}."),
        LikelyCause::NoneOfTheUsual => "None of the usual mistakes explains it: find the cause first.".into(),
    }
}

pub(super) fn trial_too_small(run: &str) -> String {
    format!(
        "Trial run {run} changed no reading by a quarter and turned none by 25 degrees (common practice \
         asks for one of them): use a larger trial mass."
    )
}

pub(super) fn speeds_differ(slowest: f64, fastest: f64) -> String {
    format!(
        "Runs that belong together were read at {slowest:.0} to {fastest:.0} rpm: near a resonance this \
        alone changes the readings."
    )
}

pub(super) fn fewer_sensors(readings: usize, planes: usize) -> String {
    format!(
        "{readings} reading(s) cannot tell {planes} places apart: the smallest masses that would do are \
         given. What is left at each place is not known."
    )
}

pub(super) fn planes_act_alike(planes: &[String], factor: f64) -> String {
    format!(
        "{} act alike on the dials (factor {factor:.0}): small reading errors grow.",
        planes.join(" and ")
    )
}

pub(super) fn convention_unproved(share_left: f64) -> String {
    let percent = 100.0 * share_left;
    format!(
        "These runs cannot show whether phase and masses are counted the same way. If they are not, this \
         correction could leave up to {percent:.0} % of the unbalance it should remove. One more trial a \
         quarter turn from the first, at the same place, settles this for the stand."
    )
}

pub(super) fn stand_below_service(stand: f64, service: f64, bow_counted: bool) -> String {
    let bow = if bow_counted {
        "allowed for"
    } else {
        "not in the verdict, because the critical speed was not checked"
    };
    format!(
        "Measured at {stand:.0} rpm; the shaft may reach {service:.0} rpm. The effect of a bow between these speeds is {bow}."
    )
}
