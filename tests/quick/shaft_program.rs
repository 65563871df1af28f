//! The shaft before it spins through the whole program: `balance shaft`, the gate in `limits`, `correct` and `verify`,
//! an estimated mass, a bow between two speeds, bad input.
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use serde_json::Value;

/// A job without runs.
fn job(text: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("WP-0001");
    std::fs::create_dir(&job).unwrap();
    std::fs::write(job.join("job.toml"), format!("[job]\nnumber = \"WP-0001\"\n{text}")).unwrap();
    (folder, job)
}

fn on(verb: &[&str], path: &Path) -> Said {
    balance(verb.iter().map(|word| (*word).into()).chain([path.as_os_str().to_owned()]))
}

fn shaft_json(path: &Path) -> Value {
    let said = on(&["shaft", "--json"], path);
    assert_eq!((said.code, said.talk.as_str()), (0, ""), "{}", said.answer);
    serde_json::from_str(&said.answer).unwrap()
}

fn codes(answer: &Value) -> Vec<&str> {
    answer["cautions"].as_array().unwrap().iter().map(|caution| caution["code"].as_str().unwrap()).collect()
}

/// The demo workshop's folder of one job, copied, with its job file changed.
fn depot(number: &str, change: impl Fn(String) -> String) -> (tempfile::TempDir, PathBuf) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join(number);
    std::fs::create_dir(&job).unwrap();
    std::fs::copy(from.join("shop.toml"), folder.path().join("shop.toml")).unwrap();
    for entry in std::fs::read_dir(from.join(number)).unwrap() {
        let entry = entry.unwrap();
        std::fs::copy(entry.path(), job.join(entry.file_name())).unwrap();
    }
    let file = job.join("job.toml");
    let text = change(std::fs::read_to_string(&file).unwrap());
    std::fs::write(file, text).unwrap();
    (folder, job)
}

const PLAIN_TUBE: &str = "[shaft]\nservice_speed = \"3000 rpm\"\n[tube]\nouter_diameter = \"3.5 in\"\n\
    wall = \"0.083 in\"\nlength = \"60 in\"\nmaterial = \"steel\"\nelastic_modulus = \"207 GPa\"\n\
    density = \"7850 kg/m3\"\n";

/// n = (π/2)·sqrt(EI/(ρA))/L²: 6396.07 rpm by hand and with NumPy; the figure of 6395.9 asked for is 2.7·10⁻⁵ lower
/// (a rounded constant), so 0.01 % holds for both. Timoshenko's beam lowers it by 1 to 2 % at L/D = 17.
#[test]
fn a_plain_tube_has_its_handbook_speed_and_the_model_is_a_little_lower() {
    let (_folder, job) = job(PLAIN_TUBE);
    let answer = shaft_json(&job);
    assert_eq!(answer["format"], "balance-shaft/1");
    let closed_form = answer["critical_speed_closed_form_rpm"].as_f64().unwrap();
    assert!((closed_form / 6395.9 - 1.0).abs() < 1e-4, "{closed_form}");
    assert!((closed_form - 6396.07).abs() < 0.01, "{closed_form}");
    let model = answer["critical_speed_model_rpm"].as_f64().unwrap();
    assert!((0.98..0.99).contains(&(model / closed_form)), "{model} of {closed_form}");
    assert_eq!(answer["critical_speed_rpm"].as_f64(), Some(model));
    assert!((answer["ratio_at_service"].as_f64().unwrap() - 3000.0 / model).abs() < 1e-12);
    assert_eq!((answer["margin_ratio"].as_f64(), answer["within_margin"].as_bool()), (Some(0.7), Some(true)));
    // 3.03 lb/ft over 5 ft, a table of tubes in inches (0.283 lb/in³, 0.2 % below 7850 kg/m³): 6.87 kg.
    assert!((answer["mass_kg"].as_f64().unwrap() - 3.03 * 5.0 * 0.453_592_37).abs() < 0.02, "{answer}");
    assert_eq!(answer["mass_basis"], "estimated from tube and ends");
    assert!(codes(&answer).contains(&"mass-estimated"));
}

#[test]
fn what_was_not_checked_is_null_and_said_once() {
    let (_folder, job) = job("");
    let answer = shaft_json(&job);
    for key in
        ["critical_speed_rpm", "within_margin", "ratio_at_service", "runout_within", "mass_kg", "joints"]
    {
        assert_eq!(answer[key], Value::Null, "{key}");
    }
    let found = codes(&answer);
    assert_eq!(found.iter().filter(|code| **code == "critical-speed-not-checked").count(), 1, "{found:?}");
    let caution =
        answer["cautions"].as_array().unwrap().iter().find(|c| c["code"] == "critical-speed-not-checked");
    assert_eq!(caution.unwrap()["level"], "take care");
    let said = on(&["shaft"], &job);
    assert!(
        said.answer.contains("CRITICAL SPEED NOT CHECKED") && said.answer.contains("Before the first spin")
    );
}

#[test]
fn the_demo_shafts_go_through_it_with_a_plot() {
    let (_folder, job) = depot("WP-0417", |text| text);
    let said = on(&["shaft", "--plot"], &job);
    assert_eq!(said.code, 0, "{}", said.talk);
    assert!(said.answer.starts_with("WP-0417") && said.answer.contains("MAY SPIN"), "{}", said.answer);
    let picture = std::fs::read(job.join("critical-speed.png")).unwrap();
    assert!(picture.starts_with(b"\x89PNG"));
    let answer = shaft_json(&job);
    assert_eq!((answer["gate"].as_str(), answer["runout_within"].as_bool()), (Some("allowed"), Some(true)));
    // Cut: 1385 − 62 − 74 + 1.0 = 1250.0 mm; the drive: 2340/(0.9·1.0) = 2600 rpm; both by hand.
    assert_eq!(answer["relength"]["tube_cut_mm"].as_f64(), Some(1250.0));
    assert!((answer["reachable_speed_rpm"].as_f64().unwrap() - 2600.0).abs() < 1e-9);
    // tan²θ = tan²1.5° + tan²1.8°: 2.342°.
    assert!(
        (answer["joints"]["angles_deg"][0].as_f64().unwrap() - 2.3423).abs() < 1e-3,
        "{}",
        answer["joints"]
    );
    let (_folder, two_piece) = depot("WP-0502", |text| text);
    let answer = shaft_json(&two_piece);
    assert_eq!(answer["parts"].as_array().unwrap().len(), 2);
    assert_eq!(answer["not_inspected"], serde_json::json!(["slip spline"]));
    assert_eq!(answer["gate"], "take care");
}

/// A service speed of 0.8 of the critical one is refused, but someone can take responsibility; at 0.95 no one
/// can.
#[test]
fn the_gate_refuses_and_an_override_stands_but_not_near_the_critical_speed() {
    let critical = shaft_json(&depot("WP-0417", |text| text).1)["critical_speed_rpm"].as_f64().unwrap();
    let at = |share: f64, more: &str| {
        let speed = format!("service_speed = \"{:.0} rpm\"", share * critical);
        depot("WP-0417", |text| text.replace("service_speed = \"2600 rpm\"", &speed) + more)
    };
    let stands = "\n[override]\nname = \"J. Stoker\"\nreason = \"short trial at the depot only\"\n";
    let (_folder, refused) = at(0.8, "");
    for verb in ["limits", "correct", "verify"] {
        let said = on(&[verb], &refused);
        assert_eq!(said.code, 2, "{verb}: {}", said.answer);
        assert!(
            said.talk.contains("must not spin like this") && said.talk.contains("[override]"),
            "{}",
            said.talk
        );
        assert_eq!(said.answer.is_empty(), verb != "limits", "{verb}: {}", said.answer);
    }
    assert_eq!(shaft_json(&refused)["within_margin"], false);
    let (_folder, overridden) = at(0.8, stands);
    let said = on(&["verify", "--json"], &overridden);
    assert!(said.code != 2, "{}", said.talk);
    let verdict: Value = serde_json::from_str(&said.answer).unwrap();
    let text = verdict["cautions"][0]["text"].as_str().unwrap().to_owned()
        + verdict["cautions"][1]["text"].as_str().unwrap();
    assert!(text.contains("J. Stoker"), "{text}");
    assert_eq!(shaft_json(&overridden)["overridden_by"]["name"], "J. Stoker");
    let (_folder, near) = at(0.95, stands);
    let said = on(&["correct"], &near);
    assert_eq!(said.code, 2);
    assert!(said.talk.contains("no one may overrule this"), "{}", said.talk);
}

#[test]
fn a_bent_tube_and_a_stand_that_is_too_fast_are_refused() {
    let (_folder, bent) = depot("WP-0417", |text| text);
    let readings = std::fs::read_to_string(bent.join("runout.csv")).unwrap();
    let worse = readings.replace("690,90,", "690,90,9").replace("690,90,90", "690,90,1");
    assert_ne!(readings, worse);
    std::fs::write(bent.join("runout.csv"), worse).unwrap();
    let said = on(&["correct"], &bent);
    assert_eq!(said.code, 2, "{}", said.answer);
    assert!(said.talk.contains("runout is over its limit"), "{}", said.talk);
    let (_folder, fast) = depot("WP-0417", |text| text + "\n[stand]\nmost_speed = \"1700 rpm\"\n");
    let said = on(&["correct"], &fast);
    assert_eq!(said.code, 2, "{}", said.answer);
    assert!(said.talk.contains("beyond the stand's limit of 1700 rpm"), "{}", said.talk);
}

/// |1/(1 − r_s²) − 1/(1 − r_b²)| times half the vector sum of the fitted weights, here from the runs file by hand:
/// 16 g and 11 g at the front, 11 g at the rear, beads counted, on 45.95 mm.
#[test]
fn a_bow_between_stand_and_service_speed_is_a_systematic_term() {
    let (_folder, job) = depot("WP-0417", |text| text);
    let critical = shaft_json(&job)["critical_speed_rpm"].as_f64().unwrap();
    let said = on(&["verify", "--json"], &job);
    let verdict: Value = serde_json::from_str(&said.answer).unwrap();
    let term =
        verdict["budget"].as_array().unwrap().iter().find(|term| term["kind"] == "systematic").unwrap();
    let weight =
        |grams: f64, degrees: f64| num_complex::Complex64::from_polar(grams * 45.95, degrees.to_radians());
    let sum = weight(16.0, 333.0) + weight(11.0, 277.0) + weight(11.0, 192.0);
    let response = |speed: f64| 1.0 / (1.0 - (speed / critical).powi(2));
    let wanted = (response(2600.0) - response(1800.0)) * sum.norm() / 2.0;
    for size in term["sizes_g_mm"].as_array().unwrap() {
        let found = size.as_f64().unwrap();
        assert!((found / wanted - 1.0).abs() < 1e-6, "wanted {wanted}, found {found}");
    }
    assert!(codes(&verdict).contains(&"elastic"));
    // Without the tube there is no such term, and the answer says that nothing was checked.
    let untubed = |text: String| {
        let text = text.replace("[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"1385 mm\"\nmaterial = \"steel\"\n", "");
        let tail = text.find("[[end]]").unwrap();
        text[..tail]
            .replace("position = \"95 mm\"", "position = \"95 mm\"\nradius = \"45.95 mm\"")
            .replace("position = \"1290 mm\"", "position = \"1290 mm\"\nradius = \"45.95 mm\"")
    };
    let (_folder, bare) = depot("WP-0417", untubed);
    let verdict: Value = serde_json::from_str(&on(&["verify", "--json"], &bare).answer).unwrap();
    assert!(!verdict["budget"].to_string().contains("systematic"), "{verdict}");
    assert!(codes(&verdict).contains(&"critical-speed-not-checked"));
}

/// Tube 7.090 kg (5.1199 kg/m over 1.385 m) and ends of 3.2 and 3.7 kg, by hand.
#[test]
fn a_shaft_that_was_not_weighed_gets_an_estimated_mass_and_says_so() {
    let (_folder, job) = depot("WP-0417", |text| text.replace("mass = \"14.2 kg\"\n", ""));
    let said = on(&["verify"], &job);
    assert!(said.answer.contains("kg ESTIMATED"), "{}", said.answer);
    let verdict: Value = serde_json::from_str(&on(&["verify", "--json"], &job).answer).unwrap();
    assert_eq!(verdict["mass_basis"], "estimated from tube and ends");
    assert!((verdict["mass_kg"].as_f64().unwrap() - 13.991).abs() < 2e-3, "{}", verdict["mass_kg"]);
    assert!(codes(&verdict).contains(&"mass-estimated"));
}

#[test]
fn bad_input_is_named_with_its_place() {
    let cases = [
        ("wall = \"0.083 in\"", "wall = \"1.8 in\"", "a wall of 45.72 mm in a tube of radius 44.45 mm"),
        ("length = \"60 in\"", "length = \"-60 in\"", "`-60 in` is not a possible length"),
        ("length = \"60 in\"", "length = \"60 fathoms\"", "`fathoms` is not a unit of length"),
    ];
    for (good, bad, words) in cases {
        let (_folder, job) = job(&PLAIN_TUBE.replace(good, bad));
        let said = on(&["shaft", "--json"], &job);
        assert_eq!((said.code, said.answer.as_str()), (2, ""), "{bad}");
        assert!(said.talk.contains(words) && said.talk.contains("job.toml:"), "{bad}: {}", said.talk);
    }
    // A job that makes no sense as a beam is reported as well.
    let (_folder, folded) = job(&format!(
        "{PLAIN_TUBE}[[joint]]\nposition = \"30 in\"\nangle = \"2 deg\"\n[[steady_bearing]]\nposition = \"0 in\"\n"
    ));
    let said = on(&["shaft"], &folded);
    assert_eq!(said.code, 2, "{}", said.answer);
    assert!(said.talk.contains("[[steady_bearing]]"), "{}", said.talk);
}

/// Before the first trial only the initial run is there: its speed already counts.
#[test]
fn limits_know_the_stands_speed_from_the_initial_run() {
    let (_folder, job) = depot("WP-0417", |text| text + "\n[stand]\nmost_speed = \"1700 rpm\"\n");
    let runs = std::fs::read_to_string(job.join("runs.csv")).unwrap();
    let initial: String = runs.lines().take(3).map(|line| format!("{line}\n")).collect();
    std::fs::write(job.join("runs.csv"), initial).unwrap();
    let said = on(&["limits"], &job);
    assert_eq!(said.code, 2, "{}", said.answer);
    assert!(said.talk.contains("beyond the stand's limit of 1700 rpm"), "{}", said.talk);
    assert!(said.answer.contains("Where the limit holds"), "{}", said.answer);
}

#[test]
fn limits_and_a_new_job_end_with_the_list_before_the_first_spin() {
    let (folder, job) = depot("WP-0417", |text| text);
    let said = on(&["limits"], &job);
    assert_eq!(said.code, 0, "{}", said.talk);
    let list =
        |text: &str| text.split("Before the first spin").nth(1).map(|list| list.matches("\n  - ").count());
    assert_eq!(list(&said.answer), Some(balance_core::shaft::BEFORE_FIRST_SPIN.len()), "{}", said.answer);
    let said = on(&["new"], &folder.path().join("WP-0002"));
    assert_eq!(list(&said.answer), Some(balance_core::shaft::BEFORE_FIRST_SPIN.len()), "{}", said.answer);
}
