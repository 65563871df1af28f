//! The wrap strip as PDF, measured in the file's own page contents (operators of ISO 32000-1, 8.5; a point is 1/72 inch).

use super::demo;
use balance_cli::draw::*;
use balance_cli::paper::Paper;
use balance_core::quantity::Units;

/// One straight horizontal line of a page, in millimetres.
struct Level {
    length: f64,
    thickness: f64,
    grey: f64,
}

/// Every horizontal line that is stroked on its own, from the page's contents. Our pages carry no change of scale (`cm`):
/// that is checked, and with it a unit is a point.
fn level_lines(contents: &str) -> Vec<Level> {
    let millimetres = 25.4 / 72.0;
    let (mut numbers, mut path) = (Vec::<f64>::new(), Vec::<(f64, f64)>::new());
    let (mut grey, mut thickness, mut found) = (0.0, 1.0, Vec::new());
    for token in contents.split_whitespace() {
        match token {
            "cm" => panic!("the page's scale is changed"),
            "G" => grey = numbers[0],
            "w" => thickness = numbers[0],
            "m" => path = vec![(numbers[0], numbers[1])],
            "l" => path.push((numbers[0], numbers[1])),
            "S" => {
                if let [(from, one), (to, other)] = path[..]
                    && (one - other).abs() < 1e-3
                {
                    let (length, thickness) = ((to - from).abs() * millimetres, thickness * millimetres);
                    found.push(Level { length, thickness, grey });
                }
            }
            number => {
                if let Ok(number) = number.parse::<f64>() {
                    numbers.push(number);
                    continue;
                }
            }
        }
        numbers.clear();
    }
    found
}

/// The contents of the file's pages: streams that begin with how lines are joined.
fn pages(file: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(file).into_owned();
    let streams = text.split("stream\n").filter(|part| part.starts_with("1 j"));
    streams.map(|part| part.split("\nendstream").next().unwrap().to_owned()).collect()
}

/// Outer diameters of EN 10220, EN 10305 and ASME B36.10 tubes (from memory); π × diameter by Python's `math.pi`.
const TUBES: [(f64, f64); 7] = [
    (40.0, 125.663_706_143_591_7),
    (50.8, 159.592_906_802_361_5),
    (63.5, 199.491_133_502_951_9),
    (76.2, 239.389_360_203_542_2),
    (88.9, 279.287_586_904_132_6),
    (114.3, 359.084_040_305_313_3),
    (160.0, 502.654_824_574_366_9),
];

#[test]
fn the_tape_s_edge_is_as_long_as_once_round_and_the_longest_line() {
    for paper in [Paper::A4, Paper::Letter] {
        for units in [Units::Metric, Units::Us, Units::Both] {
            for (outer_diameter_mm, wanted) in TUBES {
                let plane = TubePlane { outer_diameter_mm, units, ..demo::front() };
                let sheets = wrap_strips(&[plane], "strip", paper);
                let file = pdf(&sheets, paper).unwrap();
                let mut lines: Vec<Level> = pages(&file).iter().flat_map(|page| level_lines(page)).collect();
                lines.sort_by(|one, other| other.length.total_cmp(&one.length));
                let longest = lines[0].length;
                let edges: Vec<&Level> =
                    lines.iter().take_while(|line| line.length > longest - 1e-3).collect();
                let case = format!("{outer_diameter_mm} mm, {paper:?}, {units:?}");
                assert!(edges.iter().all(|edge| edge.thickness >= 0.2 && edge.grey == 0.0), "{case}");
                // Two edges a piece.
                let got: f64 = edges.iter().map(|edge| edge.length).sum::<f64>() / 2.0;
                assert!((got - wanted).abs() < 0.001, "{case}: wanted {wanted}, got {got}");
                let room = paper.landscape().0;
                assert!(longest < room - 10.0, "{case}: {longest} mm on a sheet of {room}");
                assert_eq!(edges.len() == 2, wanted < room - 12.0, "{case}: {} edges", edges.len());
            }
        }
    }
}

/// The sheet lies on its side and is as large as the paper; viewers are asked not to scale (ISO 32000-1, table 150); the
/// fonts and what their glyphs mean are inside.
#[test]
fn the_file_asks_for_true_size_and_carries_its_letters() {
    for (paper, sheet) in [(Paper::A4, [841.889_8, 595.275_6]), (Paper::Letter, [792.0, 612.0])] {
        let file = pdf(&wrap_strips(&[demo::front()], "strip", paper), paper).unwrap();
        let text = String::from_utf8_lossy(&file).into_owned();
        assert!(text.contains("/PrintScaling /None"));
        let page = text.split_once("/MediaBox [").unwrap().1.split(']').next().unwrap();
        let sides: Vec<f64> = page.split_whitespace().map(|side| side.parse().unwrap()).collect();
        assert!((sides[2] - sheet[0]).abs() < 1e-3 && (sides[3] - sheet[1]).abs() < 1e-3, "{page}");
        assert_eq!(text.matches("/FontFile2").count(), 2);
        assert_eq!(text.matches("begincmap").count(), 2);
    }
}

#[test]
fn other_pictures_fill_an_upright_sheet_and_keep_their_shape() {
    for (name, scene) in demo::good().into_iter().filter(|(name, _)| !name.starts_with("strip")) {
        for paper in [Paper::A4, Paper::Letter] {
            let file = pdf(std::slice::from_ref(&scene), paper).unwrap();
            assert_eq!(file, pdf(std::slice::from_ref(&scene), paper).unwrap(), "{name}: not the same twice");
            let (width, height) = paper.upright();
            let (width, height) = (width / 25.4 * 72.0, height / 25.4 * 72.0);
            for page in pages(&file) {
                let words: Vec<&str> = page.split_whitespace().collect();
                for at in words.windows(3).filter(|at| matches!(at[2], "m" | "l")) {
                    let (x, y): (f64, f64) = (at[0].parse().unwrap(), at[1].parse().unwrap());
                    assert!((0.0..width).contains(&x) && (0.0..height).contains(&y), "{name}: {x} {y}");
                }
            }
        }
    }
}

/// A letter that the font has no shape for can still be copied out of the file (ActualText, ISO 32000-1, 14.9.4).
#[test]
fn letters_without_a_shape_are_there_as_words() {
    let mut scene = Scene::new(200.0, 100.0, "words");
    scene.push(Mark::Text(Text::new("Räumer 除雪", Point::new(10.0, 20.0), 8.0)));
    let file = pdf(&[scene], Paper::A4).unwrap();
    assert!(String::from_utf8_lossy(&file).contains("/ActualText"));
    assert!(pdf(&[], Paper::A4).is_err());
    assert!(pdf(&[Scene::new(0.0, 10.0, "")], Paper::A4).is_err());
}
