//! How the shaft came.

use balance_core::quantity::Length;

use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job};
use crate::files::now;
use crate::stand::questions::Known;
use crate::stand::session::{Session, Turn};
use crate::stand::state::State;
use crate::typed::{Habits, amounts};

impl Session<'_, '_> {
    pub(super) fn received(&mut self, state: &State, known: &Known) -> Turn {
        let shop = Habits::of(&known.file.job);
        self.talk.say("HOW IT CAME, before anything is changed. Enter leaves a line out.")?;
        let question = shop.pick(
            "Length from joint centre to joint centre in mm, such as 1310:",
            "Length from joint centre to joint centre in inches, such as 51-9/16:",
        );
        let mut values = Vec::new();
        if let Some(length) = self.one_length(state, question, shop.length_unit())? {
            values.push(("length", length));
        }
        for (key, question) in [
            ("joints", "The joints, such as both dry, the rear one notched:"),
            ("damage", "Damage, such as tube dented behind the middle:"),
        ] {
            if let Some(text) = self.bench_text(state, question)? {
                values.push((key, text));
            }
        }
        if values.is_empty() {
            return Ok(());
        }
        let day = now().map_err(|problem| vec![problem])?.strftime("%Y-%m-%d").to_string();
        values.push(("date", day));
        let spot = |key| Spot { section: "received", number: None, key };
        let values: Vec<NewValue> =
            values.iter().map(|(key, text)| NewValue::text(spot(key), text)).collect();
        put_into_job(&self.folder.join(JOB_FILE), &values)?;
        self.talk.taken("Taken: how it came is written down.")?;
        Ok(())
    }

    /// One length above zero as typed, with its unit; `None` for Enter.
    pub(super) fn one_length(&mut self, state: &State, question: &str, unit: &str) -> Turn<Option<String>> {
        Ok(self.lengths(state, question, unit, 1)?.map(|mut found| found.remove(0)))
    }

    /// So many lengths above zero as typed, each with its unit; `None` for Enter.
    pub(super) fn lengths(
        &mut self,
        state: &State,
        question: &str,
        unit: &str,
        count: usize,
    ) -> Turn<Option<Vec<String>>> {
        loop {
            let Some(text) = self.bench_text(state, question)? else { return Ok(None) };
            match lengths_of(&text, unit, count) {
                Ok(found) => return Ok(Some(found)),
                Err(words) => self.talk.refused(&words)?,
            }
        }
    }
}

fn lengths_of(text: &str, unit: &str, count: usize) -> Result<Vec<String>, String> {
    let found = amounts(text)?;
    if found.len() != count {
        let wanted = if count == 1 { "One length is".to_owned() } else { format!("{count} lengths are") };
        return Err(format!("{wanted} wanted, {} were typed.", found.len()));
    }
    let one = |amount: &crate::typed::Amount| match amount.of::<Length>(unit)?.millimetres() {
        size if size > 0.0 => Ok(amount.text(unit)),
        _ => Err("A length above zero is wanted.".to_owned()),
    };
    found.iter().map(one).collect()
}
