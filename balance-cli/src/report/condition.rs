//! The shaft as it came and as it was built, what was looked at, and the gauges.

use balance_core::run::{PlaceError, ReadingNoise};
use balance_core::shaft::{InspectionItem, ShaftCheck, ShaftState};
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::{facts, table};
use super::words::{
    UNKNOWN, degrees, fine_length, length, listed, shaft_mass, shop_units, speed, trimmed, unbalance,
};
use crate::print::text::units;
use balance_core::quantity::{Units, shown};

pub fn received_and_built(input: &ReportInput<'_>) -> Markup {
    html! {
        (states(shop_units(input), input.shaft.received.as_ref(), input.shaft.built.as_ref()))
        (setup(input))
    }
}

/// The shaft as it came beside the shaft as it was built.
pub fn states(shop: Units, received: Option<&ShaftState>, built: Option<&ShaftState>) -> Markup {
    let cell = |state: Option<&ShaftState>, of: OfState| {
        state.and_then(|state| of(shop, state)).unwrap_or_else(|| "–".into())
    };
    let rows: Vec<Vec<String>> = STATE
        .iter()
        .map(|(name, of)| vec![(*name).to_owned(), cell(received, *of), cell(built, *of)])
        .collect();
    html! {
        @if received.is_none() && built.is_none() {
            p { "How it came and how it was built is not written down." }
        } @else {
            (table(&["", "As received", "As built"], &rows))
        }
    }
}

type OfState = fn(Units, &ShaftState) -> Option<String>;

/// The lines of the table, in the order in which one works.
const STATE: [(&str, OfState); 10] = [
    ("Length, joint to joint", |shop, state| state.length.map(|own| length(shop, own))),
    ("Tube, outer diameter", |shop, state| {
        state.tube_outer_diameter.map(|own| fine_length(shop, own.millimetres()))
    }),
    ("Tube, wall", |shop, state| state.tube_wall.map(|own| fine_length(shop, own.millimetres()))),
    ("Joints", |_, state| state.joints.clone()),
    ("Yokes out of phase by", |_, state| {
        state.phase_angle.map(|own| format!("{}°", trimmed(&format!("{:.1}", own.degrees()))))
    }),
    ("Damage", |_, state| state.damage.clone()),
    ("Parts changed", |_, state| (!state.parts_changed.is_empty()).then(|| listed(&state.parts_changed))),
    ("Welder", |_, state| state.welder.clone()),
    ("Date", |_, state| state.date.clone()),
    ("Note", |_, state| state.note.clone()),
];

/// What the balance was worked out from.
fn setup(input: &ReportInput<'_>) -> Markup {
    let shop = shop_units(input);
    let Some(file) = input.view.file else {
        return html! { p { "There is no job file, so mass, tube, speed and grade are not known." } };
    };
    let measures = &file.job.measures;
    let tube = measures.tube.as_ref();
    facts(&[
        (
            "Tube used",
            tube.map(|tube| {
                format!(
                    "{} × {}, {} joint to joint",
                    fine_length(shop, tube.outer_diameter.millimetres()),
                    fine_length(shop, tube.wall.millimetres()),
                    length(shop, tube.length)
                )
            }),
        ),
        ("Material", Some(file.job.shaft.material.name().unwrap_or(UNKNOWN).to_owned())),
        ("Mass", measures.mass.map(|mass| shaft_mass(shop, mass))),
        ("Mass centre from the front joint", measures.mass_centre.map(|centre| length(shop, centre))),
    ])
}

pub fn places(input: &ReportInput<'_>) -> Markup {
    let shop = shop_units(input);
    let setup = input.view.answer.runs.setup();
    let at = |position: Option<balance_core::quantity::Length>| {
        position.map_or_else(|| UNKNOWN.into(), |own| length(shop, own))
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for plane in &setup.planes {
        let radius = plane.radius.map(|own| format!("radius {}", fine_length(shop, own.millimetres())));
        let trial =
            plane.trial_radius.map(|own| format!("trial masses at {}", fine_length(shop, own.millimetres())));
        let words: Vec<String> = radius.into_iter().chain(trial).collect();
        rows.push(vec![plane.name.clone(), "where weights go".into(), at(plane.position), words.join(", ")]);
    }
    for sensor in &setup.sensors {
        rows.push(vec![
            sensor.name.clone(),
            "where it reads".into(),
            at(sensor.position),
            sensor.unit.clone(),
        ]);
    }
    if let Ok(limits) = &input.view.answer.limits {
        for limit in &limits.planes {
            let words = format!("allowed {}", unbalance(shop, limit.amount.gram_millimetres()));
            rows.push(vec![
                limit.name.clone(),
                "where the limit holds".into(),
                length(shop, limit.position),
                words,
            ]);
        }
    }
    for zone in &input.view.answer.job.weld_plan.no_weld {
        let (from, to) = (zone.sector.from_degrees(), zone.sector.to_degrees());
        rows.push(vec![
            setup.planes[zone.plane].name.clone(),
            "where nothing may be welded".into(),
            at(setup.planes[zone.plane].position),
            format!("{from:.0}° to {:.0}°: {}", to.rem_euclid(360.0), zone.reason),
        ]);
    }
    table(&["Place", "What for", "From the front joint", ""], &rows)
}

pub fn inspection(input: &ReportInput<'_>) -> Markup {
    findings(&input.shaft.inspection)
}

/// What was looked at, a row each.
pub fn findings(items: &[InspectionItem]) -> Markup {
    if items.is_empty() {
        return html! { p { "No inspection is written down." } };
    }
    let row = |item: &InspectionItem| {
        vec![
            item.part.clone(),
            item.finding.clone(),
            item.measured.clone().unwrap_or_else(|| "–".into()),
            item.limit.clone().unwrap_or_else(|| "–".into()),
            item.decision.map_or("open", balance_core::shaft::PartDecision::word).to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = items.iter().map(row).collect();
    table(&["Part", "Found", "Measured", "Limit", "Decided"], &rows)
}

/// The runout, station by station, and the joints.
pub fn runout_and_joints(input: &ReportInput<'_>) -> Markup {
    checked(shop_units(input), input.shaft.check.as_ref())
}

/// The same of a check.
pub fn checked(shop: Units, check: Option<&ShaftCheck>) -> Markup {
    let runout = check.and_then(|check| check.runout.as_ref()).map(|map| {
        let row = |station: &balance_core::shaft::StationRunout| {
            vec![
                units::length(shop, station.position),
                fine_length(shop, station.total_indicator),
                fine_length(shop, station.out_of_round),
            ]
        };
        map.stations.iter().map(row).collect::<Vec<_>>()
    });
    let joints = check.and_then(|check| check.joints.as_ref());
    html! {
        @match runout {
            Some(rows) => (table(&["Runout at", "Total indicator reading", "Out of round"], &rows)),
            None => p { "Runout: not measured." },
        }
        @match joints {
            Some(found) => p {
                "Joints: act as a single joint at " (trimmed(&format!("{:.1}", found.equivalent_angle.degrees())))
                "°; torsional acceleration " (format!("{:.0}", found.torsional_acceleration)) " rad/s²."
            },
            None => p { "Joint angles: not written down." },
        }
    }
}

/// How well the stand, the tape and the scale are known.
pub fn gauges(input: &ReportInput<'_>) -> Markup {
    let shop = shop_units(input);
    let noise = &input.view.answer.runs.setup().noise;
    let reading = match noise.reading {
        ReadingNoise::NotStated => "not written down; taken from repeated runs, if there are any".to_owned(),
        ReadingNoise::Proportional { fraction, floor } => format!(
            "{} % of the reading and {} of its unit, one standard deviation",
            trimmed(&format!("{:.2}", 100.0 * fraction)),
            trimmed(&format!("{floor:.4}"))
        ),
        ReadingNoise::Swing { amplitude, phase } => format!(
            "the needles swing over {} of the unit and {} in all",
            trimmed(&format!("{amplitude:.4}")),
            degrees(phase)
        ),
    };
    let place = noise.place_error.map(|error| match error {
        PlaceError::Tape(own) => fine_length(shop, own.millimetres()),
        PlaceError::Angle(own) => format!("{}°", trimmed(&format!("{:.1}", own.degrees()))),
    });
    let stand = input.view.file.map(|file| &file.job.stand);
    facts(&[
        ("Readings scatter by", Some(reading)),
        ("Weights sit within (tape)", Some(place.unwrap_or_else(|| "taken as exact".into()))),
        ("Scale", Some(scale(shop, noise.scale_error.grams()))),
        (
            "Clamping again changes",
            stand.and_then(|own| own.mounting_scatter).map(|own| unbalance(shop, own.gram_millimetres())),
        ),
        ("The stand's own limit", stand.and_then(|own| own.most_speed).map(speed)),
        (
            "Stopped above a reading of",
            stand.and_then(|own| own.most_reading).map(|own| trimmed(&format!("{own:.3}"))),
        ),
    ])
}

fn scale(shop: Units, grams: f64) -> String {
    if grams <= 0.0 {
        return "taken as exact".into();
    }
    let ounces = shown::figures(grams / balance_core::quantity::GRAMS_PER_OUNCE, 3);
    shop.show(format!("{} g", shown::trimmed(grams, 2)), format!("{ounces} oz"))
}
