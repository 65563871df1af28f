//! `balance-explanation/1`.

use crate::correction::explain::{Explanation, Finding, Outcome as Found};
use serde::Serialize;

use super::{CautionJson, cautions, line};
use crate::answer::Answer;

#[derive(Serialize)]
struct ExplanationJson<'a> {
    format: &'static str,
    shaft: &'a str,
    found: &'static str,
    /// The label of the run that does not fit the runs before it.
    run: Option<&'a str>,
    stories: Vec<StoryJson>,
    sentences: Vec<String>,
    cautions: Vec<CautionJson>,
}

#[derive(Serialize)]
struct StoryJson {
    story: String,
    behind_the_best: f64,
    named_with_the_best: bool,
    /// `None`: a reading has to be taken again first.
    correction: Option<String>,
    look_at: String,
}

/// What went wrong at one shaft on one line.
#[must_use]
pub fn explanation(answer: &Answer, explanation: &Explanation) -> String {
    let (set, units) = (&answer.runs, answer.job.units);
    let story = |finding: &Finding| StoryJson {
        story: finding.hypothesis.sentence(set, units),
        behind_the_best: finding.gap,
        named_with_the_best: finding.named_with_the_best(),
        correction: finding.corrected(set, units),
        look_at: finding.hypothesis.look_at(set),
    };
    line(&ExplanationJson {
        format: "balance-explanation/1",
        shaft: &answer.shaft,
        found: word(&explanation.outcome),
        run: explanation.accused.and_then(|[row, _]| set.rows().get(row)).map(|row| row.run.label.as_str()),
        stories: match &explanation.outcome {
            Found::Fits(findings) => findings.iter().map(story).collect(),
            _ => Vec::new(),
        },
        sentences: explanation.sentences(set, units),
        cautions: cautions(answer.job.units, &answer.cautions),
    })
}

fn word(found: &Found) -> &'static str {
    match found {
        Found::NoNoise => "no figure for the noise",
        Found::NothingToCompare => "nothing to compare",
        Found::NothingWrong => "nothing wrong",
        Found::Fits(_) => "a story fits",
        Found::NoneOfThese => "none of these",
    }
}
