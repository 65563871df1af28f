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
