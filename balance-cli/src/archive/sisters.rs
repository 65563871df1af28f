//! From the responses kept in records to the pool of a type's shafts.

use balance_core::answer::Sisters;
use balance_core::influence::{ShaftAnswers, Sister, TypeReport};

use super::operations::TypeHistory;

/// Pools a type's history; records whose response cannot be read are named.
#[must_use]
pub fn type_report(history: &TypeHistory) -> TypeReport {
    let (mut sisters, mut unreadable) = (Vec::new(), Vec::new());
    for own in &history.answers {
        match serde_json::from_str::<ShaftAnswers>(&own.answers) {
            Ok(answers) => {
                sisters.push(Sister { record: own.record, made_at: own.made_at.clone(), answers });
            }
            Err(_) => unreadable.push((own.record, "its response cannot be read")),
        }
    }
    let pooled = TypeReport::of(&history.key, sisters);
    let left_out = unreadable.into_iter().chain(pooled.left_out).collect();
    TypeReport { shafts: history.shafts, left_out, ..pooled }
}

/// The responses of a type's shafts, without those of one job.
#[must_use]
pub fn sisters_of(history: &TypeHistory, own_number: Option<&str>) -> Sisters {
    let others = history.answers.iter().filter(|own| own_number != Some(own.number.as_str()));
    Sisters {
        shaft_type: history.key.clone(),
        shafts: others.filter_map(|own| serde_json::from_str(&own.answers).ok()).collect(),
    }
}

/// How a shaft responded, as kept in a record.
#[must_use]
pub fn answers_text(answers: &ShaftAnswers) -> String {
    serde_json::to_string(answers).expect("plain numbers and names are JSON")
}
