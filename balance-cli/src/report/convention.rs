//! How angles are counted, and how that was proved.

use balance_core::run::{MassAngle, Phase, PhaseSense, Turns};
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::facts;
use super::words::UNKNOWN;

pub fn convention(input: &ReportInput<'_>) -> Markup {
    let own = &input.view.answer.runs.setup().convention;
    let known = |words: &str| {
        Some(
            if own.stated { words } else { "not written down; assumed that both are counted the same way" }
                .to_owned(),
        )
    };
    let turns = own.turns.map_or(UNKNOWN, |turns| match turns {
        Turns::Clockwise => "clockwise seen from the front",
        Turns::CounterClockwise => "counter-clockwise seen from the front",
    });
    let masses = match own.mass_angle {
        MassAngle::AgainstRotation => "against rotation, from the zero mark",
        MassAngle::WithRotation => "with rotation, from the zero mark",
    };
    let phase = match own.phase {
        Phase::Lag => "lag: the peak comes this many degrees after the mark",
        Phase::Lead => "lead: the peak comes this many degrees before the mark",
        Phase::SameWayAsMasses => "the same way as masses",
        Phase::OppositeToMasses => "opposite to masses",
        Phase::NotShown => "not shown by the dial",
    };
    let used = match own.phase_sense() {
        PhaseSense::SameAsMasses => "as they are",
        PhaseSense::OppositeToMasses => "mirrored",
    };
    html! {
        (facts(&[
            ("Zero mark", Some(own.zero_mark.clone().unwrap_or_else(|| UNKNOWN.into()))),
            ("The shaft turns", Some(turns.into())),
            ("Degrees and tape run", known(masses)),
            ("The stand's phase is", known(phase)),
            ("Readings are used", Some(used.into())),
            ("Proved", Some(own.proved.clone().unwrap_or_else(|| "not proved by a quarter-turn trial".into()))),
        ]))
    }
}
