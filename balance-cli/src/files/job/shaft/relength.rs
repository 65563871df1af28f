//! `[relength]` and `[[yoke_change]]`: what decides the tube's length.

use balance_core::job::{Relength, YokeSwap};
use balance_core::quantity::{Length, Mass};
use balance_core::shaft::{SlipStroke, SlipTravel, TubeCut, Yoke, YokeChange};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Section};

/// Both welds together shrink by about this much in mm (0.3-0.8 mm an end on thin tube: common practice, no
/// source).
const USUAL_SHRINKAGE: f64 = 1.0;

pub(super) fn read(document: &Document<'_>) -> Option<Relength> {
    let section = document.section("relength");
    let joint_centres = section.needed("joint_centres", section.positive::<Length>("joint_centres"));
    let front_shoulder = section.needed("front_shoulder", section.quantity::<Length>("front_shoulder"));
    let rear_shoulder = section.needed("rear_shoulder", section.quantity::<Length>("rear_shoulder"));
    let allowance = section.quantity::<Length>("shrink_allowance");
    let stroke = read_stroke(&section);
    let travel = [section.positive::<Length>("at_droop"), section.positive::<Length>("at_bump")];
    let (joint_centres, front_shoulder, rear_shoulder) = (joint_centres?, front_shoulder?, rear_shoulder?);
    let usual = Length::from_millimetres(USUAL_SHRINKAGE).ok()?;
    let shrink_allowance = allowance.unwrap_or(usual);
    let cut = TubeCut { joint_centres, front_shoulder, rear_shoulder, shrink_allowance };
    let Some(tube_length) = cut.length() else {
        let found =
            format!("yokes that are longer than {} together", section.entered(joint_centres.millimetres()));
        let hint = "measure shoulders from the joint centre to where the tube butts on";
        section.fault("joint_centres", Fault::new("nothing-left", found, "more than both shoulders", hint));
        return None;
    };
    let met: Vec<Length> = travel.into_iter().flatten().chain([joint_centres]).collect();
    Some(Relength {
        cut,
        usual_allowance: allowance.is_none(),
        tube_length,
        stroke,
        travel: SlipTravel::measured(&met).filter(|_| met.len() > 1),
    })
}

fn read_stroke(section: &Section<'_, '_>) -> Option<SlipStroke> {
    let shortest = section.positive::<Length>("slip_shortest");
    let longest = section.positive::<Length>("slip_longest");
    if shortest.is_none() && longest.is_none() {
        return None;
    }
    let (shortest, longest) =
        (section.needed("slip_shortest", shortest)?, section.needed("slip_longest", longest)?);
    if shortest < longest {
        return Some(SlipStroke { shortest, longest });
    }
    let at = |length: Length| section.entered(length.millimetres());
    let found = format!("a slip from {} to {}", at(shortest), at(longest));
    let allowed = format!("more than {}", at(shortest));
    section.fault(
        "slip_longest",
        Fault::new("from-after-to", found, allowed, "were shortest and longest swapped?"),
    );
    None
}

pub(super) fn read_yoke_changes(document: &Document<'_>) -> Vec<YokeSwap> {
    let read = |section: &Section<'_, '_>| {
        let end = section.choice("end", &[("front", "front"), ("rear", "rear")]);
        let end = section.needed("end", end);
        let old = read_yoke(section, ["old_series", "old_centre_to_shoulder", "old_mass"]);
        let new = read_yoke(section, ["new_series", "new_centre_to_shoulder", "new_mass"]);
        let (old, new) = (old?, new?);
        Some(YokeSwap { end: end?.into(), change: YokeChange::new(&old, &new), old, new })
    };
    document.sections("yoke_change").iter().filter_map(read).collect()
}

fn read_yoke(section: &Section<'_, '_>, [series, shoulder, mass]: [&'static str; 3]) -> Option<Yoke> {
    let series = section.needed(series, section.text(series));
    let centre_to_shoulder = section.needed(shoulder, section.positive::<Length>(shoulder));
    let mass = section.needed(mass, section.positive::<Mass>(mass));
    Some(Yoke { series: series?, centre_to_shoulder: centre_to_shoulder?, mass: mass? })
}
