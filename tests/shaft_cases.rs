//! Published figures about the shaft itself: critical speeds, joints, runout.

use balance_tests::case_file::cases_of;
use balance_tests::shaft_answers::answer;

#[test]
fn every_case_about_the_shaft_holds() {
    let cases = cases_of("shaft");
    assert!(cases.len() >= 40, "only {} cases found", cases.len());
    let mut wrong = Vec::new();
    for (path, case) in &cases {
        let answers = answer(&case.check, &case.inputs)
            .unwrap_or_else(|| panic!("{}: no check `{}`", path.display(), case.check));
        let (share, worst) = case.worst(&answers);
        let name = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        println!(
            "{:6.1} % of tolerance  {name}  ({}; {})  {worst}",
            share * 100.0,
            case.evidence,
            case.source
        );
        if !(share <= 1.0) {
            wrong.push(format!("{name}: {worst}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {} cases are wrong:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
}
