//! `balance prove`: the tests a shop should do on its stand.

use balance_core::quantity::UnbalanceAmount;
use balance_core::run::RunSet;
use balance_core::shaft::PlaneId;
use balance_core::stand::{
    CountedFrom, IndexTest, LIMIT_LINES, LeastUnbalanceTest, MovedMass, ReductionTest, Repeats, StandScale,
    drift_readings, index_readings, index_test, least_unbalance, moved_mass, plane_readings, reduction,
    repeats, sensor_repeats, shows_unbalance,
};

use super::each::refuse;
use super::open::{Target, target};
use super::plot::save;
use crate::args::{PictureFormat, ProveArguments, ProveTest, TestArguments};
use crate::draw::{LimitCircle, LimitLines, Scene, limit_circles, limit_lines};
use crate::exit::Exit;
use crate::files::job_edit::{NewValue, Spot, put_into_shop};
use crate::files::runs::RunsReader;
use crate::files::{Problem, shown_path, today};
use crate::picture::{Picture, PictureKind};
use crate::print::text::prove as words;
use crate::streams::Streams;

pub fn run(arguments: &ProveArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let test = match &arguments.test {
        ProveTest::LeastUnbalance(test) | ProveTest::Left(test) | ProveTest::Repeats(test) => test,
        ProveTest::Reduction { test, .. } | ProveTest::Index { test, .. } => test,
    };
    let bench = match Bench::open(test) {
        Ok(bench) => bench,
        Err(problems) => return refuse(&problems, streams),
    };
    let done = match &arguments.test {
        ProveTest::LeastUnbalance(_) => bench.least_unbalance(streams)?,
        ProveTest::Reduction { ratio, .. } => bench.reduction(ratio / 100.0, streams)?,
        ProveTest::Index { mark_on_fixture, .. } => bench.index(*mark_on_fixture, streams)?,
        ProveTest::Left(_) => bench.left(streams)?,
        ProveTest::Repeats(_) => bench.repeats(streams)?,
    };
    match done {
        Ok(found) => bench.finish(&found, test, quiet, streams),
        Err(problems) => refuse(&problems, streams),
    }
}

/// What a test led to.
struct Found {
    passed: bool,
    /// What goes into the shop file: key and text.
    keep: Vec<(&'static str, String)>,
    picture: Option<(&'static str, Scene)>,
}

type Tested = std::io::Result<Result<Found, Vec<Problem>>>;

/// The readings of a test, with the job they belong to.
struct Bench {
    target: Target,
    set: RunSet,
    day: String,
}

impl Bench {
    fn open(test: &TestArguments) -> Result<Self, Vec<Problem>> {
        let target = target(&test.job)?;
        let mut reader = RunsReader::open(&target.runs, target.file.as_ref())?;
        let runs = match reader.next() {
            Some(Ok(runs)) => runs,
            Some(Err(faults)) => return Err(faults.problems),
            None => {
                return Err(vec![Problem::of_file("no-run", shown_path(&target.runs), "there is no run")]);
            }
        };
        let set = runs.run_set()?;
        let day = today().map_err(|problem| vec![problem])?;
        Ok(Self { target, set, day })
    }

    /// The test plane by plane, for the planes in which a mass was moved; every fault with its plane's name.
    fn each_plane<T, F: ToString>(
        &self,
        test: impl Fn(PlaneId) -> Result<T, F>,
    ) -> Result<Vec<(String, T)>, Vec<Problem>> {
        let loaded = |plane: &PlaneId| self.set.rows().iter().any(|row| row.loads[*plane].norm() > 0.0);
        let planes: Vec<PlaneId> = self.set.setup().plane_ids().filter(loaded).collect();
        let (mut found, mut problems) = (Vec::new(), Vec::new());
        for plane in planes {
            let name = self.set.setup().planes[plane].name.clone();
            match test(plane) {
                Ok(own) => found.push((name, own)),
                Err(fault) => problems.push(self.problem(&format!("{name}: {}", fault.to_string()))),
            }
        }
        if found.is_empty() && problems.is_empty() {
            problems.push(
                self.problem("no run has a mass on").hinting(
                    "each row of the test is a trial run with the known mass at one place".to_owned(),
                ),
            );
        }
        if problems.is_empty() { Ok(found) } else { Err(problems) }
    }

    fn problem(&self, found: &str) -> Problem {
        Problem::of_file("no-test", shown_path(&self.target.runs), found)
    }

    fn heading(&self) -> String {
        format!("{}  {}", self.target.name(), self.day)
    }

    /// "45 g.mm, 24 readings, 2026-11-27".
    fn figure(&self, amount: UnbalanceAmount, readings: usize) -> String {
        let rounded = (amount.gram_millimetres() * 10.0).ceil() / 10.0;
        format!("{rounded} g.mm, {readings} readings, {}", self.day)
    }

    fn least_unbalance(&self, streams: &mut Streams<'_>) -> Tested {
        let planes = match self.each_plane(|plane| least_unbalance(&plane_readings(&self.set, plane))) {
            Ok(planes) => planes,
            Err(problems) => return Ok(Err(problems)),
        };
        let (job, page) = (self.target.job(), streams.page);
        write!(streams.answer, "{}", words::least_unbalance(page, job.units, &planes))?;
        let passed = planes.iter().all(|(_, test)| test.passed());
        let claimed = planes.iter().map(|(_, test)| test.claimed).reduce(larger);
        let readings = planes.iter().map(|(_, test)| test.points.len()).sum();
        let keep = claimed.filter(|_| passed).map(|own| ("least_unbalance", self.figure(own, readings)));
        if let Some(claimed) = claimed.filter(|_| passed) {
            let speed = job.measures.service_speed;
            write!(streams.answer, "{}", words::may_certify(page, job.units, claimed, speed))?;
        }
        let picture = limit_lines(&self.heading(), &planes.iter().map(lines_of).collect::<Vec<_>>());
        Ok(Ok(Found {
            passed,
            keep: keep.into_iter().collect(),
            picture: Some(("least-unbalance", picture)),
        }))
    }

    fn reduction(&self, ratio: f64, streams: &mut Streams<'_>) -> Tested {
        if !(ratio > 0.0 && ratio < 1.0) {
            let problem = Problem::of_file("ratio", "--ratio", format!("{} is no ratio", 100.0 * ratio));
            return Ok(Err(vec![problem.allowing("above 0 and below 100 %")]));
        }
        let scale = |plane| {
            if shows_unbalance(&self.set, plane) { StandScale::Shows } else { StandScale::FromTest }
        };
        let planes = match self.each_plane(|plane| reduction(&plane_readings(&self.set, plane), scale(plane)))
        {
            Ok(planes) => planes,
            Err(problems) => return Ok(Err(problems)),
        };
        write!(streams.answer, "{}", words::reduction(streams.page, ratio, &planes))?;
        let passed = planes.iter().all(|(_, test)| test.passed(ratio));
        let readings: usize = planes.iter().map(|(_, test)| test.points.len()).sum();
        let percent = (1000.0 * ratio).round() / 10.0;
        let keep = passed.then(|| ("reduction", format!("{percent} %, {readings} readings, {}", self.day)));
        let circles: Vec<LimitCircle> = planes.iter().map(|own| circle_of(own, ratio)).collect();
        let picture = limit_circles(&self.heading(), &circles);
        Ok(Ok(Found { passed, keep: keep.into_iter().collect(), picture: Some(("reduction", picture)) }))
    }

    fn index(&self, mark_on_fixture: bool, streams: &mut Streams<'_>) -> Tested {
        let counted = if mark_on_fixture { CountedFrom::Fixture } else { CountedFrom::Shaft };
        let readings = match index_readings(&self.set, counted) {
            Ok(readings) => readings,
            Err(faults) => {
                let problem = |fault: &balance_core::influence::InfluenceFault| {
                    self.problem(&fault.to_string()).hinting(fault.hint())
                };
                return Ok(Err(faults.iter().map(problem).collect()));
            }
        };
        let (mut planes, mut problems): (Vec<(String, IndexTest)>, Vec<Problem>) = (Vec::new(), Vec::new());
        for (plane, own) in self.set.setup().planes.iter().zip(&readings) {
            match index_test(own) {
                Ok(test) => planes.push((plane.name.clone(), test)),
                Err(fault) => problems.push(self.problem(&format!("{}: {fault}", plane.name)).hinting(
                    "initial runs whose column `mounting` says by how many degrees the shaft was turned: 0, 120, 240"
                        .to_owned(),
                )),
            }
        }
        if !problems.is_empty() {
            return Ok(Err(problems));
        }
        write!(streams.answer, "{}", words::index(streams.page, self.target.job().units, &planes))?;
        let largest = |own: fn(&IndexTest) -> Option<f64>| {
            let all = planes.iter().filter_map(|(_, test)| own(test));
            all.reduce(f64::max).and_then(|own| UnbalanceAmount::from_gram_millimetres(own).ok())
        };
        let count = readings.iter().map(Vec::len).sum();
        let fixture =
            largest(|test| Some(test.fixture.norm())).map(|own| ("fixture", self.figure(own, count)));
        let scatter = largest(IndexTest::mounting_scatter);
        let scatter = scatter.map(|own| ("mounting_scatter", self.figure(own, count)));
        Ok(Ok(Found { passed: true, keep: fixture.into_iter().chain(scatter).collect(), picture: None }))
    }

    fn left(&self, streams: &mut Streams<'_>) -> Tested {
        let planes: Vec<(String, MovedMass)> =
            match self.each_plane(|plane| moved_mass(&plane_readings(&self.set, plane))) {
                Ok(planes) => planes,
                Err(problems) => return Ok(Err(problems)),
            };
        write!(streams.answer, "{}", words::moved_mass(streams.page, self.target.job().units, &planes))?;
        Ok(Ok(Found { passed: true, keep: Vec::new(), picture: None }))
    }

    fn repeats(&self, streams: &mut Streams<'_>) -> Tested {
        let setup = self.set.setup();
        let mut sensors: Vec<(String, Repeats)> = Vec::new();
        let mut problems = Vec::new();
        for (sensor, own) in setup.sensors.iter().zip(sensor_repeats(&self.set)) {
            match repeats(&own) {
                Ok(found) => sensors.push((sensor.name.clone(), found)),
                Err(fault) => problems.push(self.problem(&format!("{}: {fault}", sensor.name)).hinting(
                    "initial runs with their time, in the column `time`: 8:00, 8:20, 9:00".to_owned(),
                )),
            }
        }
        if !problems.is_empty() {
            return Ok(Err(problems));
        }
        let planes: Vec<(String, Repeats)> = drift_readings(&self.set).map_or_else(
            |_| Vec::new(),
            |planes| {
                let own = setup.planes.iter().zip(&planes);
                own.filter_map(|(plane, own)| Some((plane.name.clone(), repeats(own).ok()?))).collect()
            },
        );
        write!(
            streams.answer,
            "{}",
            words::repeats(streams.page, self.target.job().units, &sensors, &planes)
        )?;
        let noise = sensors.iter().filter_map(|(_, own)| own.noise()).reduce(f64::max);
        let count = sensors.iter().map(|(_, own)| own.count).min().unwrap_or(0);
        let noise = noise.map(|own| {
            let percent = (10_000.0 * own).ceil() / 100.0;
            ("noise", format!("{percent} %, {count} readings, {}", self.day))
        });
        let drift = planes.iter().map(|(_, own)| own.counted_drift()).reduce(f64::max);
        let drift = drift.and_then(|own| UnbalanceAmount::from_gram_millimetres(own).ok());
        let drift = drift.map(|own| ("drift", self.figure(own, count)));
        Ok(Ok(Found { passed: true, keep: noise.into_iter().chain(drift).collect(), picture: None }))
    }

    /// Keeps the figures and draws the picture, if asked to.
    fn finish(
        &self,
        found: &Found,
        test: &TestArguments,
        quiet: bool,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        let exit = if found.passed { Exit::Done } else { Exit::Exceeds };
        if let Some((name, scene)) = found.picture.as_ref().filter(|_| test.plot) {
            let picture = Picture::one(PictureKind::Proof, (*name).into(), scene.clone());
            let formats = [PictureFormat::Svg, PictureFormat::Png];
            match save(&self.target.folder, &picture, &formats, self.target.paper()) {
                Ok(files) => {
                    for file in files.iter().filter(|_| !quiet) {
                        writeln!(streams.talk, "{}", shown_path(file))?;
                    }
                }
                Err(problems) => return refuse(&problems, streams),
            }
        }
        if test.keep { self.keep(&found.keep, exit, streams) } else { self.offer(&found.keep, exit, streams) }
    }

    fn offer(
        &self,
        keep: &[(&'static str, String)],
        exit: Exit,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        if !keep.is_empty() {
            writeln!(
                streams.answer,
                "To keep it in the shop file, so that verdicts use it: the same with --keep"
            )?;
        }
        Ok(exit)
    }

    fn keep(
        &self,
        keep: &[(&'static str, String)],
        exit: Exit,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        if keep.is_empty() {
            let problem = self.problem("there is no figure to keep");
            return refuse(
                &[problem.hinting("only a test that was passed leaves a figure".to_owned())],
                streams,
            );
        }
        let Some(job) = &self.target.job_path else {
            let problem = self.problem("a runs file alone has no shop file");
            return refuse(&[problem.hinting("name a job: --job FILE".to_owned())], streams);
        };
        let value = |(key, text): &(&'static str, String)| {
            NewValue::text(Spot { section: "proved", number: None, key }, text)
        };
        match put_into_shop(job, &keep.iter().map(value).collect::<Vec<_>>()) {
            Ok(true) => {
                for (key, text) in keep {
                    writeln!(streams.talk, "kept in shop.toml under [proved]: {key} = \"{text}\"")?;
                }
                Ok(exit)
            }
            Ok(false) => {
                let problem = self.problem("there is no shop file above this job");
                refuse(
                    &[problem.hinting("put a shop.toml into the folder above the jobs".to_owned())],
                    streams,
                )
            }
            Err(problems) => refuse(&problems, streams),
        }
    }
}

fn larger(one: UnbalanceAmount, other: UnbalanceAmount) -> UnbalanceAmount {
    if other > one { other } else { one }
}

fn lines_of((name, test): &(String, LeastUnbalanceTest)) -> LimitLines {
    LimitLines {
        words: format!(
            "{name}: {:.0} g·mm at {} places",
            test.test_mass.gram_millimetres(),
            test.points.len()
        ),
        points: test.points.iter().map(|point| (point.degrees, point.share)).collect(),
        limits: LIMIT_LINES,
    }
}

fn circle_of((name, test): &(String, ReductionTest), ratio: f64) -> LimitCircle {
    let share = |point: &balance_core::stand::ReductionPoint| {
        let left = (point.shown - point.resultant) / point.resultant;
        (left.re, left.im)
    };
    LimitCircle {
        words: format!("{name}: {} runs, ratio reached {:.1} %", test.points.len(), 100.0 * test.reached),
        points: test.points.iter().map(share).collect(),
        radius: 1.0 - ratio,
    }
}
