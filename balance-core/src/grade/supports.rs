//! Where the limit holds if not stated: at the supports of the shaft, or of each of its parts.

use crate::quantity::Length;
use crate::shaft::{Part, Sensor, TolerancePlane, Tube};

/// The places where the limit holds if the job names none.
///
/// # Method
///
/// A shaft of parts: each part's two supports, that is the joint centres at the two ends and the steady bearing between
/// two parts; two parts share it. A bearing counts as the one between two parts if it sits within a tenth of the
/// shorter part's length of where they meet; without a bearing the place where they meet counts. A bearing anywhere
/// else is a place of its own. A shaft of one piece: its joint centres; without a tube the outermost sensors.
///
/// # Source
///
/// Each part is a rigid rotor on two supports (ISO 21940-11:2016, tolerance planes \[from memory\]); the tenth: derived
/// here, a bracket sits closer to its joint than that.
///
/// # Example
///
/// ```
/// use balance_core::{grade::default_tolerance_planes, quantity::parse, shaft::Part};
/// let part = |name: &str, mass, from, to| Ok::<Part, balance_core::quantity::QuantityFault>(Part {
///     name: name.into(), mass: parse(mass)?, from: parse(from)?, to: parse(to)?,
/// });
/// let parts = [part("front half", "7 kg", "0 mm", "850 mm")?, part("rear half", "8 kg", "850 mm", "1900 mm")?];
/// let planes = default_tolerance_planes(None, &parts, &[parse("830 mm")?], &[]);
/// let found: Vec<(&str, f64)> =
///     planes.iter().map(|plane| (plane.name.as_str(), plane.position.millimetres())).collect();
/// assert_eq!(found, [("front joint", 0.0), ("steady bearing", 830.0), ("rear joint", 1900.0)]);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn default_tolerance_planes(
    tube: Option<&Tube>,
    parts: &[Part],
    bearings: &[Length],
    sensors: &[Sensor],
) -> Vec<TolerancePlane> {
    match (parts, tube) {
        ([first, ..], _) => of_parts(first, parts, tube, bearings),
        ([], Some(tube)) => vec![plane("front joint", 0.0), plane("rear joint", tube.length.millimetres())],
        ([], None) => outermost(sensors),
    }
}

fn of_parts(first: &Part, parts: &[Part], tube: Option<&Tube>, bearings: &[Length]) -> Vec<TolerancePlane> {
    let last = parts.last().unwrap_or(first);
    let front = if first.near_end(0.0, first.ends().0) { 0.0 } else { first.ends().0 };
    let end = tube.map(|tube| tube.length.millimetres()).filter(|&end| last.near_end(end, last.ends().1));
    let rear = end.unwrap_or(last.ends().1);
    let mut places: Vec<f64> =
        parts.windows(2).flat_map(|pair| meeting(&pair[0], &pair[1], bearings)).collect();
    let told = |bearing: &f64| {
        places.contains(bearing) || first.near_end(*bearing, front) || last.near_end(*bearing, rear)
    };
    let elsewhere: Vec<f64> = bearings.iter().map(|own| own.millimetres()).filter(|own| !told(own)).collect();
    places.extend(elsewhere);
    places.sort_by(f64::total_cmp);
    let name = |at: usize| {
        if places.len() == 1 { "steady bearing".to_owned() } else { format!("steady bearing {}", at + 1) }
    };
    let between = places.iter().enumerate().map(|(at, &place)| plane(&name(at), place));
    std::iter::once(plane("front joint", front)).chain(between).chain([plane("rear joint", rear)]).collect()
}

/// Where two parts share a support: at the bearing, otherwise where they meet; parts that are far apart each
/// have their own.
fn meeting(front: &Part, rear: &Part, bearings: &[Length]) -> Vec<f64> {
    let (end, start) = (front.ends().1, rear.ends().0);
    let shared = |place: &f64| front.near_end(*place, end) && rear.near_end(*place, start);
    let middle = (end + start) / 2.0;
    let off = |place: &f64| (place - middle).abs();
    let bearings = bearings.iter().map(|bearing| bearing.millimetres()).filter(shared);
    match bearings.min_by(|one, other| off(one).total_cmp(&off(other))) {
        Some(bearing) => vec![bearing],
        None if shared(&middle) => vec![middle],
        None => vec![end, start],
    }
}

/// The two outermost places where the stand reads.
fn outermost(sensors: &[Sensor]) -> Vec<TolerancePlane> {
    let mut places: Vec<TolerancePlane> = sensors
        .iter()
        .filter_map(|sensor| Some(TolerancePlane { name: sensor.name.clone(), position: sensor.position? }))
        .collect();
    places.sort_by(|one, other| one.position.millimetres().total_cmp(&other.position.millimetres()));
    places.dedup_by(|one, other| one.position == other.position);
    if places.len() > 2 {
        places.drain(1..places.len() - 1);
    }
    places
}

fn plane(name: &str, millimetres: f64) -> TolerancePlane {
    let position = Length::from_millimetres(millimetres).expect("a place between lengths is a length");
    TolerancePlane { name: name.into(), position }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Mass;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn part(from: f64, to: f64) -> Part {
        Part { name: format!("{from}"), mass: Mass::from_grams(7000.0).unwrap(), from: at(from), to: at(to) }
    }

    fn found(parts: &[Part], tube: Option<f64>, bearings: &[f64]) -> Vec<f64> {
        let tube = tube.map(|length| Tube { outer_diameter: at(76.2), wall: at(1.65), length: at(length) });
        let bearings: Vec<Length> = bearings.iter().map(|own| at(*own)).collect();
        let planes = default_tolerance_planes(tube.as_ref(), parts, &bearings, &[]);
        planes.iter().map(|plane| plane.position.millimetres()).collect()
    }

    #[test]
    fn each_part_has_two_supports_and_two_parts_share_one() {
        let whole = [part(0.0, 850.0), part(850.0, 1900.0)];
        assert_eq!(found(&whole, Some(1900.0), &[850.0]), [0.0, 850.0, 1900.0]);
        assert_eq!(found(&whole, Some(1900.0), &[]), [0.0, 850.0, 1900.0], "a bearing is taken to be there");
        assert_eq!(found(&whole, None, &[830.0]), [0.0, 830.0, 1900.0]);
        // Parts measured from weld to weld leave a gap at the joint and stubs at the ends.
        let welds = [part(40.0, 840.0), part(860.0, 1870.0)];
        assert_eq!(found(&welds, Some(1900.0), &[]), [0.0, 850.0, 1900.0]);
        let three = [part(0.0, 700.0), part(700.0, 1300.0), part(1300.0, 2000.0)];
        assert_eq!(found(&three, Some(2000.0), &[690.0, 1290.0]), [0.0, 690.0, 1290.0, 2000.0]);
    }

    #[test]
    fn a_bearing_anywhere_else_is_a_place_of_its_own() {
        let whole = [part(0.0, 850.0), part(850.0, 1900.0)];
        assert_eq!(found(&whole, Some(1900.0), &[400.0, 850.0]), [0.0, 400.0, 850.0, 1900.0]);
        assert_eq!(
            found(&whole, Some(1900.0), &[0.0, 850.0, 1900.0]),
            [0.0, 850.0, 1900.0],
            "held at its ends"
        );
        let apart = [part(0.0, 500.0), part(900.0, 1900.0)];
        assert_eq!(found(&apart, Some(1900.0), &[]), [0.0, 500.0, 900.0, 1900.0]);
    }

    #[test]
    fn a_shaft_of_one_piece_has_its_joint_centres_or_the_outermost_sensors() {
        assert_eq!(found(&[], Some(1385.0), &[600.0]), [0.0, 1385.0]);
        let sensor = |name: &str, mm| Sensor { position: Some(at(mm)), ..Sensor::vibration(name, "mm/s") };
        let sensors = [sensor("rear", 1300.0), sensor("middle", 600.0), sensor("front", 20.0)];
        let planes = default_tolerance_planes(None, &[], &[], &sensors);
        let names: Vec<&str> = planes.iter().map(|plane| plane.name.as_str()).collect();
        assert_eq!(names, ["front", "rear"]);
    }
}
