//! `tests/VERIFICATION.md` lists the existing checks.

use std::path::Path;

use balance_tests::verification::{stable, text};

#[test]
fn the_list_of_checks_is_up_to_date() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("VERIFICATION.md");
    let kept = std::fs::read_to_string(file).unwrap();
    let wanted = text().unwrap();
    assert_eq!(
        stable(&kept),
        stable(&wanted),
        "write it afresh: cargo run -p balance-tests --bin verification"
    );
}

#[test]
fn every_check_named_is_there() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    for line in
        text().unwrap().lines().filter(|line| line.starts_with("| ") && !line.contains("| evidence |"))
    {
        let test = line.split('|').nth(4).unwrap().trim().to_string();
        let module = format!("{test}.rs");
        let there =
            [folder.join(&test), folder.join("quick").join(&module), folder.join("slow").join(&module)]
                .iter()
                .any(|file| file.is_file());
        assert!(there, "no check `{test}`: {line}");
    }
}
