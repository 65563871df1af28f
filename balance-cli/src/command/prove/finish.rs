//! What a test ends in: words or JSON, a picture, the figures in the shop file, a record in the archive.

use super::super::each::refuse;
use super::super::plot::save;
use super::super::record::{TestRecord, record_of_test};
use super::{Bench, Found};
use crate::args::{PictureFormat, TestArguments};

use crate::exit::Exit;
use crate::files::job_edit::{NewValue, Spot, put_into_shop};
use crate::files::{Problem, shown_path};
use crate::picture::{Picture, PictureKind};
use crate::print::proof_json::{Proof, whole};
use crate::streams::Streams;

impl Bench {
    /// Answers, draws the picture, keeps the figures and the record, as asked.
    pub(super) fn finish(
        &self,
        found: &Found,
        test: &TestArguments,
        quiet: bool,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        let json = whole(&Proof {
            test: found.test,
            shaft: &self.target.name(),
            day: &self.day,
            passed: found.passed,
            proved: &found.keep,
            found: &found.json,
        });
        if test.job.json {
            writeln!(streams.answer, "{json}")?;
        } else {
            write!(streams.answer, "{}", found.text)?;
        }
        match self.kept(found, test, &json) {
            Ok(said) => {
                for line in said.iter().filter(|_| !quiet) {
                    writeln!(streams.talk, "{line}")?;
                }
            }
            Err(problems) => return refuse(&problems, streams),
        }
        if !test.keep && !test.job.json && !found.keep.is_empty() {
            writeln!(
                streams.answer,
                "To keep it in the shop file, so that verdicts use it: the same with --keep"
            )?;
        }
        Ok(if found.passed { Exit::Done } else { Exit::Exceeds })
    }

    /// Draws, keeps and records as asked; says what was written.
    fn kept(&self, found: &Found, test: &TestArguments, json: &str) -> Result<Vec<String>, Vec<Problem>> {
        let mut said = Vec::new();
        if test.plot {
            said.extend(self.draw(found)?);
        }
        if test.keep {
            self.keep(&found.keep)?;
            let kept = |(key, text): &(&'static str, String)| {
                format!("kept in shop.toml under [proved]: {key} = \"{text}\"")
            };
            said.extend(found.keep.iter().map(kept));
        }
        if test.record {
            said.push(format!("record {}", self.record(found, test, json)?));
        }
        Ok(said)
    }

    fn draw(&self, found: &Found) -> Result<Vec<String>, Vec<Problem>> {
        let Some(scene) = &found.picture else {
            return Err(vec![self.problem("this test has no picture")]);
        };
        let picture = Picture::one(PictureKind::Proof, found.test.into(), scene.clone());
        let formats = [PictureFormat::Svg, PictureFormat::Png];
        let files = save(&self.target.folder, &picture, &formats, self.target.paper())?;
        Ok(files.iter().map(|file| shown_path(file)).collect())
    }

    fn keep(&self, keep: &[(&'static str, String)]) -> Result<(), Vec<Problem>> {
        if keep.is_empty() {
            let problem = self.problem("there is no figure to keep");
            return Err(vec![problem.hinting("only a test that was passed leaves a figure".to_owned())]);
        }
        let Some(job) = &self.target.job_path else {
            let problem = self.problem("a runs file alone has no shop file");
            return Err(vec![problem.hinting("name a job: --job FILE".to_owned())]);
        };
        let value = |(key, text): &(&'static str, String)| {
            NewValue::text(Spot { section: "proved", number: None, key }, text)
        };
        if put_into_shop(job, &keep.iter().map(value).collect::<Vec<_>>())? {
            return Ok(());
        }
        let problem = self.problem("there is no shop file above this job");
        Err(vec![problem.hinting("put a shop.toml into the folder above the jobs".to_owned())])
    }

    fn record(&self, found: &Found, test: &TestArguments, json: &str) -> Result<i64, Vec<Problem>> {
        let said = if found.passed { "proof" } else { "proof not passed" };
        let record = TestRecord {
            title: &format!("{said}: {}", found.test),
            text: &found.text,
            json,
            marks: self.set.setup().convention.zero_mark.as_deref().unwrap_or_default(),
        };
        record_of_test(&self.target, test.job.archive.clone(), &record)
            .map_err(|words| vec![self.problem(&words)])
    }
}
