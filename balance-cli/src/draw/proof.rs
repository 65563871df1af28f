//! What a test of the stand showed: readings between their limit lines, and what one correction would leave.

use super::figures::tame;
use super::label::Frame;
use super::letters;
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::{NARROW, SMALL};

/// One plane of the test of the least unbalance.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitLines {
    /// The plane's name and what was found, for the line above the panel.
    pub words: String,
    /// Degrees of the mass, and the reading as a share of the mean.
    pub points: Vec<(f64, f64)>,
    /// Lower and upper limit, as shares of the mean.
    pub limits: [f64; 2],
}

/// One plane of the test of the reduction ratio.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitCircle {
    /// The plane's name and what was found, for the line above the panel.
    pub words: String,
    /// What one correction would leave in each run, as a share of what was on: to the right and upward.
    pub points: Vec<(f64, f64)>,
    /// The radius of the limit circle, as a share.
    pub radius: f64,
}

const PANEL: f64 = 118.0;
const TOP: f64 = 18.0;
const CHART: Frame = Frame { left: 32.0, top: 16.0, width: NARROW - 40.0, height: 74.0 };

/// Readings against the place of the mass, with the limit lines, a panel a plane.
#[must_use]
pub fn limit_lines(heading: &str, planes: &[LimitLines]) -> Scene {
    let mut scene = sheet(heading, "Least unbalance of the stand", planes.len(), PANEL);
    scene.description = planes.iter().map(|plane| plane.words.clone()).collect::<Vec<_>>().join("; ");
    for (index, plane) in planes.iter().enumerate() {
        let top = TOP + PANEL * index as f64;
        panel_words(&mut scene, &plane.words, top);
        draw_lines(&mut scene, plane, top);
    }
    scene
}

fn sheet(heading: &str, title: &str, panels: usize, panel: f64) -> Scene {
    let mut scene = Scene::new(NARROW, TOP + panel * panels.max(1) as f64, title);
    let heading = letters::shorten(heading, 7.6, Weight::Bold, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&heading, Point::new(4.0, 11.0), 7.6).bold()));
    scene
}

fn panel_words(scene: &mut Scene, words: &str, top: f64) {
    let words = letters::shorten(words, 7.0, Weight::Plain, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&words, Point::new(4.0, top + 8.0), 7.0)));
}

fn draw_lines(scene: &mut Scene, plane: &LimitLines, top: f64) {
    let chart = Frame { top: top + CHART.top, ..CHART };
    let farthest = plane.points.iter().map(|(_, share)| (tame(*share) - 1.0).abs()).fold(0.16, f64::max);
    let half = (farthest * 1.15).min(2.0);
    let place = |degrees: f64, share: f64| {
        let up = ((tame(share) - 1.0) / half).clamp(-1.0, 1.0);
        Point::new(
            chart.left + chart.width * tame(degrees) / 360.0,
            chart.top + chart.height * (0.5 - 0.5 * up),
        )
    };
    scene.outline(&chart.corners(), Stroke::solid(0.6));
    for (share, stroke) in [
        (1.0, Stroke::solid(0.6)),
        (plane.limits[0], Stroke::solid(0.9).dash(Dash::DashDot)),
        (plane.limits[1], Stroke::solid(0.9).dash(Dash::DashDot)),
    ] {
        scene.line(place(0.0, share), place(360.0, share), stroke);
        let at = place(0.0, share).shifted(-4.0, 2.3);
        scene.push(Mark::Text(Text::new(&format!("{share:.2}"), at, SMALL).end()));
    }
    for quarter in 0..=4 {
        let degrees = 90.0 * f64::from(quarter);
        let foot = Point::new(place(degrees, 1.0).x, chart.top + chart.height);
        scene.line(foot, foot.shifted(0.0, 3.0), Stroke::solid(0.5));
        scene.push(Mark::Text(Text::new(&format!("{degrees:.0}"), foot.shifted(0.0, 10.0), SMALL).middle()));
    }
    let note = Point::new(chart.left + chart.width, chart.top + chart.height + 18.5);
    scene.push(Mark::Text(Text::new("place of the mass, deg; readings over their mean", note, SMALL).end()));
    for (degrees, share) in &plane.points {
        let at = place(*degrees, *share);
        let inside = *share >= plane.limits[0] && *share <= plane.limits[1];
        mark(scene, at, inside);
    }
}

/// A black square within the limit; a larger one that is open, beyond.
fn mark(scene: &mut Scene, at: Point, inside: bool) {
    if inside {
        scene.area(Frame::around(at, 4.2, 4.2).corners(), Ink::Black);
    } else {
        scene.area(Frame::around(at, 6.4, 6.4).corners(), Ink::White);
        scene.outline(&Frame::around(at, 6.4, 6.4).corners(), Stroke::solid(1.2));
    }
}

const ROUND: f64 = 132.0;

/// What one correction would leave in each run, in the limit circle, a panel a plane.
#[must_use]
pub fn limit_circles(heading: &str, planes: &[LimitCircle]) -> Scene {
    let mut scene = sheet(heading, "Unbalance reduction ratio of the stand", planes.len(), ROUND);
    scene.description = planes.iter().map(|plane| plane.words.clone()).collect::<Vec<_>>().join("; ");
    for (index, plane) in planes.iter().enumerate() {
        let top = TOP + ROUND * index as f64;
        panel_words(&mut scene, &plane.words, top);
        let centre = Point::new(NARROW / 2.0, top + 66.0);
        let reach = |point: &(f64, f64)| tame(point.0).hypot(tame(point.1));
        let farthest = plane.points.iter().map(reach).fold(plane.radius, f64::max).min(2.0) * 1.12;
        let scale = 50.0 / farthest.max(1e-6);
        scene.circle(centre, plane.radius * scale, Stroke::solid(0.9).dash(Dash::DashDot));
        scene.line(centre.shifted(-4.0, 0.0), centre.shifted(4.0, 0.0), Stroke::solid(0.6));
        scene.line(centre.shifted(0.0, -4.0), centre.shifted(0.0, 4.0), Stroke::solid(0.6));
        for (number, point) in plane.points.iter().enumerate() {
            let length = reach(point).min(2.0);
            let share = if reach(point) > 0.0 { length / reach(point) } else { 0.0 };
            let at = centre.shifted(tame(point.0) * share * scale, -tame(point.1) * share * scale);
            let inside = reach(point) <= plane.radius;
            mark(&mut scene, at, inside);
            // Only a run outside its circle is looked up.
            if !inside {
                let words = format!("run {}", number + 1);
                scene.push(Mark::Text(Text::new(&words, at.shifted(5.0, -3.0), SMALL)));
            }
        }
        let note =
            format!("left by one correction; the ring is {:.0} % of what was on", 100.0 * plane.radius);
        scene.push(Mark::Text(Text::new(&note, Point::new(NARROW / 2.0, top + 126.0), SMALL).middle()));
    }
    scene
}

/// One plane of an index test.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundFixture {
    /// The plane's name and what was found, for the line above the panel.
    pub words: String,
    /// What turns with the fixture, to the right and upward.
    pub fixture: (f64, f64),
    /// How much turns with the shaft: all readings lie this far from the fixture.
    pub shaft: f64,
    /// By how many degrees the shaft was turned, and the reading.
    pub readings: Vec<(f64, (f64, f64))>,
}

/// Readings of a shaft that was turned in its fixture, on their ring about what turns with the fixture, a panel a plane.
#[must_use]
pub fn fixtures(heading: &str, planes: &[RoundFixture]) -> Scene {
    let mut scene = sheet(heading, "Index test", planes.len(), ROUND);
    scene.description = planes.iter().map(|plane| plane.words.clone()).collect::<Vec<_>>().join("; ");
    for (index, plane) in planes.iter().enumerate() {
        let top = TOP + ROUND * index as f64;
        panel_words(&mut scene, &plane.words, top);
        draw_fixture(&mut scene, plane, Point::new(NARROW / 2.0, top + 66.0));
        let note = "cross: zero; arrow: fixture; ring: shaft about it";
        scene.push(Mark::Text(Text::new(note, Point::new(NARROW / 2.0, top + 126.0), SMALL).middle()));
    }
    scene
}

fn draw_fixture(scene: &mut Scene, plane: &RoundFixture, middle: Point) {
    let (fixture, shaft) = ((tame(plane.fixture.0), tame(plane.fixture.1)), tame(plane.shaft));
    // Zero and the whole ring are in the picture.
    let reach = fixture.0.hypot(fixture.1) + shaft;
    let scale = 42.0 / (reach * 0.5 + shaft * 0.5).max(1e-6);
    let half = (fixture.0 * 0.5, fixture.1 * 0.5);
    let at = |point: (f64, f64)| {
        middle.shifted((tame(point.0) - half.0) * scale, -(tame(point.1) - half.1) * scale)
    };
    let (zero, hub) = (at((0.0, 0.0)), at(fixture));
    scene.circle(hub, shaft * scale, Stroke::solid(0.9).dash(Dash::DashDot));
    scene.line(zero.shifted(-4.0, 0.0), zero.shifted(4.0, 0.0), Stroke::solid(0.6));
    scene.line(zero.shifted(0.0, -4.0), zero.shifted(0.0, 4.0), Stroke::solid(0.6));
    scene.line(zero, hub, Stroke::solid(1.4));
    let along = (hub.y - zero.y).atan2(hub.x - zero.x);
    for side in [-0.45_f64, 0.45] {
        let back = hub.shifted(-5.5 * (along + side).cos(), -5.5 * (along + side).sin());
        scene.line(hub, back, Stroke::solid(1.4));
    }
    let mut named: Vec<f64> = Vec::new();
    for (turned, reading) in &plane.readings {
        let place = at(*reading);
        mark(scene, place, true);
        if named.iter().any(|other| (other - turned).abs() < 0.5) {
            continue;
        }
        named.push(*turned);
        // Words stand outside the ring.
        let away = (place.y - hub.y).atan2(place.x - hub.x);
        let words = Text::new(
            &format!("{turned:.0} deg"),
            place.shifted(9.0 * away.cos(), 9.0 * away.sin() + 2.3),
            SMALL,
        );
        let words = if away.cos() < -0.35 {
            words.end()
        } else if away.cos() > 0.35 {
            words
        } else {
            words.middle()
        };
        scene.push(Mark::Text(words));
    }
}

/// One panel of readings with a line through them.
#[derive(Debug, Clone, PartialEq)]
pub struct Overlay {
    /// The name and what was found, for the line above the panel.
    pub words: String,
    /// The readings: across and up.
    pub points: Vec<(f64, f64)>,
    /// What the fit says, from left to right.
    pub curve: Vec<(f64, f64)>,
    /// Left and right end.
    pub across: [f64; 2],
    /// What is across and what is up.
    pub note: String,
}

/// Readings and the line that was fitted through them, a panel each.
#[must_use]
pub fn overlays(heading: &str, title: &str, panels: &[Overlay]) -> Scene {
    let mut scene = sheet(heading, title, panels.len(), PANEL);
    scene.description = panels.iter().map(|panel| panel.words.clone()).collect::<Vec<_>>().join("; ");
    for (index, panel) in panels.iter().enumerate() {
        let top = TOP + PANEL * index as f64;
        panel_words(&mut scene, &panel.words, top);
        draw_overlay(&mut scene, panel, top);
    }
    scene
}

fn draw_overlay(scene: &mut Scene, panel: &Overlay, top: f64) {
    let chart = Frame { top: top + CHART.top, ..CHART };
    let all = || panel.points.iter().chain(&panel.curve).map(|(_, up)| tame(*up));
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let room = ((high - low) * 0.12).max(high.abs() * 1e-3).max(1e-9);
    let (low, high) = (low - room, high + room);
    let [left, right] = panel.across;
    let place = |(across, up): (f64, f64)| {
        let share = ((tame(across) - left) / (right - left).max(1e-9)).clamp(0.0, 1.0);
        let rise = ((tame(up) - low) / (high - low)).clamp(0.0, 1.0);
        Point::new(chart.left + chart.width * share, chart.top + chart.height * (1.0 - rise))
    };
    scene.outline(&chart.corners(), Stroke::solid(0.6));
    for pair in panel.curve.windows(2) {
        scene.line(place(pair[0]), place(pair[1]), Stroke::solid(0.8));
    }
    for quarter in 0..=4 {
        let at = f64::from(quarter) / 4.0;
        let foot = Point::new(chart.left + chart.width * at, chart.top + chart.height);
        scene.line(foot, foot.shifted(0.0, 3.0), Stroke::solid(0.5));
        let across = left + (right - left) * at;
        scene.push(Mark::Text(Text::new(&format!("{across:.0}"), foot.shifted(0.0, 10.0), SMALL).middle()));
    }
    for up in [low + room, (low + high) / 2.0, high - room] {
        let at = place((left, up));
        scene.line(at, at.shifted(-3.0, 0.0), Stroke::solid(0.5));
        scene.push(Mark::Text(Text::new(&rounded(up, high - low), at.shifted(-5.0, 2.3), SMALL).end()));
    }
    let note = Point::new(chart.left + chart.width, chart.top + chart.height + 18.5);
    scene.push(Mark::Text(Text::new(&panel.note, note, SMALL).end()));
    for point in &panel.points {
        mark(scene, place(*point), true);
    }
}

/// As many digits as the span needs.
fn rounded(value: f64, span: f64) -> String {
    let digits = if span >= 20.0 {
        0
    } else if span >= 2.0 {
        1
    } else {
        2
    };
    let text = format!("{value:.digits$}");
    if text.trim_start_matches('-').chars().all(|own| matches!(own, '0' | '.')) { "0".into() } else { text }
}
