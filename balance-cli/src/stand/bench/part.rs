//! Looking at one part: what to look for, what is allowed, what was found, what becomes of it.

use balance_core::quantity::Length;
use balance_core::shaft::{Allowed, PartDecision};

use super::list::BenchPart;
use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job, sections_in};
use crate::stand::line::is_yes;
use crate::stand::questions::Known;
use crate::stand::session::{Answer, Break, Session, Turn};
use crate::stand::state::State;
use crate::stand::words;
use crate::typed::{Habits, amounts};

impl Session<'_, '_> {
    pub(super) fn look_at(&mut self, state: &State, known: &Known, part: &BenchPart) -> Turn {
        let point = part.looked.point;
        let shop = Habits::of(&known.file.job);
        self.talk.say(&part.name.to_uppercase())?;
        if let Some((_, item)) = part.found(&known.file) {
            self.talk.say(&format!(
                "Written down so far: {}. It is replaced by what you type now.",
                item.finding
            ))?;
        }
        self.talk.say(&format!("Look for: {}.", point.look_for))?;
        let source = point.source;
        self.talk.say(&match point.allowed {
            Some(allowed) => format!("Allowed: {} ({source}).", allowed.words(shop.units)),
            None => format!("Allowed: none of these ({source})."),
        })?;
        let question = if part.name.ends_with("journals") || part.name.ends_with("caps") {
            self.talk.say("Number the four from the mark on, the way the angles are counted.")?;
            "What is wrong, by number, such as 2 needle marks; Enter = nothing, 0 = list:"
        } else {
            "What is wrong? In words; Enter = nothing, 0 = back to the list:"
        };
        let found = loop {
            match self.bench_text(state, question)? {
                Some(text) if text.chars().any(char::is_alphabetic) => break Some(text),
                Some(_) => self
                    .talk
                    .refused("A few words, such as: notched at two needles. Enter = nothing wrong.")?,
                None => break None,
            }
        };
        let measured = match point.allowed {
            Some(allowed) => self.measured(state, shop, &allowed)?,
            None => None,
        };
        let over = measured.as_ref().is_some_and(|own| own.over);
        let decision = self.decision(state, found.is_some() || over, over)?;
        self.write_finding(part, known, &Finding { shop, found, measured, decision })
    }

    /// What was measured, held against what is allowed.
    fn measured(&mut self, state: &State, shop: Habits, allowed: &Allowed) -> Turn<Option<Measured>> {
        let length = allowed.most_millimetres.is_some();
        let question = if length {
            format!(
                "Measured in {}, such as {}; Enter = not measured:",
                shop.length_unit(),
                shop.pick("0.1", ".004")
            )
        } else {
            "Measured, with its unit, such as 0.3 deg; Enter = not measured:".to_owned()
        };
        loop {
            let Some(text) = self.bench_text(state, &question)? else { return Ok(None) };
            if !length {
                if text.chars().any(|letter| letter.is_ascii_digit()) && text.chars().any(char::is_alphabetic)
                {
                    return Ok(Some(Measured { text, over: false }));
                }
                self.talk.refused("A number with its unit, such as 0.3 deg.")?;
                continue;
            }
            let unit = shop.length_unit();
            match amounts(&text).and_then(|found| match &found[..] {
                [one] => Ok((one.of::<Length>(unit)?, one.text(unit))),
                _ => Err("One length is wanted.".to_owned()),
            }) {
                Ok((measured, text)) => {
                    let over = allowed.exceeded_by(measured) == Some(true);
                    if over {
                        self.talk.doubted()?;
                        self.talk
                            .say(&format!("MORE THAN ALLOWED: {text}; {}.", allowed.words(shop.units)))?;
                    }
                    return Ok(Some(Measured { text, over }));
                }
                Err(words) => self.talk.refused(&words)?,
            }
        }
    }

    /// What becomes of it. Enter keeps what is good and replaces what is beyond its limit.
    fn decision(&mut self, state: &State, faulty: bool, over: bool) -> Turn<Option<PartDecision>> {
        let question = match (faulty, over) {
            (false, _) => "Keep it? Enter = keep, 2 = replace, s = decide later:",
            (true, true) => "Keep or replace? Enter = replace, 1 = keep all the same, s = decide later:",
            (true, false) => "Keep or replace? 1 = keep, 2 = replace, s = decide later:",
        };
        loop {
            match self.ask(state, question, words::HELP_BENCH_PART)? {
                Answer::Proposed if !faulty => return Ok(Some(PartDecision::Keep)),
                Answer::Proposed if over => return Ok(Some(PartDecision::Replace)),
                Answer::Skip => return Ok(None),
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) if is_yes(&text) || text.eq_ignore_ascii_case("keep") => {
                    return Ok(Some(PartDecision::Keep));
                }
                Answer::Text(text) if text == "2" || text.eq_ignore_ascii_case("replace") => {
                    return Ok(Some(PartDecision::Replace));
                }
                Answer::Proposed | Answer::Text(_) => {
                    self.talk.refused("1 = keep, 2 = replace, s = decide later, 0 = back to the list.")?;
                }
            }
        }
    }

    fn write_finding(&mut self, part: &BenchPart, known: &Known, finding: &Finding) -> Turn {
        let job = self.folder.join(JOB_FILE);
        let number = match part.found(&known.file) {
            Some((at, _)) => at,
            None => sections_in(&job, "inspection")?,
        };
        let text = finding.found.clone().unwrap_or_else(|| "nothing wrong".into());
        let limit = finding.measured.as_ref().and(part.looked.point.allowed);
        let limit = limit.map_or("", |allowed| allowed.words(finding.shop.units));
        let measured = finding.measured.as_ref().map_or("", |own| own.text.as_str());
        let decision = finding.decision.map_or("", PartDecision::word);
        let values = [
            ("part", part.name.as_str()),
            ("finding", text.as_str()),
            ("measured", measured),
            ("limit", limit),
            ("decision", decision),
        ];
        let spot = |key| Spot { section: "inspection", number: Some(number), key };
        let values: Vec<NewValue> =
            values.into_iter().map(|(key, text)| NewValue::text(spot(key), text)).collect();
        put_into_job(&job, &values)?;
        let decided = if decision.is_empty() { "to be decided" } else { decision };
        self.talk.taken(&format!("Taken: {}: {text}; {decided}.", part.name))?;
        Ok(())
    }
}

/// A measured value as it was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Measured {
    text: String,
    /// Whether it is more than is allowed.
    over: bool,
}

/// What was found on a part.
struct Finding {
    shop: Habits,
    found: Option<String>,
    measured: Option<Measured>,
    decision: Option<PartDecision>,
}
