//! What is said at the stand.

use std::path::Path;

use balance_core::answer::{Advice, moved};
use balance_core::correction::TrialAdvice;
use balance_core::quantity::Speed;
use balance_core::run::{Convention, Phase, PlacedMass, Run, RunKind, SensorReading};
use balance_core::shaft::PlaneId;

use super::draft::Phases;
use super::masses;
use super::state::State;
use super::step::Step;
use crate::files::shown_path;
use crate::print::text::{counting_of, units, wrapped};

/// What can be typed at every question.
pub const EVERYWHERE: &str = "\
Everywhere:  Enter as proposed   1 yes   0 take back   s leave out   r read the last run once more
  p picture   all the whole answer   c how angles count   b the bench   note WORDS
  mistake 3 (run 3 was entered wrongly)   q leave, everything is saved";

pub const HELP_READING: &str = "Type the numbers as they are called out, in one line or with Enter between: the speed, \
then amplitude and angle of each sensor, such as 1800 5.29 230 3.24 69 or 5.29 @ 230. A decimal comma is as good as a \
point. <0.1 is less than the dial shows (no angle then), - is not read. Type an angle of 0 as 0.";
pub const HELP_ROUND: &str = "Enter when the mass is at that place. Another place is as good if it is at least 60 deg from \
the others: type it. s leaves this place out; with two places in a plane several answers may explain the readings, and one \
more run tells which is right.";
pub const HELP_SETTLE: &str = "Amplitudes alone may be explained by a mass and by its mirror image. The run that is proposed \
reads differently for every answer. Type what is on if it is something else, place by place.";
pub const HELP_HEARD: &str = "Guard shut, nobody in line with the weights, the speed steady: Enter starts the recorder, which \
is ended as soon as the reading is steady. t types the reading instead. 0 takes back.";
pub const HELP_RIGHT: &str = "Compare with the paper or the dials. Enter (or 1) writes the run into the file; 0 lets \
you type it again.";
pub const HELP_HELD: &str =
    "A clamp with its screw turned inward or a screw holds; a magnet or tape alone does not.";
pub const HELP_OFF: &str = "The next run only counts if the trial mass is off. Type off (or 1) when it is.";
pub const HELP_MORE: &str =
    "One more trial with a mass at one place only, or correct a run that was entered wrongly.";
pub const HELP_WORSE: &str = "Enter reads the same once more. mistake 2 puts run 2 right. 0 takes the last run out of \
the file. Nothing is welded before the readings fit.";
pub const HELP_WARM: &str = "Lay a hand on the tube all the way round, beside the weld and opposite. 1 only if it is \
the same warmth everywhere.";
pub const HELP_FINISHED: &str = "Enter or q leaves. 2 draws the pictures, 3 puts the job into the archive, 4 writes the \
report, r reads the check run once more, correct goes on to a further correction.";
pub const HELP_JOB: &str = "Enter or s leaves it out for now; ss leaves all of them out. What you type goes into \
job.toml, where it can be changed. 0 takes the answer before back.";
pub const HELP_SHOP: &str = "1 copies these answers into the shop.toml above this job, so that the next job does not \
ask for them. Enter keeps them in this job only.";
pub const HELP_LIST: &str =
    "This list is the same before every first spin. Press Enter when every line is done.";
pub const HELP_MISTAKE: &str = "Type the number in front of the wrong value, a space, and the right value. Enter goes \
through the whole run again. 0 leaves it as it is.";
pub const HELP_SHORT_WAY: &str = "Shafts of one type answer alike, so the archive can say what a gram does on this one. \
With t the trial runs are made all the same, which is the better way if this shaft was built differently.";
pub const HELP_QUARTER: &str = "A mass that moves on by a quarter turn turns its effect on the dials by a quarter turn \
too: the same way round, or the other way. That tells how the dial counts. s leaves it open; every answer then says so.";
pub const HELP_BENCH: &str = "The bench is where a worn shaft is looked over before it is rebuilt: part by part, in any \
order, with what to look for and what is allowed. b goes there from any question.";
pub const HELP_BENCH_PART: &str = "Type what you found in your own words. What you type goes into job.toml and into the \
report. 0 goes back to the list.";
pub const HELP_WELD: &str = "Under clamps everything can still be changed; what is welded has to be ground off again. \
The word weld says that you have made up your mind.";

/// What a mass and its place may look like.
fn as_typed(state: &State) -> String {
    let habits = state.habits();
    let tape = if habits.once_round.is_some() { habits.pick(", @223mm", ", @8 3/4in") } else { "" };
    format!(
        "A bare number is a mass in {}, behind @ an angle in degrees; any other unit is typed: {}{tape}.",
        habits.weight_unit(),
        habits.pick("0.5oz", "10g")
    )
}

pub fn help_masses(state: &State) -> String {
    format!(
        "Enter leaves the masses as entered. Otherwise type all that was on in that run, place by place: {}. {}",
        several_example(state),
        as_typed(state)
    )
}

pub fn help_on(state: &State) -> String {
    format!(
        "1 if every weight is where the answer says. Otherwise type what is there, place by place: {}. {}",
        several_example(state),
        as_typed(state)
    )
}

pub fn help_trial(state: &State) -> String {
    format!(
        "Weigh it with clamp and screw. Its angle is counted from the zero mark as for all masses. A third number is \
         the radius of its middle from the shaft's axis in {}, if it sits elsewhere than stated. {}",
        state.habits().length_unit(),
        as_typed(state)
    )
}

pub fn help_welded(state: &State) -> String {
    format!(
        "welded if every weight is where it should be. Otherwise type what is there, place by place: {}. {}",
        several_example(state),
        as_typed(state)
    )
}

/// Asks for a trial mass.
pub fn trial_question(state: &State) -> String {
    let habits = state.habits();
    let (mass, example) = (habits.weight_unit(), habits.pick("20 90", "0.75 90"));
    if habits.once_round.is_none() {
        return format!("Mass in {mass} and angle in deg, such as {example}:");
    }
    let tape = habits.pick("20 70mm", "0.75 2 3/4in");
    format!("Mass in {mass}, angle in deg or place on the tape, such as {example} or {tape}:")
}

/// A weight at its place, for a question.
pub fn weight_example(state: &State) -> String {
    let habits = state.habits();
    let on_tape = habits.once_round.is_some();
    let place = if on_tape { habits.pick("223mm", "8 3/4in") } else { "287" };
    format!("{} {}@{place}", first_plane(state), habits.pick("10", "0.35"))
}

fn several_example(state: &State) -> String {
    let weights = state.habits().pick(["10@287 15@329", "15@192"], ["0.35@287 0.5@329", "0.5@192"]);
    match state.shaft.setup.planes.get(1) {
        Some(second) => format!("{} {} {} {}", first_plane(state), weights[0], second.name, weights[1]),
        None => format!("{} {}", first_plane(state), weights[0]),
    }
}

fn first_plane(state: &State) -> &str {
    state.shaft.setup.planes.first().map_or("front", |plane| plane.name.as_str())
}

/// As many readings as there are sensors.
pub fn readings_example(state: &State) -> String {
    let pairs = match state.phases() {
        Phases::Shown => ["5.29 230", "3.24 69", "1.80 145"],
        Phases::NotShown => ["5.29", "3.24", "1.80"],
    };
    pairs.into_iter().cycle().take(state.shaft.setup.sensors.len()).collect::<Vec<&str>>().join(" ")
}

/// After the verdict.
pub const WHAT_NEXT: &str =
    "Before it goes: indicators and clamps off, joints capped and greased, the marks in line.";

/// What can be done after the verdict.
pub const CHOICES: &str = "  2 = draw the pictures             3 = put the job into the archive
  4 = write the report              r = read the check run once more
  correct = correct further";

/// What can be done when no weight in the box helps.
pub const CHOICES_OF_NO_HELP: &str = "  2 = draw the pictures             3 = put the job into the archive
  4 = write the report              r = read the check run once more
  0 = take the last run back        Heavier pieces: add them to the shop file first.";

/// Why one trial a plane is not enough without phase.
pub const ROUND: &str = "The dial shows no angle, so one place does not tell which way a mass acts: the same mass is \
read at three places of the plane, a third of a turn apart, or at four.";

/// Before trial masses spin.
pub const BEFORE_TRIAL: &str = "Before the trial spins: weigh it; fix it so that it cannot fly or slide (clamp or \
screw, not a magnet alone); turn the shaft by hand once round; guard shut; nobody in line with it; slow first, a hand \
on the stop.";

/// Before anything is welded.
pub const BEFORE_WELDING: &str = "Before welding: lock out; bare metal; return clamp on the tube beside the bead, never \
through a joint, a bearing or the stand; joints and seals covered; nothing that burns nearby, an extinguisher at hand; \
eyes and skin covered, air moving. Local codes, the vehicle maker's approval and licensed practice come first.";

/// How masses are counted, which is all that matters without phase.
fn masses_counted(state: &State) -> String {
    counting_of(&Convention { stated: true, ..state.shaft.setup.convention.clone() }, Some(&state.job_file))
}

/// How angles are counted, always in sight.
pub fn counting(state: &State) -> String {
    let convention = &state.shaft.setup.convention;
    if state.phases() == Phases::NotShown {
        return format!("{} The dial shows no angle.", masses_counted(state).trim_end());
    }
    let text = counting_of(convention, Some(&state.job_file));
    if text.is_empty() {
        return "TAKE CARE: how the stand counts its angles is not stated; assumed: the same way as masses."
            .into();
    }
    let phase = match convention.phase {
        Phase::Lag => "lag",
        Phase::Lead => "lead",
        Phase::SameWayAsMasses => "counted as masses are",
        Phase::OppositeToMasses => "counted opposite to masses",
        Phase::NotShown => "counted as masses are",
    };
    format!("{} Dial angles: {phase}.", text.trim_end())
}

/// An example of a reading for this stand.
pub fn example(state: &State) -> String {
    let sensors = &state.shaft.setup.sensors;
    let speed = if state.shaft.columns.speed.is_some() { "speed in rpm, " } else { "" };
    let name = |sensor: &balance_core::shaft::Sensor| {
        let angle = if state.phases() == Phases::Shown { " and angle in deg" } else { "" };
        format!("{} amplitude in {}{angle}", sensor.name, sensor.unit)
    };
    let names: Vec<String> = sensors.iter().map(name).collect();
    let first = if speed.is_empty() { "" } else { "1800 " };
    format!(
        "Enter in this order: {speed}{}. For example: {first}{}   (? = help)",
        names.join(", "),
        readings_example(state)
    )
}

/// The speed of a group.
pub fn group_speed(state: &State, group: usize) -> Option<Speed> {
    state.set.as_ref()?.groups().get(group)?.speed
}

/// The same in words.
pub fn speed_of(state: &State, group: usize) -> String {
    group_speed(state, group)
        .map_or_else(|| "the same speed".into(), |speed| format!("{} rpm", units::rpm(speed.rpm())))
}

/// A run in words.
pub fn run(state: &State, run: &Run) -> String {
    let on = if run.masses.is_empty() {
        String::new()
    } else {
        format!(", {}", masses::words(&run.masses, &state.shaft.setup.planes, state.job_file.job.units))
    };
    let speed = run.speed.map(|speed| format!("; {} rpm", units::rpm(speed.rpm()))).unwrap_or_default();
    let readings =
        if run.readings.is_empty() { String::new() } else { format!(": {}", readings(state, run)) };
    format!("Run {}, {}{on}{speed}{readings}.", run.label, run.kind.word())
}

fn readings(state: &State, run: &Run) -> String {
    let ids = state.shaft.setup.sensor_ids();
    let one = |((sensor, reading), id): ((&balance_core::shaft::Sensor, &SensorReading), _)| match reading {
        SensorReading::NotRead => format!("{} not read", sensor.name),
        SensorReading::Below(limit) => format!("{} below {limit} {}", sensor.name, sensor.unit),
        // A reading out of a recording has more digits than anyone reads.
        SensorReading::Shown { amplitude, phase } if run.uncertainty(id).is_some() => {
            let amplitude = units::amplitude(*amplitude);
            format!("{} {amplitude} {} at {:.1} deg", sensor.name, sensor.unit, phase.degrees())
        }
        SensorReading::Amplitude(amplitude) => format!("{} {amplitude} {}", sensor.name, sensor.unit),
        SensorReading::Shown { amplitude, phase } => {
            format!("{} {amplitude} {} at {} deg", sensor.name, sensor.unit, phase.degrees())
        }
    };
    state.shaft.setup.sensors.iter().zip(&run.readings).zip(ids).map(one).collect::<Vec<String>>().join(", ")
}

/// Masses with their place on the tape, where there is a tube.
pub fn on_the_tape(state: &State, own: &[PlacedMass]) -> String {
    let Some(tube) = &state.job_file.job.measures.tube else {
        return masses::words(own, &state.shaft.setup.planes, state.job_file.job.units);
    };
    let around = tube.circumference_millimetres();
    masses::words_on_tape(own, &state.shaft.setup.planes, state.job_file.job.units, around)
}

/// Every run in words, a line each.
pub fn runs(state: &State) -> String {
    state.shaft.runs.iter().map(|own| wrapped("", "  ", &run(state, own))).collect()
}

/// Which trial mass is advised.
pub fn trial_advice(state: &State, advice: &TrialAdvice) -> String {
    let Some(trial) = advice.trial() else {
        return advice.sentences(&state.shaft.setup, state.job_file.job.units).join(" ");
    };
    let Some(mass) = trial.mass else {
        return "Nothing is known yet to choose its size by: begin with a light one.".into();
    };
    let angle = trial
        .angle
        .map_or_else(|| "at any angle".to_owned(), |angle| format!("about {}", units::angle(angle)));
    let force = trial.pull.map(|pull| {
        let share = pull
            .share_of_weight
            .map_or_else(String::new, |share| format!(", {:.0} % of the shaft's weight", 100.0 * share));
        let (newtons, rpm) = (units::force(state.job_file.job.units, pull.newtons), pull.speed.rpm());
        format!("; it pulls with {newtons} at {rpm:.0} rpm{share}")
    });
    format!(
        "Advised: about {} {angle}{}.",
        units::mass(state.job_file.job.units, mass.grams()),
        force.unwrap_or_default()
    )
}

/// What the last trial did to the needles.
pub fn effect(state: &State) -> Option<String> {
    let rows = state.rows();
    let last = rows.last().filter(|row| row.run.kind == RunKind::Trial)?;
    // Without phase the difference of two amplitudes is not how far the needle's vector moved.
    if state.phases() == Phases::NotShown {
        return None;
    }
    let initial =
        rows.iter().rev().find(|row| row.run.kind == RunKind::Initial && row.group == last.group)?;
    let sensors = &state.shaft.setup.sensors;
    let parts: Vec<String> = moved(initial, last)
        .iter()
        .map(|own| {
            let sensor = &sensors[own.sensor];
            format!("{} by {} {}", sensor.name, units::amplitude(own.by), sensor.unit)
        })
        .collect();
    Some(format!("It moved the needles: {}. That is how the shaft answers there.", parts.join(", ")))
}

/// Where to stop: what the dials show now.
pub fn stop_above(state: &State) -> Option<String> {
    let before = state.answer().ok()?;
    let ahead = match before.advice() {
        Advice::Hold(hold) => &hold.ahead,
        Advice::Ideal(ideal) => &ideal.ahead,
        _ => return None,
    };
    let sensors = &state.shaft.setup.sensors;
    let one = |forecast: &balance_core::correction::Forecast| {
        format!("{} ({})", units::amplitude(forecast.now.amplitude()), sensors[forecast.sensor].name)
    };
    let all: Vec<String> = ahead.held.iter().filter(|own| own.group == 0).map(one).collect();
    (!all.is_empty()).then(|| format!("Stop above {}.", all.join(" or ")))
}

/// What was done so far: "1 initial, 2 trial".
fn done(state: &State) -> String {
    let count = |kind: RunKind| state.shaft.runs.iter().filter(|run| run.kind == kind).count();
    let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
    let parts: Vec<String> = kinds
        .into_iter()
        .filter(|&kind| count(kind) > 0)
        .map(|kind| format!("{} {}", count(kind), kind.word()))
        .collect();
    if parts.is_empty() { "no run yet".to_owned() } else { parts.join(", ") }
}

/// Which shaft this is and where one is: "WP-0417, rotary snow blower 3. Next: a trial at the rear. So far: 1 initial."
pub fn greeting(state: &State, step: Step) -> String {
    let paper = &state.job_file.paperwork;
    let unit = paper.heading.unit.as_deref().map(|unit| format!(", {unit}")).unwrap_or_default();
    let stay = paper.came_back.as_ref().map(|stay| {
        let date = stay.date.as_deref().and_then(|date| date.split('T').next());
        let date = date.map(|date| format!(" of {date}")).unwrap_or_default();
        let left = stay.left.as_deref().map(|left| format!("; it left with {left}")).unwrap_or_default();
        format!(" It was here before (record {}{date}){left}.", stay.record)
    });
    format!(
        "{}{unit}. Next: {}. So far: {}.{}",
        state.name(),
        next(state, step),
        done(state),
        stay.unwrap_or_default()
    )
}

/// What is done, what is next.
pub fn summary(state: &State, step: Step, folder: &Path) -> String {
    let again = format!("balance\u{a0}stand\u{a0}{}", shown_path(folder));
    format!("Saved: {}. Next: {}. Go on any time with {again}", done(state), next(state, step))
}

fn next(state: &State, step: Step) -> String {
    let plane =
        |at: PlaneId| state.shaft.setup.planes.get(at.index()).map_or("", |plane| plane.name.as_str());
    match step {
        Step::Initial => "the initial run".into(),
        Step::Trial { plane: at, .. } => format!("a trial at the {}", plane(at)),
        Step::TakeOff => "take the trial mass off".into(),
        Step::Settle => "the trial that tells which answer is right".into(),
        Step::QuarterTurn => "the trial mass a quarter turn further on".into(),
        Step::SettleCounting => "what the quarter-turn trial says".into(),
        Step::ShortWay => "the weights, without trial runs".into(),
        Step::MoreTrials => "one more trial".into(),
        Step::Explain => "find out why a run does not fit, weld nothing".into(),
        Step::TryOn | Step::TryMore { .. } => "hold the weights under clamps and read".into(),
        Step::TryWorse => "find out why the try reads more than expected, weld nothing".into(),
        Step::Check | Step::CheckMore { .. } => "weld, let it cool, read the check run".into(),
        Step::CheckAgain => "read the check run once more".into(),
        Step::NothingHelps => "more or heavier pieces in the box, or straighten the shaft".into(),
        Step::Finished => "nothing, it is done".into(),
    }
}
