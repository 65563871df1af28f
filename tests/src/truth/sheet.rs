//! What the technician writes down: the lines of a runs file.

use std::fmt::Write;

use balance_core::Complex64;

/// What a dial shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// An amplitude in mm/s and a phase in degrees.
    Value(f64, f64),
    /// Below what it can show.
    Below(f64),
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// initial, trial or check.
    pub kind: &'static str,
    /// Which clamping.
    pub mounting: String,
    /// Masses as entered: plane, grams at an angle.
    pub masses: Vec<(usize, Complex64)>,
    /// One for each sensor.
    pub readings: Vec<Shown>,
}

/// How many digits the dials are written down with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Digits {
    /// After the point of an amplitude.
    pub amplitude: usize,
    /// After the point of a phase.
    pub phase: usize,
}

/// All lines of one shaft.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// Names of the correction planes.
    pub planes: Vec<String>,
    /// Names of the sensors.
    pub sensors: Vec<String>,
    /// The stand's speed.
    pub rpm: f64,
    /// How the dials are written down.
    pub digits: Digits,
    /// The lines in order.
    pub lines: Vec<Line>,
}

impl Sheet {
    /// The text of the runs file.
    #[must_use]
    pub fn text(&self) -> String {
        let most =
            |plane| self.lines.iter().map(|line| of_plane(line, plane).count()).max().unwrap_or(1).max(1);
        let columns: Vec<usize> = (0..self.planes.len()).map(most).collect();
        let mut text = self.header(&columns);
        for (number, line) in self.lines.iter().enumerate() {
            self.put(&mut text, number + 1, line, &columns);
        }
        text
    }

    fn header(&self, columns: &[usize]) -> String {
        let mut text = "run,kind,mounting,speed [rpm]".to_owned();
        for (name, count) in self.planes.iter().zip(columns) {
            for at in 1..=*count {
                let number = if at == 1 { String::new() } else { format!(" {at}") };
                text.push_str(&format!(",{name} mass{number} [g],{name} angle{number} [deg]"));
            }
        }
        for name in &self.sensors {
            text.push_str(&format!(",{name} amplitude [mm/s],{name} phase [deg]"));
        }
        text + "\n"
    }

    fn put(&self, text: &mut String, number: usize, line: &Line, columns: &[usize]) {
        let mut cells =
            vec![number.to_string(), line.kind.to_owned(), line.mounting.clone(), format!("{}", self.rpm)];
        for (plane, count) in columns.iter().enumerate() {
            let mut masses = of_plane(line, plane);
            for _ in 0..*count {
                let mass = masses.next();
                cells.push(mass.map_or_else(String::new, |mass| format!("{:.3}", mass.norm())));
                let angle = |mass: &Complex64| mass.arg().to_degrees().rem_euclid(360.0);
                cells.push(mass.map_or_else(String::new, |mass| format!("{:.2}", angle(mass))));
            }
        }
        for reading in &line.readings {
            match reading {
                Shown::Value(amplitude, phase) => {
                    cells.push(format!("{amplitude:.0$}", self.digits.amplitude));
                    cells.push(format!("{phase:.0$}", self.digits.phase));
                }
                Shown::Below(least) => cells.extend([format!("<{least}"), String::new()]),
            }
        }
        let _ = writeln!(text, "{}", cells.join(","));
    }
}

fn of_plane(line: &Line, plane: usize) -> impl Iterator<Item = &Complex64> {
    line.masses.iter().filter(move |(own, _)| *own == plane).map(|(_, mass)| mass)
}
