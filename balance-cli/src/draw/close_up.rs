//! The middle of a picture of readings, drawn again and larger: where the reading should land after a correction.

use super::dial::{Dial, nick};
use super::figures::short;
use super::label::{Frame, Labels};
use super::readings::{
    MIDDLE, RADIUS, Readings, RunPoint, Shown, draw_good_enough, draw_runs, most, reach, size, spare_lines,
};
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::PageSense;
use super::{NARROW, SMALL, letters};

/// Readings within this share of the outer ring are shown again, larger.
const NEAR: f64 = 0.17;

/// The middle of the picture, drawn again and larger.
#[derive(Debug, Clone, Copy)]
pub(super) struct Close {
    /// Everything up to this size is in it.
    pub most: f64,
    times: f64,
}

impl Close {
    /// What needs it: something within the innermost part, and something outside.
    pub(super) fn of(input: &Readings, full: f64) -> Option<Self> {
        let sizes = input.runs.iter().map(|run| size(run.shown)).chain(input.expected.iter().map(reach));
        let inner: Vec<f64> = sizes.filter(|size| *size <= NEAR * full).collect();
        let most = inner.iter().copied().fold(0.0, f64::max);
        (!inner.is_empty() && most > 0.0).then(|| Self { most, times: 0.0 }.sized(full))
    }

    fn sized(self, full: f64) -> Self {
        let dial = Dial::new(MIDDLE, Self::RADIUS, self.most * 1.1, PageSense::Clockwise);
        Self {
            most: dial.full.min(NEAR * full).max(self.most),
            times: full / dial.full * Self::RADIUS / RADIUS,
        }
    }

    const RADIUS: f64 = 34.0;

    pub(super) fn draw(self, scene: &mut Scene, input: &Readings, top: f64) {
        let frame = Frame { left: NARROW - 130.0, top: top - 2.0, width: 126.0, height: 90.0 };
        scene.outline(&frame.corners(), Stroke::solid(0.5).ink(Ink::Grey));
        let centre = frame.centre().shifted(20.0, 0.0);
        let inner = |shown: Shown| size(shown) <= self.most;
        let expected = input.expected.filter(|expected| reach(expected) <= self.most);
        let runs: Vec<RunPoint> = input
            .runs
            .iter()
            .filter(|run| inner(run.shown))
            .map(|run| RunPoint { base: None, ..run.clone() })
            .collect();
        let part = Readings { runs, expected, good_enough: None, ..input.clone() };
        let dial = Dial::new(centre, Self::RADIUS, most(&part) * 1.1, input.counting);
        dial.draw_rings(scene);
        nick(scene, centre, Self::RADIUS, 4.0);
        draw_good_enough(scene, input, dial);
        let mut labels = Labels::within(Frame {
            left: frame.left + 1.0,
            top: frame.top + 1.0,
            width: 124.0,
            height: 88.0,
        });
        let title = [
            "inside the".to_owned(),
            "thin ring,".to_owned(),
            format!("{} times", short(self.times.round().max(1.0))),
            "larger".to_owned(),
        ];
        for (index, line) in title.iter().enumerate() {
            scene.push(Mark::Text(Text::new(
                line,
                Point::new(frame.left + 3.0, frame.top + 9.0 + 8.0 * index as f64),
                SMALL,
            )));
        }
        labels.block(Frame { left: frame.left, top: frame.top, width: 44.0, height: 35.0 });
        spare_lines(&mut labels, &part, dial);
        let ring = format!("rim {} {}", short(dial.full), input.unit);
        let ring = letters::shorten(&ring, SMALL, Weight::Plain, 52.0);
        let at = Point::new(frame.left + 3.0, frame.top + frame.height - 4.0);
        scene.push(Mark::Text(Text::new(&ring, at, SMALL).ink(Ink::Grey)));
        labels.block(Frame {
            left: frame.left,
            top: at.y - 7.0,
            width: letters::width(&ring, SMALL, Weight::Plain) + 5.0,
            height: 11.0,
        });
        draw_runs(scene, &mut labels, &part, dial, -1.0);
    }
}
