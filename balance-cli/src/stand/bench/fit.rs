//! A yoke that must take another size of joint: whether both yokes of the joint take one.

use balance_core::quantity::{Length, parse, shown};
use balance_core::shaft::{JointSize, Misfit, YokeSize};

use super::list::joints;
use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job, sections_in};
use crate::stand::line::is_yes;
use crate::stand::questions::Known;
use crate::stand::session::{Answer, Break, Session, Turn};
use crate::stand::state::State;
use crate::stand::words;
use crate::typed::Habits;

/// Cap diameter and width as typed.
type Typed = [String; 2];

impl Session<'_, '_> {
    pub(super) fn fit(&mut self, state: &State, known: &Known) -> Turn {
        let shop = Habits::of(&known.file.job);
        self.talk.say(
            "ANOTHER SIZE OF JOINT: measure what both yokes of the joint take, the diameter of a cap (or of the bore) and \
             the width over both caps, between the stops of the snap rings.",
        )?;
        let joints = joints(&known.file);
        let joint = self.which_joint(state, &joints)?;
        loop {
            let own = self.yoke(state, shop, "The yoke on this shaft")?;
            let other = self.yoke(state, shop, "The yoke or flange on the other side")?;
            let size =
                JointSize { joint: joint.clone(), shaft_yoke: size_of(&own)?, other_yoke: size_of(&other)? };
            let Some(misfit) = size.misfit() else {
                return self.write_size(known, &joint, &own, &other);
            };
            self.talk
                .refused(&format!("THEY DO NOT FIT ONE JOINT: {}.", misfit_words(shop, &size, misfit)))?;
            self.talk.say(
                "Nothing was taken. It needs a yoke or flange of the same size, or a joint that its maker lists with both \
                 sizes; never a bush, a ground cap or a loose ring.",
            )?;
            let question = "1 = write it down as a finding, Enter = measure again, 0 = list:";
            match self.ask(state, question, words::HELP_BENCH_PART)? {
                Answer::Text(text) if is_yes(&text) => return self.write_misfit(&joint, &own, &other),
                Answer::Zero => return Err(Break::Undo),
                _ => {}
            }
        }
    }

    fn which_joint(&mut self, state: &State, joints: &[String]) -> Turn<String> {
        for (at, joint) in joints.iter().enumerate() {
            self.talk.item(&format!("{} = {joint}", at + 1))?;
        }
        loop {
            let text = self.bench_text(state, "Which joint? Its number:")?;
            let number = text.and_then(|text| text.parse::<usize>().ok());
            match number.and_then(|at| joints.get(at.checked_sub(1)?)) {
                Some(joint) => return Ok(joint.clone()),
                None => self.talk.refused(&format!("1 to {}, 0 = back to the list.", joints.len()))?,
            }
        }
    }

    fn yoke(&mut self, state: &State, shop: Habits, which: &str) -> Turn<Typed> {
        let (unit, example) = shop.pick(("mm", "27 81.8"), ("inches", "1 3.2"));
        let question = format!("{which}: cap and width in {unit}, such as {example}:");
        loop {
            match self.lengths(state, &question, shop.length_unit(), 2)? {
                Some(found) => {
                    if let Ok(typed) = Typed::try_from(found) {
                        return Ok(typed);
                    }
                }
                None => self.talk.refused("Two lengths are wanted; 0 = back to the list.")?,
            }
        }
    }

    fn write_size(&mut self, known: &Known, joint: &str, own: &Typed, other: &Typed) -> Turn {
        let job = self.folder.join(JOB_FILE);
        let same = known.file.paperwork.joint_sizes.iter().position(|size| size.joint == joint);
        let number = match same {
            Some(at) => at,
            None => sections_in(&job, "joint_size")?,
        };
        let spot = |key| Spot { section: "joint_size", number: Some(number), key };
        let values = [
            ("joint", joint),
            ("shaft_cap", &own[0]),
            ("shaft_width", &own[1]),
            ("other_cap", &other[0]),
            ("other_width", &other[1]),
        ];
        put_into_job(&job, &values.map(|(key, text)| NewValue::text(spot(key), text)))?;
        self.talk.taken(&format!(
            "Taken: both yokes of the {joint} take one joint, caps {} x {}.",
            own[0], own[1]
        ))?;
        Ok(())
    }

    /// The yokes as a finding of the inspection.
    fn write_misfit(&mut self, joint: &str, own: &Typed, other: &Typed) -> Turn {
        let job = self.folder.join(JOB_FILE);
        let number = Some(sections_in(&job, "inspection")?);
        let spot = |key| Spot { section: "inspection", number, key };
        let part = format!("{joint}: yokes of two sizes");
        let measured =
            format!("{} x {} on the shaft, {} x {} on the other side", own[0], own[1], other[0], other[1]);
        let values = [
            ("part", part.as_str()),
            ("finding", "the yokes do not take one joint"),
            ("measured", &measured),
            ("limit", "the same caps and the same width"),
            ("decision", "replace"),
        ];
        put_into_job(&job, &values.map(|(key, text)| NewValue::text(spot(key), text)))?;
        self.talk.taken(&format!("Taken: {part}; replace."))?;
        Ok(())
    }
}

fn size_of(typed: &Typed) -> Turn<YokeSize> {
    // Both were read as lengths when they were typed.
    let length = |text: &String| parse::<Length>(text).map_err(|_| Break::Undo);
    Ok(YokeSize { cap_diameter: length(&typed[0])?, width: length(&typed[1])? })
}

fn misfit_words(shop: Habits, size: &JointSize, misfit: Misfit) -> String {
    let pair = |one: Length, other: Length| {
        let [one, other] = [one, other].map(|own| shown::fine_length(shop.units, own.millimetres()));
        format!("{one} and {other}")
    };
    let caps = misfit.caps.then(|| {
        format!("the caps are {}", pair(size.shaft_yoke.cap_diameter, size.other_yoke.cap_diameter))
    });
    let width = misfit
        .width
        .then(|| format!("the widths are {}", pair(size.shaft_yoke.width, size.other_yoke.width)));
    caps.into_iter().chain(width).collect::<Vec<String>>().join(", ")
}
