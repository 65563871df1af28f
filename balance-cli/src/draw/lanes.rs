//! Labels in rows over a line: each takes the nearest row where it and its leader meet nothing.

/// Where a label stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slot {
    /// The place it belongs to, along the line.
    pub foot: f64,
    /// Begin of the words.
    pub left: f64,
    pub width: f64,
    /// 0 is nearest to the line.
    pub lane: usize,
}

impl Slot {
    fn covers(&self, place: f64, clear: f64) -> bool {
        place > self.left - clear && place < self.left + self.width + clear
    }

    fn meets(&self, other: &Self) -> bool {
        match self.lane.cmp(&other.lane) {
            std::cmp::Ordering::Equal => {
                self.left < other.left + other.width + 4.0 && other.left < self.left + self.width + 4.0
            }
            // The higher label's leader passes the lower label's row.
            std::cmp::Ordering::Greater => other.covers(self.foot, 1.5),
            std::cmp::Ordering::Less => self.covers(other.foot, 1.5),
        }
    }
}

/// Gives every label (foot, width) a slot within `from..to`, in the labels' order.
pub(super) fn assign(labels: &[(f64, f64)], from: f64, to: f64) -> Vec<Slot> {
    let mut slots: Vec<Slot> = Vec::with_capacity(labels.len());
    for &(foot, width) in labels {
        let keep = |left: f64| left.min(to - width).max(from);
        let lefts = [foot - width / 2.0, foot - 3.0, foot + 3.0 - width].map(keep);
        let free = (0..=labels.len()).flat_map(|lane| lefts.map(|left| Slot { foot, left, width, lane }));
        let slot = free
            .into_iter()
            .find(|slot| !slots.iter().any(|other| slot.meets(other)))
            .unwrap_or(Slot { foot, left: lefts[0], width, lane: labels.len() });
        slots.push(slot);
    }
    slots
}
