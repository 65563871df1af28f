//! The wrap strip: the tube's circumference unrolled as a tape, to print 1:1, cut out and wrap round.

use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::strip_piece::{PIECE_HEIGHT, Piece, TAB, draw_piece};
use super::tube_plane::TubePlane;
use super::{MILLIMETRE, SMALL, letters};
use crate::paper::Paper;
use balance_core::quantity::Units;

/// Printers leave about this much of the sheet's edge white, mm. [common practice, no source]
const MARGIN: f64 = 6.0;
/// From one row of pieces to the next, mm.
const ROW: f64 = PIECE_HEIGHT + 17.0;
const FIRST_ROW: f64 = 27.0;
const FOOT: f64 = 22.0;

/// Draws the strips of all planes, 1:1, on as many sheets as they need: one strip for each plane, in several pieces
/// where the sheet is too short.
///
/// In the SVG every piece is a group `strip-<plane number>-<piece number>` with its begin and end on the tape in
/// `data-from-mm` and `data-to-mm`; the group's first polyline is an edge of the tape.
///
/// The tape's edges are as long as the tape to the point, and the longest horizontal lines of the sheet.
#[must_use]
pub fn wrap_strips(planes: &[TubePlane], heading: &str, paper: Paper) -> Vec<Scene> {
    let (width, height) = paper.landscape();
    let pieces: Vec<Piece<'_>> = planes
        .iter()
        .enumerate()
        .flat_map(|(index, plane)| cut(plane, index, width - 2.0 * MARGIN))
        .collect();
    let rows = (((height - FIRST_ROW - FOOT) / ROW).floor() as usize).max(1);
    let sheets = pieces.len().div_ceil(rows);
    let shortest = pieces.iter().map(|piece| piece.to - piece.from).fold(f64::INFINITY, f64::min);
    let sheet = |(index, pieces): (usize, &[Piece<'_>])| {
        let mut scene = Scene::new(width * MILLIMETRE, height * MILLIMETRE, "Wrap strips, print 1:1");
        scene.description = planes
            .iter()
            .map(|plane| format!("{}: {}", plane.name, once_round(plane)))
            .collect::<Vec<_>>()
            .join(" ");
        let page = if sheets > 1 { format!(" · sheet {} of {sheets}", index + 1) } else { String::new() };
        draw_head(&mut scene, &format!("{heading}{page}"), width);
        for (row, piece) in pieces.iter().enumerate() {
            draw_piece(&mut scene, piece, Point::new(MARGIN, FIRST_ROW + ROW * row as f64));
        }
        draw_scale_bar(&mut scene, units_of(planes), shortest, height);
        scene
    };
    pieces.chunks(rows).enumerate().map(sheet).collect()
}

/// "once round must read 279 mm".
pub(super) fn once_round(plane: &TubePlane) -> String {
    format!("once round must read {}", plane.tape_words(plane.once_round()))
}

/// A strip that fits stays whole; a longer one becomes equal pieces, each but the last with a tab to glue the next on.
fn cut(plane: &TubePlane, number: usize, room: f64) -> Vec<Piece<'_>> {
    let round = plane.once_round();
    let count = if round <= room { 1 } else { (round / (room - TAB)).ceil() as usize };
    let edge = |index: usize| round * index as f64 / count as f64;
    (0..count)
        .map(|index| Piece {
            plane,
            number,
            index,
            count,
            from: edge(index),
            to: edge(index + 1),
            sheet_end: MARGIN + room,
        })
        .collect()
}

fn draw_head(scene: &mut Scene, heading: &str, width: f64) {
    let at = |down: f64| Point::new(MARGIN * MILLIMETRE, down * MILLIMETRE);
    let heading = letters::shorten(heading, 11.0, Weight::Bold, (width - 2.0 * MARGIN) * MILLIMETRE);
    scene.push(Mark::Text(Text::new(&heading, at(10.0), 11.0).bold()));
    let how = "Print at 100 %, not fitted to the page. Cut along the outer line, wrap round the tube, mark on mark: the ends must meet. \
               If they do not, the diameter in the job file is wrong: do not weld.";
    for (index, line) in
        letters::wrap(how, 7.6, Weight::Plain, (width - 2.0 * MARGIN) * MILLIMETRE).iter().enumerate()
    {
        scene.push(Mark::Text(Text::new(line, at(15.0 + 3.6 * index as f64), 7.6)));
    }
}

/// What the rule of the shop that prints these is marked in.
fn units_of(planes: &[TubePlane]) -> Units {
    planes.first().map_or(Units::Metric, |plane| plane.units)
}

/// A bar to lay a rule on: 100 mm, or 4 in where the shop works in inches alone; less on a strip shorter than that.
fn draw_scale_bar(scene: &mut Scene, units: Units, shortest: f64, height: f64) {
    let bar = Bar::shorter_than(shortest, units);
    scene.begin("scale-bar", vec![("length-mm", format!("{}", bar.millimetres))]);
    let at = |along: f64, down: f64| {
        Point::new((MARGIN + along) * MILLIMETRE, (height - 11.0 + down) * MILLIMETRE)
    };
    let line = Stroke::solid(0.6);
    scene.line(at(0.0, 0.0), at(bar.millimetres, 0.0), line);
    let half = line.width / 2.0 / MILLIMETRE;
    let count = (bar.millimetres / bar.step).round() as u32;
    for tick in 0..=count {
        let along = (f64::from(tick) * bar.step).clamp(half, bar.millimetres - half);
        let up = if tick % bar.long == 0 { 3.0 } else { 1.8 };
        scene.line(at(along, 0.0), at(along, -up), line);
    }
    scene.push(Mark::Text(Text::new(
        &format!("check with a rule: this bar is {} long", bar.words),
        at(bar.millimetres + 3.0, 0.0),
        SMALL + 1.0,
    )));
    scene.end();
}

/// A bar's length, the step between its ticks, and how many steps from one long tick to the next.
#[derive(Clone, Copy)]
struct Bar {
    millimetres: f64,
    step: f64,
    long: u32,
    words: &'static str,
}

impl Bar {
    /// The longest that is shorter than the tape, so that the tape's edge is the longest line of the sheet.
    fn shorter_than(tape: f64, units: Units) -> Self {
        let bar = |millimetres, step, long, words| Self { millimetres, step, long, words };
        let bars = match units {
            Units::Us => [
                bar(101.6, 25.4 / 4.0, 4, "4 in"),
                bar(50.8, 25.4 / 4.0, 4, "2 in"),
                bar(25.4, 25.4 / 8.0, 4, "1 in"),
            ],
            Units::Metric => {
                [bar(100.0, 10.0, 5, "100 mm"), bar(50.0, 10.0, 5, "50 mm"), bar(20.0, 5.0, 2, "20 mm")]
            }
            Units::Both => [
                bar(100.0, 10.0, 5, "100 mm (3 15/16 in)"),
                bar(50.0, 10.0, 5, "50 mm (1 31/32 in)"),
                bar(20.0, 5.0, 2, "20 mm (25/32 in)"),
            ],
        };
        bars.into_iter().find(|bar| bar.millimetres < tape - 5.0).unwrap_or(bars[2])
    }
}

/// The tab at a piece's end. It is narrower than the piece, so that its lines do not lengthen the tape's edges.
pub(super) fn draw_tab(scene: &mut Scene, corner: Point, next: usize) {
    let (width, height) = (TAB * MILLIMETRE, PIECE_HEIGHT * MILLIMETRE);
    let outline = [
        corner.shifted(0.0, 5.0),
        corner.shifted(width, 10.0),
        corner.shifted(width, height - 10.0),
        corner.shifted(0.0, height - 5.0),
    ];
    scene.path(outline.to_vec(), Stroke::solid(0.4).dash(Dash::Dashed).ink(Ink::Grey));
    for (index, line) in ["glue under", &format!("piece {next}")].iter().enumerate() {
        let at = corner.shifted(9.0 + 9.0 * index as f64, height / 2.0);
        scene.push(Mark::Text(Text::new(line, at, SMALL).upward().middle()));
    }
}
