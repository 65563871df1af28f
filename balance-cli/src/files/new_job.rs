//! The folder of a new job.

use std::path::{Path, PathBuf};

use balance_core::quantity::Units;
use balance_core::run::Phase;

use super::disk::{self, shown_path};
use super::job::{JOB_FILE, JobFile, RUNS_FILE, SHOP_FILE, shop_file_of};
use super::limits;
use super::names::is_device;
use super::problem::{Problem, Source};
use super::runs::{HeaderUnits, explains_columns, header_of_job, with_header_units};
use super::toml_reader::Document;
use super::write::{Existing, name_folder, unfinished_folder, write_file};
use crate::clean::{is_hidden, one_line};

const JOB: &str = include_str!("templates/job.toml");
const RUNS: &str = include_str!("templates/runs.csv");
const RUNS_US: &str = include_str!("templates/runs_us.csv");
const SHOP: &str = include_str!("templates/shop.toml");

/// Creates a job's folder with a commented job file and a runs file with its header; if no folder above has a
/// shop file, one is written beside the job's folder. Returns what was written.
///
/// # Errors
///
/// The folder already exists, has a name that not every system accepts, or cannot be written; then nothing is
/// created.
pub fn new_job(folder: &Path, number: &str) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let job = job_text(number);
    Ok(write_folder(folder, &job, &runs_text(folder, &job))?)
}

/// The same for a shaft that comes back or a sister shaft: the earlier job file with another number and some
/// more sections, and the header of the earlier runs file.
///
/// # Errors
///
/// As [`new_job`], or the earlier job has faults.
pub fn new_job_from(
    folder: &Path,
    number: &str,
    earlier: &Path,
    more: &str,
) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let job = disk::read_text(&earlier.join(JOB_FILE))?;
    JobFile::load_folder(earlier)?;
    let text = without_findings(&renumbered(&job, number)?) + more;
    let runs = disk::read_bytes(&earlier.join(RUNS_FILE), limits::RUNS)
        .ok()
        .and_then(|bytes| super::runs::header_of(&bytes))
        .unwrap_or_else(|| runs_text(folder, &text));
    Ok(write_folder(folder, &text, &runs)?)
}

/// Writes the folder under a temporary name and renames it when it is complete, so that a full disk leaves no
/// folder in the way of the next try.
fn write_folder(folder: &Path, job: &str, runs: &str) -> Result<Vec<PathBuf>, Problem> {
    check_name(folder)?;
    let mut written = vec![folder.join(JOB_FILE), folder.join(RUNS_FILE)];
    let unfinished = unfinished_folder(folder)?;
    write_file(&unfinished.path().join(JOB_FILE), job.as_bytes(), Existing::Keep)?;
    write_file(&unfinished.path().join(RUNS_FILE), runs.as_bytes(), Existing::Keep)?;
    if shop_file_of(folder).is_none() {
        let beside = folder.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let shop = beside.join(SHOP_FILE);
        write_file(&shop, SHOP.as_bytes(), Existing::Keep)?;
        written.push(shop);
    }
    name_folder(unfinished, folder)?;
    Ok(written)
}

/// A folder's name must be valid on every system, because the job may be copied to any.
fn check_name(folder: &Path) -> Result<(), Problem> {
    let name = folder.file_name().map(std::ffi::OsStr::to_string_lossy).unwrap_or_default();
    let letters = |letter: char| letter.is_control() || "<>:\"|?*\\".contains(letter) || is_hidden(letter);
    let wrong = if name.trim().is_empty() {
        "has no letters"
    } else if name.trim() != name || name.ends_with('.') {
        "begins or ends with a blank, or ends with a dot"
    } else if name.contains(letters) {
        "has letters that not every system accepts in a folder's name"
    } else if is_device(&name) {
        "is a name that Windows reserves for a device"
    } else {
        return Ok(());
    };
    let found = format!("`{}` {wrong}", one_line(&name));
    let problem = Problem::of_file("folder-name", shown_path(folder), found);
    Err(problem.allowing("letters, digits, - and _, for example WP-0417"))
}

/// Makes the runs file of a job that has none yet, with a column for every place and sensor of the job.
///
/// # Errors
///
/// The job has faults, or the file cannot be written or is there already.
pub fn make_runs_file(folder: &Path) -> Result<PathBuf, Vec<Problem>> {
    let file = JobFile::load_folder(folder)?;
    let explained: Vec<&str> = RUNS.lines().filter(|line| explains_columns(line)).collect();
    let text = format!("{}\n{}\n", explained.join("\n"), header_of_job(&file));
    let path = folder.join(RUNS_FILE);
    write_file(&path, text.as_bytes(), Existing::Keep)?;
    Ok(path)
}

/// An empty runs file in the shop's units, as far as its shop file says them.
fn runs_text(folder: &Path, job: &str) -> String {
    let shop = shop_file_of(folder).and_then(|file| disk::read_text(&file).ok());
    let Ok(file) = JobFile::read(&Source::new(JOB_FILE, job), shop.as_ref()) else { return RUNS.into() };
    let text = match file.job.units {
        Units::Us => RUNS_US,
        Units::Metric | Units::Both => RUNS,
    };
    let dial = file.paperwork.dial_unit();
    let without_phase = file.job.setup.convention.phase == Phase::NotShown;
    let units = HeaderUnits { dial, without_phase, ..HeaderUnits::default() };
    with_header_units(text, units).unwrap_or_else(|| text.into())
}

fn job_text(number: &str) -> String {
    JOB.replace("{NUMBER}", &quoted(number))
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.into()).to_string()
}

/// The job's text with its comments and another number.
fn renumbered(job: &Source, number: &str) -> Result<String, Vec<Problem>> {
    let document = Document::parse(&[job])?;
    let section = document.section("job");
    let Some(bytes) = section.span_of("number") else {
        return Ok(format!("[job]\nnumber = {}\n\n{}", quoted(number), job.text));
    };
    Ok(format!("{}{}{}", &job.text[..bytes.start], quoted(number), &job.text[bytes.end..]))
}

/// Findings about one shaft at one time, which do not apply to the next.
const FINDINGS: [&str; 6] = ["received", "built", "inspection", "match_mark", "runout", "override"];

/// The text with the findings of the earlier job as comments: what was inspected, measured or overruled then
/// has to be checked again.
fn without_findings(text: &str) -> String {
    let mut old = false;
    let mut told = String::with_capacity(text.len());
    for line in text.lines() {
        let words = line.trim();
        if words.starts_with('[') {
            let name = words.trim_start_matches('[').split(']').next().unwrap_or_default().trim();
            old = FINDINGS.contains(&name);
            if old {
                told.push_str("# from the earlier job, check again:\n");
            }
        }
        if old && !words.is_empty() && !words.starts_with('#') {
            told.push_str("# ");
        }
        told.push_str(line);
        told.push('\n');
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::problem::render_all;
    use crate::files::runs::RunsReader;

    fn names(written: &[PathBuf]) -> Vec<String> {
        written.iter().map(|path| path.file_name().unwrap().to_string_lossy().into_owned()).collect()
    }

    fn load(folder: &Path) -> JobFile {
        JobFile::load_folder(folder).unwrap_or_else(|problems| panic!("{}", render_all(&problems)))
    }

    #[test]
    fn a_new_folder_reads_without_a_fault() {
        let shop = tempfile::tempdir().unwrap();
        let folder = shop.path().join("WP-0417");
        let written = new_job(&folder, "WP-\"0417\"\n").unwrap();
        assert_eq!(names(&written), ["job.toml", "runs.csv", "shop.toml"]);
        let job = load(&folder);
        assert_eq!(job.paperwork.heading.number.as_deref(), Some("WP-\"0417\""));
        let mut runs = RunsReader::open(&written[1], Some(&job)).unwrap();
        assert_eq!(runs.next().unwrap().unwrap().runs.len(), 0);
        assert_eq!(new_job(&folder, "WP-0417").unwrap_err()[0].code, "file-exists");
        let second = new_job(&shop.path().join("WP-0418"), "WP-0418").unwrap();
        assert_eq!(names(&second), ["job.toml", "runs.csv"], "the shop file is there");
    }

    #[test]
    fn a_job_without_a_runs_file_gets_one_with_its_own_places() {
        let shop = tempfile::tempdir().unwrap();
        let folder = shop.path().join("A");
        std::fs::create_dir(&folder).unwrap();
        let plane = |name: &str| format!("[[correction_plane]]\nname = '{name}'\n");
        let sensors =
            "[[sensor]]\nname = 'tail'\n[[sensor]]\nname = 'nose'\nshows = 'unbalance'\nplane = 'nose'\n";
        let text = format!(
            "[job]\nnumber = 'A'\n{}{}{sensors}[show]\nunits = 'us'\n",
            plane("nose"),
            plane("mid, left")
        );
        std::fs::write(folder.join(JOB_FILE), text).unwrap();
        let path = make_runs_file(&folder).unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        let header = text.lines().last().unwrap();
        assert!(
            text.lines().count() >= 3 && text.lines().rev().skip(1).all(|line| line.starts_with("# ")),
            "{text}"
        );
        assert_eq!(
            header,
            "run,kind,speed [rpm],nose mass [oz],nose angle [deg],\"mid, left mass [oz]\",\"mid, left angle [deg]\",\
             tail amplitude [mils],tail phase [deg],nose amplitude [oz],nose phase [deg],note"
        );
        let mut reader = RunsReader::open(&path, Some(&load(&folder))).unwrap();
        let shaft = reader.next().unwrap().unwrap_or_else(|faults| panic!("{faults:?}"));
        assert_eq!((shaft.setup.planes.len(), shaft.setup.sensors.len()), (2, 2));
        assert_eq!(make_runs_file(&folder).unwrap_err()[0].code, "file-exists");
    }

    #[test]
    fn the_templates_read_without_a_fault_with_every_comment_taken_away() {
        let uncommented = |text: &str| -> String {
            let setting = |line: &str| {
                line.starts_with("# [")
                    || line
                        .split_once(" = ")
                        .is_some_and(|(key, _)| key.starts_with("# ") && !key[2..].contains(' '))
            };
            let lines = text.lines().map(|line| if setting(line) { &line[2..] } else { line });
            lines.collect::<Vec<_>>().join("\n")
        };
        let job = Source::new("job.toml", uncommented(&job_text("WP-0417")));
        let shop = Source::new("shop.toml", uncommented(SHOP));
        assert!(
            job.text.contains("\n[[part]]\nname") && shop.text.contains("\ndrift = true"),
            "{}",
            job.text
        );
        let job =
            JobFile::read(&job, Some(&shop)).unwrap_or_else(|problems| panic!("{}", render_all(&problems)));
        assert_eq!(job.job.weld_plan.weights.len(), 2);
        let runs: String = RUNS
            .lines()
            .filter_map(|line| line.strip_prefix("# "))
            .filter(|line| line.starts_with(|first: char| first.is_ascii_digit()))
            .map(|line| format!("{line}\n"))
            .collect();
        let header = RUNS.lines().last().unwrap();
        let shafts =
            crate::files::runs::read_all(format!("{header}\n{runs}").as_bytes(), "runs.csv", None).unwrap();
        assert_eq!(shafts[0].run_set().unwrap().rows().len(), 4);
    }

    #[test]
    fn what_was_found_on_the_earlier_shaft_does_not_speak_for_the_next() {
        let text = "[shaft]\ngrade = 40\n[override]\nname = \"J. Stoker\"\n\n[[inspection]]\npart = \"tube\"\n[tube]\nwall = \"2 mm\"\n";
        let new = without_findings(text);
        assert!(new.contains("\n# [override]\n# name = \"J. Stoker\"\n\n# from"), "{new}");
        assert!(new.contains("\n# part = \"tube\"\n[tube]\nwall"), "{new}");
        assert_eq!(without_findings("[a]\nb = 1\n"), "[a]\nb = 1\n");
    }

    #[test]
    fn a_job_made_from_an_earlier_one_keeps_all_but_number_and_rows() {
        let shop = tempfile::tempdir().unwrap();
        let (one, two) = (shop.path().join("A"), shop.path().join("B"));
        std::fs::create_dir(&one).unwrap();
        std::fs::write(one.join(JOB_FILE), "[job] # mine\nnumber = 'A' # old\n[shaft]\ngrade = 40\n")
            .unwrap();
        std::fs::write(one.join(RUNS_FILE), "# c\nx amplitude [mm/s];x phase [deg]\r\n5;1\r\n").unwrap();
        new_job_from(&two, "B", &one, "").unwrap();
        assert_eq!(
            std::fs::read_to_string(two.join(JOB_FILE)).unwrap(),
            "[job] # mine\nnumber = \"B\" # old\n[shaft]\ngrade = 40\n"
        );
        assert_eq!(
            std::fs::read_to_string(two.join(RUNS_FILE)).unwrap(),
            "x amplitude [mm/s];x phase [deg]\r\n"
        );
        std::fs::write(one.join(JOB_FILE), "[shaft]\ngrade = \"x\"\n").unwrap();
        assert_eq!(new_job_from(&shop.path().join("C"), "C", &one, "").unwrap_err()[0].code, "not-readable");
        assert!(!shop.path().join("C").exists(), "nothing is written");
    }
}
