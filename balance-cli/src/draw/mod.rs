//! The pictures: each a pure function from plain figures to a [`Scene`], rendered as SVG and PNG (by plotters) and
//! as PDF.
//!
//! Black and white, made for 80 mm width and up; kinds are told by line and shape. Nothing here computes a balance:
//! the figures come in ready, in the job's own counting.

mod close_up;
mod critical_speed;
mod dial;
mod dots;
mod figures;
mod frames;
mod label;
mod lanes;
mod left;
mod letters;
mod pdf;
mod proof;
mod readings;
mod recording;
mod render;
mod run_shape;
mod scene;
mod shape;
mod side;
mod strip_piece;
mod strip_scale;
mod strip_words;
mod tube;
mod tube_plane;
mod tube_scale;
mod tube_words;
mod wrap_strip;

pub use critical_speed::{CriticalSpeed, SpeedAtLength, critical_speed};
pub use left::{Left, LeftPlane, left};
pub use pdf::pdf;
pub use proof::{
    LimitCircle, LimitLines, Overlay, RoundFixture, fixtures, limit_circles, limit_lines, overlays,
};
pub use readings::{Expected, PolarReading, Readings, RunPoint, Shown, readings};
pub use recording::{RecordingPicture, SignalOverTurn, recording};
pub use render::{MOST_DOTS, RenderError, png, svg};
pub use scene::{Anchor, Dash, Group, Ink, Mark, Point, Scene, Stroke, Text, Turn, Weight};
pub use shape::PageSense;
pub use side::{JointKind, Place, Side, SideJoint, SidePart, SideWeight, side};
pub use tube::tube;
pub use tube_plane::{IdealMass, TubePlane, TubeWeight, WeightState, Zone};
pub use wrap_strip::wrap_strips;

/// The narrowest width the pictures are made for: 80 mm in points.
pub(crate) const NARROW: f64 = 80.0 / 25.4 * 72.0;
/// The smallest letters, in points at [`NARROW`] width.
pub(crate) const SMALL: f64 = 6.6;
/// Points in a millimetre.
pub(crate) const MILLIMETRE: f64 = 72.0 / 25.4;
