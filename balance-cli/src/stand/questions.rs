//! What the job file does not say yet and a verdict needs: asked before the first run, each may be left out.

use super::line::{Value, is_yes, values};
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::files::JobFile;
use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job};
use balance_core::job::Job;

/// How an answer is read.
#[derive(Debug, Clone, Copy)]
enum Kind {
    /// So many numbers with this unit behind each.
    Numbers(&'static str),
    /// A text as it is.
    Free,
    /// One of these, by its number or its words.
    Choice(&'static [&'static str]),
    /// `G16`, or 16.
    Grade,
    /// 1 for this word.
    Yes(&'static str),
}

/// A question about the job.
struct Question {
    name: &'static str,
    spots: Vec<Spot>,
    kind: Kind,
    words: String,
}

const TURNS: &[&str] = &["clockwise seen from the front", "counter-clockwise seen from the front"];
const MASS_ANGLE: &[&str] = &["against rotation", "with rotation"];
const PHASE: &[&str] = &["lag", "lead", "same way as masses", "opposite to masses"];

fn spot(section: &'static str, key: &'static str) -> Spot {
    Spot { section, number: None, key }
}

/// The first thing that is missing and was not left out.
fn missing(job: &Job, left_out: impl Fn(&str) -> bool) -> Option<Question> {
    all(job).into_iter().find_map(|(lacks, question)| (lacks && !left_out(question.name)).then_some(question))
}

fn all(job: &Job) -> Vec<(bool, Question)> {
    let one = |name, spots, kind, words: &str| Question { name, spots, kind, words: words.into() };
    let measures = &job.measures;
    let places = |section: &'static str, count: usize| {
        (0..count).map(|at| Spot { section, number: Some(at), key: "position" }).collect::<Vec<Spot>>()
    };
    let planes: Vec<&str> = job.setup.planes.iter().map(|plane| plane.name.as_str()).collect();
    let sensors: Vec<&str> = job.setup.sensors.iter().map(|sensor| sensor.name.as_str()).collect();
    vec![
        (
            measures.mass.is_none(),
            one("mass", vec![spot("shaft", "mass")], Kind::Numbers("kg"), "Weight of the whole shaft, kg:"),
        ),
        (
            measures.service_speed.is_none(),
            one(
                "service",
                vec![spot("shaft", "service_speed")],
                Kind::Numbers("rpm"),
                "Highest speed it can ever reach in the machine, rpm:",
            ),
        ),
        (
            measures.limit.is_none(),
            one("grade", vec![spot("shaft", "grade")], Kind::Grade, "Balance grade, such as 16 for G16:"),
        ),
        (
            measures.tube.is_none(),
            one(
                "tube",
                ["outer_diameter", "wall", "length"].map(|key| spot("tube", key)).to_vec(),
                Kind::Numbers("mm"),
                "Tube in mm: outside, wall, length joint to joint, such as 88.9 2.4 1385:",
            ),
        ),
        (
            measures.tube.is_some() && job.shaft.material.name().is_none(),
            one(
                "material",
                vec![spot("tube", "material")],
                Kind::Yes("steel"),
                "Is the tube of weldable steel? 1 = yes:",
            ),
        ),
        (
            job.setup.planes.iter().any(|plane| plane.position.is_none()) && !planes.is_empty(),
            one(
                "planes",
                places("correction_plane", planes.len()),
                Kind::Numbers("mm"),
                &format!("Where weights go ({}), mm from the front joint:", planes.join(", ")),
            ),
        ),
        (
            job.setup.sensors.iter().any(|sensor| sensor.position.is_none()) && !sensors.is_empty(),
            one(
                "sensors",
                places("sensor", sensors.len()),
                Kind::Numbers("mm"),
                &format!("Where the sensors sit ({}), mm from the front joint:", sensors.join(", ")),
            ),
        ),
        (
            job.setup.convention.zero_mark.is_none(),
            one(
                "mark",
                vec![spot("convention", "zero_mark")],
                Kind::Free,
                "What is the zero mark, such as: paint line on the front yoke ear:",
            ),
        ),
        (
            job.setup.convention.turns.is_none(),
            one(
                "turns",
                vec![spot("convention", "turns")],
                Kind::Choice(TURNS),
                "Which way does the shaft turn?",
            ),
        ),
        (
            !job.setup.convention.stated,
            one(
                "counting",
                vec![spot("convention", "mass_angle")],
                Kind::Choice(MASS_ANGLE),
                "How are degrees on the tube counted from the mark?",
            ),
        ),
        (
            !job.setup.convention.stated,
            one(
                "phase",
                vec![spot("convention", "phase")],
                Kind::Choice(PHASE),
                "How does the dial count its angle?",
            ),
        ),
        (
            job.setup.noise.reading == balance_core::run::ReadingNoise::NotStated,
            one(
                "noise",
                vec![spot("stand", "reading_noise")],
                Kind::Numbers("%"),
                "How far do the readings wander, in %, such as 2 (without it no verdict):",
            ),
        ),
    ]
}

impl Session<'_, '_> {
    /// Asks what is missing; every answer is in the job file before the next question.
    pub(super) fn questions(&mut self, state: &State) -> Turn {
        let mut begun = false;
        loop {
            let job = JobFile::load_folder(&self.folder)?.job;
            let Some(question) = missing(&job, |name| self.memory.left_out.contains(name)) else {
                return Ok(());
            };
            if !begun {
                self.talk.gap()?;
                self.talk
                    .say("A few things about the shaft first; Enter leaves one out, s s all of them.")?;
                begun = true;
            }
            self.one_question(state, &question)?;
        }
    }

    /// After a check run without limits: whether the questions are to be asked now. `true`: something was answered.
    pub(super) fn ask_for_missing(&mut self, state: &State) -> Turn<bool> {
        if !self.memory.first_time("missing limits") {
            return Ok(false);
        }
        self.memory.left_out.clear();
        let before = JobFile::load_folder(&self.folder)?;
        self.questions(state)?;
        Ok(JobFile::load_folder(&self.folder)? != before)
    }

    fn one_question(&mut self, state: &State, question: &Question) -> Turn {
        if let Kind::Choice(choices) = question.kind {
            self.talk.say(&question.words)?;
            for (at, choice) in choices.iter().enumerate() {
                self.talk.item(&format!("{} = {choice}", at + 1))?;
            }
        }
        let prompt = if matches!(question.kind, Kind::Choice(_)) { "Number:" } else { &question.words };
        loop {
            match self.ask(state, prompt, words::HELP_JOB)? {
                Answer::Proposed | Answer::Skip => {
                    self.memory.left_out.insert(question.name);
                    return Ok(());
                }
                Answer::Text(text) if text.eq_ignore_ascii_case("s s") || text.eq_ignore_ascii_case("ss") => {
                    let job = JobFile::load_folder(&self.folder)?.job;
                    self.memory.left_out.extend(all(&job).iter().map(|(_, question)| question.name));
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) => match read(question, &text) {
                    Ok(found) => match put_into_job(&self.folder.join(JOB_FILE), &found) {
                        Ok(()) => {
                            let said: Vec<&str> =
                                found.iter().map(|value| value.value.trim_matches('"')).collect();
                            self.talk.taken(&format!("Taken: {}.", said.join(", ")))?;
                            self.memory.left_out.insert(question.name);
                            return Ok(());
                        }
                        Err(problems) => {
                            let told = problems.first().map_or(String::new(), |problem| {
                                let allowed =
                                    problem.allowed.as_deref().map(|text| format!("; allowed: {text}"));
                                format!("{}{}", problem.found, allowed.unwrap_or_default())
                            });
                            self.talk.refused(&format!("This cannot be: {told}. Nothing was taken."))?;
                        }
                    },
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        }
    }
}

/// The values of an answer.
fn read(question: &Question, text: &str) -> Result<Vec<NewValue>, String> {
    let one = |value: &str| vec![NewValue::text(question.spots[0], value)];
    match question.kind {
        Kind::Free => Ok(one(text)),
        Kind::Yes(word) if is_yes(text) => Ok(one(word)),
        Kind::Yes(_) => Err("1 = yes, Enter = leave it out.".into()),
        Kind::Grade => {
            let number = text.trim_start_matches(['g', 'G']).trim().replace(',', ".");
            let grade = number.parse::<f64>().ok().filter(|grade| grade.is_finite() && *grade > 0.0);
            grade
                .map(|grade| one(&format!("G{grade}")))
                .ok_or_else(|| "A grade is a number such as 16.".into())
        }
        Kind::Choice(choices) => {
            let by_number = text.parse::<usize>().ok().and_then(|at| choices.get(at.checked_sub(1)?));
            let found = by_number.or_else(|| choices.iter().find(|choice| choice.eq_ignore_ascii_case(text)));
            found
                .map(|choice| one(choice))
                .ok_or_else(|| format!("1 to {}, or Enter to leave it out.", choices.len()))
        }
        Kind::Numbers(unit) => numbers(question, text, unit),
    }
}

fn numbers(question: &Question, text: &str, unit: &str) -> Result<Vec<NewValue>, String> {
    let found = values(text, &[unit])?;
    if found.len() != question.spots.len() {
        return Err(format!("{} numbers are wanted, {} were typed.", question.spots.len(), found.len()));
    }
    let one = |(spot, value): (&Spot, &Value)| match value {
        Value::Number(number) => Ok(NewValue::text(*spot, &format!("{number} {unit}"))),
        Value::Below(_) | Value::NotRead => Err("A plain number is wanted.".to_owned()),
    };
    question.spots.iter().zip(&found).map(one).collect()
}
