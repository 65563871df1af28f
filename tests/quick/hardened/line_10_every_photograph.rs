//! 10. Everything in a record comes out again: two photographs with the same name, and every attachment with
//!     its bytes.

use super::workshop::{JOB, Workshop, on};

#[test]
fn line_10_photographs_of_one_name_come_out_again_and_export_holds_their_bytes() {
    let photos = ["front/a.png", "rear/a.png", "front/a.png"];
    let sections: String = photos.iter().map(|name| format!("[[photo]]\nfile = \"{name}\"\n")).collect();
    let shop = Workshop::new(&format!("{JOB}{sections}"), &Workshop::usual().runs());
    for end in ["front", "rear"] {
        std::fs::create_dir(shop.job().join(end)).unwrap();
        let picture = [b"\x89PNG\r\n\x1a\n", end.as_bytes()].concat();
        std::fs::write(shop.job().join(end).join("a.png"), picture).unwrap();
    }
    let archive = shop.beside("a.sqlite");
    let on_archive = |words: &[&str], more: &[std::ffi::OsString]| {
        let words = words.iter().map(std::ffi::OsString::from).chain(more.iter().cloned());
        balance_tests::program::balance(words.chain(["--archive".into(), archive.clone().into_os_string()]))
    };
    assert_eq!(on_archive(&["archive", "add"], &[shop.job().into_os_string()]).answer, "record 1 stored\n");
    let out = shop.beside("out");
    let said = on_archive(&["archive", "show", "1", "--into"], &[out.clone().into_os_string()]);
    assert_eq!(said.code, 0, "{said:?}");
    for end in ["front", "rear"] {
        assert!(std::fs::read(out.join(end).join("a.png")).unwrap().ends_with(end.as_bytes()));
    }
    // Once more: nothing is overwritten, and every file in the way is reported.
    std::fs::remove_file(out.join("job.toml")).unwrap();
    let said = on_archive(&["archive", "show", "1", "--into"], &[out.clone().into_os_string()]);
    assert_eq!(said.code, 2);
    assert!(said.talk.matches("already exists").count() >= 4, "{}", said.talk);
    assert!(!out.join("job.toml").exists(), "none is written if one is in the way");
    let said = on(&["archive", "export", "--archive"], &archive);
    let object: serde_json::Value = serde_json::from_str(&said.answer).unwrap();
    let attached = object["attachments"].as_array().unwrap();
    assert_eq!(attached.len(), 2, "a file that is named twice is stored once");
    // RFC 4648: the PNG's eight bytes and "front".
    assert_eq!(attached[0]["base64"], "iVBORw0KGgpmcm9udA==");
    assert!(object["report"][0]["base64"].as_str().is_some_and(|text| text.len() > 1000));
}
