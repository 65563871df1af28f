//! From an answer to the pictures that show it.

use balance_core::answer::{Advice, BeforeSpin, GroupVerdict, critical_curve};
use balance_core::correction::Forecast;
use balance_core::correction::weights::PlanePlan;
use balance_core::grade::Decision;
use balance_core::quantity::{Angle, Length, Speed};
use balance_core::run::{Phase, RunKind, SensorReading};
use balance_core::shaft::{CriticalAtLength, PlaneId, SensorId};
use balance_core::stand::capture::{Extracted, ExtractedReading};

use crate::draw::{
    CriticalSpeed, Expected, IdealMass, Left, LeftPlane, PageSense, PolarReading, Readings, RecordingPicture,
    RunPoint, Scene, Shown, SignalOverTurn, SpeedAtLength, TubePlane, TubeWeight, WeightState, Zone,
    critical_speed, left, readings, recording, tube, wrap_strips,
};
use crate::files::recording::{KeptSignal, KeptTurns};
use crate::paper::Paper;
use crate::view::View;
use balance_core::quantity::{Units, shown};

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum PictureKind {
    /// What each sensor read
    Readings,
    /// What is left, against what is allowed
    Left,
    /// The tube end-on, with its weights
    Tube,
    /// The wrap strip, to print, cut out and wrap round the tube
    Strip,
    /// The critical speed over the length
    CriticalSpeed,
    /// The last turns of a recording
    #[value(skip)]
    Recording,
    /// What a test of the stand showed
    #[value(skip)]
    Proof,
}

/// A picture with the name of its files: one sheet, or several for a long wrap strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// What it shows.
    pub kind: PictureKind,
    /// Without ending.
    pub name: String,
    /// In order.
    pub sheets: Vec<Scene>,
}

impl Picture {
    /// A picture of one sheet.
    #[must_use]
    pub fn one(kind: PictureKind, name: String, sheet: Scene) -> Self {
        Self { kind, name, sheets: vec![sheet] }
    }
}

/// Every picture of an answer; the wrap strip for sheets of this paper.
#[must_use]
pub fn all(view: &View<'_>, paper: Paper) -> Vec<Picture> {
    let mut pictures = Vec::new();
    let several = view.answer.runs.groups().len() > 1;
    let phases = !view.answer.without_phase();
    for group in (0..view.answer.runs.groups().len()).filter(|_| phases) {
        for sensor in view.answer.runs.setup().sensor_ids() {
            let speed = view.answer.runs.groups()[group].speed.filter(|_| several);
            let at = speed.map_or_else(String::new, |speed| format!("-{:.0}rpm", speed.rpm()));
            let name = format!("readings-{}{at}", view.answer.runs.setup().sensors[sensor].name);
            pictures.push(Picture::one(
                PictureKind::Readings,
                name,
                readings(&sensor_readings(view, group, sensor)),
            ));
        }
    }
    if let Some(judged) = &view.answer.judged {
        pictures.push(Picture::one(
            PictureKind::Left,
            "left".into(),
            left(&what_is_left(view, judged.deciding())),
        ));
    }
    let planes = tube_planes(view);
    for plane in &planes {
        pictures.push(Picture::one(PictureKind::Tube, format!("tube-{}", plane.name), tube(plane)));
    }
    if planes.iter().any(|plane| !plane.weights.is_empty() || plane.ideal.is_some()) {
        let name = format!("wrap-strip-{}", paper.name().to_lowercase());
        let sheets = wrap_strips(&planes, &view.answer.shaft, paper);
        pictures.push(Picture { kind: PictureKind::Strip, name, sheets });
    }
    let before = view.answer.before_spin.as_deref();
    pictures.extend(
        before.and_then(|before| critical_speed_over_length(&view.answer.shaft, view.units(), before)),
    );
    pictures
}

/// The critical speed over the length, if it was checked.
#[must_use]
pub fn critical_speed_over_length(shaft: &str, units: Units, before: &BeforeSpin) -> Option<Picture> {
    let (found, tube) = before.check.critical.as_ref().zip(before.description.tube.as_ref())?;
    let longest = before.description.longest_safe_length();
    let curve = critical_curve(before, longest);
    let at = |one: &CriticalAtLength| SpeedAtLength {
        length: one.length.millimetres(),
        formula: one.closed_form.rpm(),
        model: one.model.rpm(),
    };
    let here = SpeedAtLength {
        length: tube.length.millimetres(),
        formula: found.closed_form.rpm(),
        model: found.model.rpm(),
    };
    let scene = critical_speed(&CriticalSpeed {
        heading: format!("{shaft}  critical speed over length"),
        units,
        here,
        curve: curve.iter().map(at).collect(),
        margin_ratio: before.check.limits.margin_ratio.value,
        service: before.description.service_speed.map(Speed::rpm),
        stand: before.description.stand_speed.map(Speed::rpm),
        longest: longest.map(Length::millimetres),
    });
    Some(Picture::one(PictureKind::CriticalSpeed, "critical-speed".into(), scene))
}

/// The last turns of a recording, and its speed.
#[must_use]
pub fn recording_picture(number: &str, found: &Extracted, kept: &KeptTurns) -> Picture {
    let signal = |(own, kept): (&ExtractedReading, &KeptSignal)| SignalOverTurn {
        name: own.name.clone(),
        unit: kept.unit.clone(),
        samples: kept.samples.clone(),
        reading: crate::print::recording::reading(own),
    };
    let scene = recording(&RecordingPicture {
        heading: format!("{number}  what was recorded"),
        signals: found.sensors.iter().zip(&kept.turns).map(signal).collect(),
        speeds: kept.speeds.clone(),
        used: found.stretch,
    });
    Picture::one(PictureKind::Recording, "recording".into(), scene)
}

/// One sensor's readings at one speed.
#[must_use]
pub fn sensor_readings(view: &View<'_>, group: usize, sensor: SensorId) -> Readings {
    let setup = view.answer.runs.setup();
    let rows: Vec<_> = view.answer.runs.rows().iter().filter(|row| row.group == group).collect();
    // Phases that were worked out are not drawn as if they had been read.
    let phases = !view.answer.without_phase();
    let shown = |reading: SensorReading| match reading {
        SensorReading::NotRead | SensorReading::Amplitude(_) => None,
        SensorReading::Shown { .. } if !phases => None,
        SensorReading::Below(limit) => Some(Shown::Below(limit)),
        SensorReading::Shown { amplitude, phase } => {
            Some(Shown::Vector(PolarReading { amplitude, degrees: phase.degrees_in_turn() }))
        }
    };
    let read: Vec<_> = rows.iter().filter_map(|row| Some((row, shown(row.run.readings[sensor])?))).collect();
    let initial = read.iter().position(|(row, _)| row.run.kind == RunKind::Initial);
    let runs = read
        .iter()
        .map(|(row, shown)| RunPoint {
            label: row.run.label.clone(),
            kind: row.run.kind,
            shown: *shown,
            base: initial.filter(|_| row.run.kind == RunKind::Trial),
        })
        .collect();
    let expected = expected(view).iter().find(|f| f.group == group && f.sensor == sensor);
    let speed = view.answer.runs.groups()[group].speed;
    let sure = view.answer.sure_readings.iter().flatten().find(|sure| {
        sure.sensor == setup.sensors[sensor].name && (sure.speed.is_none() || sure.speed == speed)
    });
    Readings {
        job: view.answer.shaft.clone(),
        sensor: setup.sensors[sensor].name.clone(),
        unit: setup.sensors[sensor].unit.clone(),
        speed_rpm: speed.map(Speed::rpm),
        counting: PageSense::of_phase(&setup.convention),
        counting_words: counting_words(view),
        zero_mark: setup.convention.zero_mark.clone(),
        runs,
        expected: expected.map(|forecast| Expected {
            reading: PolarReading {
                amplitude: forecast.expected.amplitude(),
                degrees: Angle::of(setup.convention.turn(forecast.expected.vector())).degrees_in_turn(),
            },
            radius_95: forecast.needle_circle,
        }),
        good_enough: sure.map(|sure| sure.amplitude),
    }
}

/// What the needles should show with the advised masses under clamps; empty if none go on.
fn expected<'v>(view: &View<'v>) -> &'v [Forecast] {
    match view.answer.advice() {
        Advice::Hold(hold) => &hold.ahead.held,
        Advice::Ideal(ideal) => &ideal.ahead.held,
        Advice::MustNotSpin(_)
        | Advice::HeldBack(_)
        | Advice::OneMoreRun(_)
        | Advice::Done(_)
        | Advice::NothingBetter(_) => &[],
    }
}

fn counting_words(view: &View<'_>) -> String {
    let convention = &view.answer.runs.setup().convention;
    match convention.phase {
        Phase::Lag => "(lag)",
        Phase::Lead => "(lead)",
        Phase::SameWayAsMasses if convention.stated => "(as masses do)",
        Phase::SameWayAsMasses => "(not stated)",
        Phase::NotShown => "(not shown)",
        Phase::OppositeToMasses => "(opposite to masses)",
    }
    .into()
}

/// What is left at every place where the limit holds.
#[must_use]
pub fn what_is_left(view: &View<'_>, group: &GroupVerdict) -> Left {
    let convention = &view.answer.runs.setup().convention;
    let plane = |own: &balance_core::grade::PlaneVerdict| {
        let limit = own.permissible.gram_millimetres();
        let circle = own.give_or_take();
        LeftPlane {
            name: own.name.clone(),
            residual: own.residual.gram_millimetres(),
            degrees: own.residual.angle().degrees_in_turn(),
            give_or_take: circle,
            radius_95: circle,
            permissible: Some(limit),
            verdict: match group.verdict.decision {
                Decision::Meets => "within what is allowed".into(),
                Decision::Exceeds if own.residual.gram_millimetres() > limit => "too much is left".into(),
                Decision::Exceeds => "this end alone would do".into(),
                Decision::Undecided => "cannot be told yet".into(),
            },
        }
    };
    Left {
        heading: view.answer.shaft.clone(),
        units: view.units(),
        counting: PageSense::of_masses(convention.turns, convention.mass_angle),
        planes: group.verdict.planes.iter().map(plane).collect(),
    }
}

/// The tube at every plane, with its weights; none without a tube.
#[must_use]
pub fn tube_planes(view: &View<'_>) -> Vec<TubePlane> {
    let Some(tube) = view.answer.job.measures.tube.as_ref() else { return Vec::new() };
    let setup = view.answer.runs.setup();
    let one = |(at, plane): (PlaneId, &balance_core::shaft::CorrectionPlane)| {
        let (plan, ideal) = match view.answer.advice() {
            Advice::Hold(hold) => (hold.plan.planes.get(at.index()), None),
            Advice::Ideal(ideal) => (None, ideal.correction.planes.get(at.index())),
            Advice::MustNotSpin(_)
            | Advice::HeldBack(_)
            | Advice::OneMoreRun(_)
            | Advice::Done(_)
            | Advice::NothingBetter(_) => (None, None),
        };
        TubePlane {
            job: view.answer.shaft.clone(),
            name: plane.name.clone(),
            place: plane.position.map(|position| {
                format!("{} from the front joint", shown::length(view.units(), position.millimetres()))
            }),
            outer_diameter_mm: tube.outer_diameter.millimetres(),
            wall_mm: Some(tube.wall.millimetres()),
            turns: setup.convention.turns,
            mass_angle: setup.convention.mass_angle,
            zero_mark: setup.convention.zero_mark.clone(),
            weights: weights_at(view, at, plan),
            zones: zones_at(view, at),
            ideal: ideal.map(|ideal| IdealMass {
                mass_g: ideal.add.gram_millimetres() / plane.lever(),
                degrees: ideal.add.angle().degrees_in_turn(),
            }),
            units: view.units(),
        }
    };
    PlaneId::numbered(&setup.planes).map(one).collect()
}

fn weights_at(view: &View<'_>, plane: PlaneId, plan: Option<&PlanePlan>) -> Vec<TubeWeight> {
    let millimetres = |length: Option<Length>| length.map_or(0.0, Length::millimetres);
    let off = |index: usize| plan.is_some_and(|plan| plan.come_off.iter().any(|off| off.welded == index));
    let there = view.answer.welded_before.iter().enumerate().filter(|(_, weight)| weight.plane == plane);
    let mut found: Vec<TubeWeight> = there
        .map(|(index, weight)| TubeWeight {
            mass_g: weight.mass.grams(),
            degrees: weight.angle.degrees_in_turn(),
            width_mm: millimetres(weight.width),
            thickness_mm: millimetres(weight.thickness),
            state: if off(index) { WeightState::ComesOff } else { WeightState::There },
        })
        .collect();
    found.extend(plan.iter().flat_map(|plan| &plan.weights).map(|weight| TubeWeight {
        mass_g: weight.piece.mass.grams(),
        degrees: weight.angle.degrees_in_turn(),
        width_mm: millimetres(weight.piece.width),
        thickness_mm: millimetres(weight.piece.thickness),
        state: WeightState::New,
    }));
    found
}

fn zones_at(view: &View<'_>, plane: PlaneId) -> Vec<Zone> {
    let zones = &view.answer.job.weld_plan.no_weld;
    let zone = |zone: &balance_core::shaft::NoWeld| Zone {
        from_degrees: zone.sector.from_degrees(),
        to_degrees: zone.sector.to_degrees(),
        reason: zone.reason.clone(),
    };
    zones.iter().filter(|zone| zone.plane == plane).map(zone).collect()
}
