//! `[received]`, `[built]`, `[[match_mark]]`, `[[inspection]]` and `[override]`.

use balance_core::quantity::{Angle, Length};
use balance_core::shaft::{InspectionItem, MatchMark, Override, OverrideFault, PartDecision, ShaftState};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Section};

pub(in crate::files::job) fn read_state(document: &Document<'_>, name: &'static str) -> Option<ShaftState> {
    let section = document.section(name);
    let changed = section.text("parts_changed").unwrap_or_default();
    let state = ShaftState {
        length: section.positive::<Length>("length"),
        tube_outer_diameter: section.positive::<Length>("tube_outer_diameter"),
        tube_wall: section.positive::<Length>("tube_wall"),
        joints: section.text("joints"),
        phase_angle: section.quantity::<Angle>("phase_angle"),
        damage: section.text("damage"),
        parts_changed: changed
            .split(';')
            .map(|part| part.trim().to_owned())
            .filter(|part| !part.is_empty())
            .collect(),
        welder: section.text("welder"),
        date: section.text("date"),
        note: section.text("note"),
    };
    section.is_present().then_some(state)
}

pub(in crate::files::job) fn read_match_marks(document: &Document<'_>) -> Vec<MatchMark> {
    let read = |section: &Section<'_, '_>| {
        let between = section.needed("between", section.text("between"));
        let mark = section.needed("mark", section.text("mark"));
        Some(MatchMark { between: between?, mark: mark? })
    };
    document.sections("match_mark").iter().filter_map(read).collect()
}

pub(super) fn read_inspection(document: &Document<'_>) -> Vec<InspectionItem> {
    let choices = [PartDecision::Keep, PartDecision::Replace].map(|decision| (decision.word(), decision));
    let read = |section: &Section<'_, '_>| {
        let part = section.needed("part", section.text("part"));
        let finding = section.needed("finding", section.text("finding"));
        let measured = section.text("measured");
        let limit = section.text("limit");
        let decision = section.choice("decision", &choices);
        Some(InspectionItem { part: part?, finding: finding?, measured, limit, decision })
    };
    document.sections("inspection").iter().filter_map(read).collect()
}

pub(super) fn read_override(document: &Document<'_>) -> Option<Override> {
    let section = document.section("override");
    let name = section.needed("name", section.text("name"));
    let reason = section.needed("reason", section.text("reason"));
    let note = |fault: OverrideFault| {
        let (key, allowed, hint) = match fault {
            OverrideFault::NoName => ("name", "a name with letters", "write who is responsible"),
            _ => ("reason", "at least three words", "say why it may spin anyway"),
        };
        section.fault(key, Fault::new("override-not-valid", fault.to_string(), allowed, hint));
    };
    Override::new(&name?, &reason?).map_err(|faults| faults.into_iter().for_each(note)).ok()
}
