//! Whatever a person reads is in the shop's units, and no number that was worked out shows more than four digits.
//!
//! Random jobs (a linear shaft, seeded noise; all invented) in grams and millimetres and in pounds, inches, ounces and
//! mils; every text of every verb, the report's page, and the guided entry. `BALANCE_SHOWN_JOBS` says how many (6 of each).
#![expect(clippy::unwrap_used, reason = "tests")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use balance_core::Complex64;
use balance_tests::figures::{figures, plain, text_of_html, typed};
use balance_tests::program::{balance, balance_with};
use balance_tests::random::Random;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shop {
    Metric,
    Us,
}

/// The most significant digits.
const DIGITS: usize = 4;

impl Shop {
    fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
    }

    /// Units that this shop should never see.
    fn foreign(self) -> &'static [&'static str] {
        match self {
            Self::Metric => &["oz", "lb", "lbs", "in", "ft", "oz.in", "oz·in", "lbf", "mils"],
            Self::Us => &["g", "kg", "mm", "cm", "m", "g.mm", "g·mm", "N", "kN", "mm/s"],
        }
    }

    /// A length in mm as this shop writes it: whole mm, or inches with eighths.
    fn length(self, millimetres: f64) -> String {
        match self {
            Self::Metric => format!("{} mm", millimetres.round()),
            Self::Us => {
                let eighths = (millimetres / 25.4 * 8.0).round() as u32;
                match (eighths / 8, eighths % 8) {
                    (whole, 0) => format!("{whole} in"),
                    (0, part) => format!("{part}/8 in"),
                    (whole, part) => format!("{whole} {part}/8 in"),
                }
            }
        }
    }

    /// A small length, to a tenth of a mm or a thousandth of an inch.
    fn fine(self, millimetres: f64) -> String {
        match self {
            Self::Metric => format!("{millimetres:.1} mm"),
            Self::Us => format!("{:.3} in", millimetres / 25.4),
        }
    }

    fn shaft_mass(self, kilograms: f64) -> String {
        match self {
            Self::Metric => format!("{kilograms:.1} kg"),
            Self::Us => format!("{:.1} lbs", kilograms / 0.453_592_37),
        }
    }

    /// A weight as a number in the shop's unit, and in grams as it then is.
    fn weight(self, grams: f64) -> (String, f64) {
        let ounce = 28.349_523_125;
        match self {
            Self::Metric => {
                let text = format!("{grams:.1}");
                (text.clone(), text.parse().unwrap())
            }
            Self::Us => {
                let text = format!("{:.2}", grams / ounce);
                (text.clone(), text.parse::<f64>().unwrap() * ounce)
            }
        }
    }

    fn weight_unit(self) -> &'static str {
        match self {
            Self::Metric => "g",
            Self::Us => "oz",
        }
    }

    /// The dial's unit, and how many of it a mm/s is (as if 1800 rpm and peak to peak: 1 mm/s is 0.42 mils).
    fn dial(self) -> (&'static str, f64) {
        match self {
            Self::Metric => ("mm/s", 1.0),
            Self::Us => ("mils", 0.42),
        }
    }
}

/// A job's folder, and every text that was typed into it.
fn lay_out(folder: &Path, shop: Shop, seed: u64) -> (PathBuf, BTreeSet<String>) {
    let mut random = Random::seeded(seed);
    let tube = [76.2, 88.9, 101.6][random.below(3)];
    let length = random.between(1100.0, 1700.0);
    let mass = random.between(11.0, 19.0);
    let shop_text = shop_file(shop, &mut random);
    let job_text = job_file(shop, &mut random, [tube, length, mass], seed);
    let runs = runs_file(shop, &mut random, tube);
    let runout = runout_file(shop, &mut random, length);
    let job = folder.join("SH-1");
    std::fs::create_dir_all(&job).unwrap();
    std::fs::write(folder.join("shop.toml"), &shop_text).unwrap();
    for (name, text) in [("job.toml", &job_text), ("runs.csv", &runs), ("runout.csv", &runout)] {
        std::fs::write(job.join(name), text).unwrap();
    }
    (job, typed(&[&shop_text, &job_text, &runs, &runout]))
}

fn shop_file(shop: Shop, random: &mut Random) -> String {
    let boxed = |grams: f64| {
        format!(
            "[[weight]]\nmass = \"{} {}\"\nwidth = \"{}\"\nthickness = \"{}\"\n",
            shop.weight(grams).0,
            shop.weight_unit(),
            shop.fine(12.0 + grams),
            shop.fine(3.2)
        )
    };
    let weights: String = match random.below(2) {
        0 => String::new(),
        _ => [5.0, 10.0, 15.0, 20.0].map(boxed).concat(),
    };
    format!(
        "format = 1\n[shop]\nname = \"Pass road depot (invented)\"\n[convention]\nturns = \"clockwise seen from the front\"\n\
         mass_angle = \"against rotation\"\nphase = \"same way as masses\"\n[stand]\nreading_noise = \"2 %\"\n\
         scale_error = \"{} {}\"\nplace_error = \"{}\"\nmost_reading = 30\nmost_speed = \"3500 rpm\"\n{weights}\
         [weld]\nbead_mass = \"{} {}\"\n[show]\nunits = \"{}\"\n",
        shop.weight(0.3).0,
        shop.weight_unit(),
        shop.fine(2.0),
        shop.weight(1.1).0,
        shop.weight_unit(),
        shop.word()
    )
}

fn job_file(shop: Shop, random: &mut Random, [tube, length, mass]: [f64; 3], seed: u64) -> String {
    let rear = shop.length(length - 90.0);
    let limit = if random.below(4) == 0 {
        match shop {
            Shop::Metric => "limit = \"380 g.mm\"",
            Shop::Us => "limit = \"0.55 oz.in\"",
        }
    } else {
        "grade = \"G16\""
    };
    let extra = match seed % 3 {
        0 => format!(
            "[relength]\njoint_centres = \"{}\"\nfront_shoulder = \"{}\"\nrear_shoulder = \"{}\"\nshrink_allowance = \"{}\"\n\
             slip_shortest = \"{}\"\nslip_longest = \"{}\"\nat_droop = \"{}\"\nat_bump = \"{}\"\n",
            shop.length(length),
            shop.fine(62.3),
            shop.fine(74.1),
            shop.fine(1.1),
            shop.length(length - 40.0),
            shop.length(length + 40.0),
            shop.length(length + 13.0),
            shop.length(length - 10.0)
        ),
        1 => format!(
            "[[end]]\nname = \"front yoke\"\nposition = \"{}\"\nmass = \"{}\"\n[[welded]]\nplane = \"front\"\n\
             mass = \"{} {}\"\nangle = \"{}\"\n",
            shop.length(20.0),
            shop.shaft_mass(3.2),
            shop.weight(12.4).0,
            shop.weight_unit(),
            shop.length(tube)
        ),
        _ => String::new(),
    };
    format!(
        "format = 1\n[job]\nnumber = \"SH-1\"\n[shaft]\nmass = \"{}\"\nservice_speed = \"2600 rpm\"\n{limit}\n\
         [tube]\nouter_diameter = \"{}\"\nwall = \"{}\"\nlength = \"{}\"\nmaterial = \"steel\"\n\
         [[correction_plane]]\nname = \"front\"\nposition = \"{}\"\n[[correction_plane]]\nname = \"rear\"\nposition = \"{rear}\"\n\
         [[sensor]]\nname = \"front\"\nposition = \"{}\"\n[[sensor]]\nname = \"rear\"\nposition = \"{}\"\n\
         [convention]\nzero_mark = \"paint line\"\n[[no_weld]]\nplane = \"front\"\nfrom = \"{}\"\nto = \"20 deg\"\n\
         reason = \"tube seam\"\n{extra}[runout]\nfile = \"runout.csv\"\n",
        shop.shaft_mass(mass),
        shop.fine(tube),
        shop.fine(2.4),
        shop.length(length),
        shop.length(90.0),
        shop.length(0.0),
        shop.length(length),
        shop.length(tube * 3.0)
    )
}

/// Runs of a linear shaft: mm/s for each g·mm from front and rear plane (columns) at front and rear sensor (rows).
fn runs_file(shop: Shop, random: &mut Random, tube: f64) -> String {
    let answers = [[(0.0041, 96.0), (0.0009, 171.0)], [(0.0008, 15.0), (0.0036, 103.0)]]
        .map(|row| row.map(|(size, degrees): (f64, f64)| Complex64::from_polar(size, degrees.to_radians())));
    let radius = tube / 2.0 + 1.6;
    let found = [(); 2].map(|()| random.direction() * random.between(500.0, 1400.0));
    let (dial, factor) = shop.dial();
    let mut read = |added: [Complex64; 2]| {
        let cell = |row: &[Complex64; 2], random: &mut Random| {
            let sum: Complex64 = (0..2).map(|at| row[at] * (found[at] + added[at] * radius)).sum();
            let seen = sum * factor * (Complex64::new(1.0, 0.0) + random.circular() * 0.01);
            format!("{:.2},{}", seen.norm(), seen.arg().to_degrees().rem_euclid(360.0).round() % 360.0)
        };
        answers.each_ref().map(|row| cell(row, random)).join(",")
    };
    let zero = Complex64::new(0.0, 0.0);
    let unit = shop.weight_unit();
    let mut text = format!(
        "run,kind,speed [rpm],front mass [{unit}],front angle [deg],rear mass [{unit}],rear angle [deg],\
         front amplitude [{dial}],front phase [deg],rear amplitude [{dial}],rear phase [deg]\n"
    );
    let (trial, grams) = shop.weight(21.0);
    let quarter = Complex64::new(0.0, grams);
    text.push_str(&format!("1,initial,1800,,,,,{}\n", read([zero, zero])));
    text.push_str(&format!("2,trial,1800,{trial},90,,,{}\n", read([quarter, zero])));
    text.push_str(&format!("3,trial,1800,,,{trial},90,{}\n", read([zero, quarter])));
    if found[0].re > 0.0 || found[1].re > 0.0 {
        let weights = found.map(|own| {
            let (mass, grams) = shop.weight(own.norm() / radius * 0.9);
            let degrees = ((-own).arg().to_degrees() + 4.0).rem_euclid(360.0).round() % 360.0;
            (format!("{mass},{degrees}"), Complex64::from_polar(grams, degrees.to_radians()))
        });
        let after = read([weights[0].1, weights[1].1]);
        text.push_str(&format!("4,check,1800,{},{},{after}\n", weights[0].0, weights[1].0));
    }
    text
}

fn runout_file(shop: Shop, random: &mut Random, length: f64) -> String {
    let unit = match shop {
        Shop::Metric => "mm",
        Shop::Us => "in",
    };
    let mut text = format!("station [{unit}],angle [deg],reading [{unit}]\n");
    for station in [80.0, length / 2.0, length - 80.0] {
        let station = match shop {
            Shop::Metric => format!("{}", f64::round(station)),
            Shop::Us => format!("{:.1}", station / 25.4),
        };
        for angle in [0, 90, 180, 270] {
            let reading = random.between(0.20, 0.29);
            let reading = match shop {
                Shop::Metric => format!("{reading:.2}"),
                Shop::Us => format!("{:.3}", reading / 25.4),
            };
            text.push_str(&format!("{station},{angle},{reading}\n"));
        }
    }
    text
}

/// The faults of a text.
fn faults(shop: Shop, what: &str, text: &str, typed: &BTreeSet<String>) -> Vec<String> {
    let mut found = Vec::new();
    for figure in figures(text) {
        if shop.foreign().contains(&figure.unit.as_str()) && !is_english(shop, &figure.around, &figure.unit) {
            found.push(format!("{what}: {} {} in: …{}…", figure.number, figure.unit, figure.around));
        }
        let own = typed.contains(&plain(&figure.number));
        if (figure.digits() > DIGITS && !own) || figure.has_exponent() {
            found.push(format!("{what}: {} in: …{}…", figure.number, figure.around));
        }
    }
    found
}

/// "of 12 in the" does not mean inches.
fn is_english(shop: Shop, around: &str, unit: &str) -> bool {
    let follows = |word: &str| around.contains(&format!(" {unit} {word}"));
    shop == Shop::Metric
        && unit == "in"
        && ["the", "one", "this", "all", "each", "a "].into_iter().any(follows)
}

/// The words of every picture of a job, each with the picture's name.
fn words_of_pictures(job: &Path, into: &Path) -> Vec<(String, String)> {
    let words = ["plot".as_ref(), job.as_os_str(), "--format".as_ref(), "svg".as_ref()];
    let said = balance(words.into_iter().chain(["--into".as_ref(), into.as_os_str()]));
    assert_eq!(said.code, 0, "{said:?}");
    let pictures: Vec<PathBuf> = said.answer.lines().map(PathBuf::from).collect();
    assert!(pictures.len() > 4, "{said:?}");
    let words_of = |file: &PathBuf| {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        (name, text_of_html(&std::fs::read_to_string(file).unwrap()))
    };
    pictures.iter().map(words_of).collect()
}

fn jobs() -> u64 {
    std::env::var("BALANCE_SHOWN_JOBS").ok().and_then(|text| text.parse().ok()).unwrap_or(6)
}

fn every_text(shop: Shop) {
    let (mut all, mut texts) = (Vec::new(), 0);
    for seed in 0..jobs() {
        let folder = tempfile::tempdir().unwrap();
        let (job, typed) = lay_out(folder.path(), shop, seed);
        for verb in ["limits", "shaft", "correct", "verify", "explain"] {
            let said = balance([verb.as_ref(), job.as_os_str()]);
            assert!(said.answer.len() + said.talk.len() > 100, "{verb}: {said:?}");
            texts += 1;
            for text in [&said.answer, &said.talk] {
                all.extend(faults(shop, &format!("{verb} {seed}"), text, &typed));
            }
        }
        let pages = folder.path().join("pages");
        std::fs::create_dir_all(&pages).unwrap();
        let words = ["report".as_ref(), job.as_os_str(), "--into".as_ref(), pages.as_os_str()];
        let said = balance(words);
        assert_eq!(said.code, 0, "{said:?}");
        let html = std::fs::read_to_string(pages.join("report.html"));
        texts += 1;
        all.extend(faults(shop, &format!("report {seed}"), &text_of_html(&html.unwrap()), &typed));
        for (name, words) in words_of_pictures(&job, &pages) {
            texts += 1;
            all.extend(faults(shop, &format!("plot {seed}, {name}"), &words, &typed));
        }
    }
    assert!(texts > 5);
    assert!(all.is_empty(), "{} faults\n{}", all.len(), all.join("\n"));
}

#[test]
fn a_metric_shop_reads_grams_and_millimetres_with_four_digits_at_most() {
    every_text(Shop::Metric);
}

#[test]
fn a_us_shop_reads_ounces_and_inches_with_four_digits_at_most() {
    every_text(Shop::Us);
}

/// From the first question to the second trial, with places on the tape and values with their own units.
fn guided(shop: Shop) -> (String, BTreeSet<String>) {
    let folder = tempfile::tempdir().unwrap();
    let shop_file = format!(
        "format = 1\n[show]\nunits = \"{}\"\n[[weight]]\nmass = \"{} {}\"\n",
        shop.word(),
        shop.weight(10.0).0,
        shop.weight_unit()
    );
    std::fs::write(folder.path().join("shop.toml"), &shop_file).unwrap();
    let job = folder.path().join("SH-2");
    assert_eq!(balance(["new".as_ref(), job.as_os_str()]).code, 0);
    let script: &[&str] = match shop {
        Shop::Metric => &[
            "1",
            "11",
            "steps",
            "0.25",
            "",
            "14",
            "1450",
            "62 74",
            "1405 1495",
            "",
            "13",
            "1",
            "27 81.8",
            "30.2 106.3",
            "1",
            "",
            "",
            "",
            "",
            "",
            "",
            "1420",
            "2600",
            "16",
            "88.9 2.4 1385",
            "1",
            "14.2",
            "95 1290",
            "0 1385",
            "paint line",
            "1",
            "1",
            "1",
            "1",
            "?",
            "2",
            "",
            "",
            "",
            "1800 5.29 230 3.24 69",
            "",
            "?",
            "20 81mm",
            "",
            "8.68 211 3.56 49",
            "",
            "off",
            "20 258 mm",
            "1",
            "5.34 241 4.38 124",
            "",
            "off",
            "p",
            "c",
            "front 10@223mm rear 15@192",
            "0.41 30 0.33 99",
            "1",
            "1",
            "q",
        ],
        Shop::Us => &[
            "1",
            "11",
            "steps",
            ".009",
            "",
            "14",
            "57-1/8",
            "2.44 2.91",
            "55 59",
            "",
            "13",
            "1",
            "1-1/16 3.22",
            "1-3/16 4.19",
            "1",
            "",
            "",
            "",
            "",
            "",
            "",
            "313 lb",
            "2600",
            "16",
            "3.5in .095 54-1/2",
            "1",
            "31.3",
            "3 3/4 50 3/4\"",
            "0 54 1/2",
            "paint line",
            "1",
            "1",
            "1",
            "2",
            "?",
            "2",
            "",
            "",
            "",
            "1800 4.16 230 2.55 69",
            "",
            "?",
            "0.75 3 3/16in",
            "",
            "6.96 211 2.81 49",
            "",
            "off",
            "3/4 oz @ 10 1/8 in",
            "1",
            "4.20 241 3.49 124",
            "",
            "off",
            "p",
            "c",
            "front 0.35@8 3/4in rear 0.53@192",
            "0.32 30 0.26 99",
            "1",
            "1",
            "q",
        ],
    };
    let said =
        balance_with(["stand".as_ref(), job.as_os_str(), "--plain".as_ref()], &(script.join("\n") + "\n"));
    assert_eq!(said.code, 0, "{}{}", said.answer, said.talk);
    assert!(said.answer.contains("Taken: run 3"), "{}", said.answer);
    let runs = std::fs::read_to_string(job.join("runs.csv")).unwrap();
    let cells: Vec<&str> = runs.lines().filter(|line| !line.starts_with('#')).collect();
    let wanted = match shop {
        Shop::Metric => {
            "front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s]"
        }
        Shop::Us => {
            "front mass [oz],front angle [deg],rear mass [oz],rear angle [deg],front amplitude [mils]"
        }
    };
    assert!(cells[0].contains(wanted), "{runs}");
    let long = cells[1..]
        .iter()
        .flat_map(|line| line.split(','))
        .find(|cell| cell.len() > 6 && cell.parse::<f64>().is_ok());
    assert_eq!(long, None, "cells as typed:\n{runs}");
    // Help gives an example with its own unit on purpose.
    let log =
        said.answer.replace("any other unit is typed: 0.5oz", "").replace("any other unit is typed: 10g", "");
    let typed = typed(&[&script.join(" "), &shop_file, "0.75 8.7 9.1"]);
    (log, typed)
}

#[test]
fn the_guided_entry_speaks_the_shops_units() {
    for shop in [Shop::Metric, Shop::Us] {
        let (log, typed) = guided(shop);
        let found = faults(shop, "stand", &log, &typed);
        assert!(found.is_empty(), "{} faults\n{}\n{log}", found.len(), found.join("\n"));
        let questions: Vec<&str> = log.lines().filter(|line| line.contains("such as")).collect();
        assert!(questions.len() > 8, "{log}");
    }
}

/// A job file in which every place and measure is out of its range, each in the shop's own unit.
fn faulty_job(shop: Shop) -> String {
    let at = |millimetres: f64| shop.length(millimetres);
    let fine = |millimetres: f64| shop.fine(millimetres);
    format!(
        "format = 1\n[job]\nnumber = \"SH-3\"\n[show]\nunits = \"{}\"\n[tube]\nouter_diameter = \"{}\"\nwall = \"{}\"\n\
         length = \"{}\"\n[[correction_plane]]\nname = \"front\"\nposition = \"{}\"\n[[correction_plane]]\nname = \"rear\"\n\
         position = \"{}\"\n[[sensor]]\nname = \"front\"\nposition = \"{}\"\n[[no_weld]]\nplane = \"front\"\nfrom = \"{}\"\n\
         to = \"20 deg\"\n[[section]]\nname = \"stub\"\nfrom = \"{}\"\nto = \"{}\"\nouter_diameter = \"{}\"\n\
         inner_diameter = \"{}\"\n[[part]]\nname = \"half\"\nmass = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n[relength]\n\
         joint_centres = \"{}\"\nfront_shoulder = \"{}\"\nrear_shoulder = \"{}\"\nslip_shortest = \"{}\"\nslip_longest = \"{}\"\n",
        shop.word(),
        fine(88.9),
        fine(2.4),
        at(1385.0),
        at(1290.0),
        at(95.0),
        at(1500.0),
        at(400.0),
        at(600.0),
        at(300.0),
        fine(60.0),
        fine(70.0),
        shop.shaft_mass(3.0),
        at(610.0),
        at(305.0),
        at(400.0),
        at(300.0),
        at(200.0),
        at(1500.0),
        at(1400.0)
    )
}

#[test]
fn the_faults_of_files_name_lengths_in_the_shops_units() {
    for shop in [Shop::Metric, Shop::Us] {
        let folder = tempfile::tempdir().unwrap();
        let text = faulty_job(shop);
        std::fs::write(folder.path().join("job.toml"), &text).unwrap();
        let said = balance(["shaft".as_ref(), folder.path().as_os_str()]);
        assert_eq!(said.code, 2, "{said:?}");
        assert!(said.talk.matches("job.toml").count() > 6, "{}", said.talk);
        let found = faults(shop, "faults", &said.talk, &typed(&[&text]));
        assert!(found.is_empty(), "{}\n{}", found.join("\n"), said.talk);
        if std::env::var_os("BALANCE_SHOW").is_some() {
            println!("{}", said.talk);
        }
    }
}

/// A dial indicator's angles as places on a tape round the tube: a quarter of 279.3 mm is 69.8 mm, or 2.749 in (computed here).
#[test]
fn runout_angles_may_be_places_on_the_tape() {
    let quarters = [
        ("deg", ["0", "90", "180", "270"]),
        ("mm", ["0", "69.82", "139.64", "209.46"]),
        ("in", ["0", "2.749", "5.498", "8.247"]),
    ];
    let maps = quarters.map(|(unit, places)| {
        let folder = tempfile::tempdir().unwrap();
        let job = "format = 1\n[job]\nnumber = \"R\"\n[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"1385 mm\"\n\
                   [runout]\nfile = \"runout.csv\"\n";
        std::fs::write(folder.path().join("job.toml"), job).unwrap();
        let rows: String = places
            .iter()
            .zip(["0.31", "0.25", "0.19", "0.25"])
            .map(|(place, reading)| format!("700,{place},{reading}\n"))
            .collect();
        std::fs::write(folder.path().join("runout.csv"), format!("station [mm],angle [{unit}],reading [mm]\n{rows}")).unwrap();
        let said = balance(["shaft".as_ref(), folder.path().as_os_str()]);
        assert_eq!(said.code, 0, "{said:?}");
        said.answer.lines().filter(|line| line.contains("700")).map(str::to_owned).collect::<Vec<_>>().join("\n")
    });
    assert!(!maps[0].is_empty());
    assert_eq!([&maps[1], &maps[2]], [&maps[0]; 2]);
}
