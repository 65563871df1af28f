//! A shaft that is made longer or shorter: what to cut, and whether the slip still reaches.

use balance_core::answer::ShaftAnswer;
use balance_core::quantity::shown;

use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job};
use crate::print::text;
use crate::stand::line::is_yes;
use crate::stand::questions::Known;
use crate::stand::session::{Answer, Break, Session, Turn};
use crate::stand::state::State;
use crate::stand::words;
use crate::typed::Habits;

impl Session<'_, '_> {
    pub(super) fn new_length(&mut self, state: &State, known: &Known) -> Turn {
        let shop = Habits::of(&known.file.job);
        let unit = shop.length_unit();
        self.talk.say(
            "ANOTHER LENGTH: measured in the vehicle at ride height, from joint centre to joint centre, the slip at the \
             middle of its stroke.",
        )?;
        let question = shop.pick(
            "Joint centre to joint centre in mm, such as 1450:",
            "Joint centre to joint centre in inches, such as 57-1/8:",
        );
        let Some(centres) = self.one_length(state, question, unit)? else { return Ok(()) };
        let question = shop.pick(
            "Joint centre to where the tube butts on, front and rear, in mm, such as 62 74:",
            "Joint centre to where the tube butts on, front and rear, such as 2.44 2.91:",
        );
        let Some(shoulders) = self.lengths(state, question, unit, 2)? else { return Ok(()) };
        let values = [
            ("joint_centres", &centres),
            ("front_shoulder", &shoulders[0]),
            ("rear_shoulder", &shoulders[1]),
        ];
        if !self.put_length(&values)? {
            return Ok(());
        }
        let question = shop.pick(
            "Joint centres with the slip pushed in and drawn out, such as 1405 1495:",
            "Joint centres with the slip pushed in and drawn out, such as 55 59:",
        );
        if let Some(stroke) = self.lengths(state, question, unit, 2)? {
            self.put_length(&[("slip_shortest", &stroke[0]), ("slip_longest", &stroke[1])])?;
        }
        let question = shop.pick(
            "Joint centres with the axle hanging, and pushed up, such as 1462 1441:",
            "Joint centres with the axle hanging, and pushed up, such as 57.5 56.75:",
        );
        if let Some(travel) = self.lengths(state, question, unit, 2)? {
            self.put_length(&[("at_droop", &travel[0]), ("at_bump", &travel[1])])?;
        }
        self.say_cut()?;
        self.new_tube_length(&centres)
    }

    /// Puts values into `[relength]`; `false` if the job would not read with them, which is said.
    fn put_length(&mut self, values: &[(&'static str, &String)]) -> Turn<bool> {
        let spot = |key| Spot { section: "relength", number: None, key };
        let values: Vec<NewValue> =
            values.iter().map(|(key, text)| NewValue::text(spot(key), text)).collect();
        match put_into_job(&self.folder.join(JOB_FILE), &values) {
            Ok(_) => Ok(true),
            Err(problems) => {
                let fault = problems.first().map(|problem| problem.found.to_string()).unwrap_or_default();
                self.talk.refused(&format!("This is not possible: {fault}. Nothing was taken."))?;
                Ok(false)
            }
        }
    }

    /// What to cut.
    fn say_cut(&mut self) -> Turn {
        let state = self.load()?;
        let file = &state.job_file;
        match ShaftAnswer::new(&state.name(), &file.job, None) {
            Ok(answer) => self.talk.show(&text::lengths(self.talk.page(), &answer, file))?,
            Err(_) => {
                if let Some(own) = &file.job.shaft.relength {
                    let cut = shown::fine_length(file.job.units, own.tube_length.millimetres());
                    self.talk.say(&format!("Cut the tube to {cut}."))?;
                }
            }
        }
        Ok(())
    }

    /// The tube of the job has its old length yet.
    fn new_tube_length(&mut self, centres: &str) -> Turn {
        let state = self.load()?;
        let job = &state.job_file.job;
        let (Some(tube), Some(own)) = (&job.measures.tube, &job.shaft.relength) else { return Ok(()) };
        if (tube.length.millimetres() - own.cut.joint_centres.millimetres()).abs() < 0.05 {
            return Ok(());
        }
        let old = shown::fine_length(job.units, tube.length.millimetres());
        self.talk.say(&format!("The job still says {old} joint to joint."))?;
        let question = format!("Change it to {centres}? Enter = yes, s = not yet:");
        loop {
            match self.ask(&state, &question, words::HELP_BENCH_PART)? {
                Answer::Proposed => break,
                Answer::Text(text) if is_yes(&text) => break,
                Answer::Skip => return Ok(()),
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(_) => self.talk.refused("Enter = yes, s = not yet.")?,
            }
        }
        let spot = |section| Spot { section, number: None, key: "length" };
        let values = [NewValue::text(spot("tube"), centres), NewValue::text(spot("built"), centres)];
        match put_into_job(&self.folder.join(JOB_FILE), &values) {
            Ok(_) => self.talk.taken(&format!("Taken: {centres} joint to joint, as built."))?,
            Err(problems) => {
                let fault = problems.first().map(|problem| problem.found.to_string()).unwrap_or_default();
                self.talk.refused(&format!("The tube keeps its length in the job: {fault}."))?;
            }
        }
        Ok(())
    }
}
