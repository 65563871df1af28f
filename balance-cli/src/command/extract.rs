//! `balance extract`: a recording made into a reading.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use balance_core::correction::weights::GivenWeight;
use balance_core::quantity::{Mass, Speed};
use balance_core::run::{Change, PlacedMass, Run, RunKind};
use balance_core::stand::capture::{Extracted, Progress, Stretch};

use super::each::refuse;
use super::listen::{Heard, Keep, listen};
use super::plot::save;
use super::with::given_weights;
use crate::args::{ExtractArguments, PictureFormat};
use crate::exit::Exit;
use crate::files::disk::open_stream;
use crate::files::job::{JOB_FILE, RUNS_FILE, shop_file_here_or_above};
use crate::files::recording::{Flow, Known, Trace, entry};
use crate::files::runs::{NewRun, RowTexts, RunsReader, ShaftRuns, append_run, replace_run};
use crate::files::{JobFile, Problem, Source, shown_path};
use crate::paper::Paper;
use crate::picture::recording_picture;
use crate::print::recording as print;
use crate::streams::Streams;
use crate::typed::Habits;

/// Progress is told this often.
const NOW_AND_THEN: Duration = Duration::from_secs(5);
/// Turns in a picture.
const TURNS_DRAWN: usize = 20;
/// The name of a recording on standard input.
const STREAM: &str = "-";

pub fn run(arguments: &ExtractArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let bench = match Bench::of(arguments) {
        Ok(bench) => bench,
        Err(problems) => return refuse(&problems, streams),
    };
    let heard = match heard(arguments, &bench, quiet, streams)? {
        Ok(heard) => heard,
        Err(problems) => return refuse(&problems, streams),
    };
    let row = if arguments.append { Some(bench.append(arguments, &heard.extracted)) } else { None };
    if let Some(Err(problems)) = &row {
        return refuse(problems, streams);
    }
    if arguments.json {
        writeln!(streams.answer, "{}", print::json(&heard.extracted, heard.truncated))?;
    } else {
        let text = print::text(&heard.extracted, heard.truncated, streams.page);
        writeln!(streams.answer, "{}", text.trim_end())?;
    }
    if let Some(Ok(label)) = row
        && !quiet
    {
        writeln!(streams.talk, "Taken: run {label} is in {}", shown_path(&bench.runs))?;
    }
    match &heard.trace {
        Some(trace) => plot(&bench, &heard.extracted, trace, quiet, streams),
        None => Ok(Exit::Done),
    }
}

/// Draws the last turns and the speed into the job's folder.
fn plot(
    bench: &Bench,
    found: &Extracted,
    trace: &Trace,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let number = bench.file.paperwork.heading.number.as_deref().unwrap_or("recording");
    let picture = recording_picture(number, found, &trace.shown(found.stretch, TURNS_DRAWN));
    let folder = bench.runs.parent().unwrap_or(Path::new("."));
    match save(folder, &picture, &[PictureFormat::Svg, PictureFormat::Png], Paper::default()) {
        Ok(files) => {
            for file in files.iter().filter(|_| !quiet) {
                writeln!(streams.talk, "{}", shown_path(file))?;
            }
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

/// Where the job is, and what its runs file has.
struct Bench {
    file: JobFile,
    runs: PathBuf,
    /// Names of the sensors, with their units in the runs file.
    sensors: Vec<(String, Option<String>)>,
}

impl Bench {
    fn of(arguments: &ExtractArguments) -> Result<Self, Vec<Problem>> {
        let (file, runs) = job_of(arguments.job.as_deref())?;
        let there = runs.is_file();
        let units = match there {
            true => RunsReader::open(&runs, Some(&file))?.setup().sensors.clone(),
            false => Vec::new(),
        };
        if arguments.append && !there {
            let problem = Problem::of_file("no-file", shown_path(&runs), "there is no runs file to add to");
            return Err(vec![problem.hinting("`balance new NUMBER` writes one, with its header".to_owned())]);
        }
        let of_runs = |name: &str| units.iter().find(|own| own.name == name).map(|own| own.unit.clone());
        let mut names: Vec<String> = file.job.setup.sensors.iter().map(|own| own.name.clone()).collect();
        if names.is_empty() {
            names = units.iter().map(|own| own.name.clone()).collect();
        }
        let sensors = names.into_iter().map(|name| {
            let unit = of_runs(&name).or_else(|| file.paperwork.dial_unit().map(str::to_owned));
            (name, unit)
        });
        let sensors = sensors.collect();
        Ok(Self { file, runs, sensors })
    }

    /// What is known of the recording beside itself.
    fn known<'a>(&'a self, name: &'a str, stretch: Stretch) -> Known<'a> {
        Known {
            name,
            wiring: &self.file.paperwork.wiring,
            convention: &self.file.job.setup.convention,
            sensors: &self.sensors,
            stretch,
        }
    }

    /// Puts the reading into the row that waits for one, or into a new row; returns its label.
    fn append(&self, arguments: &ExtractArguments, found: &Extracted) -> Result<String, Vec<Problem>> {
        let shaft = self.only_shaft()?;
        self.refuse_other_units(found, &shaft)?;
        let habits = Habits::of(&self.file.job);
        let masses = given_weights(&arguments.mass, &shaft.setup.planes, habits)?;
        let waiting = shaft.waiting.first().filter(|_| masses.is_empty() && arguments.kind.is_none());
        let mut run = match waiting {
            Some(row) => row.run.clone(),
            None => self.new_row(arguments, &shaft, masses.iter().map(placed).collect()),
        };
        // A prepared row has the speed that was planned; what counts is the one that was measured.
        if shaft.columns.speed.is_some() {
            run.speed = Speed::from_rpm((found.speed_rpm * 100.0).round() / 100.0).ok();
        }
        let entries: Vec<_> = found.sensors.iter().map(entry).collect();
        run.readings = entries.iter().map(|(reading, _)| *reading).collect();
        run.uncertainties = entries.iter().map(|(_, own)| Some(*own)).collect();
        let label = run.label.clone();
        let texts = waiting.map_or_else(RowTexts::default, |row| row.texts.clone());
        let note = arguments.note.clone().unwrap_or(texts.note);
        let new = NewRun { shaft: shaft.shaft.clone(), run, texts: RowTexts { note, ..texts } };
        match waiting {
            Some(_) => replace_run(&self.runs, Some(&self.file), &label, &new)?,
            None => append_run(&self.runs, Some(&self.file), &new)?,
        }
        Ok(label)
    }

    /// The runs so far; a file of many shafts does not say whose the recording is.
    fn only_shaft(&self) -> Result<ShaftRuns, Vec<Problem>> {
        let mut shafts = Vec::new();
        for shaft in RunsReader::open(&self.runs, Some(&self.file))? {
            shafts.push(shaft.map_err(|faults| faults.problems)?);
        }
        let count = shafts.len();
        match shafts.pop() {
            Some(shaft) if count == 1 => Ok(shaft),
            _ => {
                let found = format!("has runs of {count} shafts");
                let problem = Problem::of_file("many-shafts", shown_path(&self.runs), found);
                Err(vec![
                    problem
                        .allowing("one shaft")
                        .hinting("add the reading by hand, or keep a folder for each shaft".to_owned()),
                ])
            }
        }
    }

    /// A column holds one unit.
    fn refuse_other_units(&self, found: &Extracted, shaft: &ShaftRuns) -> Result<(), Vec<Problem>> {
        let other = found.sensors.iter().zip(&shaft.setup.sensors).filter(|(own, column)| {
            let unit = own.unit.to_string();
            unit != column.unit
                && balance_core::stand::capture::ReadingUnit::parse(&column.unit).as_ref() != Ok(&own.unit)
        });
        let problem = |(own, column): (
            &balance_core::stand::capture::ExtractedReading,
            &balance_core::shaft::Sensor,
        )| {
            let found = format!(
                "sensor `{}` is read in {}, but the runs file has it in {}",
                own.name, own.unit, column.unit
            );
            Problem::of_file("reading-unit", shown_path(&self.runs), found)
                .allowing("the unit of the runs file")
                .hinting(format!(
                    "write reads = \"{}\" in its [[sensor]] section, or leave `reads` out",
                    column.unit
                ))
        };
        let problems: Vec<Problem> = other.map(problem).collect();
        if problems.is_empty() { Ok(()) } else { Err(problems) }
    }

    fn new_row(&self, arguments: &ExtractArguments, shaft: &ShaftRuns, masses: Vec<PlacedMass>) -> Run {
        let inferred = if masses.is_empty() { RunKind::Initial } else { RunKind::Trial };
        let kind = arguments.kind.map_or(inferred, crate::args::KindOfRun::kind);
        let last = shaft.runs.last();
        Run {
            mounting: last.map(|run| run.mounting.clone()).unwrap_or_default(),
            ..Run::new(&next_label(shaft), kind, masses, Vec::new())
        }
    }
}

fn placed(weight: &GivenWeight) -> PlacedMass {
    PlacedMass {
        plane: weight.plane,
        change: Change::Added,
        mass: weight.mass,
        angle: weight.angle,
        radius: weight.radius,
        bead: Mass::ZERO,
    }
}

/// The number after the last one.
fn next_label(shaft: &ShaftRuns) -> String {
    let largest = shaft.runs.iter().filter_map(|run| run.label.parse::<u64>().ok()).max();
    let mut number = largest.unwrap_or(shaft.runs.len() as u64) + 1;
    while shaft.runs.iter().any(|run| run.label == number.to_string()) {
        number += 1;
    }
    number.to_string()
}

/// The job that was named or that of the current folder; without any, a job that only the shop file tells about.
fn job_of(named: Option<&Path>) -> Result<(JobFile, PathBuf), Vec<Problem>> {
    let path = match named {
        Some(named) if named.is_dir() => named.join(JOB_FILE),
        Some(named) => named.to_owned(),
        None => PathBuf::from(JOB_FILE),
    };
    let runs = path.with_file_name(RUNS_FILE);
    if named.is_none() && !path.is_file() {
        let shop = shop_file_here_or_above().map(|file| crate::files::disk::read_text(&file)).transpose()?;
        return Ok((JobFile::read(&Source::new(JOB_FILE, "format = 1\n"), shop.as_ref())?, runs));
    }
    Ok((JobFile::load(&path)?, runs))
}

fn heard(
    arguments: &ExtractArguments,
    bench: &Bench,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Result<Heard, Vec<Problem>>> {
    let stretch = match (arguments.from, arguments.to) {
        (Some(from), Some(to)) => Stretch::Between { from, to },
        _ => Stretch::Automatic,
    };
    let tells = !quiet && std::io::stderr().is_terminal();
    let (mut begun, mut broken) = (Instant::now(), None);
    let talk = &mut *streams.talk;
    let progress = |seen: Progress| {
        if tells && begun.elapsed() >= NOW_AND_THEN {
            begun = Instant::now();
            broken = writeln!(talk, "{}", print::progress(seen)).err().or(broken.take());
        }
    };
    let keep = if arguments.plot { Keep::LastTurns } else { Keep::Reading };
    let from_pipe = arguments.recording.as_os_str() == STREAM;
    let name = if from_pipe { "standard input".to_owned() } else { shown_path(&arguments.recording) };
    let known = bench.known(&name, stretch);
    let goes_on = |_: &mut balance_core::stand::capture::Extractor| Flow::More;
    let found = if from_pipe {
        listen(&mut *streams.input, known, keep, progress, goes_on)
    } else {
        match open_stream(&arguments.recording) {
            Ok(file) => listen(file, known, keep, progress, goes_on),
            Err(problem) => Err(vec![problem]),
        }
    };
    match broken {
        Some(error) => Err(error),
        None => Ok(found),
    }
}
