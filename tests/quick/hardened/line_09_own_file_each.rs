//! 9. Every shaft's report and pictures are separate files, whatever the shafts are called.

use std::collections::BTreeSet;

use super::workshop::{HEADER, JOB, ROWS, Workshop, on};

#[test]
fn line_9_shafts_of_like_names_do_not_overwrite_each_other() {
    let names = ["A/1", "A-1", "A 1", "a-1", "..", "CON"];
    let rows: String =
        names.iter().flat_map(|name| ROWS.lines().map(move |row| format!("{name},{row}\n"))).collect();
    let shop = Workshop::new(JOB, &format!("shaft,{HEADER}{rows}"));
    for verb in ["report", "plot"] {
        let said = on(&[verb], &shop.job());
        assert_eq!(said.code, 0, "{}", said.talk);
        let told: Vec<String> = said.answer.lines().map(str::to_lowercase).collect();
        let different: BTreeSet<&String> = told.iter().collect();
        assert_eq!(different.len(), told.len(), "{told:?}");
        for path in said.answer.lines() {
            assert!(std::path::Path::new(path).is_file(), "{path}");
        }
        for (name, of) in [("A/1", "report-A-1~2f.html"), ("A-1", "report-A-1.html")] {
            if verb == "report" {
                let text = std::fs::read_to_string(shop.job().join(of)).unwrap();
                assert!(text.contains(name), "{of} is the report of {name}");
            }
        }
    }
}
