//! What the words of the record mean, and the clauses they rest on.

use maud::Markup;

use super::ReportInput;
use super::pieces::list;

pub fn terms(input: &ReportInput<'_>) -> Markup {
    let mut lines = vec![
        "Allowed is the permissible residual unbalance of ISO 21940-11: grade times mass divided by angular speed, \
         shared out to the places where the limit holds by where the mass centre lies, or the shop's own limit."
            .to_owned(),
        "Give or take is the radius of the circle that holds what is really left 95 times of 100; what pushes one way \
         only is added to it (errors of balancing: ISO 21940-14)."
            .into(),
        "MEETS: with a chance of 95 % or more every end is within what is allowed, all ends together, what pushes one way \
         only counted against the shaft. TOO MUCH IS LEFT: at one end at least it is beyond that with a chance of 95 % or \
         more, what pushes one way only counted for the shaft. Else it CANNOT BE TOLD YET (accept and reject after \
         ISO 21940-14)."
            .into(),
        "The verdict speaks of the shaft as it was measured: at the stand's speeds, in the mountings that were read, \
         assembled to its marks. It says nothing of strength, wear, joints, bearings or the vehicle."
            .into(),
        "It ends with any weld, lost weight, changed part, dent or other assembly.".into(),
    ];
    if input.view.answer.judged.is_none() {
        lines.push("This record has no verdict: only a check run tells, and only against a limit.".into());
    }
    list(&lines)
}
