//! Why a beam cannot be reckoned.

/// What is wrong with a beam.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BeamFault {
    /// There is no piece.
    #[error("the shaft has no section at all")]
    NoPiece,
    /// A piece that ends where it begins or before.
    #[error("the section from {from} mm to {to} mm has no length")]
    NoLength {
        /// In mm.
        from: f64,
        /// In mm.
        to: f64,
    },
    /// A gap or an overlap between two pieces.
    #[error("a section ends at {end} mm and the next begins at {begin} mm; they must meet")]
    Gap {
        /// In mm.
        end: f64,
        /// In mm.
        begin: f64,
    },
    /// A stiffness or a mass per metre that is no possible value.
    #[error("the section from {from} mm has no possible stiffness and mass")]
    Properties {
        /// In mm.
        from: f64,
    },
    /// A mass, a support or a joint beyond the ends.
    #[error("the {what} at {found} mm lies outside the shaft, which runs from {begin} mm to {end} mm")]
    Outside {
        /// "mass", "support", "joint".
        what: &'static str,
        /// In mm.
        found: f64,
        /// In mm.
        begin: f64,
        /// In mm.
        end: f64,
    },
    /// A joint at the very end or in a clamp.
    #[error("a joint at {found} mm lies at an end of the shaft or in a clamp, where it means nothing")]
    Hinge {
        /// In mm.
        found: f64,
    },
    /// The supports leave it free to fall or to fold.
    #[error("the shaft is not held: its supports leave it free to move as a whole or to fold at a joint")]
    NotHeld,
    /// Nothing of it has any mass.
    #[error("nothing on the shaft has any mass")]
    NoMass,
}
