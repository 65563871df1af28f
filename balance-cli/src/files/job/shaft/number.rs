//! Plain numbers that must be above zero.

use crate::files::problem::Fault;
use crate::files::toml_reader::Section;

/// A plain number above zero.
pub(super) fn above_zero(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    let number = section.number(key)?;
    if number > 0.0 {
        return Some(number);
    }
    let hint = "leave the line out if it is not known";
    section.fault(key, Fault::new("out-of-range", format!("`{key}` of zero"), "above zero", hint));
    None
}
