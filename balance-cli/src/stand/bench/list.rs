//! What there is to do at the bench, and what is done.

use balance_core::shaft::{DRIVE_SHAFT_POINTS, InspectionItem, InspectionPoint};

use crate::files::JobFile;

/// A part to look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Looked {
    /// What to look for, and what is allowed.
    pub point: &'static InspectionPoint,
}

/// One part of this shaft.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BenchPart {
    /// What it is called in the job file: "front joint, journals".
    pub name: String,
    /// What to look for, and what is allowed.
    pub looked: Looked,
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Entry {
    /// How it came.
    Received,
    /// Marks before it is taken apart.
    Marks,
    /// A part to look at.
    Part(BenchPart),
    /// Whether the yokes of a joint take one size.
    Fit,
    /// Another length.
    NewLength,
}

/// Everything there is to do on this shaft.
pub(super) fn list(file: &JobFile) -> Vec<Entry> {
    let mut entries = vec![Entry::Received, Entry::Marks];
    entries.extend(parts(file).into_iter().map(Entry::Part));
    entries.extend([Entry::Fit, Entry::NewLength]);
    entries
}

/// The joints of the shaft, by name.
pub(super) fn joints(file: &JobFile) -> Vec<String> {
    let named: Vec<String> = file.job.shaft.joints.iter().filter_map(|joint| joint.name.clone()).collect();
    if !named.is_empty() {
        return named;
    }
    let middle = (!file.job.shaft.steady_bearings.is_empty()).then_some("middle joint");
    ["front joint"].into_iter().chain(middle).chain(["rear joint"]).map(str::to_owned).collect()
}

fn parts(file: &JobFile) -> Vec<BenchPart> {
    let joints = joints(file);
    let mut parts = Vec::new();
    for point in &DRIVE_SHAFT_POINTS {
        let own: Vec<String> = match point.part {
            "yokes" => joints.iter().map(|joint| yoke_of(joint)).collect(),
            "joint journals" => joints.iter().map(|joint| format!("{joint}, journals")).collect(),
            "joint caps" => joints.iter().map(|joint| format!("{joint}, caps")).collect(),
            part => vec![part.to_owned()],
        };
        parts.extend(own.into_iter().map(|name| BenchPart { name, looked: Looked { point } }));
    }
    parts
}

/// "front yoke on its stub" for the front joint.
fn yoke_of(joint: &str) -> String {
    format!("{} yoke on its stub", joint.trim_end_matches("joint").trim_end())
}

impl BenchPart {
    /// What is written down of it, and where in the job file.
    pub(super) fn found<'f>(&self, file: &'f JobFile) -> Option<(usize, &'f InspectionItem)> {
        let items = file.job.shaft.inspection.iter().enumerate();
        let same = |part: &str, name: &str| part.trim().eq_ignore_ascii_case(name);
        items.clone().find(|(_, item)| same(&item.part, &self.name))
    }

    /// The same, or what is written of all parts of its kind together.
    fn found_at_all<'f>(&self, file: &'f JobFile) -> Option<&'f InspectionItem> {
        let together = |item: &&InspectionItem| item.part.trim().eq_ignore_ascii_case(self.looked.point.part);
        self.found(file).map(|(_, item)| item).or_else(|| file.job.shaft.inspection.iter().find(together))
    }
}

impl Entry {
    pub(super) fn words(&self) -> String {
        match self {
            Self::Received => "how it came: length, joints, damage".into(),
            Self::Marks => "marks, before it is taken apart".into(),
            Self::Part(part) if part.name == "steady bearing" => "steady bearing and its rubber".into(),
            Self::Part(part) if part.name == "slip spline" => "slip spline, in its running position".into(),
            Self::Part(part) => part.name.clone(),
            Self::Fit => "another size of joint: does it fit?".into(),
            Self::NewLength => "another length: what to cut".into(),
        }
    }

    pub(super) fn done(&self, file: &JobFile) -> String {
        match self {
            Self::Received => {
                if file.paperwork.received.is_some() {
                    "written down".into()
                } else {
                    "open".into()
                }
            }
            Self::Marks => match file.paperwork.match_marks.len() {
                0 => "open".into(),
                1 => "1 mark".into(),
                count => format!("{count} marks"),
            },
            Self::Part(part) => match part.found_at_all(file) {
                None => "open".into(),
                Some(item) => {
                    item.decision.map_or("to be decided".into(), |decision| decision.word().to_owned())
                }
            },
            Self::Fit => match file.paperwork.joint_sizes.len() {
                0 => String::new(),
                1 => "1 joint fits".into(),
                count => format!("{count} joints fit"),
            },
            Self::NewLength => {
                if file.job.shaft.relength.is_some() {
                    "written down".into()
                } else {
                    String::new()
                }
            }
        }
    }
}
