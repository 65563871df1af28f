//! Files that mostly make sense, made from random bytes: a shop's texts with random numbers, units and words,
//! and now and then a slip. Bytes alone hardly ever get past the first line of a reader.

use arbitrary::{Result, Unstructured};
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
        if all % 50_000 == 0 {
            eprintln!("{}: {all} inputs, {:.0} % made sense", self.name, 100.0 * good as f64 / all as f64);
        }
    }
}

/// The text of an input: bytes after `raw:` as they are (so that real files can begin a run), otherwise what
/// `make` draws from them, with slips.
pub fn text_of<'a>(u: &mut Unstructured<'a>, data: &'a [u8], make: fn(&mut Unstructured<'a>) -> Result<String>) -> Option<Vec<u8>> {
    if let Some(raw) = data.strip_prefix(b"raw:") {
        return Some(raw.to_vec());
    }
    make(u).and_then(|text| with_slips(text, u)).ok()
}

/// A text with slips: none in two of three, otherwise up to three letters removed, doubled or inserted.
pub fn with_slips(text: String, u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut bytes = text.into_bytes();
    if !u.ratio(1, 3)? {
        return Ok(bytes);
    }
    for _ in 0..u.int_in_range(1..=3)? {
        if bytes.is_empty() {
            break;
        }
        let at = u.choose_index(bytes.len())?;
        match u.int_in_range(0..=3)? {
            0 => drop(bytes.remove(at)),
            1 => bytes.insert(at, bytes[at]),
            2 => bytes[at] = u.arbitrary()?,
            _ => bytes.insert(at, u.arbitrary()?),
        }
    }
    Ok(bytes)
}

/// A number as people write it, mostly near the usual one.
pub fn number(u: &mut Unstructured<'_>, usual: f64) -> Result<String> {
    Ok(match u.int_in_range(0..=11)? {
        0 => "0".into(),
        1 => format!("{:e}", u.arbitrary::<f64>()?),
        2 => format!("-{usual}"),
        3 => u.arbitrary::<i32>()?.to_string(),
        _ => format!("{:.3}", usual * (0.5 + f64::from(u.arbitrary::<u16>()?) / 65536.0)),
    })
}

/// A value with its unit in quotes.
pub fn quantity(u: &mut Unstructured<'_>, usual: f64, units: &[&str]) -> Result<String> {
    Ok(format!("\"{} {}\"", number(u, usual)?, u.choose(units)?))
}

const LENGTHS: &[&str] = &["mm", "mm", "mm", "in", "cm"];

/// A place's name, mostly one that the other files know.
fn place(u: &mut Unstructured<'_>) -> Result<&'static str> {
    Ok(u.choose(&["front", "rear", "front", "rear", "middle"])?)
}

/// A job file.
pub fn job(u: &mut Unstructured<'_>) -> Result<String> {
    let mut text = String::from("[job]\nnumber = \"WP-0417\"\n");
    if u.arbitrary()? {
        text += "type = \"auger drive\"\n";
    }
    text += "[shaft]\n";
    let _ = writeln!(text, "mass = {}", quantity(u, 14.2, &["kg", "kg", "lb"])?);
    let _ = writeln!(text, "service_speed = {}", quantity(u, 2600.0, &["rpm"])?);
    let _ = writeln!(text, "grade = {}", u.choose(&["\"G16\"", "\"G40\"", "16", "6.3", "\"G0\""])?);
    if u.ratio(3, 4)? {
        let _ = writeln!(
            text,
            "[tube]\nouter_diameter = {}\nwall = {}\nlength = {}\nmaterial = \"{}\"",
            quantity(u, 88.9, LENGTHS)?,
            quantity(u, 2.4, &["mm"])?,
            quantity(u, 1385.0, &["mm"])?,
            u.choose(&["steel", "aluminium", "6061", "cheese"])?
        );
    }
    for name in ["front", "rear"] {
        let usual = if name == "front" { 95.0 } else { 1290.0 };
        let _ = writeln!(text, "[[correction_plane]]\nname = \"{name}\"\nposition = {}", quantity(u, usual, &["mm"])?);
        if u.arbitrary()? {
            let _ = writeln!(text, "radius = {}", quantity(u, 45.0, LENGTHS)?);
        }
    }
    for name in ["front", "rear"] {
        let _ = writeln!(text, "[[sensor]]\nname = \"{name}\"\nposition = {}", quantity(u, 700.0, &["mm"])?);
        if u.ratio(1, 8)? {
            let _ = writeln!(text, "crosstalk = \"{} %\"\nshows = \"{}\"", number(u, 10.0)?, place(u)?);
        }
    }
    for _ in 0..u.int_in_range(0..=5)? {
        text += &section(u)?;
    }
    Ok(text)
}

/// One of the sections that a job or shop may have.
fn section(u: &mut Unstructured<'_>) -> Result<String> {
    Ok(match u.int_in_range(0..=13)? {
        0 => format!("[[no_weld]]\nplane = \"{}\"\nfrom = {}\nto = {}\n", place(u)?, quantity(u, 350.0, &["deg"])?, quantity(u, 20.0, &["deg"])?),
        1 => format!("[[weight]]\nmass = {}\nwidth = {}\n", quantity(u, 10.0, &["g", "oz"])?, quantity(u, 25.0, LENGTHS)?),
        2 => format!("[weld]\nbead_mass = {}\nmost_per_plane = {}\ngap = {}\n", quantity(u, 1.0, &["g"])?, u.int_in_range(0..=5)?, quantity(u, 3.0, &["mm"])?),
        3 => format!("[stand]\nreading_noise = \"{} %\"\nreading_floor = {}\n", number(u, 2.0)?, number(u, 0.02)?),
        4 => format!("[[joint]]\nname = \"front joint\"\nplan = {}\nside = {}\n", quantity(u, 1.5, &["deg"])?, quantity(u, 1.8, &["deg"])?),
        5 => format!("[[end]]\nname = \"yoke\"\nposition = {}\nmass = {}\n", quantity(u, 20.0, &["mm"])?, quantity(u, 3.2, &["kg"])?),
        6 => format!("[[part]]\nname = \"part {}\"\nfrom = {}\nto = {}\n", u.int_in_range(1..=3)?, quantity(u, 100.0, &["mm"])?, quantity(u, 900.0, &["mm"])?),
        7 => format!("[[section]]\nname = \"stub\"\nfrom = {}\nto = {}\nouter_diameter = {}\n", quantity(u, 10.0, &["mm"])?, quantity(u, 90.0, &["mm"])?, quantity(u, 40.0, &["mm"])?),
        8 => format!("[[steady_bearing]]\nposition = {}\n", quantity(u, 700.0, &["mm"])?),
        9 => "[override]\nname = \"J. Stoker\"\nreason = \"tried before\"\n".into(),
        10 => format!("[convention]\nphase = \"{}\"\nmass_angle = \"{}\"\n", u.choose(&["lag", "lead", "late"])?, u.choose(&["against rotation", "with rotation"])?),
        11 => format!("[[welded]]\nplane = \"{}\"\nmass = {}\nangle = {}\nhold = \"can come off\"\n", place(u)?, quantity(u, 10.0, &["g"])?, quantity(u, 90.0, &["deg"])?),
        12 => "[[inspection]]\npart = \"tube\"\nfinding = \"straight\"\ndecision = \"keep\"\n".into(),
        _ => format!("[service]\nengine_speed = {}\ngearbox_ratio = {}\n", quantity(u, 2340.0, &["rpm"])?, number(u, 0.9)?),
    })
}

/// A shop file.
pub fn shop(u: &mut Unstructured<'_>) -> Result<String> {
    let mut text = String::from("[shop]\nname = \"depot\"\n");
    for _ in 0..u.int_in_range(0..=4)? {
        text += &section(u)?;
    }
    Ok(text)
}

/// A runs file for the two places of [`job`].
pub fn runs(u: &mut Unstructured<'_>) -> Result<String> {
    let separator = *u.choose(&[",", ",", ",", ";"])?;
    let mut rows = vec![
        "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg],mounting,note"
            .to_owned(),
    ];
    let speed = number(u, 1800.0)?;
    let kinds = ["initial", "trial", "trial", "tried", "check", "check", "check"];
    for (at, kind) in kinds.iter().enumerate().take(u.int_in_range(1..=7)?) {
        let kind = if u.ratio(1, 12)? { *u.choose(&kinds)? } else { kind };
        let mut row = format!("{},{kind},{speed}", at + 1);
        for plane in 0..2 {
            let loaded = match kind {
                "initial" => false,
                "trial" => (at + plane) % 2 == 1,
                _ => u.ratio(3, 4)?,
            };
            if loaded != u.ratio(1, 30)? {
                let _ = write!(row, ",{},{}", number(u, 20.0)?, number(u, 90.0)?);
            } else {
                row += ",,";
            }
        }
        for _ in 0..2 {
            if u.ratio(1, 20)? {
                row += ",<0.05,";
            } else {
                let _ = write!(row, ",{},{}", number(u, 4.0)?, number(u, 180.0)?);
            }
        }
        row += if u.ratio(1, 4)? { ",B," } else { ",," };
        row += u.choose(&["", "clamp was loose", "\"two\nlines\"", "# no comment"])?;
        rows.push(row);
    }
    let end = *u.choose(&["\n", "\n", "\r\n"])?;
    Ok(rows.join(end).replace(',', separator) + end)
}

/// A table of a dial indicator's readings.
pub fn runout(u: &mut Unstructured<'_>) -> Result<String> {
    let mut text = String::from("station [mm],angle [deg],reading [mm]\n");
    for station in 0..u.int_in_range(1..=4)? {
        for turn in 0..u.int_in_range(2..=8)? {
            let _ = writeln!(text, "{},{},{}", station * 300, turn * 45, number(u, 0.15)?);
        }
    }
    Ok(text)
}
