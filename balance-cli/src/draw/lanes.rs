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
            // The higher label's leader passes the lower label's row; labels of one place stand over one another.
            _ if (self.foot - other.foot).abs() < 4.0 => false,
            std::cmp::Ordering::Greater => other.covers(self.foot, 1.5),
            std::cmp::Ordering::Less => self.covers(other.foot, 1.5),
        }
    }
}

/// Gives every label (foot, width) a slot within `from..to`. The inner labels come first and lean inward, so that the
/// outer ones can pass behind them.
pub(super) fn assign(labels: &[(f64, f64)], from: f64, to: f64) -> Vec<Slot> {
    let middle = f64::midpoint(from, to);
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by(|&one, &other| (labels[one].0 - middle).abs().total_cmp(&(labels[other].0 - middle).abs()));
    let mut slots: Vec<(usize, Slot)> = Vec::with_capacity(labels.len());
    for index in order {
        let (foot, width) = labels[index];
        let keep = |left: f64| left.min(to - width).max(from);
        let (centred, after, before) = (foot - width / 2.0, foot - 2.0, foot + 2.0 - width);
        let lefts = if (foot - middle).abs() < (to - from) * 0.2 {
            [centred, after, before]
        } else if foot < middle {
            [after, centred, before]
        } else {
            [before, centred, after]
        };
        let free = lefts.into_iter().flat_map(|left| {
            (0..=labels.len()).map(move |lane| Slot { foot, left: keep(left), width, lane })
        });
        let slot = free
            .into_iter()
            .find(|slot| !slots.iter().any(|(_, other)| slot.meets(other)))
            .unwrap_or_else(|| {
                let highest = slots.iter().map(|(_, slot)| slot.lane + 1).max().unwrap_or(0);
                Slot { foot, left: keep(centred), width, lane: highest }
            });
        slots.push((index, slot));
    }
    slots.sort_by_key(|(index, _)| *index);
    slots.into_iter().map(|(_, slot)| slot).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_and_leaders_keep_clear() {
        let labels = [(30.0, 60.0), (33.0, 50.0), (45.0, 60.0), (160.0, 90.0), (200.0, 40.0)];
        let slots = assign(&labels, 0.0, 220.0);
        for (index, one) in slots.iter().enumerate() {
            assert!(one.left >= 0.0 && one.left + one.width <= 220.0, "{one:?} leaves the page");
            for other in &slots[index + 1..] {
                assert!(!one.meets(other), "{one:?} meets {other:?}");
            }
        }
    }
}
