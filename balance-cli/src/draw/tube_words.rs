//! The words of the tube picture: labels for the bore, notes under it, the description.

use super::figures::{degrees, turned};
use super::scene::Weight;
use super::tube_plane::{TubePlane, WeightState, Zone};
use super::{NARROW, SMALL, letters};
use balance_core::quantity::Units;

/// Size of the plane's name.
pub(super) const HEAD: f64 = 8.4;
/// With more labels than this the bore holds short ones and the notes the whole.
const ROOMY: usize = 4;

/// Whether the place stands beside the name; with a long name it goes to the notes.
pub(super) fn place_beside_name(plane: &TubePlane) -> bool {
    let name = letters::width(&plane.name.to_uppercase(), HEAD, Weight::Bold);
    let place = plane.place.as_ref().map_or(0.0, |place| letters::width(place, SMALL, Weight::Plain));
    let job = letters::width(&job_words(plane), SMALL, Weight::Bold);
    name + place + job < NARROW - 20.0
}

/// The job's number for the upper right corner.
pub(super) fn job_words(plane: &TubePlane) -> String {
    letters::shorten(&plane.job, SMALL, Weight::Bold, 80.0)
}

fn roomy(plane: &TubePlane) -> bool {
    plane.weights.len() + plane.zones.len() + usize::from(plane.ideal.is_some()) <= ROOMY
}

/// Every label: its angle and its lines. In a crowded bore mass and angle alone; the zones then stand in the notes.
pub(super) fn tags(plane: &TubePlane) -> Vec<(f64, Vec<String>)> {
    let place = |angle: f64| {
        let tape = plane.tape_words(plane.tape(angle));
        match plane.units {
            _ if !roomy(plane) => vec![degrees(angle)],
            Units::Both => vec![tape, degrees(angle)],
            Units::Metric | Units::Us => vec![format!("{tape}, {}", degrees(angle))],
        }
    };
    let weights = plane.weights.iter().map(|weight| {
        let mass =
            if roomy(plane) { plane.mass_words(weight.mass_g) } else { plane.mass_in_short(weight.mass_g) };
        let first = match weight.state {
            WeightState::ComesOff if roomy(plane) => format!("take off {mass}"),
            WeightState::ComesOff => format!("{mass} off"),
            WeightState::New | WeightState::There => mass,
        };
        (weight.degrees, std::iter::once(first).chain(place(weight.degrees)).collect())
    });
    let ideal = plane.ideal.iter().map(|ideal| {
        (ideal.degrees, std::iter::once(plane.mass_words(ideal.mass_g)).chain(place(ideal.degrees)).collect())
    });
    let zones = plane.zones.iter().filter(|_| roomy(plane)).map(|zone| {
        let (from, span) = zone.span();
        let mut lines = letters::wrap(&zone.reason, SMALL, Weight::Plain, 62.0);
        lines.truncate(2);
        lines.push(format!("{} to {}", degrees(from), degrees(from + span)));
        (zone_middle(zone), lines)
    });
    weights.chain(ideal).chain(zones).collect()
}

/// The middle of a zone, but not on the mark itself, where its line could be taken for the mark.
fn zone_middle(zone: &Zone) -> f64 {
    let (from, span) = zone.span();
    let middle = turned(from + span / 2.0);
    if middle.min(360.0 - middle) < 7.0 { turned(from + span * 0.8) } else { middle }
}

/// The lines under the picture.
pub(super) fn notes(plane: &TubePlane) -> Vec<String> {
    let mut words = Vec::new();
    if !roomy(plane) {
        words.extend(describe_all(plane));
    }
    if let Some(place) = plane.place.as_ref().filter(|_| !place_beside_name(plane)) {
        words.push(format!("Weights go {place}."));
    }
    let round = plane.tape_words(plane.once_round());
    words.push(format!("{}: once round is {round}.", plane.tube_words()));
    let counting = plane.counting_words();
    words.push(match plane.turns {
        Some(_) => format!(
            "Seen from the front. Tape and degrees count {counting} from the mark, to the middle of each weight."
        ),
        None => format!(
            "Which way it turns is not stated: look from the end where the small arrow runs {counting}."
        ),
    });
    words.extend(plane.zero_mark.as_ref().map(|mark| format!("The mark is the {mark}.")));
    let lines = |words: &String| letters::wrap(words, SMALL, Weight::Plain, NARROW - 8.0).into_iter().take(3);
    words.iter().flat_map(lines).collect()
}

/// The picture in words.
pub(super) fn describe(plane: &TubePlane) -> String {
    describe_all(plane).join("; ")
}

/// Every weight and zone in one line each.
fn describe_all(plane: &TubePlane) -> Vec<String> {
    let at = |angle: f64| format!("{}, {}", plane.tape_words(plane.tape(angle)), degrees(angle));
    let weights = plane.weights.iter().map(|weight| {
        let state = match weight.state {
            WeightState::New => "goes on",
            WeightState::There => "is there",
            WeightState::ComesOff => "comes off",
        };
        format!("{} {state} at {}", plane.mass_words(weight.mass_g), at(weight.degrees))
    });
    let zones = plane.zones.iter().map(|zone| {
        let (from, span) = zone.span();
        format!("nothing from {} to {}: {}", degrees(from), degrees(from + span), zone.reason)
    });
    let ideal = plane
        .ideal
        .iter()
        .map(|ideal| format!("{} at {}", plane.mass_words(ideal.mass_g), at(ideal.degrees)));
    weights.chain(ideal).chain(zones).collect()
}
