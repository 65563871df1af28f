//! The speed at which the shaft bends out and stays bent: closed formulas, and a beam model for everything
//! they leave out.
//!
//! Natural frequencies are those of the shaft at rest; for a slender shaft the gyroscopic effect lifts the
//! first critical speed a little, so the figure is on the safe side.

mod beam;
mod beam_fault;
mod beam_model;
mod closed_form;
mod element;

pub use beam::{Beam, BeamPiece, BeamProperties, PointMass, Restraint, Support};
pub use beam_fault::BeamFault;
pub use beam_model::{DEFAULT_ELEMENTS, Mesh, Mode, bending_modes};
pub use closed_form::{dunkerley, highest_safe_speed, longest_safe_length, pinned_critical_speed};
