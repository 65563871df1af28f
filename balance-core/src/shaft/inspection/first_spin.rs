//! The list to go through before the first spin.

/// One line of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstSpinPoint {
    /// A stable word for programs.
    pub code: &'static str,
    /// What to do.
    pub text: &'static str,
}

/// A line of the list.
const fn point(code: &'static str, text: &'static str) -> FirstSpinPoint {
    FirstSpinPoint { code, text }
}

/// The list to go through before a shaft is spun for the first time. Common practice; guards and hazard
/// classes are the subject of ISO 21940-23. Local codes, the vehicle maker's approval and licensed practice
/// prevail.
pub const BEFORE_FIRST_SPIN: [FirstSpinPoint; 11] = [
    point(
        "lock-out",
        "Lock the drive out before your hands go near the shaft, and keep the key in your \
                      own pocket.",
    ),
    point(
        "loose-things",
        "Keys, rags, indicators, chalk and loose trial masses are off the shaft and the stand.",
    ),
    point(
        "held",
        "Flanges are bolted to torque, joints are seated, and the slip is held so that it \
                  cannot fly out.",
    ),
    point("trial-held", "Every trial mass is clamped for the force at this speed, not for its weight."),
    point("guard", "The guard is closed over the whole length and fastened."),
    point("plane", "Nobody stands in the plane of the masses or lets anyone pass through it."),
    point(
        "clothing",
        "Wear no gloves, jewellery or loose clothing, tie hair back, and protect eyes and \
                      ears.",
    ),
    point(
        "speed",
        "The speed is below the smallest of: service maximum, stand limit, 0.65 to 0.70 of the critical speed.",
    ),
    point("jog", "Jog slowly first: the shaft turns freely, nothing touches, and the readings stay small."),
    point("stop", "Keep a hand on the stop, and know at which reading you will use it."),
    point("codes", "Local codes, the vehicle maker's approval and licensed practice prevail over this list."),
];

/// The list to go through before anything is welded to the shaft. Common practice.
pub const BEFORE_WELDING: [FirstSpinPoint; 4] = [
    point(
        "return-clamp",
        "Never let welding current pass through a joint, spline or bearing: fix the return clamp to the \
        same piece, close to the bead.",
    ),
    point("clean", "Grind off paint, grease and zinc where the bead goes; zinc fumes are poisonous."),
    point("vent", "Vent a closed tube before heating it."),
    point("cool", "Let it cool before you read it again: ten degrees across a 1.5 m tube bow it by 0.3 mm."),
];
