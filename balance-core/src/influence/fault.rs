//! Why influence coefficients cannot be found.

/// What stands in the way of the coefficients.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum InfluenceFault {
    /// A plane never carried a mass (while the sensors were read), so its response is not known.
    #[error("plane `{plane}` never carried a mass{}", at_speed(speed.as_deref()))]
    PlaneNeverLoaded {
        /// The plane's name.
        plane: String,
        /// The speed group, if there are several.
        speed: Option<String>,
    },
    /// Planes that always changed together: the runs cannot separate their effects.
    #[error("the runs cannot tell the effects of {} apart{}", together(planes), at_speed(speed.as_deref()))]
    PlanesNotSeparated {
        /// The planes' names.
        planes: Vec<String>,
        /// The speed group, if there are several.
        speed: Option<String>,
    },
    /// No sensor was read in the runs that are needed.
    #[error("no sensor was read in the runs that would show how the shaft responds{}", at_speed(speed.as_deref()))]
    NothingRead {
        /// The speed group, if there are several.
        speed: Option<String>,
    },
    /// Coefficients from sister shafts cannot be used without a figure for the reading noise.
    #[error("coefficients from sister shafts need a figure for the reading noise")]
    PriorNeedsNoise,
    /// Numbers so large or small that the arithmetic overflows.
    #[error("the readings or masses are too large or too small to work with")]
    OutOfRange,
}

impl InfluenceFault {
    /// The planes it names.
    #[must_use]
    pub fn planes(&self) -> &[String] {
        match self {
            Self::PlaneNeverLoaded { plane, .. } => std::slice::from_ref(plane),
            Self::PlanesNotSeparated { planes, .. } => planes,
            Self::NothingRead { .. } | Self::PriorNeedsNoise | Self::OutOfRange => &[],
        }
    }

    /// The speed group it refers to, if there are several.
    #[must_use]
    pub fn speed(&self) -> Option<&str> {
        match self {
            Self::PlaneNeverLoaded { speed, .. }
            | Self::PlanesNotSeparated { speed, .. }
            | Self::NothingRead { speed } => speed.as_deref(),
            Self::PriorNeedsNoise | Self::OutOfRange => None,
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::PlaneNeverLoaded { plane, .. } => {
                format!("make a trial run with a mass at {plane}, or leave that plane out of the file")
            }
            Self::PlanesNotSeparated { .. } => {
                "make one more trial run with a mass in only one of these planes".into()
            }
            Self::NothingRead { .. } => {
                "read the same sensors in the initial run and in every trial run".into()
            }
            Self::PriorNeedsNoise => "state `reading_noise` under `[stand]`, or repeat a run".into(),
            Self::OutOfRange => "check the units of masses, radii and amplitudes".into(),
        }
    }
}

fn at_speed(speed: Option<&str>) -> String {
    speed.map(|speed| format!(" at {speed}")).unwrap_or_default()
}

/// The planes by name; if rounding hides which they are, all that were tried.
fn together(planes: &[String]) -> String {
    if planes.is_empty() { "the places".into() } else { planes.join(" and ") }
}
