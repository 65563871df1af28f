//! The report: the same bytes every time, complete, nothing that it must not say, and no text that breaks
//! out.
//!
//! Golden files are our own past result, inspected on paper sizes before they were accepted. To renew them:
//! `cargo run -p balance-cli --example reports -- FOLDER`, look, copy `good.html` and `three-ends.html` to
//! `tests/quick/report/`. What a browser makes of the pages: `tests/browser/check_report.py`.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::expect_used,
    reason = "a test stops at the first surprise"
)]

#[path = "../../balance-cli/examples/reports/demo.rs"]
mod demo;

use balance_cli::files::JobFile;
use balance_cli::report::ShaftRecord;
use proptest::prelude::*;

fn report(name: &str) -> String {
    demo::all().into_iter().find(|(other, _)| other == name).unwrap_or_else(|| panic!("no report {name}")).1
}

fn assert_golden(name: &str, wanted: &str) {
    let got = report(name);
    let line = got.lines().zip(wanted.lines()).position(|(got, wanted)| got != wanted);
    assert!(got == wanted, "{name}.html differs from its golden file at line {:?}", line.map(|at| at + 1));
}

#[test]
fn the_demo_jobs_as_looked_at() {
    assert_golden("good", include_str!("report/good.html"));
    assert_golden("three-ends", include_str!("report/three-ends.html"));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    assert_eq!(demo::all(), demo::all());
}

/// The text between the tags, with the few escapes undone.
fn text(page: &str) -> String {
    let body = page.split_once("</style>").map_or(page, |(_, body)| body);
    let pieces = body.split('<').enumerate().map(|(at, piece)| match piece.split_once('>') {
        Some((_, text)) if at > 0 => text,
        _ => piece,
    });
    let joined: String = pieces.collect::<Vec<&str>>().join(" ");
    let plain =
        joined.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    plain.split_whitespace().collect::<Vec<&str>>().join(" ")
}

/// Every field that a record of a balanced drive shaft carries (common practice, no source), with the words of the
/// job that has everything.
#[test]
fn everything_that_is_written_down_is_in_the_report() {
    let page = text(&report("everything"));
    let wanted = [
        "WP-0417",
        "HP-17",
        "rotary snow blower 3, auger drive",
        "Hollin Pass road depot (invented)",
        "auger drive 88.9 mm, 1.4 m",
        "second time here",
        "2031-03-04 10:20 +01:00",
        "A. Ferrier (invented)",
        "M. Quarry (invented)",
        "1402 mm",
        "dent 300 mm from the rear joint",
        "tube, rear weld yoke and both crosses",
        "R. Hollis (invented)",
        "two punch dots",
        "front yoke and gearbox flange",
        "slip yoke and spline",
        "series 1310 crosses, staked",
        "needle marks",
        "play 0.15 mm",
        "0.05 mm",
        "replace",
        "open",
        "2031-01-12, 20 g moved by a quarter turn",
        "G16 (ISO 21940-11)",
        "weighed",
        "2600 rpm",
        "1800 rpm",
        "In force only if assembled to these marks",
        "CRITICAL SPEED",
        "within the margin",
        "MEETS",
        "Give or take",
        "Chance of being within",
        "front joint",
        "rear joint",
        "as found (run 1)",
        "with trial masses that came off again (runs 2 and 3)",
        "came with it",
        "run 4",
        "stub borrowed, seen twice by two",
        "The marks at the front yoke",
        "reading noise",
        "how the shaft responds (trial readings)",
        "mounting",
        "lag: the peak comes this many degrees after the mark",
        "paint line on the front yoke ear",
        "Total indicator reading",
        "act as a single joint",
        "5.29",
        "8.68",
        "front amplitude [mm/s]",
        "20 (0.03) g·mm (oz·in)",
        "oz·in",
        "job.toml",
        "runs.csv",
        "balance 0.1.0",
        "350° to 20°: tube seam",
        "licensed practice",
        "Bring it back",
        "Fitting",
        "Balanced by",
        "Checked by",
    ];
    let missing: Vec<&str> = wanted.into_iter().filter(|words| !page.contains(words)).collect();
    assert!(missing.is_empty(), "missing: {missing:?}");
}

#[test]
fn what_is_not_known_is_said() {
    let page = text(&report("next-to-nothing"));
    for words in ["NO VERDICT", "CRITICAL SPEED NOT CHECKED", "no match marks are written down", "not drawn"]
    {
        assert!(page.contains(words), "{words} is not in: {page}");
    }
    let page = text(&report("no-check-run"));
    for words in ["NO VERDICT YET", "only a check run tells", "CRITICAL SPEED NOT CHECKED"] {
        assert!(page.contains(words), "{words} is not in: {page}");
    }
    assert!(text(&report("too-much")).contains("TOO MUCH IS LEFT"));
    assert!(text(&report("cannot-be-told")).contains("CANNOT BE TOLD YET"));
}

/// The verdict is the largest thing on page one, and the only thing of its size; NOT CHECKED has a heading of its own.
#[test]
fn the_verdict_is_the_largest_thing_on_page_one() {
    for (name, page) in demo::all() {
        assert_eq!(page.matches("class=\"big\"").count(), 1, "{name}");
        let sizes = page.split_once("<style>").unwrap().1.split_once("</style>").unwrap().0;
        let points: Vec<f64> = sizes
            .match_indices("font-size: ")
            .filter_map(|(at, key)| sizes[at + key.len()..].split("pt").next()?.parse().ok())
            .collect();
        let big: f64 =
            sizes.split_once(".big { font-size: ").unwrap().1.split("pt").next().unwrap().parse().unwrap();
        assert!(
            points.len() > 5 && points.iter().filter(|size| **size > big / 1.5).count() == 1,
            "{points:?}"
        );
    }
    assert!(report("good").contains("<p class=\"big\">MEETS</p>"));
    assert!(report("good").contains("<h2>CRITICAL SPEED NOT CHECKED</h2>"));
}

/// What came, what was found, what was done, how it is now: before any table.
#[test]
fn page_one_tells_the_rebuild_before_the_figures() {
    let page = report("good");
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("no {words}"));
    let order = [
        "MEETS</p>",
        "<dt>Received</dt>",
        "<dt>Found</dt>",
        "<dt>Done</dt>",
        "<dt>Now</dt>",
        "<table class=\"ends",
    ];
    assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{order:?}");
    let words = text(&page);
    for sentence in [
        "On 2026-11-18: 1310 mm long; tube dented 40 mm behind the middle; joints both dry, rear one notched.",
        "Unbalance on the stand: front joint 972 and rear joint 533 g·mm; more than is allowed.",
        "New: tube and both joint crosses.",
        "3 weights welded on for balance.",
        "Unbalance left: front joint 37 and rear joint 97 g·mm; less than is allowed at every end.",
    ] {
        assert!(words.contains(sentence), "{sentence}\n{words}");
    }
}

/// Runs that contradict each other: no amount of what is left, no picture of it, and why not.
#[test]
fn held_back_states_no_unbalance() {
    let page = report("too-much");
    let one = page.split_once("<h1>The figures behind page one").unwrap().0;
    assert!(one.contains("<p class=\"big\">HELD BACK</p>") && !one.contains("figure class=\"left\""));
    assert_eq!(one.matches("No unbalance is stated, because the runs contradict each other.").count(), 2);
    let table = one.split_once("<table class=\"ends").unwrap().1.split_once("</table>").unwrap().0;
    assert_eq!(table.matches("<td>–</td>").count() + table.matches("<b>–</b>").count(), 8, "{table}");
    assert!(report("good").contains("figure class=\"left\""));
}

/// Every budget: the shares of each kind add up to 100 %.
#[test]
fn the_shares_of_each_kind_add_up_to_100() {
    let mut tables = 0;
    for (name, page) in demo::all() {
        for table in page.split("<table>").filter(|table| table.contains("Share of its kind")) {
            tables += 1;
            for kind in ["random", "systematic"] {
                let shares: Vec<u32> = table
                    .split("<tr>")
                    .filter(|row| row.contains(&format!("<td>{kind}</td>")))
                    .map(|row| {
                        row.rsplit_once(" %</td>").unwrap().0.rsplit('>').next().unwrap().parse().unwrap()
                    })
                    .collect();
                assert!(shares.is_empty() || shares.iter().sum::<u32>() == 100, "{name}: {kind} {shares:?}");
            }
        }
    }
    assert!(tables > 8, "{tables} tables");
}

/// A shop's paper promises nothing that only an inspector, a maker or a law can promise.
#[test]
fn it_promises_nothing_it_must_not() {
    for (name, page) in demo::all() {
        let page = text(&page).to_lowercase();
        for word in page.split(|letter: char| !letter.is_alphabetic()) {
            let promise =
                ["safe", "safely", "safety", "roadworthy", "guaranteed", "approved"].contains(&word);
            assert!(!promise && !word.starts_with("certif"), "{name} says {word}");
        }
    }
}

/// One file: no script, nothing loaded, no frame.
#[test]
fn it_needs_nothing_else() {
    for (name, page) in demo::all() {
        for part in ["<script", "<link", "<iframe", "<object", "@import", "url(", "javascript:", " onload="] {
            assert!(!page.contains(part), "{name} has {part}");
        }
        let sources = page.match_indices(" src=\"").map(|(at, _)| &page[at + 6..at + 11]);
        assert!(sources.into_iter().all(|source| source == "data:"), "{name} loads a file");
    }
}

const HOSTILE: [&str; 6] = [
    "</style><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "\"><svg onload=alert(1)>",
    "]]>--><!--",
    "&lt;b&gt; & more",
    "'/*\\*/\\",
];

fn with_texts(texts: &[String; 4]) -> String {
    let quoted = |text: &str| toml_text(text);
    let job = format!(
        "[job]\nnumber = {}\ncustomer = {}\n[people]\nchecker = {}\n[convention]\nzero_mark = {}\n",
        quoted(&texts[0]),
        quoted(&texts[1]),
        quoted(&texts[2]),
        quoted(&texts[3])
    );
    demo::page(&demo::Texts { job: Some(job), runs: demo::without_check() }, record)
}

fn record(job: &JobFile) -> ShaftRecord {
    ShaftRecord::of(Some(job), None)
}

/// A basic string of TOML 1.0: quotes, backslashes and control characters escaped.
fn toml_text(text: &str) -> String {
    let letters = text.chars().map(|letter| match letter {
        '"' | '\\' => format!("\\{letter}"),
        letter if letter.is_control() => format!("\\u{:04X}", u32::from(letter)),
        letter => letter.to_string(),
    });
    format!("\"{}\"", letters.collect::<String>())
}

/// Tags as a browser would see them: every `<` that is followed by a letter, `/`, `!` or `?` (HTML Standard, 13.2.5.6).
fn tags(page: &str) -> Vec<String> {
    let opens =
        |rest: &str| rest.starts_with(|next: char| next.is_ascii_alphabetic() || "/!?".contains(next));
    let name = |rest: &str| {
        rest.split(|letter: char| letter == '>' || letter.is_whitespace()).next().map(str::to_owned)
    };
    page.split('<').skip(1).filter(|rest| opens(rest)).filter_map(name).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Whatever stands in the texts, the page has the tags of a page with plain texts.
    #[test]
    fn hostile_texts_stay_texts(
        spice in proptest::collection::vec(prop_oneof![
            proptest::sample::select(HOSTILE.to_vec()).prop_map(str::to_owned),
            // Invisible letters are a fault of the job file.
            "\\PC{1,24}".prop_map(|text| text.replace(['\u{2028}', '\u{2029}'], " ")),
            "[<>&\"'/;{}\\\\a-z ]{1,24}",
        ], 4),
    ) {
        let texts: [String; 4] = std::array::from_fn(|at| format!("x{}", spice[at]));
        let plain: [String; 4] = std::array::from_fn(|_| "plain".to_owned());
        prop_assert_eq!(tags(&with_texts(&texts)), tags(&with_texts(&plain)));
    }
}

/// The command's exit status, its answer and its messages.
fn command(words: &[&std::ffi::OsStr]) -> (balance_cli::exit::Exit, String, String) {
    let (mut answer, mut talk) = (Vec::new(), Vec::new());
    let mut nothing = std::io::empty();
    let mut streams = balance_cli::streams::Streams::new(&mut nothing, &mut answer, &mut talk);
    let verb = ["balance", "report"].map(std::ffi::OsStr::new);
    let exit = balance_cli::run(verb.iter().chain(words).map(|word| (*word).to_owned()), &mut streams);
    (exit, String::from_utf8(answer).unwrap(), String::from_utf8(talk).unwrap())
}

/// A PNG of one dot.
fn dot() -> Vec<u8> {
    let mut bytes = Vec::new();
    {
        let mut encoder = png::Encoder::new(&mut bytes, 1, 1);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.write_header().unwrap().write_image_data(&[0]).unwrap();
    }
    bytes
}

#[test]
fn the_command_writes_one_file_with_logo_and_photographs_inside() {
    let shop = tempfile::tempdir().unwrap();
    let folder = shop.path().join("WP-0417");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(
        shop.path().join("shop.toml"),
        "[shop]\nname = \"Depot (invented)\"\nlogo = \"logo.png\"\n",
    )
    .unwrap();
    std::fs::write(
        folder.join("job.toml"),
        "[job]\nnumber = \"WP-0417\"\n[[photo]]\nfile = \"marks.png\"\nshows = \"the marks\"\n",
    )
    .unwrap();
    std::fs::write(folder.join("runs.csv"), demo::without_check()).unwrap();
    let (exit, answer, talk) = command(&[folder.as_os_str()]);
    assert_eq!(exit, balance_cli::exit::Exit::CouldNot);
    assert!(
        answer.is_empty() && talk.contains("logo.png") && talk.contains("marks.png"),
        "both are told: {talk}"
    );
    assert!(!folder.join("report.html").exists(), "nothing is written");

    std::fs::write(shop.path().join("logo.png"), dot()).unwrap();
    std::fs::write(folder.join("marks.png"), dot()).unwrap();
    let (exit, answer, talk) = command(&[folder.as_os_str()]);
    assert_eq!((exit, talk.as_str()), (balance_cli::exit::Exit::Done, ""));
    assert!(answer.trim_end().ends_with("report.html"), "{answer}");
    let page = std::fs::read_to_string(folder.join("report.html")).unwrap();
    assert_eq!(page.matches("src=\"data:image/png;base64,").count(), 2);
    for words in ["Depot (invented)", "the marks", "logo.png", "marks.png", "shop.toml", "NO VERDICT"] {
        assert!(text(&page).contains(words), "{words}");
    }
}

#[test]
fn a_file_of_many_shafts_gets_a_report_each() {
    let folder = tempfile::tempdir().unwrap();
    let runs = "shaft,mass [g],angle [deg],x amplitude [mm/s],x phase [deg]\n\
                A/1,,,5,10\nA/1,20,0,7,40\nB,,,4,200\nB,20,90,6,100\n";
    std::fs::write(
        folder.path().join("runs.csv"),
        runs.replace("mass", "front mass").replace("angle", "front angle"),
    )
    .unwrap();
    let (exit, answer, talk) = command(&[folder.path().join("runs.csv").as_os_str()]);
    assert_eq!((exit, answer.lines().count()), (balance_cli::exit::Exit::Done, 2), "{talk}");
    assert!(
        folder.path().join("report-A-1~2f.html").exists() && folder.path().join("report-B.html").exists()
    );
}
