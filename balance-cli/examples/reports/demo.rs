//! Invented: reports of shafts of the Hollin Pass road depot: good, bad, undecided, with everything and with
//! almost nothing filled in.

use std::sync::Arc;

use balance_cli::files::job::People;
use balance_cli::files::runs::{ShaftRuns, read_all};
use balance_cli::files::{JobFile, Source};
use balance_cli::paper::Paper;
use balance_cli::report::{
    Digests, InputFile, Mark, Photo, Picture, ReportInput, RunsAsTyped, ShaftRecord, html,
};
use balance_cli::view::View;
use balance_core::answer::{Answer, Case, solve};
use balance_core::influence::{Drift, Which};
use balance_core::quantity::{Quantity, parse};
use balance_core::shaft::{
    InspectionItem, JointTrain, MatchMark, Material, Override, PartDecision, RunoutReading, ShaftDescription,
    ShaftState, StatedMass, TrainJoint, check_shaft,
};

const SHOP: &str = include_str!("../../../data/depot/shop.toml");
const JOB_0417: &str = include_str!("../../../data/depot/WP-0417/job.toml");
const RUNS_0417: &str = include_str!("../../../data/depot/WP-0417/runs.csv");
const JOB_0502: &str = include_str!("../../../data/depot/WP-0502/job.toml");
const RUNS_0502: &str = include_str!("../../../data/depot/WP-0502/runs.csv");

/// Every report with its name.
pub fn all() -> Vec<(String, String)> {
    let files = |job: Option<&str>, runs: &str| Texts { job: job.map(str::to_owned), runs: runs.to_owned() };
    let good = files(Some(JOB_0417), RUNS_0417);
    let mut reports = vec![
        ("good".to_owned(), page(&good, record)),
        ("three-ends".to_owned(), page(&files(Some(JOB_0502), RUNS_0502), record)),
        ("too-much".to_owned(), page(&with_check("3.4", "2.2"), record)),
        ("cannot-be-told".to_owned(), page(&with_check("1.83", "0.44"), record)),
        ("no-check-run".to_owned(), page(&files(Some(JOB_0417), &without_check()), record)),
        ("many-runs".to_owned(), page(&many_runs(), record)),
        ("next-to-nothing".to_owned(), page(&files(None, &without_check()), record)),
    ];
    reports
        .push(("everything".to_owned(), page(&files(Some(&job_with_everything()), RUNS_0417), everything)));
    reports
}

/// What a report is read from.
pub struct Texts {
    /// The job file; `None`: runs alone.
    pub job: Option<String>,
    /// The runs file.
    pub runs: String,
}

/// The report of these texts at a time that never changes.
pub fn page(texts: &Texts, record: fn(&JobFile) -> ShaftRecord) -> String {
    let shop = Source::new("shop.toml", SHOP);
    let job = texts.job.as_ref().map(|text| {
        JobFile::read(&Source::new("job.toml", text.as_str()), Some(&shop)).expect("a demo job has no fault")
    });
    let runs = read_all(texts.runs.as_bytes(), "runs.csv", job.as_ref()).expect("demo runs have no fault");
    let answer = solved(job.as_ref(), &runs[0]);
    let view = View::new(&answer, job.as_ref());
    let mut files = Vec::new();
    if let Some(job) = &texts.job {
        files.push(InputFile::carried("job.toml", job.as_bytes()));
        files.push(InputFile::carried("shop.toml", SHOP.as_bytes()));
    }
    files.push(InputFile::carried("runs.csv", texts.runs.as_bytes()));
    let shaft = job.as_ref().map_or_else(ShaftRecord::default, record);
    html(&ReportInput {
        view: &view,
        as_found: answer.verdict_on(Which::AsFound).ok(),
        logo: (!shaft.photos.is_empty()).then(|| picture(48, 20)),
        shaft,
        runs: RunsAsTyped {
            file: "runs.csv".into(),
            titles: runs[0].columns.titles.clone(),
            rows: runs[0].texts.iter().map(|texts| texts.cells.clone()).collect(),
        },
        paper: Paper::A4,
        made_at: "2031-03-04 10:20 +01:00".into(),
        version: "0.1.0",
        digests: Digests { files },
        not_inside: None,
    })
}

fn solved(file: Option<&JobFile>, runs: &ShaftRuns) -> Answer {
    let set = runs.run_set().expect("demo runs have no fault");
    let number = file.and_then(|file| file.paperwork.heading.number.clone());
    let job = file.map_or_else(Arc::default, |file| file.job.clone());
    let case = Case::new(&number.unwrap_or_else(|| "runs".into()), job, set);
    solve(&Case { drift: Drift::Ignored, ..case }).expect("demo runs tell enough")
}

fn record(job: &JobFile) -> ShaftRecord {
    ShaftRecord::of(Some(job), None)
}

/// The demo job with other amplitudes in its check run.
fn with_check(front: &str, rear: &str) -> Texts {
    let runs = RUNS_0417
        .replace("1,0.16,321,0.44,96", &format!("1,{front},321,{rear},96"))
        .replace("simulated linear shaft", "shaft that was never measured");
    Texts { job: Some(JOB_0417.to_owned()), runs }
}

/// Sixteen runs, and words longer than any line.
fn many_runs() -> Texts {
    let long = "augerdrive".repeat(14);
    let job = JOB_0417
        .replace(
            "rotary snow blower 3, auger drive",
            &format!("{long} and once more with spaces: {}", "auger drive ".repeat(12)),
        )
        .replace("tube seam", &"seam ".repeat(20));
    let masses = "15,333,1,10,277,1,10,192,1";
    let more = (5..=16).map(|run| {
        format!("{run},check,1800,{masses},0.1{},32{},0.4{},9{}\n", run % 7, run % 9, run % 5, run % 8)
    });
    Texts { job: Some(job), runs: RUNS_0417.to_owned() + &more.collect::<String>() }
}

/// The demo's runs before its check run.
pub fn without_check() -> String {
    RUNS_0417.lines().filter(|line| !line.starts_with("4,check")).map(|line| format!("{line}\n")).collect()
}

fn job_with_everything() -> String {
    let job = JOB_0417.replace(
        "[shaft]",
        "tag = \"HP-17\"\ntype = \"auger drive 88.9 mm, 1.4 m\"\nnote = \"second time here\"\n\n[people]\n\
         technician = \"A. Ferrier (invented)\"\nchecker = \"M. Quarry (invented)\"\n\n[show]\nunits = \"both\"\n\n\
         [stand]\nproved = \"2031-01-12, 20 g moved by a quarter turn, phase went on by 90 deg\"\n\
         mounting_scatter = \"20 g.mm\"\n\n[shaft]",
    );
    job + "\n[[welded]]\nplane = \"rear\"\nmass = \"5 g\"\nangle = \"80 deg\"\nhold = \"stays\"\n"
}

fn quantity<Q: Quantity>(text: &str) -> Q {
    parse(text).expect("demo quantities can be read")
}

/// Everything a record can carry.
pub fn everything(job: &JobFile) -> ShaftRecord {
    let state = ShaftState {
        length: Some(quantity("1402 mm")),
        tube_outer_diameter: Some(quantity("88.9 mm")),
        tube_wall: Some(quantity("2.4 mm")),
        joints: Some("series 1310 crosses, staked".into()),
        phase_angle: Some(quantity("2 deg")),
        damage: Some("dent 300 mm from the rear joint".into()),
        parts_changed: Vec::new(),
        welder: None,
        date: Some("2031-03-01".into()),
        note: Some("mud packed in the rear yoke".into()),
    };
    let built = ShaftState {
        length: Some(quantity("1385 mm")),
        phase_angle: Some(quantity("0.5 deg")),
        damage: None,
        parts_changed: vec!["tube".into(), "rear weld yoke".into(), "both crosses".into()],
        welder: Some("R. Hollis (invented)".into()),
        date: Some("2031-03-03".into()),
        note: None,
        ..state.clone()
    };
    let inspection = inspection();
    let described = ShaftDescription { inspection: inspection.clone(), ..description(job) };
    ShaftRecord {
        check: Some(check_shaft(&described).expect("the demo shaft can be checked")),
        received: Some(state),
        built: Some(built),
        marks: vec![
            mark("front yoke and gearbox flange", "two punch dots", Some("0 mm")),
            mark("slip yoke and spline", "paint line, yellow", None),
        ],
        inspection,
        overrides: vec![
            Override::new("A. Ferrier (invented)", "stub borrowed, seen twice by two").expect("an override"),
        ],
        photos: vec![Photo { words: "The marks at the front yoke".into(), picture: picture(320, 200) }],
        people: People {
            technician: job.paperwork.people.technician.clone(),
            checker: job.paperwork.people.checker.clone(),
        },
    }
}

fn inspection() -> Vec<InspectionItem> {
    let (keep, replace) = (Some(PartDecision::Keep), Some(PartDecision::Replace));
    vec![
        item("tube", "new", Some("runout 0.11 mm"), Some("0.25 mm"), keep),
        item("welds", "whole all round", None, None, keep),
        item("yokes", "rear bores worn", None, None, replace),
        item("joint journals", "needle marks", Some("play 0.15 mm"), Some("0.05 mm"), replace),
        item("joint caps", "one seal torn", None, None, replace),
        item("slip spline", "worn step, not yet settled", None, None, None),
    ]
}

fn description(job: &JobFile) -> ShaftDescription {
    let reading = |station: &str, angle: &str, indicator: f64| RunoutReading {
        station: quantity(station),
        angle: quantity(angle),
        indicator,
    };
    let around = |station: &'static str, most: f64| {
        [("0 deg", most), ("90 deg", 0.0), ("180 deg", -most), ("270 deg", 0.0)]
            .map(|(angle, indicator)| reading(station, angle, indicator))
    };
    ShaftDescription {
        tube: job.job.measures.tube.clone(),
        material: Material::named("steel"),
        mass: job.job.measures.mass.map_or(StatedMass::NotWeighed, StatedMass::Weighed),
        service_speed: job.job.measures.service_speed,
        stand_speed: Some(quantity("1800 rpm")),
        runout: [around("100 mm", 0.02), around("690 mm", 0.05), around("1280 mm", 0.03)].concat(),
        joints: JointTrain {
            joints: vec![TrainJoint::in_phase(quantity("4 deg")), TrainJoint::in_phase(quantity("4 deg"))],
        },
        ..ShaftDescription::default()
    }
}

fn mark(between: &str, looks: &str, position: Option<&str>) -> Mark {
    Mark { mark: MatchMark { between: between.into(), mark: looks.into() }, position: position.map(quantity) }
}

fn item(
    part: &str,
    finding: &str,
    measured: Option<&str>,
    limit: Option<&str>,
    decision: Option<PartDecision>,
) -> InspectionItem {
    InspectionItem {
        part: part.into(),
        finding: finding.into(),
        measured: measured.map(str::to_owned),
        limit: limit.map(str::to_owned),
        decision,
    }
}

/// A drawn picture of this size, standing for a photograph and for a logo.
fn picture(width: u32, height: u32) -> Picture {
    use balance_cli::draw::{Ink, Mark, Point, Scene, Stroke, png};
    let (wide, high) = (f64::from(width), f64::from(height));
    let mut scene = Scene::new(wide, high, "two slopes");
    let slopes = [(0.05, 0.9), (0.35, 0.2), (0.5, 0.6), (0.65, 0.35), (0.95, 0.9)];
    let points = slopes.map(|(across, down)| Point::new(wide * across, high * down)).to_vec();
    scene.push(Mark::Area { points: points.clone(), ink: Ink::Pale });
    scene.push(Mark::Line { points, stroke: Stroke::solid(1.5) });
    Picture::of(&png(&scene, 144.0).expect("a small picture can be drawn")).expect("a PNG is a picture")
}
