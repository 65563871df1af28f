//! `balance prove`: the tests a shop should do on its stand.

mod finish;
mod pictures;

use balance_core::influence::InfluenceFault;
use balance_core::job::{Fixture, FixtureVector};
use balance_core::quantity::{Angle, UnbalanceAmount};
use balance_core::run::{RunKind, RunSet, measured_crosstalk};
use balance_core::shaft::PlaneId;
use balance_core::stand::{
    BeforeAfter, BeforeAfterFault, CountedFrom, IndexTest, MovedMass, Repeats, StandScale, before_and_after,
    drift_readings, index_readings, index_test, least_unbalance, moved_mass, plane_readings, reduction,
    repeats, sensor_repeats, shows_unbalance, single_run_ratio,
};

use super::each::refuse;
use super::open::{Target, target};
use crate::args::{ProveArguments, ProveTest, TestArguments};
use crate::draw::Scene;
use crate::exit::Exit;
use crate::files::job::{FIXTURE, fixture_text};
use crate::files::runs::RunsReader;
use crate::files::{Problem, shown_path, today};
use crate::page::Page;
use crate::print::proof_json as json;
use crate::print::text::prove as words;
use crate::streams::Streams;

pub fn run(arguments: &ProveArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let test = arguments.test.readings();
    let bench = match Bench::open(test, streams.page) {
        Ok(bench) => bench,
        Err(problems) => return refuse(&problems, streams),
    };
    let done = match &arguments.test {
        ProveTest::LeastUnbalance(_) => bench.least_unbalance(),
        ProveTest::Reduction { ratio, once: false, .. } => bench.reduction(ratio / 100.0),
        ProveTest::Reduction { once: true, .. } => bench.reduction_once(),
        ProveTest::Index { mark_on_fixture, take_off, .. } => bench.index(*mark_on_fixture, *take_off),
        ProveTest::Left(_) => bench.left(),
        ProveTest::Repeats(_) => bench.repeats(),
        ProveTest::Crosstalk(_) => bench.crosstalk(),
    };
    match done {
        Ok(found) => bench.finish(&found, test, quiet, streams),
        Err(problems) => refuse(&problems, streams),
    }
}

/// What a test led to.
struct Found {
    /// Which test: "index".
    test: &'static str,
    passed: bool,
    /// What is said.
    text: String,
    /// The same for programs.
    json: serde_json::Value,
    /// What goes into the shop file: key and text.
    keep: Vec<(&'static str, String)>,
    picture: Option<Scene>,
}

type Tested = Result<Found, Vec<Problem>>;

/// The readings of a test, with the job they belong to.
struct Bench {
    target: Target,
    set: RunSet,
    day: String,
    page: Page,
}

impl Bench {
    fn open(test: &TestArguments, page: Page) -> Result<Self, Vec<Problem>> {
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
        Ok(Self { target, set, day, page })
    }

    /// The test plane by plane, for the planes in which a mass was moved; every fault with its plane's name.
    fn each_plane<T, F: ToString>(
        &self,
        test: impl Fn(PlaneId) -> Result<T, F>,
    ) -> Result<Vec<(String, T)>, Vec<Problem>> {
        let (mut found, mut problems) = (Vec::new(), Vec::new());
        for plane in self.loaded() {
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

    /// The planes in which some run had a mass.
    fn loaded(&self) -> Vec<PlaneId> {
        let loaded = |plane: &PlaneId| self.set.rows().iter().any(|row| row.loads[*plane].norm() > 0.0);
        self.set.setup().plane_ids().filter(loaded).collect()
    }

    fn problem(&self, found: &str) -> Problem {
        Problem::of_file("no-test", shown_path(&self.target.runs), found)
    }

    fn no_response(&self, faults: &[InfluenceFault]) -> Vec<Problem> {
        faults.iter().map(|fault| self.problem(&fault.to_string()).hinting(fault.hint())).collect()
    }

    fn heading(&self) -> String {
        format!("{}  {}", self.target.name(), self.day)
    }

    /// "45 g.mm, 24 readings, 2026-11-27".
    fn figure(&self, amount: UnbalanceAmount, readings: usize) -> String {
        self.dated(&format!("{} g.mm", tenths_up(amount.gram_millimetres())), readings)
    }

    fn dated(&self, value: &str, readings: usize) -> String {
        format!("{value}, {readings} readings, {}", self.day)
    }

    fn least_unbalance(&self) -> Tested {
        let planes = self.each_plane(|plane| least_unbalance(&plane_readings(&self.set, plane)))?;
        let job = self.target.job();
        let mut text = words::least_unbalance(self.page, job.units, &planes);
        let passed = planes.iter().all(|(_, test)| test.passed());
        let claimed = planes.iter().map(|(_, test)| test.claimed).reduce(larger).filter(|_| passed);
        let readings = planes.iter().map(|(_, test)| test.points.len()).sum();
        let keep = claimed.map(|own| ("least_unbalance", self.figure(own, readings)));
        if let Some(claimed) = claimed {
            text.push_str(&words::may_certify(self.page, job.units, claimed, job.measures.service_speed));
        }
        Ok(Found {
            test: "least-unbalance",
            passed,
            text,
            json: json::least_unbalance(&planes),
            keep: keep.into_iter().collect(),
            picture: Some(pictures::least_unbalance(&self.heading(), job.units, &planes)),
        })
    }

    fn reduction(&self, ratio: f64) -> Tested {
        if !(ratio > 0.0 && ratio < 1.0) {
            let problem = Problem::of_file("ratio", "--ratio", format!("{} is no ratio", 100.0 * ratio));
            return Err(vec![problem.allowing("above 0 and below 100 %")]);
        }
        let scale = |plane| {
            if shows_unbalance(&self.set, plane) { StandScale::Shows } else { StandScale::FromTest }
        };
        let planes = self.each_plane(|plane| reduction(&plane_readings(&self.set, plane), scale(plane)))?;
        let passed = planes.iter().all(|(_, test)| test.passed(ratio));
        let readings: usize = planes.iter().map(|(_, test)| test.points.len()).sum();
        let percent = (1000.0 * ratio).round() / 10.0;
        let keep = passed.then(|| ("reduction", self.dated(&format!("{percent} %"), readings)));
        Ok(Found {
            test: "reduction",
            passed,
            text: words::reduction(self.page, ratio, &planes),
            json: json::reduction(ratio, &planes),
            keep: keep.into_iter().collect(),
            picture: Some(pictures::reduction(&self.heading(), ratio, &planes)),
        })
    }

    /// The ratio that one correction of a job reached: as found against the last check run.
    fn reduction_once(&self) -> Tested {
        let both = before_and_after(&self.set).map_err(|fault| match fault {
            BeforeAfterFault::Response(faults) => self.no_response(&faults),
            BeforeAfterFault::Reading(fault) => {
                let hint = "the shaft as found, a trial at each place, and a check run with what stays on";
                vec![self.problem(&fault.to_string()).hinting(hint.to_owned())]
            }
        })?;
        let names = self.set.setup().planes.iter().map(|plane| plane.name.clone());
        let planes: Vec<words::Once> = names
            .zip(both)
            .map(|(plane, BeforeAfter { before, after })| words::Once {
                plane,
                before,
                after,
                ratio: single_run_ratio(before, after),
            })
            .collect();
        Ok(Found {
            test: "reduction-once",
            passed: true,
            text: words::reduction_once(self.page, self.target.job().units, &planes),
            json: json::reduction_once(&planes),
            keep: Vec::new(),
            picture: None,
        })
    }

    fn index(&self, mark_on_fixture: bool, take_off: bool) -> Tested {
        if mark_on_fixture && take_off {
            let found = "the mark is on the fixture, so the shaft's place in it is not known in other jobs";
            let problem = Problem::of_file("take-off", "--take-off", found);
            return Err(vec![
                problem.hinting("count the angles of the test from a mark on the shaft".to_owned()),
            ]);
        }
        let counted = if mark_on_fixture { CountedFrom::Fixture } else { CountedFrom::Shaft };
        let readings = index_readings(&self.set, counted).map_err(|faults| self.no_response(&faults))?;
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
            return Err(problems);
        }
        let largest = |own: fn(&IndexTest) -> Option<f64>| {
            let all = planes.iter().filter_map(|(_, test)| own(test));
            all.reduce(f64::max).and_then(|own| UnbalanceAmount::from_gram_millimetres(own).ok())
        };
        let count = readings.iter().map(Vec::len).sum();
        let fixture =
            largest(|test| Some(test.fixture.norm())).map(|own| ("fixture", self.figure(own, count)));
        let scatter = largest(IndexTest::mounting_scatter);
        let scatter = scatter.map(|own| ("mounting_scatter", self.figure(own, count)));
        let mut keep: Vec<_> = fixture.into_iter().chain(scatter).collect();
        if take_off {
            let Some(give_or_take) = largest(|test| test.give_or_take) else {
                let problem = self.problem("two positions do not tell how sure the fixture's part is");
                return Err(vec![problem.hinting("read a third position: 0, 120, 240".to_owned())]);
            };
            keep.push((FIXTURE, self.dated(&fixture_text(&fixture_of(&planes, give_or_take)), count)));
        }
        Ok(Found {
            test: "index",
            passed: true,
            text: words::index(self.page, self.target.job().units, &planes),
            json: json::index(&planes),
            keep,
            picture: Some(pictures::index(&self.heading(), self.target.job().units, &planes, &readings)),
        })
    }

    fn left(&self) -> Tested {
        let planes: Vec<(String, MovedMass)> =
            self.each_plane(|plane| moved_mass(&plane_readings(&self.set, plane)))?;
        let readings: Vec<_> =
            self.loaded().into_iter().map(|plane| plane_readings(&self.set, plane)).collect();
        Ok(Found {
            test: "left",
            passed: true,
            text: words::moved_mass(self.page, self.target.job().units, &planes),
            json: json::moved_mass(&planes),
            keep: Vec::new(),
            picture: Some(pictures::left(&self.heading(), self.target.job().units, &planes, &readings)),
        })
    }

    fn repeats(&self) -> Tested {
        let setup = self.set.setup();
        let mut sensors: Vec<(String, Repeats)> = Vec::new();
        let mut problems = Vec::new();
        let read = sensor_repeats(&self.set);
        for (sensor, own) in setup.sensors.iter().zip(&read) {
            match repeats(own) {
                Ok(found) => sensors.push((sensor.name.clone(), found)),
                Err(fault) => problems.push(self.problem(&format!("{}: {fault}", sensor.name)).hinting(
                    "initial runs with their time, in the column `time`: 8:00, 8:20, 9:00".to_owned(),
                )),
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let planes: Vec<(String, Repeats)> = drift_readings(&self.set).map_or_else(
            |_| Vec::new(),
            |planes| {
                let own = setup.planes.iter().zip(&planes);
                own.filter_map(|(plane, own)| Some((plane.name.clone(), repeats(own).ok()?))).collect()
            },
        );
        let noise = sensors.iter().filter_map(|(_, own)| own.noise()).reduce(f64::max);
        let count = sensors.iter().map(|(_, own)| own.count).min().unwrap_or(0);
        let noise = noise.map(|own| {
            let percent = (10_000.0 * own).ceil() / 100.0;
            ("noise", self.dated(&format!("{percent} %"), count))
        });
        let drift = planes.iter().map(|(_, own)| own.counted_drift()).reduce(f64::max);
        let drift = drift.and_then(|own| UnbalanceAmount::from_gram_millimetres(own).ok());
        let drift = drift.map(|own| ("drift", self.figure(own, count)));
        let (steps, kept) = self.steps(count);
        let mut text = words::repeats(self.page, self.target.job().units, &sensors, &planes);
        text.push_str(&words::steps(self.page, &steps));
        Ok(Found {
            test: "repeats",
            passed: true,
            text,
            json: json::repeats(&sensors, &planes, &steps),
            keep: noise.into_iter().chain(drift).chain(kept).collect(),
            picture: Some(pictures::repeats(&self.heading(), &sensors, &read)),
        })
    }

    /// The coarsest step of the dials that the readings show, in words and to be kept.
    fn steps(&self, count: usize) -> (Vec<String>, Vec<(&'static str, String)>) {
        let sensors = &self.set.setup().sensors;
        let one_unit = sensors.windows(2).all(|pair| pair[0].unit == pair[1].unit);
        let steps = self.set.steps();
        let amplitude = steps.iter().filter_map(|own| own.amplitude).reduce(f64::max).filter(|_| one_unit);
        let phase = steps.iter().filter_map(|own| own.phase).map(Angle::degrees).reduce(f64::max);
        let amplitude = amplitude.zip(sensors.first()).map(|(own, sensor)| format!("{own} {}", sensor.unit));
        let phase = phase.map(|own| format!("{own} deg"));
        let dated = |value: &String| self.dated(value, count);
        let keep = [
            amplitude.as_ref().map(dated).map(|own| ("amplitude_step", own)),
            phase.as_ref().map(dated).map(|own| ("phase_step", own)),
        ];
        (amplitude.into_iter().chain(phase).collect(), keep.into_iter().flatten().collect())
    }

    /// How much of one end's unbalance shows at the other.
    fn crosstalk(&self) -> Tested {
        let setup = self.set.setup();
        let measured = measured_crosstalk(&self.set);
        let mut pairs: Vec<words::Crosstalk> = Vec::new();
        for own in &measured {
            let names = (&setup.planes[own.plane].name, &setup.sensors[own.sensor].name);
            match pairs.iter_mut().find(|pair| (&pair.plane, &pair.sensor) == names) {
                Some(pair) => {
                    pair.share = pair.share.max(own.share);
                    pair.trials += 1;
                }
                None => pairs.push(words::Crosstalk {
                    plane: names.0.clone(),
                    sensor: names.1.clone(),
                    share: own.share,
                    trials: 1,
                }),
            }
        }
        let Some(most) = pairs.iter().map(|pair| pair.share).reduce(f64::max) else {
            let hint = "sensors that show unbalance (shows = \"unbalance\"), and trial runs with a known mass in one \
                        plane only, one plane after the other";
            return Err(vec![self.problem("no trial shows one end at the other").hinting(hint.to_owned())]);
        };
        let trials = self.set.rows().iter().filter(|row| row.run.kind == RunKind::Trial).count();
        let percent = (1000.0 * most).ceil() / 10.0;
        Ok(Found {
            test: "crosstalk",
            passed: true,
            text: words::crosstalk(self.page, &pairs),
            json: json::crosstalk(&pairs),
            keep: vec![("crosstalk", self.dated(&format!("{percent} %"), trials))],
            picture: None,
        })
    }
}

/// What turns with the fixture, plane by plane.
fn fixture_of(planes: &[(String, IndexTest)], give_or_take: UnbalanceAmount) -> Fixture {
    let vector = |(plane, test): &(String, IndexTest)| {
        let amount = UnbalanceAmount::from_gram_millimetres(test.fixture.norm()).ok()?;
        Some(FixtureVector { plane: plane.clone(), amount, angle: Angle::of(test.fixture) })
    };
    Fixture { planes: planes.iter().filter_map(vector).collect(), give_or_take }
}

fn larger(one: UnbalanceAmount, other: UnbalanceAmount) -> UnbalanceAmount {
    if other > one { other } else { one }
}

fn tenths_up(amount: f64) -> f64 {
    (amount * 10.0).ceil() / 10.0
}
