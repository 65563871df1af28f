//! Where the limit holds and what it depends on: invented jobs whose answers were once wrong.

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use serde_json::Value;

fn job(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("shop_jobs").join(path)
}

fn on(words: &[&str], folder: &Path) -> Said {
    balance(words.iter().map(|word| (*word).into()).chain([folder.as_os_str().to_owned()]))
}

fn json(verb: &str, folder: &Path) -> Value {
    let said = on(&[verb, "--json"], folder);
    serde_json::from_str(&said.answer).expect("one JSON object")
}

fn codes(answer: &Value) -> Vec<(&str, &str)> {
    let cautions = answer["cautions"].as_array().expect("cautions");
    cautions.iter().filter_map(|own| Some((own["level"].as_str()?, own["code"].as_str()?))).collect()
}

/// A copy of a job with its text changed, below a copy of its shop file.
fn changed(from: &str, change: impl Fn(String) -> String) -> (tempfile::TempDir, PathBuf) {
    let (from, folder) = (job(from), tempfile::tempdir().expect("a folder"));
    let copy = folder.path().join("job");
    std::fs::create_dir(&copy).expect("a folder");
    std::fs::copy(from.with_file_name("shop.toml"), folder.path().join("shop.toml")).expect("a shop file");
    std::fs::copy(from.join("runs.csv"), copy.join("runs.csv")).expect("runs");
    let text = std::fs::read_to_string(from.join("job.toml")).expect("a job file");
    std::fs::write(copy.join("job.toml"), change(text)).expect("it is written");
    (folder, copy)
}

/// T2 states the places, T1 leaves them out; the readings are the same. Before, T1 gave each end its part's
/// whole limit and the bearing none, and the verdict was "meets".
#[test]
fn a_two_piece_shaft_has_its_limit_at_each_parts_two_supports() {
    let (left_out, stated) = (json("verify", &job("two_piece/T1")), json("verify", &job("two_piece/T2")));
    assert_eq!(left_out["planes"], stated["planes"]);
    assert_eq!(
        (left_out["verdict"].as_str(), stated["verdict"].as_str()),
        (Some("exceeds"), Some("exceeds"))
    );
    assert_eq!(on(&["verify"], &job("two_piece/T1")).code, 1);
    let limits = json("limits", &job("two_piece/T1"));
    // By hand: 9549.2966·16·7/3800 = 281.45 and ·8 = 321.66 g·mm, half at each support, the smaller at the bearing.
    let wanted = [("front joint", 140.73), ("steady bearing", 140.73), ("rear joint", 160.83)];
    let planes = limits["planes"].as_array().expect("three places");
    assert_eq!(planes.len(), wanted.len());
    for (plane, (name, amount)) in planes.iter().zip(wanted) {
        assert_eq!(plane["name"], name);
        assert!((plane["permissible_g_mm"].as_f64().expect("a limit") - amount).abs() < 0.01, "{plane}");
    }
}

/// Parts measured from weld to weld, the bracket of the bearing 20 mm ahead of the joint: the same three places.
#[test]
fn a_bearing_beside_the_joint_is_the_place_of_both_parts() {
    let (_folder, beside) = changed("two_piece/T1", |text| {
        text.replace("[[steady_bearing]]\nposition = \"850 mm\"", "[[steady_bearing]]\nposition = \"830 mm\"")
    });
    let limits = json("limits", &beside);
    let planes: Vec<(f64, f64)> = limits["planes"]
        .as_array()
        .expect("places")
        .iter()
        .filter_map(|own| Some((own["position_mm"].as_f64()?, own["permissible_g_mm"].as_f64()?)))
        .collect();
    let wanted = [(0.0, 140.73), (830.0, 140.73), (1900.0, 160.83)];
    for ((place, amount), (at, wanted)) in planes.iter().zip(wanted) {
        assert!((place - at).abs() < 1e-9 && (amount - wanted).abs() < 0.01, "{planes:?}");
    }
}

#[test]
fn parts_that_do_not_add_up_and_a_mass_centre_beside_them_are_said() {
    let quiet = json("verify", &job("two_piece/T1"));
    assert!(!codes(&quiet).iter().any(|(_, code)| code.starts_with("parts-") || code.starts_with("mass-")));
    let (_folder, heavier) =
        changed("two_piece/T1", |text| text.replace("mass = \"8 kg\"", "mass = \"8.6 kg\""));
    assert!(codes(&json("verify", &heavier)).contains(&("take care", "parts-do-not-add-up")));
    // 2 % of 15 kg and 0.05 kg for each of three weighings: 0.45 kg is allowed.
    let (_folder, near) =
        changed("two_piece/T1", |text| text.replace("mass = \"8 kg\"", "mass = \"8.4 kg\""));
    assert!(!codes(&json("verify", &near)).iter().any(|(_, code)| *code == "parts-do-not-add-up"));
    let (_folder, centre) =
        changed("two_piece/T1", |text| text.replace("[tube]", "mass_centre = \"700 mm\"\n[tube]"));
    assert!(codes(&json("verify", &centre)).contains(&("take care", "mass-centre-not-used")));
}

/// 1090 kg typed for 10.9: the tube alone is 5.96 kg (4.495 kg/m over 1.327 m).
#[test]
fn a_slip_in_the_mass_is_a_stop_beside_every_answer() {
    let folder = job("units/mass_slip");
    for verb in ["verify", "correct", "limits"] {
        assert!(codes(&json(verb, &folder)).contains(&("stop", "mass-far-off")), "{verb}");
    }
    let verdict = on(&["verify"], &folder);
    let text = verdict.answer;
    assert_eq!(verdict.code, 3, "the limit is in doubt: neither good nor bad\n{text}");
    assert!(text.contains("2403 lb") && text.contains("weigh") && !text.contains("MEETS"), "{text}");
    assert_eq!(on(&["limits"], &folder).code, 0, "it may spin: the limit is in doubt, not the shaft");
    // The right mass gives no caution. Pounds taken for kilograms, 24 for 10.9, give one.
    let with = |mass: &str| changed("units/mass_slip", |text| text.replace("1090 kg", mass));
    for (mass, wanted) in
        [("10.9 kg", None), ("24.03 lb", None), ("30 kg", Some("take care")), ("109 kg", Some("stop"))]
    {
        let (_folder, copy) = with(mass);
        let answer = json("verify", &copy);
        let found =
            codes(&answer).into_iter().find(|(_, code)| *code == "mass-far-off").map(|(level, _)| level);
        assert_eq!(found, wanted, "{mass}");
    }
}
