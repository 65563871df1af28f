//! The nearest known name, for hints.

/// The known name nearest to the written one, if it is near enough to be the intended one.
///
/// Near enough: at most a third of the letters differ (optimal string alignment distance), or one letter, but
/// not all.
#[must_use]
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written = written.to_lowercase();
    let allowed = (written.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|name| (strsim::osa_distance(&written, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= allowed && *distance < name.len().max(written.len()))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// "did you mean `x`?", or nothing.
#[must_use]
pub fn did_you_mean<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(written, known).map(|name| format!("did you mean `{name}`?"))
}

/// Names in one line: "a, b, c".
#[must_use]
pub fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    names.into_iter().collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_name_and_nonsense_finds_none() {
        let known = ["service_speed", "mass", "grade"];
        assert_eq!(nearest("servise_sped", known), Some("service_speed"));
        assert_eq!(nearest("Mass", known), Some("mass"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest("g", ["m", "mm"]), None);
        assert_eq!(nearest("gr", ["m", "g"]), Some("g"));
    }
}
