//! One shaft's path over the stand: initial, trials, weights, check runs, up to two trims, and the verdict.

use balance_core::Complex64;
use balance_core::grade::Decision;

use super::ask::{Answer, Program};
use super::dial::DialInUse;
use super::hand::{Fitted, In};
use super::setting::{Left, RADIUS, RPM, Setting};
use super::shaft::{Spot, TrueShaft, shares};
use super::sheet::{Line, Sheet};
use super::stand::{OnStand, TrueStand, solve};
use crate::random::Random;

/// How it ended.
#[derive(Debug, Clone)]
pub struct Ended {
    /// The last verdict.
    pub decision: Decision,
    /// What is left in truth at each support, as parts of its limit.
    pub left: Vec<f64>,
    /// The runs file at the end.
    pub runs: String,
}

impl Ended {
    /// The largest amount left, as a part of the limit.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.left.iter().copied().fold(0.0, f64::max)
    }
}

/// Further check runs that a technician reads when they are asked for.
const MOST_FURTHER: usize = 4;
const TRIMS: usize = 2;

/// One shaft of a row.
pub fn balanced(setting: &Setting, program: &mut Program, seed: u64) -> Ended {
    let mut random = Random::seeded(seed);
    let left = setting.left[(seed % setting.left.len() as u64) as usize];
    let mut work = Work::begin(setting, &mut random);
    work.runs("initial", setting.reads[0], None);
    for plane in 0..setting.planes.len() {
        work.trial(plane);
    }
    if setting.initial_again {
        work.runs("initial", 1, None);
    }
    let mut answer = program.ask(&work.sheet.text());
    for trim in 0..=TRIMS {
        let Some(add) = work.wanted(&answer, left) else { break };
        work.weld(&add, trim);
        work.check(trim);
        answer = program.ask(&work.sheet.text());
        if answer.decision == Decision::Undecided && (1..=MOST_FURTHER).contains(&answer.more_check_runs) {
            work.runs("check", answer.more_check_runs, None);
            answer = program.ask(&work.sheet.text());
        }
        if answer.decision == Decision::Meets || left != Left::ByProcedure {
            break;
        }
    }
    work.ended(answer.decision)
}

/// A shaft on the stand.
struct Work<'a> {
    setting: &'a Setting,
    limits: Vec<f64>,
    shaft: TrueShaft,
    stand: TrueStand,
    dial: DialInUse,
    sheet: Sheet,
    /// What stays on.
    welded: Vec<Fitted>,
    /// What is on in the next run only.
    trial: Vec<Fitted>,
    mounting: String,
    /// What this mounting adds at the supports, g·mm.
    clamped: Vec<Complex64>,
    /// Which sensor a slip is about.
    slip_at: usize,
    random: &'a mut Random,
}

impl<'a> Work<'a> {
    fn begin(setting: &'a Setting, random: &'a mut Random) -> Self {
        let limits = setting.limits();
        let on = OnStand {
            supports: &setting.supports,
            pieces: &setting.pieces,
            sensors: &setting.sensors,
            rpm: RPM,
            limit: limits[0],
        };
        let rms = random.between(setting.as_found.0, setting.as_found.1) * limits[0];
        let sheet = Sheet {
            planes: setting.plane_names(),
            sensors: setting.sensor_names(),
            rpm: RPM,
            digits: setting.digits,
            lines: Vec::new(),
        };
        let mut work = Self {
            setting,
            shaft: TrueShaft::random(&setting.supports, rms, random),
            stand: TrueStand::random(&on, random),
            dial: DialInUse::new(setting.dial, random),
            sheet,
            welded: Vec::new(),
            trial: Vec::new(),
            mounting: String::new(),
            clamped: Vec::new(),
            slip_at: random.below(setting.sensors.len()),
            limits,
            random,
        };
        work.clamp("A");
        work
    }

    fn clamp(&mut self, name: &str) {
        self.mounting = name.to_owned();
        let scatter = self.setting.mounting_scatter;
        self.clamped = self.limits.iter().map(|limit| self.random.circular() * scatter * limit).collect();
    }

    /// A trial anywhere round.
    fn trial(&mut self, plane: usize) {
        let last = self.setting.planes.len() - 1;
        let when = match plane {
            0 => Some(In::FirstTrial),
            own if own == last => Some(In::LastTrial),
            _ => None,
        };
        let size = self.random.between(self.setting.trial.0, self.setting.trial.1) * self.limits[0] / RADIUS;
        let wanted = (plane, self.random.direction() * size);
        let fitted = self.setting.hand.fit(when, wanted, last + 1, self.random);
        self.trial = vec![fitted];
        self.runs("trial", self.setting.reads[1], when);
        self.trial.clear();
    }

    /// What goes on next in each plane, grams; `None`: nothing is advised.
    fn wanted(&mut self, answer: &Answer, left: Left) -> Option<Vec<Complex64>> {
        match left {
            Left::ByProcedure | Left::Once => {
                Some(answer.add.as_ref()?.iter().map(|add| add / RADIUS).collect())
            }
            Left::Missed(rms) => Some(self.missing_by(rms)),
        }
    }

    /// Masses in the two planes that leave an unbalance of this rms, in limits, at each of the two joints.
    fn missing_by(&mut self, rms: f64) -> Vec<Complex64> {
        let now = self.shaft.at_supports(&self.spots());
        let wanted = self.limits.iter().map(|limit| self.random.circular() * rms * limit);
        let needed: Vec<Complex64> = wanted.zip(now).map(|(wanted, now)| (wanted - now) / RADIUS).collect();
        let of_support = |support: usize| {
            let share = |place: &f64| Complex64::from(shares(&self.setting.supports, *place)[support]);
            self.setting.planes.iter().map(share).collect()
        };
        let matrix: Vec<Vec<Complex64>> = (0..self.limits.len()).map(of_support).collect();
        solve(&matrix, needed)
    }

    fn weld(&mut self, add: &[Complex64], trim: usize) {
        let when = (trim == 0).then_some(In::FirstCheck);
        for (plane, mass) in add.iter().enumerate() {
            let fitted = self.setting.hand.fit(when, (plane, *mass), add.len(), self.random);
            self.welded.push(fitted);
        }
    }

    fn check(&mut self, trim: usize) {
        let when = (trim == 0).then_some(In::FirstCheck);
        if self.setting.mountings == 0 {
            self.runs("check", self.setting.reads[2], when);
        }
        for mounting in 0..self.setting.mountings {
            self.clamp(&format!("B{trim}{mounting}"));
            self.runs("check", self.setting.reads[2], when);
        }
    }

    fn runs(&mut self, kind: &'static str, count: usize, when: Option<In>) {
        for at in 0..count {
            let spots = self.spots();
            let left = self.left(&spots);
            let seen: Vec<Complex64> = left.iter().zip(&self.clamped).map(|(own, more)| own + more).collect();
            let readings = self.dial.read(&self.stand.shows(&seen), at > 0, self.random);
            let masses = self.on().map(|fitted| fitted.entered).collect();
            let mut line = Line { kind, mounting: self.mounting.clone(), masses, readings };
            self.setting.hand.write(
                when.filter(|_| at == 0),
                &mut line,
                self.sheet.lines.last(),
                self.slip_at,
            );
            self.sheet.lines.push(line);
        }
    }

    fn on(&self) -> impl Iterator<Item = &Fitted> {
        self.welded.iter().chain(&self.trial)
    }

    /// The masses that are really on.
    fn spots(&self) -> Vec<Spot> {
        let spot = |fitted: &Fitted| (self.setting.planes[fitted.real.0], fitted.real.1 * RADIUS);
        self.on().map(spot).collect()
    }

    /// What pushes each support: statics, and what bending adds.
    fn left(&self, spots: &[Spot]) -> Vec<Complex64> {
        let bent = self.shaft.by_bending(spots, self.setting.part_of_critical);
        self.shaft.at_supports(spots).into_iter().map(|own| own + bent).collect()
    }

    fn ended(&self, decision: Decision) -> Ended {
        let left = self.left(&self.spots());
        let left = left.iter().zip(&self.limits).map(|(left, limit)| left.norm() / limit).collect();
        Ended { decision, left, runs: self.sheet.text() }
    }
}
