//! Which angle was meant, if one of its digits was not written down.

use crate::quantity::Angle;

/// Every whole angle of two or three digits that becomes this one when one of its digits is left out; none if this one
/// is no whole degree.
pub(super) fn with_one_digit_more(entered: Angle) -> Vec<i32> {
    let degrees = entered.degrees_in_turn();
    if (degrees - degrees.round()).abs() > 1e-6 {
        return Vec::new();
    }
    let written = format!("{degrees:.0}");
    let mut whole: Vec<i32> = Vec::new();
    for place in 0..=written.len() {
        let (left, right) = written.split_at(place);
        let longer = ('0'..='9').map(|digit| format!("{left}{digit}{right}"));
        let sound = longer.filter(|text| !text.starts_with('0')).filter_map(|text| text.parse::<i32>().ok());
        whole.extend(sound.filter(|degrees| *degrees < 360));
    }
    whole.sort_unstable();
    whole.dedup();
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(degrees: f64) -> Vec<i32> {
        with_one_digit_more(Angle::from_degrees(degrees).expect("a number"))
    }

    /// Counted by hand.
    #[test]
    fn a_digit_more_at_every_place() {
        let nine: Vec<i32> = (19..=89).step_by(10).chain(90..=99).collect();
        assert_eq!(of(9.0), nine);
        assert_eq!(of(70.0), [170, 270]);
        assert_eq!(of(36.0), [136, 236, 306, 316, 326, 336, 346, 356]);
        assert_eq!(of(120.0), [0; 0]);
        assert_eq!(of(9.5), [0; 0]);
    }
}
