//! Files that mostly make sense, made from random bytes: a shop's texts with random numbers, units and words,
//! and now and then a slip. Bytes alone hardly ever get past the first line of a reader. A careful hand writes three of
//! four files, so that at least a third of all inputs is valid whatever a fuzzer prefers.

use arbitrary::{Arbitrary, Result, Unstructured};
use num_complex::Complex64;
use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::sync::atomic::{AtomicU64, Ordering};

/// How many inputs were used and how many of them made sense; reported now and then, and at the end of a run.
#[derive(Debug)]
pub struct Share {
    name: &'static str,
    all: AtomicU64,
    good: AtomicU64,
}

impl Share {
    /// The counts of one target.
    pub const fn of(name: &'static str) -> Self {
        Self { name, all: AtomicU64::new(0), good: AtomicU64::new(0) }
    }

    /// Counts one more.
    pub fn note(&self, makes_sense: bool) {
        let all = self.all.fetch_add(1, Ordering::Relaxed) + 1;
        let good = self.good.fetch_add(u64::from(makes_sense), Ordering::Relaxed) + u64::from(makes_sense);
        if all >= 256 && (all.is_power_of_two() || all % 1_000_000 == 0) {
            eprintln!("{}: {all} inputs, {:.0} % made sense", self.name, 100.0 * good as f64 / all as f64);
        }
    }
}

/// A unit and how many of it make one of the first unit of its list.
type Unit = (&'static str, f64);

const LENGTHS: &[Unit] = &[("mm", 1.0), ("mm", 1.0), ("mm", 1.0), ("in", 1.0 / 25.4), ("cm", 0.1)];
const MILLIMETRES: &[Unit] = &[("mm", 1.0)];
const MASSES: &[Unit] = &[("g", 1.0), ("g", 1.0), ("oz", 1.0 / 28.349_523_125)];
const HEAVY: &[Unit] = &[("kg", 1.0), ("kg", 1.0), ("lb", 2.204_622_621_848_776)];
const ANGLES: &[Unit] = &[("deg", 1.0)];
const SPEEDS: &[Unit] = &[("rpm", 1.0)];

/// The hand that writes a file: random bytes, and whether it takes care.
#[derive(Debug)]
pub struct Hand<'a> {
    bytes: Unstructured<'a>,
    careful: bool,
    /// The sensors of the job written last show unbalance, not vibration.
    shows_unbalance: bool,
}

impl<'a> Hand<'a> {
    /// How careful it is depends on every byte, so that a fuzzer cannot collect careless ones.
    #[must_use]
    pub fn new(data: &'a [u8]) -> Self {
        // FNV-1a.
        let mixed = data.iter().fold(0xcbf2_9ce4_8422_2325_u64, |mixed, &byte| {
            (mixed ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
        });
        Self { bytes: Unstructured::new(data), careful: (mixed >> 32) % 4 != 3, shows_unbalance: false }
    }

    /// The text of an input: bytes after `raw:` as they are (so that real files can begin a run), otherwise what
    /// `make` writes, with slips.
    pub fn text(&mut self, data: &[u8], make: fn(&mut Self) -> Result<String>) -> Option<Vec<u8>> {
        if let Some(raw) = data.strip_prefix(b"raw:") {
            return Some(raw.to_vec());
        }
        make(self).and_then(|text| self.with_slips(text)).ok()
    }

    /// A text with slips: none by a careful hand, otherwise in two of three up to three letters removed, doubled or
    /// inserted.
    pub fn with_slips(&mut self, text: String) -> Result<Vec<u8>> {
        let mut bytes = text.into_bytes();
        if self.careful || self.bytes.ratio(1, 3)? {
            return Ok(bytes);
        }
        for _ in 0..self.bytes.int_in_range(1..=3)? {
            if bytes.is_empty() {
                break;
            }
            let at = self.bytes.choose_index(bytes.len())?;
            match self.bytes.int_in_range(0..=3)? {
                0 => drop(bytes.remove(at)),
                1 => bytes.insert(at, bytes[at]),
                2 => bytes[at] = self.bytes.arbitrary()?,
                _ => bytes.insert(at, self.bytes.arbitrary()?),
            }
        }
        Ok(bytes)
    }

    /// True in so many of so many, whoever writes.
    pub fn now_and_then(&mut self, times: u8, of: u8) -> Result<bool> {
        self.bytes.ratio(times, of)
    }

    /// True once in so many, and never by a careful hand.
    fn slips(&mut self, once_in: u8) -> Result<bool> {
        Ok(self.bytes.ratio(1, once_in)? && !self.careful)
    }

    /// One of the words.
    pub fn choose<'w>(&mut self, words: &'w [&'w str]) -> Result<&'w str> {
        Ok(self.bytes.choose(words)?)
    }

    /// The first words are right; a careful hand takes one of them.
    fn choose_right<'w>(&mut self, right: &'w [&'w str], wrong: &'w [&'w str]) -> Result<&'w str> {
        if self.slips(4)? { self.choose(wrong) } else { self.choose(right) }
    }

    /// How many, within bounds.
    pub fn count(&mut self, from: usize, to: usize) -> Result<usize> {
        self.bytes.int_in_range(from..=to)
    }

    /// Anything.
    fn any<T: Arbitrary<'a>>(&mut self) -> Result<T> {
        self.bytes.arbitrary()
    }

    /// A number near the usual one; from a careless hand sometimes one that makes no sense.
    pub fn number(&mut self, usual: f64) -> Result<String> {
        let near = usual * (0.8 + 0.4 * f64::from(self.any::<u16>()?) / 65536.0);
        let kind = self.bytes.int_in_range(0..=11)?;
        Ok(match kind {
            1 if !self.careful => format!("{:e}", self.any::<f64>()?),
            2 if !self.careful => format!("-{usual}"),
            3 if !self.careful => self.any::<i32>()?.to_string(),
            4 if !self.careful => "0".into(),
            5 if !self.careful => format!("{:.3}", near * 20.0),
            _ => format!("{near:.4}"),
        })
    }

    /// A value with its unit in quotes; `usual` counts the first unit of the list.
    pub fn quantity(&mut self, usual: f64, units: &[Unit]) -> Result<String> {
        let (unit, factor) = *self.bytes.choose(units)?;
        Ok(format!("\"{} {unit}\"", self.number(usual * factor)?))
    }

    /// A place's name, from a careless hand sometimes one that no file knows.
    fn place(&mut self) -> Result<&'static str> {
        Ok(if self.slips(5)? {
            "middle"
        } else if self.any()? {
            "front"
        } else {
            "rear"
        })
    }
}

/// A job file.
pub fn job(hand: &mut Hand<'_>) -> Result<String> {
    let mut text = String::from("[job]\nnumber = \"WP-0417\"\n");
    if hand.any()? {
        text += "type = \"auger drive\"\n";
    }
    text += "[shaft]\n";
    let _ = writeln!(text, "mass = {}", hand.quantity(14.2, HEAVY)?);
    let _ = writeln!(text, "service_speed = {}", hand.quantity(2600.0, SPEEDS)?);
    let _ = writeln!(
        text,
        "grade = {}",
        hand.choose_right(&["\"G16\"", "\"G40\"", "\"G6.3\""], &["16", "6.3", "\"G0\""])?
    );
    if hand.now_and_then(1, 8)? {
        text += "balanced_in = \"one plane\"\n";
    }
    if hand.now_and_then(3, 4)? {
        let _ = writeln!(
            text,
            "[tube]\nouter_diameter = {}\nwall = {}\nlength = {}\nmaterial = \"{}\"",
            hand.quantity(88.9, LENGTHS)?,
            hand.quantity(2.4, MILLIMETRES)?,
            hand.quantity(1700.0, LENGTHS)?,
            hand.choose_right(&["steel", "steel", "aluminium"], &["6061", "cheese"])?
        );
    }
    for name in ["front", "rear"] {
        let usual = if name == "front" { 95.0 } else { 1120.0 };
        let _ = writeln!(
            text,
            "[[correction_plane]]\nname = \"{name}\"\nposition = {}",
            hand.quantity(usual, LENGTHS)?
        );
        if hand.any()? {
            let _ = writeln!(text, "radius = {}", hand.quantity(45.0, LENGTHS)?);
        }
    }
    let shows = if hand.now_and_then(1, 8)? { hand.choose(&["unbalance", "correction"])? } else { "" };
    hand.shows_unbalance = !shows.is_empty();
    for (name, at) in [("front", 50.0), ("rear", 1200.0)] {
        let _ = writeln!(text, "[[sensor]]\nname = \"{name}\"\nposition = {}", hand.quantity(at, LENGTHS)?);
        if !shows.is_empty() && !hand.slips(3)? {
            let _ = writeln!(
                text,
                "shows = \"{shows}\"\nplane = \"{name}\"\ncrosstalk = \"{} %\"",
                hand.number(10.0)?
            );
        }
    }
    sections(hand, &mut text, 5)?;
    Ok(text)
}

/// Up to so many sections; a careful hand writes each table once.
fn sections(hand: &mut Hand<'_>, text: &mut String, most: usize) -> Result<()> {
    let mut written = Vec::new();
    for _ in 0..hand.count(0, most)? {
        let which = hand.count(0, SECTIONS - 1)?;
        // The stand is described in two ways.
        let table = if which == 18 { 3 } else { which };
        if hand.careful && written.contains(&table) {
            continue;
        }
        written.push(table);
        *text += &section(hand, which)?;
    }
    Ok(())
}

const SECTIONS: usize = 19;

/// One of the sections that a job or shop may have.
fn section(hand: &mut Hand<'_>, which: usize) -> Result<String> {
    Ok(match which {
        0 => format!(
            "[[no_weld]]\nplane = \"{}\"\nfrom = {}\nto = {}\n",
            hand.place()?,
            hand.quantity(300.0, ANGLES)?,
            hand.quantity(20.0, ANGLES)?
        ),
        1 => {
            let mut text = String::new();
            for mass in [5.0, 10.0, 20.0] {
                let _ = write!(
                    text,
                    "[[weight]]\nmass = {}\nwidth = {}\n",
                    hand.quantity(mass, MASSES)?,
                    hand.quantity(25.0, LENGTHS)?
                );
            }
            text
        }
        2 => format!(
            "[weld]\nbead_mass = {}\nmost_per_plane = {}\ngap = {}\naim = \"{}\"\n",
            hand.quantity(1.0, MASSES)?,
            hand.count(1, 5)? - usize::from(hand.slips(6)?),
            hand.quantity(3.0, LENGTHS)?,
            hand.choose_right(&["fewest weights", "least left"], &["fewest", ""])?
        ),
        3 => format!(
            "[stand]\nreading_noise = \"{} %\"\nreading_floor = {}\n",
            hand.number(2.0)?,
            hand.number(0.02)?
        ),
        4 => format!(
            "[[joint]]\nname = \"front joint\"\nplan = {}\nside = {}\n",
            hand.quantity(1.5, ANGLES)?,
            hand.quantity(1.8, ANGLES)?
        ),
        5 => format!(
            "[[end]]\nname = \"yoke\"\nposition = {}\nmass = {}\n",
            hand.quantity(20.0, LENGTHS)?,
            hand.quantity(3.2, HEAVY)?
        ),
        6 => format!(
            "[[part]]\nname = \"front half\"\nmass = {}\nfrom = {}\nto = {}\n",
            hand.quantity(6.0, HEAVY)?,
            hand.quantity(20.0, LENGTHS)?,
            hand.quantity(700.0, LENGTHS)?
        ),
        7 => format!(
            "[[section]]\nname = \"stub\"\nfrom = {}\nto = {}\nouter_diameter = {}\n",
            hand.quantity(10.0, LENGTHS)?,
            hand.quantity(90.0, LENGTHS)?,
            hand.quantity(40.0, LENGTHS)?
        ),
        8 => format!("[[steady_bearing]]\nposition = {}\n", hand.quantity(700.0, LENGTHS)?),
        9 => "[override]\nname = \"J. Stoker\"\nreason = \"tried at half speed before\"\n".into(),
        10 => format!(
            "[convention]\nphase = \"{}\"\nmass_angle = \"{}\"\n",
            hand.choose_right(&["lag", "lead"], &["late", ""])?,
            hand.choose(&["against rotation", "with rotation"])?
        ),
        11 => format!(
            "[[welded]]\nplane = \"{}\"\nmass = {}\nangle = {}\nhold = \"can come off\"\n",
            hand.place()?,
            hand.quantity(10.0, MASSES)?,
            hand.quantity(90.0, ANGLES)?
        ),
        12 => "[[inspection]]\npart = \"tube\"\nfinding = \"straight\"\ndecision = \"keep\"\n".into(),
        13 => format!(
            "[service]\nengine_speed = {}\ngearbox_ratio = {}\ntransfer_ratio = {}\n",
            hand.quantity(2340.0, SPEEDS)?,
            hand.number(0.9)?,
            hand.number(1.0)?
        ),
        14 => format!("[show]\nunits = \"{}\"\n", hand.choose_right(&["us", "metric"], &["imperial"])?),
        15 => format!("[limits]\nmargin_ratio = {}\n", hand.number(0.7)?),
        16 => {
            let (place, mut text) = (hand.place()?, String::new());
            for at in [10.0, 100.0, 190.0, 260.0] {
                let _ = write!(
                    text,
                    "[[fixed_place]]\nplane = \"{place}\"\nangle = {}\n",
                    hand.quantity(at, ANGLES)?
                );
            }
            text
        }
        17 => format!(
            "[[tolerance_plane]]\nname = \"front bearing\"\nposition = {}\n[[tolerance_plane]]\nname = \"rear bearing\"\nposition = {}\n",
            hand.quantity(10.0, LENGTHS)?,
            hand.quantity(1290.0, LENGTHS)?
        ),
        _ => format!(
            "[stand]\namplitude_swing = {}\nphase_swing = {}\namplitude_step = {}\nphase_step = \"5 deg\"\n",
            hand.quantity(0.3, &[("mm/s", 1.0)])?,
            hand.quantity(4.0, ANGLES)?,
            hand.quantity(0.1, &[("mm/s", 1.0)])?
        ),
    })
}

/// A shop file.
pub fn shop(hand: &mut Hand<'_>) -> Result<String> {
    let mut text = String::from("[shop]\nname = \"depot\"\n");
    sections(hand, &mut text, 4)?;
    Ok(text)
}

/// A shaft as the runs file of a careful hand shows it: an unbalance at each plane [g], how the sensors respond.
struct Shaft {
    unbalance: [Complex64; 2],
    response: [[Complex64; 2]; 2],
}

impl Shaft {
    fn new(hand: &mut Hand<'_>) -> Result<Self> {
        let mut vector = |size: f64| -> Result<Complex64> {
            let part = f64::from(hand.any::<u16>()?) / 65536.0;
            Ok(Complex64::from_polar(size * (0.2 + part), f64::from(hand.any::<u16>()?) / 65536.0 * TAU))
        };
        Ok(Self {
            unbalance: [vector(20.0)?, vector(20.0)?],
            response: [[vector(0.3)?, vector(0.1)?], [vector(0.1)?, vector(0.3)?]],
        })
    }

    fn shows(&self, sensor: usize, loads: [Complex64; 2]) -> Complex64 {
        (0..2).map(|plane| self.response[sensor][plane] * (self.unbalance[plane] + loads[plane])).sum()
    }
}

/// The degrees of a vector, from 0 to 360.
fn degrees(vector: Complex64) -> f64 {
    vector.arg().to_degrees().rem_euclid(360.0)
}

/// A runs file for the two places of [`job`].
pub fn runs(hand: &mut Hand<'_>) -> Result<String> {
    let separator = *hand.bytes.choose(&[",", ",", ",", ";"])?;
    let unit = if hand.shows_unbalance { "g.mm" } else { "mm/s" };
    let scale = if hand.shows_unbalance { 150.0 } else { 1.0 };
    let mut rows = vec![format!(
        "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [{unit}],front phase [deg],rear amplitude [{unit}],rear phase [deg],mounting,on top of,note"
    )];
    let speed = hand.number(1800.0)?;
    let shaft = Shaft::new(hand)?;
    let nonsense = hand.now_and_then(1, 8)?;
    let kinds = ["initial", "trial", "trial", "tried", "check", "check", "check"];
    // What is on the shaft since the last check run.
    let mut on = [Complex64::ZERO; 2];
    let rows_wanted = if hand.slips(8)? { hand.count(0, 7)? } else { hand.count(3, 7)? };
    for (at, kind) in kinds.iter().enumerate().take(rows_wanted) {
        let kind = if hand.slips(6)? { hand.choose(&kinds)? } else { kind };
        let mut row = format!("{},{kind},{speed}", at + 1);
        // Check runs after the first: the same masses, others on the shaft as found, or more on top.
        let later = at > 4 && kind == "check";
        let on_top = if later { *hand.bytes.choose(&["", "as found", "before"])? } else { "" };
        let mut loads = if on_top == "before" { on } else { [Complex64::ZERO; 2] };
        for plane in 0..2 {
            let loaded = match kind {
                "initial" => false,
                "trial" => (at + plane) % 2 == 1,
                // What is on stays on; a careless hand forgets to list it.
                _ => !hand.slips(8)?,
            };
            if loaded != hand.slips(15)? {
                // What goes on for good stands roughly opposite the unbalance.
                let load = if later && on_top.is_empty() && !hand.slips(8)? {
                    let _ = write!(row, ",{},{}", on[plane].norm(), degrees(on[plane]));
                    loads[plane] = on[plane];
                    continue;
                } else if on_top == "before" {
                    -(shaft.unbalance[plane] + on[plane])
                } else if kind == "trial" {
                    Complex64::from_polar(20.0, f64::from(hand.any::<u8>()?))
                } else {
                    -shaft.unbalance[plane]
                };
                let mass = hand.number(load.norm())?;
                let turn =
                    if nonsense { f64::from(hand.any::<u8>()?) } else { f64::from(hand.any::<i8>()?) / 32.0 };
                let angle = (degrees(load) + turn).rem_euclid(360.0);
                loads[plane] += Complex64::from_polar(mass.parse().unwrap_or(0.0), angle.to_radians());
                let _ = write!(row, ",{mass},{angle:.2}");
            } else {
                row += ",,";
            }
        }
        for sensor in 0..2 {
            let shown = shaft.shows(sensor, loads)
                * Complex64::from_polar(
                    1.0 + f64::from(hand.any::<i8>()?) / 6400.0,
                    f64::from(hand.any::<i8>()?) / 6400.0,
                );
            if hand.now_and_then(1, 24)? {
                row += ",<0.05,";
            } else if nonsense || hand.slips(10)? {
                let _ = write!(row, ",{},{}", hand.number(4.0)?, hand.count(0, 359)?);
            } else {
                let _ = write!(row, ",{:.3},{:.1}", scale * shown.norm(), degrees(shown));
            }
        }
        if kind == "check" {
            on = loads;
        }
        row += if hand.now_and_then(1, 12)? { ",B," } else { ",," };
        match on_top {
            "before" => row += &at.to_string(),
            word => row += word,
        }
        row += ",";
        row += hand.choose(&["", "clamp was loose", "\"two\nlines\"", "# no comment"])?;
        rows.push(row);
    }
    let end = *hand.bytes.choose(&["\n", "\n", "\r\n"])?;
    Ok(rows.join(end).replace(',', separator) + end)
}

/// A table of a dial indicator's readings.
pub fn runout(hand: &mut Hand<'_>) -> Result<String> {
    let mut text = String::from("station [mm],angle [deg],reading [mm]\n");
    for station in 1..=hand.count(1, 4)? {
        let turns = hand.count(8, 12)? - if hand.slips(3)? { 7 } else { 0 };
        for turn in 0..turns {
            let _ = writeln!(text, "{},{},{}", station * 300, turn * 30, hand.number(0.15)?);
        }
    }
    Ok(text)
}
