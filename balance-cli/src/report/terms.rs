//! What the words of the record mean, and the clauses they rest on.

use maud::Markup;

use super::ReportInput;
use super::pieces::list;

pub fn terms(input: &ReportInput<'_>) -> Markup {
    let mut lines = vec![
        "Allowed is the permissible residual unbalance of ISO 21940-11: grade times mass divided by angular speed, \
         shared out to the places where the limit holds by where the mass centre lies, or the shop's own limit."
            .to_owned(),
        "Give or take is the radius of the circle that holds what is really left 95 times in 100; errors that push one way \
         only are added to it (errors of balancing: ISO 21940-14)."
            .into(),
        "MEETS: the chance that all ends together are within what is allowed is 95 % or more, with errors that push one way \
         only counted against the shaft. TOO MUCH IS LEFT: at one end at least the chance of being beyond it is 95 % or \
         more, with such errors counted in the shaft's favour. Otherwise it CANNOT BE TOLD YET (acceptance and rejection: \
         ISO 21940-14)."
            .into(),
        "The verdict is about the shaft as it was measured: at the stand's speeds, in the mountings that were read, \
         assembled to its marks. It says nothing about strength, wear, joints, bearings or the vehicle."
            .into(),
        "It ends with any weld, lost weight, changed part, dent or different assembly.".into(),
    ];
    if input.view.answer.judged.is_none() {
        lines.push("This record has no verdict: that takes a check run and a limit.".into());
    }
    list(&lines)
}
