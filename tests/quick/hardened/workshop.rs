//! Small jobs to attack, and the program as a separate process.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use balance_tests::program::{Said, balance};

/// A shaft whose limits are known.
pub const JOB: &str = "[job]\nnumber = \"WP-0417\"\n[shaft]\nmass = \"14.2 kg\"\nservice_speed = \"2600 rpm\"\n\
    grade = \"G16\"\n[convention]\nphase = \"lag\"\nmass_angle = \"against rotation\"\n\
    turns = \"clockwise seen from the front\"\n[stand]\nreading_noise = \"2 %\"\nreading_floor = 0.02\n\
    [[correction_plane]]\nname = \"front\"\nposition = \"95 mm\"\nradius = \"45 mm\"\n\
    [[correction_plane]]\nname = \"rear\"\nposition = \"1290 mm\"\nradius = \"45 mm\"\n\
    [[sensor]]\nname = \"front\"\nposition = \"0 mm\"\n[[sensor]]\nname = \"rear\"\nposition = \"1385 mm\"\n";

/// The columns of its runs.
pub const HEADER: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
    front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]\n";

/// Initial run and two trials.
pub const ROWS: &str = "1,initial,1800,,,,,5.29,230,3.24,69\n2,trial,1800,20,90,,,8.68,211,3.56,49\n\
    3,trial,1800,,,20,90,5.34,241,4.38,124\n";

/// A job's folder with these files.
pub struct Workshop {
    folder: tempfile::TempDir,
}

impl Workshop {
    /// A job file and a runs file.
    pub fn new(job: &str, runs: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let shop = Self { folder };
        std::fs::create_dir(shop.job()).unwrap();
        std::fs::write(shop.job().join("job.toml"), job).unwrap();
        std::fs::write(shop.job().join("runs.csv"), runs).unwrap();
        shop
    }

    /// The usual one, three runs read.
    pub fn usual() -> Self {
        Self::new(JOB, &format!("{HEADER}{ROWS}"))
    }

    /// The job's folder.
    pub fn job(&self) -> PathBuf {
        self.folder.path().join("WP-0417")
    }

    /// A place beside the job's folder.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The runs as they are in the file.
    pub fn runs(&self) -> String {
        std::fs::read_to_string(self.job().join("runs.csv")).unwrap()
    }
}

/// The program in this process.
pub fn on(verb: &[&str], path: &Path) -> Said {
    balance(verb.iter().map(|word| (*word).into()).chain([path.as_os_str().to_owned()]))
}

/// The program as a separate process, with pipes.
pub fn process() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_balance-under-test"));
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}
