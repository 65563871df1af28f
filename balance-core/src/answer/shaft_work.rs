//! What changing a shaft does: a slip one tooth out, another length, another yoke; and critical speed over
//! length.

use std::sync::Arc;

use crate::quantity::{Length, Mass, Speed};
use crate::shaft::{
    CriticalAtLength, JointFindings, ShaftFault, check_joints, critical_over_length, spline_step,
};

use super::before_spin::{BeforeSpin, least_permissible};
use super::describe::describe;
use super::limits::limits;
use crate::job::{Job, Relength, YokeSwap};

/// A slip spline put together one tooth out.
#[derive(Debug, Clone, PartialEq)]
pub struct ToothOut {
    /// The joint behind the spline, counted from 1.
    pub joint: usize,
    /// Number of teeth.
    pub teeth: u32,
    /// One tooth in degrees.
    pub step_degrees: f64,
    /// What the joints then do.
    pub findings: JointFindings,
}

/// A shaft made longer or shorter.
#[derive(Debug, Clone, PartialEq)]
pub struct RelengthFinding {
    /// What it is based on.
    pub relength: Relength,
    /// The critical speeds of this build between the new joint centres, if the tube is known.
    pub critical: Option<CriticalAtLength>,
}

/// A yoke changed to another series, the tube as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct YokeFinding {
    /// What is changed.
    pub swap: YokeSwap,
    /// Joint centre to joint centre afterwards, if the length was known.
    pub length: Option<Length>,
    /// The mass afterwards, if it was known.
    pub mass: Option<Mass>,
    /// The critical speeds afterwards.
    pub critical: Option<CriticalAtLength>,
}

/// All of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ShaftWork {
    /// One entry for each slip spline.
    pub tooth_out: Vec<ToothOut>,
    /// Another length.
    pub relength: Option<RelengthFinding>,
    /// Other yokes.
    pub yokes: Vec<YokeFinding>,
}

/// What the planned changes do to a shaft.
#[must_use]
pub fn shaft_work(job: &Job, before: &BeforeSpin) -> ShaftWork {
    let critical = |length: Length| {
        let at = |length| critical_over_length(&before.description, &[length]).first().copied();
        at(length).filter(|_| before.check.critical.is_some())
    };
    let relength = job
        .shaft
        .relength
        .clone()
        .map(|relength| RelengthFinding { critical: critical(relength.cut.joint_centres), relength });
    let now = job.measures.tube.as_ref().map(|tube| tube.length);
    let yoke = |swap: &YokeSwap| {
        let length = now.and_then(|now| swap.change.length_after(now));
        YokeFinding {
            swap: swap.clone(),
            length,
            mass: before.check.mass.and_then(|mass| swap.change.mass_after(mass.used)),
            critical: length.and_then(critical),
        }
    };
    let yokes = job.shaft.yoke_changes.iter().map(yoke).collect();
    ShaftWork { tooth_out: tooth_out(job, before), relength, yokes }
}

fn tooth_out(job: &Job, before: &BeforeSpin) -> Vec<ToothOut> {
    let shaft = &before.description;
    let fastest =
        [shaft.service_speed, shaft.stand_speed].into_iter().flatten().map(Speed::rpm).reduce(f64::max);
    let Some(speed) = fastest.and_then(|rpm| Speed::from_rpm(rpm).ok()) else { return Vec::new() };
    let one = |(index, teeth): (usize, u32)| {
        let step = spline_step(teeth)?;
        let train = shaft.joints.with_phasing_error(index, step)?;
        let findings = check_joints(&train, speed, &shaft.limits)?;
        Some(ToothOut { joint: index + 1, teeth, step_degrees: step.degrees(), findings })
    };
    let splines =
        job.shaft.joints.iter().enumerate().filter_map(|(index, joint)| Some((index, joint.spline_teeth?)));
    splines.filter_map(one).collect()
}

/// The critical speeds of this build from half to one and a half times its length, and further to where it no
/// longer keeps the margin: for a plot.
#[must_use]
pub fn critical_curve(before: &BeforeSpin, longest: Option<Length>) -> Vec<CriticalAtLength> {
    let tube = before.description.tube.as_ref();
    let Some((tube, _)) = tube.zip(before.check.critical.as_ref()) else { return Vec::new() };
    let now = tube.length.millimetres();
    let longest = longest.map_or(now, Length::millimetres);
    let (short, long) = ((0.5 * now).min(0.9 * longest), (1.5 * now).max(1.1 * longest));
    let at = |step: u32| short + (long - short) * f64::from(step) / f64::from(CURVE_STEPS);
    let lengths: Vec<Length> =
        (0..=CURVE_STEPS).filter_map(|step| Length::from_millimetres(at(step)).ok()).collect();
    critical_over_length(&before.description, &lengths)
}

/// Enough points for a smooth line.
const CURVE_STEPS: u32 = 48;

/// The shaft before it spins, and what planned changes do.
#[derive(Debug, Clone)]
pub struct ShaftAnswer {
    /// What the shaft is called.
    pub shaft: String,
    /// Its job.
    pub job: Arc<Job>,
    /// What was checked, and found.
    pub before: BeforeSpin,
    /// What planned changes do.
    pub work: ShaftWork,
    /// The longest shaft of this build that keeps the margin.
    pub longest: Option<Length>,
}

impl ShaftAnswer {
    /// The check of a job's shaft. `stand_speed`: the fastest the runs were read at.
    ///
    /// # Errors
    ///
    /// Every [`ShaftFault`] of its description.
    pub fn new(shaft: &str, job: &Arc<Job>, stand_speed: Option<Speed>) -> Result<Self, Vec<ShaftFault>> {
        let permissible = limits(job, &job.setup.planes).ok().as_ref().and_then(least_permissible);
        let before = BeforeSpin::new(job, describe(job, stand_speed, permissible))?;
        if !before.not_a_beam.is_empty() {
            return Err(before.not_a_beam);
        }
        Ok(Self {
            shaft: shaft.into(),
            job: job.clone(),
            work: shaft_work(job, &before),
            longest: before.description.longest_safe_length(),
            before,
        })
    }
}
